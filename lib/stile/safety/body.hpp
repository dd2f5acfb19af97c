#pragma once
// What goes into the person of the model: power over mass, currents through hand and feet, and what they mean for SAR.

#include <string>
#include <vector>

#include <stile/base/range.hpp>
#include <stile/safety/exposure.hpp>

namespace stile::safety {

/// Of muscle-like tissue in a wrist or ankle: the area that conducts, at a stature of 1.75 m, and density.
/// Source: 9.5 cm2 for the ankle, Gandhi, Chen, Riazi, IEEE Trans. BME 33(8), 1986 (from memory; taken for the wrist too);
/// 1050 kg/m3 common practice. With 0.6 S/m 100 mA is 17.6 W/kg, where ICNIRP 1998 has 100 mA beside 20 W/kg.
inline constexpr double limb_area_m2 = 9.5e-4;
inline constexpr double tissue_density_kg_m3 = 1050.0;

/// SAR over 10 g in a wrist or ankle from its current, W/kg: I^2/(A^2 sigma rho), A going with the square of the stature.
/// @param current_a_rms >= 0; the others > 0
/// @throws DomainError
/// Accuracy: indicative, a factor of two.
double limb_sar_w_kg(double current_a_rms, double conductivity_s_m = 0.6, double stature_m = 1.75);

struct LimbCurrent {
  std::string where;           ///< "hand and wrist", "left foot and ankle", "right foot and ankle"
  double current_a_rms = 0.0;  ///< key down
  Range current_range_a;       ///< over conductivity +-30 % and stature +-0.15 m of the model
  double sar_10g_w_kg = 0.0;   ///< key down, indicative
  Range sar_10g_range_w_kg;    ///< the same spread, of the model and of the tissue
};

/// A current or a SAR beside a published one.
struct BodyRow {
  std::string where, standard, group, quantity;
  double value = 0.0;  ///< A or W/kg, mean over the worst averaging time (root of the mean square for a current)
  double level = 0.0;
  double ratio = 0.0;
  std::string status, source;
};

struct BodyExposure {
  std::string condition;
  double frequency_hz = 0.0, power_w = 0.0;
  bool in_model = false;  ///< a person is in the file; without one nothing below is known but `enough_mass_kg`
  bool contact = false;   ///< a hand touches the set: these are the cases that matter
  double person_w = 0.0;  ///< key down, of the power into the antenna
  Range person_range_w;
  double mass_kg = 0.0;
  double whole_body_w_kg = 0.0;  ///< key down, of all that goes into the person
  /// Above this mass the public restriction on whole-body SAR, 0.08 W/kg, cannot be exceeded even if all the power went into
  /// the person: power over 0.08 W/kg (62.5 kg at 5 W).
  double enough_mass_kg = 0.0;
  std::vector<LimbCurrent> limbs;
  std::vector<BodyRow> rows;  ///< currents beside contact and limb levels, SAR beside its restrictions
};

inline constexpr double usual_mass_kg = 75.0;  ///< common practice

/// @param mass_kg  of the person, > 0
/// @throws DomainError  mass_kg or power not above 0; as solve_antenna
BodyExposure body_exposure(const ExposureCase& one, double mass_kg, const ExposureOptions& options);

}  // namespace stile::safety

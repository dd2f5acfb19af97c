#pragma once
// What goes into the person of the model: power over mass, currents through hand and feet, and what they mean for SAR.

#include <optional>
#include <span>
#include <string>
#include <vector>

#include <stile/base/range.hpp>
#include <stile/safety/body_facts.hpp>
#include <stile/safety/exposure.hpp>

namespace stile::safety {

/// Of muscle-like tissue in a wrist or ankle: the area that conducts, at a stature of 1.75 m, and density.
/// Source: 9.5 cm2 for the ankle, Gandhi, Chen, Riazi, IEEE Trans. BME 33(8), 1986 (from memory; taken for the wrist
/// too); 1050 kg/m3 common practice. With 0.6 S/m 100 mA is 17.6 W/kg, where ICNIRP 1998 has 100 mA beside 20 W/kg.
inline constexpr double limb_area_m2 = 9.5e-4;
inline constexpr double tissue_density_kg_m3 = 1050.0;

/// SAR over 10 g in a wrist or ankle from its current, W/kg: I^2/(A^2 sigma rho), A going with the square of the
/// stature.
/// @param current_a_rms >= 0; the others > 0
/// @throws DomainError
/// Accuracy: indicative, a factor of two.
double limb_sar_w_kg(double current_a_rms, double conductivity_s_m = wire::PersonBody{}.conductivity_s_m,
                     double stature_m = wire::PersonBody{}.stature_m);

struct LimbCurrent {
  std::string where;           ///< "hand and wrist", "left foot and ankle", "right foot and ankle"
  double current_a_rms = 0.0;  ///< key down
  Range current_range_a;       ///< over conductivity +-30 % and stature +-0.15 m of the model
  double sar_10g_w_kg = 0.0;   ///< key down, indicative
  Range sar_10g_range_w_kg;    ///< the same spread, of the model and of the tissue
};

/// A current or a SAR beside a published one.
struct BodyRow {
  std::string where;
  std::string condition;
  double frequency_hz = 0.0, power_w = 0.0;  ///< into the antenna, key down
  std::string standard, group;
  std::string scope;  ///< "contact", "limb", "whole body", "10 g" or "1 g"
  std::string quantity;
  bool averaged = false;        ///< whether the level is averaged in time
  double power_share = 1.0;     ///< mean power over the worst averaging time, of the key-down power
  std::optional<double> value;  ///< A or W/kg, mean over that time (root of the mean square for a current)
  double level = 0.0;
  std::optional<double> ratio;       ///< none: nothing was computed, `note` says why
  std::optional<double> open_v_rms;  ///< of a contact: between conductor and hand just before they touch
  std::string status, source, note;
};

/// Whether a row's value goes with the power (SAR), not with its root (a current).
bool goes_with_power(const BodyRow& row);

/// Power at which the row's value would meet its level, W, rounded down to two figures.
/// @throws DomainError  a row without a ratio, or with a ratio of 0
double meets_power_w(const BodyRow& row);

struct BodyExposure {
  std::string condition;
  double frequency_hz = 0.0, power_w = 0.0;
  bool in_model = false;  ///< a person is in the file; without one nothing below is known but `enough_mass_kg`
  bool contact = false;   ///< a hand touches the set: these are the cases that matter
  double person_w = 0.0;  ///< key down, of the power into the antenna
  Range person_range_w;
  double mass_kg = 0.0;
  double whole_body_w_kg = 0.0;  ///< key down, of all that goes into the person
  Range whole_body_range_w_kg;   ///< over conductivity and stature as the currents, the mass as stated
  /// Above this mass the public restriction on whole-body SAR, 0.08 W/kg, cannot be exceeded even if all the power went
  /// into the person: power over 0.08 W/kg (62.5 kg at 5 W).
  double enough_mass_kg = 0.0;
  std::vector<LimbCurrent> limbs;
  double both_feet_a_rms = 0.0;  ///< the two currents added with their phases
  Range both_feet_range_a;
  std::vector<std::string> left_out;  ///< corners of the spread that could not be solved, and why
};

/// @param mass_kg  of the person, > 0
/// @throws DomainError  mass_kg or power not above 0
BodyExposure body_exposure(const ExposureCase& one, double mass_kg, const ExposureOptions& options);

/// The same with another power into the antenna.
/// @throws DomainError  a power not above 0
BodyExposure at_power(BodyExposure body, double to_w);

/// Its currents beside contact and limb levels, its SAR beside the restrictions, of the standards that count. A hand's
/// current is one of contact and of a limb, a foot's one of a limb. The restrictions on 1 g or 10 g in head and trunk
/// stand there without a value: the model has no tissue in them.
std::vector<BodyRow> body_rows(const BodyExposure& body, const ExposureOptions& options);

/// A current beside the published levels of these quantities, of the standards that count.
/// @param place  where, condition, frequency, power and open voltage: the same in each row
std::vector<BodyRow> current_rows(const BodyRow& place, double current_a_rms, const ExposureOptions& options,
                                  std::span<const std::string> quantities);

/// The public's row with the largest ratio, in one line: 'touching "whip", 10 cm from the feed (210 V rms open): 82.5
/// mA, 4.1 times the public level of contact current of ICNIRP 2010; to meet it turn the set down to 290 mW into the
/// antenna there', with which every other row of the public, of whatever condition, meets its level too. Empty where no
/// row has a ratio.
std::string body_finding(std::span<const BodyRow> rows);

}  // namespace stile::safety

#pragma once
// Voltage at the tips of whip and wires beside the one at which air glows there.

#include <string>
#include <vector>

#include <stile/safety/exposure.hpp>

namespace stile::safety {

/// A free end.
struct Tip {
  std::string where;  ///< "the tip of \"whip\""
  wire::Vec3 point_m;
  double v_peak = 0.0;  ///< against the ground, key down
  double radius_m = 0.0;
  double smooth_onset_v_peak = 0.0;  ///< of an end rounded to the wire's radius: nothing glows below it
  double cut_onset_v_peak = 0.0;     ///< of an edge of cut_radius_m, as a cut wire has
};

/// Of the edge of a cut wire. Assumed: nothing measured was found.
inline constexpr double cut_radius_m = 1e-4;

/// Voltage of an isolated ball of that radius at which air at its surface begins to glow, V peak. A tip of that radius
/// on a wire needs at least as much: the wire's own charge shields it.
///
/// @param radius_m  > 0
/// @param pressure_pa  > 0, at 20 C
/// @throws DomainError
/// Accuracy: the field is that of a smooth cylinder of the same radius, clean and dry. A ball's, 27.2 d (1 +
/// 0.54/sqrt(d r)) kV/cm by the same author, is higher below a radius of 4 cm: this is the cautious side. Rain, dust
/// and burrs start it sooner.
/// Source: V = E r with coil::corona_field_v_m_peak: Peek, Dielectric Phenomena in High
/// Voltage Engineering, 1929 (from memory).
double corona_onset_v_peak(double radius_m, double pressure_pa);

/// Of the fed wire and of all that trails, as they stand in the case. An end that lies on the ground has none.
///
/// @param altitude_m  as air_pressure_pa
/// @throws DomainError  power not above 0, altitude out of range; as near_field
/// Accuracy: voltage 15 % of a whip's over a plane (cos k(h - z)/cos kh times the one across its terminals), while it
/// is shorter than a tenth of a wavelength; the field summed from the wire just inside its end, level outwards from a
/// whip and down to the ground from others. Of a raised whip and of the end of its wire over a plane 15 % of the
/// potential of the charges there (test_body.cpp); over soil and with a set or a person beside them it is indicative.
std::vector<Tip> tips(const ExposureCase& one, double altitude_m, const ExposureOptions& options);

/// The same with another power into the antenna.
/// @throws DomainError  a power not above 0
std::vector<Tip> at_power(std::vector<Tip> tips, double from_w, double to_w);

}  // namespace stile::safety

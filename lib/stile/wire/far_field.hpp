#pragma once
// The field far away, from the currents.

#include <span>
#include <vector>

#include <stile/wire/solve.hpp>

namespace stile::wire {

/// Far field times distance for 1 A into the antenna, V: e^{+j w t}, the factor e^{-j k r} left out.
struct FarField {
  cdouble theta_v;
  cdouble phi_v;
};

/// @param theta_rad  angle from the zenith, 0..pi; over ground 0..pi/2 (at pi/2 over lossy ground the field is zero)
/// @param phi_rad    from the x axis towards y
/// @throws DomainError  theta_rad outside its range
/// Over ground: direct and reflected ray with plane-wave coefficients, which is exact far away.
FarField far_field(const AntennaSolution& solution, double theta_rad, double phi_rad);

/// Power that reaches the far field for 1 A (rms) into the antenna, W: whole sphere, over ground the upper half.
double far_power_w(const AntennaSolution& solution);

/// The same of antennas with the same cells over the same ground at the same frequency, in their order.
/// Accuracy: 1e-7 of the sum over many directions. @throws DomainError  none, or what they share differs
std::vector<double> far_powers_w(std::span<const AntennaSolution> alike);

/// Power that goes down into a lossless dielectric ground, for 1 A (rms), W.
/// @throws DomainError  the ground is not lossy_ground(eps, 0)
/// For users of the library.
double down_power_w(const AntennaSolution& solution);

/// Gain over an isotropic radiator, all losses included (mismatch not), as a power ratio; both polarisations.
double antenna_gain(const AntennaSolution& solution, double theta_rad, double phi_rad);

/// The same in dB over an isotropic radiator, at an elevation above the horizon, -pi/2..pi/2 (over ground 0..pi/2).
/// -infinity where nothing is radiated.
double elevation_gain_dbi(const AntennaSolution& solution, double elevation_rad, double phi_rad);

struct PatternPoint {
  double elevation_rad = 0.0;
  double gain_dbi = 0.0;  ///< -infinity where nothing is radiated
};

/// Cut through the vertical plane at azimuth phi_rad: elevations -90..90 degrees in free space, 0..90 over ground.
/// @param points  at least 2
std::vector<PatternPoint> vertical_pattern(const AntennaSolution& solution, double phi_rad, int points);

/// Gain as a power ratio, averaged over azimuth and over the solid angle between two elevations: what goes into a range
/// of directions, as an isotropic radiator of the input power would give it. Losses inside, mismatch not.
/// @param low_rad, high_rad  elevations, -pi/2..pi/2 in free space, 0..pi/2 over ground; low below high
/// @throws DomainError  outside these
/// Accuracy: 1e-6 of the average over the whole sphere or half-space, where it is the radiated share (over ground
/// twice).
double mean_gain(const AntennaSolution& solution, double low_rad, double high_rad);
/// The same in dB over an isotropic radiator; -infinity where nothing is radiated.
double mean_gain_dbi(const AntennaSolution& solution, double low_rad, double high_rad);

/// Vertical effective height, m: |integral of I dz| / I at the feed, of the wires alone (without images).
double effective_height_m(const AntennaSolution& solution);

}  // namespace stile::wire

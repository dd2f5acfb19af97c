#pragma once
// How narrow a small antenna must be: bounds to compare its Q with. fractional_bandwidth and sphere_q are for library
// users.

#include <optional>

#include <stile/wire/geometry.hpp>

namespace stile::wire {

/// Width over frequency of the band in which the SWR stays below `swr`, matched at its middle: (s - 1)/(Q sqrt s).
/// @throws DomainError  q not positive or swr not above 1
/// For users of the library.
double fractional_bandwidth(double q, double swr);

/// Least Q of a lossless antenna inside a sphere: 1/(ka)^3 + 1/(ka). Far too low for a thin whip.
/// @param sphere_radius_m  over a plane the whip's height
/// Source: McLean, IEEE Trans. AP-44(5), 1996, 672-676 (title seen, formula from memory).
/// For users of the library.
double sphere_q(double sphere_radius_m, double frequency_hz);

/// Least Q of a lossless thin cylinder of length 2 h in free space, or of a whip of height h over a plane:
/// 6 pi/(k^3 alpha), alpha = (4 pi h^3/3)/(ln(4 h/a) - 7/3).
/// @throws DomainError  half_length_m below 20 radii
/// Accuracy: too high by up to 5 % at h/a = 50, 1.5 % at 1200 (an open tube's static polarizability, solved by bands).
/// Source: bound by polarizability, Yaghjian and Stuart, IEEE Trans. AP-58(10), 2010 (abstract seen); alpha derived.
double thin_cylinder_q(double half_length_m, double radius_m, double frequency_hz);

/// That of a whip as long as the wire that carries the antenna's feed; nothing where the wire is shorter than 20 radii.
/// @throws DomainError  frequency_hz not > 0
std::optional<double> least_whip_q(const Antenna& antenna, double frequency_hz);

}  // namespace stile::wire

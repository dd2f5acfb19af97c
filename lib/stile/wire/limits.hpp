#pragma once
// How narrow a small antenna must be: Q from its impedance, and bounds to compare it with. fractional_bandwidth and
// sphere_q are for library users.

#include <stile/base/quantity.hpp>

namespace stile {

/// Q from an impedance and its slope: f/(2 R) |dR/df + j (dX/df + |X|/f)|, the antenna tuned by a lossless reactance.
///
/// @param z_ohm            Re > 0
/// @param slope_ohm_per_hz dZ/df
/// @param frequency_hz     > 0
/// @throws DomainError  outside these
/// Accuracy: exact for a series circuit of R, L and C; a few per cent near other resonances.
/// Source: Yaghjian and Best, IEEE Trans. AP-53(4), 2005, 1298-1324, eq. 96 (number from memory).
double q_from_impedance(cdouble z_ohm, cdouble slope_ohm_per_hz, double frequency_hz);

/// The same from two neighbouring frequencies, slope by difference, taken at their middle.
/// @throws DomainError  not 0 < low_hz < high_hz
double q_from_impedance(cdouble z_low_ohm, double low_hz, cdouble z_high_ohm, double high_hz);

/// Width over frequency of the band in which the SWR stays below `swr`, matched at its middle: (s - 1)/(Q sqrt s).
/// @throws DomainError  q not positive or swr not above 1
double fractional_bandwidth(double q, double swr);

/// Least Q of a lossless antenna inside a sphere: 1/(ka)^3 + 1/(ka). Far too low for a thin whip.
/// @param sphere_radius_m  over a plane the whip's height
/// Source: McLean, IEEE Trans. AP-44(5), 1996, 672-676 (title seen, formula from memory).
double sphere_q(double sphere_radius_m, double frequency_hz);

/// Least Q of a lossless thin cylinder of length 2 h in free space, or of a whip of height h over a plane:
/// 6 pi/(k^3 alpha), alpha = (4 pi h^3/3)/(ln(4 h/a) - 7/3).
/// @throws DomainError  half_length_m below 20 radii
/// Accuracy: too high by up to 5 % at h/a = 50, 1.5 % at 1200 (an open tube's static polarizability, solved by bands).
/// Source: bound by polarizability, Yaghjian and Stuart, IEEE Trans. AP-58(10), 2010 (abstract seen); alpha derived.
double thin_cylinder_q(double half_length_m, double radius_m, double frequency_hz);

}  // namespace stile

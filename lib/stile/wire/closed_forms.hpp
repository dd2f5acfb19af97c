#pragma once
// Antenna impedances in closed form, for first guesses and as a second route beside the solver. For library users.

#include <vector>

#include <stile/base/range.hpp>
#include <stile/wire/ground.hpp>

namespace stile::wire {

/// Si(x) = int_0^x sin t/t dt and Ci(x) = Euler's constant + ln x + int_0^x (cos t - 1)/t dt.
/// @param x  > 0 (Si: >= 0), finite
/// Accuracy: 1e-14 absolute up to x = 100 (against quadrature in long double).
double sine_integral(double x);
double cosine_integral(double x);

/// Impedance of a centre-fed dipole with sinusoidal current, referred to the current's maximum, ohm.
///
/// @param half_length_m, radius_m, frequency_hz  > 0
/// Source: induced EMF; Carter 1932 in the form with L = 2 l of the textbooks (formula from memory, values checked).
cdouble dipole_loop_impedance_ohm(double half_length_m, double radius_m, double frequency_hz);

/// The same at the feed: divided by sin^2(k l).
/// @throws DomainError  k l within 1e-3 of a multiple of pi: the sinusoid has no current at the feed
/// Accuracy against the solver, l/a 500 to 10000: up to k l = 0.7 R is 2..12 % too high (the thicker the more) and |Z|
/// within 3 %; at half a wave (k l = pi/2) R is 7..13 % too low; within 20 % of k l = pi |Z| is off by 14 % to ten
/// times.
cdouble dipole_impedance_ohm(double half_length_m, double radius_m, double frequency_hz);

/// Mutual impedance of two parallel half-wave dipoles side by side, sinusoidal currents, ohm.
/// @param distance_m  > 0
cdouble half_wave_mutual_ohm(double distance_m, double frequency_hz);

/// Whip over perfect ground: R = 10 (k h)^2, X = -60 (ln(h/a) - 1)/tan(k h).
/// @throws DomainError  h not above 0 and below half a wave, or below 10 radii
/// Accuracy: for k h = 0.18 to 0.5 and h/a = 1200, R 3 to 9 % above the solver and X within 3 % (asserted). R is that
/// of a straight-line current: at a quarter wave 24.7 against 36.6 ohm, and beyond it a rough guess. X is one of two
/// common estimates: the other has ln(2h/a), 42 ohm/tan(k h) more.
/// Source: half of the short dipole's 20 (k h)^2 and
/// -120 (ln(h/a) - 1)/tan(k h) (Balanis, Antenna Theory; from memory).
cdouble short_monopole_ohm(double height_m, double radius_m, double frequency_hz);

/// Quarter of a wave on a wire in air less 5 % for its ends, m (common practice).
double quarter_wave_rule_m(double frequency_hz);

/// Reactance of a point coil that makes a whip over perfect ground resonant, ohm: the whip as two lines of
/// characteristic impedance 60 (ln(2 l/a) - 1), l the length of each part: Z_top cot(k l_top) - Z_base tan(k l_base).
///
/// @param coil_height_m  0..0.95 height_m; k height below pi/2
/// @throws DomainError  outside these
/// Accuracy: within 16 % of the solver for coils at 0.03..0.7 of the height (h/a = 500, h = 0.05..0.1 wavelength), 22 %
/// at 0.15 wavelength, where little reactance is left.
double off_centre_coil_ohm(double height_m, double radius_m, double coil_height_m, double frequency_hz);

/// A long wire parallel to lossy ground as a line.
struct WireLine {
  cdouble propagation_per_m;  ///< alpha + j beta
  cdouble characteristic_ohm;
};

/// @param height_m  of the axis, >= 2 radii
/// @throws DomainError  ground not lossy or values out of range
/// Accuracy: beta and Zc within 3 % of the solver, alpha 25 % (7 MHz, 5 cm); valid while k height << 1.
/// Source: Carson 1926, Sunde 1949, Wait 1972 (from memory): Z' = j w mu0/2pi [ln(2h/a) + ln((1 + g h)/(g h))], Y' = j
/// w 2 pi eps0/[ln(2h/a) + M], M = 2 int_0^inf exp(-2 h l)/(n^2 l + sqrt(l^2 + g^2)) dl, g = sqrt(k0^2 - k1^2).
WireLine trailing_wire_line(const Ground& ground, double height_m, double radius_m, double frequency_hz);

/// Velocity of a wave along such a wire over that in air, kept within 0.3..1: a quarter wave of it is as much shorter
/// than one in air. Insulation, which shortens it more, is not in it.
/// @throws DomainError  as trailing_wire_line
/// Accuracy: that of trailing_wire_line's beta.
double velocity_along_ground(const Ground& ground, double height_m, double radius_m, double frequency_hz);

/// Input impedance of such a wire, open at its end, against a distant ideal ground, ohm: Zc coth(gamma length).
cdouble trailing_wire_ohm(const WireLine& line, double length_m);

/// Whether a counterpoise of this length is near half a wave, or a multiple, somewhere in a band: its impedance at the
/// feed is then kilohms.
///
/// @param low_hz, high_hz  1e5 <= low_hz <= high_hz <= 3e8
/// @param velocity_factor  0.3..1 of the wire where it lies (beta = k0/velocity_factor)
/// @param margin           0..0.4, how near counts, as a share of half a wave
/// @param longest_m        above 0, at most 10 km
/// @return  the ranges, m, up to longest_m to keep away from, in rising order; over a wide band they overlap
/// @throws DomainError  outside these
std::vector<Range> lengths_to_avoid(double low_hz, double high_hz, double velocity_factor, double longest_m,
                                    double margin = 0.1);

}  // namespace stile::wire

#pragma once
// Uniform transmission lines: from the constants per metre to a chain matrix. The way back, from dimensions, and from
// measured ends (coaxial_line, rlgc_from_line, line_from_open_short ...) is for library users.

#include <stile/network/chain.hpp>

namespace stile::network {

/// Constants per metre of a line at one frequency: series resistance and inductance, shunt conductance and capacitance.
struct Rlgc {
  double r_ohm_m = 0.0, l_h_m = 0.0, g_s_m = 0.0, c_f_m = 0.0;
};

/// Wave constants at one frequency: characteristic impedance and propagation constant alpha + j beta (Np/m, rad/m).
struct LineConstants {
  cdouble z0_ohm;
  cdouble gamma_per_m;
};

/// z0 = sqrt(z/y), gamma = sqrt(z y) with z = R + jwL, y = G + jwC: roots with real part >= 0.
///
/// @param per_metre     all finite and >= 0, z and y not 0
/// @param frequency_hz  finite, > 0
/// @throws DomainError  a value is out of range
/// Accuracy: 1e-15 of the magnitude of z0 and of each part of gamma (alpha keeps its digits when it is far below
/// beta), unless R G and w^2 L C are nearly equal.
/// Source: telegrapher's equations; R. Bird, Electrical Circuit Theory and Technology, ch. 44 (transcribed).
LineConstants line_from_rlgc(const Rlgc& per_metre, double frequency_hz);

/// The constants per metre that a line's z0 and gamma amount to at one frequency: z = gamma z0, y = gamma / z0.
///
/// @throws DomainError  z0 or gamma not finite, Re(z0) <= 0, or frequency not > 0
/// Accuracy: undoes line_from_rlgc within 1e-15 of |z| and |y|; R and G may come out a rounding below 0.
Rlgc rlgc_from_line(const LineConstants& line, double frequency_hz);

/// Line without loss.
///
/// @param z0_ohm           > 0
/// @param velocity_factor  phase velocity over that of light, > 0 and <= 1
/// @param frequency_hz     > 0
/// @throws DomainError  a value is out of range
LineConstants lossless_line(double z0_ohm, double velocity_factor, double frequency_hz);

/// Inductance and capacitance of a coaxial pair without loss: L = mu0/(2 pi) ln(D/d), C = 2 pi eps0 er / ln(D/d).
/// Fields inside the metal are left out (the high-frequency limit).
///
/// @param inner_diameter_m       outside of the inner conductor, > 0
/// @param outer_diameter_m       inside of the screen, > inner_diameter_m
/// @param relative_permittivity  of the filling, >= 1
/// @throws DomainError  a value is out of range
/// Source: exact for circular, concentric conductors. Books print (138/sqrt er) log10(D/d) for its impedance; the
/// constant is 138.06, so such values are 0.04 % low.
Rlgc coaxial_line(double inner_diameter_m, double outer_diameter_m, double relative_permittivity);

/// Chain matrix of a piece of line: a = d = cosh(gamma l), b = z0 sinh(gamma l), c = sinh(gamma l)/z0.
///
/// @param length_m  finite, >= 0 (0 gives a straight connection)
/// @throws DomainError  z0 or gamma not finite, Re(z0) <= 0, Re(gamma) < 0, length out of range, or the loss exceeds
///                      what doubles hold (about 6000 dB)
/// Accuracy: 1e-15 (1 + |gamma l|) of each entry, also for a piece far shorter than a wavelength.
Chain line_chain(const LineConstants& line, double length_m);

/// Constants of a line measured at one end with the other end shorted, then open.
///
/// @param z_short_ohm, z_open_ohm  ohm, finite, not 0
/// @param length_m                 > 0; the piece must be shorter than half a wave: a longer one gives the same two
///                                 impedances and is not told apart
/// @throws DomainError  a value is out of range, or no line with loss >= 0 and Re(z0) > 0 gives these impedances
/// Accuracy: at an eighth of a wave as good as the two impedances; towards multiples of a quarter wave, where one of
/// them grows without bound, errors of measurement grow with it.
/// Source: z0^2 = Zs Zo, tanh^2(gamma l) = Zs / Zo.
LineConstants line_from_open_short(cdouble z_short_ohm, cdouble z_open_ohm, double length_m);

/// Attenuation of a matched line, dB/m: 8.686 alpha.
double attenuation_db_per_m(const LineConstants& line);

/// Wavelength on the line, m: 2 pi / beta. @throws DomainError  beta not > 0
double wavelength_m(const LineConstants& line);

/// Phase velocity, m/s: w / beta. @throws DomainError  beta or frequency not > 0
double phase_velocity_m_s(const LineConstants& line, double frequency_hz);

}  // namespace stile::network

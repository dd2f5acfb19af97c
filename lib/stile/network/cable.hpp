#pragma once
// Coaxial cables by data-sheet values: impedance, velocity factor and attenuation.

#include <span>
#include <string>
#include <string_view>

#include <stile/network/line.hpp>

namespace stile::network {

/// A cable as its data sheet gives it. Attenuation is k1 sqrt(f) + k2 f with f in MHz: the first part from the
/// conductors (skin effect), the second from the dielectric.
struct Cable {
  std::string name;
  double z0_ohm = 0.0;               ///< at frequencies so high that the inside of the metal has no part in it
  double velocity_factor = 0.0;      ///< likewise
  double k1_db_per_m_at_1mhz = 0.0;  ///< conductor part, sqrt law
  double k2_db_per_m_at_1mhz = 0.0;  ///< dielectric part, linear law
  std::string source;                ///< where each value is from
};

/// One line of a data sheet: `loss_db` of a matched piece of `length_m` at `frequency_hz`.
struct AttenuationPoint {
  double frequency_hz = 0.0, loss_db = 0.0, length_m = 0.0;
};

/// Data-sheet attenuation of a matched piece, dB/m.
/// @param frequency_hz  finite, > 0
/// @throws DomainError  a field of the cable or the frequency is out of range
double attenuation_db_per_m(const Cable& cable, double frequency_hz);

/// A cable from its data sheet's figures.
///
/// @param points  one: all of it is taken as conductor loss, sqrt law (k2 = 0); two at different frequencies: both
///                parts fitted exactly. Frequency, loss and length of each finite and > 0.
/// @throws DomainError  an argument is out of range, another number of points, or the fit makes k1 or k2 negative
///                      (the two points are not of one cable, or not of a smooth one)
/// Model error: with one point the loss away from it is too high below and too low above when the dielectric has a
/// part: 0.5 % over an octave for RG-58 at HF, more towards VHF. Data sheets print 2 or 3 digits.
Cable cable_from_attenuation(std::string name, double z0_ohm, double velocity_factor,
                             std::span<const AttenuationPoint> points);

/// Wave constants of a cable at one frequency, with the complex z0 that the losses bring.
///
/// With b0 = w/(vf c), and ac, ad the conductor and dielectric attenuation in Np/m,
///   y = G + jwC with C = 1/(z0 vf c) and G = 2 ad / z0      (loss angle of the dielectric 2 ad/b0)
///   gamma = (ac + ad) + j (b0 + ac)
///   z0 = gamma / y  =  z0 (1 + (1 - j) ac/b0 + j ad/b0)      to first order.
/// The equal shares of ac in both parts of gamma are the skin effect's surface impedance R (1 + j), R = 2 z0 ac: a
/// current that obeys the sqrt law stores as much inside the metal as it loses, so the cable's inductance rises by
/// R/w at low frequency and the wave slows down. R and L are not used themselves: taking them as R (1 + j) + jwL would
/// give the attenuation to first order only (low by ac/b0, 4 % for RG-58 at 1.8 MHz); here it is exact.
///
/// @param frequency_hz  finite, > 0, and so high that ac <= b0/4: further down the sqrt law has failed long ago
/// @throws DomainError  a field of the cable or the frequency is out of range
/// Accuracy: the attenuation is that of attenuation_db_per_m within 1e-15. z0 and beta agree with R (1 + j) + jwL
/// within 1.5 ((ac + ad)/b0)^2: 2.5e-3 for RG-58 at 1.8 MHz, 8e-3 for RG-174, ten times less at 18 MHz.
/// Model error: real conductors lose more than smooth ones (RG-58: 1.42 dB/100 ft at 10 MHz where smooth copper would
/// give 1.07), and how much of that excess is matched by stored energy is not known; so the rise of Re(z0), 2 % for
/// RG-58 at 7 MHz, may be a quarter too large. The tolerance of z0 itself, 2 ohm in 50 (MIL-C-17 limit), is larger.
/// Source: first-order complex z0 of a line with conductor loss, z0 (1 - j alpha/beta) (common practice); skin effect:
/// S. Ramo, J. R. Whinnery, T. Van Duzer, Fields and Waves in Communication Electronics (from memory).
LineConstants line_from_cable(const Cable& cable, double frequency_hz);

/// The cables known by name, in alphabetical order: nominal values, not limits. The source of each value stands in
/// the cable.
std::span<const Cable> cable_table();

/// A cable of the table by its exact name, "RG-58".
/// @throws DomainError  no such cable (the message lists the names there are)
const Cable& cable(std::string_view name);

}  // namespace stile::network

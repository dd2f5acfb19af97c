#pragma once
// The chain (ABCD) matrix of a two-port: what every network is made of here. It needs no reference impedance, and a
// row of two-ports is the product of their matrices. output_impedance is for library users.

#include <cmath>
#include <complex>
#include <span>

#include <stile/base/quantity.hpp>

namespace stile::network {

/// Both parts are finite.
inline bool finite(cdouble z) { return std::isfinite(z.real()) && std::isfinite(z.imag()); }

/// Chain matrix: V1 = a V2 + b I2, I1 = c V2 + d I2. Port 1 faces the transmitter, port 2 the load; I1 flows into
/// port 1, I2 flows out of port 2 into the load. a and d are plain numbers, b is in ohm, c in siemens.
/// The default is a straight connection.
struct Chain {
  cdouble a{1.0}, b{0.0}, c{0.0}, d{1.0};
};

/// The two-port made of `first` (transmitter's side) followed by `second`: the matrix product first * second.
/// Accuracy: each entry within 1e-15 of the modulus of the larger of its two terms (rounding of two products and a
/// sum).
Chain cascade(const Chain& first, const Chain& second);

/// All parts in order from transmitter to load as one two-port; no parts give a straight connection.
Chain cascade(std::span<const Chain> parts);

/// a d - b c; one for a reciprocal network, S12/S21 (equal real references) for any other.
cdouble determinant(const Chain& chain);

/// An impedance in the line from port 1 to port 2.
/// @param z_ohm  impedance, ohm; finite, 0 = straight connection
/// @throws DomainError  not finite
Chain series_chain(cdouble z_ohm);

/// An admittance across the line.
/// @param y_siemens  admittance, siemens; finite, 0 = nothing there
/// @throws DomainError  not finite (a short circuit across the line has no chain matrix)
Chain shunt_chain(cdouble y_siemens);

/// Lossless transformer without magnetising current: V1 = n V2, I1 = I2 / n, so Z1 = n^2 Z2.
/// @param turns_ratio  n = turns on port 1 over turns on port 2; finite, not 0, negative = windings in opposite sense
/// @throws DomainError  zero or not finite
Chain ideal_transformer_chain(double turns_ratio);

/// Impedance seen into port 1 of a row of two-ports whose last port 2 carries a load.
///
/// @param parts   two-ports in order from transmitter to load, all at the same frequency; empty returns z_load
/// @param z_load  ohm; finite, real part >= 0, 0 = short circuit
/// @return        ohm; real part >= 0 (to rounding) when every part is passive
/// @throws DomainError  z_load or a part is not finite, Re(z_load) < 0, the input is an open circuit, or the result
///                      overflows
/// Accuracy: 1e-14 relative per part, times the ratio by which terms of V or I cancel near a resonance (test_chain.cpp,
/// rows of passive HF parts against long double).
/// Source: the chain matrix as defined above with V2 = z_load, I2 = 1.
cdouble input_impedance(std::span<const Chain> parts, cdouble z_load);

/// Impedance seen into port 2 of the last part when port 1 of the first is closed by the source's impedance.
///
/// @param parts     as in input_impedance, from transmitter to load; empty returns z_source
/// @param z_source  ohm; finite, real part >= 0
/// @throws DomainError  as input_impedance; "the output is an open circuit"
/// Source: V1 = -z_source I1 put into the chain equations: Zout = (d Zs + b) / (c Zs + a). Holds for non-reciprocal
/// parts as well. Accuracy: as input_impedance.
cdouble output_impedance(std::span<const Chain> parts, cdouble z_source);

/// Impedance that must close port 2 of the last part for a given impedance seen at port 1: measured values carried
/// through a known network to its far end.
///
/// @param parts    as in input_impedance, from transmitter to load; empty returns z_input
/// @param z_input  ohm; finite (a measurement may have a real part below 0)
/// @throws DomainError  a value is not finite, a part lets nothing through (determinant 0), the far end is an open
///                      circuit, or the result overflows
/// Accuracy: undoes input_impedance; what the parts attenuate, rounding and measuring errors regain (twice their loss).
/// Source: the chain equations solved for V2 / I2.
cdouble far_end_impedance(std::span<const Chain> parts, cdouble z_input);

/// Power that enters port 1 over power that reaches the load, in decibels: what the parts themselves turn into heat.
/// Mismatch at the source has no part in it.
///
/// @param z_load  ohm; finite, real part > 0
/// @return        dB; >= 0 (to rounding) when every part is passive, 0 for lossless parts
/// @throws DomainError  a value is not finite, Re(z_load) <= 0, or the parts give no positive input power (active)
/// Accuracy: absolute 1e-13 dB times |Zin| / Re(Zin), so 1e-11 dB at an input Q of 100.
/// Source: P = Re(V I*) at both ports.
double dissipation_loss_db(std::span<const Chain> parts, cdouble z_load);

}  // namespace stile::network

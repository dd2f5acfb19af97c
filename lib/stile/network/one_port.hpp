#pragma once
// What the impedance of a load tells about it: how narrow it is, which voltage a power makes across it.

#include <stile/base/quantity.hpp>
#include <stile/network/ladder.hpp>

namespace stile::network {

/// Q from an impedance and its slope: f/(2 R) |dR/df + j (dX/df + |X|/f)|, tuned to resonance by one lossless series
/// reactance.
///
/// @param z_ohm            Re > 0, finite
/// @param slope_ohm_per_hz dZ/df
/// @param frequency_hz     > 0
/// @throws DomainError  outside these
/// Accuracy: 1e-12 relative for a series circuit of R, L and C (test_one_port.cpp), where the formula is exact; a few
/// per cent near other resonances.
/// Source: Yaghjian and Best, IEEE Trans. AP-53(4), 2005, 1298-1324, eq. 96 (number
/// from memory).
double q_from_impedance(cdouble z_ohm, cdouble slope_ohm_per_hz, double frequency_hz);

/// The same from two neighbouring frequencies, slope by difference, taken at their middle.
/// @throws DomainError  not 0 < low_hz < high_hz
double q_from_impedance(cdouble z_low_ohm, double low_hz, cdouble z_high_ohm, double high_hz);

/// Peak voltage across an impedance when all of a power goes into it, V: |Z| sqrt(2 P/R).
/// @param z_ohm    Re > 0, finite
/// @param power_w  >= 0, finite
/// @throws DomainError  outside these
double load_voltage_v_peak(cdouble z_ohm, double power_w);

/// Peak voltage across the load of an evaluated network, V.
double load_voltage_v_peak(const Evaluation& evaluation);

}  // namespace stile::network

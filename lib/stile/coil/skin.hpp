#pragma once
// Current inside round wire and tube.

#include <vector>

#include <stile/base/quantity.hpp>
#include <stile/coil/winding.hpp>

namespace stile {

/// Depth at which a wave in the metal has fallen to 1/e, m: sqrt(2 rho/(omega mu0)).
/// @throws DomainError  an argument is not > 0
double skin_depth_m(double resistivity_ohm_m, double frequency_hz);

/// Impedance of a straight solid round wire's inside over its direct-current resistance, R/R0 + j X/R0.
/// @param radius_over_depth  wire radius over skin depth, >= 0
/// @throws DomainError  negative or not finite
/// Accuracy: 1e-12 relative for radius_over_depth 0.05 to 200 (test_skin.cpp), against 15-digit rows.
/// Source: current density J0(k r), k = (1 - j)/depth; ratio of Bessel functions by continued fraction.
cdouble skin_impedance_ratio(double radius_over_depth);

/// Butterworth's loss factor G of a wire in a cross field, G = Re(-xi J1(xi)/J0(xi))/4, xi = (1 - j) radius/depth: a row
/// of wires far apart has R/R0 = skin + u (d/p)^2 G.
/// Accuracy: 1e-12, as skin_impedance_ratio. Source: Terman, Radio Engineers' Handbook, 1943, table 18 (printed values).
double cross_field_loss_factor(double radius_over_depth);

/// u(N) of a flat row of N equal wires with equal currents: mean over the wires of (sum over the others of 1/(i-j))^2.
/// @param wires  >= 1
/// Accuracy: rounding. Limit pi^2/3 for many wires. Source: Terman, 1943, table 20 (printed values: to 0.9 %).
double row_loss_factor(int wires);

/// Direct-current resistance of straight wire or tube, ohm/m.
double dc_resistance_ohm_per_m(const WindingWire& wire);

/// Resistance and internal reactance of straight wire or tube, ohm/m.
/// Accuracy: 1e-9 (solid 1e-12).
cdouble internal_impedance_ohm_per_m(const WindingWire& wire, double frequency_hz);

}  // namespace stile

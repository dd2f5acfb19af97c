#pragma once
// What current does inside round wire, tube and strip.

#include <vector>

#include <stile/base/quantity.hpp>
#include <stile/conductor/metal.hpp>

namespace stile::conductor {

/// Round wire or tube.
struct RoundWire {
  double diameter_m = 0.0;  ///< of the bare metal, outside; > 0
  double wall_m = 0.0;      ///< 0: solid; otherwise the tube's wall, below half the diameter
  Metal metal = metal_by_name("copper");
  double temperature_c = 20.0;
};

/// Depth at which a wave in the metal has fallen to 1/e, m: sqrt(2 rho/(omega mu)).
/// @param relative_permeability  >= 1
/// @throws DomainError  an argument outside, or not > 0
double skin_depth_m(double resistivity_ohm_m, double frequency_hz, double relative_permeability = 1.0);

/// Impedance of a straight solid round wire's inside over its direct-current resistance, R/R0 + j X/R0.
/// @param radius_over_depth  wire radius over skin depth, >= 0
/// @throws DomainError  negative or not finite
/// Accuracy: 1e-12 relative for radius_over_depth 0.05 to 1e5 (test_skin.cpp: 15-digit rows to 200, asymptotic series
/// above).
/// Source: current density J0(k r), k = (1 - j)/depth; ratio of Bessel functions by continued fraction.
cdouble skin_impedance_ratio(double radius_over_depth);

/// Butterworth's loss factor G of a wire in a cross field, G = Re(-xi J1(xi)/J0(xi))/4, xi = (1 - j) radius/depth: a
/// row of wires far apart has R/R0 = skin + u (d/p)^2 G. Accuracy: 1e-9 relative against 10-digit values.
/// Source:
/// Terman, Radio Engineers' Handbook, 1943, table 18 (printed).
double cross_field_loss_factor(double radius_over_depth);

/// Direct-current resistance of straight wire or tube, ohm/m.
/// @throws DomainError  no diameter, a wall of half the diameter or more, a temperature out of range
double dc_resistance_ohm_per_m(const RoundWire& wire);

/// Resistance and internal reactance of straight wire or tube, ohm/m. The tube's bore holds no return current.
/// @throws DomainError  as dc_resistance_ohm_per_m; frequency not > 0
/// Accuracy: solid 1e-12, tube 1e-9, for outer radii of 0.05 to 300 depths, against exact rows (test_skin.cpp). Round,
/// straight, alone, smooth.
cdouble internal_impedance_ohm_per_m(const RoundWire& wire, double frequency_hz);

/// The same of solid wire from its conductivity, for metals that are magnetic or in no table.
/// @param radius_m, conductivity_s_m, frequency_hz  > 0; relative_permeability >= 1
/// @throws DomainError  outside these
/// Accuracy: 1e-12, as skin_impedance_ratio, from which it is made.
cdouble wire_impedance_ohm_per_m(double radius_m, double conductivity_s_m, double relative_permeability,
                                 double frequency_hz);

/// Impedance of a flat strip's inside, ohm/m, for library users: current even across the width, half of it on each
/// face. So it is in a wide strap whose return lies flat beside it; alone, current crowds at the edges and the
/// resistance is higher.
/// @param width_m, thickness_m  > 0, width at least 5 thicknesses (the edges are not counted)
/// @throws DomainError  outside these; as resistivity_ohm_m; frequency not > 0
/// Accuracy: 1e-12 of Z = k rho coth(k t/2)/(2 w), k = (1 + j)/depth (test_skin.cpp: against a wide tube's wall, and
/// limits).
cdouble strip_impedance_ohm_per_m(double width_m, double thickness_m, const Metal& metal, double temperature_c,
                                  double frequency_hz);

/// Inside of a wire as its outside feels it, for each order m = 0 .. highest: surface current density over surface
/// vector potential times mu0, 1/m. That is m/r - A'(r)/A(r) for the field exp(j m theta) inside; k J_(m+1)(k r)/J_m(k
/// r) for solid wire, k = (1 - j)/depth.
std::vector<cdouble> surface_current_ratios(const RoundWire& wire, double depth_m, int highest);

}  // namespace stile::conductor

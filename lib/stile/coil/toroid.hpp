#pragma once
// Coils on ring cores of rectangular section, for library users: no tool reads a core. Material data are the user's.

#include <string>
#include <vector>

#include <stile/base/quantity.hpp>
#include <stile/base/range.hpp>
#include <stile/coil/analysis.hpp>
#include <stile/coil/winding.hpp>

namespace stile::coil {

struct RingCore {
  double outer_diameter_m = 0.0, inner_diameter_m = 0.0, height_m = 0.0;
};

/// Core constants by the rules of IEC 60205 for a ring of rectangular section.
struct CoreConstants {
  double c1_per_m = 0.0;   ///< sum of length over area
  double c2_per_m3 = 0.0;  ///< sum of length over area squared
  double length_m = 0.0;   ///< effective
  double area_m2 = 0.0;    ///< effective
  double volume_m3 = 0.0;  ///< effective
};

/// @throws DomainError  a size not > 0, or no hole
/// Accuracy: 1e-14 relative for an outside from 1.3 times the hole on (test_toroid.cpp). Model: sharp edges; a rounded
/// ring has 1 to 5 % less area (common practice).
CoreConstants core_constants(const RingCore& core);

struct ToroidCoil {
  RingCore core;
  double mu_real = 1.0;       ///< complex permeability mu' - j mu'' at the frequency asked for
  double mu_imaginary = 0.0;  ///< >= 0
  int turns = 1;
  conductor::RoundWire wire;
  double insulation_m = 0.0;  ///< thickness of enamel or sleeve on the wire
};

struct ToroidResult {
  double inductance_h = 0.0;
  double core_resistance_ohm = 0.0, winding_resistance_ohm = 0.0;
  double q_core = 0.0;  ///< mu'/mu''; infinite without loss
  double q = 0.0;       ///< both losses
  Range q_practice;     ///< winding loss 5 and 15 % higher
  double wire_length_m = 0.0;
  double layer_turns = 0.0;  ///< turns that fit side by side on the inside
  double window_fill = 0.0;  ///< wire cross-sections over the hole
  std::vector<std::string> warnings;
};

/// @throws DomainError  a value out of its range, wire that does not fit the hole once
/// Accuracy: inductance and core resistance 5e-6 relative, against rows of six digits (test_toroid.cpp). Model: even
/// permeability; winding resistance is skin effect alone, so R of close turns is low by a factor up to 2 or more;
/// self-capacitance left out. Cores of one type vary by 5 to 20 % in permeability.
ToroidResult analyse_toroid(const ToroidCoil& coil, double frequency_hz);

/// Least whole number of turns that reaches an inductance.
int toroid_turns(const RingCore& core, double mu_real, double inductance_h);

/// Peak flux density, tesla: V_rms/(sqrt(2) pi f N Ae).
double flux_density_t_peak(double v_rms, double frequency_hz, int turns, double area_m2);

}  // namespace stile::coil

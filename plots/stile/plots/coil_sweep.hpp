#pragma once
// Inductance and Q of a coil against frequency.

#include <string>
#include <vector>

#include <stile/plots/chart.hpp>

namespace stile::plots {

/// All lists of the same length.
struct CoilCurve {
  std::vector<double> frequency_hz;           ///< > 0, rising
  std::vector<double> inductance_h;           ///< of the turns without capacitance, > 0
  std::vector<double> apparent_inductance_h;  ///< at the terminals; any sign, any size
  std::vector<double> q_low, q_high;          ///< band of Q of the turns in practice, 0 < low <= high
  std::vector<double> terminal_q_low,
      terminal_q_high;             ///< the same at the terminals, capacitance and former included; 0: none
  double self_resonance_hz = 0.0;  ///< 0: not known
};

/// Inductance above, Q below, over one axis of frequency. Q is a band, never a line: of the turns alone, and at the
/// terminals. The self-resonance is a labelled line where it lies within the frequencies, and what lies above it is
/// grey: there the coil is no inductance.
/// @throws DomainError  fewer than two points, lengths that differ, a value outside its range
Chart coil_sweep_chart(const CoilCurve& curve, const ChartText& text);

}  // namespace stile::plots

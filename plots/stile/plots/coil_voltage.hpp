#pragma once
// Voltage along a coil.

#include <string>
#include <vector>

#include <stile/plots/chart.hpp>

namespace stile::plots {

struct CoilVoltage {
  std::string label;
  std::vector<double> turn;    ///< from the start of the wire, rising
  std::vector<double> v_peak;  ///< to ground, >= 0; same length
  double tap_turn = 0.0;       ///< where the current leaves; turns beyond are unused
};

/// One line a curve: turn from the transmitter's end, peak voltage to ground. A mark stands at each tap.
/// @throws DomainError  no curve, lengths that differ, a value outside its range
Chart coil_voltage_chart(const std::vector<CoilVoltage>& curves, const ChartText& text);

}  // namespace stile::plots

#pragma once
// Current along the wires of a whip.

#include <string>
#include <vector>

#include <stile/plots/chart.hpp>
#include <stile/plots/whip_sweep.hpp>

namespace stile::plots {

/// A condition with the names of its wires, at one frequency.
struct WhipCurrent {
  std::string condition;
  std::vector<std::string> wires;  ///< by index
  wire::AntennaSolution solution;
};

/// One panel a condition, one line a wire: size of the current over the distance from the wire's first point, as a
/// share of the current into the antenna. A wire of the same name has the same look in every panel.
///
/// @param conditions  1..16; every cell on a named wire
/// @throws DomainError  outside these
Chart whip_current_chart(const std::vector<WhipCurrent>& conditions, const ChartText& text);

}  // namespace stile::plots

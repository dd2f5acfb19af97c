#pragma once
// Power against what it costs to carry.

#include <string>
#include <vector>

#include <stile/plots/chart.hpp>

namespace stile::plots {

struct TradePoint {
  std::string label;      ///< the same has the same look in every panel
  double cost = 0.0;      ///< finite
  double power_w = 0.0;   ///< > 0
  bool unbeaten = false;  ///< no other costs less and gives more
};

struct TradePanel {
  std::string title;  ///< the band
  std::vector<TradePoint> points;
};

/// What it means to be beaten by nothing where cost and power alone count.
inline constexpr const char* unbeaten_in_power =
    "None costs less and gives as much, and none gives more for as little.";

/// One panel a band: a mark for each arrangement, power on a logarithmic axis against cost; what no other beats stands
/// on grey discs that lines join, and the foot says so. Where every cost is a whole number, so is every tick.
///
/// @param panels  not empty, each with a point
/// @param axis    what the cost is, with its unit
/// @param power   likewise: "radiated, W"
/// @param unbeaten_means  what it means, where more than cost and power count
/// @throws DomainError  a value outside its range
Chart trade_chart(const std::vector<TradePanel>& panels, const std::string& axis, const std::string& power,
                  const ChartText& text, const std::string& unbeaten_means = unbeaten_in_power);

}  // namespace stile::plots

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

/// One panel a band: a mark for each arrangement, power on a logarithmic axis against cost; what no other beats stands on grey discs that lines
/// join, and the foot says so. Where every cost is a whole number, so is every tick.
///
/// @param panels  not empty, each with a point
/// @param axis    what the cost is, with its unit
/// @param power   likewise: "radiated, W"
/// @throws DomainError  a value outside its range
Chart trade_chart(const std::vector<TradePanel>& panels, const std::string& axis, const std::string& power,
                  const ChartText& text);

}  // namespace stile::plots

#pragma once
// Worst SWR against the number of relays.

#include <string>
#include <vector>

#include <stile/plots/chart.hpp>

namespace stile::plots {

struct TradeOffPoint {
  std::size_t relays = 0;
  double worst_swr = 0.0;  ///< >= 1, infinite allowed
  std::string name;        ///< "4 L + 5 C"
};

/// A step for each number of relays, named; SWR on a logarithmic axis from 1 to 100, the limit as a line, the first
/// point within it marked.
///
/// @param points     not empty, rising relays
/// @param swr_limit  > 1
/// @throws DomainError  a value outside its range
Chart trade_off_chart(const std::vector<TradeOffPoint>& points, double swr_limit, const ChartText& text);

}  // namespace stile::plots

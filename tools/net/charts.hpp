#pragma once
// What stile-net draws.

#include <stile/plots/chart.hpp>

#include "net/case.hpp"

namespace stile::tools {

/// One frequency: the way through the network; a sweep: the SWR along it.
plots::Chart net_chart(const NetCase& c, double swr_limit);

}  // namespace stile::tools

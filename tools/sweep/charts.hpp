#pragma once
// What stile-sweep draws.

#include <stile/plots/chart.hpp>

#include "sweep/case.hpp"

namespace stile::tools {

/// The words --show takes, separated by blanks.
inline constexpr const char* sweep_shows = "impedance smith residual comparison";

plots::Chart sweep_chart(const SweepCase& c);

}  // namespace stile::tools

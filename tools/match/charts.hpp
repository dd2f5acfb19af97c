#pragma once
// What stile-match draws.

#include <cstddef>

#include <stile/plots/chart.hpp>

#include "match/case.hpp"

namespace stile::tools {

/// The way through one solution: what would be built, so with preferred values where they are asked for.
/// @param solution  index into the matches
plots::Chart match_chart(const MatchCase& c, std::size_t solution);

}  // namespace stile::tools

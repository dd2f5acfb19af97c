#pragma once
// What stile-match draws.

#include <cstddef>

#include <stile/plots/chart.hpp>

#include "match/case.hpp"

namespace stile::tools {

/// The way through one solution: what would be built, so with preferred values where they are asked for.
/// @param solution  index into the matches
plots::Chart match_chart(const MatchCase& c, std::size_t solution);

/// The SWR of what would be built across its band, with what tolerances do to it where they are stated.
plots::Chart band_chart(const MatchCase& c, std::size_t solution);

}  // namespace stile::tools

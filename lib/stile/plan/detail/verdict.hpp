#pragma once
// What to take on a band, and why. Internal to the room.

#include <vector>

#include <stile/plan/detail/judge.hpp>

namespace stile::plan::detail {

/// Fills arrangements, choice, taken, verdict, measures and turns. The rules stand at make_plan.
/// @param along   the ranges of which the judged have lines
/// @param judged  all arrangements on the band, on `grid`
void decide(const station::Station& station, const CornerGrid& grid, std::vector<Along> along,
            std::vector<Judged> judged, BandResult& band);

}  // namespace stile::plan::detail

#pragma once
// What to take on a band, and why. Internal to the room.

#include <vector>

#include <stile/plan/detail/judge.hpp>

namespace stile::plan::detail {

/// Fills arrangements, choice, taken, verdict, measures and turns. The rules stand at make_plan. Where power into the
/// antenna counts, arrangements on different antennas are not compared (compared.hpp): where those of several hold the
/// band is undecided, with what to take on each (BandResult::apart).
/// @param along   the ranges of which the judged have lines
/// @param judged  all arrangements on the band, on `grid`
void decide(const station::Station& station, const CornerGrid& grid, std::vector<Along> along,
            std::vector<Judged> judged, BandResult& band);

}  // namespace stile::plan::detail

#pragma once
// What to take on a band, and why. Internal to the room.

#include <vector>

#include <stile/plan/detail/judge.hpp>

namespace stile::plan::detail {

/// Fills choice, taken, verdict, measures and turns. The rules stand at make_plan.
/// @param corners  of band.arrangements, on `grid`
/// @param along  the ranges of which corners have the lines
void decide(const station::Station& station, const CornerGrid& grid, const std::vector<Along>& along,
            const std::vector<CornerTable>& corners, BandResult& band);

}  // namespace stile::plan::detail

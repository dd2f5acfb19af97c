#pragma once
// Values between those of a range at which something may flip. Internal to the room.

#include <functional>
#include <vector>

#include <stile/plan/detail/judge.hpp>

namespace stile::plan::detail {

/// Where a height that is known at some values, and above 0 at none of them, may come above it between: in the middles
/// beside each of its peaks from which a step as great as the one to a neighbour would lead there. Beside a peak that
/// is nearer to its neighbours than a 512th of the range nothing is looked for.
///
/// @param value   rising, at least two
/// @param height  one a value; may be -infinity
/// @return        values between; none where nothing may, or the height is above 0 already
std::vector<double> worth_looking(const std::vector<double>& value, const std::vector<double>& height);

/// Heights along a range, each of which asks whether something flips.
using Heights = std::function<std::vector<std::vector<double>>(std::size_t range)>;

/// Looks between the values of each range until no height may come above 0 there, at most 24 times a range: of more
/// places those next to the greatest heights. All arrangements are looked at in the same places.
/// @return  whether there was anything to look at
bool look_between(const station::Station& station, std::vector<Along>& along, std::vector<Judged>& judged,
                  const Heights& heights);

}  // namespace stile::plan::detail

#pragma once
// Gain of a whip in a vertical plane.

#include <string>
#include <vector>

#include <stile/plots/chart.hpp>
#include <stile/wire/far_field.hpp>

namespace stile::plots {

/// A condition in one vertical plane, from the right horizon over the zenith to the left one, in free space all around.
struct WhipPattern {
  std::string condition;
  std::vector<wire::PatternPoint> right;  ///< rising elevation, radians; gain may be -infinity
  std::vector<wire::PatternPoint> left;   ///< the opposite azimuth
};

/// Polar: angle is elevation, radius is gain in dBi over 40 dB below the next multiple of 5 above the highest. The
/// legend gives the highest gain of each condition and its elevation.
///
/// @param conditions  1..16, all from the same lowest elevation
/// @throws DomainError  no point, or no finite gain
Chart whip_pattern_chart(const std::vector<WhipPattern>& conditions, const ChartText& text);

}  // namespace stile::plots

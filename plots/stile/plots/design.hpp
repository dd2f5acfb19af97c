#pragma once
// What a search for antenna and match found: over the lengths, and over the bands.

#include <optional>
#include <string>
#include <vector>

#include <stile/base/range.hpp>
#include <stile/design/answer.hpp>
#include <stile/plots/chart.hpp>

namespace stile::plots {

/// Shades: how much more is lost than by the best, over whip and wire, linear between the lengths that were solved. The
/// best is marked, 0.5 dB around it is a thick line; where fewer bands hold than of the best is behind a dashed one.
///
/// @param map   two lengths each way, or more
/// @param held  bands that hold count
/// @throws DomainError  lengths that differ or do not rise, nothing finite
Chart lengths_map_chart(const design::LengthMap& map, bool held, const ChartText& text);

/// One station on every band.
struct BandPower {
  std::string label;
  std::vector<double> stated_w;  ///< one a band; 0: none, not drawn
  std::vector<std::optional<Range>>
      walks_w;  ///< of the walks, from what nine of ten reach to the median; empty: no walks
};

/// A mark for what a station does as stated, a bar beside it for the walks, side by side in each band; power on a
/// logarithmic axis.
///
/// @param bands  names, 1..30
/// @param power  what it is: "radiated power, W"
/// @throws DomainError  no station, not one power a band, nothing to draw
Chart band_power_chart(const std::vector<std::string>& bands, const std::vector<BandPower>& stations,
                       const std::string& power, const ChartText& text);

}  // namespace stile::plots

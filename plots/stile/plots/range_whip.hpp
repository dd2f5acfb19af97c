#pragma once
// Loss of a tuner over whip length and frequency.

#include <vector>

#include <stile/plots/chart.hpp>

namespace stile::plots {

struct WhipMapPoint {
  double frequency_hz = 0.0, length_m = 0.0;
};

/// Frequencies and lengths evenly spread on logarithmic scales.
struct WhipMap {
  std::vector<double> frequency_hz;                   ///< rising by one ratio, each > 0, at least two
  std::vector<double> length_m;                       ///< likewise
  std::vector<double> loss_db;                        ///< by frequency, then length; nan: white (no load known)
  std::vector<double> swr;                            ///< residual; nan where loss_db is
  std::vector<std::vector<WhipMapPoint>> break_even;  ///< below the line a base coil loses less
};

/// @throws DomainError  lengths that differ, values outside their range
Chart whip_map_chart(const WhipMap& map, double swr_limit, const ChartText& text);

}  // namespace stile::plots

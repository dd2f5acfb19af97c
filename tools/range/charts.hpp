#pragma once
// Charts of stile-range.

#include <span>
#include <string>

#include <stile/plots/chart.hpp>
#include <stile/tuner/sizing.hpp>
#include <stile/tuner/whip_study.hpp>

#include "range/work.hpp"

namespace stile::tools {

/// @param least_swr  the maps of least SWR on the same grid, for the edge of the range
/// @throws UsageError  more than 8 bands
plots::Chart map_chart(const RangeCase& c, const std::vector<RangeMap>& maps, const std::vector<RangeMap>& least_swr,
                       MapKind kind);

/// Residual SWR across each band, one line a load.
plots::Chart sweeps_chart(const RangeCase& c, const RangeReport& report);

plots::Chart greedy_chart(const RangeCase& c, const MapGrid& grid, double frequency_hz,
                          const std::vector<GreedyReach>& reach);

plots::Chart sizing_chart(const RangeCase& c, const SizingResult& result);

struct WhipQuestion {
  double radius_m = 0.0, ground_ohm = 0.0, coil_q = 0.0;
};
/// @param length_m, frequency_hz  the study's axes; cells that it has not are white
plots::Chart whip_chart(const RangeCase& c, const WhipQuestion& question, const WhipStudy& study,
                        std::span<const double> length_m, std::span<const double> frequency_hz);

/// "relay L: 131072 states".
std::string tuner_text(const Tuner& tuner);

}  // namespace stile::tools

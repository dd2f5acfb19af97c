#pragma once
// Charts of stile-range.

#include <string>

#include <stile/plots/chart.hpp>
#include <stile/plots/range_map.hpp>
#include <stile/tuner/sizing.hpp>
#include <stile/tuner/whip_study.hpp>

#include "range/case.hpp"

namespace stile::tools {

enum class MapKind { matchable, swr, delivered, loss, stress, limiting_part };

/// @param least_swr  the maps of least SWR on the same grid, for the edge of the range
plots::Chart map_chart(const RangeCase& c, const std::vector<tuner::RangeMap>& maps,
                       const std::vector<tuner::RangeMap>& least_swr, MapKind kind);

/// Residual SWR across each band, one line a load.
plots::Chart sweeps_chart(const RangeCase& c, const tuner::RangeSurvey& survey);

plots::Chart greedy_chart(const RangeCase& c, const tuner::MapGrid& grid, double frequency_hz,
                          const std::vector<tuner::GreedyReach>& reach);

plots::Chart sizing_chart(const RangeCase& c, const tuner::SizingResult& result);

/// Cells that the study has not are white.
plots::Chart whip_chart(const RangeCase& c, const tuner::WhipQuestion& question, const tuner::ShortWhipStudy& study);

// What the charts of both kinds of tuner share.
plots::ChartText chart_text(const RangeCase& c, const std::string& title);
/// The same of a map, with the reference of a plane that is not the transmitter's.
plots::ChartText map_text(const RangeCase& c, const tuner::MapGrid& grid, const std::string& title);
plots::RangeGrid plot_grid(const tuner::MapGrid& grid);
std::vector<plots::RangeMark> marks_of(const RangeCase& c, double frequency_hz);
plots::RangeQuantity heat_scale();
std::string when(const RangeCase& c);
double lowest_hz(const RangeCase& c);

/// "relay L: 131072 states".
std::string tuner_text(const tuner::Tuner& tuner);

}  // namespace stile::tools

#pragma once
// Results of stile-range as text, JSON and CSV.

#include <string>
#include <vector>

#include <stile/safety/cautions.hpp>
#include <stile/tuner/sizing.hpp>
#include <stile/tuner/whip_study.hpp>

#include "cli/output.hpp"
#include "range/charts.hpp"

namespace stile::tools {

/// With the highest voltage at the loads.
std::vector<safety::Caution> range_cautions(const RangeCase& c, const std::vector<tuner::LoadAnswer>& loads);

/// @param maps  written as arrays (JSON) or one row a cell (CSV); empty: none
std::string range_text(const RangeCase& c, const tuner::RangeSurvey& survey);
/// Holds what it writes.
Pieces range_json(RangeCase c, tuner::RangeSurvey survey, std::vector<tuner::RangeMap> maps);
std::string range_csv(const RangeCase& c, const tuner::RangeSurvey& survey);
std::string maps_csv(const RangeCase& c, const std::vector<tuner::RangeMap>& maps);
/// What of the SWR limit and the ratings no state keeps; empty: all is well.
std::string range_reason(const RangeCase& c, const tuner::RangeSurvey& survey);

std::string greedy_text(const RangeCase& c, const std::vector<tuner::GreedyAnswer>& answers);
std::string greedy_json(const RangeCase& c, const std::vector<tuner::GreedyAnswer>& answers);
std::string greedy_csv(const RangeCase& c, const std::vector<tuner::GreedyAnswer>& answers);
std::string greedy_reason(const RangeCase& c, const std::vector<tuner::GreedyAnswer>& answers);

std::string sizing_text(const RangeCase& c, const tuner::SizingResult& result, std::size_t loads);
std::string sizing_json(const RangeCase& c, const tuner::SizingResult& result);
std::string sizing_csv(const RangeCase& c, const tuner::SizingResult& result);

std::string whip_text(const RangeCase& c, const tuner::WhipQuestion& question, const tuner::ShortWhipStudy& study);
std::string whip_json(const RangeCase& c, const tuner::WhipQuestion& question, const tuner::ShortWhipStudy& study);
std::string whip_csv(const RangeCase& c, const tuner::ShortWhipStudy& study);

}  // namespace stile::tools

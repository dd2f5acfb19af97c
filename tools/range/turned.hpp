#pragma once
// Range of a tuner whose parts turn: what it matches exactly.

#include <string>
#include <vector>

#include <stile/plots/chart.hpp>
#include <stile/tuner/continuous_survey.hpp>

#include "range/case.hpp"

namespace stile::tools {

/// Heat in the parts where loads are matched, or only whether they are, with the traced outline.
/// @param maps  of each band, as map_continuous
plots::Chart turned_chart(const RangeCase& c, const tuner::ContinuousSurvey& survey, const tuner::MapGrid& grid,
                          bool heat, const std::vector<std::vector<tuner::ContinuousMatch>>& maps);

std::string turned_text(const RangeCase& c, const tuner::ContinuousSurvey& survey);
std::string turned_json(const RangeCase& c, const tuner::ContinuousSurvey& survey);
std::string turned_csv(const RangeCase& c, const tuner::ContinuousSurvey& survey);
std::string turned_reason(const tuner::ContinuousSurvey& survey);

}  // namespace stile::tools

#pragma once
// How far loads may wander, as text, JSON and CSV comments.

#include <string>

#include "cli/json.hpp"
#include "plan/report.hpp"

namespace stile::tools {

/// Nothing when it was not asked for.
std::string reach_text(const Answers& answers);

/// Of one band and arrangement; nullptr: not asked for, or it cannot be made.
const plan::SettingsReach* reach_of(const Answers& answers, std::size_t band, std::size_t arrangement);
/// Of one of its conditions; nullptr: an accident.
const plan::ConditionReach* condition_reach(const plan::SettingsReach& reach, std::size_t condition);

Json reach_json(const Answers& answers, const plan::SettingsReach& reach);

/// What the columns of the CSV leave out: loads, moves tried and the traced edges, as comment lines.
std::string reach_csv(const Answers& answers);

}  // namespace stile::tools

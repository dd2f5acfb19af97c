#pragma once
// What stile-whip writes.

#include <string>
#include <vector>

#include "cli/output.hpp"
#include "whip/job.hpp"

namespace stile::tools {

/// With the highest voltage at the feed.
std::vector<safety::Caution> whip_cautions(const WhipJob& job);

/// Refers to the job.
Pieces whip_json(const WhipJob& job);
std::string whip_csv(const WhipJob& job);
std::string whip_text(const WhipJob& job);
/// The feed impedance in one condition.
std::string whip_touchstone(const WhipJob& job, const wire::ConditionSweep& sweep);

/// Why the least efficiency is below what is stated; empty when it is not.
std::string whip_reason(const WhipJob& job, double least_efficiency);

}  // namespace stile::tools

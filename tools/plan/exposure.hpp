#pragma once
// Fields at people in what stile-plan writes.

#include <string>
#include <vector>

#include <stile/plan/plan.hpp>

#include "cli/json.hpp"

namespace stile::tools {

/// [{"band","arrangement","where", ...}]: one a band, arrangement, place and level, of the worst condition.
Json plan_exposure_json(const plan::Plan& plan);
/// A line each finding: band, arrangement and what was found.
std::vector<std::string> exposure_lines(const plan::Plan& plan);
/// A line a band and arrangement: the verdict on the public that is exceeded most. Empty without fields.
std::string plan_exposure_text(const plan::Plan& plan);
/// The same as comment lines.
std::string plan_exposure_csv(const plan::Plan& plan);

}  // namespace stile::tools

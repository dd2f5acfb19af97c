#pragma once
// Parts, mass, hands, the order of bands, resets and frontiers, as text, JSON and CSV.

#include <string>

#include "cli/json.hpp"
#include "plan/report.hpp"

namespace stile::tools {

std::string carrying_text(const Answers& answers);
Json carrying_json(const Answers& answers);
std::string carrying_csv(const Answers& answers);

}  // namespace stile::tools

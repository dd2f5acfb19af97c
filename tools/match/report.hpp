#pragma once
// What stile-match writes.

#include <string>

#include "match/case.hpp"

namespace stile::tools {

/// Why nothing matches, or no solution keeps the SWR limit with preferred values; empty when one does.
std::string match_reason(const MatchCase& c);

std::string match_json(const MatchCase& c);
std::string match_csv(const MatchCase& c);
std::string match_text(const MatchCase& c);

}  // namespace stile::tools

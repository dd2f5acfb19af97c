#pragma once
// What stile-match is asked for, and what came out.

#include <string>
#include <vector>

#include <stile/match/load_limit.hpp>
#include <stile/match/real_parts.hpp>
#include <stile/safety/cautions.hpp>

namespace stile::tools {

struct MatchCase {
  match::MatchRequest request;
  match::RealParts parts;
  cdouble z_load_ohm{};
  match::LoadLimit limit;
  std::vector<match::RealMatch> matches;
  std::string why;  ///< why the answer does not hold; empty when it does
  std::vector<safety::Caution> cautions;
};

}  // namespace stile::tools

#pragma once
// What stile-net writes.

#include <optional>
#include <string>

#include "cli/json.hpp"
#include "net/case.hpp"

namespace stile::tools {

Pieces net_json(const NetCase& c);
std::string net_csv(const NetCase& c);
std::string net_text(const NetCase& c);
/// The input impedance.
std::string net_touchstone(const NetCase& c);

/// Which ratings are broken, and the SWR where it is over a limit; empty when all holds.
std::string net_reason(const NetCase& c, const std::optional<double>& swr_limit);

}  // namespace stile::tools

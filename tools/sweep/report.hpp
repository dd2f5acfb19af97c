#pragma once
// What stile-sweep writes.

#include <string>

#include "cli/json.hpp"
#include "sweep/case.hpp"

namespace stile::tools {

Pieces sweep_json(const SweepCase& c);
std::string sweep_csv(const SweepCase& c);
std::string sweep_text(const SweepCase& c);
std::string sweep_touchstone(const SweepCase& c);

/// Why status 1 is due: a file without anything usable, a model that the data refuse. Empty: not.
std::string sweep_reason(const SweepCase& c);

}  // namespace stile::tools

#pragma once
// What stile-whip draws.

#include <string>

#include <stile/plots/chart.hpp>

#include "whip/job.hpp"

namespace stile::tools {

/// job.show says what.
/// @param file  that of the wires
plots::Chart whip_chart(const WhipJob& job, const std::string& file);

}  // namespace stile::tools

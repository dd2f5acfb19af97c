#pragma once
// Charts of a plan that lay bands, arrangements and places side by side.

#include <vector>

#include "plan/report.hpp"

namespace stile::tools {

/// Power of every arrangement on every band with its uncertainty, towards the other station where a path is stated, and
/// then what is radiated as well; operating time where a battery is stated; fields at the person where antennas are of
/// wires.
/// @param text  its source stands below each
std::vector<NamedChart> answer_charts(const Answers& answers, const plots::ChartText& text);

}  // namespace stile::tools

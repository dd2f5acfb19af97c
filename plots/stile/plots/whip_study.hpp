#pragma once
// What moving the coil and changing the whip's length do.

#include <vector>

#include <stile/plots/chart.hpp>
#include <stile/wire/antenna_study.hpp>

namespace stile::plots {

/// Feed reactance and both efficiencies: against the coil's place on the left when there is one, against length.
///
/// @param conditions  1..16; all with or all without a coil
/// @throws DomainError  outside these
Chart whip_study_chart(const std::vector<wire::AntennaStudy>& conditions, const ChartText& text);

}  // namespace stile::plots

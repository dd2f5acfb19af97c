#pragma once
// Where the power into a whip goes, over frequency.

#include <vector>

#include <stile/plots/chart.hpp>
#include <stile/plots/whip_sweep.hpp>

namespace stile::plots {

/// One panel a condition: shares of the power into the feed in dB, 0 dB all of it, a line each; the range of what is
/// radiated stands in the panel's title. Shares below -40 dB are left out, and a note says so. Stretches of frequencies
/// between wide gaps stand side by side.
///
/// @param conditions  1..16, each with a point and rising frequencies
/// @throws DomainError  outside these
Chart whip_power_chart(const std::vector<WhipSweep>& conditions, const ChartText& text);

}  // namespace stile::plots

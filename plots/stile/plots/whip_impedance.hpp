#pragma once
// Feed impedance of a whip over frequency, one line a condition.

#include <vector>

#include <stile/plots/chart.hpp>
#include <stile/plots/whip_sweep.hpp>

namespace stile::plots {

/// Resistance above, on a logarithmic axis when it spans more than a factor of ten, and reactance below. Stretches of
/// frequencies between wide gaps stand side by side.
///
/// @param conditions  1..16, each with a point; resistances > 0
/// @throws DomainError  outside these, frequencies not rising
Chart whip_impedance_chart(const std::vector<WhipSweep>& conditions, const ChartText& text);

/// The same as tracks in the plane of the reflection coefficient, with the frequency at the ends of each stretch; a
/// single frequency is left to the title.
///
/// @param reference_ohm  > 0
Chart whip_smith_chart(const std::vector<WhipSweep>& conditions, double reference_ohm, const ChartText& text);

}  // namespace stile::plots

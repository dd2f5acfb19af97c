#pragma once
// The taps of a band-switched coil, as a ladder of bars.

#include <string>
#include <vector>

#include <stile/plots/chart.hpp>

namespace stile::plots {

struct TapBar {
  std::string label;     ///< band and condition
  double turns = 0.0;    ///< in use, >= 0
  bool shorted = false;  ///< the unused turns; otherwise open
  std::string figures;   ///< small type below the label: inductance, Q as a band, loss
};

/// One bar a band over the turns of the coil: black the turns in use, hatched the shorted ones, white the open ones.
/// @param turns     of the whole coil, > 0
/// @param pitch_m   for the second axis, mm along the former, > 0
/// @throws DomainError  no bar, or a value outside its range
Chart coil_taps_chart(const std::vector<TapBar>& bars, double turns, double pitch_m, const ChartText& text);

}  // namespace stile::plots

#pragma once
// How a verdict tells numbers. Internal to the room.

#include <cmath>
#include <string>

#include <fmt/format.h>

namespace stile::safety::detail {

/// "1.4 times" above, "0.62 of" below.
inline std::string ratio_words(double ratio) {
  return ratio > 1.0 ? fmt::format("{:.3g} times", ratio) : fmt::format("{:.2g} of", ratio);
}

/// Rounded down to two figures, so that what is told holds. @param value > 0
inline double two_figures_down(double value) {
  const double step = std::pow(10.0, std::floor(std::log10(value)) - 1.0);
  return step * std::floor(value / step * (1.0 + 1e-12));
}

}  // namespace stile::safety::detail

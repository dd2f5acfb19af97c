#include <stile/plots/smith_window.hpp>

#include <algorithm>
#include <cmath>

#include <stile/base/range.hpp>

namespace stile::plots::detail {

std::optional<SmithWindow> crowded_window(const std::vector<cdouble>& reflections) {
  constexpr double least_half = 0.01, most_half = 0.3, margin = 1.2, least_margin = 0.12;  // of the half
  Range x{1e300, -1e300}, y{1e300, -1e300};
  for (const cdouble g : reflections) {
    x = {std::min(x.low, g.real()), std::max(x.high, g.real())};
    y = {std::min(y.low, g.imag()), std::max(y.high, g.imag())};
  }
  const double half = std::max(least_half, 0.5 * margin * std::max(x.high - x.low, y.high - y.low));
  if (half > most_half) return std::nullopt;
  // Of what is left beside the points, as much as may be lies inside the circle.
  const cdouble middle(0.5 * (x.low + x.high), 0.5 * (y.low + y.high));
  const cdouble inwards = -middle / std::max(std::abs(middle), 1e-9);
  const auto slack = [&](const Range& span) {
    return std::max(0.0, half - 0.5 * (span.high - span.low) -
                             std::max(0.5 * (margin - 1.0) * (span.high - span.low), least_margin * half));
  };
  const double slack_x = slack(x), slack_y = slack(y);
  return SmithWindow{middle + cdouble(slack_x * inwards.real(), slack_y * inwards.imag()), half};
}

}  // namespace stile::plots::detail

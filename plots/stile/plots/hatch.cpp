#include <stile/plots/hatch.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace stile::plots::detail {
namespace {

/// Lines at 45 degrees through a box, `apart` from each other along the page's edge.
std::string family(Point low, Point high, double across, double apart, bool rising) {
  std::string rows;
  const double x0 = low.x / across, x1 = high.x / across;
  // On a rising line x - y, on a falling one x + y, is the same all along.
  const double from = rising ? x0 - high.y : x0 + low.y, to = rising ? x1 - low.y : x1 + high.y;
  for (double c = apart * std::ceil(from / apart); c < to; c += apart) {
    const double first = std::max(x0, rising ? c + low.y : c - high.y),
                 last = std::min(x1, rising ? c + high.y : c - low.y);
    if (last - first < 0.05) continue;
    rows += fmt::format("{:.7g} {:.2f}\n{:.7g} {:.2f}\n\n", first * across, rising ? first - c : c - first,
                        last * across, rising ? last - c : c - last);
  }
  return rows;
}

}  // namespace

std::string box_options(const Fill& fill) {
  return fmt::format("fc rgb '{}' fs solid 1.0 border lc rgb '#000000'",
                     fill.kind == Fill::Kind::solid ? fill.colour : "#FFFFFF");
}

std::string hatch_options(const Fill& fill) { return fmt::format("lc rgb '{}' dt solid lw 0.7", fill.colour); }

std::string hatch_rows(Point low, Point high, const Fill& fill, double across) {
  switch (fill.kind) {
  case Fill::Kind::solid:
  case Fill::Kind::open:
    break;
  case Fill::Kind::rising:
    return family(low, high, across, 4.5, true);
  case Fill::Kind::falling:
    return family(low, high, across, 4.5, false);
  case Fill::Kind::crossed:
    return family(low, high, across, 5.0, true) + family(low, high, across, 5.0, false);
  case Fill::Kind::fine:
    return family(low, high, across, 2.2, true);
  case Fill::Kind::fine_falling:
    return family(low, high, across, 2.2, false);
  }
  return "";
}

}  // namespace stile::plots::detail

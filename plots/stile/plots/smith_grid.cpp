#include <stile/plots/smith_grid.hpp>

#include <cmath>

#include <fmt/format.h>

#include <stile/base/constants.hpp>

namespace stile::plots::detail {
namespace {

/// Piece of the circle of constant resistance r (of the reference), |x| <= x_most, or of the arc of constant reactance.
std::string resistance_circle(double r, double x_most) {
  constexpr int n = 90;
  std::string rows;
  const double last = std::atan(x_most / (1.0 + r));
  for (int i = -n; i <= n; ++i) {
    const cdouble z(r, (1.0 + r) * std::tan(last * i / n));
    rows += row((z - 1.0) / (z + 1.0));
  }
  return rows + "\n";
}

std::string reactance_arc(double x, double r_most) {
  constexpr int n = 60;
  std::string rows;
  const double first = std::atan(1.0 / std::abs(x)), last = std::atan((1.0 + r_most) / std::abs(x));
  for (int i = 0; i <= n; ++i) {
    const cdouble z(std::abs(x) * std::tan(first + (last - first) * i / n) - 1.0, x);
    rows += row((z - 1.0) / (z + 1.0));
  }
  return rows + "\n";
}

}  // namespace

std::string row(cdouble gamma) { return fmt::format("{:.6f} {:.6f}\n", gamma.real(), gamma.imag()); }

std::string circle(double radius) {
  std::string rows;
  for (int i = 0; i <= 360; i += 2) rows += row(std::polar(radius, i * pi / 180.0));
  return rows;
}

std::string smith_grid() {
  std::string rows;
  for (const GridLine& line : resistances) rows += resistance_circle(line.value, line.ends_at);
  for (const GridLine& line : reactances)
    rows += reactance_arc(line.value, line.ends_at) + reactance_arc(-line.value, line.ends_at);
  return rows + "-1 0\n1 0\n";
}

}  // namespace stile::plots::detail

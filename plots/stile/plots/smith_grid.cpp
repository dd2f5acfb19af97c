#include <stile/plots/smith_grid.hpp>

#include <array>
#include <cmath>

#include <fmt/format.h>

namespace stile::plots::detail {

std::string smith_row(cdouble reflection) {
  return fmt::format("{:.6f} {:.6f}\n", reflection.real(), reflection.imag());
}

std::string smith_circle(double radius) {
  std::string rows;
  for (int i = 0; i <= 360; i += 2) rows += smith_row(std::polar(radius, i * std::acos(-1.0) / 180.0));
  return rows;
}

std::string smith_note(double reference_ohm) {
  return fmt::format("Plane of the reflection coefficient for {:.4g} ohm. Grey: constant resistance (figures along the "
                     "middle) and constant reactance (figures around the rim), all in ohm.",
                     reference_ohm);
}

namespace {

/// Piece of the circle of constant resistance r (of the reference), |x| <= x_most, or of the arc of constant reactance.
std::string resistance_circle(double r, double x_most) {
  constexpr int n = 90;
  std::string rows;
  const double last = std::atan(x_most / (1.0 + r));
  for (int i = -n; i <= n; ++i) {
    const cdouble z(r, (1.0 + r) * std::tan(last * i / n));
    rows += smith_row((z - 1.0) / (z + 1.0));
  }
  return rows + "\n";
}

std::string reactance_arc(double x, double r_most) {
  constexpr int n = 60;
  std::string rows;
  const double first = std::atan(1.0 / std::abs(x)), last = std::atan((1.0 + r_most) / std::abs(x));
  for (int i = 0; i <= n; ++i) {
    const cdouble z(std::abs(x) * std::tan(first + (last - first) * i / n) - 1.0, x);
    rows += smith_row((z - 1.0) / (z + 1.0));
  }
  return rows + "\n";
}

/// A line of the grid ends where the next coarser line takes over, so that the right end does not turn black.
struct GridLine {
  double value, ends_at;
};
constexpr std::array<GridLine, 6> resistances{
    {{0.2, 2.0}, {0.5, 5.0}, {1.0, 10.0}, {2.0, 10.0}, {5.0, 20.0}, {10.0, 20.0}}};
constexpr std::array<GridLine, 7> reactances{
    {{0.2, 2.0}, {0.5, 5.0}, {1.0, 5.0}, {2.0, 10.0}, {5.0, 10.0}, {10.0, 10.0}, {20.0, 10.0}}};

}  // namespace

SmithPanel::SmithPanel(Page& page, double top_pt, double reference_ohm)
    : page_(page), centre_{0.5 * page_width_pt, top_pt - 0.5 * smith_frame_height_pt},
      places_({centre_.x - 0.5 * smith_frame_width_pt, centre_.y - 0.5 * smith_frame_height_pt},
              {centre_.x + 0.5 * smith_frame_width_pt, centre_.y + 0.5 * smith_frame_height_pt}) {
  std::string grid;
  for (const GridLine& line : resistances) grid += resistance_circle(line.value, line.ends_at);
  for (const GridLine& line : reactances)
    grid += reactance_arc(line.value, line.ends_at) + reactance_arc(-line.value, line.ends_at);
  grid += "-1 0\n1 0\n";
  plot(page_.data(grid) + " with lines lc rgb '#B0B0B0' lw 0.5 dt solid notitle");
  plot(page_.data(smith_circle(1.0)) + " with lines lc rgb '#606060' lw 0.9 dt solid notitle");

  const auto ohms = [&](double value) { return fmt::format("{:.6g}", value * reference_ohm); };
  for (const GridLine& line : resistances) {
    const Point at = on_page((line.value - 1.0) / (line.value + 1.0));
    grid_label({at.x - 2.0, at.y - 5.0}, ohms(line.value), Align::right);
  }
  grid_label({on_page(-1.0).x - 3.0, centre_.y}, "0", Align::right);
  for (const GridLine& line : reactances) {
    for (const double sign : {1.0, -1.0}) {
      const cdouble z(0.0, sign * line.value);
      const cdouble g = (z - 1.0) / (z + 1.0);
      const Point rim = on_page(1.025 * g);
      const Align align = g.real() > 0.15 ? Align::left : g.real() < -0.15 ? Align::right : Align::centre;
      grid_label({rim.x, rim.y + (align == Align::centre ? 3.0 * sign : 0.0)},
                 fmt::format("{}{}j", sign > 0.0 ? "+" : "-", ohms(line.value)), align);
    }
  }
}

Point SmithPanel::on_page(cdouble reflection) const {
  return {centre_.x + smith_unit_pt * reflection.real(), centre_.y + smith_unit_pt * reflection.imag()};
}

void SmithPanel::plot(const std::string& item) { plots_ += (plots_.empty() ? "" : ", \\\n  ") + item; }

void SmithPanel::name(Point at, std::string_view text, double size_pt) {
  const PlacedLabel placed = places_.place(at, text_width_pt(text, size_pt), size_pt);
  page_.box(placed.box.low, placed.box.high, "fc rgb '#FFFFFF' fs solid 1.0 noborder");
  page_.text({placed.box.low.x + 1.0, 0.5 * (placed.box.low.y + placed.box.high.y)}, text, size_pt);
  if (placed.leader) page_.line(placed.leader_from, placed.leader_to, "lc rgb '#000000' lw 0.5 dt solid");
}

void SmithPanel::finish() {
  page_.panel({centre_.x - 0.5 * smith_frame_width_pt, centre_.y - 0.5 * smith_frame_height_pt},
              {centre_.x + 0.5 * smith_frame_width_pt, centre_.y + 0.5 * smith_frame_height_pt},
              fmt::format("unset border\nunset tics\nset xrange [{0}:{1}]\nset yrange [{2}:{3}]\nplot {4}\n",
                          -smith_half_width, smith_half_width, -smith_half_height, smith_half_height, plots_));
}

void SmithPanel::grid_label(Point at, const std::string& label, Align align) {
  constexpr double size_pt = 6.5;
  const double w = text_width_pt(label, size_pt);
  const double left = align == Align::left ? at.x : align == Align::right ? at.x - w : at.x - 0.5 * w;
  places_.take({{left, at.y - 4.0}, {left + w, at.y + 4.0}});
  page_.text(at, label, size_pt, align);
}

}  // namespace stile::plots::detail

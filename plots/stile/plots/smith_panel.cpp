#include <stile/plots/smith_panel.hpp>

#include <fmt/format.h>

#include <stile/plots/smith_grid.hpp>

namespace stile::plots::detail {

std::string smith_note(double reference_ohm) {
  return fmt::format("Plane of the reflection coefficient for {:.4g} ohm. Grey: constant resistance (figures along the "
                     "middle) and constant reactance (figures around the rim), all in ohm.",
                     reference_ohm);
}

SmithPanel::SmithPanel(Page& page, double top_pt, double reference_ohm)
    : page_(page), centre_{0.5 * page_width_pt, top_pt - 0.5 * smith_frame_height_pt},
      places_({centre_.x - 0.5 * smith_frame_width_pt, centre_.y - 0.5 * smith_frame_height_pt},
              {centre_.x + 0.5 * smith_frame_width_pt, centre_.y + 0.5 * smith_frame_height_pt}) {
  plot(page_.data(smith_grid()) + " with lines lc rgb '#B0B0B0' lw 0.5 dt solid notitle");
  plot(page_.data(circle(1.0)) + " with lines lc rgb '#606060' lw 0.9 dt solid notitle");

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

#include <stile/plots/smith_panel.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/range.hpp>
#include <stile/plots/smith_grid.hpp>

namespace stile::plots::detail {
namespace {

constexpr double figure_size_pt = 6.5;

/// Of a figure, with room around it.
Box figure_box(Point at, double width_pt, Align align) {
  const double left = align == Align::left ? at.x : align == Align::right ? at.x - width_pt : at.x - 0.5 * width_pt;
  return {{left - 2.0, at.y - 5.0}, {left + width_pt + 2.0, at.y + 5.0}};
}

/// Round values within a range > 0: 1, 2, 5 times powers of ten where it is wide, else multiples of a round step.
std::vector<double> round_values(const Range& range) {
  constexpr double wide = 12.0, lines = 6.0;
  std::vector<double> values;
  if (range.high > wide * range.low) {
    for (double power = std::pow(10.0, std::floor(std::log10(range.low))); power <= range.high; power *= 10.0) {
      for (const double lead : {1.0, 2.0, 5.0}) {
        if (lead * power >= range.low && lead * power <= range.high) values.push_back(lead * power);
      }
    }
    return values;
  }
  const double step = even_step((range.high - range.low) / lines);
  for (double n = std::ceil(range.low / step); n * step <= range.high; n += 1.0) values.push_back(n * step);
  return values;
}

/// Resistances and reactances that a window shows, in units of the reference.
struct Shown {
  Range r{1e300, 0.0}, capacitive{1e300, 0.0}, inductive{1e300, 0.0};  // of |x| in each half
};

Shown shown_in(const SmithWindow& window) {
  constexpr int steps = 80;
  constexpr double least_share = 1e-3;  // of the greatest: at the rim the resistance goes to 0
  Shown shown;
  const auto take = [](Range& range, double value) {
    range = {std::min(range.low, value), std::max(range.high, value)};
  };
  for (int i = 0; i <= steps; ++i) {
    for (int k = 0; k <= steps; ++k) {
      const cdouble g = window.middle + window.half * cdouble(2.0 * i / steps - 1.0, 2.0 * k / steps - 1.0);
      if (std::abs(g) > 0.9999) continue;
      const cdouble z = (1.0 + g) / (1.0 - g);
      take(shown.r, z.real());
      if (z.imag() != 0.0) take(z.imag() < 0.0 ? shown.capacitive : shown.inductive, std::abs(z.imag()));
    }
  }
  for (Range* range : {&shown.r, &shown.capacitive, &shown.inductive})
    range->low = std::max(range->low, least_share * range->high);
  return shown;
}

/// Points close together on the circle of constant r, or on the arc of constant x, about the plane's part near
/// `middle`.
std::vector<cdouble> resistance_line(double r, const SmithWindow& window) {
  // The circle's middle is r/(1 + r), its radius 1/(1 + r); only the arc that a window can hold is needed.
  const cdouble middle(r / (1.0 + r), 0.0);
  const double radius = 1.0 / (1.0 + r), towards = std::arg(window.middle - middle);
  const double most = std::min(pi, 4.0 * window.half / radius);
  constexpr int n = 200;
  std::vector<cdouble> points;
  for (int i = -n; i <= n; ++i) points.push_back(middle + std::polar(radius, towards + most * i / n));
  return points;
}

std::vector<cdouble> reactance_line(double x, const SmithWindow& window) {
  const cdouble middle(1.0, 1.0 / x);
  const double radius = 1.0 / std::abs(x), towards = std::arg(window.middle - middle);
  const double most = std::min(pi, 4.0 * window.half / radius);
  constexpr int n = 200;
  std::vector<cdouble> points;
  for (int i = -n; i <= n; ++i) {
    const cdouble g = middle + std::polar(radius, towards + most * i / n);
    if (std::abs(g) <= 1.0) points.push_back(g);
  }
  return points;
}

}  // namespace

std::string smith_note(double reference_ohm) {
  return fmt::format("Plane of the reflection coefficient for {:.4g} ohm. Grey: constant resistance (figures near the "
                     "middle line) and constant reactance (figures around the rim), all in ohm.",
                     reference_ohm);
}

std::string smith_window_note(double reference_ohm) {
  return fmt::format("Plane of the reflection coefficient for {:.4g} ohm, its part in the square of the small plane "
                     "magnified. Grey: constant resistance and constant reactance (figures with j), in ohm.",
                     reference_ohm);
}

SmithPanel::SmithPanel(Page& page, Point middle, Point half_pt, double unit_pt, double reference_ohm,
                       const std::optional<SmithWindow>& window)
    : page_(page), reference_ohm_(reference_ohm), window_(window), unit_pt_(unit_pt), middle_(middle),
      half_pt_(half_pt),
      places_({middle.x - half_pt.x, middle.y - half_pt.y}, {middle.x + half_pt.x, middle.y + half_pt.y}) {}

SmithPanel::SmithPanel(Page& page, double top_pt, double reference_ohm)
    : SmithPanel(page, {0.5 * page_width_pt, top_pt - 0.5 * smith_frame_height_pt},
                 {0.5 * smith_frame_width_pt, 0.5 * smith_frame_height_pt}, smith_unit_pt, reference_ohm, {}) {
  whole_grid(reference_ohm);
}

SmithPanel::SmithPanel(Page& page, double left_pt, double top_pt, double side_pt, double reference_ohm,
                       const SmithWindow& window)
    : SmithPanel(page, {left_pt + 0.5 * side_pt, top_pt - 12.0 - 0.5 * side_pt}, {0.5 * side_pt, 0.5 * side_pt},
                 0.5 * side_pt / window.half, reference_ohm, window) {
  window_grid(reference_ohm);
}

void SmithPanel::whole_grid(double reference_ohm) {
  plot(page_.data(smith_grid()) + " with lines lc rgb '#B0B0B0' lw 0.5 dt solid notitle");
  plot(page_.data(circle(1.0)) + " with lines lc rgb '#606060' lw 0.9 dt solid notitle");

  const auto ohms = [&](double value) { return fmt::format("{:.6g}", value * reference_ohm); };
  grid_label({on_page(-1.0).x - 3.0, middle_.y}, "0", Align::right);
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

/// Lines that cross the window, each with its figure where it leaves it and there is room.
void SmithPanel::window_grid(double reference_ohm) {
  struct Line {
    std::string text;
    std::vector<cdouble> points;
  };
  // Round in ohm, not in units of the reference.
  const auto values = [&](const Range& range) {
    std::vector<double> all;
    if (range.high > 0.0) all = round_values({range.low * reference_ohm, range.high * reference_ohm});
    return all;
  };
  const Shown shown = shown_in(*window_);
  std::vector<Line> lines;
  for (const double r : values(shown.r))
    lines.push_back({fmt::format("{:.6g}", r), resistance_line(r / reference_ohm, *window_)});
  for (const double x : values(shown.inductive))
    lines.push_back({fmt::format("+{:.6g}j", x), reactance_line(x / reference_ohm, *window_)});
  for (const double x : values(shown.capacitive))
    lines.push_back({fmt::format("-{:.6g}j", x), reactance_line(-x / reference_ohm, *window_)});
  std::vector<Box> figures;
  for (const Line& line : lines) {
    std::string rows;
    bool named = false;
    for (std::size_t n = 0; n < line.points.size(); ++n) {
      rows += fmt::format("{:.8f} {:.8f}\n", line.points[n].real(), line.points[n].imag());
      if (named || n == 0) continue;
      const cdouble from = (line.points[n - 1] - window_->middle) / window_->half,
                    to = (line.points[n] - window_->middle) / window_->half;
      const auto out = [](cdouble p) { return std::max(std::abs(p.real()), std::abs(p.imag())) - 1.0; };
      if ((out(from) > 0.0) == (out(to) > 0.0)) continue;
      double low = 0.0, high = 1.0;  // where it crosses the frame
      for (int halving = 0; halving < 40; ++halving) {
        const double t = 0.5 * (low + high);
        ((out(from + t * (to - from)) > 0.0) == (out(from) > 0.0) ? low : high) = t;
      }
      const cdouble edge = from + low * (to - from);
      const bool beside = std::abs(edge.real()) >= std::abs(edge.imag());
      constexpr double gap = 3.0;
      const Point at{middle_.x + half_pt_.x * edge.real() + (beside ? std::copysign(gap, edge.real()) : 0.0),
                     middle_.y + half_pt_.y * edge.imag() + (beside ? 0.0 : std::copysign(gap + 4.0, edge.imag()))};
      const Align align = !beside ? Align::centre : edge.real() > 0.0 ? Align::left : Align::right;
      const Box box = figure_box(at, text_width_pt(line.text, figure_size_pt), align);
      const bool free = std::none_of(figures.begin(), figures.end(), [&](const Box& o) {
        return box.low.x < o.high.x && o.low.x < box.high.x && box.low.y < o.high.y && o.low.y < box.high.y;
      });
      if (!free) continue;
      figures.push_back(box);
      page_.text(at, line.text, figure_size_pt, align);
      named = true;
    }
    plot(page_.data(rows) + " with lines lc rgb '#B0B0B0' lw 0.5 dt solid notitle");
  }
  plot(page_.data([&] {
    std::string rows;
    for (const cdouble g : resistance_line(0.0, *window_)) rows += fmt::format("{:.8f} {:.8f}\n", g.real(), g.imag());
    return rows;
  }()) +
       " with lines lc rgb '#606060' lw 0.9 dt solid notitle");
}

void SmithPanel::overview() {
  constexpr double radius_pt = 38.0, least_pt = 2.0;
  const Point middle{page_width_pt - page_margin_pt - radius_pt - 4.0, middle_.y + half_pt_.y - radius_pt};
  const auto small = [&](cdouble g) { return Point{middle.x + radius_pt * g.real(), middle.y + radius_pt * g.imag()}; };
  constexpr int n = 72;
  for (int i = 0; i < n; ++i)
    page_.line(small(std::polar(1.0, two_pi * i / n)), small(std::polar(1.0, two_pi * (i + 1) / n)),
               "lc rgb '#606060' lw 0.9 dt solid");
  page_.line(small(-1.0), small(1.0), "lc rgb '#B0B0B0' lw 0.5 dt solid");
  const Point at = small(window_->middle);
  const double half = std::max(least_pt, radius_pt * window_->half);
  page_.box({at.x - half, at.y - half}, {at.x + half, at.y + half}, "fs empty border lc rgb '#000000' lw 0.9");
}

Point SmithPanel::on_page(cdouble reflection) const {
  const cdouble from = window_ ? reflection - window_->middle : reflection;
  return {middle_.x + unit_pt_ * from.real(), middle_.y + unit_pt_ * from.imag()};
}

bool SmithPanel::shows(cdouble reflection) const {
  const Point at = on_page(reflection);
  return std::abs(at.x - middle_.x) <= half_pt_.x && std::abs(at.y - middle_.y) <= half_pt_.y;
}

void SmithPanel::outline(const SmithWindow& window) {
  constexpr double least_pt = 6.0;
  const Point at = on_page(window.middle);
  const double half = std::max(least_pt, unit_pt_ * window.half);
  page_.box({at.x - half, at.y - half}, {at.x + half, at.y + half}, "fs empty border lc rgb '#000000' lw 0.9");
  for (const double side : {-1.0, -0.5, 0.0, 0.5, 1.0}) {
    for (const double edge : {-half, half}) {
      places_.avoid({at.x + edge, at.y + half * side});
      places_.avoid({at.x + half * side, at.y + edge});
    }
  }
}

void SmithPanel::trace(const std::vector<cdouble>& reflections, const std::string& options) {
  constexpr double step_pt = 5.0;  // small beside a label
  std::string rows;
  for (std::size_t n = 0; n < reflections.size(); ++n) {
    rows += row(reflections[n]);
    const cdouble from = reflections[n > 0 ? n - 1 : 0], way = reflections[n] - from;
    const int steps = std::max(1, static_cast<int>(std::ceil(unit_pt_ * std::abs(way) / step_pt)));
    for (int k = 1; k <= steps; ++k) {
      const cdouble g = from + way * (static_cast<double>(k) / steps);
      if (shows(g)) places_.avoid(on_page(g));
    }
  }
  if (reflections.size() > 1) plot(fmt::format("{} with lines {} notitle", page_.data(rows), options));
}

void SmithPanel::plot(const std::string& item) { plots_ += (plots_.empty() ? "" : ", \\\n  ") + item; }

void SmithPanel::name(Point mark, std::string_view text, double size_pt) {
  names_.push_back({mark, std::string(text), size_pt, false});
}

void SmithPanel::name_line(Point at, std::string_view text, double size_pt) {
  names_.push_back({at, std::string(text), size_pt, true});
}

/// Each where its circle crosses the middle, on the side that is free, or else further along its circle.
void SmithPanel::resistance_figures() {
  constexpr double aside = 2.0, above = 5.0, most_turn = 0.6, step = 0.1;  // radians along the circle
  for (const GridLine& line : resistances) {
    const std::string text = fmt::format("{:.6g}", line.value * reference_ohm_);
    const double w = text_width_pt(text, figure_size_pt);
    const double middle = line.value / (1.0 + line.value), radius = 1.0 / (1.0 + line.value);
    double least = std::numeric_limits<double>::infinity();
    Point best;
    Align align = Align::right;
    for (double turn = 0.0; turn <= most_turn && least > 0.0; turn += step) {
      for (const double up : {-1.0, 1.0}) {
        const Point on_circle = on_page(middle - std::polar(radius, -up * turn));
        for (const Align each : {Align::right, Align::left}) {
          const double side = each == Align::left ? 1.0 : -1.0;
          const Point at{on_circle.x + side * aside, on_circle.y + up * above};
          const double cost = places_.cost(figure_box(at, w, each));
          if (cost < least) least = cost, best = at, align = each;
        }
      }
    }
    grid_label(best, text, align);
  }
}

void SmithPanel::put_names() {
  for (const Name& name : names_) {
    const PlacedLabel placed = places_.place(name.at, text_width_pt(name.text, name.size_pt), name.size_pt);
    page_.box(placed.box.low, placed.box.high, "fc rgb '#FFFFFF' fs solid 1.0 noborder");
    page_.text({placed.box.low.x + 1.0, 0.5 * (placed.box.low.y + placed.box.high.y)}, name.text, name.size_pt);
    if (name.of_line || placed.leader)
      page_.line(name.of_line ? name.at : placed.leader_from, placed.leader_to, "lc rgb '#000000' lw 0.5 dt solid");
    if (name.of_line) page_.mark(name.at, "lc rgb '#000000' pt 7 ps 0.3");
  }
}

void SmithPanel::finish() {
  if (!window_) resistance_figures();
  put_names();
  const cdouble at = window_ ? window_->middle : cdouble{};
  const Point half{half_pt_.x / unit_pt_, half_pt_.y / unit_pt_};
  page_.panel({middle_.x - half_pt_.x, middle_.y - half_pt_.y}, {middle_.x + half_pt_.x, middle_.y + half_pt_.y},
              fmt::format("{}\nunset tics\nset xrange [{:.8f}:{:.8f}]\nset yrange [{:.8f}:{:.8f}]\nplot {}\n",
                          window_ ? "set border 15 lw 0.6\nset clip two" : "unset border", at.real() - half.x,
                          at.real() + half.x, at.imag() - half.y, at.imag() + half.y, plots_));
}

void SmithPanel::grid_label(Point at, const std::string& label, Align align) {
  places_.take(figure_box(at, text_width_pt(label, figure_size_pt), align));
  page_.text(at, label, figure_size_pt, align);
}

}  // namespace stile::plots::detail

#include <stile/plots/raster.hpp>

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/plots/contours.hpp>
#include <stile/plots/label_places.hpp>
#include <stile/plots/panels.hpp>
#include <stile/plots/smith_grid.hpp>

namespace stile::plots::detail {
namespace {

constexpr double round_x = 1.19, round_y = 1.08;  // what of the reflection plane a round panel shows
constexpr double label_size_pt = 6.5;

std::array<int, 3> shade_rgb(double shade) {
  const double light = 0.94 - 0.72 * std::clamp(shade, 0.0, 1.0);
  const double angle = two_pi * (0.8 / 3.0 + 1.0 - 1.0 * light);
  const double amplitude = 0.9 * light * (1.0 - light) / 2.0;
  const auto level = [&](double c, double s) {
    const double value = light + amplitude * (c * std::cos(angle) + s * std::sin(angle));
    return static_cast<int>(std::lround(255.0 * std::clamp(value, 0.0, 1.0)));
  };
  return {level(-0.14861, 1.78277), level(-0.29227, -0.90649), level(1.97294, 0.0)};
}

/// One row a cell; what is not a number stays white.
std::string image_rows(const RasterPanel& panel) {
  std::string text;
  text.reserve(panel.shade.size() * 12);
  for (const double shade : panel.shade) {
    const auto rgb = std::isnan(shade) ? std::array<int, 3>{255, 255, 255} : shade_rgb(shade);
    text += fmt::format("{} {} {}\n", rgb[0], rgb[1], rgb[2]);
  }
  return text;
}

std::string line_rows(const std::vector<Point>& points) {
  std::string text;
  for (const Point& p : points) text += fmt::format("{:.6g} {:.6g}\n", p.x, p.y);
  return text;
}

/// The frame of a panel on the page and the way from its coordinates there.
struct View {
  Point low, high;  // on the page
  double x_low, x_high, y_low, y_high;
  Point on_page(Point p) const {
    return {low.x + (high.x - low.x) * (p.x - x_low) / (x_high - x_low),
            low.y + (high.y - low.y) * (p.y - y_low) / (y_high - y_low)};
  }
};

double length_of(const std::vector<Point>& points) {
  double sum = 0.0;
  for (std::size_t i = 1; i < points.size(); ++i)
    sum += std::hypot(points[i].x - points[i - 1].x, points[i].y - points[i - 1].y);
  return sum;
}

bool touches(const Box& a, const Box& b) {
  return a.low.x < b.high.x && b.low.x < a.high.x && a.low.y < b.high.y && b.low.y < a.high.y;
}

/// Texts on their lines: a place is taken when no other text is there, the nearest to the line's middle.
class LineLabels {
public:
  LineLabels(Page& page, Point low, Point high) : page_(page), low_(low), high_(high) {}

  void take(const Box& box) { taken_.push_back(box); }
  const std::vector<Box>& taken() const { return taken_; }

  void put(const std::vector<Point>& on_page, const std::string& text) {
    const double w = 0.5 * text_width_pt(text, label_size_pt) + 0.5, h = 0.5 * label_size_pt + 0.2;
    const std::size_t n = on_page.size();
    for (std::size_t k = 0; k < n; ++k) {
      const Point at = on_page[(n / 2 + (k % 2 == 0 ? k / 2 : n - 1 - k / 2)) % n];
      const Box box{{at.x - w, at.y - h}, {at.x + w, at.y + h}};
      const Box room{{box.low.x - 8.0, box.low.y - 6.0}, {box.high.x + 8.0, box.high.y + 6.0}};
      const bool inside = box.low.x > low_.x && box.high.x < high_.x && box.low.y > low_.y && box.high.y < high_.y;
      if (!inside || std::any_of(taken_.begin(), taken_.end(), [&](const Box& other) { return touches(room, other); }))
        continue;
      taken_.push_back(box);
      page_.box(box.low, box.high, "fc rgb '#FFFFFF' fs solid 1.0 noborder");
      page_.text(at, text, label_size_pt, Align::centre);
      return;
    }
  }

private:
  Page& page_;
  Point low_, high_;
  std::vector<Box> taken_;
};

/// Contours of a panel, thin black on a white seam; short ones are left out, long ones named.
std::string contour_plots(Page& page, const RasterPanel& panel, const View& view, LineLabels& labels) {
  constexpr double least_pt = 12.0, named_pt = 60.0;
  const RasterGrid& grid = panel.grid;
  const std::vector<double> field = panel.stepped ? smoothed(panel.shade, grid.columns, grid.rows) : panel.shade;
  std::string plots;
  for (const RasterContour& contour : panel.contours) {
    std::string rows;
    std::vector<std::vector<Point>> named;
    for (std::vector<Point>& line : contour_lines(field, grid.columns, grid.rows, contour.level)) {
      std::vector<Point> there;
      for (Point& p : line) {
        p = {grid.x(p.x), grid.y(p.y)};
        there.push_back(view.on_page(p));
      }
      const double length = length_of(there);
      if (length < least_pt) continue;
      rows += line_rows(line) + "\n";
      if (length >= named_pt) named.push_back(std::move(there));
    }
    if (rows.empty()) continue;
    std::sort(named.begin(), named.end(), [](const auto& a, const auto& b) { return length_of(a) > length_of(b); });
    if (named.size() > 3) named.resize(3);
    for (const auto& line : named) labels.put(line, contour.text);
    const std::string data = page.data(rows);
    plots += fmt::format("{0} with lines lc rgb '#FFFFFF' lw 1.5 dt solid notitle, \\\n  {0} with lines lc rgb "
                         "'#000000' lw 0.7 dt solid notitle, \\\n  ",
                         data);
  }
  return plots;
}

std::string tick_list(const std::vector<Tick>& ticks) {
  std::string text;
  for (const Tick& tick : ticks)
    text += fmt::format("{}{} {:.9g}", text.empty() ? "" : ", ", quoted(tick.text), tick.at);
  return text;
}

/// Ohms around the rim and along the middle, on white: an outline may lie there.
void put_ohms(Page& page, const View& view, double reference_ohm, bool small, LineLabels& labels) {
  const auto ohms = [&](double value) { return fmt::format("{:.6g}", value * reference_ohm); };
  const double size = small ? 5.5 : 6.5;
  const auto put = [&](Point at, const std::string& text, Align align) {
    const double w = text_width_pt(text, size);
    const double left = align == Align::left ? at.x : align == Align::right ? at.x - w : at.x - 0.5 * w;
    labels.take({{left, at.y - 4.0}, {left + w, at.y + 4.0}});
    page.box({left - 0.5, at.y - 3.5}, {left + w + 0.5, at.y + 3.5}, "fc rgb '#FFFFFF' fs solid 1.0 noborder");
    page.text(at, text, size, align);
  };
  for (const GridLine& line : resistances) {
    if (small && line.value != 1.0 && line.value != 0.2 && line.value != 5.0) continue;
    const Point at = view.on_page({(line.value - 1.0) / (line.value + 1.0), 0.0});
    put({at.x - 2.0, at.y - 4.5}, ohms(line.value), Align::right);
  }
  for (const GridLine& line : reactances) {
    if (small && (line.value == 10.0 || line.value == 20.0)) continue;
    for (const double sign : {1.0, -1.0}) {
      const cdouble z(0.0, sign * line.value), g = (z - 1.0) / (z + 1.0);
      const Point rim = view.on_page({1.025 * g.real(), 1.025 * g.imag()});
      const Align align = g.real() > 0.15 ? Align::left : g.real() < -0.15 ? Align::right : Align::centre;
      put({rim.x, rim.y + (align == Align::centre ? 4.0 * sign : 0.0)},
          fmt::format("{}{}j", sign > 0.0 ? "+" : "-", ohms(line.value)), align);
    }
  }
}

/// Loads as dots, their names where there is room.
void put_marks(Page& page, const RasterPanel& panel, const View& view, LineLabels& labels) {
  LabelPlaces places(view.low, view.high);
  for (const Box& box : labels.taken()) places.take(box);
  std::vector<RasterMark> seen;
  for (const RasterMark& mark : panel.marks) {
    const Point at = view.on_page(mark.at);
    constexpr double rounding = 1e-6;  // of a point: a load on the frame is on the page
    if (at.x < view.low.x - rounding || at.x > view.high.x + rounding || at.y < view.low.y - rounding ||
        at.y > view.high.y + rounding)
      continue;
    places.avoid_mark(at);
    labels.take({{at.x - 4.0, at.y - 4.0}, {at.x + 4.0, at.y + 4.0}});
    seen.push_back({at, mark.name});
  }
  for (const RasterMark& mark : seen) {
    page.mark(mark.at, "lc rgb '#FFFFFF' pt 7 ps 1.1");
    page.mark(mark.at, "lc rgb '#000000' pt 7 ps 0.75");
    if (mark.name.empty()) continue;
    const PlacedLabel placed = places.place(mark.at, text_width_pt(mark.name, 7.5), 7.5);
    labels.take(placed.box);
    page.box(placed.box.low, placed.box.high, "fc rgb '#FFFFFF' fs solid 1.0 noborder");
    page.text({placed.box.low.x + 1.0, 0.5 * (placed.box.low.y + placed.box.high.y)}, mark.name, 7.5);
    if (placed.leader) page.line(placed.leader_from, placed.leader_to, "lc rgb '#000000' lw 0.5 dt solid");
  }
}

/// A panel without the texts of its frame.
void put_panel(Page& page, const RasterPanel& panel, const RasterStyle& style, const View& view, bool small) {
  const RasterGrid& grid = panel.grid;
  LineLabels labels(page, view.low, view.high);
  for (const RasterMark& letter : panel.letters) {
    const Point at = view.on_page(letter.at);
    labels.take({{at.x - 6.0, at.y - 6.0}, {at.x + 6.0, at.y + 6.0}});
    page.box({at.x - 5.0, at.y - 5.5}, {at.x + 5.0, at.y + 5.5},
             "fc rgb '#FFFFFF' fs solid 1.0 border lc rgb '#000000' lw 0.5");
    page.text(at, letter.name, 8.0, Align::centre);
  }
  if (style.reflection) put_ohms(page, view, style.reference_ohm, small, labels);
  put_marks(page, panel, view, labels);

  std::string commands = fmt::format("set xrange [{:.9g}:{:.9g}]\nset yrange [{:.9g}:{:.9g}]\nunset grid\n", view.x_low,
                                     view.x_high, view.y_low, view.y_high);
  if (style.reflection) {
    commands += "unset border\nunset tics\n";
  } else {
    commands += fmt::format(
        "set border 15 lw 0.6\nset tics front out\nset xtics ({}) font ',7' nomirror scale 0.5 offset 0,0.15\n"
        "set ytics ({}) font ',7' nomirror scale 0.5 offset 0.6,0\n",
        tick_list(style.x_ticks), tick_list(style.y_ticks));
  }
  commands += fmt::format(
      "plot {} using ({:.9g}+{:.12g}*(int($0)%{})):({:.9g}+{:.12g}*(int($0)/{})):1:2:3 with rgbimage notitle, \\\n  ",
      page.data(image_rows(panel)), grid.x(0.0), grid.x(1.0) - grid.x(0.0), grid.columns, grid.y(0.0),
      grid.y(1.0) - grid.y(0.0), grid.columns);
  if (style.reflection) {
    commands += fmt::format("{} with lines lc rgb '#808080' lw 0.35 dt solid notitle, \\\n  {} with lines lc rgb "
                            "'#808080' lw 0.8 dt solid notitle, \\\n  ",
                            page.data(smith_grid()), page.data(circle(1.0)));
  }
  commands += contour_plots(page, panel, view, labels);
  for (const RasterLine& line : panel.lines) {
    const std::string data = page.data(line_rows(line.points));
    commands +=
        fmt::format("{0} with lines lc rgb '#FFFFFF' lw 2.6 dt solid notitle, \\\n  {0} with lines {1} notitle, \\\n  ",
                    data, line.options);
  }
  commands += "NaN notitle\n";
  page.panel(view.low, view.high, commands);
}

/// The scale of shades, in steps fine enough to look even.
void put_key(Page& page, const RasterStyle& style, Point top_left, double width_pt) {
  constexpr int steps = 96;
  constexpr double bar_pt = 9.0;
  const double label_pt = text_width_pt(style.key_label, 7.5) + 10.0;
  const double x = top_left.x + label_pt, w = width_pt - label_pt - 14.0, step_pt = w / steps;
  page.text({top_left.x, top_left.y - 0.5 * bar_pt}, style.key_label, 7.5);
  for (int k = 0; k < steps; ++k) {
    const double overlap = k + 1 < steps ? 0.4 : 0.0;
    page.box({x + k * step_pt, top_left.y - bar_pt}, {x + (k + 1) * step_pt + overlap, top_left.y},
             fmt::format("fc rgb '{}' fs solid 1.0 noborder", shade_colour((k + 0.5) / steps)));
  }
  for (const Tick& tick : style.key_ticks) {
    const double at = x + w * tick.at;
    page.line({at, top_left.y - bar_pt - 2.5}, {at, top_left.y - bar_pt}, "lc rgb '#000000' lw 0.6 dt solid");
    page.text({at, top_left.y - bar_pt - 7.0}, tick.text, 7.0, Align::centre);
  }
}

}  // namespace

std::string shade_colour(double shade) {
  const auto rgb = shade_rgb(shade);
  return fmt::format("#{:02X}{:02X}{:02X}", rgb[0], rgb[1], rgb[2]);
}

std::vector<Tick> even_ticks(double low, double high, double count) {
  const double step = even_step((high - low) / count);
  std::vector<Tick> ticks;
  for (double k = std::ceil(low / step - 1e-9); k * step <= high + 1e-9 * step; ++k) {
    ticks.push_back({k * step, fmt::format("{:.{}f}", k * step + 0.0, step_decimals(step))});
  }
  return ticks;
}

Chart raster_chart(const std::vector<RasterPanel>& panels, const RasterStyle& style, const ChartText& text) {
  std::vector<std::string> titles;
  for (const RasterPanel& panel : panels) titles.push_back(panel.title);
  const double page_pt = page_width_pt - 2.0 * page_margin_pt;
  const Legend legend(style.legend, page_pt);
  const Surround surround(text, style.notes);
  const double left = style.reflection ? 0.0 : 40.0, below = style.reflection ? 4.0 : 16.0;
  const PanelGrid place(titles, 120.0, left, style.reflection ? 0.0 : 8.0);
  const bool small = place.columns > 1;
  const double width = style.reflection ? std::min(place.panel_width_pt, 480.0) : place.panel_width_pt;
  const double height = style.reflection ? width * round_y / round_x : style.height_by_width * width;
  constexpr double axis_title_pt = 14.0, row_gap_pt = 6.0;
  const bool titled =
      std::any_of(titles.begin(), titles.end(), [](const std::string& title) { return !title.empty(); });
  const double head_pt = titled ? place.head_pt : 0.0;
  const double row_pt = head_pt + height + below + row_gap_pt;
  const double key_pt = style.key_label.empty() ? 0.0 : 30.0,
               legend_pt = style.legend.empty() ? 0.0 : legend.height_pt() + 6.0;
  const double titles_pt = style.reflection ? 0.0 : axis_title_pt;
  Page page(surround.top_pt() + row_pt * static_cast<double>(place.rows) + titles_pt + key_pt + legend_pt +
            surround.bottom_pt());

  for (std::size_t p = 0; p < panels.size(); ++p) {
    const double top = page.height_pt() - surround.top_pt() - row_pt * static_cast<double>(place.row(p)) - head_pt;
    const double x = place.x(p) + 0.5 * (place.panel_width_pt - width);
    const RasterGrid& grid = panels[p].grid;
    View view{{x, top - height}, {x + width, top}, grid.x_low, grid.x_high, grid.y_low, grid.y_high};
    if (style.reflection) view = {view.low, view.high, -round_x, round_x, -round_y, round_y};
    put_panel(page, panels[p], style, view, small);
    if (!panels[p].title.empty()) place.put_title(page, p, top);
    if (style.reflection) continue;
    if (place.lowest(p)) page.text({x + 0.5 * width, top - height - below - 4.0}, style.x_label, 7.5, Align::centre);
    if (p % place.columns == 0) page.text({x - left + 4.0, top - 0.5 * height}, style.y_label, 7.5, Align::centre, 90);
  }
  double y = surround.bottom_pt() + legend_pt;
  if (!style.legend.empty()) page.legend(legend, {page_margin_pt, y}, page_pt);
  if (!style.key_label.empty()) put_key(page, style, {page_margin_pt, y + key_pt - 4.0}, page_pt);
  surround.put(page);
  return page.finish();
}

}  // namespace stile::plots::detail

#include <stile/plots/field.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/errors.hpp>
#include <stile/plots/line_panels.hpp>
#include <stile/plots/raster.hpp>

namespace stile::plots {

using namespace detail;

namespace {

struct NamedLevel {
  std::string name;
  double value = 0.0;
};

/// Levels of one quantity; those within 2 % share a name and the lower value.
std::vector<NamedLevel> named_levels(const std::vector<safety::LevelAt>& levels, bool electric) {
  std::vector<NamedLevel> all;
  for (const safety::LevelAt& l : levels) {
    const auto value = electric ? l.e_v_m : l.h_a_m;
    if (!value) continue;
    const std::string name = l.standard + (l.scope == "whole body" ? "" : ", " + l.scope);
    const auto same = std::find_if(all.begin(), all.end(),
                                   [&](const NamedLevel& n) { return std::abs(n.value / *value - 1.0) < 0.02; });
    if (same == all.end()) {
      all.push_back({name, *value});
    } else {
      same->name += "; " + name;
      same->value = std::min(same->value, *value);
    }
  }
  std::sort(all.begin(), all.end(), [](const NamedLevel& a, const NamedLevel& b) { return a.value > b.value; });
  return all;
}

constexpr const char* no_restriction = "Levels are of the public. A reference level exceeded is not a basic "
                                       "restriction exceeded; local codes and licensed "
                                       "practice decide.";

/// "Levels of E, V/m: 259 IEEE C95.1-2019, local; 83 ...".
std::string whose_levels(const std::vector<NamedLevel>& levels, bool electric) {
  std::string text;
  for (const NamedLevel& l : levels) text += fmt::format("{}{:.3g} {}", text.empty() ? "" : ". ", l.value, l.name);
  return text.empty() ? text : fmt::format("Levels of {}: {}.", electric ? "E, V/m" : "H, A/m", text);
}

/// Level lines across a panel with a logarithmic y axis. The value stands at the right end above its line; of lines
/// near each other all values stand above the highest, from it downwards: "83, 76.1".
std::string level_lines(const std::vector<NamedLevel>& levels, double low_m, double high_m) {
  constexpr double near = 1.3;  // as a factor along the axis
  std::string commands;
  for (std::size_t n = 0; n < levels.size();) {
    const double highest = levels[n].value;
    std::string values;
    do {
      const double value = levels[n].value;
      values += fmt::format("{}{:.3g}", values.empty() ? "" : ", ", value);
      commands +=
          fmt::format("set arrow from {:.6g},{:.6g} to {:.6g},{:.6g} nohead back lc rgb '#777777' lw 0.9 dt (6,3)\n",
                      low_m, value, high_m, value);
      ++n;
    } while (n < levels.size() && levels[n - 1].value / levels[n].value < near);
    commands += fmt::format("set label {} at {:.6g},{:.6g} right font ',6.5' front offset 0,0.3\n", quoted(values),
                            high_m / 1.02, highest);
  }
  return commands;
}

std::string distance_axis(double low_m, double high_m) {
  std::string ticks;
  for (const double tick : {0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0}) {
    if (tick >= low_m * 0.999 && tick <= high_m * 1.001)
      ticks += fmt::format("{}{:g}", ticks.empty() ? "" : ", ", tick);
  }
  return fmt::format("set logscale x\nset xrange [{:.6g}:{:.6g}]\nset xtics ({}) font ',7' nomirror scale 0.5 offset "
                     "0,0.15\n",
                     low_m, high_m, ticks);
}

}  // namespace

Chart field_distance_chart(const std::vector<FieldCurve>& curves, const std::vector<safety::LevelAt>& levels,
                           const std::vector<FieldPlace>& places, const ChartText& text) {
  require(!curves.empty() && curves.size() <= most_field_curves, "a chart of fields takes 1 to 6 curves");
  double low_m = HUGE_VAL, high_m = 0.0;
  for (const FieldCurve& c : curves) {
    require(c.points.size() >= 2, "a curve needs two points");
    low_m = std::min(low_m, c.points.front().distance_m);
    high_m = std::max(high_m, c.points.back().distance_m);
  }
  std::vector<std::string> names;
  std::size_t points_from = 0;
  const auto style_of = [&](const std::string& name) {
    const auto known = std::find(names.begin(), names.end(), name);
    if (known != names.end()) return static_cast<std::size_t>(known - names.begin());
    names.push_back(name);
    return names.size() - 1;
  };
  std::vector<LinePanel> panels;
  std::vector<std::string> notes;
  for (const bool electric : {true, false}) {
    LinePanel panel{"",
                    "distance from the feed, m",
                    electric ? "E, V/m rms" : "H, A/m rms",
                    distance_axis(low_m, high_m),
                    true,
                    false,
                    1,
                    {}};
    for (const FieldCurve& c : curves) {
      std::vector<Point> line;
      for (const safety::FieldAlong& f : c.points) {
        const double value = electric ? f.e_v_m : f.h_a_m;
        require(std::isfinite(value) && value > 0.0, "a field must be > 0");
        line.push_back({f.distance_m, value});
      }
      panel.lines.push_back({style_of(c.name), {std::move(line)}});
    }
    double strongest = 0.0, weakest = HUGE_VAL;
    for (const PanelLine& l : panel.lines) {
      for (const Point& p : l.pieces.front()) {
        strongest = std::max(strongest, p.y);
        weakest = std::min(weakest, p.y);
      }
    }
    std::vector<NamedLevel> within = named_levels(levels, electric);
    std::erase_if(within, [&](const NamedLevel& l) { return l.value >= strongest || l.value <= weakest; });
    panel.x_commands += level_lines(within, low_m, high_m);
    if (std::string words = whose_levels(within, electric); !words.empty()) notes.push_back(std::move(words));
    if (electric) points_from = names.size();
    for (const FieldPlace& p : places)
      panel.lines.push_back({style_of("at the " + p.name), {{{p.distance_m, electric ? p.e_v_m : p.h_a_m}}}});
    panels.push_back(std::move(panel));
  }
  notes.emplace_back(no_restriction);
  return line_chart(panels, names, {230.0, 250.0, points_from}, text, notes);
}

Chart field_side_chart(const safety::FieldPlane& plane, const wire::WireCase& wires,
                       const std::vector<safety::LevelAt>& levels, const std::vector<safety::Place>& places,
                       const ChartText& text) {
  require(plane.e_v_m.size() == plane.columns * plane.rows && plane.h_a_m.size() == plane.e_v_m.size(),
          "a side view needs one field a cell");
  const wire::Vec3 base = wires.antenna.wires[wires.antenna.feed.wire].points.front();
  const auto project = [&](wire::Vec3 p) {
    return Point{(p.x_m - base.x_m) * std::cos(plane.azimuth_rad) + (p.y_m - base.y_m) * std::sin(plane.azimuth_rad),
                 p.z_m};
  };
  const auto inside = [&](Point p) {
    return p.x >= plane.low_m && p.x <= plane.high_m && p.y >= 0.0 && p.y <= plane.top_m;
  };
  std::vector<RasterPanel> panels;
  std::vector<std::string> whose;
  for (const bool electric : {true, false}) {
    const std::vector<double>& field = electric ? plane.e_v_m : plane.h_a_m;
    // Shades over the decades that people stand in; what is stronger is all dark.
    const double low = electric ? 1.0 : 3e-3, decades = 3.0;
    const auto shade_of = [&](double value) { return std::log10(std::max(value, 1e-12) / low) / decades; };
    RasterPanel panel;
    panel.title = electric ? "E, V/m rms" : "H, A/m rms";
    panel.grid = {plane.low_m, plane.high_m, 0.0, plane.top_m, plane.columns, plane.rows};
    for (const double value : field) panel.shade.push_back(std::clamp(shade_of(value), 0.0, 1.0));
    std::vector<NamedLevel> within = named_levels(levels, electric);
    std::erase_if(within, [&](const NamedLevel& l) { return shade_of(l.value) <= 0.0 || shade_of(l.value) >= 1.0; });
    for (const NamedLevel& l : within) panel.contours.push_back({shade_of(l.value), fmt::format("{:.3g}", l.value)});
    if (std::string words = whose_levels(within, electric); !words.empty()) whose.push_back(std::move(words));
    for (const wire::Wire& w : wires.antenna.wires) {
      // Pieces within the frame; one that leaves it is cut at it.
      for (std::size_t p = 0; p + 1 < w.points.size(); ++p) {
        Point from = project(w.points[p]), to = project(w.points[p + 1]);
        RasterLine line{{}, w.person ? "lc rgb '#D55E00' lw 1.6 dt (4,3)" : "lc rgb '#000000' lw 1.6 dt solid"};
        constexpr int parts = 50;
        for (int n = 0; n <= parts; ++n) {
          const double t = static_cast<double>(n) / parts;
          const Point at{from.x + t * (to.x - from.x), from.y + t * (to.y - from.y)};
          if (inside(at)) line.points.push_back(at);
        }
        if (line.points.size() > 1) panel.lines.push_back(std::move(line));
      }
    }
    for (const safety::Place& p : places) {
      const Point at = project(p.point_m);
      if (inside(at)) panel.marks.push_back({at, p.name});
    }
    panels.push_back(std::move(panel));
  }
  RasterStyle style;
  style.height_by_width = plane.top_m / (plane.high_m - plane.low_m);
  style.x_ticks = even_ticks(plane.low_m, plane.high_m, 5.0);
  style.y_ticks = even_ticks(0.0, plane.top_m, 5.0);
  style.x_label = "level distance from the feed, m";
  style.y_label = "height, m";
  style.legend = {{"conductors of the file", "lc rgb '#000000' lw 1.6 dt solid", "", ""},
                  {"person", "lc rgb '#D55E00' lw 1.6 dt (4,3)", "", ""}};
  style.notes = {
      "Dark: strong, over three decades from 1 V/m and 0.003 A/m. Lines: published levels; field without the person."};
  style.notes.insert(style.notes.end(), whose.begin(), whose.end());
  style.notes.emplace_back(no_restriction);
  return raster_chart(panels, style, text);
}

}  // namespace stile::plots

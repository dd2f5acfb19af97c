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
  require(!curves.empty() && curves.size() <= 6, "a chart of fields takes 1 to 6 curves");
  double low_m = HUGE_VAL, high_m = 0.0;
  for (const FieldCurve& c : curves) {
    require(c.points.size() >= 2, "a curve needs two points");
    low_m = std::min(low_m, c.points.front().distance_m);
    high_m = std::max(high_m, c.points.back().distance_m);
  }
  std::vector<std::string> names;
  const auto style_of = [&](const std::string& name) {
    const auto known = std::find(names.begin(), names.end(), name);
    if (known != names.end()) return static_cast<std::size_t>(known - names.begin());
    names.push_back(name);
    return names.size() - 1;
  };
  std::vector<LinePanel> panels;
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
    double strongest = 0.0;
    for (const PanelLine& l : panel.lines) strongest = std::max(strongest, l.pieces.front().front().y);
    for (const NamedLevel& l : named_levels(levels, electric))
      if (l.value < strongest)
        panel.lines.push_back({style_of(fmt::format("{} {:.3g} {}", l.name, l.value, electric ? "V/m" : "A/m")),
                               {{{low_m, l.value}, {high_m, l.value}}}});
    for (const FieldPlace& p : places)
      panel.lines.push_back({style_of("at the " + p.name), {{{p.distance_m, electric ? p.e_v_m : p.h_a_m}}}});
    panels.push_back(std::move(panel));
  }
  return line_chart(panels, names, {230.0, 250.0}, text, {});
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
  for (const bool electric : {true, false}) {
    const std::vector<double>& field = electric ? plane.e_v_m : plane.h_a_m;
    // Shades over the decades that people stand in; what is stronger is all dark.
    const double low = electric ? 1.0 : 3e-3, decades = 3.0;
    const auto shade_of = [&](double value) { return std::log10(std::max(value, 1e-12) / low) / decades; };
    RasterPanel panel;
    panel.title = electric ? "E, V/m rms" : "H, A/m rms";
    panel.grid = {plane.low_m, plane.high_m, 0.0, plane.top_m, plane.columns, plane.rows};
    for (const double value : field) panel.shade.push_back(std::clamp(shade_of(value), 0.0, 1.0));
    for (const NamedLevel& l : named_levels(levels, electric))
      if (shade_of(l.value) > 0.0 && shade_of(l.value) < 1.0)
        panel.contours.push_back({shade_of(l.value), fmt::format("{:.3g}", l.value)});
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
      "Dark: strong, over three decades from 1 V/m and 0.003 A/m. Lines: published levels of the public, see the "
      "result; field without the person."};
  return raster_chart(panels, style, text);
}

}  // namespace stile::plots

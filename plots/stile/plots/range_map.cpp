#include <stile/plots/range_map.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include <stile/base/errors.hpp>
#include <stile/plots/contours.hpp>
#include <stile/plots/raster.hpp>

namespace stile::plots {
namespace {

using namespace detail;

constexpr double none = std::numeric_limits<double>::quiet_NaN();
constexpr const char* limit_line = "lc rgb '#000000' lw 1.5 dt solid";

void check(const std::vector<RangePanel>& panels, const RangeGrid& grid, double swr_limit) {
  require(!panels.empty() && panels.size() <= 8, "a range map takes 1 to 8 panels");
  require(grid.columns >= 2 && grid.rows >= 2, "a range map needs two cells each way");
  const auto rising = [](double low, double high) { return std::isfinite(low) && std::isfinite(high) && low < high; };
  require(rising(grid.x_low, grid.x_high) && rising(grid.y_low, grid.y_high),
          "the sides of a range map must be finite and in order");
  require(!grid.logarithmic_r || (grid.plane == RangePlane::impedance && grid.x_low > 0.0),
          "a logarithmic resistance needs the impedance plane and x_low > 0");
  require(grid.reference_ohm > 0.0 && std::isfinite(grid.reference_ohm), "the reference must be > 0 and finite");
  require(swr_limit > 1.0 && std::isfinite(swr_limit), "the SWR limit must be > 1 and finite");
  for (const RangePanel& panel : panels) {
    require(panel.values.size() == grid.columns * grid.rows, "a range map needs one value a cell");
    require(panel.swr.empty() || panel.swr.size() == panel.values.size(), "a range map needs one SWR a cell, or none");
  }
}

/// Where a resistance, or the x of a reflection, stands on the axis; a logarithmic one has no 0 and takes it far to the
/// left.
double along(const RangeGrid& grid, double x) {
  return grid.logarithmic_r ? std::log10(std::max(x, 1e-6 * grid.x_low)) : x;
}

RasterGrid raster_grid(const RangeGrid& grid) {
  return {along(grid, grid.x_low), along(grid, grid.x_high), grid.y_low, grid.y_high, grid.columns, grid.rows};
}

/// 1, 2, 5 times powers of ten, at their place on a logarithmic axis.
std::vector<Tick> logarithmic_ticks(const RangeGrid& grid) {
  std::vector<Tick> ticks;
  for (double power = std::pow(10.0, std::floor(std::log10(grid.x_low))); power <= grid.x_high; power *= 10.0) {
    for (const double lead : {1.0, 2.0, 5.0}) {
      const double r = lead * power;
      if (r >= grid.x_low * (1.0 - 1e-9) && r <= grid.x_high * (1.0 + 1e-9))
        ticks.push_back({along(grid, r), fmt::format("{:.6g}", r)});
    }
  }
  return ticks;
}

Point in_plane(const RangeGrid& grid, cdouble z_ohm) {
  if (grid.plane == RangePlane::impedance) return {along(grid, z_ohm.real()), z_ohm.imag()};
  const cdouble g = (z_ohm - grid.reference_ohm) / (z_ohm + grid.reference_ohm);
  return {g.real(), g.imag()};
}

bool shown(const RangeGrid& grid, const RangeMark& mark) {
  const Point at = in_plane(grid, mark.z_ohm);
  return at.x >= along(grid, grid.x_low) && at.x <= along(grid, grid.x_high) && at.y >= grid.y_low &&
         at.y <= grid.y_high;
}

/// Names the loads that the plane does not show; empty: it shows all.
std::string outside_note(const std::vector<RangePanel>& panels, const RangeGrid& grid) {
  std::string names;
  for (const RangePanel& panel : panels) {
    for (const RangeMark& mark : panel.marks) {
      if (shown(grid, mark)) continue;
      names +=
          (names.empty() ? "" : ", ") + (panel.title.empty() ? "" : panel.title + ": ") +
          (mark.name.empty() ? fmt::format("{:.4g}{:+.4g}j ohm", mark.z_ohm.real(), mark.z_ohm.imag()) : mark.name);
    }
  }
  return names.empty() ? "" : "Outside this map: " + names + ".";
}

/// Grid, marks and lines; without shades.
RasterPanel base_of(const RangePanel& panel, const RangeGrid& grid, double swr_limit) {
  RasterPanel raster;
  raster.title = panel.title;
  raster.grid = raster_grid(grid);
  if (!panel.swr.empty()) {
    // In log(SWR), whose slope is even, so that the line runs smoothly between cells.
    std::vector<double> field;
    for (const double s : panel.swr) field.push_back(std::isnan(s) ? none : std::log(std::min(s, 1e9)));
    for (std::vector<Point>& line :
         contour_lines(smoothed(field, grid.columns, grid.rows), grid.columns, grid.rows, std::log(swr_limit))) {
      for (Point& p : line) p = {raster.grid.x(p.x), raster.grid.y(p.y)};
      if (line.size() > 6) raster.lines.push_back({std::move(line), limit_line});
    }
  }
  for (const RangeEdge& edge : panel.edges) {
    RasterLine line{{}, edge.outline ? "lc rgb '#000000' lw 1.5 dt solid" : "lc rgb '#0072B2' lw 0.8 dt (6,3)"};
    for (const cdouble point : edge.points) line.points.push_back({along(grid, point.real()), point.imag()});
    raster.lines.push_back(std::move(line));
  }
  for (const RangeMark& mark : panel.marks) {
    if (shown(grid, mark)) raster.marks.push_back({in_plane(grid, mark.z_ohm), mark.name});
  }
  return raster;
}

RasterStyle style_of(const std::vector<RangePanel>& panels, const RangeGrid& grid, double swr_limit) {
  RasterStyle style;
  style.reflection = grid.plane == RangePlane::reflection;
  style.reference_ohm = grid.reference_ohm;
  if (style.reflection) {
    style.notes.push_back(fmt::format(
        "Plane of the load's reflection coefficient for {:.4g} ohm; grey circles: resistance (figures along the "
        "middle) and reactance (around the rim), ohm.",
        grid.reference_ohm));
  } else {
    style.x_ticks = grid.logarithmic_r ? logarithmic_ticks(grid) : even_ticks(grid.x_low, grid.x_high, 5.0);
    style.y_ticks = even_ticks(grid.y_low, grid.y_high, 6.0);
    style.x_label = "resistance of the load, ohm";
    style.y_label = "reactance of the load, ohm";
  }
  const std::string outside = outside_note(panels, grid);
  if (!outside.empty()) style.notes.push_back(outside);
  const auto any = [&](auto has) { return std::any_of(panels.begin(), panels.end(), has); };
  if (any([](const RangePanel& p) { return !p.swr.empty(); })) {
    style.legend.push_back({fmt::format("edge of the range: SWR {:.4g}", swr_limit), limit_line, "", ""});
  }
  const auto edge = [](bool outline) {
    return [outline](const RangePanel& p) {
      return std::any_of(p.edges.begin(), p.edges.end(),
                         [outline](const RangeEdge& e) { return e.outline == outline; });
    };
  };
  if (any(edge(true))) style.legend.push_back({"traced outline of what is matched exactly", limit_line, "", ""});
  if (any(edge(false)))
    style.legend.push_back({"parts at a limit, inside the range", "lc rgb '#0072B2' lw 0.8 dt (6,3)", "", ""});
  if (any([](const RangePanel& p) { return !p.marks.empty(); }))
    style.legend.push_back({"load", "", "lc rgb '#000000' pt 7 ps 0.75", ""});
  return style;
}

/// The cell of a class farthest from every other class and from the map's edge, in steps of cells; nothing where a
/// letter would not fit.
struct Middle {
  std::size_t cell = 0;
  double room = 0.0;
};

Middle middle_of(const std::vector<double>& values, const RangeGrid& grid, double wanted) {
  // Chamfer distance, two sweeps: 1 to a side, 1.4 to a corner.
  const auto columns = static_cast<std::ptrdiff_t>(grid.columns), rows = static_cast<std::ptrdiff_t>(grid.rows);
  std::vector<double> far(values.size());
  const auto sweep = [&](bool forward) {
    for (std::ptrdiff_t k = 0; k < columns * rows; ++k) {
      const std::ptrdiff_t cell = forward ? k : columns * rows - 1 - k, sign = forward ? -1 : 1;
      const std::ptrdiff_t column = cell % columns, line = cell / columns;
      double& here = far[static_cast<std::size_t>(cell)];
      if (values[static_cast<std::size_t>(cell)] != wanted) {
        here = 0.0;
        continue;
      }
      if (forward) here = 1e9;
      const auto reach = [&](std::ptrdiff_t dc, std::ptrdiff_t dr, double step) {
        const std::ptrdiff_t c = column + dc, r = line + dr;
        const bool inside = c >= 0 && c < columns && r >= 0 && r < rows;
        here = std::min(here, inside ? far[static_cast<std::size_t>(r * columns + c)] + step : step);
      };
      reach(sign, 0, 1.0);
      reach(0, sign, 1.0);
      reach(sign, sign, 1.4);
      reach(-sign, sign, 1.4);
    }
  };
  sweep(true);
  sweep(false);
  // In the round plane figures stand along the middle.
  for (std::size_t cell = 0; cell < far.size() && grid.plane == RangePlane::reflection; ++cell) {
    const double y = grid.y_low + (grid.y_high - grid.y_low) * (static_cast<double>(cell / grid.columns) + 0.5) /
                                      static_cast<double>(grid.rows);
    if (std::abs(y) < 0.08) far[cell] *= 0.7;
  }
  const auto most = std::max_element(far.begin(), far.end());
  return {static_cast<std::size_t>(most - far.begin()), *most};
}

}  // namespace

Chart range_map_chart(const std::vector<RangePanel>& panels, const RangeGrid& grid, const RangeQuantity& quantity,
                      double swr_limit, const ChartText& text) {
  check(panels, grid, swr_limit);
  require(std::isfinite(quantity.low) && std::isfinite(quantity.high) && quantity.low < quantity.high,
          "the scale of a range map must be finite and in order");
  require(!quantity.logarithmic || quantity.low > 0.0, "a logarithmic scale must be above 0");
  const auto scaled = [&](double value) {
    if (!quantity.logarithmic) return (value - quantity.low) / (quantity.high - quantity.low);
    return std::log(std::max(value, 1e-300) / quantity.low) / std::log(quantity.high / quantity.low);
  };
  std::vector<RasterPanel> rasters;
  bool above = false, white = false;
  for (const RangePanel& panel : panels) {
    RasterPanel raster = base_of(panel, grid, swr_limit);
    for (std::size_t cell = 0; cell < panel.values.size(); ++cell) {
      const double value = panel.values[cell];
      raster.shade.push_back(std::isnan(value) ? none : std::clamp(scaled(value), -1.0, 2.0));
      above = above || value > quantity.high;
      const auto column = static_cast<double>(cell % grid.columns), row = static_cast<double>(cell / grid.columns);
      const bool passive =
          grid.plane == RangePlane::impedance || std::hypot(raster.grid.x(column), raster.grid.y(row)) < 1.0;
      white = white || (std::isnan(value) && passive);
    }
    raster.stepped = true;
    for (const double level : quantity.levels) {
      // The limit has its own line.
      if (quantity.label.find("SWR") != std::string::npos && level == swr_limit && !panel.swr.empty()) continue;
      if (level > quantity.low && level < quantity.high)
        raster.contours.push_back({scaled(level), fmt::format("{:.4g}", level)});
    }
    rasters.push_back(std::move(raster));
  }
  RasterStyle style = style_of(panels, grid, swr_limit);
  style.key_label = quantity.label;
  for (const double level : quantity.levels) style.key_ticks.push_back({scaled(level), fmt::format("{:.4g}", level)});
  if (white && panels.front().swr.empty()) style.notes.emplace_back("White: not matched.");
  if (white && !panels.front().swr.empty())
    style.notes.push_back(fmt::format("White: no state comes under SWR {:.4g}.", swr_limit));
  if (above) style.notes.push_back(fmt::format("The darkest shade stands for everything above {:.4g}.", quantity.high));
  style.notes.emplace_back("Shades: each cell's own value; lines: its median with its neighbours.");
  return raster_chart(rasters, style, text);
}

Chart range_class_chart(const std::vector<RangePanel>& panels, const RangeGrid& grid,
                        const std::vector<std::string>& classes, double swr_limit, const ChartText& text) {
  check(panels, grid, swr_limit);
  require(!classes.empty() && classes.size() <= 12, "a range map takes 1 to 12 classes");
  const auto count = static_cast<double>(classes.size());
  const auto shade = [&](double index) { return count > 1.0 ? 0.06 + 0.8 * index / (count - 1.0) : 0.06; };
  const auto letter = [](std::size_t index) {
    return std::string(1, static_cast<char>('A' + static_cast<char>(index)));
  };
  std::vector<RasterPanel> rasters;
  for (const RangePanel& panel : panels) {
    RasterPanel raster = base_of(panel, grid, swr_limit);
    for (const double value : panel.values) {
      require(std::isnan(value) || (value >= 0.0 && value < count && value == std::floor(value)),
              "a cell's class must be one of those named");
      raster.shade.push_back(std::isnan(value) ? none : shade(value));
    }
    for (std::size_t k = 0; k < classes.size(); ++k) {
      const Middle middle = middle_of(panel.values, grid, static_cast<double>(k));
      const double least_room = 0.016 * static_cast<double>(std::max(grid.columns, grid.rows));
      if (middle.room < std::max(1.5, least_room)) continue;
      const auto column = static_cast<double>(middle.cell % grid.columns),
                 line = static_cast<double>(middle.cell / grid.columns);
      raster.letters.push_back({{raster.grid.x(column), raster.grid.y(line)}, letter(k)});
    }
    rasters.push_back(std::move(raster));
  }
  RasterStyle style = style_of(panels, grid, swr_limit);
  for (std::size_t k = 0; k < classes.size(); ++k) {
    style.legend.push_back({letter(k) + "  " + classes[k], "", "",
                            fmt::format("fc rgb '{}' fs solid 1.0 border lc rgb '#000000' lw 0.4",
                                        shade_colour(shade(static_cast<double>(k))))});
  }
  return raster_chart(rasters, style, text);
}

}  // namespace stile::plots

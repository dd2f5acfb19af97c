#pragma once
// Panels of shaded cells with contours, lines, marks and letters over them. Internal; users see range_map.hpp.

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include <stile/plots/page.hpp>

namespace stile::plots::detail {

struct Tick {
  double at = 0.0;
  std::string text;
};

/// Cell (column, row) is centred at x_low + (x_high - x_low) (column + 1/2)/columns, y likewise.
struct RasterGrid {
  double x_low = 0.0, x_high = 1.0, y_low = 0.0, y_high = 1.0;
  std::size_t columns = 0, rows = 0;
  double x(double column) const { return x_low + (x_high - x_low) * (column + 0.5) / static_cast<double>(columns); }
  double y(double row) const { return y_low + (y_high - y_low) * (row + 0.5) / static_cast<double>(rows); }
};

struct RasterContour {
  double level = 0.0;  ///< in units of the shade
  std::string text;
};

struct RasterLine {
  std::vector<Point> points;  ///< in the panel's coordinates
  std::string options;        ///< gnuplot line options
};

struct RasterMark {
  Point at;  ///< in the panel's coordinates
  std::string name;
};

struct RasterPanel {
  std::string title;
  RasterGrid grid;
  std::vector<double> shade;  ///< 0 light .. 1 dark, nan white; row by row
  bool stepped = false;       ///< of many small steps: contours are those of each cell's median with its neighbours
  std::vector<RasterContour> contours;
  std::vector<RasterLine> lines;
  std::vector<RasterMark> marks;
  std::vector<RasterMark> letters;  ///< in the middle of an area
};

/// What all panels of a chart have in common.
struct RasterStyle {
  bool reflection = false;  ///< a round frame with circles of resistance and reactance in place of axes
  double reference_ohm = 50.0;
  double height_by_width = 0.8;
  std::vector<Tick> x_ticks, y_ticks;
  std::string x_label, y_label;
  std::string key_label;        ///< of the scale of shades; empty: none
  std::vector<Tick> key_ticks;  ///< 0..1
  std::vector<LegendEntry> legend;
  std::vector<std::string> notes;
};

/// "#RRGGBB" of a shade 0..1 or more: cubehelix (D. A. Green, Bull. Astr. Soc. India 39, 289, 2011), rotations -1.0
/// from start 0.8, hue 0.9, from lightness 0.94 to 0.22, so that lines and letters show on every shade and grey print
/// keeps the order.
std::string shade_colour(double shade);

/// Even ticks of a round step, about `count` of them.
std::vector<Tick> even_ticks(double low, double high, double count);

Chart raster_chart(const std::vector<RasterPanel>& panels, const RasterStyle& style, const ChartText& text);

}  // namespace stile::plots::detail

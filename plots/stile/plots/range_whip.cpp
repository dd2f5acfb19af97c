#include <stile/plots/range_whip.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include <stile/base/errors.hpp>
#include <stile/base/range.hpp>
#include <stile/plots/contours.hpp>
#include <stile/plots/raster.hpp>

namespace stile::plots {
namespace {

using namespace detail;

constexpr double most_db = 20.0;

void check_axis(const std::vector<double>& values) {
  require(values.size() >= 2 && values.front() > 0.0, "a whip map needs two frequencies and two lengths, each > 0");
  const double ratio = values[1] / values[0];
  for (std::size_t i = 1; i < values.size(); ++i) {
    require(values[i] > values[i - 1] && std::abs(values[i] / values[i - 1] - ratio) < 1e-6 * ratio,
            "a whip map's frequencies and lengths must rise by one ratio");
  }
}

/// Edges of the cells around the first and the last value, on the scale of log10.
Range side_of(const std::vector<double>& values, double unit) {
  const double half = 0.5 * std::log10(values[1] / values[0]);
  return {std::log10(values.front() / unit) - half, std::log10(values.back() / unit) + half};
}

std::vector<Tick> log_ticks(const Range& side) {
  constexpr std::array<double, 14> round{0.5, 0.7, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 7.0, 10.0, 14.0, 20.0, 30.0, 50.0};
  std::vector<Tick> ticks;
  for (const double value : round) {
    const double at = std::log10(value);
    if (at >= side.low && at <= side.high) ticks.push_back({at, fmt::format("{:g}", value)});
  }
  return ticks;
}

}  // namespace

Chart whip_map_chart(const WhipMap& map, double swr_limit, const ChartText& text) {
  check_axis(map.frequency_hz);
  check_axis(map.length_m);
  const std::size_t columns = map.frequency_hz.size(), rows = map.length_m.size();
  require(map.loss_db.size() == columns * rows && map.swr.size() == map.loss_db.size(),
          "a whip map needs one value a cell");
  require(swr_limit > 1.0 && std::isfinite(swr_limit), "the SWR limit must be > 1 and finite");

  // Dark reads as lost: the scale is that of the square root, so that the first decibels show.
  const auto scaled = [](double db) { return std::sqrt(std::clamp(db, 0.0, 1e3) / most_db); };
  const Range x = side_of(map.frequency_hz, 1e6), y = side_of(map.length_m, 1.0);
  RasterPanel panel;
  panel.grid = {x.low, x.high, y.low, y.high, columns, rows};
  std::vector<double> reach;  // log of the SWR, in which the limit's line runs smoothly
  for (std::size_t row = 0; row < rows; ++row) {
    for (std::size_t column = 0; column < columns; ++column) {
      const std::size_t cell = column * rows + row;
      const double db = map.loss_db[cell];
      panel.shade.push_back(std::isnan(db) ? db : scaled(db));
      reach.push_back(std::log(std::min(map.swr[cell], 1e9)));
    }
  }
  constexpr std::array<double, 7> levels{0.25, 0.5, 1.0, 2.0, 3.0, 6.0, 10.0};
  for (const double level : levels) panel.contours.push_back({scaled(level), fmt::format("{:g} dB", level)});
  const std::string limit = "lc rgb '#000000' lw 1.5 dt solid", even = "lc rgb '#D55E00' lw 1.8 dt (8,3)";
  for (std::vector<Point>& line : contour_lines(reach, columns, rows, std::log(swr_limit))) {
    for (Point& p : line) p = {panel.grid.x(p.x), panel.grid.y(p.y)};
    panel.lines.push_back({std::move(line), limit});
  }
  for (const auto& points : map.break_even) {
    RasterLine line{{}, even};
    for (const WhipMapPoint& p : points)
      line.points.push_back({std::log10(1e-6 * p.frequency_hz), std::log10(p.length_m)});
    panel.lines.push_back(std::move(line));
  }

  RasterStyle style;
  style.x_ticks = log_ticks(x);
  style.y_ticks = log_ticks(y);
  style.x_label = "frequency, MHz";
  style.y_label = "length of the whip, m";
  style.key_label = "loss with the tuner, dB";
  for (const double level : {0.0, 0.25, 1.0, 3.0, 6.0, 10.0, most_db})
    style.key_ticks.push_back({scaled(level), fmt::format("{:g}", level)});
  style.legend.push_back({fmt::format("edge of the range: SWR {:.4g}", swr_limit), limit, "", ""});
  if (!map.break_even.empty()) style.legend.push_back({"below this length a base coil loses less", even, "", ""});
  if (std::any_of(map.loss_db.begin(), map.loss_db.end(), [](double db) { return db > most_db; })) {
    style.notes.push_back(fmt::format("The darkest shade stands for everything above {:g} dB.", most_db));
  }
  if (std::any_of(map.loss_db.begin(), map.loss_db.end(), [](double db) { return std::isnan(db); })) {
    style.notes.emplace_back("White: no load model (longer than a quarter wave).");
  }
  return raster_chart({panel}, style, text);
}

}  // namespace stile::plots

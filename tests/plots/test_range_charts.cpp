#include <catch2/catch.hpp>

#include <cmath>
#include <limits>
#include <numbers>

#include <stile/base/errors.hpp>
#include <stile/plots/contours.hpp>
#include <stile/plots/range_map.hpp>
#include <stile/plots/range_trade_off.hpp>
#include <stile/plots/range_whip.hpp>
#include <stile/plots/raster.hpp>

#include "plots/samples.hpp"

using namespace stile;
using namespace stile::plots;
using Catch::Matchers::Contains;

namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();

std::string svg_of(const Chart& chart) {
  const samples::Folder folder;
  const std::string file = folder / "chart.svg";
  REQUIRE(samples::draw(chart, {file}));
  return samples::content(file);
}

RangeGrid plane(RangePlane kind) {
  RangeGrid grid;
  grid.plane = kind;
  if (kind == RangePlane::impedance) grid.x_low = 0.0, grid.x_high = 200.0, grid.y_low = -300.0, grid.y_high = 300.0;
  grid.columns = 61;
  grid.rows = 51;
  return grid;
}

/// SWR rising to the left.
RangePanel panel(const RangeGrid& grid) {
  RangePanel p;
  for (std::size_t n = 0; n < grid.columns * grid.rows; ++n) {
    const double x = static_cast<double>(n % grid.columns) / static_cast<double>(grid.columns - 1);
    p.swr.push_back(1.0 + 9.0 * (1.0 - x));
    p.values.push_back(p.swr.back());
  }
  p.marks.push_back({{30.0, -40.0}, "on heather"});
  return p;
}

const RangeQuantity residual{"residual SWR", 1.0, 10.0, true, {1.0, 1.5, 2.0, 3.0, 5.0, 10.0}};

}  // namespace

TEST_CASE("contours of a cone are circles of the level's radius") {
  constexpr std::size_t n = 81;
  std::vector<double> cone;
  for (std::size_t k = 0; k < n * n; ++k) {
    cone.push_back(std::hypot(static_cast<double>(k % n) - 40.0, static_cast<double>(k / n) - 40.0));
  }
  const auto lines = detail::contour_lines(cone, n, n, 25.3);
  REQUIRE(lines.size() == 1);
  double length = 0.0;
  for (std::size_t k = 0; k < lines[0].size(); ++k) {
    const detail::Point p = lines[0][k];
    CHECK(std::abs(std::hypot(p.x - 40.0, p.y - 40.0) - 25.3) < 0.01);  // linear along sides 1 long, curvature 1/25
    if (k > 0) length += std::hypot(p.x - lines[0][k - 1].x, p.y - lines[0][k - 1].y);
  }
  CHECK(lines[0].front().x == lines[0].back().x);
  CHECK(lines[0].front().y == lines[0].back().y);
  CHECK(std::abs(length / (2.0 * std::numbers::pi * 25.3) - 1.0) < 1e-3);
}

TEST_CASE("contours stop at cells without a value and a saddle has two lines") {
  const std::vector<double> gap{0.0, 1.0, 0.0, 1.0, none, 1.0, 0.0, 1.0};
  CHECK(detail::contour_lines(gap, 4, 2, 0.5).size() == 2);  // upright ones in the two squares on the right
  const std::vector<double> saddle{1.0, 0.0, 0.0, 1.0};
  const auto lines = detail::contour_lines(saddle, 2, 2, 0.5);
  REQUIRE(lines.size() == 2);
  for (const auto& line : lines) CHECK(line.size() == 2);
  CHECK(detail::contour_lines(saddle, 2, 2, 2.0).empty());
}

TEST_CASE("smoothing takes the median and keeps cells without a value") {
  std::vector<double> values(25, 3.0);
  values[12] = 100.0;
  values[0] = none;
  const std::vector<double> smooth = detail::smoothed(values, 5, 5);
  CHECK(std::isnan(smooth[0]));
  for (std::size_t n = 1; n < 25; ++n) CHECK(smooth[n] == 3.0);
}

TEST_CASE("shades fall in lightness so that grey print keeps their order") {
  double last = 256.0;
  for (int k = 0; k <= 50; ++k) {
    const std::string colour = detail::shade_colour(k / 50.0);
    REQUIRE(colour.size() == 7);
    const auto part = [&](std::size_t at) { return static_cast<double>(std::stoi(colour.substr(at, 2), nullptr, 16)); };
    const double grey = 0.299 * part(1) + 0.587 * part(3) + 0.114 * part(5);  // luma of ITU-R BT.601
    CHECK(grey < last);
    last = grey;
  }
  CHECK(detail::shade_colour(-3.0) == detail::shade_colour(0.0));
  CHECK(detail::shade_colour(7.0) == detail::shade_colour(1.0));
}

TEST_CASE("a map in either plane carries its scale and contours and limit and loads") {
  for (const RangePlane kind : {RangePlane::reflection, RangePlane::impedance}) {
    const RangeGrid grid = plane(kind);
    const std::string svg = svg_of(range_map_chart({panel(grid)}, grid, residual, 2.0, samples::text));
    for (const char* part : {"A whip at 7.1 MHz &amp; more", "sample source", "residual SWR",
                             "edge of the range: SWR 2", "on heather", ">3<", ">5<"})
      CHECK_THAT(svg, Contains(part));
    CHECK_THAT(svg, Contains(kind == RangePlane::impedance ? "resistance of the load, ohm" : "+250j"));
  }
}

TEST_CASE("the notes of a map say what is white and what is beyond the scale") {
  const RangeGrid grid = plane(RangePlane::impedance);
  RangePanel p = panel(grid);
  CHECK_THAT(svg_of(range_map_chart({p}, grid, residual, 2.0, samples::text)),
             !Contains("White:") && !Contains("darkest"));
  p.values[5] = none;
  p.values[6] = 50.0;
  CHECK_THAT(svg_of(range_map_chart({p}, grid, residual, 2.0, samples::text)),
             Contains("White: no state comes under SWR 2.") &&
                 Contains("The darkest shade stands for everything above 10."));
  p.swr.clear();
  CHECK_THAT(svg_of(range_map_chart({p}, grid, residual, 2.0, samples::text)),
             Contains("White: not matched.") && !Contains("edge of the range"));
}

TEST_CASE("classes have letters in their areas and small ones only in the legend") {
  const RangeGrid grid = plane(RangePlane::impedance);
  RangePanel p = panel(grid);
  for (std::size_t n = 0; n < p.values.size(); ++n) p.values[n] = n % grid.columns < 30 ? 0.0 : 1.0;
  p.values[100] = 2.0;
  const std::string svg = svg_of(
      range_class_chart({p}, grid, {"inductors: voltage", "capacitors: voltage", "a speck"}, 2.0, samples::text));
  for (const char* part : {"A  inductors: voltage", "B  capacitors: voltage", "C  a speck", ">A<", ">B<"})
    CHECK_THAT(svg, Contains(part));
  CHECK_THAT(svg, !Contains(">C<"));
  p.values[0] = 3.0;
  CHECK_THROWS_AS(range_class_chart({p}, grid, {"a", "b", "c"}, 2.0, samples::text), DomainError);
}

TEST_CASE("a whip map says where a base coil loses less and where no model reaches") {
  WhipMap map;
  for (int k = 0; k < 20; ++k) {
    map.frequency_hz.push_back(3e6 * std::pow(10.0, k / 19.0));
    map.length_m.push_back(0.5 * std::pow(20.0, k / 19.0));
  }
  for (const double f : map.frequency_hz) {
    for (const double h : map.length_m) {
      const bool known = f * h < 75e6;
      map.loss_db.push_back(known ? 50e12 / (f * h * f * h) : none);
      map.swr.push_back(known ? 1.0 + 20e6 / (f * h) : none);
    }
  }
  map.break_even = {{{3e6, 8.0}, {30e6, 0.8}}};
  const std::string svg = svg_of(whip_map_chart(map, 2.0, samples::text));
  for (const char* part : {"frequency, MHz", "length of the whip, m", "below this length a base coil loses less",
                           "White: no load model", "1 dB", ">20<"})
    CHECK_THAT(svg, Contains(part));
  map.length_m[3] *= 1.1;
  CHECK_THROWS_AS(whip_map_chart(map, 2.0, samples::text), DomainError);
}

TEST_CASE("a logarithmic resistance has its figures and its loads in even ratios") {
  RangeGrid grid = plane(RangePlane::impedance);
  grid.logarithmic_r = true;
  grid.x_low = 2.0;
  grid.x_high = 600.0;
  RangePanel one = panel(grid);
  one.marks = {{{20.0, grid.y_low}, "whip"}, {{1.0, grid.y_low}, "short"}};
  const RangeQuantity quantity{"loss, dB", 0.1, 10.0, true, {1.0}};
  const std::string svg = svg_of(range_map_chart({one}, grid, quantity, 2.0, samples::text));
  for (const char* part :
       {">2<", ">5<", ">10<", ">20<", ">50<", ">100<", ">200<", ">500<", "whip", "Outside this map: short."})
    CHECK_THAT(svg, Contains(part));
  grid.x_low = 0.0;
  CHECK_THROWS_AS(range_map_chart({one}, grid, quantity, 2.0, samples::text), DomainError);
}

TEST_CASE("a trade-off names its points and marks the fewest relays within the limit") {
  const std::vector<TradeOffPoint> points{
      {3, std::numeric_limits<double>::infinity(), "1 L 1 C"}, {4, 9.0, "2 L 1 C"}, {5, 1.8, "2 L 2 C"}};
  const std::string svg = svg_of(trade_off_chart(points, 2.0, samples::text));
  for (const char* part : {"1 L 1 C", "2 L 2 C", "fewest relays within the limit", "limit, SWR 2", "SWR above 100"})
    CHECK_THAT(svg, Contains(part));
  CHECK_THROWS_AS(trade_off_chart({}, 2.0, samples::text), DomainError);
  CHECK_THROWS_AS(trade_off_chart({points[1], points[0]}, 2.0, samples::text), DomainError);
  CHECK_THROWS_AS(trade_off_chart({{3, 0.5, ""}}, 2.0, samples::text), DomainError);
}

TEST_CASE("range maps refuse values outside their range") {
  const RangeGrid grid = plane(RangePlane::reflection);
  const RangePanel good = panel(grid);
  const auto refused = [&](const std::vector<RangePanel>& panels, const RangeGrid& g, const RangeQuantity& q,
                           double limit) {
    CHECK_THROWS_AS(range_map_chart(panels, g, q, limit, samples::text), DomainError);
  };
  refused({}, grid, residual, 2.0);
  refused(std::vector<RangePanel>(9, good), grid, residual, 2.0);
  refused({good}, grid, residual, 1.0);
  RangeGrid other = grid;
  other.columns = 60;
  refused({good}, other, residual, 2.0);
  other = grid;
  other.x_high = other.x_low;
  refused({good}, other, residual, 2.0);
  other = grid;
  other.reference_ohm = 0.0;
  refused({good}, other, residual, 2.0);
  RangeQuantity scale = residual;
  scale.low = 0.0;
  refused({good}, grid, scale, 2.0);
  RangePanel short_swr = good;
  short_swr.swr.pop_back();
  refused({short_swr}, grid, residual, 2.0);
}

TEST_CASE("range charts render to the three formats with equal bytes") {
  const RangeGrid grid = plane(RangePlane::reflection);
  const std::vector<RangePanel> six(6, panel(grid));
  const samples::Folder folder;
  const auto bytes = [&](const std::string& name) {
    const std::vector<std::string> files{folder / (name + ".png"), folder / (name + ".svg"), folder / (name + ".pdf")};
    REQUIRE(samples::draw(range_map_chart(six, grid, residual, 2.0, samples::text), files));
    return samples::content(files[0]) + samples::content(files[1]) + samples::content(files[2]);
  };
  CHECK(bytes("first") == bytes("second"));
  CHECK(folder.files() == 6);
  CHECK(samples::content(folder / "first.pdf").size() < 1000000);  // an image, not a rectangle a cell
}

TEST_CASE("loads outside the plane are named in the caption, those on its frame are drawn") {
  const RangeGrid grid = plane(RangePlane::impedance);
  RangePanel p = panel(grid);
  p.marks.push_back({{26.0, -975.0}, "lifted"});
  p.marks.push_back({{26.0, -1975.0}, ""});
  p.marks.push_back({{0.0, 300.0}, "on the frame"});
  const std::string svg = svg_of(range_map_chart({p}, grid, residual, 2.0, samples::text));
  CHECK_THAT(svg, Contains("Outside this map: lifted, 26-1975j ohm."));
  CHECK_THAT(svg, Contains("on the frame"));
  const RangeGrid round = plane(RangePlane::reflection);
  RangePanel all = panel(round);
  all.marks = {{{0.0, 0.0}, "short"}, {{1e9, 0.0}, "open"}, {{0.0, -50.0}, "reactance"}, {{26.0, -975.0}, "lifted"}};
  const std::string whole = svg_of(range_map_chart({all}, round, residual, 2.0, samples::text));
  CHECK_THAT(whole, !Contains("Outside"));
  for (const char* name : {"short", "open", "reactance", "lifted"}) CHECK_THAT(whole, Contains(name));
}

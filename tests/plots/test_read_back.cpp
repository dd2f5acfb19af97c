// What a chart shows is read back from its data and labels: every curve its own values, every mark its own figure.
#include <algorithm>
#include <cmath>
#include <limits>
#include <sstream>
#include <utility>

#include <catch2/catch.hpp>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/plots/coil_sheet.hpp>
#include <stile/plots/coil_sweep.hpp>
#include <stile/plots/contours.hpp>
#include <stile/plots/impedance_tracks.hpp>
#include <stile/plots/range_map.hpp>
#include <stile/plots/range_trade_off.hpp>
#include <stile/plots/range_whip.hpp>
#include <stile/plots/raster.hpp>
#include <stile/plots/study.hpp>
#include <stile/plots/swr.hpp>
#include <stile/plots/whip_pattern.hpp>
#include <stile/plots/whip_power.hpp>

#include "plots/samples.hpp"

using namespace stile;
using namespace stile::plots;
using Catch::Matchers::Contains;

namespace {

using Block = std::vector<std::vector<double>>;  // rows of numbers

/// The data of a script, block by block; an empty line of it is an empty row.
std::vector<Block> blocks(const Chart& chart) {
  std::vector<Block> all;
  std::istringstream script(chart.script);
  bool inside = false;
  for (std::string line; std::getline(script, line);) {
    if (line == "EOD") {
      inside = false;
    } else if (inside) {
      std::istringstream numbers(line);
      all.back().emplace_back();
      for (double value = 0.0; numbers >> value;) all.back().back().push_back(value);
    } else if (line.find(" << EOD") != std::string::npos) {
      inside = true;
      all.emplace_back();
    }
  }
  return all;
}

/// Whether some block has exactly these rows, to the digits printed.
bool has(const Chart& chart, const Block& rows) {
  const auto same = [](double a, double b) { return std::abs(a - b) <= 2e-5 * std::max(1.0, std::abs(b)); };
  const std::vector<Block> all = blocks(chart);
  return std::any_of(all.begin(), all.end(), [&](const Block& block) {
    return std::equal(block.begin(), block.end(), rows.begin(), rows.end(), [&](const auto& a, const auto& b) {
      return std::equal(a.begin(), a.end(), b.begin(), b.end(), same);
    });
  });
}

std::string svg_of(const Chart& chart) {
  const samples::Folder folder;
  const std::string file = folder / "chart.svg";
  REQUIRE(samples::draw(chart, {file}));
  return samples::content(file);
}

const std::string* row_of(const std::vector<std::vector<std::string>>& rows, const std::string& name) {
  for (const auto& row : rows) {
    if (row.at(0) == name) return &row.at(1);
  }
  return nullptr;
}

}  // namespace

TEST_CASE("the amateur bands that are shaded are those of the Radio Regulations") {
  // ITU Radio Regulations, Article 5, from memory: what all three regions have, MHz.
  const std::vector<std::pair<double, double>> bands{{1.81, 1.85},   {3.5, 3.8},    {5.3515, 5.3665}, {7.0, 7.2},
                                                     {10.1, 10.15},  {14.0, 14.35}, {18.068, 18.168}, {21.0, 21.45},
                                                     {24.89, 24.99}, {28.0, 29.7}};
  for (const auto& [low, high] : bands) {
    INFO(low << " MHz");
    const double from = low - 0.8, to = high + 0.9;  // one stretch, in which only this band lies
    ImpedanceTrack track{"track", {}, {}};
    for (int n = 0; n <= 40; ++n) {
      track.frequency_hz.push_back(1e6 * (from + (to - from) * n / 40.0));
      track.z_ohm.push_back({20.0 + n, 30.0});
    }
    const Chart chart = tracks_chart({track}, {"R", "R", "X", "X"}, samples::text);
    std::size_t shaded = 0;
    for (const Block& b : blocks(chart)) {
      if (b.size() != 2 || b[0].size() != 3) continue;
      ++shaded;
      CHECK(std::abs(from + (to - from) * b[0][0] - low) <= 5e-5);
      CHECK(std::abs(from + (to - from) * b[1][0] - high) <= 5e-5);
    }
    CHECK(shaded == 2);  // in both panels
  }
}

TEST_CASE("a build sheet says of the winding, its holes and taps what is worked out by hand") {
  // 12.25 turns of 41.2 mm between wire centres and 2.5 mm pitch, wire of 1.2 mm: on a former of 40 mm, 42.4 mm over
  // the wire, 1.3 mm between turns, 12.25 x 2.5 + 1.2 = 31.825 mm long. A turn is hypot(pi 41.2, 2.5) = 129.4578 mm,
  // all 1.5859 m, with two leads of 52 mm 1.690 m; copper of 8.89 g/cm3 and 1.13097 mm2 of it 16.99 g. Slope
  // atan(2.5/129.434).
  CoilSheet sheet{
      "bench", coil::plain_winding(12.25, 41.2e-3, 2.5e-3, 1.2e-3), {{"40 m", {0, 6.6}}}, 0.052, {}, {}, {}, {}, "a 1"};
  const auto rows = winding_rows(sheet);
  const auto is = [&](const char* name, const std::string& text) {
    INFO(name);
    REQUIRE(row_of(rows, name) != nullptr);
    CHECK(*row_of(rows, name) == text);
  };
  is("Former", "40.00 mm outside, at least 52 mm long (10 mm to spare at each end)");
  is("Wire", "1.20 mm copper without insulation");
  is("Turns", "12.25");
  is("Pitch", "2.50 mm from wire centre to wire centre (1.30 mm between turns)");
  is("Winding", "31.8 mm long over the wire, 42.40 mm over the wire across");
  is("Slope", "1.11 degrees: the wire moves on by one pitch each turn");
  is("Wire to cut", "1.690 m, 17.0 g: 1.586 m on the former and 52 mm at each end");
  // The tap at 6.6 turns lies 16.5 mm along, 0.6 of a turn or 216 degrees round, which are 0.6 pi 40 = 75.4 mm, and 6.6
  // x 129.4578 = 854 mm from the start. The last hole at 12.25 turns: 30.6 mm, 90 degrees, 31.4 mm, drilled with 1.4
  // mm.
  const std::vector<SheetTable> tables = sheet_tables(sheet);
  REQUIRE(tables.size() == 3);
  CHECK(tables[0].title == "Drill plan");
  REQUIRE(tables[0].rows.size() == 3);
  CHECK(std::vector(tables[0].rows[1].begin() + 1, tables[0].rows[1].end()) ==
        std::vector<std::string>{"0", "0.0", "0", "0.0", "1.4"});
  CHECK(std::vector(tables[0].rows[2].begin() + 1, tables[0].rows[2].end()) ==
        std::vector<std::string>{"12.25", "30.6", "90", "31.4", "1.4"});
  REQUIRE(tables[1].rows.size() == 2);
  CHECK(tables[1].rows[1] == std::vector<std::string>{"40 m", "6.6", "16.5", "216", "75.4", "854"});
  CHECK(tables[2].rows[0] ==
        std::vector<std::string>{"Turn", "mm", "Turn", "mm", "Turn", "mm", "Turn", "mm", "Turn", "mm"});
  // Scale: the coil is drawn at 2 : 1, and one of 0.3 m at 1 : 2.
  const auto scale = [](const CoilSheet& of) {
    std::string found;
    for (const Drawing& page : coil_sheet(of)) {
      for (const DrawnText& t : page.texts) {
        const auto at = t.text.find("drawn at ");
        if (at != std::string::npos) found += t.text.substr(at + 9, t.text.find('.', at) - at - 9);
      }
    }
    return found;
  };
  const std::string small = scale(sheet);
  sheet.winding = coil::plain_winding(120, 41.2e-3, 2.5e-3, 1.2e-3), sheet.taps.clear();
  const std::string large = scale(sheet);
  INFO(small << " and " << large);
  CHECK(small == "1 : 1");
  CHECK(large == "1 : 2");
}

TEST_CASE("the curves of a coil's chart are its inductance, its apparent inductance and its bands of Q") {
  CoilCurve c{{5e6, 10e6, 15e6}, {11e-6, 11.5e-6, 12e-6}, {12e-6, 14e-6, 18e-6}, {300, 400, 480},
              {330, 440, 530},   {250, 310, 150},         {270, 320, 160},       3e6};
  const Chart chart = coil_sweep_chart(c, samples::text);
  CHECK(has(chart, {{5, 11}, {10, 11.5}, {15, 12}}));
  CHECK(has(chart, {{5, 12}, {10, 14}, {15, 18}}));
  CHECK(has(chart, {{5, 300, 330}, {10, 400, 440}, {15, 480, 530}}));
  CHECK(has(chart, {{5, 250, 270}, {10, 310, 320}, {15, 150, 160}}));
  CHECK_THAT(svg_of(chart), Contains("Self-resonance: 3 MHz, below the frequencies shown"));
}

TEST_CASE("an SWR panel has its limit, the part in use and arrows above 10 where they belong") {
  const Chart chart = swr_chart({{"40 m", {{"dry", {7.0e6, 7.1e6, 7.2e6}, {9.5, 9.6, 9.7}}}, 7.05e6, 7.15e6}}, 2.5, {});
  CHECK(has(chart, {{7, 2.5}, {7.2, 2.5}}));
  CHECK(has(chart, {{7.05, 1, 10}, {7.15, 1, 10}}));
  CHECK(has(chart, {{7, 9.5}, {7.1, 9.6}, {7.2, 9.7}}));
  CHECK_THAT(chart.script, !Contains("with vectors"));
  const Chart above = swr_chart({{"40 m", {{"dry", {7.0e6, 7.1e6, 7.2e6}, {10.5, 10.6, 10.7}}}}}, 2.5, {});
  CHECK_THAT(above.script, Contains("with vectors"));
}

TEST_CASE("a study's curve goes down by its losses") {
  const Chart chart = study_chart({{"40 m", {{"coil", {4.0, 5.0}, {10.0, 12.5}}}}}, "length, m", samples::text);
  CHECK(has(chart, {{4, -10}, {5, -12.5}}));
}

TEST_CASE("a pattern's rings and angles are labelled with what they are, and its right half is on the right") {
  constexpr double none = -std::numeric_limits<double>::infinity();
  const double degree = pi / 180.0;
  const std::vector<wire::PatternPoint> right{{0.0, none}, {30.0 * degree, -4.0}},
      left{{0.0, none}, {60.0 * degree, -10.0}};
  const Chart chart = whip_pattern_chart({{"lifted", right, left}}, samples::text);
  // 0 dBi at the rim and -40 dBi in the middle: -4 dBi are 0.9 of the radius, -10 dBi 0.75; at 30 degrees (0.77942,
  // 0.45), at 60 on the left (-0.375, 0.64952).
  CHECK(has(chart, {{0, 0}, {0.77942, 0.45}, {-0.375, 0.64952}, {0, 0}}));
  // Each ring's label stands where its circle meets the ground: its distance from the middle goes with its gain.
  const auto place = [&](const std::string& label) {
    std::vector<double> x;
    std::istringstream script(chart.script);
    for (std::string line; std::getline(script, line);) {
      const std::string start = "set label " + label + " at ";
      if (line.rfind(start, 0) == 0) x.push_back(std::stod(line.substr(start.size())));
    }
    return x;
  };
  const std::string quote = chart.script.find("set label '-10'") != std::string::npos ? "'" : "\"";
  const auto half_width = [&](const std::string& text) {
    const std::vector<double> x = place(quote + text + quote);
    REQUIRE(x.size() == 2);
    return 0.5 * std::abs(x[0] - x[1]);
  };
  const double rim = half_width("0 dBi");
  CHECK(half_width("-10") == Approx(0.75 * rim).epsilon(1e-3));
  CHECK(half_width("-20") == Approx(0.5 * rim).epsilon(1e-3));
  CHECK(half_width("-30") == Approx(0.25 * rim).epsilon(1e-3));
  CHECK(half_width("30") == Approx(1.04 * std::cos(30.0 * degree) * rim).epsilon(1e-3));
  CHECK(half_width("60") == Approx(1.04 * std::cos(60.0 * degree) * rim).epsilon(1e-3));
}

TEST_CASE("shares of power stand in decibels of all of it") {
  wire::AntennaSolution s;
  std::vector<wire::AntennaSolution> points;
  for (const double f : {7.0e6, 7.1e6, 7.2e6}) {
    s.frequency_hz = f;
    s.share = {};
    s.share.radiated = 0.1, s.share.ground = 0.5, s.share.metal = 0.01, s.share.coil = 0.02, s.share.lump = 0.04,
    s.share.person = 0.33;
    points.push_back(s);
  }
  const Chart chart = whip_power_chart({{"lifted", points}}, samples::text);
  for (const double share : {0.1, 0.5, 0.01, 0.02, 0.04, 0.33}) {
    INFO(share);
    const double db = 10.0 * std::log10(share);
    const std::vector<Block> all = blocks(chart);
    CHECK(std::count_if(all.begin(), all.end(), [&](const Block& b) {
            return b.size() == 3 && b[0].size() == 2 && std::abs(b[0][1] - db) <= 1e-4;
          }) == 1);
  }
}

TEST_CASE("a map's logarithmic resistance has the figures 1, 2 and 5, and its lines their own levels") {
  RangeGrid grid;
  grid.plane = RangePlane::impedance, grid.logarithmic_r = true;
  grid.x_low = 1.0, grid.x_high = 1000.0, grid.y_low = -100.0, grid.y_high = 100.0;
  grid.columns = 40, grid.rows = 20;
  RangePanel panel;
  for (std::size_t n = 0; n < 800; ++n) panel.values.push_back(1.0 + 9.0 * static_cast<double>(n / 40) / 19.0);
  const RangeQuantity even{"level", 1.0, 10.0, false, {1.0, 4.0, 10.0}};
  const Chart chart = range_map_chart({panel}, grid, even, 2.0, samples::text);
  const std::string svg = svg_of(chart);
  for (const char* figure : {">1<", ">2<", ">5<", ">10<", ">20<", ">50<", ">100<", ">200<", ">500<", ">1000<"})
    CHECK_THAT(svg, Contains(figure));
  CHECK_THAT(svg, !Contains(">400<"));
}

TEST_CASE("contours cross a side where the level lies between its ends") {
  // 2 and 6: the level 3 lies a quarter of the way, by hand.
  const std::vector<double> values{2.0, 6.0, 2.0, 6.0};
  const auto lines = plots::detail::contour_lines(values, 2, 2, 3.0);
  REQUIRE(lines.size() == 1);
  for (const plots::detail::Point& p : lines[0]) CHECK(p.x == Approx(0.25).epsilon(1e-12));
}

TEST_CASE("arrows of a trade-off stand above SWR 100 and not below") {
  CHECK_THAT(trade_off_chart({{2, 99.0, {}}, {3, 1.5, {}}}, 2.0, samples::text).script, !Contains("Arrows"));
  CHECK_THAT(trade_off_chart({{2, 101.0, {}}, {3, 1.5, {}}}, 2.0, samples::text).script, Contains("Arrows"));
}

TEST_CASE("a whip map has its lines at their decibels and its break-even where it is") {
  WhipMap map;
  for (int n = 0; n < 9; ++n) map.frequency_hz.push_back(1e6 * std::pow(10.0, n / 8.0));
  for (int n = 0; n < 9; ++n) map.length_m.push_back(std::pow(10.0, n / 8.0));
  for (std::size_t n = 0; n < 81; ++n)
    map.loss_db.push_back(14.0 * static_cast<double>(n % 9) / 8.0), map.swr.push_back(1.1);
  map.break_even = {{{2e6, 3.0}, {5e6, 4.0}}};
  const Chart chart = whip_map_chart(map, 2.0, samples::text);
  const std::string svg = svg_of(chart);
  for (const char* level : {"1 dB", "2 dB", "3 dB", "6 dB", "10 dB"}) CHECK_THAT(svg, Contains(level));
  CHECK_THAT(svg, !Contains(">5 dB<"));
}

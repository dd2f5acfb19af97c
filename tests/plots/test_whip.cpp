// Charts of a whip: what they print and what they refuse. How they look was judged by eye.
#include <cmath>
#include <limits>

#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/plots/line_panels.hpp>
#include <stile/plots/whip_current.hpp>
#include <stile/plots/whip_impedance.hpp>
#include <stile/plots/whip_pattern.hpp>
#include <stile/plots/whip_power.hpp>
#include <stile/plots/whip_study.hpp>

#include "plots/samples.hpp"

using namespace stile;
using namespace stile::plots;
using Catch::Matchers::Contains;

namespace {

std::string svg_of(const Chart& chart) {
  const samples::Folder folder;
  const std::string file = folder / "chart.svg";
  REQUIRE(samples::draw(chart, {file}));
  return samples::content(file);
}

wire::AntennaSolution point(double frequency_hz, cdouble feed_ohm, double radiated, double coil = 0.0) {
  wire::AntennaSolution s;
  s.frequency_hz = frequency_hz;
  s.feed_ohm = feed_ohm;
  s.share = {radiated, 0.9 - radiated - coil, 0.1, coil};
  return s;
}

/// Two bands, two conditions.
std::vector<WhipSweep> sweeps() {
  std::vector<WhipSweep> all{{"on heather & stone", {}}, {"lifted", {}}};
  for (std::size_t c = 0; c < 2; ++c) {
    for (int n = 0; n < 5; ++n)
      all[c].points.push_back(point(7.0e6 + 5e4 * n, {20.0 + n, -1000.0 + 10.0 * n}, 0.03 + 0.01 * n));
    for (int n = 0; n < 5; ++n)
      all[c].points.push_back(point(14.0e6 + 5e4 * n, {90.0 + 200.0 * static_cast<double>(c), 50.0 + n}, 0.2));
  }
  return all;
}

}  // namespace

TEST_CASE("stretches of frequencies stand side by side") {
  const plots::detail::FrequencyAxis axis({7.0e6, 7.1e6, 7.2e6, 14.0e6, 14.1e6, 14.2e6}, 400.0);
  REQUIRE(axis.groups() == 2);
  CHECK(axis.group(7.2e6) == 0);
  CHECK(axis.group(14.0e6) == 1);
  CHECK(axis.x(7.0e6) > 0.0);
  CHECK(axis.x(7.2e6) < 1.0);
  CHECK(axis.x(14.0e6) > 1.0);
  CHECK(axis.x(14.2e6) < 2.0);
  CHECK(std::abs(axis.x(7.1e6) - 0.5) <= 1e-9);
  const plots::detail::FrequencyAxis even({3e6, 10e6, 17e6, 24e6}, 400.0);
  CHECK(even.groups() == 1);
  CHECK(even.x(3e6) == 0.0);
  CHECK(even.x(24e6) == 1.0);
  const plots::detail::FrequencyAxis one({7.1e6}, 400.0);
  CHECK(one.single(0));
  CHECK(one.x(7.1e6) == 0.5);
}

TEST_CASE("the impedance chart names conditions axes and source") {
  const std::string svg = svg_of(whip_impedance_chart(sweeps(), samples::text));
  for (const char* part :
       {"A whip at 7.1 MHz &amp; more", "Feed resistance", "Feed reactance", "resistance, ohm", "reactance, ohm",
        "frequency, MHz", "on heather &amp; stone", "lifted", "7.1", "14.2", "sample source, version 1.2.3"}) {
    CHECK_THAT(svg, Contains(part));
  }
}

TEST_CASE("reactances of both signs stand on an axis that is logarithmic both ways, with the bands shaded") {
  WhipSweep wide{"wide", {}};
  for (int n = 0; n < 28; ++n) wide.points.push_back(point(3e6 + 1e6 * n, {20.0, -2000.0 + 150.0 * n}, 0.1));
  const std::string svg = svg_of(whip_impedance_chart({wide}, samples::text));
  for (const char* part :
       {">-1000<", ">-100<", ">-10<", ">0<", ">10<", ">1000<", "logarithmic both ways from 0", "Grey: amateur bands"})
    CHECK_THAT(svg, Contains(part));
  const std::string narrow = svg_of(whip_impedance_chart(
      {{"a", {point(7.0e6, {20.0, -1000.0}, 0.1), point(7.1e6, {21.0, -990.0}, 0.1)}}}, samples::text));
  CHECK_THAT(narrow, !Contains("both ways") && !Contains("Grey:"));
}

TEST_CASE("loads that crowd at the rim are magnified, with round figures around them") {
  WhipSweep whip{"whip", {}};
  for (int n = 0; n < 5; ++n) whip.points.push_back(point(7.0e6 + 5e4 * n, {14.0 + n, -1050.0 + 20.0 * n}, 0.1));
  const std::string svg = svg_of(whip_smith_chart({whip}, 50.0, samples::text));
  for (const char* part :
       {"its part in the square of the small plane magnified", ">10<", ">20<", ">-1000j<", ">7<", ">7.2<"})
    CHECK_THAT(svg, Contains(part));
  CHECK_THAT(svg, !Contains(">+50j<"));
  whip.points.push_back(point(21e6, {60.0, 20.0}, 0.1));
  CHECK_THAT(svg_of(whip_smith_chart({whip}, 50.0, samples::text)), !Contains("magnified") && Contains(">+50j<"));
}

TEST_CASE("the reflection plane shows the ends of each stretch") {
  const std::string svg = svg_of(whip_smith_chart(sweeps(), 75.0, samples::text));
  for (const char* part : {"for 75 ohm", "figures: MHz", ">7<", ">14<", "on heather &amp; stone", "+75j"})
    CHECK_THAT(svg, Contains(part));
  const std::string one =
      svg_of(whip_smith_chart({{"alone", {point(7.1e6, {20.0, -900.0}, 0.1)}}}, 50.0, samples::text));
  CHECK_THAT(one, !Contains("figures: MHz"));
}

TEST_CASE("the power chart gives the range radiated and only the places in use") {
  std::vector<WhipSweep> all = sweeps();
  const std::string svg = svg_of(whip_power_chart(all, samples::text));
  CHECK_THAT(svg, Contains("on heather &amp; stone: radiated -15.2 to -7.0 dB"));
  CHECK_THAT(svg,
             Contains("share of the power into the feed, dB") && Contains("-10 dB a tenth") && !Contains("left out"));
  CHECK_THAT(svg, Contains(">ground<") && Contains(">metal<") && !Contains(">coils<"));
  all[0].points[0] = point(7.0e6, {20.0, -1000.0}, 0.03, 0.2);
  CHECK_THAT(svg_of(whip_power_chart(all, samples::text)), Contains(">coils<"));
  CHECK_THAT(svg_of(whip_power_chart({{"one", {point(7.1e6, {20.0, -900.0}, 0.071)}}}, samples::text)),
             Contains("one: radiated -11.5 dB"));
  all[0].points[0] = point(7.0e6, {20.0, -1000.0}, 0.03, 5e-5);
  CHECK_THAT(svg_of(whip_power_chart(all, samples::text)),
             Contains("below -40 dB are left out") && !Contains(">coils<"));
}

TEST_CASE("the current chart has a line for each wire") {
  wire::AntennaSolution s = point(7.1e6, {20.0, -900.0}, 0.1);
  s.cells = {{1, {}, {}, 0.0, 2.0, 0.001, 1.0, 0.0},
             {0, {}, {}, 1.0, 1.0, 0.001, 0.5, 0.0},
             {0, {}, {}, 0.0, 1.0, 0.001, 1.0, 0.5}};
  const std::string svg = svg_of(whip_current_chart({{"lifted", {"mast", "trailing wire"}, s}}, samples::text));
  for (const char* part : {"lifted", "mast", "trailing wire", "current over feed current",
                           "distance from the wire&apos;s first point, m"}) {
    const std::string text(part);
    CHECK((svg.find(text) != std::string::npos || text.find("&apos;") != std::string::npos));
  }
  CHECK_THROWS_AS(whip_current_chart({{"lifted", {"mast"}, s}}, samples::text), DomainError);
  CHECK_THROWS_AS(whip_current_chart({}, samples::text), DomainError);
}

TEST_CASE("the pattern names the highest gain and its elevation") {
  constexpr double none = -std::numeric_limits<double>::infinity(), degree = 0.017453292519943295;
  const std::vector<wire::PatternPoint> right{{0.0, none}, {30.0 * degree, -3.14}, {90.0 * degree, -20.0}},
      left{{0.0, none}, {30.0 * degree, -9.0}, {90.0 * degree, -20.0}};
  const std::string svg = svg_of(whip_pattern_chart({{"lifted", right, left}}, samples::text));
  CHECK_THAT(svg, Contains("lifted: -3.1 dBi at 30 degrees"));
  CHECK_THAT(svg, Contains("0 dBi at the rim, -40 dBi at the centre") && !Contains("-0 dBi"));
  CHECK_THROWS_AS(whip_pattern_chart({{"none", {{0.0, none}}, {{0.0, none}}}}, samples::text), DomainError);
  CHECK_THROWS_AS(whip_pattern_chart({{"none", {}, left}}, samples::text), DomainError);
}

TEST_CASE("the study has columns for the coil only where there is one") {
  const std::vector<wire::AntennaStudyPoint> points{{1.0, {20.0, -900.0}, 0.1, 0.05},
                                                    {2.0, {25.0, -700.0}, 0.12, 0.08}};
  const std::string both = svg_of(whip_study_chart({{"lifted", points, points}}, samples::text));
  CHECK_THAT(both, Contains("coil&apos;s distance from the feed, m") || Contains("coil's distance from the feed, m") ||
                       Contains("coil&#39;s distance from the feed, m"));
  CHECK_THAT(both, Contains("length of the whip, m") && Contains("Efficiency, tuned at the feed"));
  CHECK_THAT(svg_of(whip_study_chart({{"lifted", {}, points}}, samples::text)), !Contains("distance from the feed"));
  CHECK_THROWS_AS(whip_study_chart({{"a", points, points}, {"b", {}, points}}, samples::text), DomainError);
}

TEST_CASE("charts of a whip refuse what cannot be drawn") {
  CHECK_THROWS_AS(whip_impedance_chart({}, samples::text), DomainError);
  CHECK_THROWS_AS(whip_impedance_chart(std::vector<WhipSweep>(17, sweeps()[0]), samples::text), DomainError);
  CHECK_THROWS_AS(whip_power_chart({{"empty", {}}}, samples::text), DomainError);
  std::vector<WhipSweep> falling = sweeps();
  std::swap(falling[0].points[0], falling[0].points[1]);
  CHECK_THROWS_AS(whip_impedance_chart(falling, samples::text), DomainError);
  CHECK_THROWS_AS(whip_power_chart(falling, samples::text), DomainError);
  std::vector<WhipSweep> negative = sweeps();
  negative[0].points[0].feed_ohm = {-1.0, 0.0};
  CHECK_THROWS_AS(whip_smith_chart(negative, 50.0, samples::text), DomainError);
  CHECK_THROWS_AS(whip_smith_chart(sweeps(), 0.0, samples::text), DomainError);
}

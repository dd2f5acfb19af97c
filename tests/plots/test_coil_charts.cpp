#include <algorithm>
#include <cmath>

#include <catch2/catch.hpp>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/plots/coil_sweep.hpp>
#include <stile/plots/coil_taps.hpp>
#include <stile/plots/coil_template.hpp>
#include <stile/plots/coil_voltage.hpp>

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

CoilCurve curve() {
  return {{5e6, 10e6, 15e6, 20e6},         {11e-6, 11e-6, 11e-6, 11e-6},
          {11.5e-6, 14e-6, 40e-6, -20e-6}, {300.0, 400.0, 480.0, 550.0},
          {330.0, 440.0, 530.0, 600.0},    {250.0, 300.0, 150.0, 0.0},
          {270.0, 320.0, 160.0, 0.0},      16.2e6};
}

}  // namespace

TEST_CASE("the chart of a coil names its axes and bands and its resonance") {
  const Chart chart = coil_sweep_chart(curve(), samples::text);
  const std::string svg = svg_of(chart);
  for (const char* part : {"inductance, uH", "frequency, MHz", ">Q<", "self-resonance 16.2 MHz",
                           "inductance of the turns", "Q at the terminals", "Q of the turns alone, in practice",
                           "Grey: above the self-resonance of 16.2 MHz", "sample source, version 1.2.3"}) {
    CHECK_THAT(svg, Contains(part));
  }
  // Q is filled between its two edges.
  CHECK_THAT(chart.script, Contains("10 400 440\n"));
  CHECK_THAT(chart.script, Contains("using 1:2:3 with filledcurves"));
  // Beyond the pole no line is drawn down to a negative inductance.
  CHECK_THAT(chart.script, !Contains("20 -20"));
}

TEST_CASE("a resonance outside the frequencies is told in a note") {
  CoilCurve c = curve();
  c.self_resonance_hz = 40e6;
  CHECK_THAT(svg_of(coil_sweep_chart(c, samples::text)),
             Contains("Self-resonance: 40 MHz, above the frequencies shown") && !Contains("Grey:"));
}

TEST_CASE("the taps of a coil stand as bars with their figures") {
  const std::string svg = svg_of(coil_taps_chart({{"80 m, dry", 40.0, false, "86 uH, Q 402..440"},
                                                  {"40 m, dry", 22.5, true, "16 uH"},
                                                  {"20 m, dry", 0.0, false, "bypassed"}},
                                                 40.0, 2e-3, samples::text));
  for (const char* part : {"80 m, dry", "86 uH, Q 402..440", "40 turns", "22.5 turns", ">none<", "unused, open",
                           "unused, shorted", "turns in use", "mm along", ">80<"}) {
    CHECK_THAT(svg, Contains(part));
  }
}

TEST_CASE("voltage along a coil has a mark at the tap") {
  const Chart chart =
      coil_voltage_chart({{"40 m, rest open", {0.0, 10.0, 20.0}, {0.0, 300.0, 420.0}, 15.0}}, samples::text);
  const std::string svg = svg_of(chart);
  for (const char* part :
       {"voltage to ground, V peak", "place on the wire, turns from", "40 m, rest open", "Marks: the tap"}) {
    CHECK_THAT(svg, Contains(part));
  }
  CHECK_THAT(chart.script, Contains("15 360\n"));  // on the line between its neighbours
}

TEST_CASE("charts of coils refuse what they cannot draw") {
  CoilCurve c = curve();
  c.q_low[1] = 500.0;
  CHECK_THROWS_AS(coil_sweep_chart(c, samples::text), DomainError);
  c = curve();
  c.frequency_hz[1] = 1e6;
  CHECK_THROWS_AS(coil_sweep_chart(c, samples::text), DomainError);
  c = curve();
  c.terminal_q_low.pop_back();
  CHECK_THROWS_AS(coil_sweep_chart(c, samples::text), DomainError);
  CHECK_THROWS_AS(coil_taps_chart({}, 40.0, 2e-3, samples::text), DomainError);
  CHECK_THROWS_AS(coil_taps_chart({{"a", 41.0, false, ""}}, 40.0, 2e-3, samples::text), DomainError);
  CHECK_THROWS_AS(coil_voltage_chart({}, samples::text), DomainError);
  CHECK_THROWS_AS(coil_voltage_chart({{"a", {0.0, 1.0}, {0.0, -1.0}, 1.0}}, samples::text), DomainError);
}

TEST_CASE("a winding template is drawn at true scale") {
  const CoilTemplate coil{"bench", coil::plain_winding(20, 0.04, 0.003, 0.001), {{"tap", {0, 12.25}}}, "a program 1"};
  const Drawing d = coil_template(coil);
  CHECK(d.width_mm == 210.0);
  CHECK(d.height_mm == 297.0);
  // The first turn: once round a former of 39 mm is pi 39 mm, one pitch down; the tap a quarter round, 36.75 mm down.
  const auto near = [](double a, double b) { return std::abs(a - b) <= 1e-9; };
  CHECK(std::any_of(d.lines.begin(), d.lines.end(), [&](const DrawnLine& l) {
    return near(l.x1_mm, 24.0) && near(l.y1_mm, 66.0) && near(l.x2_mm, 24.0 + 39.0 * pi) && near(l.y2_mm, 69.0);
  }));
  CHECK(std::any_of(d.circles.begin(), d.circles.end(), [&](const DrawnCircle& c) {
    return near(c.x_mm, 24.0 + 0.25 * 39.0 * pi) && near(c.y_mm, 66.0 + 36.75);
  }));
  CHECK_THAT(svg_text(d), Contains("Winding template: bench") && Contains("a program 1"));
  CHECK_THAT(svg_text(d), Contains("high voltage while the transmitter is keyed"));
  CHECK_THAT(pdf_text({d}, "bench"), Contains("/PrintScaling /None"));
}

TEST_CASE("rings of taps that follow turn on turn leave each other free, and no label is cut") {
  std::vector<std::pair<std::string, coil::WirePlace>> taps;
  for (int n = 1; n <= 19; ++n) taps.push_back({fmt::format("{} m: lifted, on heather, in wet peat", n), {0, 1.0 * n}});
  const Drawing d = coil_template({"bench", coil::plain_winding(20, 0.05, 0.002, 0.001), taps, "a program 1"});
  std::vector<DrawnCircle> rings;
  for (const DrawnCircle& c : d.circles) {
    if (std::abs(c.y_mm - 66.0) > 1e-9 && std::abs(c.y_mm - 66.0 - 40.0) > 1e-9) rings.push_back(c);  // not the holes
  }
  REQUIRE(rings.size() == 19);
  for (std::size_t n = 1; n < rings.size(); ++n)
    CHECK(rings[n].y_mm - rings[n - 1].y_mm >= rings[n].radius_mm + rings[n - 1].radius_mm + 0.3);
  for (const DrawnText& t : d.texts) {
    INFO(t.text);
    CHECK(t.x_mm + (t.anchor == Anchor::left ? text_width_mm(t.text, t.style) : 0.0) <= d.width_mm - 2.0);
    CHECK(t.y_mm <= d.height_mm);
  }
}

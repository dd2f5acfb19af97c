// Charts of the near field: what they hold, and what they refuse.
#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/plots/field.hpp>

#include "plots/chart_measure.hpp"
#include "plots/samples.hpp"

using namespace stile;
using namespace stile::plots;

namespace {

safety::LevelAt level(const std::string& standard, double e_v_m, double h_a_m) {
  safety::LevelAt l;
  l.standard = standard;
  l.group = "general public";
  l.scope = "local";
  l.e_v_m = e_v_m;
  l.h_a_m = h_a_m;
  return l;
}

}  // namespace

TEST_CASE("field against distance: levels within the fields are lines, near ones share one") {
  const std::vector<FieldCurve> curves{{"on heather", {{0.1, 500.0, 0.5}, {1.0, 50.0, 0.05}, {10.0, 1.0, 0.002}}}};
  const std::vector<safety::LevelAt> levels{level("A", 83.0, 21.0), level("B", 83.5, 0.1), level("C", 900.0, 0.2)};
  const Chart chart = field_distance_chart(curves, levels, {{"head", 0.3, 240.0, 0.2}}, {"title", "source"});
  for (const char* words : {"on heather", "Levels of E, V/m: 83 A, local; B, local.",
                            "Levels of H, A/m: 0.2 C, local. 0.1 B, local.", "not a basic restriction exceeded",
                            "set label '83'", "at the head", "E, V/m rms", "H, A/m rms", "set logscale x"}) {
    INFO(words);
    CHECK(chart.script.find(words) != std::string::npos);
  }
  // A place is a mark of its own, in both panels and in the legend; no line of the legend belongs to it.
  std::size_t marks = 0;
  for (std::size_t at = chart.script.find("with points lc rgb '#000000' pt 6 ps 0.8"); at != std::string::npos;
       at = chart.script.find("with points lc rgb '#000000' pt 6 ps 0.8", at + 1))
    ++marks;
  CHECK(marks == 3);
  CHECK(chart.script.find("0.3 240") != std::string::npos);
  // The lines of one panel are gone before the next.
  const std::size_t line = chart.script.find("set arrow"), gone = chart.script.find("unset arrow", line);
  REQUIRE(line != std::string::npos);
  CHECK(gone < chart.script.find("set arrow", gone + 8));
  CHECK(chart.script.rfind("unset arrow") > chart.script.rfind("set arrow from"));
  CHECK(chart.script.find("900 C") == std::string::npos);  // stronger than any field shown
  CHECK(chart.script.find("21 A, local") == std::string::npos);
  CHECK_THROWS_AS(field_distance_chart({}, levels, {}, {"t", "s"}), DomainError);
  CHECK_THROWS_AS(field_distance_chart({{"x", {{0.1, 0.0, 0.1}, {1.0, 1.0, 0.1}}}}, levels, {}, {"t", "s"}),
                  DomainError);
  CHECK_THROWS_AS(field_distance_chart({{"x", {{0.1, 1.0, 0.1}}}}, levels, {}, {"t", "s"}), DomainError);
}

TEST_CASE("field against distance: values of near levels stand above the highest of their lines") {
  const std::vector<FieldCurve> curves{{"on heather", {{0.1, 500.0, 0.5}, {1.0, 50.0, 0.05}, {10.0, 1.0, 0.002}}}};
  const std::vector<safety::LevelAt> levels{level("A", 100.0, 0.1), level("B", 90.0, 0.095), level("C", 82.0, 0.01)};
  const Chart chart = field_distance_chart(curves, levels, {}, {"t", "s"});
  for (const char* label : {"set label '100, 90, 82' at 9.80392,100 ", "set label '0.1, 0.095' at 9.80392,0.1 ",
                            "set label '0.01' at 9.80392,0.01 "}) {
    INFO(label);
    CHECK(chart.script.find(label) != std::string::npos);
  }
  const samples::Folder folder;
  REQUIRE(samples::draw(chart, {folder / "a.svg"}));
  chart_measure::check_strikes(folder / "a.svg");
}

TEST_CASE("side view: contours at the levels over the model's own wires") {
  safety::FieldPlane plane;
  plane.columns = plane.rows = 20;
  for (std::size_t n = 0; n < 400; ++n) {
    plane.e_v_m.push_back(1.0 + static_cast<double>(n));
    plane.h_a_m.push_back(0.01 + 0.001 * static_cast<double>(n));
  }
  wire::WireCase wires;
  wire::Wire whip, arm;
  whip.name = "whip";
  whip.points = {{0, 0, 1.2}, {0, 0, 3.6}};
  arm.name = "person's arm";
  arm.points = {{-0.4, 0, 1.4}, {-0.4, 0, 0.8}};
  arm.person = true;
  wires.antenna.wires = {whip, arm};
  const Chart chart =
      field_side_chart(plane, wires, {level("A", 83.0, 0.1)}, {{"head", {-0.3, 0.0, 1.6}}}, {"title", "source"});
  for (const char* words : {"conductors of the file", "person", "head", "83", "height, m",
                            "Levels of E, V/m: 83 A, local.", "not a basic restriction exceeded"}) {
    INFO(words);
    CHECK(chart.script.find(words) != std::string::npos);
  }
  plane.h_a_m.clear();
  CHECK_THROWS_AS(field_side_chart(plane, wires, {}, {}, {"title", "source"}), DomainError);
}

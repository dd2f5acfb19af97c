// Ranges of budgets and of what parts bear, part by part.

#include <catch2/catch.hpp>

#include <stile/plan/detail/at_design.hpp>

using namespace stile;
using namespace stile::plan;
using plan::detail::AtDesign;

namespace {

/// A part of a label that takes some power with some voltage and current, in front of 50 ohm.
AtDesign one_part(const std::string& label, double delivered_w, double part_w, double voltage_v_peak) {
  AtDesign at;
  at.ladder.elements.push_back({label, network::Place::series, network::Inductor{1e-6}});
  network::Stress stress;
  stress.voltage_v_peak = voltage_v_peak;
  stress.current_a_rms = 0.01 * voltage_v_peak;
  stress.dissipation_w = part_w;
  at.evaluation.elements = {stress};
  at.evaluation.power = {5.0, delivered_w + part_w, delivered_w};
  return at;
}

}  // namespace

TEST_CASE("a part is the same however it is set, and one that is not in use somewhere takes and bears nothing there") {
  station::Transmitter transmitter;
  transmitter.source.power_w = 5.0;
  ConditionResult result;
  state_at_design(result, transmitter, one_part("coil (turn 14, rest shorted)", 4.0, 0.5, 100.0));
  REQUIRE(result.budget.size() == 4);  // antenna, coil, not accepted, held back
  CHECK(result.budget[1].where == "coil (turn 14, rest shorted)");
  widen_at_design(result, transmitter, one_part("coil (turn 12, rest shorted)", 3.8, 0.8, 140.0));
  CHECK(result.budget[1].power_w == 0.5);
  CHECK(result.budget[1].range_w.low == 0.5);
  CHECK(result.budget[1].range_w.high == 0.8);
  CHECK(result.budget[0].range_w.low == 3.8);
  CHECK(result.stress_ranges[0].voltage_v_peak.low == 100.0);
  CHECK(result.stress_ranges[0].voltage_v_peak.high == 140.0);
  CHECK(result.stress_ranges[0].current_a_rms.high == Approx(1.4));
  CHECK(result.stress_ranges[0].dissipation_w.high == 0.8);
  // Another part in its place: it is told, the first one rests.
  widen_at_design(result, transmitter, one_part("L2", 3.9, 0.7, 90.0));
  CHECK(result.stress_ranges[0].voltage_v_peak.low == 0.0);
  CHECK(result.budget[1].range_w.low == 0.0);
  REQUIRE(result.budget.size() == 5);
  CHECK(result.budget[2].where == "L2");
  CHECK(result.budget[2].power_w == 0.0);
  CHECK(result.budget[2].range_w.low == 0.0);
  CHECK(result.budget[2].range_w.high == 0.7);
  CHECK(result.budget[3].spent == Spent::mismatch);
  CHECK(result.budget[3].range_w.high == Approx(0.5));  // of 5 W 4.5 were accepted as stated
  CHECK(result.budget[3].range_w.low == Approx(0.4));
}

#include <catch2/catch.hpp>

#include <cmath>

#include <stile/base/errors.hpp>
#include <stile/network/sweep_ratings.hpp>

using namespace stile;
using namespace stile::network;

namespace {

/// Two coils, L1 rated 100 V and 2 A, L2 rated 100 V.
Ladder two_coils() {
  Ladder ladder;
  ladder.elements = {{"L1", Place::series, Inductor{1e-6, {}}, {}}, {"L2", Place::series, Inductor{1e-6, {}}, {}}};
  ladder.elements[0].rating.voltage_v_peak = ladder.elements[1].rating.voltage_v_peak = 100.0;
  ladder.elements[0].rating.current_a_rms = 2.0;
  return ladder;
}

Evaluation point(double frequency_hz, double swr, const Stress& first, const Stress& second) {
  Evaluation e;
  e.frequency_hz = frequency_hz;
  e.swr = swr;
  e.elements = {first, second};
  return e;
}

/// Invented: L1 breaks its voltage 1.5 times at 7 MHz and its current 3 times at 7.1 MHz, L2 its voltage 4 times at 7.2
/// MHz.
std::vector<Evaluation> invented_sweep() {
  return {point(7.0e6, 1.5, {1.0, 150.0, 3.0, 0.0, 0.0}, {1.0, 90.0, 7.0, 0.0, 0.0}),
          point(7.1e6, 4.0, {6.0, 120.0, 2.0, 0.0, 0.0}, {5.0, 200.0, 7.0, 0.0, 0.0}),
          point(7.2e6, 4.0, {6.0, 110.0, 1.0, 0.0, 0.0}, {2.0, 400.0, 6.0, 0.0, 0.0})};
}

}  // namespace

TEST_CASE("of each part the worst break of its ratings is told, the worst part first") {
  const std::vector<SweepOverload> broken = sweep_overloads(two_coils(), invented_sweep());
  REQUIRE(broken.size() == 2);
  CHECK(broken[0].overload.element == 1);
  CHECK(broken[0].overload.factor == 4.0);
  CHECK(broken[0].frequency_hz == 7.2e6);
  CHECK(broken[0].overload.what == "L2: 400 V peak, rated 100 V");
  CHECK(broken[1].overload.element == 0);
  CHECK(broken[1].overload.factor == 3.0);  // of the current; that of the voltage is 1.5
  CHECK(broken[1].frequency_hz == 7.1e6);   // the first of two equal ones
  CHECK(broken[1].overload.what == "L1: 6 A rms, rated 2 A");
}

TEST_CASE("parts that are equally far over their ratings stay in the ladder's order") {
  const std::vector<Evaluation> points{point(7e6, 1.0, {0.0, 250.0, 0.0, 0.0, 0.0}, {0.0, 250.0, 0.0, 0.0, 0.0})};
  const auto broken = sweep_overloads(two_coils(), points);
  REQUIRE(broken.size() == 2);
  CHECK(broken[0].overload.element == 0);
  CHECK(broken[1].overload.element == 1);
}

TEST_CASE("nothing is broken at a rating and without points, and another ladder's points are refused") {
  const std::vector<Evaluation> points{point(7e6, 1.0, {2.0, 100.0, 0.0, 0.0, 0.0}, {9.0, 100.0, 0.0, 0.0, 0.0})};
  CHECK(sweep_overloads(two_coils(), points).empty());
  CHECK(sweep_overloads(two_coils(), {}).empty());
  CHECK_THROWS_AS(sweep_overloads({}, points), DomainError);
}

TEST_CASE("the most that a part carries has its own frequency") {
  const auto most = highest_stresses(invented_sweep());
  REQUIRE(most.size() == 2);
  CHECK(most[0].current_a_rms.value == 6.0);
  CHECK(most[0].current_a_rms.frequency_hz == 7.1e6);  // the first of two equal ones
  CHECK(most[0].voltage_v_peak.value == 150.0);
  CHECK(most[0].voltage_v_peak.frequency_hz == 7.0e6);
  CHECK(most[0].dissipation_w.value == 3.0);
  CHECK(most[0].dissipation_w.frequency_hz == 7.0e6);
  CHECK(most[1].current_a_rms.value == 5.0);
  CHECK(most[1].voltage_v_peak.value == 400.0);
  CHECK(most[1].voltage_v_peak.frequency_hz == 7.2e6);
  CHECK(most[1].dissipation_w.frequency_hz == 7.0e6);
  CHECK(highest_stresses(std::vector<Evaluation>(1)).empty());
  CHECK_THROWS_AS(highest_stresses({}), DomainError);
  auto mixed = invented_sweep();
  mixed[1].elements.pop_back();
  CHECK_THROWS_AS(highest_stresses(mixed), DomainError);
}

TEST_CASE("the highest SWR is the first of equal ones, and infinite where nothing is accepted") {
  auto points = invented_sweep();
  CHECK(highest_swr(points).value == 4.0);
  CHECK(highest_swr(points).frequency_hz == 7.1e6);
  points[2].swr = infinite;
  CHECK(highest_swr(points).value == infinite);
  CHECK(highest_swr(points).frequency_hz == 7.2e6);
  CHECK_THROWS_AS(highest_swr({}), DomainError);
}

TEST_CASE("the highest voltage at the load is the first of equal ones") {
  std::vector<Evaluation> points = invented_sweep();
  for (std::size_t n = 0; n < points.size(); ++n) {
    points[n].z_load_ohm = {3.0, -4.0};  // 5 ohm
    points[n].load_current_a = n == 0 ? 1.0 : 2.0;
  }
  const SweepValue highest = highest_load_voltage_v_peak(points);
  CHECK(std::abs(highest.value / (10.0 * std::sqrt(2.0)) - 1.0) <= 1e-15);
  CHECK(highest.frequency_hz == 7.1e6);
  CHECK_THROWS_AS(highest_load_voltage_v_peak({}), DomainError);
}

TEST_CASE("the most of all parts at one frequency is each of its own part") {
  const Stress most = highest_stress(point(7e6, 1.0, {1.0, 150.0, 3.0, 5.0, 2.0}, {4.0, 90.0, 7.0, 1.0, 6.0}));
  CHECK(most.current_a_rms == 4.0);
  CHECK(most.voltage_v_peak == 150.0);
  CHECK(most.dissipation_w == 7.0);
  CHECK(most.magnetic_energy_j == 5.0);
  CHECK(most.electric_energy_j == 6.0);
  CHECK(highest_stress({}).voltage_v_peak == 0.0);
}

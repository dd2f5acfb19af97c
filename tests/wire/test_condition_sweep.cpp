#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/network/one_port.hpp>
#include <stile/wire/condition_sweep.hpp>

#include "wire/reference.hpp"

using namespace stile;
using namespace stile::wire;
using namespace stile::wire::test;

namespace {

ConditionTask task(std::vector<double> frequency_hz) {
  return {{{"short", monopole(2.4, 0.002), perfect_ground()}, {"long", monopole(3.6, 0.002), perfect_ground()}},
          std::move(frequency_hz),
          {},
          1};
}

/// Slope over two thousandths, the frequency in the middle.
double centred_q(const WireCase& wires, double frequency_hz) {
  const double step = 1e-3 * frequency_hz;
  const auto z = [&](double f) { return solve_antenna(wires.antenna, wires.ground, f).feed_ohm; };
  return network::q_from_impedance(z(frequency_hz), (z(frequency_hz + step) - z(frequency_hz - step)) / (2.0 * step),
                                   frequency_hz);
}

}  // namespace

TEST_CASE("conditions are solved one after the other, with Q from neighbours or from a frequency beside") {
  // 7 and 7.1 MHz are neighbours; 14 and 250 MHz have none, and above 200 MHz the frequency beside is below.
  const ConditionTask asked = task({7e6, 7.1e6, 14e6, 250e6});
  CHECK(solution_count(asked) == 2 * (4 + 2));
  std::size_t told = 0;
  const auto sweeps = sweep_conditions(asked, [&] { ++told; });
  CHECK(told == solution_count(asked));
  REQUIRE(sweeps.size() == 2);
  for (std::size_t c = 0; c < 2; ++c) {
    CHECK(sweeps[c].wires.name == asked.conditions[c].name);
    REQUIRE(sweeps[c].points.size() == 4);
    for (std::size_t n = 0; n < 4; ++n) {
      const ConditionPoint& p = sweeps[c].points[n];
      const WireCase& wires = asked.conditions[c];
      CHECK(p.solution.frequency_hz == asked.frequency_hz[n]);
      CHECK(p.solution.feed_ohm == solve_antenna(wires.antenna, wires.ground, asked.frequency_hz[n]).feed_ohm);
      const double q = centred_q(wires, asked.frequency_hz[n]);
      INFO(wires.name << " " << asked.frequency_hz[n] << ": " << p.q << ", centred " << q);
      CHECK(std::abs(p.q / q - 1.0) <= 0.02);
    }
  }
}

TEST_CASE("a condition's warnings are told once, with the first frequency") {
  ConditionTask asked = task({100e6, 101e6, 102e6});
  Antenna thick = monopole(2.4, 0.06);
  thick.feed.gap_m = 0.12;
  asked.conditions = {{"thick", thick, perfect_ground()}};
  const auto sweeps = sweep_conditions(asked);
  REQUIRE(!sweeps[0].warnings.empty());  // of the radius, which was told anew at each frequency
  for (const std::string& warning : sweeps[0].warnings) CHECK(warning.find("(from 100 MHz on)") != std::string::npos);
}

TEST_CASE("neighbours are up to 2 percent apart, others get a frequency beside") {
  const std::size_t conditions = task({7e6}).conditions.size();
  CHECK(solution_count(task({7e6})) == 2 * conditions);
  CHECK(solution_count(task({7e6, 7.139e6})) == 2 * conditions);
  CHECK(solution_count(task({7e6, 7.141e6})) == 4 * conditions);
  CHECK(solution_count(task({7e6, 7.1e6, 14e6})) == 4 * conditions);
}

TEST_CASE("a sweep of conditions refuses what has no order") {
  CHECK_THROWS_AS(sweep_conditions(task({})), DomainError);
  CHECK_THROWS_AS(sweep_conditions(task({7e6, 7e6})), DomainError);
  CHECK_THROWS_AS(solution_count(task({7.1e6, 7e6})), DomainError);
}

TEST_CASE("the spread of conditions holds each of them and is reached at both ends") {
  const auto sweeps = sweep_conditions(task({7e6, 14e6}));
  const auto spreads = condition_spreads(sweeps);
  REQUIRE(spreads.size() == 2);
  for (std::size_t n = 0; n < 2; ++n) {
    const AntennaSolution &a = sweeps[0].points[n].solution, &b = sweeps[1].points[n].solution;
    CHECK(spreads[n].frequency_hz == a.frequency_hz);
    CHECK(spreads[n].r_low_ohm == std::min(a.feed_ohm.real(), b.feed_ohm.real()));
    CHECK(spreads[n].r_high_ohm == std::max(a.feed_ohm.real(), b.feed_ohm.real()));
    CHECK(spreads[n].x_low_ohm == std::min(a.feed_ohm.imag(), b.feed_ohm.imag()));
    CHECK(spreads[n].x_high_ohm == std::max(a.feed_ohm.imag(), b.feed_ohm.imag()));
    CHECK(spreads[n].efficiency_low == std::min(a.share.radiated, b.share.radiated));
    CHECK(spreads[n].efficiency_high == std::max(a.share.radiated, b.share.radiated));
    CHECK(spreads[n].r_low_ohm < spreads[n].r_high_ohm);
  }
  CHECK(condition_spreads(std::span(sweeps).first(1)).empty());
  auto uneven = sweeps;
  uneven[1].points.pop_back();
  CHECK_THROWS_AS(condition_spreads(uneven), DomainError);
}

TEST_CASE("the highest voltage at the feed and the least efficiency name their place") {
  // Invented: two conditions at two frequencies.
  const auto point = [](double frequency_hz, cdouble feed_ohm, double radiated) {
    ConditionPoint p;
    p.solution.frequency_hz = frequency_hz;
    p.solution.feed_ohm = feed_ohm;
    p.solution.share.radiated = radiated;
    return p;
  };
  std::vector<ConditionSweep> sweeps(2);
  sweeps[0].wires.name = "dry";
  sweeps[0].points = {point(7e6, {3.0, -4.0}, 0.3), point(14e6, {50.0, 0.0}, 0.2)};
  sweeps[1].wires.name = "wet";
  sweeps[1].points = {point(7e6, {3.0, 4.0}, 0.2), point(14e6, {50.0, 0.0}, 0.4)};
  // 6 W: 2 A peak into 3 ohm, 10 V across 5 ohm; across 50 ohm sqrt(2 * 6 * 50) = 24.5 V.
  const ConditionValue voltage = highest_feed_voltage_v_peak(sweeps, 6.0);
  CHECK(std::abs(voltage.value - std::sqrt(600.0)) <= 1e-13);
  CHECK(voltage.frequency_hz == 14e6);
  CHECK(voltage.condition == "dry");                      // the first of two equal ones
  sweeps[1].points[0].solution.feed_ohm = {3.0, -400.0};  // 2 A * 400 ohm
  CHECK(std::abs(highest_feed_voltage_v_peak(sweeps, 6.0).value - 2.0 * std::hypot(3.0, 400.0)) <= 1e-10);
  CHECK(highest_feed_voltage_v_peak(sweeps, 6.0).condition == "wet");
  CHECK(highest_feed_voltage_v_peak(sweeps, 6.0).frequency_hz == 7e6);
  const ConditionValue efficiency = least_efficiency(sweeps);
  CHECK(efficiency.value == 0.2);
  CHECK(efficiency.condition == "dry");
  CHECK(efficiency.frequency_hz == 14e6);
  CHECK_THROWS_AS(highest_feed_voltage_v_peak({}, 6.0), DomainError);
  CHECK_THROWS_AS(highest_feed_voltage_v_peak(sweeps, -1.0), DomainError);
  CHECK_THROWS_AS(least_efficiency({}), DomainError);
}

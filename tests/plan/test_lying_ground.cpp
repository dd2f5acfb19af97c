// The corner of wires that lie in the plan's ranges: the ground under one up to 5 times as lossy as modelled, which is
// the most of wire::lying_ground_factor (its source stands there: one radial on clay). The antenna is invented.

#include <cmath>
#include <string>

#include <catch2/catch.hpp>

#include <plan/stations.hpp>
#include <stile/plan/detail/corner.hpp>
#include <stile/plan/plan.hpp>
#include <stile/station/solve_loads.hpp>

using namespace stile;
using namespace stile::plan;
using namespace stile::plan::test;

namespace {

/// A 3 m whip with a wire of 5.5 m, once on the soil and once in the air.
station::Station moor(const std::string& uncertainty) {
  const auto load = [](const std::string& name, const std::string& end) {
    return "[[load]]\ncondition = \"" + name + "\"\n[load.wires]\n" + whip_and_trail("[1.2, 0, 0.05], " + end);
  };
  return station::solve_loads(station::read_station(R"([station]
name = "bench"
[transmitter]
power = "5 W"
swr_limit = 100
[[band]]
name = "40 m"
low = "7.09 MHz"
high = "7.11 MHz"
use = ["7.0999 MHz", "7.1001 MHz"]
[[band]]
name = "20 m"
low = "14.19 MHz"
high = "14.21 MHz"
use = ["14.1999 MHz", "14.2001 MHz"]
[uncertainty]
q = 0
)" + uncertainty + load("lies", "[5, 0, 0.05]") + load("ends in the air", "[5, 0, 1.5]") +
                                                        R"([[arrangement]]
name = "straight"
kind = "straight"
)",
                                                    "bench.toml", "."));
}

/// Loss into 50 ohm with a load whose ground has other losses, by the definition of mismatch.
double loss_db(const station::AntennaLoad& load, double frequency_hz, double factor) {
  const cdouble z = load::load_impedance(load.load, frequency_hz);
  const double more = 1.0 + (factor - 1.0) * load::load_shares(load.load, frequency_hz)->ground;
  const cdouble changed{z.real() * more, z.imag()};
  const double radiated = load::load_shares(load.load, frequency_hz)->radiated / more;
  return -10.0 * std::log10(radiated * (1.0 - std::norm((changed - 50.0) / (changed + 50.0))));
}

}  // namespace

TEST_CASE("a plan's ranges take the ground under a short wire that lies up to five times as lossy as modelled") {
  const station::Station s = moor("");
  const std::vector<station::AntennaLoad>& loads = s.antennas[0].loads;
  CHECK(station::short_wire_lies(loads[0], 7.1e6));
  CHECK_FALSE(station::short_wire_lies(loads[1], 7.1e6));
  CHECK_FALSE(station::short_wire_lies(loads[0], 14.2e6));  // longer than a quarter wave
  const Plan plan = make_plan(s);
  for (std::size_t b = 0; b < 2; ++b) {
    const double f = s.bands[b].design_hz;
    for (std::size_t n = 0; n < 2; ++n) {
      const double most = b == 0 && n == 0 ? 5.0 : 1.4;
      const Range range = plan.bands[b].arrangements[0].conditions[n].counted_range_db;
      Range expected{loss_db(loads[n], f, 1.0), loss_db(loads[n], f, 1.0)};
      for (int k = 0; k <= 400; ++k) {
        const double loss = loss_db(loads[n], f, 0.6 + (most - 0.6) * k / 400.0);
        expected = {std::min(expected.low, loss), std::max(expected.high, loss)};
      }
      INFO(s.bands[b].name << ", " << s.conditions[n].name << ": " << range.low << ".." << range.high);
      CHECK(range.low == Approx(expected.low).epsilon(1e-3));
      CHECK(range.high == Approx(expected.high).epsilon(1e-3));
      CHECK(expected.high - expected.low > 1e-3);
    }
  }
}

TEST_CASE("a load that only says that a wire lies has the same range as the wires it came from") {
  station::Station s = moor("");
  const Range of_wires = make_plan(s).bands[0].arrangements[0].conditions[0].counted_range_db;
  station::AntennaLoad& load = s.antennas[0].loads[0];
  load.solved_from.reset();
  const Range unsaid = make_plan(s).bands[0].arrangements[0].conditions[0].counted_range_db;
  load.lying_wire_m = 5.5;
  const Range said = make_plan(s).bands[0].arrangements[0].conditions[0].counted_range_db;
  CHECK(said.low == of_wires.low);
  CHECK(said.high == of_wires.high);
  CHECK(std::abs(unsaid.high - said.high) > 0.01);      // dB: a lossier ground also reflects less
  CHECK_FALSE(station::short_wire_lies(load, 14.2e6));  // longer than a quarter wave
}

TEST_CASE("where the ground is stated as factors, or as certain, nothing measured elsewhere comes in") {
  // Of what is not said 1 +- 0.4, the usual uncertainty of the ground; under a short wire that lies up to the 5 of
  // wire::lying_ground_factor.
  CHECK(station::ground_factors({}, true).low == 0.6);
  CHECK(station::ground_factors({}, true).high == 5.0);
  CHECK(station::ground_factors({}, false).high == 1.4);
  station::Uncertainty factors, certain;
  factors.ground_factor = Range{0.6, 2.5};
  certain.ground = 0.0;
  CHECK(station::ground_factors(factors, true).high == 2.5);
  CHECK(station::ground_factors(certain, true).low == 1.0);
  CHECK(station::ground_factors(certain, true).high == 1.0);
  const auto high_db = [](const std::string& ground) {
    return make_plan(moor(ground)).bands[0].arrangements[0].conditions[0].counted_range_db.high;
  };
  const station::Station s = moor("ground = [0.6, 2.5]\n");
  CHECK(high_db("ground = [0.6, 2.5]\n") == Approx(loss_db(s.antennas[0].loads[0], 7.1e6, 2.5)).epsilon(1e-4));
  CHECK(high_db("ground = 0\n") == Approx(loss_db(s.antennas[0].loads[0], 7.1e6, 1.0)).epsilon(1e-4));
}

TEST_CASE("along the ground's range a lying wire's factor goes from the model's to the measured one") {
  // 1 +- 0.4, of which what is above 1 is stretched to the 5 of wire::lying_ground_factor.
  const station::Uncertainty usual;
  CHECK(plan::detail::lying_ground(usual, 0.6) == 0.6);
  CHECK(plan::detail::lying_ground(usual, 1.0) == 1.0);
  CHECK(plan::detail::lying_ground(usual, 1.2) == Approx(3.0).epsilon(1e-12));
  CHECK(plan::detail::lying_ground(usual, 1.4) == Approx(5.0).epsilon(1e-12));
  const station::Station s = moor("");
  const std::vector<plan::detail::Along> along = plan::detail::along_ranges(s);
  REQUIRE(along.size() == 1);
  CHECK(along[0].corners.back().ground == Approx(1.4).epsilon(1e-12));
  CHECK(along[0].corners.back().lying_ground == Approx(5.0).epsilon(1e-12));
  const plan::detail::LoadPoint lies = plan::detail::load_point(s.antennas[0].loads[0], 7.1e6),
                                hangs = plan::detail::load_point(s.antennas[0].loads[1], 7.1e6);
  CHECK(plan::detail::ground_factor(lies, along[0].corners.back()) == Approx(5.0).epsilon(1e-12));
  CHECK(plan::detail::ground_factor(hangs, along[0].corners.back()) == Approx(1.4).epsilon(1e-12));
}

TEST_CASE("with a hand whose contact is a range a wire lies as before") {
  plan::detail::LoadPoint point{7.1e6, {20.0, -900.0}, load::PowerShares{0.3, 0.1, 0.6}, {}, true};
  point.ends = {point, point};
  plan::detail::Corner worst;
  worst.ground = 1.4, worst.lying_ground = 5.0;
  CHECK(plan::detail::corner_impedance(plan::detail::at_contact(point, 0.3), worst).real() ==
        Approx(20.0 * (1.0 + 4.0 * 0.6)).epsilon(1e-9));
}

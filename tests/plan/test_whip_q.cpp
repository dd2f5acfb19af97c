// The Q of a coil in the wires of an antenna as an uncertain input. Antennas are invented.

#include <cmath>
#include <string>

#include <catch2/catch.hpp>

#include <plan/stations.hpp>
#include <stile/base/errors.hpp>
#include <stile/plan/detail/corner.hpp>
#include <stile/plan/plan.hpp>
#include <stile/station/solve_loads.hpp>

using namespace stile;
using namespace stile::plan;
using namespace stile::plan::test;

namespace {

constexpr double f = 7.1e6;

load::Load loaded(double radiated, double metal, double coils) {
  const load::PowerShares shares{radiated, metal, 1.0 - radiated - metal, 0.0, 0.0, coils};
  const cdouble z{40.0, 0.0};
  return {"dry", "samples", load::make_sampled_load({0.98 * f, f, 1.02 * f}, {z, z, z}, {shares, shares, shares}), {}};
}

}  // namespace

TEST_CASE("another Q of a coil in the whip changes the coil's part of the resistance alone") {
  const plan::detail::LoadPoint point = plan::detail::load_point(loaded(0.2, 0.5, 0.4), f);
  plan::detail::Corner corner;
  corner.whip_q = 0.8;
  // 40 ohm of which 16 are the coil's: 16/0.8 with the other 24.
  CHECK(plan::detail::corner_impedance(point, corner).real() == Approx(44.0).epsilon(1e-12));
  CHECK(0.2 * plan::detail::corner_share(point, corner) == Approx(8.0 / 44.0).epsilon(1e-12));
  corner.ground = 2.0;  // 12 ohm more
  CHECK(plan::detail::corner_impedance(point, corner).real() == Approx(56.0).epsilon(1e-12));
  // Of 56 ohm 8 radiate as before, 4 + 20 are metal, 24 ground.
  const load::PowerShares shares = *plan::detail::corner_shares(point, corner);
  CHECK(shares.radiated == Approx(8.0 / 56.0).epsilon(1e-12));
  CHECK(shares.metal == Approx(24.0 / 56.0).epsilon(1e-12));
  CHECK(shares.coils == Approx(20.0 / 56.0).epsilon(1e-12));
  CHECK(shares.ground == Approx(24.0 / 56.0).epsilon(1e-12));
  CHECK_THROWS_AS(loaded(0.2, 0.3, 0.4), DomainError);  // more than all metal
}

TEST_CASE("the Q of a coil in the whip is in every band of figures and is named where the rank turns on it") {
  station::Station s = bare_station(50.0);
  s.conditions = {{"dry"}};
  s.decision.audible_db = 0.1;
  s.uncertainty.q = 0.3;
  s.antennas = {{"loaded", std::nullopt, {{loaded(0.3, 0.5, 0.5)}}},
                {"plain", std::nullopt, {{loaded(0.28, 0.1, 0.0)}}}};
  s.arrangements = {arrangement("on the loaded", station::ArrangementKind::straight),
                    arrangement("on the plain", station::ArrangementKind::straight)};
  s.arrangements[1].antenna = 1;
  const BandResult band = make_plan(s).bands.front();
  const Range bands = band.arrangements[0].counted_range_db;
  // 12 ohm radiate of 40; with 0.7 and 1.3 times the Q of 48.57 and 35.38, and mismatched to 50 ohm.
  const auto loss_db = [](double r_ohm) {
    const double rho = (r_ohm - 50.0) / (r_ohm + 50.0);
    return -10.0 * std::log10(12.0 / r_ohm * (1.0 - rho * rho));
  };
  CHECK(bands.high == Approx(loss_db(20.0 + 20.0 / 0.7)).epsilon(1e-9));
  CHECK(bands.low == Approx(loss_db(20.0 + 20.0 / 1.3)).epsilon(1e-9));
  CHECK(band.arrangements[1].counted_range_db.high == Approx(band.arrangements[1].counted_db).epsilon(1e-9));
  CHECK(band.choice == Choice::undecided);
  REQUIRE_FALSE(band.measures.empty());
  CHECK(band.measures[0].what == "the Q of the coil in the whip");
}

TEST_CASE("a whip solved with another Q of its coil is near to what the plan makes of it") {
  const auto solved = [](double q) {
    return station::solve_loads(station::read_station(R"([station]
name = "bench"
[transmitter]
power = "5 W"
[[band]]
name = "40 m"
low = "7.09 MHz"
high = "7.11 MHz"
[[load]]
condition = "dry"
[load.wires]
ground = { relative_permittivity = 13, conductivity = "5 mS/m" }
feed = { gap = "20 mm" }
wire = [ { name = "whip", points = [[0, 0, 1.2], [0, 0, 4.2]], radius = "1.5 mm", metal = "stainless steel" },
         { name = "trail", points = [[0, 0, 1.2], [1.2, 0, 0.05], [4.2, 0, 0.05]], radius = "1 mm", metal = "copper" } ]
coil = [ { on = "whip", distance = "1.5 m", length = "60 mm", inductance = "25 uH", q = )" +
                                                          std::to_string(q) +
                                                          R"( } ]
[[arrangement]]
name = "straight"
kind = "straight"
)",
                                                      "bench.toml", "."));
  };
  const plan::detail::LoadPoint stated = plan::detail::load_point(solved(200.0).antennas[0].loads[0], f);
  REQUIRE(stated.shares);
  CHECK(stated.shares->coils > 0.02);
  for (const double factor : {0.7, 0.85, 1.3}) {
    const plan::detail::LoadPoint other = plan::detail::load_point(solved(200.0 * factor).antennas[0].loads[0], f);
    plan::detail::Corner corner;
    corner.whip_q = factor;
    INFO(factor);
    CHECK(std::abs(plan::detail::corner_impedance(stated, corner).real() - other.z_ohm.real()) <=
          0.005 * other.z_ohm.real());
    CHECK(std::abs(stated.shares->radiated * plan::detail::corner_share(stated, corner) - other.shares->radiated) <=
          0.005 * other.shares->radiated);
  }
}

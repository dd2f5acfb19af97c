// Operating time of every arrangement of a station.
#include <catch2/catch.hpp>

#include <plan/stations.hpp>
#include <stile/plan/operating_times.hpp>

using namespace stile;
using namespace stile::plan;

TEST_CASE("a tuner that holds its relays costs hours, a coil does not") {
  // Row "SSB 10 W, tuner hold 0.15 A, lead-acid" of tests/data/energy/operating.csv: 9.99082 h, without 13.5826 h.
  station::Station s = test::bare_station({20.0, -300.0});
  s.arrangements = {test::with_tuner("tuner"), test::arrangement("coil", station::ArrangementKind::base_coil)};
  CHECK(operating_times(s).empty());
  s.supply.emplace();
  s.supply->battery = {energy::Chemistry::lead_acid_agm, 7.0, 20.0, {1.15, 1.15}, {1.0, 1.0}};
  s.supply->set = {0.3, 2.5, {0.5, 0.5}, 0.2};
  s.arrangements[0].draw.hold_a = 0.15;
  const std::vector<ArrangementTime> times = operating_times(s);
  REQUIRE(times.size() == 2);
  CHECK(times[0].arrangement == 0);
  CHECK(times[1].arrangement == 1);
  CHECK(std::abs(times[0].time.time_h - 9.99082) <= 6e-6);
  CHECK(std::abs(times[1].time.time_h - 13.5826) <= 6e-5);
  CHECK(std::abs(times[0].time.time_lost_h - (13.5826 - 9.99082)) <= 7e-5);
  CHECK(times[1].time.time_lost_h == 0.0);
  CHECK(times[1].gain.hours_per_ah.high == Approx(1.15 * times[1].time.time_range_h.high / 7.0));
}

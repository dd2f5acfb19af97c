// How far loads may wander with what a plan sets, against direct evaluation and against wires solved anew.

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>

#include <catch2/catch.hpp>

#include <plan/stations.hpp>
#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/plan/reach_of_settings.hpp>
#include <stile/station/solve_loads.hpp>

using namespace stile;
using namespace stile::plan;

namespace {

station::Station coil_station() {
  station::Station s = test::bare_station({20.0, -300.0});
  s.conditions.front().name = "dry";
  test::add_load(s, test::constant("wet", {30.0, -250.0}));
  station::Arrangement trimmed = test::arrangement("trimmed", station::ArrangementKind::base_coil);
  trimmed.trim = station::Trim::tap_and_trimmer;
  s.arrangements = {trimmed, test::arrangement("nothing", station::ArrangementKind::straight)};
  return s;
}

double least_swr(const station::Station& s, const ArrangementResult& a, double frequency_hz, cdouble z) {
  double least = std::numeric_limits<double>::infinity();
  for (const ConditionResult& c : a.conditions)
    least = std::min(least, network::evaluate(c.ladder, s.transmitter.source, frequency_hz, z).swr);
  return least;
}

}  // namespace

TEST_CASE("a load on a plan's traced edge has the SWR limit, and no direction leads out sooner than the nearest way") {
  const station::Station s = coil_station();
  const Plan plan = make_plan(s);
  const std::vector<SettingsReach> all = reach_of_settings(s, plan);
  REQUIRE(all.size() == 2);
  const BandResult& band = plan.bands.front();
  const double f = band.band.design_hz, limit = s.transmitter.swr_limit;
  std::size_t points = 0;
  for (const SettingsReach& r : all) {
    const ArrangementResult& a = band.arrangements[r.arrangement];
    for (const tuner::ReachEdge& edge : r.edges) {
      for (const cdouble z : edge) {
        CHECK(std::abs(least_swr(s, a, f, z) - limit) <= 1e-9 * limit);
        ++points;
      }
    }
  }
  CHECK(points > 20);
  const SettingsReach& trimmed = all.front();
  REQUIRE(trimmed.conditions.size() == 2);
  for (const ConditionReach& c : trimmed.conditions) {
    REQUIRE(c.reach.inside);
    const network::Ladder& own = band.arrangements[0].conditions[c.condition].ladder;
    const auto swr = [&](cdouble z) { return network::evaluate(own, s.transmitter.source, f, z).swr; };
    CHECK(std::abs(swr(c.reach.way_out_load_ohm) - limit) <= 1e-9 * limit);
    for (int k = 0; k < 10000; ++k) {  // just short of the nearest way out everything holds
      const cdouble z = c.load_ohm + std::polar(c.reach.way_out_ohm * (1.0 - 1e-9), two_pi * k / 10000.0);
      if (z.real() >= 0.0) CHECK(swr(z) <= limit * (1.0 + 1e-12));
    }
    REQUIRE(c.towards);
    CHECK(*c.towards == 1 - c.condition);
    const cdouble other = trimmed.conditions[*c.towards].load_ohm;
    CHECK(std::abs(swr(c.load_ohm + c.towards_share * (other - c.load_ohm)) - limit) <= 1e-9 * limit);
    CHECK(c.towards_ohm == Approx(c.towards_share * std::abs(other - c.load_ohm)));
    CHECK(c.towards_ohm >= c.reach.way_out_ohm);
    CHECK_FALSE(c.moved);  // nobody knows their wires
    CHECK(c.words.rfind("out after ", 0) == 0);
  }
  CHECK_FALSE(all.back().conditions.front().reach.inside);
  CHECK(all.back().share_inside == 0.0);
  CHECK(all.back().conditions.front().words.rfind("does not hold; the nearest load that would is ", 0) == 0);
  CHECK_THROWS_AS(reach_of_settings(s, Plan{}), DomainError);
}

TEST_CASE("the way out in words is a wire that was moved so far and solved") {
  const std::string folder = std::string(STILE_TEST_DATA) + "/../../examples/moor";
  std::string text =
      "[station]\nname = \"one band\"\n[transmitter]\npower = \"5 W\"\n[[band]]\nname = \"40 m\"\nlow = \"7.0 MHz\"\n"
      "high = \"7.2 MHz\"\nuse = [\"7.08 MHz\", \"7.12 MHz\"]\n[parts]\ninductor_q = 250\ncapacitor_q = "
      "1000\n[[arrangement]]\nname = \"coil\"\nkind = \"base coil\"\ntrim = \"each condition\"\n";
  for (const std::string condition : {"lifted", "on heather"})
    text += "[[load]]\ncondition = \"" + condition + "\"\nwires = \"../../tests/data/wire/whip_bare.toml\"\n" +
            "wires_condition = \"" + condition + "\"\n";
  const station::Station s = station::solve_loads(station::read_station(text, "one-band.toml", folder));
  const Plan plan = make_plan(s);
  const std::vector<SettingsReach> all = reach_of_settings(s, plan);
  REQUIRE(all.size() == 1);
  const double f = plan.bands.front().band.design_hz, limit = s.transmitter.swr_limit;
  std::size_t moved = 0;
  for (const ConditionReach& c : all.front().conditions) {
    INFO(c.words);
    if (!c.moved) continue;
    ++moved;
    MovedWires wires(*s.antennas.front().loads[c.condition].solved_from, f);
    const network::Ladder& own = plan.bands.front().arrangements[0].conditions[c.condition].ladder;
    const auto swr = [&](Moved move, std::size_t step) {
      return network::evaluate(own, s.transmitter.source, f, wires.load_ohm(move, step)).swr;
    };
    const auto& steps_m = MovedWires::amount_m;
    const auto step =
        static_cast<std::size_t>(std::lower_bound(steps_m.begin(), steps_m.end(), c.moved_m) - steps_m.begin());
    REQUIRE((step > 0 && step <= wires.last(*c.moved)));
    CHECK(swr(*c.moved, step) > limit);
    for (const Moved move : all_moves) {  // it holds at the step before, and no other move leaves at a step below it
      for (std::size_t n = 0; n < step && n <= wires.last(move); ++n) CHECK(swr(move, n) <= limit);
    }
    REQUIRE(c.tried.size() == all_moves.size());
    for (const MoveTried& t : c.tried) CHECK(t.up_to_m == steps_m[std::min(step, wires.last(t.moved))]);
    CHECK(c.words.find(moved_words(*c.moved)) != std::string::npos);
  }
  CHECK(moved > 0);
}

TEST_CASE("moved wires start from where they are, rise by what is said, and stay off the ground") {
  wire::Antenna antenna;
  antenna.wires.resize(2);
  antenna.wires[0].points = {{0.0, 0.0, 1.2}, {0.0, 0.0, 4.2}};
  antenna.wires[1].points = {{0.0, 0.0, 1.2}, {1.2, 0.0, 0.06}, {5.0, 0.0, 0.06}};
  antenna.wires[0].name = "whip", antenna.wires[1].name = "tail";
  const station::StatedWires wires{antenna, wire::lossy_ground(15.0, 1e-3), "", {}};
  MovedWires moved(wires, 7.1e6);
  const cdouble still = wire::solve_antenna(antenna, wires.ground, 7.1e6).feed_ohm;
  for (const Moved move : all_moves) {
    INFO(moved_words(move));
    CHECK(std::abs(moved.load_ohm(move, 0) - still) <= 1e-9 * std::abs(still));
    CHECK(moved.last(move) == (move == Moved::lowered ? 2U : 6U));  // 6 cm above soil: 2 and 5 cm lower
  }
  CHECK_THROWS_AS(moved.load_ohm(Moved::lowered, 3), DomainError);
  wire::Antenna raised = antenna;
  raised.wires[1].points[1].z_m = raised.wires[1].points[2].z_m = 0.26;
  const cdouble up = wire::solve_antenna(raised, wires.ground, 7.1e6).feed_ohm;
  CHECK(MovedWires::amount_m[4] == 0.2);
  CHECK(std::abs(moved.load_ohm(Moved::raised, 4) - up) <= 1e-9 * std::abs(up));
  wire::Antenna cut = antenna;
  cut.wires[1].points[2].x_m = 4.9;
  const cdouble shorter = wire::solve_antenna(cut, wires.ground, 7.1e6).feed_ohm;
  CHECK(MovedWires::amount_m[3] == 0.1);
  CHECK(std::abs(moved.load_ohm(Moved::shortened, 3) - shorter) <= 1e-9 * std::abs(shorter));
  antenna.wires[1].name = "frame";  // of the set: nothing trails
  const MovedWires none({antenna, wires.ground, "", {}}, 7.1e6);
  for (const Moved move : all_moves) CHECK(none.last(move) == 0);
}

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/wire/conditions.hpp>
#include <stile/wire/counterpoise.hpp>
#include <stile/wire/lying_ground.hpp>
#include <stile/wire/solve.hpp>
#include <stile/wire/sweep.hpp>

#include "wire/reference.hpp"

using namespace stile;
using namespace stile::wire;
using namespace stile::wire::test;

namespace {

WhipSet usual() {
  WhipSet w;
  w.ground = ground_by_name("medium dry");
  return w;
}

AntennaSolution solved(const WhipSet& w, WhipCondition c, double frequency_hz) {
  const WireCase one = whip_condition(w, c);
  return solve_antenna(one.antenna, one.ground, frequency_hz);
}

}  // namespace

TEST_CASE("every condition is an antenna of its own") {
  const std::vector<WireCase> cases = whip_conditions(usual());
  REQUIRE(cases.size() == 10);
  for (std::size_t i = 0; i < cases.size(); ++i) {
    CHECK_FALSE(cases[i].name.empty());
    const AntennaSolution s = solve_antenna(cases[i].antenna, cases[i].ground, 7.1e6);
    INFO(cases[i].name << " " << s.feed_ohm);
    CHECK(s.feed_ohm.real() > 0.0);
    CHECK(s.share.radiated > 0.0);
    CHECK(s.share.ground > 0.0);
    for (std::size_t k = 0; k < i; ++k) CHECK(cases[k].name != cases[i].name);
  }
}

TEST_CASE("wander from lifted to lying as computed for this collection") {
  // Whip 2.4 m, base 1.2 m, 6.7 m of wire lying at 1 cm: rows of study_counterpoise_height.csv, R 5 %, X max(2 %, 3
  // ohm).
  WhipSet w = usual();
  w.wires[0].lying_height_m = 0.01;
  w.gap_m = 0.02;
  w.wires[0].length_m = 5.0 + std::hypot(1.2, 1.19);
  const cdouble lying = solved(w, WhipCondition::trailing_usual, 14.1e6).feed_ohm;
  CHECK(std::abs(lying.real() / 226.972 - 1.0) <= 0.05);
  CHECK(std::abs(lying.imag() - 45.04) <= 3.0);
  w.wires[0].length_m = 6.66;
  const cdouble lifted = solved(w, WhipCondition::lifted, 14.1e6).feed_ohm;
  CHECK(std::abs(lifted.real() / 41.813 - 1.0) <= 0.05);
  CHECK(std::abs(lifted.imag() + 256.72) <= 5.1);
}

TEST_CASE("set and person as part of the counterpoise") {
  const WhipSet w = usual();
  // Without wire the frame is a poor counterpoise; the lead and the wire make it better.
  const double torn = solved(w, WhipCondition::torn_off, 3.6e6).feed_ohm.imag();
  const double trailing = solved(w, WhipCondition::trailing_usual, 3.6e6).feed_ohm.imag();
  const double with_set = solved(w, WhipCondition::with_set, 3.6e6).feed_ohm.imag();
  CHECK(torn < trailing - 1000.0);
  CHECK(with_set > trailing);
  // A person beside the whip, not connected: X 1 to 2 % less capacitive at 0.3 to 0.5 m (indicative model run of this
  // collection), efficiency lower.
  const AntennaSolution alone = solved(w, WhipCondition::trailing_usual, 7.1e6),
                        near = solved(w, WhipCondition::operator_near, 7.1e6);
  const double change = near.feed_ohm.imag() / alone.feed_ohm.imag();
  CHECK(change < 1.0);
  CHECK(change > 0.97);
  CHECK(near.share.radiated < alone.share.radiated);
  CHECK(near.cautions.empty());  // a body is a thick wire, and known to be indicative
  CHECK(near.share.person > 0.0);
}

TEST_CASE("the usual set, person and whip are as documented") {
  const SetBody set;
  CHECK(set.frame_length_m == 0.6);
  CHECK(set.frame_radius_m == 0.005);
  CHECK(set.lead_length_m == 1.0);
  CHECK(set.lead_radius_m == 0.001);
  CHECK(set.worn_in_front);
  const PersonBody person;
  CHECK(person.distance_m == 0.4);
  CHECK(person.radius_m == 0.1);
  CHECK(person.stature_m == 1.75);
  CHECK(person.conductivity_s_m == 0.6);
  CHECK(person.foot_capacitance_f == 50e-12);
  const WhipSet whip;
  CHECK(whip.whip_length_m == 2.4);
  CHECK(whip.whip_radius_m == 0.002);
  CHECK(whip.whip_conductivity_s_m == 1.4e6);
  CHECK(whip.base_height_m == 1.2);
  CHECK(whip.spacing_m == 0.02);
  CHECK(whip.gap_m == 0.01);
  CHECK(std::abs(whip.lean_rad - pi / 6.0) <= 1e-15);  // 30 degrees
  REQUIRE(whip.wires.size() == 1);
  CHECK(whip.wires[0].length_m == 6.7);
  CHECK(whip.wires[0].radius_m == 0.001);
  CHECK(whip.wires[0].conductivity_s_m == 5.8e7);
  CHECK(whip.wires[0].lying_height_m == 0.02);
  CHECK(whip.wires[0].drop_distance_m == 1.2);
  struct Row {
    const char* name;
    double resistance_ohm, capacitance_f;
  };
  const double none = std::numeric_limits<double>::infinity();
  const std::vector<Row> rows{{"open", none, none},
                              {"60 pF", 300.0, 60e-12},
                              {"0 ohm", 0.0, none},
                              {"300 ohm", 300.0, none},
                              {"1000 ohm", 1000.0, none}};
  REQUIRE(hand_contacts().size() == rows.size());
  for (std::size_t n = 0; n < rows.size(); ++n) {
    INFO(rows[n].name);
    CHECK(hand_contacts()[n].name == std::string(rows[n].name));
    CHECK(hand_contacts()[n].contact.resistance_ohm == rows[n].resistance_ohm);
    CHECK(hand_contacts()[n].contact.capacitance_f == rows[n].capacitance_f);
  }
  const std::vector<std::string> names{"wire lifted",
                                       "wire trailing on very dry ground",
                                       "wire trailing on the usual ground",
                                       "wire lying on wet ground",
                                       "wire on fresh water",
                                       "whip leaning",
                                       "counterpoise torn off",
                                       "operator near",
                                       "with set, lead and person",
                                       "hand on the set"};
  const std::vector<WireCase> cases = whip_conditions(usual());
  REQUIRE(cases.size() == names.size());
  for (std::size_t n = 0; n < names.size(); ++n) CHECK(cases[n].name == names[n]);
  CHECK(cases[1].ground == ground_by_name("very dry"));
  CHECK(cases[3].ground == ground_by_name("wet"));
  CHECK(cases[4].ground == ground_by_name("fresh water"));
  for (const std::size_t n : {0U, 2U, 5U, 6U, 7U, 8U, 9U}) CHECK(cases[n].ground == usual().ground);
}

TEST_CASE("set and person are drawn as documented, worked by hand") {
  // Base at 1.2 m, frame of 0.6 m, 1 m of lead: (0.4^2 + 0.2^2)^0.5 + (2 * 0.2^2)^0.5 = 0.730056 m round the body, the
  // rest up. A person of 1.75 m 0.4 m behind: hips at 0.47, shoulders at 0.82, arms of 0.44, hands 0.23 and feet 0.11
  // off.
  const WireCase c = whip_condition(usual(), WhipCondition::with_set);
  struct Drawn {
    const char* name;
    double radius_m, conductivity_s_m;
    std::vector<Vec3> points;
  };
  const std::vector<Drawn> drawn{
      {"frame", 0.005, 3.5e7, {{0, 0, 1.2}, {0, 0, 0.6}}},
      {"lead", 0.001, 5.8e7, {{0, 0, 0.6}, {-0.4, 0.2, 0.6}, {-0.6, 0, 0.6}, {-0.6, 0, 0.869944}}},
      {"set", 0.012, 3.5e7, {{-0.6, 0, 0.869944}, {-0.6, 0, 1.069944}}},
      {"person's trunk", 0.1, 0.6, {{-0.4, 0, 0.8225}, {-0.4, 0, 1.435}}},
      {"person's head", 0.05, 0.6, {{-0.4, 0, 1.435}, {-0.4, 0, 1.75}}},
      {"person's left leg", 0.06, 0.6, {{-0.4, 0, 0.8225}, {-0.5925, 0, 0}}},
      {"person's left sole", 0.0225, 0.6, {{-0.5925, 0.13, 0}, {-0.5925, 0, 0}, {-0.5925, -0.13, 0}}},
      {"person's right leg", 0.06, 0.6, {{-0.4, 0, 0.8225}, {-0.2075, 0, 0}}},
      {"person's right sole", 0.0225, 0.6, {{-0.2075, 0.13, 0}, {-0.2075, 0, 0}, {-0.2075, -0.13, 0}}},
      {"person's left arm", 0.035, 0.6, {{-0.4, 0, 1.435}, {-0.4, 0.4025, 0.778576}}},
      {"person's right arm", 0.035, 0.6, {{-0.4, 0, 1.435}, {-0.4, -0.4025, 0.778576}}}};
  const auto check = [](const Wire& wire, const Drawn& as) {
    INFO(as.name);
    CHECK(wire.name == as.name);
    CHECK(std::abs(wire.radius_m - as.radius_m) <= 1e-12);
    REQUIRE(wire.conductivity_s_m.has_value());
    CHECK(std::abs(*wire.conductivity_s_m / as.conductivity_s_m - 1.0) <= 1e-5);
    CHECK(wire.person == (std::string(as.name).find("person") == 0));
    REQUIRE(wire.points.size() == as.points.size());
    for (std::size_t n = 0; n < as.points.size(); ++n) {
      CHECK(std::abs(wire.points[n].x_m - as.points[n].x_m) <= 1e-6);
      CHECK(std::abs(wire.points[n].y_m - as.points[n].y_m) <= 1e-6);
      CHECK(std::abs(wire.points[n].z_m - as.points[n].z_m) <= 1e-6);
    }
  };
  REQUIRE(c.antenna.wires.size() == 2 + drawn.size());
  for (std::size_t n = 0; n < drawn.size(); ++n) check(c.antenna.wires[2 + n], drawn[n]);
  REQUIRE(c.antenna.lumps.size() == 2);
  for (const std::size_t leg : {0U, 1U}) {  // the soles' rubber, at the end of each leg
    CHECK(c.antenna.lumps[leg].wire == 7 + 2 * leg);
    CHECK(c.antenna.lumps[leg].capacitance_f == 50e-12);
    CHECK(std::abs(c.antenna.lumps[leg].distance_m - std::hypot(0.1925, 0.8225)) <= 1e-12);
  }
  // The right hand at the top of the box, 0.416252 m from the shoulder: the elbow of an arm of 0.77 m points to the
  // right, half the root of 0.77^2 - 0.416252^2. 300 ohm on pi 35^2 mm2: 0.77/(300 * 3.848451e-3) = 0.666935 S/m.
  const WireCase hand = whip_condition(usual(), WhipCondition::hand_on_set);
  REQUIRE(hand.antenna.wires.size() == 2 + drawn.size());
  check(hand.antenna.wires.back(),
        {"person's right arm", 0.035, 0.666935, {{-0.4, 0, 1.435}, {-0.5, -0.323896, 1.252472}, {-0.6, 0, 1.069944}}});
  REQUIRE(hand.hand == 2U);
  CHECK(hand.antenna.lumps[2].resistance_ohm == 0.0);
  CHECK(std::isinf(hand.antenna.lumps[2].capacitance_f));
  CHECK(std::abs(hand.antenna.lumps[2].distance_m - 0.77) <= 1e-6);
  // Open, the arm is as the rest of the person and a megohm's million lies between; through a glove its capacitance
  // does; of no resistance the arm conducts perfectly.
  WhipSet w = usual();
  w.contact = {std::numeric_limits<double>::infinity(), std::numeric_limits<double>::infinity()};
  const WireCase open = whip_condition(w, WhipCondition::hand_on_set);
  CHECK(open.antenna.wires.back().conductivity_s_m == 0.6);
  CHECK(open.antenna.lumps[2].resistance_ohm == 1e12);
  w.contact = {0.0, 60e-12};
  const WireCase glove = whip_condition(w, WhipCondition::hand_on_set);
  CHECK_FALSE(glove.antenna.wires.back().conductivity_s_m);
  CHECK(glove.antenna.lumps[2].resistance_ohm == 0.0);
  CHECK(glove.antenna.lumps[2].capacitance_f == 60e-12);
  CHECK(open.changes.back() == "the right hand is at the set without touching it");
  CHECK(glove.changes.back() == "the right hand is on the set through 0 ohm, 60 pF, the arm inside");
  CHECK(hand.changes.back() == "the right hand is on the set through 300 ohm, the arm inside");
}

TEST_CASE("whip and wire stand where each condition puts them, worked by hand") {
  // 2.4 m leaning by 30 degrees: 1.2 m aside and 2.078461 m up from 1.2 m; away from the wire, beside a person to the
  // left. The wire of 6.7 m slopes over (1.2^2 + 1.18^2)^0.5 = 1.682974 m and lies on for the rest.
  const auto near = [](Vec3 p, Vec3 q) {
    return std::abs(p.x_m - q.x_m) + std::abs(p.y_m - q.y_m) + std::abs(p.z_m - q.z_m) <= 1e-5;
  };
  for (const bool person : {false, true}) {
    WhipSet w = usual();
    if (person) w.person = PersonBody{};
    const WireCase leaning = whip_condition(w, WhipCondition::leaning);
    CHECK(near(leaning.antenna.wires[0].points[1], person ? Vec3{0.0, 1.2, 3.278461} : Vec3{-1.2, 0.0, 3.278461}));
    CHECK(leaning.changes == std::vector<std::string>{"the whip leans by 30 degrees"});
    CHECK(near(whip_condition(w, WhipCondition::trailing_usual).antenna.wires[0].points[1], {0.0, 0.0, 3.6}));
  }
  const WireCase lifted = whip_condition(usual(), WhipCondition::lifted);
  REQUIRE(lifted.antenna.wires[1].points.size() == 2);
  CHECK(near(lifted.antenna.wires[1].points[1], {6.7, 0.0, 1.2}));
  CHECK(lifted.changes == std::vector<std::string>{"wire \"counterpoise\" is level at 1.2 m"});
  const WireCase usual_ground = whip_condition(usual(), WhipCondition::trailing_usual);
  REQUIRE(usual_ground.antenna.wires[1].points.size() == 3);
  CHECK(near(usual_ground.antenna.wires[1].points[1], {1.2, 0.0, 0.02}));
  CHECK(near(usual_ground.antenna.wires[1].points[2], {6.217026, 0.0, 0.02}));
  // On water it lies five radii of 1 mm high, as near as the solver allows.
  const WireCase water = whip_condition(usual(), WhipCondition::on_water);
  CHECK(near(water.antenna.wires[1].points[1], {1.2, 0.0, 0.005}));
  CHECK(whip_condition(usual(), WhipCondition::torn_off).antenna.wires[1].name == "frame");
}

TEST_CASE("a trailing wire is drawn as long as it is stated, with what runs back and what is coiled") {
  for (const double back_m : {0.0, 1.0, 2.0}) {
    for (const double coiled_m : {0.0, 0.8}) {
      WhipSet w = usual();
      w.wires[0].doubled_back_m = back_m;
      w.wires[0].coiled_m = coiled_m;
      const WireCase c = whip_condition(w, WhipCondition::trailing_usual);
      const Wire& wire = c.antenna.wires[1];
      INFO(back_m << " m back, " << coiled_m << " m coiled");
      CHECK(std::abs(wire_length_m(wire) - (6.7 - coiled_m)) <= 1e-9);
      if (back_m > 0.0) {  // level, 0.1 m beside the way out
        const std::size_t last = wire.points.size() - 1;
        const Vec3 end = wire.points[last], turn = wire.points[last - 1], out = wire.points[last - 2];
        CHECK(std::abs(turn.y_m - out.y_m - 0.1) <= 1e-12);
        CHECK(turn.x_m == out.x_m);
        CHECK(std::abs(turn.x_m - end.x_m - back_m) <= 1e-9);
        CHECK(end.y_m == turn.y_m);
        CHECK(end.z_m == 0.02);
      }
      REQUIRE(c.antenna.wires.size() == (coiled_m > 0.0 ? 3U : 2U));
      if (coiled_m == 0.0) continue;
      CHECK(c.antenna.wires[2].name == "counterpoise, coiled end");
      CHECK(std::abs(wire_length_m(c.antenna.wires[2]) - 0.12) <= 1e-12);
      CHECK(c.antenna.wires[2].radius_m == 0.003);
      CHECK(c.antenna.wires[2].points.front().x_m == wire.points.back().x_m);
    }
  }
}

TEST_CASE("what tuning leaves of the power, worked by hand") {
  // 10 - 400j ohm through a coil of Q 200: 2 ohm in series, 10/12 of 0.3 arrives, 0.791812 dB less than 0.3.
  AntennaSolution s;
  s.feed_ohm = {10.0, -400.0};
  s.share.radiated = 0.3;
  CHECK(std::abs(tuned_efficiency(s, 200.0) - 0.25) <= 1e-15);
  CHECK(std::abs(tuning_loss_db(s, 200.0) - 0.791812) <= 1e-6);
  s.feed_ohm = {10.0, 400.0};
  CHECK(std::abs(tuned_efficiency(s, 200.0) - 0.25) <= 1e-15);
}

TEST_CASE("spread counterpoises fill the angle from end to end") {
  WhipSet w = usual();
  for (const std::size_t count : {1U, 2U, 3U, 5U}) {
    const std::vector<double> lengths(count, 5.0);
    const Antenna a = with_counterpoises(w, lengths, {0.5 * pi, 0.02});
    REQUIRE(a.wires.size() == 1 + count);
    for (std::size_t n = 0; n < count; ++n) {
      const Vec3 end = a.wires[1 + n].points.back();
      const double expected =
          count == 1 ? 0.0 : -0.25 * pi + 0.5 * pi * static_cast<double>(n) / static_cast<double>(count - 1);
      INFO(n << " of " << count);
      CHECK(std::abs(std::atan2(end.y_m, end.x_m) - expected) <= 1e-9);
      CHECK(a.wires[1 + n].name == "counterpoise " + std::to_string(n + 1));
    }
  }
}

TEST_CASE("what conditions refuse") {
  WhipSet w = usual();
  w.ground = perfect_ground();
  CHECK_THROWS_AS(whip_conditions(w), DomainError);
  w = usual();
  w.lean_rad = 1.5;
  CHECK_THROWS_AS(whip_condition(w, WhipCondition::leaning), DomainError);
  w = usual();
  w.person = PersonBody{};
  w.person->distance_m = 0.05;
  CHECK_THROWS_AS(whip_condition(w, WhipCondition::operator_near), DomainError);
  w = usual();
  w.wires[0].lying_height_m = 0.001;
  CHECK_THROWS_AS(whip_condition(w, WhipCondition::trailing_usual), DomainError);
  w = usual();
  w.wires[0].length_m = 1.0;  // ends in the air
  CHECK(whip_condition(w, WhipCondition::trailing_usual).antenna.wires[1].points.size() == 2);
}

TEST_CASE("a sweep does not depend on the number of threads") {
  const WireCase c = whip_condition(usual(), WhipCondition::trailing_usual);
  const std::vector<double> f{3.5e6, 5.3e6, 7.1e6, 10.1e6, 14.2e6};
  std::size_t last = 0, calls = 0;
  const std::vector<AntennaSolution> one =
      sweep_antenna(c.antenna, c.ground, f, {}, 1, [&](std::size_t done, std::size_t total) {
        CHECK(done == last + 1);
        CHECK(total == f.size());
        last = done;
        ++calls;
      });
  CHECK(calls == f.size());
  for (const unsigned threads : {2U, 3U, 8U, 0U}) {
    const std::vector<AntennaSolution> many = sweep_antenna(c.antenna, c.ground, f, {}, threads);
    REQUIRE(many.size() == one.size());
    for (std::size_t i = 0; i < one.size(); ++i) {
      CHECK(many[i].frequency_hz == f[i]);
      CHECK(many[i].feed_ohm == one[i].feed_ohm);
      CHECK(many[i].share.radiated == one[i].share.radiated);
    }
  }
  CHECK(sweep_antenna(c.antenna, c.ground, std::vector<double>{}).empty());
  CHECK_THROWS_AS(sweep_antenna(c.antenna, c.ground, std::vector<double>{7e6, -1.0}, {}, 2), DomainError);
  CHECK_THROWS_AS(sweep_antenna(c.antenna, c.ground, f, {}, 2, [](std::size_t, std::size_t) { throw Error("enough"); }),
                  Error);
}

TEST_CASE("several counterpoises and what each adds") {
  CounterpoiseTask task;
  task.whip = usual();
  task.frequencies_hz = {7.1e6, 14.15e6};
  task.grounds = {ground_by_name("very dry"), ground_by_name("wet")};
  const std::vector<double> lengths{9.0, 4.5, 3.0};
  for (const double spread : {0.0, 1.5}) {
    task.layout.spread_rad = spread;
    const std::vector<CounterpoiseBand> bands = counterpoise_shares(task, lengths);
    REQUIRE(bands.size() == 4);
    for (const CounterpoiseBand& b : bands) {
      REQUIRE(b.gain_db.size() == 3);
      CHECK(b.tuned_efficiency > 0.0);
      CHECK(b.tuned_efficiency < 1.0);
    }
    // Without its longest wire the whip is off the low band's ground system: over dry soil that wire adds most there.
    CHECK(bands[0].gain_db[0] > bands[0].gain_db[1]);
    CHECK(bands[0].gain_db[0] > bands[0].gain_db[2]);
    CHECK(bands[0].gain_db[0] > 0.0);
  }
  CHECK_THROWS_AS(counterpoise_shares(task, std::vector<double>{5.0}), DomainError);
  CHECK_THROWS_AS(with_counterpoises(task.whip, std::vector<double>(6, 5.0), {}), DomainError);
  CHECK_THROWS_AS(with_counterpoises(task.whip, std::vector<double>{}, {}), DomainError);
}

TEST_CASE("best lengths are the best of all pairs of candidates") {
  CounterpoiseTask task;
  task.whip = usual();
  task.frequencies_hz = {7.1e6, 14.15e6};
  task.grounds = {ground_by_name("medium dry")};
  task.options.method = GroundMethod::complex_image;
  const std::vector<double> candidates{2.5, 4.0, 5.5, 8.0, 11.0};
  const CounterpoiseChoice one = best_counterpoises(task, 1, candidates), two = best_counterpoises(task, 2, candidates);
  CHECK(one.status == SearchStatus::settled);
  CHECK(two.status == SearchStatus::settled);
  REQUIRE(two.lengths_m.size() == 2);
  CHECK(two.lengths_m[0] >= two.lengths_m[1]);
  double best_one = 0.0, best_two = 0.0;
  const auto worst = [&](const std::vector<double>& lengths) {
    double w = 1.0;
    for (const double f : task.frequencies_hz)
      w = std::min(w, tuned_efficiency(solve_antenna(with_counterpoises(task.whip, lengths, task.layout),
                                                     task.grounds[0], f, task.options),
                                       200.0));
    return w;
  };
  for (const double a : candidates) {
    best_one = std::max(best_one, worst({a}));
    for (const double b : candidates) {
      if (b <= a) best_two = std::max(best_two, worst({a, b}));
    }
  }
  CHECK(one.worst_tuned_efficiency == best_one);
  CHECK(two.worst_tuned_efficiency == best_two);  // here no better local optimum hides; not so in general
  CHECK(CounterpoiseChoice{}.status == SearchStatus::not_run);
  CHECK_THROWS_AS(best_counterpoises(task, 0, candidates), DomainError);
  CHECK_THROWS_AS(best_counterpoises(task, 1, std::vector<double>{}), DomainError);
}

TEST_CASE("dragged counterpoise lengths lie in the band of field practice") {
  // Web article on a back-pack station, undated: 10 to 25 % below a quarter wave. Computed for this collection at 2 cm,
  // wet, average, very dry: 7.1 MHz .82 .83 .95 (whip not stated), 14.1 .78 .79 .89, 28.4 .83 .84 .90.
  const WhipSet w = usual();
  struct Row {
    double frequency_hz;
    const char* ground;
    double computed, tolerance;
  };
  for (const Row& r :
       {Row{7.1e6, "wet", 0.82, 0.08}, Row{7.1e6, "average", 0.83, 0.08}, Row{7.1e6, "very dry", 0.95, 0.04},
        Row{14.1e6, "wet", 0.78, 0.02}, Row{14.1e6, "average", 0.79, 0.02}, Row{14.1e6, "very dry", 0.89, 0.02},
        Row{28.4e6, "wet", 0.83, 0.02}, Row{28.4e6, "average", 0.84, 0.02}, Row{28.4e6, "very dry", 0.90, 0.02}}) {
    const Root x = dragged_length_factor(w, ground_by_name(r.ground), 0.02, r.frequency_hz);
    INFO(r.frequency_hz << " " << r.ground << " " << x.x);
    REQUIRE(x.status == RootStatus::found);
    CHECK(x.x >= 0.70);
    CHECK(x.x <= 1.0);
    CHECK(std::abs(x.x - r.computed) <= r.tolerance);
  }
}

TEST_CASE("one to five wires, bundled or spread, are in every kind of condition") {
  for (const std::size_t count : {1U, 2U, 5U}) {
    for (const double spread : {0.0, 0.5}) {
      WhipSet w = usual();
      w.set = SetBody{};
      w.person = PersonBody{};
      w.wires.clear();
      for (std::size_t n = 0; n < count; ++n) {
        TrailingWire t;
        t.name = "wire " + std::to_string(n + 1);
        t.length_m = 6.0 - static_cast<double>(n);
        t.direction_rad = spread * static_cast<double>(n);
        w.wires.push_back(t);
      }
      const std::vector<WireCase> cases = whip_conditions(w);
      for (std::size_t n = 0; n < cases.size(); ++n) {
        const WireCase& c = cases[n];
        const auto condition = static_cast<WhipCondition>(n);
        INFO(count << " wires, spread " << spread << ", " << c.name);
        const std::size_t left = condition == WhipCondition::torn_off ? 0 : count;
        CHECK(c.carried);
        CHECK(c.antenna.wires.size() == 1 + left + 3 + 8);  // set of three, person of eight
        CHECK(c.hand.has_value() == (condition == WhipCondition::hand_on_set));
        if (spread == 0.0 && left > 1) {  // side by side, joined at the feed
          const Vec3 first = c.antenna.wires[1].points[1], second = c.antenna.wires[2].points[1];
          CHECK(std::abs(first.y_m - second.y_m) == Approx(0.02));
          CHECK(first.x_m == second.x_m);
        }
      }
      const AntennaSolution s = solved(w, WhipCondition::hand_on_set, 7.1e6);
      CHECK(s.feed_ohm.real() > 0.0);
      CHECK(s.share.ground > 0.0);
    }
  }
}

TEST_CASE("a wire that tears off takes its parts along and leaves those of the others") {
  WhipSet w = usual();
  w.wires = {TrailingWire{}, TrailingWire{}};
  w.wires[0].name = "a";
  w.wires[1].name = "b";
  w.lumps = {{"a", {0, 2.0, 10.0}}, {"b", {0, 3.0, 20.0}}, {"whip", {0, 1.0, 30.0}}};
  w.torn = {"a"};
  const WireCase c = whip_condition(w, WhipCondition::torn_off);
  REQUIRE(c.antenna.wires.size() == 2);  // nothing is added: the other wire is left
  CHECK(c.antenna.wires[1].name == "b");
  REQUIRE(c.antenna.lumps.size() == 2);
  CHECK(c.antenna.lumps[0].wire == 1);
  CHECK(c.antenna.lumps[0].resistance_ohm == 20.0);
  CHECK(c.antenna.lumps[1].wire == 0);
  CHECK(c.changes == std::vector<std::string>{"wire \"a\" is torn off"});
  w.torn = {"c"};
  CHECK_THROWS_AS(whip_condition(w, WhipCondition::torn_off), DomainError);
  w.wires.resize(6);
  CHECK_THROWS_AS(whip_condition(w, WhipCondition::lifted), DomainError);
}

TEST_CASE("raised wires stay raised unless the condition lays them") {
  WhipSet w = usual();
  w.wires[0].raised = true;
  const auto end_m = [&](WhipCondition c) { return whip_condition(w, c).antenna.wires[1].points.back().z_m; };
  for (const WhipCondition c : {WhipCondition::lifted, WhipCondition::leaning, WhipCondition::operator_near,
                                WhipCondition::with_set, WhipCondition::hand_on_set})
    CHECK(end_m(c) == 1.2);
  for (const WhipCondition c : {WhipCondition::trailing_dry, WhipCondition::trailing_usual, WhipCondition::lying_wet})
    CHECK(end_m(c) == 0.02);
  CHECK(end_m(WhipCondition::on_water) == 0.005);
}

TEST_CASE("the corner of a lying wire is for wires that reach their lying height and are shorter than a quarter wave") {
  WhipSet w = usual();  // 6.7 m of wire at 2 cm: a quarter wave at 11.19 MHz
  const WireCase lying = whip_condition(w, WhipCondition::trailing_usual);
  CHECK(has_lying_corner(lying, 7.1e6));
  CHECK(has_lying_corner(lying, 11.1e6));
  CHECK(!has_lying_corner(lying, 11.2e6));
  CHECK(!has_lying_corner(whip_condition(w, WhipCondition::lifted), 7.1e6));
  w.wires[0].raised = true;
  CHECK(!has_lying_corner(whip_condition(w, WhipCondition::leaning), 7.1e6));
  CHECK(has_lying_corner(whip_condition(w, WhipCondition::lying_wet), 7.1e6));
  w = usual();
  w.wires[0].length_m = 1.0;  // ends in the air
  CHECK(!has_lying_corner(whip_condition(w, WhipCondition::trailing_usual), 7.1e6));
  w.wires[0].length_m = 3.0;
  w.wires[0].lying_height_m = lying_limit_m;
  CHECK(has_lying_corner(whip_condition(w, WhipCondition::trailing_usual), 7.1e6));
  w.wires[0].lying_height_m = 0.11;
  CHECK(!has_lying_corner(whip_condition(w, WhipCondition::trailing_usual), 7.1e6));
}

TEST_CASE("another ground takes what was said of the old one with it") {
  WhipSet w = usual();
  WireCase c = whip_condition(w, WhipCondition::lying_wet);
  CHECK(c.changes.front() == "the ground is wet");
  put_on_ground(c, ground_by_name("sea"));
  REQUIRE(c.changes.size() == 1);
  CHECK(c.changes[0] == "the ground is sea");
  put_on_ground(c, lossy_ground(20.0, 8e-3));
  CHECK(c.changes[0] == "the ground is relative permittivity 20, 8 mS/m");
  put_on_ground(c, free_space());
  CHECK(c.changes[0] == "the ground is free space");
  CHECK(!has_lying_corner(c, 7.1e6));
  w.ground = ground_by_name("wet");
  c = whip_condition(w, WhipCondition::lying_wet);
  CHECK(c.changes.empty());  // it was wet before
  put_on_ground(c, ground_by_name("wet"));
  CHECK(c.changes.empty());
  w.wires[0].lying_height_m = 0.006;
  c = whip_condition(w, WhipCondition::trailing_usual);
  c.antenna.wires[1].radius_m = 0.002;
  CHECK_THROWS_AS(put_on_ground(c, ground_by_name("sea")), DomainError);
  CHECK(c.ground == ground_by_name("wet"));
  CHECK_THROWS_WITH(
      [&] {
        WireCase person = whip_condition(w, WhipCondition::operator_near);
        put_on_ground(person, free_space());
      }(),
      "a person needs a lossy ground to stand on");
}

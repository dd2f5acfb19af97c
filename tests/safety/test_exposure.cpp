// Fields at people beside levels: what is compared with what, what counts over time, and what a verdict promises.
#include <catch2/catch.hpp>

#include <algorithm>
#include <set>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/safety/distances.hpp>
#include <stile/safety/uses.hpp>
#include <stile/wire/detail/gauss.hpp>
#include <stile/wire/near_field.hpp>

#include "safety/carried.hpp"
#include "safety/reference.hpp"

using namespace stile;
using namespace stile::safety;
using namespace stile::safety::test;
using wire::WhipCondition;

namespace {

const ExposureRow& row_of(const std::vector<ExposureRow>& rows, const std::string& where, const std::string& standard,
                          const std::string& group, const std::string& scope) {
  for (const ExposureRow& r : rows) {
    if (r.field.where == where && r.level.standard == standard && r.level.group == group && r.level.scope == scope)
      return r;
  }
  throw Error("no row of " + where + ", " + standard + ", " + scope);
}

/// A lone whip with a straight-line current over nothing, as the worked stations have it.
ExposureCase worked_station(double height_m, double base_a, double frequency_hz) {
  ExposureCase one;
  one.power_w = 1.0;
  wire::Wire whip;
  whip.name = "whip";
  whip.points = {{0, 0, 1.2}, {0, 0, 1.2 + height_m}};
  one.wires.antenna.wires.push_back(whip);
  one.solution.frequency_hz = frequency_hz;
  one.solution.antenna_ohm = 1.0;
  constexpr int cells = 100;
  for (int n = 0; n < cells; ++n) {
    const double a = height_m * n / cells, b = height_m * (n + 1) / cells;
    one.solution.cells.push_back({0,
                                  {0, 0, 1.2 + a},
                                  {0, 0, 1.2 + b},
                                  a,
                                  b - a,
                                  0.0025,
                                  base_a * (1.0 - a / height_m),
                                  base_a * (1.0 - b / height_m)});
  }
  return one;
}

/// A person with a whip and a wire, and no set whose lead passes him.
wire::WireCase person_alone() {
  wire::WhipSet w;
  w.ground = wire::ground_by_name("medium dry");
  w.person = wire::PersonBody{};
  wire::WireCase one = wire::whip_condition(w, WhipCondition::trailing_usual);
  one.name = "no set";
  one.carried = true;
  return one;
}

}  // namespace

TEST_CASE("the fields are those of the currents at the places, without the person") {
  const wire::WireCase wires = carried_case(WhipCondition::trailing_usual);
  const ExposureCase one = solved(wires, 7.1e6, 5.0);
  const wire::WireCase bare = without_person(wires);
  CHECK(bare.antenna.wires.size() < wires.antenna.wires.size());
  const wire::AntennaSolution alone = wire::solve_antenna(bare.antenna, bare.ground, 7.1e6);
  const std::vector<FieldAt> fields = fields_at_people(one, {});
  std::set<std::string> places;
  for (const FieldAt& f : fields) {
    INFO(f.where);
    places.insert(f.where);
    // Along the axis there is the inside of the trunk's wire: no field of it.
    if (f.whole_body) CHECK(!f.e_with_person_v_m);
    if (f.where == "worst point of the body" && f.e_with_person_v_m) {
      const Carrier c = carrier_of(wires);
      CHECK(std::any_of(c.places.begin(), c.places.end(), [&](const Place& p) {
        return p.point_m.x_m == f.point_m.x_m && p.point_m.z_m == f.point_m.z_m;
      }));
    }
    if (f.whole_body || !f.carrier || f.where == "worst point of the body") continue;
    const wire::NearField n = wire::near_field(alone, std::vector<wire::Vec3>{f.point_m}, 5.0)[0];
    CHECK(relative(f.e_v_m, n.e_v_m()) <= 1e-9);
    CHECK(relative(f.h_a_m, n.h_a_m()) <= 1e-9);
    const wire::NearField with = wire::near_field(one.solution, std::vector<wire::Vec3>{f.point_m}, 5.0)[0];
    CHECK(relative(*f.e_with_person_v_m, with.e_v_m()) <= 1e-9);
  }
  for (const char* place : {"head", "eyes", "chest", "back", "left hand", "right hand", "left foot", "right foot",
                            "whole body", "worst point of the body", "bystander at 1 m", "bystander at 2 m",
                            "bystander at 5 m", "0.2 m beyond the end of \"counterpoise\""}) {
    INFO(place);
    CHECK(places.count(place) == 1);
  }
}

TEST_CASE("the worst point of a body is on its surface too, where set and lead are") {
  const wire::WireCase wires = carried_case(WhipCondition::torn_off), bare = without_person(wires);
  const ExposureCase one = solved(wires, 7.1e6, 5.0);
  const wire::AntennaSolution alone = wire::solve_antenna(bare.antenna, bare.ground, 7.1e6);
  const Carrier carrier = carrier_of(wires);
  std::vector<wire::Vec3> ring;
  for (int n = 0; n < 20; ++n) {
    for (int k = 0; k < 8; ++k)
      ring.push_back({carrier.stands.ground_m.x_m + 0.1 * std::cos(k * pi / 4.0),
                      carrier.stands.ground_m.y_m + 0.1 * std::sin(k * pi / 4.0),
                      (n + 0.5) / 20.0 * carrier.stands.stature_m});
  }
  CHECK(carrier.radius_m == 0.1);
  double e_v_m = 0.0, h_a_m = 0.0;
  for (const wire::NearField& f : wire::near_field(alone, ring, 5.0)) {
    e_v_m = std::max(e_v_m, f.e_v_m());
    h_a_m = std::max(h_a_m, f.h_a_m());
  }
  double places_v_m = 0.0;
  for (const FieldAt& f : fields_at_people(one, {})) {
    if (f.where != "worst point of the body") {
      if (f.carrier && !f.whole_body) places_v_m = std::max(places_v_m, f.e_v_m);
      continue;
    }
    CHECK(f.e_v_m >= e_v_m * (1.0 - 1e-9));
    CHECK(f.h_a_m >= h_a_m * (1.0 - 1e-9));
  }
  CHECK(e_v_m > 1.2 * places_v_m);  // the places alone would miss it
}

TEST_CASE("clearance is that of the body's surface, and only the carrier's own makes him portable") {
  // A whip 0.25 m from his axis is 0.15 m from his skin; nobody draws him, so he stands 0.4 m away and it goes back.
  wire::WireCase wires = carried_case(WhipCondition::trailing_usual, false);
  const Carrier carrier = carrier_of(wires);
  const ExposureCase away = solved(wires, 7.1e6, 5.0);
  for (const FieldAt& f : fields_at_people(away, {})) {
    if (f.where == "whole body") CHECK(f.clearance_m == Approx(0.3 - 0.002).margin(0.002));
    if (f.where == "bystander at 1 m") CHECK(f.clearance_m == Approx(0.9 - 0.002).margin(0.003));
    if (f.where.find("beyond the end") != std::string::npos) CHECK(f.clearance_m == Approx(0.1).margin(0.02));
  }
  ExposureOptions options;
  options.levels = levels_of(published_levels(), std::vector<std::string>{"47 CFR 1.1310"});
  const std::vector<std::vector<ExposureRow>> rows{exposure_rows(away, fields_at_people(away, options), options)};
  const std::vector<Verdict> verdicts = exposure_verdicts(rows, options.duty);
  REQUIRE(verdicts.size() == 2);
  for (const Verdict& v : verdicts) {
    INFO(v.text);
    CHECK(!v.portable);
    CHECK(v.portable_bystander);  // at the end of the wire
    CHECK(v.text.find("who carries it is nearer") == std::string::npos);
    CHECK(v.text.find("a bystander is nearer than 20 cm") != std::string::npos);
  }
  // A lead 0.25 m from the axis gives no ratio.
  wire::Wire lead;
  lead.name = "lead";
  const wire::Vec3 stands = carrier.stands.ground_m;
  lead.points = {{stands.x_m, stands.y_m + 0.25, 0.5}, {stands.x_m, stands.y_m + 0.25, 1.0}};
  ExposureCase near = away;
  near.wires.antenna.wires.push_back(lead);
  const auto of_near = exposure_rows(near, fields_at_people(near, options), options);
  CHECK(!row_of(of_near, "whole body", "47 CFR 1.1310", "general public", "whole body").ratio);
}

TEST_CASE("bystanders' worst point is that of the whole surface in the worst of all directions") {
  for (const WhipCondition condition : {WhipCondition::trailing_usual, WhipCondition::torn_off}) {
    const wire::WireCase wires = carried_case(condition), bare = without_person(wires);
    const ExposureCase one = solved(wires, 7.1e6, 5.0);
    const wire::AntennaSolution alone = wire::solve_antenna(bare.antenna, bare.ground, 7.1e6);
    const std::vector<FieldAt> fields = fields_at_people(one, {});
    for (const double distance_m : {1.0, 2.0, 5.0}) {
      const std::string where = fmt::format("bystander at {:g} m", distance_m);
      INFO(wires.name << ", " << where);
      double e_v_m = 0.0, h_a_m = 0.0, axis_v_m = 0.0;
      for (const Bystander& b : bystanders_at(bare, distance_m)) {
        for (const wire::NearField& f : wire::near_field(alone, body_line(b), 5.0))
          axis_v_m = std::max(axis_v_m, f.e_v_m());
        for (const wire::NearField& f : wire::near_field(alone, body_surface(b, 0.1), 5.0)) {
          e_v_m = std::max(e_v_m, f.e_v_m());
          h_a_m = std::max(h_a_m, f.h_a_m());
        }
      }
      const auto told = std::find_if(fields.begin(), fields.end(),
                                     [&](const FieldAt& f) { return f.where == where && !f.whole_body; });
      REQUIRE(told != fields.end());
      CHECK(told->e_v_m >= 0.99 * e_v_m);
      CHECK(told->h_a_m >= 0.99 * h_a_m);
      CHECK(told->e_v_m <= e_v_m * (1.0 + 1e-9));
      if (distance_m == 1.0) CHECK(e_v_m > 1.1 * axis_v_m);  // the axis alone would miss it
    }
  }
}

TEST_CASE("an end of a wire is known by what the wire is, not by its name") {
  // Somebody draws his own wire and calls it "lead"; the carried set's has the same name and is none.
  wire::WireCase wires = carried_case(WhipCondition::trailing_usual, false);
  wires.antenna.wires[1].name = "lead";
  REQUIRE(free_ends(wires).size() == 1);
  CHECK(bystanders_at_ends(wires, 0.2).front().name == "0.2 m beyond the end of \"lead\"");
  for (const WireEnd& end : free_ends(carried_case(WhipCondition::torn_off))) {
    INFO(end.wire);
    CHECK(false);  // frame, lead and set alone
  }
}

TEST_CASE("a raised feed leaves what stands at a wire's far end there") {
  wire::WireCase wires = carried_case(WhipCondition::trailing_usual, false);
  const double length_m = wire_length_m(wires.antenna.wires[1]);
  wires.antenna.coils.push_back({1, length_m - 0.05, 0.1, 1e-6, 200.0, 0.0});
  wires.antenna.lumps.push_back({1, 0.5, 100.0});
  wires.antenna.lumps.push_back({1, length_m, 50.0});
  const wire::WireCase up = with_raised_feed(wires, 0.5);
  const double longer_m = wire_length_m(up.antenna.wires[1]);
  CHECK(longer_m > length_m + 0.1);
  CHECK(up.antenna.coils[0].distance_m == Approx(longer_m - 0.05));
  CHECK(up.antenna.lumps[0].distance_m == 0.5);
  CHECK(up.antenna.lumps[1].distance_m == Approx(longer_m));
}

TEST_CASE("what is above its level to the end of the search is told so") {
  ExposureCase one = solved(carried_case(WhipCondition::trailing_usual, false), 7.1e6, 5.0);
  ExposureOptions options;
  options.levels = levels_of(published_levels(), std::vector<std::string>{"ICNIRP 1998"});
  const auto feed = [&] {
    std::vector<Reach> all;
    for (const LevelReach& r : level_reaches(one, options)) {
      if (!r.wire_end && is_public(r.level.group)) all.push_back(r.farthest);
    }
    return all;
  };
  REQUIRE(feed().size() == 1);
  CHECK(!feed()[0].above_there);
  one.power_w = 1e9;
  CHECK(feed()[0].above_there);
  CHECK(feed()[0].distance_m > 200.0);
  CHECK(feed()[0].distance_m < 250.0);
}

TEST_CASE("an end beside which nobody can stand is told") {
  wire::WireCase wires = carried_case(WhipCondition::trailing_usual, false);
  CHECK(bystanders_left_out(wires).empty());
  wire::Wire back;  // doubled back: it ends 0.1 m from its own way out
  back.name = "doubled";
  back.points = {{1.0, 0.0, 0.3}, {5.0, 0.0, 0.3}, {5.0, 0.1, 0.3}, {3.0, 0.1, 0.3}};
  wires.antenna.wires.push_back(back);
  const std::vector<std::string> told = bystanders_left_out(wires);
  REQUIRE(told.size() == 1);
  CHECK(told[0].find("\"doubled\": a conductor is nearer") != std::string::npos);
}

TEST_CASE("whole body: root of the mean square at 20 points of somebody who stands on the ground") {
  const ExposureCase one = solved(carried_case(WhipCondition::lifted, false), 3.65e6, 5.0);
  const Carrier carrier = carrier_of(one.wires);
  CHECK(!carrier.in_model);
  const std::vector<wire::Vec3> line = body_line(carrier.stands);
  REQUIRE(line.size() == 20);
  CHECK(line.front().z_m == Approx(1.75 / 40.0));
  CHECK(line.back().z_m == Approx(1.75 * 39.0 / 40.0));
  double square = 0.0;
  for (const wire::NearField& f : wire::near_field(one.solution, line, 5.0)) square += f.e_v_m() * f.e_v_m() / 20.0;
  const std::vector<FieldAt> fields = fields_at_people(one, {});
  const auto whole =
      std::find_if(fields.begin(), fields.end(), [](const FieldAt& f) { return f.where == "whole body"; });
  CHECK(relative(whole->e_v_m, std::sqrt(square)) <= 1e-9);
  CHECK(!whole->e_with_person_v_m);
  // The worst point is no weaker than any place of the person's.
  const auto worst =
      std::find_if(fields.begin(), fields.end(), [](const FieldAt& f) { return f.where == "worst point of the body"; });
  for (const FieldAt& f : fields) {
    if (f.carrier) CHECK(f.e_v_m <= worst->e_v_m);
  }
}

TEST_CASE("ratio is the larger of E/level and H/level, duty counts only where a level is averaged") {
  const ExposureCase one = solved(carried_case(WhipCondition::trailing_usual, false), 7.1e6, 5.0);
  ExposureOptions key_down, talk;
  talk.duty = {"SSB", 0.5, 60.0};
  const std::vector<FieldAt> fields = fields_at_people(one, key_down);
  const auto down = exposure_rows(one, fields, key_down), ssb = exposure_rows(one, fields, talk);
  REQUIRE(down.size() == ssb.size());
  for (std::size_t n = 0; n < down.size(); ++n) {
    const ExposureRow& r = down[n];
    INFO(r.field.where << ", " << r.level.standard << ", " << r.level.scope);
    CHECK(!r.condition.empty());
    CHECK(r.averaged == (r.level.scope != "not averaged"));
    CHECK(r.field.whole_body == (r.level.scope == "whole body"));
    if (!r.ratio) continue;
    double expected = 0.0;
    if (r.level.e_v_m) expected = std::max(expected, r.field.e_v_m / *r.level.e_v_m);
    if (r.level.h_a_m) expected = std::max(expected, r.field.h_a_m / *r.level.h_a_m);
    CHECK(relative(*r.ratio, expected) <= 1e-12);
    CHECK(relative(*ssb[n].ratio, r.averaged ? std::sqrt(0.2 * 0.5) * expected : expected) <= 1e-12);
    CHECK(ssb[n].field.e_v_m == r.field.e_v_m);  // the field itself is told key down
  }
  // Head: ICNIRP 2020, public, not averaged, 83 V/m.
  const ExposureRow& head = row_of(ssb, "head", "ICNIRP 2020", "general public", "not averaged");
  CHECK(*head.level.e_v_m == 83.0);
  CHECK(head.power_share == 1.0);
}

TEST_CASE("nearer to a body than 20 cm 47 CFR 1.1310 gives no ratio, the others do") {
  // Worn in front, the lead runs 10 cm from the trunk.
  const ExposureCase worn = solved(carried_case(WhipCondition::trailing_usual), 7.1e6, 5.0);
  const auto rows = exposure_rows(worn, fields_at_people(worn, {}), {});
  const ExposureRow& own = row_of(rows, "whole body", "47 CFR 1.1310", "general public", "whole body");
  CHECK(own.field.clearance_m < 0.2);
  CHECK(!own.ratio);
  CHECK(own.note.find("portable") == 0);
  CHECK(row_of(rows, "whole body", "ICNIRP 1998", "general public", "whole body").ratio);
  CHECK(row_of(rows, "bystander at 1 m", "47 CFR 1.1310", "general public", "whole body").ratio);
  // A lone whip 0.4 m from the axis of the body.
  const ExposureCase away = solved(carried_case(WhipCondition::trailing_usual, false), 7.1e6, 5.0);
  const auto free = exposure_rows(away, fields_at_people(away, {}), {});
  CHECK(row_of(free, "whole body", "47 CFR 1.1310", "general public", "whole body").ratio);
}

TEST_CASE("bystanders stand on the ground, and no nearer to a wire than they are said to be") {
  const wire::WireCase wires = without_person(carried_case(WhipCondition::trailing_usual));
  for (const double distance : {1.0, 2.0, 5.0}) {
    const std::vector<Bystander> all = bystanders_at(wires, distance);
    CHECK(!all.empty());
    for (const Bystander& b : all) {
      CHECK(b.ground_m.z_m == 0.0);
      CHECK(std::hypot(b.ground_m.x_m, b.ground_m.y_m) == Approx(distance));
      CHECK(body_distance_m(wires.antenna, b) >= distance * (1.0 - 1e-9));
    }
  }
  const std::vector<Bystander> ends = bystanders_at_ends(wires, 0.2);
  REQUIRE(ends.size() == 1);
  CHECK(body_distance_m(wires.antenna, ends[0]) == Approx(0.2));
}

TEST_CASE(
    "a verdict's power, its raised base, its base set back and its share of talking do bring it under the level") {
  wire::SolveOptions solve = wire::with_tables({});
  ExposureOptions options;
  options.duty = {"SSB", 1.0, 60.0};
  options.solve = solve;
  // Beside a set and its lead a higher base does not help; beside a whip alone it does at some power.
  const auto alone = [&](double power_w) {
    return std::vector<ExposureCase>{solved(carried_case(WhipCondition::trailing_usual, false), 7.1e6, power_w, solve)};
  };
  const std::vector<std::vector<ExposureCase>> stations{
      {solved(carried_case(WhipCondition::trailing_usual), 7.1e6, 5.0, solve),
       solved(carried_case(WhipCondition::torn_off), 7.1e6, 5.0, solve)},
      alone(1.0),
      alone(5.0),
      alone(100.0),
      {solved(person_alone(), 7.1e6, 2.0, solve)}};
  int raised = 0, back = 0, less_talk = 0;
  const auto worst_with = [&](const std::vector<ExposureCase>& changed, const Verdict& v, double talk_share = 1.0) {
    double worst = 0.0;
    ExposureOptions talking = options;
    talking.duty.talk_share = talk_share;
    for (const auto& of_case : exposures(changed, talking)) {
      for (const ExposureRow& r : of_case) {
        if (r.ratio && r.level.standard == v.worst.level.standard && r.level.group == v.worst.level.group)
          worst = std::max(worst, *r.ratio);
      }
    }
    return worst;
  };
  for (const std::vector<ExposureCase>& cases : stations) {
    const std::vector<Verdict> verdicts = exposure_verdicts(cases, exposures(cases, options), options);
    CHECK(verdicts.size() == 10);  // five standards, two groups
    for (const Verdict& v : verdicts) {
      INFO(v.text);
      CHECK(v.text.find('\n') == std::string::npos);
      CHECK(v.text.find(fmt::format("{:g} W SSB into the antenna: ", cases[0].power_w)) == 0);
      if (*v.worst.ratio <= 1.0) continue;
      std::vector<ExposureCase> less = cases;
      for (ExposureCase& c : less) c.power_w = v.power_w;
      const double ratio = worst_with(less, v);
      CHECK(ratio <= 1.0);
      CHECK(ratio >= 0.94);  // two figures, rounded down
      if (v.talk_share) {
        ++less_talk;
        CHECK(worst_with(cases, v, *v.talk_share) <= 1.0);
        CHECK(worst_with(cases, v, *v.talk_share + 0.01) > 1.0);
        CHECK(v.text.find(fmt::format(", or transmit {:g} of the time", *v.talk_share)) != std::string::npos);
      }
      const auto moved = [&](const auto& change) {
        std::vector<ExposureCase> all;
        for (const ExposureCase& c : cases) all.push_back(solved(change(c.wires), 7.1e6, c.power_w, solve));
        return all;
      };
      if (v.raise_m) {
        ++raised;
        CHECK(worst_with(moved([&](const wire::WireCase& w) { return with_raised_feed(w, *v.raise_m); }), v) <= 1.0);
      }
      // Who is not in the model stands 0.4 m from the feed wherever it is: there the library moves the feed alone.
      if (v.back_m && cases[0].wires.carried) {
        ++back;
        CHECK(worst_with(moved([&](const wire::WireCase& w) { return with_feed_set_back(w, *v.back_m); }), v) <= 1.0);
        CHECK(v.text.find(fmt::format("move the base {:.0f} cm back", 100.0 * *v.back_m)) != std::string::npos);
      }
    }
  }
  CHECK(raised >= 1);
  CHECK(back >= 1);
  CHECK(less_talk >= 1);
}

TEST_CASE("a base set back is farther from who carries it by that much, and he stays") {
  const wire::WireCase wires = person_alone(), back = with_feed_set_back(wires, 0.3);
  CHECK(distance_from_feed_m(back, carrier_of(wires).stands.ground_m) ==
        Approx(distance_from_feed_m(wires, carrier_of(wires).stands.ground_m) + 0.3));
  CHECK(carrier_of(back).stands.ground_m.x_m == carrier_of(wires).stands.ground_m.x_m);
  CHECK(back.antenna.wires[0].points.back().z_m == wires.antenna.wires[0].points.back().z_m);
  CHECK(back.antenna.wires[1].points.front().x_m == back.antenna.wires[0].points.front().x_m);
  CHECK(back.antenna.wires[1].points.back().x_m == wires.antenna.wires[1].points.back().x_m);
}

TEST_CASE("arrangements on the same antennas: the worst of each one's conditions at its own powers") {
  const wire::SolveOptions solve = wire::with_tables({});
  ExposureOptions options;
  options.solve = solve;
  const std::vector<ExposureCase> cases{solved(carried_case(WhipCondition::trailing_usual, false), 7.1e6, 5.0, solve),
                                        solved(carried_case(WhipCondition::lifted, false), 7.1e6, 5.0, solve)};
  const std::vector<PoweredUse> uses{{"40 m", "good", 0, 5.0},
                                     {"40 m", "bad", 0, 0.5},
                                     {"40 m", "good", 1, 2.0},
                                     {"40 m", "bad", 1, 2.0},
                                     {"40 m", "none", 0, 0.0}};
  const std::vector<UseExposure> all = use_exposures(cases, uses, options);
  REQUIRE(all.size() == 2);
  CHECK(all[0].arrangement == "good");
  CHECK(all[1].arrangement == "bad");
  for (const UseExposure& u : all) {
    double worst = 0.0;
    for (const ExposureRow& r : u.rows) {
      if (!r.ratio) continue;
      const bool lifted = r.condition == cases[1].wires.name;
      CHECK(r.power_w == (u.arrangement == "good" ? (lifted ? 2.0 : 5.0) : (lifted ? 2.0 : 0.5)));
      if (is_public(r.level.group)) worst = std::max(worst, *r.ratio);
      // No condition at its power is above it.
      for (const PoweredUse& use : uses) {
        if (use.arrangement != u.arrangement) continue;
        ExposureCase one = cases[use.antenna];
        one.power_w = use.power_w;
        if (r.field.where != "head") continue;
        const auto rows = exposure_rows(one, fields_at_people(one, options), options);
        CHECK(*row_of(rows, "head", r.level.standard, r.level.group, r.level.scope).ratio <= *r.ratio * (1.0 + 1e-9));
      }
    }
    double told = 0.0;
    for (const Verdict& v : u.verdicts) {
      if (is_public(v.worst.level.group)) told = std::max(told, *v.worst.ratio);
    }
    CHECK(told == worst);
  }
  CHECK_THROWS_AS(use_exposures(cases, std::vector<PoweredUse>{{"40 m", "x", 2, 1.0}}, options), DomainError);
}

TEST_CASE("a set turned down as a verdict says meets its level in every condition, at whatever power each stands") {
  const wire::SolveOptions solve = wire::with_tables({});
  ExposureOptions options;
  options.solve = solve;
  const std::vector<ExposureCase> cases{solved(carried_case(WhipCondition::trailing_usual, false), 7.1e6, 5.0, solve),
                                        solved(carried_case(WhipCondition::lifted, false), 7.1e6, 5.0, solve)};
  const auto with_share = [&](double share) {
    const std::vector<PoweredUse> uses{{"40 m", "a", 0, 5.0 * share}, {"40 m", "a", 1, 2.0 * share}};
    return use_exposures(cases, uses, options).front();
  };
  const UseExposure full = with_share(1.0);
  int above = 0;
  for (const Verdict& v : full.verdicts) {
    if (*v.worst.ratio <= 1.0) continue;
    ++above;
    INFO(v.text);
    CHECK(v.text.find(fmt::format("turn the set down to {} into the antenna there",
                                  print_quantity(v.power_w, Unit::watt, 2))) != std::string::npos);
    int matched = 0;
    for (const Verdict& less : with_share(v.power_w / v.worst.power_w).verdicts) {
      if (less.worst.level.standard != v.worst.level.standard || less.worst.level.group != v.worst.level.group)
        continue;
      ++matched;
      CHECK(*less.worst.ratio <= 1.0 + 1e-9);
      CHECK(*less.worst.ratio >= 0.9);  // two figures, rounded down
    }
    CHECK(matched == 1);
  }
  CHECK(above >= 2);
}

TEST_CASE("each arrangement transmits in its own way where it says so") {
  const wire::SolveOptions solve = wire::with_tables({});
  ExposureOptions options;
  options.solve = solve;
  options.duty = {"SSB", 0.5, 60.0};
  const Duty tuning{"SSB", 0.5, 60.0, 0.0, 360.0, 30.0, 300.0};
  const std::vector<ExposureCase> cases{solved(carried_case(WhipCondition::lifted, false), 7.1e6, 5.0, solve)};
  const std::vector<PoweredUse> uses{{"40 m", "fixed", 0, 5.0}, {"40 m", "tuner", 0, 5.0, 0.0, tuning}};
  const std::vector<UseExposure> all = use_exposures(cases, uses, options);
  REQUIRE(all.size() == 2);
  CHECK(all[0].duty.tuner_s == 0.0);
  CHECK(all[1].duty.tuner_s == 30.0);
  REQUIRE(all[0].rows.size() == all[1].rows.size());
  std::size_t averaged = 0, not_averaged = 0;
  for (std::size_t n = 0; n < all[0].rows.size(); ++n) {
    const ExposureRow &fixed = all[0].rows[n], &tuned = all[1].rows[n];
    if (!fixed.ratio) continue;
    REQUIRE(tuned.ratio);
    if (fixed.averaged) {
      ++averaged;
      // Six minutes: two carriers of 30 s and 180 s at 0.2 against those alone; half an hour: six and 900 s.
      const double window = fixed.level.averaging_s;
      REQUIRE((window == 360.0 || window == 1800.0));
      const double more = window == 360.0 ? (60.0 + 36.0) / 36.0 : (180.0 + 180.0) / 180.0;
      CHECK(*tuned.ratio == Approx(*fixed.ratio * std::sqrt(more)).epsilon(1e-12));
    } else {
      ++not_averaged;
      CHECK(*tuned.ratio == *fixed.ratio);
    }
  }
  CHECK(averaged > 5);
  CHECK(not_averaged > 5);
}

TEST_CASE("arrangements: bodies, contacts, tips and the raised base are those of each case at its power") {
  const wire::SolveOptions solve = wire::with_tables({});
  ExposureOptions options;
  options.solve = solve;
  const ExposureCase hand = solved(carried_case(WhipCondition::hand_on_set), 7.1e6, 1.0, solve),
                     alone = solved(carried_case(WhipCondition::trailing_usual, false), 7.1e6, 1.0, solve);
  const std::vector<ExposureCase> cases{hand, alone};
  const std::vector<PoweredUse> uses{
      {"40 m", "a", 0, 2.0, 700.0}, {"40 m", "b", 1, 5.0}, {"40 m", "c", 0, 0.5}, {"40 m", "c", 1, 3.0}};
  const BodyFacts facts{60.0, 500.0, 2000.0};
  const std::vector<UseExposure> all = use_exposures(cases, uses, options, facts);
  REQUIRE(all.size() == 3);
  REQUIRE(all[0].conditions.size() == 1);
  REQUIRE(all[2].conditions.size() == 2);
  ExposureCase two = hand;
  two.power_w = 2.0;
  const BodyExposure body = body_exposure(two, 60.0, options);
  const Contacts touched = contacts(two, 500.0, options);
  const UseCondition& c = all[0].conditions[0];
  CHECK(c.body.condition == "hand on the set");
  CHECK(c.body.whole_body_w_kg == Approx(body.whole_body_w_kg));
  CHECK(c.body.limbs[0].sar_10g_range_w_kg.high == Approx(body.limbs[0].sar_10g_range_w_kg.high));
  REQUIRE(c.contacts.places.size() == touched.places.size());
  for (std::size_t n = 0; n < touched.places.size(); ++n) {
    CHECK(c.contacts.places[n].open_v_rms == Approx(touched.places[n].open_v_rms));
    CHECK(c.contacts.places[n].contact_a_rms == Approx(touched.places[n].contact_a_rms));
  }
  CHECK(c.contacts.terminal_v_peak == Approx(touched.terminal_v_peak));
  CHECK(c.tips[0].v_peak == Approx(tips(two, 2000.0, options)[0].v_peak));
  // 700 V across the coil are more than anything that is touched.
  CHECK(highest_v_peak(c.contacts) < 700.0);
  CHECK(c.gap_jumped_m == hf_gap_jumped_m(700.0, air_pressure_pa(2000.0)));
  // Every row is the worst of its arrangement's conditions.
  std::size_t compared = 0;
  for (const BodyRow& r : all[2].body_rows) {
    for (const UseCondition& in : all[2].conditions) {
      std::vector<BodyRow> rows = body_rows(in.body, options);
      for (const BodyRow& k : contact_rows(in.contacts, options)) rows.push_back(k);
      for (const BodyRow& k : rows) {
        if (k.where != r.where || k.standard != r.standard || k.group != r.group || k.quantity != r.quantity ||
            !k.ratio)
          continue;
        CHECK(*k.ratio <= *r.ratio);
        ++compared;
      }
    }
  }
  CHECK(compared > all[2].body_rows.size());
  // The raise is that of the same cases by themselves.
  ExposureCase five = alone;
  five.power_w = 5.0;
  const std::vector<ExposureCase> lone{five};
  const std::vector<Verdict> own = exposure_verdicts(lone, exposures(lone, options), options);
  REQUIRE(own.size() == all[1].verdicts.size());
  int raised = 0;
  for (std::size_t v = 0; v < own.size(); ++v) {
    INFO(own[v].text);
    CHECK(own[v].text == all[1].verdicts[v].text);
    CHECK(own[v].raise_m == all[1].verdicts[v].raise_m);
    raised += own[v].raise_m ? 1 : 0;
  }
  CHECK(raised > 0);
}

TEST_CASE("every conductor of the file counts: what leaving each one out would change") {
  const wire::WireCase wires = carried_case(WhipCondition::trailing_usual);
  const ExposureCase one = solved(wires, 7.1e6, 5.0);
  const wire::WireCase bare = without_person(wires);
  const wire::AntennaSolution alone = wire::solve_antenna(bare.antenna, bare.ground, 7.1e6);
  std::vector<wire::Vec3> points;
  for (const Place& p : carrier_of(wires).places) points.push_back(p.point_m);
  const std::vector<wire::NearField> all = wire::near_field(alone, points, 5.0);
  CHECK(bare.antenna.wires.size() == 5);  // whip, counterpoise, frame, lead, set
  for (std::size_t w = 0; w < bare.antenna.wires.size(); ++w) {
    wire::AntennaSolution without = alone;
    std::erase_if(without.cells, [&](const wire::CellCurrent& c) { return c.wire == w; });
    const std::vector<wire::NearField> less = wire::near_field(without, points, 5.0);
    double most = 0.0;
    for (std::size_t n = 0; n < points.size(); ++n)
      most = std::max(most, std::abs(less[n].e_v_m() / all[n].e_v_m() - 1.0));
    WARN(fmt::format(
        "without the current of \"{}\" the field at head, eyes, chest, back, hands, feet would be off by up to "
        "{:.0f} %: head {:.3g} in place of {:.3g} V/m",
        bare.antenna.wires[w].name, 100.0 * most, less[0].e_v_m(), all[0].e_v_m()));
    CHECK(most > 0.01);
  }
  (void)one;
}

TEST_CASE("power through a closed box around a whip with a wire 10 or 2 cm up is the solved balance") {
  const double lying_m = GENERATE(0.1, 0.02);
  INFO("wire at " << lying_m << " m");
  wire::WhipSet w;
  w.ground = wire::ground_by_name("medium dry");
  w.wires[0].length_m = 3.0;
  w.wires[0].lying_height_m = lying_m;
  const ExposureCase one = solved(wire::whip_condition(w, WhipCondition::trailing_usual), 7.1e6, 5.0);
  const auto& wires = one.wires.antenna.wires;
  REQUIRE(wires.size() == 2);
  const wire::Vec3 end = wires[1].points.back();
  CHECK(end.z_m == Approx(lying_m));
  struct Node {
    double at = 0.0, weight = 0.0;
  };
  const auto gauss = [](double low, double high) {
    std::vector<Node> nodes;
    for (const auto& g : wire::detail::gauss_rule(24))
      nodes.push_back({low + g.x * (high - low), g.weight * (high - low)});
    return nodes;
  };
  const double x0 = -0.6, x1 = end.x_m + 0.6, y1 = 1.5, z0 = 0.5 * lying_m, z1 = 4.2;
  // Under the wire the nodes stand close: 3 cm along it (1 cm where it is low), and across it as a hyperbolic sine of
  // the distance between.
  std::vector<Node> along, across;
  const int steps = static_cast<int>(std::ceil((x1 - x0) / std::max(0.01, 0.3 * lying_m)));
  for (int n = 0; n < steps; ++n) along.push_back({x0 + (n + 0.5) * (x1 - x0) / steps, (x1 - x0) / steps});
  const double c = z0, most = std::asinh(y1 / c);
  for (int n = 0; n < 40; ++n) {
    const double u = most * ((n + 0.5) / 20.0 - 1.0);
    across.push_back({c * std::sinh(u), c * std::cosh(u) * most / 20.0});
  }
  std::vector<wire::Vec3> points;
  std::vector<double> weights;
  std::vector<int> axes;
  const auto face = [&](int axis, double at, double outward, const std::vector<Node>& u, const std::vector<Node>& v) {
    for (const Node& a : u) {
      for (const Node& b : v) {
        points.push_back(axis == 0   ? wire::Vec3{at, a.at, b.at}
                         : axis == 1 ? wire::Vec3{b.at, at, a.at}
                                     : wire::Vec3{a.at, b.at, at});
        weights.push_back(outward * a.weight * b.weight);
        axes.push_back(axis);
      }
    }
  };
  const std::vector<Node> x = gauss(x0, x1), y = gauss(-y1, y1), z = gauss(z0, z1);
  face(0, x0, -1.0, y, z);
  face(0, x1, 1.0, y, z);
  face(1, -y1, -1.0, z, x);
  face(1, y1, 1.0, z, x);
  face(2, z0, -1.0, along, across);
  face(2, z1, 1.0, x, y);
  const std::vector<wire::NearField> fields = wire::near_field(one.solution, points, 5.0);
  double out_w = 0.0;
  for (std::size_t n = 0; n < fields.size(); ++n) {
    const wire::NearField& f = fields[n];
    const cdouble s = axes[n] == 0   ? f.ey_v_m * std::conj(f.hz_a_m) - f.ez_v_m * std::conj(f.hy_a_m)
                      : axes[n] == 1 ? f.ez_v_m * std::conj(f.hx_a_m) - f.ex_v_m * std::conj(f.hz_a_m)
                                     : f.ex_v_m * std::conj(f.hy_a_m) - f.ey_v_m * std::conj(f.hx_a_m);
    out_w += weights[n] * s.real();
  }
  const wire::AntennaShares& share = one.solution.share;
  const double expected_w = 5.0 * (share.radiated + share.ground);
  INFO(out_w << " of " << expected_w);
  CHECK(relative(out_w, expected_w) <= 0.01);
}

TEST_CASE("near the whip the level is met where the currents say, ten times farther than the far-field formula") {
  // 10 W at 7.1 MHz into 2.4 m of whip and 20 ohm, 0.707 A: the general level of 47 CFR 1.1310 is met 0.71 m from the
  // whip, the far-field formula with the losses in its gain says 0.07 m (worked example of the collection). Somebody
  // who uses that formula fails here.
  const double frequency_hz = 7.1e6;
  const ExposureCase one = worked_station(2.4, std::sqrt(10.0 / 20.0), frequency_hz);
  ExposureOptions options;
  options.levels = levels_of(published_levels(), std::vector<std::string>{"47 CFR 1.1310"});
  // At the height of the base and a little above it, as the example has it.
  const double level_v_m = *levels_at(options.levels, frequency_hz)[1].e_v_m;
  CHECK(levels_at(options.levels, frequency_hz)[1].group == "general public");
  const std::vector<double> distances{0.3, 0.5, 0.6, 0.65, 0.7, 0.75, 0.8, 1.0};
  double met_m = 0.0;
  double before = 0.0, at = 0.0;
  for (const FieldAlong& f : field_along(one, 0.0, 1.4, distances, options)) {
    if (f.e_v_m <= level_v_m && met_m == 0.0) {
      met_m = at + (f.distance_m - at) * (before - level_v_m) / (before - f.e_v_m);
    }
    before = f.e_v_m;
    at = f.distance_m;
  }
  CHECK(met_m == Approx(0.71).margin(0.02));
  const double gain = 1.5 * std::pow(10.0, -1.195);  // 11.95 dB down, a short dipole's directivity
  const FarDistance far = far_field_distance(frequency_hz, 10.0, gain, 1800.0 / (7.1 * 7.1), 2.56);
  CHECK(far.distance_m < 0.1);
  CHECK(met_m > 7.0 * far.distance_m);
  CHECK(!far.applies);
}

TEST_CASE("no field within half a wavelength is that of the far-field formula") {
  const ExposureCase one = solved(carried_case(WhipCondition::trailing_usual, false), 7.1e6, 5.0);
  const double half_wave_m = 0.5 * speed_of_light_m_s / 7.1e6;
  const double far_v = std::sqrt(30.0 * 5.0 * 3.0 * one.solution.share.radiated);  // E times R of a short whip
  for (const FieldAt& f : fields_at_people(one, {})) {
    INFO(f.where);
    CHECK(std::hypot(f.point_m.x_m, f.point_m.y_m) < half_wave_m);
    const double r = std::max(0.2, std::hypot(f.point_m.x_m, f.point_m.y_m));
    // The near field does not stand at 377 ohm, as the formula's would everywhere.
    CHECK(std::abs(f.e_v_m / f.h_a_m / eta0_ohm - 1.0) > 0.02);
    CHECK(std::abs(f.e_v_m / (far_v / r) - 1.0) > 0.02);
  }
}

TEST_CASE("two printed distances of the far-field formula, and rows by formula") {
  const Table table = reference("distance_vectors.csv");
  int printed = 0;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const double f = 1e6 * table.number(row, "f_MHz");
    const std::string group = table.text(row, "population") == "occ" ? "occupational" : "general public";
    double s = 0.0;
    for (const LevelAt& l : levels_at(published_levels(), f)) {
      if (l.standard == "47 CFR 1.1310" && l.group == group) s = *l.s_w_m2;
    }
    const FarDistance d =
        far_field_distance(f, table.number(row, "avg_power_W"), std::pow(10.0, 0.1 * table.number(row, "gain_dBi")), s,
                           table.number(row, "power_reflection_factor"));
    INFO("row " << row);
    CHECK(relative(d.distance_m, table.number(row, "distance_m")) <= 5e-5);
    CHECK(d.applies == (d.distance_m >= 0.5 * speed_of_light_m_s / f));
    if (table.text(row, "printed").empty()) continue;
    ++printed;
    const double feet = std::stod(table.text(row, "printed"));
    CHECK(std::abs(d.distance_m / 0.3048 - feet) <= 0.05);
    CHECK(!d.applies);  // both lie within half a wavelength: for comparison with print only
  }
  CHECK(printed == 2);
}

TEST_CASE("printed thresholds, near-field radii and a multiplier of distance follow from levels and formula") {
  // 47 CFR 1.1307(b)(3): threshold ERP of a half-wave dipole over a plane in phase, S of the public met at R.
  const Table exempt = reference("fcc_exemption.csv");
  for (std::size_t row = 0; row < exempt.rows.size(); ++row) {
    const double f_mhz = std::sqrt(exempt.number(row, "f_lo_MHz") * exempt.number(row, "f_hi_MHz"));
    double s_w_m2 = 0.0;
    for (const LevelAt& l : levels_at(published_levels(), 1e6 * f_mhz)) {
      if (l.standard == "47 CFR 1.1310" && l.group == "general public") s_w_m2 = *l.s_w_m2;
    }
    const double per_r2 =
        exempt.text(row, "threshold_ERP_W").find("/f^2") != std::string::npos ? 1.0 / (f_mhz * f_mhz) : 1.0;
    INFO("row " << row);
    constexpr double r_m = 3.0;
    const auto met_m = [&](const char* column) {
      return far_field_distance(1e6 * f_mhz, exempt.number(row, column) * per_r2 * r_m * r_m, 1.64, s_w_m2, 4.0)
          .distance_m;
    };
    CHECK(relative(met_m("recomputed_constant_D"), r_m) <= 1e-6);
    CHECK(relative(met_m("printed_constant"), r_m) <= 2e-3);  // printed with three digits
  }
  const Table radius = reference("near_field_radius.csv");
  for (std::size_t row = 0; row < radius.rows.size(); ++row) {
    const double f = 1e6 * radius.number(row, "f_MHz");
    CHECK(relative(speed_of_light_m_s / f, radius.number(row, "lambda_m")) <= 5e-6);
    CHECK(relative(speed_of_light_m_s / (two_pi * f), radius.number(row, "lambda_over_2pi_m")) <= 5e-6);
  }
  const Table multiplier = reference("duty_distance_multiplier.csv");
  REQUIRE(multiplier.rows.size() == 1);
  const double full = far_field_distance(7e6, 100.0, 1.0, 2.0).distance_m,
               half = far_field_distance(7e6, 50.0, 1.0, 2.0).distance_m;
  CHECK(relative(half / full, multiplier.number(0, "recomputed")) <= 1e-4);
  CHECK(std::abs(half / full - multiplier.number(0, "printed")) <= 5e-3);  // two digits
}

TEST_CASE("a long wire in any direction is followed to its end") {
  ExposureOptions options;
  options.levels = levels_of(published_levels(), std::vector<std::string>{"ICNIRP 2020"});
  const auto farthest_m = [&](double turned_rad) {
    wire::WireCase wires = carried_case(WhipCondition::trailing_usual, false);
    wires.antenna.wires[1].points.back().x_m = 15.0;
    for (wire::Wire& w : wires.antenna.wires) {
      for (wire::Vec3& p : w.points) {
        p = {p.x_m * std::cos(turned_rad) - p.y_m * std::sin(turned_rad),
             p.x_m * std::sin(turned_rad) + p.y_m * std::cos(turned_rad), p.z_m};
      }
    }
    const ExposureCase one = solved(wires, 7.1e6, 5.0);
    for (const LevelReach& r : level_reaches(one, options)) {
      if (!r.wire_end && r.level.scope == "not averaged" && r.level.group == "general public")
        return r.farthest.distance_m;
    }
    return 0.0;
  };
  const double along_axis_m = farthest_m(0.0);
  // The wire is above the level to its end, 15 m out, and no farther than a hand's breadth beyond it.
  CHECK(along_axis_m >= 15.0);
  CHECK(along_axis_m <= 15.1);
  // Beside one of the 16, and between two.
  for (const double degrees : {0.5, 1.1, 1.2, 11.25}) {
    INFO(degrees);
    CHECK(relative(farthest_m(degrees * pi / 180.0), along_axis_m) <= 0.001);
  }
}

TEST_CASE("a level is met from its distance on, in every direction") {
  const ExposureCase one = solved(carried_case(WhipCondition::trailing_usual, false), 7.1e6, 5.0);
  ExposureOptions options;
  options.levels = levels_of(published_levels(), std::vector<std::string>{"ICNIRP 2020"});
  int checked = 0;
  bool end = false, along_wire = false;
  for (const LevelReach& r : level_reaches(one, options)) {
    end = end || r.wire_end;
    if (r.wire_end || r.level.scope != "not averaged" || r.level.group != "general public") continue;
    CHECK(r.directions.size() == 16);
    for (const Reach& d : r.directions) {
      INFO(d.azimuth_deg << " degrees, " << d.distance_m);
      REQUIRE(d.distance_m > 0.05);
      if (d.azimuth_deg == 0.0) {  // over the wire: it goes on to its end, 6.4 m from the feed
        along_wire = d.distance_m > 6.0;
        continue;
      }
      const double azimuth = d.azimuth_deg * pi / 180.0;
      double inside = 0.0, outside = 0.0;
      for (int n = 0; n < 20; ++n) {
        const double z = (n + 0.5) * 0.0875;
        const std::vector<double> at{0.97 * d.distance_m, 1.03 * d.distance_m};
        const auto f = field_along(one, azimuth, z, at, options);
        inside = std::max(inside, f[0].e_v_m);
        outside = std::max(outside, f[1].e_v_m);
      }
      CHECK(inside > 83.0);
      CHECK(outside < 83.0);
      ++checked;
    }
  }
  CHECK(checked == 15);
  CHECK(end);
  CHECK(along_wire);
}

TEST_CASE("fields go with the root of power, nothing without power") {
  const ExposureCase one = solved(carried_case(WhipCondition::trailing_usual, false), 7.1e6, 5.0);
  const std::vector<FieldAt> five = fields_at_people(one, {});
  ExposureCase more = one;
  more.power_w = 20.0;
  const std::vector<FieldAt> twenty = fields_at_people(more, {}), scaled = at_power(five, 5.0, 20.0);
  for (std::size_t n = 0; n < five.size(); ++n) {
    CHECK(relative(twenty[n].e_v_m, 2.0 * five[n].e_v_m) <= 1e-12);
    CHECK(relative(scaled[n].h_a_m, twenty[n].h_a_m) <= 1e-12);
  }
  more.power_w = 0.0;
  CHECK_THROWS_AS(fields_at_people(more, {}), DomainError);
  CHECK_THROWS_AS(at_power(five, 0.0, 1.0), DomainError);
}

TEST_CASE("what stands beside every ratio") {
  std::string all;
  for (const std::string& words : exposure_caveats()) all += words + "\n";
  for (const char* words :
       {"not a basic restriction exceeded", "Local codes and licensed practice decide", "physician"})
    CHECK(all.find(words) != std::string::npos);
  CHECK(all.find("safe") == std::string::npos);
}

#include <algorithm>
#include <cmath>

#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/design/walks.hpp>
#include <stile/plan/plan.hpp>
#include <stile/station/solve_loads.hpp>
#include <stile/wire/lying_ground.hpp>

using namespace stile;
using namespace stile::design;

namespace {

/// A 3 m whip with 5 m of wire, set and person, on 40 m and 20 m; invented.
std::string text(const std::string& second_wire = "") {
  return R"(
[station]
name = "walker"
[transmitter]
power = "5 W"
[[band]]
name = "40 m"
low = "7.0 MHz"
high = "7.2 MHz"
use = ["7.08 MHz", "7.12 MHz"]
[[band]]
name = "20 m"
low = "14.0 MHz"
high = "14.35 MHz"
[path]
distance = "180 km"
[[antenna]]
name = "whip"
[antenna.wires]
wire = [
  { name = "whip", points = [[0, 0, 1.2], [0, 0, 4.2]], radius = "1.5 mm", metal = "stainless steel" },
  { name = "counterpoise", length = "5 m", drop = "1.2 m", lying_height = "100 mm", radius = "0.5 mm", metal = "copper" },)" +
         second_wire + R"(
]
ground = { relative_permittivity = 15, conductivity = "1 mS/m" }
feed = { gap = "20 mm", base_capacitance = "5 pF", base_leakage = "1 Mohm" }
set = {}
person = {}
condition = [ { name = "on heather" }, { name = "lifted", kind = "lifted" }, { name = "hand", kind = "hand on set", contact = { resistance = "300 ohm" } } ]
[[condition]]
name = "on heather"
share = 3
[[condition]]
name = "lifted"
share = 1
[[condition]]
name = "hand"
role = "accident"
[parts]
inductor_q = 200
capacitor_q = 1000
[[arrangement]]
name = "coil"
kind = "base coil"
settings = [
  { band = "40 m", elements = [{ place = "series", kind = "inductor", value = "23 uH", q = 200 }] },
  { band = "20 m", elements = [{ place = "series", kind = "inductor", value = "1 uH", q = 200 }] } ]
[[arrangement]]
name = "none"
kind = "straight"
)";
}

station::Station walker(const std::string& second_wire = "") {
  return station::read_station(text(second_wire), "walker.toml", ".");
}

/// A world as it is stated.
WalkSpread as_stated() {
  WalkSpread s;
  s.lying_height_m = {0.1, 0.1};
  s.lean_rad = s.bearing_rad = s.bend_rad = 0.0;
  s.soil = {1.0};
  s.bias = false;
  s.contact = s.base_capacitance = s.person_conductivity = {1.0, 1.0};
  s.leakage_ohm = {1e6, 1e6};
  return s;
}

const station::StatedWires& wires_of(const station::Station& s, std::size_t condition) {
  return *s.antennas.front().loads[condition].wires;
}

}  // namespace

TEST_CASE("a walk's draws depend on seed, walk and condition alone, and stay in their ranges") {
  const WalkSpread spread;
  double least = 1.0, most = 0.0;
  std::size_t dry = 0;
  for (std::size_t w = 0; w < 500; ++w) {
    const WorldDraw a = draw_world(spread, 7, w, 0), again = draw_world(spread, 7, w, 0),
                    b = draw_world(spread, 7, w, 1);
    CHECK(a.lying_height_m == again.lying_height_m);
    CHECK(a.lying_height_m != b.lying_height_m);
    CHECK(a.soil_factor == b.soil_factor);  // all along a walk
    CHECK(a.bias == b.bias);
    CHECK(a.contact == b.contact);
    CHECK(a.lying_height_m >= 0.005);
    CHECK(a.lying_height_m <= 0.3);
    CHECK(std::abs(a.bearing_rad) <= 0.8);
    CHECK(std::abs(a.bend_rad) <= 1.0);
    CHECK(a.lean_rad <= 0.26);
    least = std::min(least, a.lying_height_m);
    most = std::max(most, a.lying_height_m);
    dry += a.soil_factor == 0.25;
  }
  CHECK(least < 0.006);
  CHECK(most > 0.27);
  CHECK(dry > 70);  // of 500, a fifth
  CHECK(dry < 130);
  CHECK(draw_world(spread, 7, 0, 0).bias != draw_world(spread, 8, 0, 0).bias);
  WalkSpread bad;
  bad.soil.clear();
  CHECK_THROWS_AS(draw_world(bad, 1, 0, 0), DomainError);
  bad = {};
  bad.lying_height_m = {0.3, 0.1};
  CHECK_THROWS_WITH(draw_world(bad, 1, 0, 0),
                    Catch::Contains("lying_height_m is 0.3 to 0.1 and must be > 0 and rising"));
  bad = {};
  bad.lean_rad = 2.0;
  CHECK_THROWS_WITH(draw_world(bad, 1, 0, 0), Catch::Contains("lean_rad is 2 and must be 0 to 0.7"));
}

TEST_CASE("every figure that a walk draws fills the range of its table, evenly or by ratio") {
  // The ranges of the header, with the middle of an even draw or of one by ratio (by hand: sqrt(1/3 x 3) = 1, sqrt(1e5
  // x 1e7) = 1e6, sqrt(0.5 x 2) = 1, sqrt(0.7 x 1.3) = 0.9539, sqrt(5 mm x 300 mm) = 38.7 mm).
  struct Row {
    const char* name;
    double WorldDraw::*figure;
    double low, middle, high;
  };
  const std::vector<Row> rows{{"contact", &WorldDraw::contact, 1.0 / 3.0, 1.0, 3.0},
                              {"leakage", &WorldDraw::leakage_ohm, 1e5, 1e6, 1e7},
                              {"base", &WorldDraw::base_capacitance, 0.5, 1.0, 2.0},
                              {"person", &WorldDraw::person, 0.7, 0.9539, 1.3},
                              {"bias", &WorldDraw::bias, 0.0, 0.5, 1.0},
                              {"height", &WorldDraw::lying_height_m, 0.005, 0.03873, 0.3},
                              {"lean", &WorldDraw::lean_rad, 0.0, 0.13, 0.26},
                              {"towards", &WorldDraw::lean_towards_rad, 0.0, 3.14159265, 6.2831853},
                              {"bearing", &WorldDraw::bearing_rad, -0.8, 0.0, 0.8},
                              {"bend", &WorldDraw::bend_rad, -1.0, 0.0, 1.0},
                              {"bend at", &WorldDraw::bend_at, 0.25, 0.575, 0.9}};
  for (const Row& row : rows) {
    INFO(row.name);
    std::vector<double> all;
    for (std::size_t w = 0; w < 1001; ++w) all.push_back(draw_world({}, 5, w, 0).*row.figure);
    std::sort(all.begin(), all.end());
    const double width = row.high - row.low;
    CHECK(all.front() >= row.low);
    CHECK(all.back() <= row.high);
    CHECK(all.front() <= row.low + 0.01 * width);
    CHECK(all.back() >= row.high - 0.02 * width);
    // Half of 1001 draws lie below the middle: 5 standard deviations of their share are 8 %.
    const auto below = std::lower_bound(all.begin(), all.end(), row.middle) - all.begin();
    CHECK(std::abs(static_cast<double>(below) / 1001.0 - 0.5) <= 0.08);
  }
  // The soils are the five of the table, a fifth each.
  std::vector<double> soils;
  for (std::size_t w = 0; w < 200; ++w) soils.push_back(draw_world({}, 5, w, 0).soil_factor);
  for (const double soil : {0.25, 0.5, 1.0, 2.0, 4.0}) CHECK(std::count(soils.begin(), soils.end(), soil) > 15);
}

TEST_CASE("a world has the soil, base, person and hand of its draw") {
  // 15 and 1 mS/m: four times the conductivity with a permittivity of 1 + 14 x 2 = 29, a quarter with 1 + 14/2 = 8;
  // never above 80, unless it is stated so.
  const station::Station s = walker();
  const station::StatedWires& stated = wires_of(s, 2);  // a hand on the set
  WorldDraw draw;
  draw.base_capacitance = 1.5, draw.leakage_ohm = 3e5, draw.person = 0.8, draw.contact = 2.5;
  for (const auto& [factor, permittivity] : {std::pair{4.0, 29.0}, {0.25, 8.0}, {100.0, 80.0}}) {
    draw.soil_factor = factor;
    const station::StatedWires there = in_world(stated, draw);
    CHECK(there.ground.conductivity_s_m == Approx(1e-3 * factor));
    CHECK(there.ground.relative_permittivity == Approx(permittivity));
    CHECK(there.antenna.feed.base_capacitance_f == Approx(7.5e-12));
    CHECK(there.antenna.feed.base_leakage_ohm == 3e5);
    std::size_t hands = 0, others = 0;
    for (std::size_t n = 0; n < there.antenna.wires.size(); ++n) {
      const wire::Wire &before = stated.antenna.wires[n], &after = there.antenna.wires[n];
      if (!before.person || !before.conductivity_s_m) continue;
      const bool hand = before.name == "person's right arm";
      INFO(before.name);
      CHECK(*after.conductivity_s_m == Approx(*before.conductivity_s_m * (hand ? 2.5 : 0.8)));
      ++(hand ? hands : others);
    }
    CHECK(hands == 1);
    CHECK(others > 1);
  }
}

TEST_CASE("wires keep their lengths in every world, lie as high as drawn, and leave set and person where they are") {
  const station::Station s =
      walker(R"({ name = "short", length = "3 m", lying_height = "100 mm", radius = "0.5 mm", metal = "copper" },)");
  std::size_t bent = 0, turned = 0;
  for (std::size_t w = 0; w < 100; ++w) {
    for (const std::size_t n : {0U, 1U, 2U}) {
      const station::StatedWires& stated = wires_of(s, n);
      const WorldDraw draw = draw_world({}, 1, w, n);
      const station::StatedWires there = in_world(stated, draw);
      wire::check_antenna(there.antenna, there.ground);
      REQUIRE(there.antenna.wires.size() == stated.antenna.wires.size());
      for (std::size_t k = 0; k < stated.antenna.wires.size(); ++k) {
        const wire::Wire &before = stated.antenna.wires[k], &after = there.antenna.wires[k];
        INFO(before.name);
        CHECK(std::abs(wire::wire_length_m(before) - wire::wire_length_m(after)) <= 1e-9);
        const bool moves = before.name == "whip" || before.name == "counterpoise" || before.name == "short";
        if (!moves) {
          REQUIRE(after.points.size() == before.points.size());
          for (std::size_t i = 0; i < before.points.size(); ++i) {
            CHECK(after.points[i].x_m == before.points[i].x_m);
            CHECK(after.points[i].y_m == before.points[i].y_m);
            CHECK(after.points[i].z_m == before.points[i].z_m);
          }
        }
        if (before.name == "counterpoise") {
          bent += after.points.size() > before.points.size();
          turned += std::abs(std::atan2(after.points[1].y_m, after.points[1].x_m)) > 0.05;
          CHECK(after.points.back().z_m == (n == 1 ? Approx(1.2) : Approx(draw.lying_height_m)));
        }
      }
      CHECK(there.ground.conductivity_s_m == Approx(stated.ground.conductivity_s_m * draw.soil_factor));
      CHECK(there.antenna.feed.base_leakage_ohm == draw.leakage_ohm);
    }
  }
  CHECK(bent > 250);  // of 300: few worlds have no room for a bend
  CHECK(turned > 250);
}

TEST_CASE("a hat leans with its whip in every world") {
  const station::Station s = walker(
      R"({ name = "hat 1", points = [[0, 0, 4.2], [0.3, 0, 4.2]], radius = "1 mm", metal = "copper" },
         { name = "hat 2", points = [[0, 0, 4.2], [-0.3, 0, 4.2]], radius = "1 mm", metal = "copper" },)");
  std::size_t leaning = 0;
  for (std::size_t w = 0; w < 20; ++w) {
    for (const std::size_t n : {0U, 1U, 2U}) {
      const std::vector<wire::Wire> wires = in_world(wires_of(s, n), draw_world({}, 1, w, n)).antenna.wires;
      const wire::Vec3 base = wires[0].points.front(), top = wires[0].points.back();
      leaning += top.z_m < 4.19;
      std::size_t spokes = 0;
      double sum_x_m = 0.0, sum_y_m = 0.0, sum_z_m = 0.0;
      for (const wire::Wire& spoke : wires) {
        if (spoke.name.rfind("hat ", 0) != 0) continue;
        ++spokes;
        CHECK(spoke.points.size() == 2);
        CHECK(wire::wire_length_m(spoke) == Approx(0.3).epsilon(1e-9));
        const wire::Vec3 from = spoke.points.front(), to = spoke.points.back();
        CHECK(std::abs(from.x_m - top.x_m) + std::abs(from.y_m - top.y_m) + std::abs(from.z_m - top.z_m) < 1e-9);
        const double across = (to.x_m - from.x_m) * (top.x_m - base.x_m) + (to.y_m - from.y_m) * (top.y_m - base.y_m) +
                              (to.z_m - from.z_m) * (top.z_m - base.z_m);
        CHECK(std::abs(across) < 1e-9);
        sum_x_m += to.x_m - from.x_m;
        sum_y_m += to.y_m - from.y_m;
        sum_z_m += to.z_m - from.z_m;
      }
      CHECK(spokes == 2);
      CHECK(std::abs(sum_x_m) + std::abs(sum_y_m) + std::abs(sum_z_m) < 1e-9);  // they point away from each other
    }
  }
  CHECK(leaning > 20);
}

TEST_CASE("a walk in the world as stated has the figures of the plan") {
  const station::Station s = walker();
  const Walks walks = walk(s, as_stated(), 2, 1, 1);
  REQUIRE(walks.arrangements.size() == 2);
  const plan::Plan plan = plan::make_plan(station::solve_loads(s));
  for (std::size_t n = 0; n < 2; ++n) {
    CHECK(walks.arrangements[n].mean_db[0] == walks.arrangements[n].mean_db[1]);
    for (std::size_t b = 0; b < 2; ++b) {
      const plan::ArrangementResult& a = plan.bands[b].arrangements[n];
      const WalkBand& band = walks.arrangements[n].bands[b];
      INFO(a.name << ", " << band.band);
      CHECK(std::abs(band.radiated_db->median - *a.radiated_db) <= 0.01);  // few frequencies solved
      CHECK(std::abs(band.path_db->median - *a.path_db) <= 0.01);
      CHECK(band.radiated_db->tenth == band.radiated_db->median);
      double held = 0.0;
      for (const plan::ConditionResult& c : a.conditions) {
        if (c.role == station::Role::normal && c.worst_swr <= 2.0) held += c.condition == "lifted" ? 0.25 : 0.75;
      }
      CHECK(band.held_share.median == Approx(held));
    }
  }
  // The mean over bands goes by their weights, 3 to 1.
  const Walks weighed = walk(s, as_stated(), 1, 1, 1, {}, {}, {3.0, 1.0});
  for (std::size_t n = 0; n < 2; ++n) {
    const std::vector<WalkBand>& bands = walks.arrangements[n].bands;
    CHECK(weighed.arrangements[n].mean_db[0] ==
          Approx(0.75 * bands[0].path_db->median + 0.25 * bands[1].path_db->median).epsilon(1e-9));
    CHECK(walks.arrangements[n].mean_db[0] ==
          Approx(0.5 * bands[0].path_db->median + 0.5 * bands[1].path_db->median).epsilon(1e-9));
  }
}

TEST_CASE("walks are the same for any number of threads, and from stated or solved wires") {
  const station::Station s = walker();
  const Walks one = walk(s, {}, 6, 3, 1), two = walk(station::solve_loads(s), {}, 6, 3, 2);
  REQUIRE(one.done == 6);
  CHECK_FALSE(one.unfinished);
  for (std::size_t n = 0; n < 2; ++n) {
    CHECK(one.arrangements[n].mean_db == two.arrangements[n].mean_db);
    CHECK(one.arrangements[n].mean.tenth >= one.arrangements[n].mean.median);
    CHECK(one.arrangements[n].bands[0].path_db->tenth == two.arrangements[n].bands[0].path_db->tenth);
  }
  CHECK(one.arrangements[0].mean_db[0] != one.arrangements[0].mean_db[1]);
  CHECK(walk(s, {}, 6, 4, 1).arrangements[0].mean_db != one.arrangements[0].mean_db);
  // The middle of six walks is half-way between the third and the fourth, and nine of ten are all of them.
  for (const ArrangementWalks& a : one.arrangements) {
    std::vector<double> sorted = a.mean_db;
    std::sort(sorted.begin(), sorted.end());
    CHECK(a.mean.median == Approx(0.5 * (sorted[2] + sorted[3])).epsilon(1e-12));
    CHECK(a.mean.tenth == sorted[5]);
  }
  CHECK(
      one.assumptions ==
      std::vector<std::string>{
          "wires that lie do so 5 to 300 mm high, drawn anew for each condition (assumed)",
          "the whip leans up to 15 degrees any way; wires run up to 46 degrees off their bearing and bend once by up "
          "to 57 degrees (invented)",
          "soil from a table of 5: 0.25 to 4 times the stated conductivity, permittivity with it (invented)",
          "ground resistance off by 0.71 to 1.40, up to 5 where short wires lie (measured once: 2 to 5), the same all "
          "along a walk",
          "a hand and its arm conduct 0.33 to 3.00 times as stated; a wet base leaks 0.1 to 10 Mohm (assumed)"});
}

TEST_CASE("walks can be watched and stopped") {
  const station::Station s = walker();
  std::size_t told = 0, asked = 0;
  const Walks some = walk(
      s, {}, 5, 1, 1, [&](std::size_t done, std::size_t total) { told = total == 5 ? done : 0; },
      [&] { return ++asked > 2; });
  CHECK(some.unfinished);
  CHECK(some.done == 2);
  CHECK(told == 2);
  CHECK(some.arrangements[0].mean_db.size() == 2);
  const Walks none = walk(s, {}, 5, 1, 1, {}, [] { return true; });
  CHECK(none.unfinished);
  CHECK(none.arrangements.empty());
}

TEST_CASE("what would be searched anew on every walk is refused") {
  station::Station s = walker();
  s.arrangements[0].settings.clear();
  CHECK_THROWS_WITH(walk(s, {}, 2), Catch::Contains("\"coil\" has no stated settings"));
  CHECK_THROWS_WITH(walk(walker(), {}, 0), Catch::Contains("at least one walk"));
}

TEST_CASE("a rank that flips on the walks is undecided and names the steadier") {
  const auto made = [](const std::string& name, const std::vector<double>& db) {
    ArrangementWalks a;
    a.name = name;
    a.mean_db = db;
    std::vector<double> sorted = db;
    std::sort(sorted.begin(), sorted.end());
    a.mean = {sorted[db.size() / 2], sorted[(9 * db.size() + 9) / 10 - 1]};
    return a;
  };
  std::vector<double> steady(20, 10.0), risky(20, 9.0), worse(20, 11.0);
  for (std::size_t n = 0; n < 3; ++n) risky[n] = 20.0;
  const WalkRank flips = rank_on_walks(made("risky", risky), made("steady", steady));
  CHECK(flips.first_better == Approx(0.85));
  CHECK(flips.undecided);
  CHECK_FALSE(flips.first_steadier);
  CHECK(flips.verdict ==
        "undecided: \"risky\" is better on 85 % of the walks, \"steady\" on the others; the steadier one is "
        "\"steady\"");
  risky[2] = 9.0;  // two of twenty: one in ten is not more than one in ten
  CHECK_FALSE(rank_on_walks(made("risky", risky), made("steady", steady)).undecided);
  const WalkRank clear = rank_on_walks(made("steady", steady), made("worse", worse));
  CHECK(clear.verdict == "\"steady\" is better than \"worse\" on 100 % of the walks");
  CHECK(rank_on_walks(made("a", steady), made("b", steady)).first_better == Approx(0.5));
  CHECK_THROWS_AS(rank_on_walks(made("a", steady), made("b", {1.0})), DomainError);
}

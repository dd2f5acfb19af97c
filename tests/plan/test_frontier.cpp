// What no other choice beats.

#include <random>
#include <vector>

#include <catch2/catch.hpp>

#include <plan/stations.hpp>
#include <stile/base/errors.hpp>
#include <stile/plan/frontier.hpp>

using namespace stile;
using namespace stile::plan;

TEST_CASE("a frontier has what no other beats, and everything else is beaten by one on it") {
  const std::vector<CostAndGain> known{{1.0, 1.0}, {2.0, 3.0}, {2.0, 2.0}, {3.0, 3.0}, {0.5, 0.5}, {2.0, 3.0}};
  CHECK(on_frontier(known) == std::vector<bool>{true, true, false, false, true, true});
  std::mt19937 random(5);
  std::vector<CostAndGain> all;
  for (int n = 0; n < 200; ++n) all.push_back({static_cast<double>(random() % 20), static_cast<double>(random() % 20)});
  const std::vector<bool> on = on_frontier(all);
  for (std::size_t n = 0; n < all.size(); ++n) {
    bool beaten = false;
    for (std::size_t m = 0; m < all.size(); ++m) {
      const bool better = all[m].cost <= all[n].cost && all[m].gain >= all[n].gain &&
                          (all[m].cost < all[n].cost || all[m].gain > all[n].gain);
      if (better && on[m]) beaten = true;
    }
    CHECK(on[n] != beaten);
  }
}

TEST_CASE("frontiers of a band are those of its arrangements' masses, hands and powers") {
  station::Station s = test::bare_station({20.0, -300.0});
  station::Arrangement once = test::arrangement("once", station::ArrangementKind::base_coil), trimmed = once;
  once.mass_kg = 0.1;
  trimmed.name = "trimmed", trimmed.trim = station::Trim::tap, trimmed.mass_kg = 0.2;
  station::Arrangement poor = once;
  poor.name = "poor", poor.parts.stock.inductor_loss.q = 20.0, poor.mass_kg = 0.3;
  s.arrangements = {once, trimmed, poor};
  const Plan plan = make_plan(s);
  const std::vector<PartsList> parts = parts_lists(s, plan);
  const std::vector<BandFrontier> all = band_frontiers(s, plan, parts);
  REQUIRE(all.size() == 1);
  CHECK_FALSE(all.front().radiated);
  REQUIRE(all.front().points.size() == 3);
  for (const FrontierPoint& p : all.front().points) {
    CHECK(p.mass_kg == parts[p.arrangement].mass_kg);
    CHECK(p.hands == (p.arrangement == 1 ? 1 : 0));
    CHECK(power_below(5.0, db_below(5.0, p.power_w)) == Approx(p.power_w).epsilon(1e-12));
    CHECK(db_below(5.0, p.power_w) == Approx(plan.bands[0].arrangements[p.arrangement].counted_db).epsilon(1e-9));
  }
  CHECK(all.front().points[0].by_mass);
  CHECK(all.front().points[0].by_hands);
  CHECK_FALSE(all.front().points[2].by_mass);
  CHECK_FALSE(all.front().points[2].by_hands);
  CHECK_THROWS_AS(band_frontiers(s, plan, {}), DomainError);
}

TEST_CASE("what needs fewer hands is not beaten by what weighs less, and what never holds is no point") {
  // Worked by hand: the heavy coil of the best Q needs no hand and gives the most; the light one of a poor Q is on the
  // frontier of masses alone, and the trimmed one, heavier than it and of less power than the heavy one, on that of
  // masses too. Nothing comes through without a match.
  station::Station s = test::bare_station({20.0, -300.0});
  station::Arrangement heavy = test::arrangement("heavy", station::ArrangementKind::base_coil), light = heavy,
                       trimmed = heavy;
  heavy.mass_kg = 0.9;
  light.name = "light", light.mass_kg = 0.1, light.parts.stock.inductor_loss.q = 20.0;
  trimmed.name = "trimmed", trimmed.mass_kg = 0.5, trimmed.parts.stock.inductor_loss.q = 100.0;
  trimmed.trim = station::Trim::tap;
  s.arrangements = {heavy, light, trimmed};
  Plan plan = make_plan(s);
  plan.bands[0].arrangements[1].worst_swr = network::infinite;
  const std::vector<PartsList> parts = parts_lists(s, plan);
  REQUIRE(band_frontiers(s, plan, parts).front().points.size() == 2);
  plan = make_plan(s);
  const std::vector<FrontierPoint> points = band_frontiers(s, plan, parts).front().points;
  REQUIRE(points.size() == 3);
  const std::vector<bool> by_mass{true, true, true}, by_hands{true, false, false};
  for (std::size_t n = 0; n < 3; ++n) {
    INFO(s.arrangements[n].name);
    CHECK(points[n].by_mass == by_mass[n]);
    CHECK(points[n].by_hands == by_hands[n]);
  }
}

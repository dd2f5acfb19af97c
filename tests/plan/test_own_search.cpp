// What a tuner's own search reaches in place of the best state, and what the transmitter offers it. Stations are
// invented.

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <random>

#include <plan/stations.hpp>
#include <stile/plan/own_search.hpp>

using namespace stile;
using namespace stile::plan;
using namespace stile::plan::test;
using station::ArrangementKind;

namespace {

station::Station tuned(cdouble z_ohm) {
  station::Station s = bare_station(z_ohm);
  s.transmitter.swr_limit = 1.5;
  s.transmitter.foldback = {{2.0, 5.0}, {3.0, 2.5}, {10.0, 0.5}};
  s.arrangements = {arrangement("straight", ArrangementKind::straight), with_tuner("tuner")};
  return s;
}

}  // namespace

TEST_CASE("what a tuner's own search loses is that of the state in which it ends") {
  std::mt19937 random(5);
  const auto uniform = [&](double low, double high) {
    return low + (high - low) * (static_cast<double>(random() & 0xffffffU) / 16777216.0);
  };
  int missed = 0;
  for (int n = 0; n < 60; ++n) {
    const cdouble z{uniform(2.0, 200.0), uniform(-400.0, 100.0)};
    station::Station s = tuned(z);
    s.arrangements[1].cable_before = line("lead", "RG-174", 1.0);
    const Plan plan = plan_as_stated(s);
    const std::vector<OwnSearch> all = own_searches(s, plan, 1);
    REQUIRE(all.size() == 1);  // of the tuner alone
    const OwnSearch& own = all.front();
    CHECK(own.arrangement == 1);
    INFO(z);
    // By hand: the cable, the tuner's parts as it left them, fold-back at the SWR that follows.
    network::Ladder ladder;
    ladder.elements.push_back({"lead", network::Place::cascade, line("lead", "RG-174", 1.0).line, {}});
    for (const network::Element& e : tuner::tuner_elements(s.arrangements[1].tuner, own.walk.state))
      ladder.elements.push_back(e);
    network::Evaluation e = network::evaluate(ladder, s.transmitter.source, 7.1e6, z);
    CHECK(own.swr == Approx(e.swr).epsilon(1e-9));
    const double delivered_w =
        e.power.delivered_w * station::power_at_swr(s.transmitter, e.swr) / s.transmitter.source.power_w;
    CHECK(std::abs(own.loss_db - 10.0 * std::log10(5.0 / delivered_w)) <= 1e-9);
    const ConditionResult& best = plan.bands[0].arrangements[1].conditions[0];
    CHECK(std::abs(own.lost_db - (own.loss_db - best.loss_db)) <= 1e-9);
    if (best.swr <= 1.5 && own.walk.swr > 1.5) ++missed;
  }
  CHECK(missed > 0);  // some of these loads have a false minimum
}

TEST_CASE("a tuner tunes when the fold-back leaves what it needs at the greatest SWR of its search") {
  station::Station s = tuned({20.0, -300.0});
  const Plan plan = plan_as_stated(s);
  OwnSearch own = own_searches(s, plan).front();
  CHECK(own.walk.greatest_swr > 10.0);
  CHECK(own.walk.greatest_swr >= own.walk.swr);
  CHECK(own.offered_w == 0.5);  // the last step of the fold-back
  CHECK_FALSE(own.can_tune);
  const double greatest = own.walk.greatest_swr;
  REQUIRE(greatest < 1e6);
  s.transmitter.foldback.back().swr = 2.0 * greatest - 3.0;  // half-way down from 2.5 W at 3
  CHECK(own_searches(s, plan).front().offered_w == Approx(1.5));
  s.transmitter.foldback.back().swr = 10.0;
  s.arrangements[1].least_tune_power_w = 1.0;
  CHECK(own_searches(s, plan).front().can_tune == false);
  s.arrangements[1].least_tune_power_w = 0.5;
  CHECK(own_searches(s, plan).front().can_tune == true);
  s.arrangements[1].tune_power_w = 0.2;
  own = own_searches(s, plan).front();
  CHECK(own.offered_w == 0.2);
  CHECK(own.can_tune == false);
  s.transmitter.foldback.clear();
  s.arrangements[1].tune_power_w.reset();
  CHECK(own_searches(s, plan).front().offered_w == 5.0);
}

TEST_CASE("a tuner works untouched by itself only where its own search ends within the limit and can tune") {
  // Of these loads some hold with the best state and not with that in which the search ends.
  std::mt19937 random(5);
  const auto uniform = [&](double low, double high) {
    return low + (high - low) * (static_cast<double>(random() & 0xffffffU) / 16777216.0);
  };
  station::Station s = tuned({20.0, -300.0});
  for (int n = 0; n < 30; ++n)
    add_load(s, constant("load " + std::to_string(n), {uniform(2.0, 200.0), uniform(-400.0, 100.0)}));
  for (station::Condition& c : s.conditions) c.share = 1.0 / 31.0;
  const Plan plan = plan_as_stated(s);
  const std::vector<OwnSearch> all = own_searches(s, plan);
  double by_itself = 0.0, at_best = 0.0;
  for (const OwnSearch& own : all) {
    const ConditionResult& c = plan.bands[0].arrangements[1].conditions[own.condition];
    at_best += c.worst_swr <= 1.5 ? 1.0 / 31.0 : 0.0;
    by_itself += c.worst_swr <= 1.5 && own.swr <= 1.5 ? 1.0 / 31.0 : 0.0;
  }
  CHECK(by_itself < at_best - 0.01);
  CHECK(*plan.bands[0].arrangements[1].untouched == Approx(at_best).epsilon(1e-9));
  CHECK(*plan.bands[0].arrangements[1].untouched_by_itself == Approx(by_itself).epsilon(1e-9));
  CHECK(plan.bands[0].arrangements[0].untouched);
  CHECK_FALSE(plan.bands[0].arrangements[0].untouched_by_itself);  // no tuner
  s.arrangements[1].least_tune_power_w = 4.0;                      // more than the fold-back leaves
  CHECK(*plan_as_stated(s).bands[0].arrangements[1].untouched_by_itself < by_itself);
}

TEST_CASE("accidents and what is no tuner have no search of their own") {
  station::Station s = tuned({20.0, -300.0});
  add_load(s, constant("torn off", {5.0, -2000.0}));
  s.conditions[1].role = station::Role::accident;
  CHECK(own_searches(s, plan_as_stated(s)).size() == 1);
  s.arrangements.pop_back();
  CHECK(own_searches(s, plan_as_stated(s)).empty());
}

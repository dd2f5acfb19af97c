#include <cmath>

#include <catch2/catch.hpp>

#include <stile/tuner/greedy.hpp>
#include <tuner/random_tuner.hpp>

#include <stile/base/errors.hpp>

using namespace stile;
using namespace stile::tuner;

namespace {

Tuner seven_and_seven() {
  Tuner t;
  t.contact_ohm = 0.05;
  t.inductors.loss.q = 120;
  t.capacitors.loss.q = 1000;
  for (int n = 0; n < 7; ++n) {
    t.inductors.values_h.push_back(0.1e-6 * (1 << n));
    t.capacitors.values_f.push_back(20e-12 * (1 << n));
  }
  return t;
}

}  // namespace

TEST_CASE("the greedy walk ends in a local minimum and never below the true best") {
  test::RandomTuners random(61);
  for (const TunerForm form : test::forms) {
    for (int repeat = 0; repeat < 30; ++repeat) {
      const Tuner t = random.tuner(form);
      const TunerTable table = tabulate(t, random.frequency_hz());
      const cdouble load = random.load();
      const GreedyResult result = greedy_search(t, table, 50.0, load, 2.0);
      INFO("form " << static_cast<int>(form) << " repeat " << repeat);
      CHECK(result.swr >= result.true_least_swr * (1.0 - 1e-12));
      CHECK(result.measurements > 0);
      CHECK(result.measurements < 40 * state_count(t));
      const std::vector<LocalMinimum> minima = local_minima(t, table, 50.0, load);
      REQUIRE_FALSE(minima.empty());
      CHECK(std::abs(minima.front().swr - result.true_least_swr) <= 1e-12 * result.true_least_swr);
      bool there = false;
      for (const LocalMinimum& m : minima) there = there || m.index == result.state.index;
      CHECK(there);
      CHECK((result.status == TunerStatus::found) == (result.swr <= 2.0));
    }
  }
}

TEST_CASE("the reported state is the one that was measured") {
  const Tuner t = seven_and_seven();
  const TunerTable table = tabulate(t, 7.1e6);
  const GreedyResult result = greedy_search(t, table, 50.0, {20.0, -150.0}, 2.0);
  const network::Evaluation e =
      network::evaluate(network::Ladder{tuner_elements(t, result.state)}, {50.0, 1.0}, 7.1e6, {20.0, -150.0});
  CHECK(std::abs(e.swr - result.swr) <= 1e-9 * e.swr);
  CHECK(std::abs(e.loss.dissipation_db - result.dissipation_db) <= 1e-9);
  // By-pass is read first, and nothing is read that is no state.
  const network::Evaluation first =
      network::evaluate(network::Ladder{tuner_elements(t, tuner_state(t, 0))}, {50.0, 1.0}, 7.1e6, {20.0, -150.0});
  CHECK(result.greatest_swr >= first.swr);
  // Of a tuner of one part and one, whose coarse walk reads all four states, it is the greatest of all.
  Tuner small = t;
  small.capacitor_at_transmitter = false;
  small.inductors.values_h = {3.2e-6};
  small.capacitors.values_f = {320e-12};
  double most = 0.0;
  for (std::uint64_t n = 0; n < state_count(small); ++n)
    most = std::max(most, network::evaluate(network::Ladder{tuner_elements(small, tuner_state(small, n))}, {50.0, 1.0},
                                            7.1e6, {20.0, -150.0})
                              .swr);
  CHECK(std::abs(greedy_search(small, tabulate(small, 7.1e6), 50.0, {20.0, -150.0}, 2.0).greatest_swr - most) <=
        1e-9 * most);
}

TEST_CASE("some loads hold false minima for a greedy walk") {
  test::RandomTuners random(62);
  const Tuner t = seven_and_seven();
  const TunerTable table = tabulate(t, 7.1e6);
  int within = 0, missed = 0, several = 0;
  for (int n = 0; n < 200; ++n) {
    const cdouble load{random.spread(2.0, 200.0), random.between(-400.0, 100.0)};
    const GreedyResult result = greedy_search(t, table, 50.0, load, 1.5);
    if (choose_state(t, table, 50.0, load, 1.5).least_loss.status == TunerStatus::found) ++within;
    if (result.false_minimum) {
      ++missed;
      CHECK(result.true_least_swr <= 1.5);
      CHECK(result.swr > 1.5);
    }
    if (n < 20 && local_minima(t, table, 50.0, load).size() > 1) ++several;
  }
  INFO("within reach " << within << " missed " << missed << " with false minima " << several << " of 20");
  CHECK(within > 100);
  CHECK(missed > 0);
  CHECK(missed < within);
  CHECK(several > 0);
}

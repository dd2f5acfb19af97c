#include <cmath>
#include <limits>
#include <vector>

#include <catch2/catch.hpp>

#include <stile/tuner/maps.hpp>
#include <stile/tuner/tree.hpp>
#include <tuner/random_tuner.hpp>

#include <stile/base/errors.hpp>

using namespace stile;
using namespace stile::tuner;

namespace {

bool same(const TunerSetting& a, const TunerSetting& b) {
  const auto equal = [](double x, double y) { return x == y || (std::isnan(x) && std::isnan(y)); };
  return a.status == b.status && a.state.index == b.state.index && equal(a.swr, b.swr) &&
         equal(a.dissipation_db, b.dissipation_db);
}

bool same(const TunerSetting& a, const StateScore& b) {
  return a.status == b.status && a.state.index == b.index && (a.swr == b.swr || std::isnan(a.swr)) &&
         a.dissipation_db == b.dissipation_db;
}

/// Binary banks: 2^9 or 2^10 states.
Tuner binary(TunerForm form, bool lossy) {
  Tuner t;
  t.form = form;
  const bool l = form == TunerForm::l, lcl = form == TunerForm::lcl;
  for (int n = 0; n < (l ? 5 : lcl ? 3 : 4); ++n) t.inductors.values_h.push_back(0.2e-6 * (1 << n));
  for (int n = 0; n < (l ? 4 : 3); ++n) t.capacitors.values_f.push_back(25e-12 * (1 << n));
  if (lcl) {
    for (int n = 0; n < 3; ++n) t.load_inductors.values_h.push_back(0.3e-6 * (1 << n));
  } else if (!l) {
    for (int n = 0; n < 3; ++n) t.load_capacitors.values_f.push_back(40e-12 * (1 << n));
  }
  if (lossy) {
    t.contact_ohm = 0.05;
    t.inductors.loss.q = t.load_inductors.loss.q = 120;
    t.inductors.stray_h = 0.1e-6;
    t.capacitors.loss.q = t.load_capacitors.loss.q = 1000;
    t.capacitors.stray_f = 15e-12;
    t.capacitors.open_contact_f = 0.5e-12;
    if (form != TunerForm::t) t.inductors.open_contact_f = 1e-12;
  }
  return t;
}

/// Loads over the whole reflection plane, and one in three near its rim, where short whips are.
cdouble any_load(test::RandomTuners& random) {
  const double size =
      random.between(0.0, 1.0) < 0.33 ? 1.0 - random.spread(1e-4, 0.1) : std::sqrt(random.between(0.0, 1.0));
  const cdouble gamma = std::polar(0.99995 * size, random.between(-3.14159, 3.14159));
  return 50.0 * (1.0 + gamma) / (1.0 - gamma);
}

}  // namespace

TEST_CASE("the tree gives the same states as the search of all") {
  test::RandomTuners random(21);
  for (const TunerForm form : test::forms) {
    for (const bool lossy : {false, true}) {
      const Tuner t = binary(form, lossy);
      const double f = lossy ? 3.6e6 : 14.2e6;
      const TunerTable table = tabulate(t, f);
      const TunerTree tree = build_tree(t, table, 50.0);
      int different = 0, within = 0;
      for (int n = 0; n < 20000; ++n) {
        const cdouble load = any_load(random);
        const double limit = n % 2 == 0 ? 2.0 : 1.5;
        const TunerChoice all = choose_state(t, table, 50.0, load, limit), quick = choose_state(tree, load, limit);
        if (all.least_loss.status == TunerStatus::found) ++within;
        const bool equal = same(all.least_swr, quick.least_swr) && same(all.least_loss, quick.least_loss) &&
                           same(all.most_delivered, quick.most_delivered);
        if (!equal && different++ < 3) {
          UNSCOPED_INFO("load " << load << ": " << all.least_swr.state.index << ' ' << quick.least_swr.state.index
                                << ", " << all.least_loss.state.index << ' ' << quick.least_loss.state.index << ", "
                                << all.most_delivered.state.index << ' ' << quick.most_delivered.state.index);
        }
      }
      INFO("form " << static_cast<int>(form) << " lossy " << lossy << " within the limit " << within);
      CHECK(different == 0);
      CHECK(within > 500);
    }
  }
}

TEST_CASE("the tree gives the same states for random tuners sources and limits") {
  test::RandomTuners random(22);
  int different = 0;
  for (const TunerForm form : test::forms) {
    for (int repeat = 0; repeat < 100; ++repeat) {
      const Tuner t = random.tuner(form);
      const cdouble source = random.source();
      const TunerTable table = tabulate(t, random.frequency_hz());
      const TunerTree tree = build_tree(t, table, source);
      for (int n = 0; n < 20; ++n) {
        const cdouble load = n == 0   ? cdouble{0.0}
                             : n == 1 ? cdouble{0.0, -300.0}
                             : n < 10 ? random.load()
                                      : any_load(random);
        const double limit = n % 3 == 0 ? network::infinite : random.spread(1.0, 20.0);
        const TunerChoice all = choose_state(t, table, source, load, limit), quick = choose_state(tree, load, limit);
        if (!same(all.least_swr, quick.least_swr) || !same(all.least_loss, quick.least_loss) ||
            !same(all.most_delivered, quick.most_delivered)) {
          ++different;
        }
      }
    }
  }
  CHECK(different == 0);
}

TEST_CASE("a batch gives each load its own answer whatever the number of threads") {
  test::RandomTuners random(23);
  const Tuner t = binary(TunerForm::l, true);
  const TunerTable table = tabulate(t, 7.1e6);
  const TunerTree tree = build_tree(t, table, 50.0);
  std::vector<cdouble> loads;
  for (int n = 0; n < 70000; ++n) loads.push_back(any_load(random));  // three blocks
  for (const Goal goal : {Goal::least_swr, Goal::least_loss, Goal::most_delivered}) {
    const std::vector<StateScore> one = choose_states(tree, loads, 2.0, goal, 1),
                                  three = choose_states(tree, loads, 2.0, goal, 3);
    REQUIRE(one.size() == loads.size());
    int different = 0;
    for (std::size_t n = 0; n < loads.size(); ++n) {
      if (one[n].index != three[n].index || one[n].swr != three[n].swr || one[n].status != three[n].status) ++different;
    }
    CHECK(different == 0);
    for (std::size_t n = 0; n < loads.size(); n += 7) {
      const TunerChoice all = choose_state(t, table, 50.0, loads[n], 2.0);
      const TunerSetting& wanted = goal == Goal::least_swr    ? all.least_swr
                                   : goal == Goal::least_loss ? all.least_loss
                                                              : all.most_delivered;
      if (!same(wanted, one[n])) ++different;
    }
    CHECK(different == 0);
  }
  CHECK(choose_states(tree, {}, 2.0, Goal::least_swr).empty());
}

TEST_CASE("a tree takes less than 200 bytes a state and is the same every time") {
  Tuner t;
  for (int n = 0; n < 8; ++n) {
    t.inductors.values_h.push_back(0.05e-6 * (1 << n));
    t.capacitors.values_f.push_back(10e-12 * (1 << n));
  }
  t.inductors.loss.q = 120;
  const TunerTable table = tabulate(t, 7.1e6);
  const TunerTree tree = build_tree(t, table, 50.0);
  CHECK(tree_bytes(tree) < 200 * state_count(t));
  CHECK(tree_bytes(build_tree(t, table, 50.0)) == tree_bytes(tree));
  const TunerChoice all = choose_state(t, table, 50.0, {14.0, -258.0}, 2.0),
                    quick = choose_state(tree, {14.0, -258.0}, 2.0);
  CHECK(same(all.least_swr, quick.least_swr));
  CHECK(same(all.least_loss, quick.least_loss));
  CHECK(same(all.most_delivered, quick.most_delivered));
}

TEST_CASE("a tree of states through which nothing passes finds none") {
  Tuner t;  // a T whose parts can only be out: no stray, one part each
  t.form = TunerForm::t;
  t.inductors.values_h = {1e-6};
  t.capacitors.values_f = {1e-10};
  t.load_capacitors.values_f = {1e-10};
  TunerTable table = tabulate(t, 7e6);
  for (cdouble& y : table.capacitor_y_siemens) y = 0.0;
  const TunerChoice choice = choose_state(build_tree(t, table, 50.0), 50.0, 2.0);
  CHECK(choice.least_swr.status == TunerStatus::out_of_reach);
  CHECK(choice.least_loss.status == TunerStatus::out_of_reach);
  CHECK(choice.most_delivered.status == TunerStatus::out_of_reach);
}

TEST_CASE("trees refuse what the search of all states refuses") {
  const Tuner t = binary(TunerForm::l, true);
  const TunerTable table = tabulate(t, 7e6);
  CHECK_THROWS_MATCHES(build_tree(t, table, {0.0, 10.0}), DomainError,
                       Catch::Matchers::Message("z_source_ohm is 0+10j and must be finite with real part > 0"));
  CHECK_THROWS_AS(build_tree(Tuner{}, table, 50.0), DomainError);
  Tuner large = t;
  large.inductors.values_h.assign(13, 1e-6);
  large.capacitors.values_f.assign(12, 1e-10);
  CHECK_THROWS_MATCHES(build_tree(large, table, 50.0), DomainError,
                       Catch::Matchers::Message("the number of states is 2^26 (25 parts) and must be at most 2^24"));
  const TunerTree tree = build_tree(t, table, 50.0);
  CHECK_THROWS_MATCHES(choose_state(tree, {-1.0, 0.0}, 2.0), DomainError,
                       Catch::Matchers::Message("z_load_ohm is -1+0j and must be finite with real part >= 0"));
  CHECK_THROWS_AS(choose_state(tree, 50.0, 0.5), DomainError);
  const std::vector<cdouble> loads{50.0, {50.0, std::numeric_limits<double>::quiet_NaN()}};
  CHECK_THROWS_AS(choose_states(tree, loads, 2.0, Goal::least_swr), DomainError);
}

TEST_CASE("a tree that was never built is refused") {
  const std::string message = "the tree holds no tuner: make it with build_tree";
  const cdouble loads[] = {{20.0, -30.0}};
  CHECK_THROWS_MATCHES(choose_state(TunerTree{}, loads[0], 2.0), DomainError, Catch::Matchers::Message(message));
  CHECK_THROWS_MATCHES(choose_states(TunerTree{}, loads, 2.0, Goal::least_swr), DomainError,
                       Catch::Matchers::Message(message));
  CHECK_THROWS_MATCHES(choose_least_stress(TunerTree{}, loads[0], 2.0, 5.0), DomainError,
                       Catch::Matchers::Message(message));
  CHECK_THROWS_MATCHES(map_range(TunerTree{}, {}, 2.0, 5.0), DomainError, Catch::Matchers::Message(message));
  CHECK_THROWS_MATCHES(tree_tuner({}), DomainError, Catch::Matchers::Message(message));
  CHECK_THROWS_MATCHES(tree_table({}), DomainError, Catch::Matchers::Message(message));
  CHECK_THROWS_MATCHES(tree_source_ohm({}), DomainError, Catch::Matchers::Message(message));
  CHECK_THROWS_MATCHES(tree_bytes({}), DomainError, Catch::Matchers::Message(message));
}

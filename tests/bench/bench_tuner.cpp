// Times of the tree against the search of all states, in one run. The banks are two-sided Ls with losses that reach
// 12.8 uH and 2.56 nF: 2^17 states are eight parts an arm in steps of two, 2^21 ten.

#include <cmath>
#include <cstdlib>
#include <map>
#include <random>
#include <vector>

#include <benchmark/benchmark.h>

#include <stile/tuner/detail/continuous_model.hpp>
#include <stile/tuner/detail/greedy_walk.hpp>
#include <stile/tuner/detail/stress_model.hpp>
#include <stile/tuner/maps.hpp>
#include <stile/tuner/tree.hpp>

using namespace stile;

namespace {

tuner::Tuner bank(int bits) {
  tuner::Tuner t;
  t.contact_ohm = 0.05;
  t.inductors.loss.q = 120;
  t.inductors.stray_h = 0.1e-6;
  t.capacitors.loss.q = 1000;
  t.capacitors.stray_f = 15e-12;
  const double step = 256.0 / (1 << bits);
  for (int n = 0; n < bits; ++n) {
    t.inductors.values_h.push_back(0.05e-6 * step * (1 << n));
    t.capacitors.values_f.push_back(10e-12 * step * (1 << n));
  }
  return t;
}

/// Loads over the reflection plane with |Gamma| < 0.995, evenly by area.
std::vector<cdouble> loads(std::size_t count) {
  std::mt19937 engine(1);
  std::uniform_real_distribution<double> unit(0.0, 1.0);
  std::vector<cdouble> z;
  for (std::size_t n = 0; n < count; ++n) {
    const cdouble gamma = std::polar(0.995 * std::sqrt(unit(engine)), 6.283185307179586 * unit(engine));
    z.push_back(50.0 * (1.0 + gamma) / (1.0 - gamma));
  }
  return z;
}

struct Case {
  tuner::Tuner tuner;
  tuner::TunerTable table;
  tuner::TunerTree tree;
};

const Case& of(int bits) {
  static std::map<int, Case> cases;
  auto found = cases.find(bits);
  if (found == cases.end()) {
    Case c;
    c.tuner = bank(bits);
    c.table = tuner::tabulate(c.tuner, 7.1e6);
    c.tree = tuner::build_tree(c.tuner, c.table, 50.0);
    found = cases.emplace(bits, std::move(c)).first;
  }
  return found->second;
}

constexpr double swr_limit = 2.0;

void all_states(benchmark::State& state) {
  const Case& c = of(static_cast<int>(state.range(0)));
  const std::vector<cdouble> z = loads(64);
  std::size_t n = 0;
  for (auto _ : state) {
    benchmark::DoNotOptimize(tuner::choose_state(c.tuner, c.table, 50.0, z[n++ % z.size()], swr_limit));
  }
}

/// One load after the other, nothing carried over, three answers each: what all_states gives.
void tree_three_answers(benchmark::State& state) {
  const Case& c = of(static_cast<int>(state.range(0)));
  const std::vector<cdouble> z = loads(4096);
  std::size_t n = 0;
  for (auto _ : state) benchmark::DoNotOptimize(tuner::choose_state(c.tree, z[n++ % z.size()], swr_limit));
}

void batch(benchmark::State& state, tuner::Goal goal) {
  const Case& c = of(static_cast<int>(state.range(0)));
  const auto threads = static_cast<unsigned>(state.range(1));
  const std::vector<cdouble> z = loads(goal == tuner::Goal::least_swr ? 1000000 : 200000);
  for (auto _ : state) benchmark::DoNotOptimize(tuner::choose_states(c.tree, z, swr_limit, goal, threads));
  state.counters["loads/s"] =
      benchmark::Counter(static_cast<double>(z.size()), benchmark::Counter::kIsIterationInvariantRate);
  state.counters["bytes/state"] =
      static_cast<double>(tuner::tree_bytes(c.tree)) / static_cast<double>(tuner::state_count(c.tuner));
}

void build(benchmark::State& state) {
  const Case& c = of(static_cast<int>(state.range(0)));
  for (auto _ : state) benchmark::DoNotOptimize(tuner::build_tree(c.tuner, c.table, 50.0));
}

/// 2,000 loads, every answer of the tree against that of all states: stops the program when one differs.
void identical(benchmark::State& state) {
  const Case& c = of(8);
  const std::vector<cdouble> z = loads(2000);
  for (auto _ : state) {
    const std::vector<tuner::StateScore> swr = tuner::choose_states(c.tree, z, swr_limit, tuner::Goal::least_swr),
                                         loss = tuner::choose_states(c.tree, z, swr_limit, tuner::Goal::least_loss),
                                         delivered =
                                             tuner::choose_states(c.tree, z, swr_limit, tuner::Goal::most_delivered);
    for (std::size_t n = 0; n < z.size(); ++n) {
      const tuner::TunerChoice all = tuner::choose_state(c.tuner, c.table, 50.0, z[n], swr_limit);
      if (all.least_swr.state.index != swr[n].index || all.least_loss.state.index != loss[n].index ||
          all.least_loss.status != loss[n].status || all.most_delivered.state.index != delivered[n].index) {
        std::abort();
      }
    }
  }
}

// What a tool does at each evaluated state beside the search: below 100 ns.

/// One state's SWR and loss.
void one_state(benchmark::State& state) {
  const Case& c = of(8);
  const tuner::detail::Arms arms = tuner::detail::arms_of(c.tuner, c.table, tuner::CapacitorSide::load, 50.0);
  const std::vector<cdouble> z = loads(4096);
  std::uint64_t n = 0;
  for (auto _ : state) {
    const auto k = static_cast<std::uint32_t>(n++);
    const tuner::detail::Ends ends =
        tuner::detail::ends_at(arms, {k % 256, 0, k / 7 % 256}, tuner::detail::load_end(z[k % z.size()], arms.dual));
    benchmark::DoNotOptimize(tuner::detail::swr_of(ends, 50.0));
    benchmark::DoNotOptimize(tuner::detail::dissipation_db_of(ends, z[k % z.size()].real()));
  }
}

/// The stress of a map's cell.
void one_stress(benchmark::State& state) {
  tuner::Tuner tuner = of(8).tuner;
  tuner.inductor_rating.voltage_v_peak = tuner.capacitor_rating.voltage_v_peak = 500.0;
  const tuner::detail::StressModel model = tuner::detail::stress_model(tuner, of(8).table, 50.0);
  const std::vector<cdouble> z = loads(4096);
  std::uint64_t n = 0;
  for (auto _ : state) {
    const tuner::TunerState s = tuner::detail::decode_masks(tuner, n * 31 % 131072);
    benchmark::DoNotOptimize(tuner::detail::stress_of(model, s, {50.0, 5.0}, z[n++ % z.size()]));
  }
}

/// One reading of a tuner's own walk.
void one_reading(benchmark::State& state) {
  const tuner::detail::GreedyWalk walk(of(8).tuner, of(8).table, 50.0);
  const std::vector<cdouble> z = loads(4096);
  std::size_t n = 0, readings = 0;
  for (auto _ : state) readings += walk.from_bypass(z[n++ % z.size()]).measurements;
  state.counters["s/reading"] =
      benchmark::Counter(static_cast<double>(readings), benchmark::Counter::kIsRate | benchmark::Counter::kInvert);
}

/// One state of a search for dead ends.
void one_dead_end(benchmark::State& state) {
  const Case& c = of(8);
  for (auto _ : state) benchmark::DoNotOptimize(tuner::local_minima(c.tuner, c.table, 50.0, {20.0, -100.0}));
  state.counters["s/state"] =
      benchmark::Counter(131072.0, benchmark::Counter::kIsIterationInvariantRate | benchmark::Counter::kInvert);
}

/// A cell of a map of exact matches: two sides of two free parts, so four matches are solved for and those within the
/// parts' limits judged. The hundred nanoseconds are for each of the four.
void one_exact_match(benchmark::State& state) {
  tuner::ContinuousTuner t;
  t.inductor = {{0.1e-6, 20e-6}, {}, {}, {}};
  t.inductor.loss.q = 150;
  t.capacitor = {{10e-12, 2e-9}, {}, {}};
  const std::vector<cdouble> z = loads(4096);
  std::size_t n = 0;
  const std::vector<tuner::detail::ContinuousModel> models = tuner::detail::models(t, 7.1e6, 50.0);
  for (auto _ : state) benchmark::DoNotOptimize(tuner::detail::best_match(models, z[n++ % z.size()]));
}

}  // namespace

BENCHMARK(one_state);
BENCHMARK(one_stress);
BENCHMARK(one_reading);
BENCHMARK(one_dead_end)->Unit(benchmark::kMillisecond);
BENCHMARK(one_exact_match);
BENCHMARK(identical)->Unit(benchmark::kMillisecond)->Iterations(1);
BENCHMARK(all_states)->Arg(8)->Unit(benchmark::kMicrosecond);
BENCHMARK(tree_three_answers)->Arg(8)->Arg(10)->Unit(benchmark::kMicrosecond);
BENCHMARK_CAPTURE(batch, least_swr, tuner::Goal::least_swr)
    ->Args({8, 1})
    ->Args({8, 2})
    ->Args({10, 2})
    ->Unit(benchmark::kMillisecond)
    ->MeasureProcessCPUTime();
BENCHMARK_CAPTURE(batch, least_loss, tuner::Goal::least_loss)
    ->Args({8, 2})
    ->Args({10, 2})
    ->Unit(benchmark::kMillisecond)
    ->MeasureProcessCPUTime();
BENCHMARK_CAPTURE(batch, most_delivered, tuner::Goal::most_delivered)
    ->Args({8, 2})
    ->Args({10, 2})
    ->Unit(benchmark::kMillisecond)
    ->MeasureProcessCPUTime();
BENCHMARK(build)->Arg(8)->Unit(benchmark::kMillisecond);

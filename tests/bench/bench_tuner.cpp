// Times of the tree against the search of all states, in one run. The banks are two-sided Ls with losses that reach
// 12.8 uH and 2.56 nF: 2^17 states are eight parts an arm in steps of two, 2^21 ten.

#include <cmath>
#include <cstdlib>
#include <map>
#include <random>
#include <vector>

#include <benchmark/benchmark.h>

#include <stile/tuner/tree.hpp>

using namespace stile;

namespace {

Tuner bank(int bits) {
  Tuner t;
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
  Tuner tuner;
  TunerTable table;
  TunerTree tree;
};

const Case& of(int bits) {
  static std::map<int, Case> cases;
  auto found = cases.find(bits);
  if (found == cases.end()) {
    Case c;
    c.tuner = bank(bits);
    c.table = tabulate(c.tuner, 7.1e6);
    c.tree = build_tree(c.tuner, c.table, 50.0);
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
    benchmark::DoNotOptimize(choose_state(c.tuner, c.table, 50.0, z[n++ % z.size()], swr_limit));
  }
}

/// One load after the other, nothing carried over, three answers each: what all_states gives.
void tree_three_answers(benchmark::State& state) {
  const Case& c = of(static_cast<int>(state.range(0)));
  const std::vector<cdouble> z = loads(4096);
  std::size_t n = 0;
  for (auto _ : state) benchmark::DoNotOptimize(choose_state(c.tree, z[n++ % z.size()], swr_limit));
}

void batch(benchmark::State& state, Goal goal) {
  const Case& c = of(static_cast<int>(state.range(0)));
  const auto threads = static_cast<unsigned>(state.range(1));
  const std::vector<cdouble> z = loads(goal == Goal::least_swr ? 1000000 : 200000);
  for (auto _ : state) benchmark::DoNotOptimize(choose_states(c.tree, z, swr_limit, goal, threads));
  state.counters["loads/s"] =
      benchmark::Counter(static_cast<double>(z.size()), benchmark::Counter::kIsIterationInvariantRate);
  state.counters["bytes/state"] = static_cast<double>(tree_bytes(c.tree)) / static_cast<double>(state_count(c.tuner));
}

void build(benchmark::State& state) {
  const Case& c = of(static_cast<int>(state.range(0)));
  for (auto _ : state) benchmark::DoNotOptimize(build_tree(c.tuner, c.table, 50.0));
}

/// 2,000 loads, every answer of the tree against that of all states: stops the program when one differs.
void identical(benchmark::State& state) {
  const Case& c = of(8);
  const std::vector<cdouble> z = loads(2000);
  for (auto _ : state) {
    const std::vector<StateScore> swr = choose_states(c.tree, z, swr_limit, Goal::least_swr),
                                  loss = choose_states(c.tree, z, swr_limit, Goal::least_loss),
                                  delivered = choose_states(c.tree, z, swr_limit, Goal::most_delivered);
    for (std::size_t n = 0; n < z.size(); ++n) {
      const TunerChoice all = choose_state(c.tuner, c.table, 50.0, z[n], swr_limit);
      if (all.least_swr.state.index != swr[n].index || all.least_loss.state.index != loss[n].index ||
          all.least_loss.status != loss[n].status || all.most_delivered.state.index != delivered[n].index) {
        std::abort();
      }
    }
  }
}

}  // namespace

BENCHMARK(identical)->Unit(benchmark::kMillisecond)->Iterations(1);
BENCHMARK(all_states)->Arg(8)->Unit(benchmark::kMicrosecond);
BENCHMARK(tree_three_answers)->Arg(8)->Arg(10)->Unit(benchmark::kMicrosecond);
BENCHMARK_CAPTURE(batch, least_swr, Goal::least_swr)
    ->Args({8, 1})
    ->Args({8, 2})
    ->Args({10, 2})
    ->Unit(benchmark::kMillisecond)
    ->MeasureProcessCPUTime();
BENCHMARK_CAPTURE(batch, least_loss, Goal::least_loss)
    ->Args({8, 2})
    ->Args({10, 2})
    ->Unit(benchmark::kMillisecond)
    ->MeasureProcessCPUTime();
BENCHMARK_CAPTURE(batch, most_delivered, Goal::most_delivered)
    ->Args({8, 2})
    ->Args({10, 2})
    ->Unit(benchmark::kMillisecond)
    ->MeasureProcessCPUTime();
BENCHMARK(build)->Arg(8)->Unit(benchmark::kMillisecond);

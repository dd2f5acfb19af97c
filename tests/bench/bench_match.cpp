// What a match costs for each member of a family that it looks at, beside one evaluation of such a ladder in the same
// run.

#include <chrono>

#include <benchmark/benchmark.h>

#include <stile/match/match.hpp>

using namespace stile;

namespace {

using Clock = std::chrono::steady_clock;

double seconds_since(Clock::time_point start) { return std::chrono::duration<double>(Clock::now() - start).count(); }

/// A T for a short whip, scanned for least loss: eight kinds of parts, two branches, two countings, 401 members each.
void bm_match_per_candidate(benchmark::State& state) {
  constexpr double members = 8.0 * 2.0 * 2.0 * 401.0;
  match::MatchRequest request;
  request.form = match::Form::t;
  request.frequency_hz = 7.1e6;
  request.load.model = load::ConstantLoad{{26.3, -975.0}};
  request.stock.inductor_loss.q = 250.0;
  request.stock.capacitor_loss.q = 1000.0;
  double match = 0.0, evaluation = 0.0;
  for (auto _ : state) {
    auto start = Clock::now();
    const std::vector<match::MatchSolution> solutions = match::solve_match(request);
    const double seconds = seconds_since(start);
    match += seconds / members;
    state.SetIterationTime(seconds);
    const network::Ladder& ladder = solutions.at(0).ladder;
    constexpr int repeats = 10000;
    start = Clock::now();
    for (int n = 0; n < repeats; ++n) benchmark::DoNotOptimize(network::evaluate(ladder, {}, 7.1e6, {26.3, -975.0}));
    evaluation += seconds_since(start) / repeats;
  }
  state.counters["per_member"] =
      benchmark::Counter(match / static_cast<double>(state.iterations()), benchmark::Counter::kDefaults);
  state.counters["member_over_evaluate"] = match / evaluation;
}

BENCHMARK(bm_match_per_candidate)->UseManualTime()->Unit(benchmark::kMillisecond);

}  // namespace

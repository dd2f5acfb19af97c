// One setting for three conditions at five frequencies, beside what a plain loop over every setting costs in the same
// run.

#include <algorithm>
#include <chrono>

#include <benchmark/benchmark.h>

#include <stile/match/one_setting.hpp>

using namespace stile;

namespace {

using Clock = std::chrono::steady_clock;

double seconds_since(Clock::time_point start) { return std::chrono::duration<double>(Clock::now() - start).count(); }

std::vector<double> frequencies() { return {7.08e6, 7.09e6, 7.1e6, 7.11e6, 7.12e6}; }

/// A whip (invented) on which an SWR limit can be held, or, `wide` apart, cannot.
match::SettingJob job(double apart) {
  match::SettingJob j;
  for (const double wander : {-apart, 0.0, apart}) {
    match::ServedLoad load;
    for (const double f : frequencies()) {
      load.z_ohm.emplace_back(26.0 - 0.1 * wander, (-975.0 + wander) * 7.1e6 / f);
      load.radiated_share.push_back(0.1);
    }
    j.loads.push_back(load);
  }
  return j;
}

match::PartSteps steps(bool continuous) {
  match::PartSteps s;
  s.stock.inductor_loss.q = 200.0, s.stock.capacitor_loss.q = 1000.0;
  if (!continuous) s.inductor_series = s.capacitor_series = match::ESeries::e24;
  return s;
}

/// Seconds of the plain loop over every L network, from some of them.
double plain_seconds(const match::SettingSpace& space, const match::SettingJob& j) {
  const std::vector<match::Choice>& choices = space.lists.front().choices;
  constexpr std::size_t sample = 400;
  const auto start = Clock::now();
  double best = network::infinite;
  for (std::size_t n = 0; n < sample; ++n) {
    network::Ladder ladder{{*choices[n % choices.size()].element, *choices[7 * n % choices.size()].element}};
    ladder.elements.front().place = network::Place::shunt;
    double worst = 0.0;
    for (const match::ServedLoad& load : j.loads) {
      for (std::size_t f = 0; f < space.frequency_hz.size(); ++f)
        worst = std::max(worst,
                         network::evaluate(ladder, j.source, space.frequency_hz[f], load.z_ohm[f]).loss.transducer_db);
    }
    best = std::min(best, worst);
  }
  benchmark::DoNotOptimize(best);
  const auto settings = 2.0 * static_cast<double>(choices.size()) * static_cast<double>(choices.size());
  return seconds_since(start) / sample * settings;
}

/// The argument is how far the reactance wanders, ohm: with 10 the SWR limit is held, with 100 nothing holds it.
void one_setting_e24(benchmark::State& state) {
  const match::PreparedSpace space = match::prepare_space(match::l_network_space(frequencies(), steps(false)));
  const match::SettingJob j = job(static_cast<double>(state.range(0)));
  match::OneSetting found;
  double seconds = 0.0;
  for (auto _ : state) {
    const auto start = Clock::now();
    found = match::find_one_setting(space, j);
    seconds += seconds_since(start);
  }
  state.counters["holds"] = found.status == match::SettingStatus::holds;
  state.counters["tried"] = static_cast<double>(found.proof.tried);
  state.counters["plain_loop_over_search"] =
      plain_seconds(space.space, j) / (seconds / static_cast<double>(state.iterations()));
}
BENCHMARK(one_setting_e24)->Arg(10)->Arg(100)->Unit(benchmark::kMillisecond);

/// The same with any value, proven to 0.01 dB.
void one_setting_any_value(benchmark::State& state) {
  const match::PreparedSpace space = match::prepare_space(match::l_network_space(frequencies(), steps(true)));
  const match::SettingJob j = job(static_cast<double>(state.range(0)));
  match::OneSetting found;
  for (auto _ : state) found = match::find_one_setting(space, j);
  state.counters["proven"] = found.proof.proven;
  state.counters["tried"] = static_cast<double>(found.proof.tried);
}
BENCHMARK(one_setting_any_value)->Arg(10)->Arg(100)->Unit(benchmark::kMillisecond);

void prepare_e24(benchmark::State& state) {
  for (auto _ : state)
    benchmark::DoNotOptimize(match::prepare_space(match::l_network_space(frequencies(), steps(false))));
}
BENCHMARK(prepare_e24)->Unit(benchmark::kMillisecond);

}  // namespace

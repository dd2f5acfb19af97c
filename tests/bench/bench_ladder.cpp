// Sweep of a three-element pi network: visited, stored, one point, and the same sweep by a circuit simulator (ngspice).

#include <chrono>
#include <cstdlib>
#include <ctime>
#include <fstream>
#include <stdexcept>
#include <string>

#include <benchmark/benchmark.h>
#include <fmt/core.h>

#include <stile/load/load.hpp>
#include <stile/network/ladder.hpp>

#include "../temporary_folder.hpp"

namespace {

using namespace stile;

network::Ladder pi_network() {
  return {{{"C1", network::Place::shunt, network::Capacitor{470e-12, network::Loss{.q = 1000.0}}, {}},
           {"L1", network::Place::series, network::Inductor{0.85e-6, network::Loss{.q = 200.0}}, {}},
           {"C2", network::Place::shunt, network::Capacitor{150e-12, network::Loss{.q = 1000.0}}, {}}}};
}

/// 1 to 30 MHz in equal steps with the same load everywhere, its harmonics included.
network::LoadSamples constant_load(std::size_t count) {
  const cdouble z{500.0, 300.0};
  network::LoadSamples samples{
      {}, std::vector<cdouble>(count, z), std::vector<cdouble>(count, z), std::vector<cdouble>(count, z)};
  for (std::size_t k = 0; k < count; ++k) {
    samples.frequency_hz.push_back(1e6 + 29e6 * static_cast<double>(k) / static_cast<double>(count - 1));
  }
  return samples;
}

constexpr std::size_t million = 1000000;

void count_points(benchmark::State& state, std::size_t points) {
  const double all = static_cast<double>(state.iterations()) * static_cast<double>(points);
  state.SetItemsProcessed(static_cast<std::int64_t>(all));
  state.counters["time_per_point"] = benchmark::Counter(all, benchmark::Counter::kIsRate | benchmark::Counter::kInvert);
}

/// Seconds for one visited sweep; the best SWR stands for what a user would look for.
double visit(const network::Ladder& ladder, const network::LoadSamples& samples) {
  const auto start = std::chrono::steady_clock::now();
  double best = network::infinite;
  network::visit_sweep(ladder, {}, samples, [&](const network::SweepRows& rows) {
    for (const double swr : rows.column(network::Column::swr)) best = std::min(best, swr);
  });
  benchmark::DoNotOptimize(best);
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

void bm_visit_sweep(benchmark::State& state) {
  const network::LoadSamples samples = constant_load(million);
  const network::Ladder ladder = pi_network();
  for (auto _ : state) state.SetIterationTime(visit(ladder, samples));
  count_points(state, million);
}

void bm_visit_sweep_without_harmonics(benchmark::State& state) {
  network::LoadSamples samples = constant_load(million);
  samples.z_second_ohm.clear();
  samples.z_third_ohm.clear();
  const network::Ladder ladder = pi_network();
  for (auto _ : state) state.SetIterationTime(visit(ladder, samples));
  count_points(state, million);
}

void bm_evaluate_sweep(benchmark::State& state) {
  const network::LoadSamples samples = constant_load(million);
  const network::Ladder ladder = pi_network();
  for (auto _ : state) {
    network::LoadSamples copy = samples;  // the sweep takes it; copying is not part of the job
    const auto start = std::chrono::steady_clock::now();
    benchmark::DoNotOptimize(network::evaluate_sweep(ladder, {}, std::move(copy)));
    state.SetIterationTime(std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
  }
  count_points(state, million);
}

void bm_evaluate(benchmark::State& state) {
  const network::Ladder ladder = pi_network();
  for (auto _ : state) benchmark::DoNotOptimize(network::evaluate(ladder, {}, 14.1e6, {500.0, 300.0}));
  count_points(state, 1);
}

/// One frequency at a time beside the same points in one sweep, in the same seconds.
void bm_evaluate_beside_sweep(benchmark::State& state) {
  constexpr std::size_t points = 64000;
  network::LoadSamples samples = constant_load(points);
  samples.z_second_ohm.clear();
  samples.z_third_ohm.clear();
  const network::Ladder ladder = pi_network();
  double single = 0.0, sweep = 0.0;
  for (auto _ : state) {
    sweep += visit(ladder, samples);
    const auto start = std::chrono::steady_clock::now();
    for (std::size_t k = 0; k < points; ++k) {
      benchmark::DoNotOptimize(network::evaluate(ladder, {}, samples.frequency_hz[k], samples.z_ohm[k]));
    }
    const double seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
    state.SetIterationTime(seconds);
    single += seconds;
  }
  count_points(state, points);
  state.counters["evaluate_over_sweep"] = single / sweep;
}

/// What stile-net does for each point besides printing it: the load and its harmonics asked for, the sweep, the points
/// as structs, kept; processor time. Beside it, in the same seconds, the sweep alone: the rest is the tool's own work.
void bm_net_per_point(benchmark::State& state) {
  constexpr std::size_t points = 64000;
  const network::LoadSamples known = constant_load(points);
  const network::Ladder ladder = pi_network();
  load::Load load;
  load.model = load::ConstantLoad{{500.0, 300.0}};
  const auto cpu_seconds = [] { return static_cast<double>(std::clock()) / CLOCKS_PER_SEC; };
  double all = 0.0, sweep = 0.0;
  for (auto _ : state) {
    const double before = cpu_seconds();
    visit(ladder, known);
    const double start = cpu_seconds();
    sweep += start - before;
    network::LoadSamples samples;
    samples.frequency_hz = known.frequency_hz;
    for (const double multiple : {1.0, 2.0, 3.0}) {
      std::vector<cdouble>& z = multiple == 1.0   ? samples.z_ohm
                                : multiple == 2.0 ? samples.z_second_ohm
                                                  : samples.z_third_ohm;
      z.reserve(points);
      for (const double f : samples.frequency_hz) z.push_back(load::load_impedance(load, multiple * f));
    }
    std::vector<network::Evaluation> kept;
    kept.reserve(points);
    network::visit_sweep(ladder, {}, samples, [&](const network::SweepRows& rows) {
      for (std::size_t k = 0; k < rows.count; ++k) kept.push_back(rows.at(k));
    });
    benchmark::DoNotOptimize(kept.data());
    const double seconds = cpu_seconds() - start;
    state.SetIterationTime(seconds);
    all += seconds;
  }
  count_points(state, points);
  state.counters["own_ns_per_point"] =
      (all - sweep) * 1e9 / (static_cast<double>(state.iterations()) * static_cast<double>(points));
}

void bm_evaluate_with_cable(benchmark::State& state) {
  network::Ladder ladder = pi_network();
  ladder.elements.push_back(
      {"", network::Place::cascade, network::TransmissionLine{network::cable("RG-58"), 10.0}, {}});
  for (auto _ : state) benchmark::DoNotOptimize(network::evaluate(ladder, {}, 14.1e6, {500.0, 300.0}));
  count_points(state, 1);
}

/// Seconds of a batch run of the simulator over so many points, the process's start included; nothing is written.
double simulator_seconds(const temporary::Folder& folder, std::size_t points) {
  const std::string file = folder / "pi.cir";
  {
    const double w = 2.0 * 3.141592653589793 * 14.1e6;
    std::ofstream out(file);
    out << "pi network, losses as at 14.1 MHz\nVs s 0 dc 0 ac 14.142135623730951\nRs s a 50\n"
        << fmt::format("R1 a b {:.17g}\nC1 b 0 470e-12\n", 1.0 / (w * 470e-12 * 1000.0))
        << fmt::format("R2 a c {:.17g}\nL1 c d 0.85e-6\n", w * 0.85e-6 / 200.0)
        << fmt::format("R3 d e {:.17g}\nC2 e 0 150e-12\n", 1.0 / (w * 150e-12 * 1000.0))
        << fmt::format("Rl d f 500\nLl f 0 {:.17g}\n", 300.0 / w)
        << fmt::format(".options noopac\n.control\nac lin {} 1e6 30e6\nquit\n.endc\n.end\n", points);
    if (!out.flush()) throw std::runtime_error("cannot write " + file);
  }
  const auto start = std::chrono::steady_clock::now();
  if (std::system(fmt::format("ngspice -n -b '{}' > /dev/null 2>&1", file).c_str()) != 0) {
    throw std::runtime_error("ngspice cannot be run; it is in Debian's package ngspice");
  }
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

/// The simulator computes node voltages and source currents only; stress, losses and harmonics would come on top.
void bm_circuit_simulator(benchmark::State& state) {
  constexpr std::size_t points = 100000;
  const network::LoadSamples samples = constant_load(million);
  const network::Ladder ladder = pi_network();
  double simulator = 0.0, library = 0.0;
  try {
    const temporary::Folder folder;
    for (auto _ : state) {
      const double start_up = simulator_seconds(folder, 2);
      const double seconds = simulator_seconds(folder, points) - start_up;
      state.SetIterationTime(seconds);
      simulator += seconds / static_cast<double>(points - 2);
      library += visit(ladder, samples) / static_cast<double>(million);
    }
    count_points(state, points - 2);
    state.counters["simulator_over_visit_sweep"] = simulator / library;
  } catch (const std::runtime_error& error) {
    state.SkipWithError(error.what());
  }
}

BENCHMARK(bm_visit_sweep)->UseManualTime()->Unit(benchmark::kMillisecond);
BENCHMARK(bm_visit_sweep_without_harmonics)->UseManualTime()->Unit(benchmark::kMillisecond);
BENCHMARK(bm_evaluate_sweep)->UseManualTime()->Unit(benchmark::kMillisecond);
BENCHMARK(bm_evaluate);
BENCHMARK(bm_evaluate_beside_sweep)->UseManualTime()->Unit(benchmark::kMillisecond);
BENCHMARK(bm_evaluate_with_cable);
BENCHMARK(bm_net_per_point)->UseManualTime()->Unit(benchmark::kMillisecond);
BENCHMARK(bm_circuit_simulator)->UseManualTime()->Unit(benchmark::kMillisecond);

}  // namespace

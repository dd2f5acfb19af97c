// The solver, with tables of its own and with those of a run, on one core; sweeps on all of them.

#include <benchmark/benchmark.h>

#include <stile/wire/conditions.hpp>
#include <stile/wire/sweep.hpp>

using namespace stile;

namespace {

// 32 unknowns at 7 MHz.
wire::Antenna whip_with_wire() {
  wire::Antenna a;
  a.wires.push_back({"whip", {{0, 0, 1.2}, {0, 0, 3.6}}, 0.002, {}, 1.0, {}});
  a.wires.push_back({"wire", {{0, 0, 1.2}, {1.2, 0, 0.05}, {6.2, 0, 0.05}}, 0.001, {}, 1.0, {}});
  a.feed.gap_m = 0.02;
  return a;
}
const wire::SolveOptions coarse{0.72, wire::GroundMethod::rigorous, 2000, {}};

void solve(benchmark::State& state, const wire::Ground& ground, const wire::SolveOptions& options) {
  const wire::Antenna a = whip_with_wire();
  std::size_t unknowns = 0;
  for (auto _ : state) {
    const wire::AntennaSolution s = wire::solve_antenna(a, ground, 7e6, options);
    unknowns = s.unknowns;
    benchmark::DoNotOptimize(s.feed_ohm);
  }
  state.counters["unknowns"] = static_cast<double>(unknowns);
}

void free_space_32(benchmark::State& state) { solve(state, wire::free_space(), coarse); }
void perfect_32(benchmark::State& state) { solve(state, wire::perfect_ground(), coarse); }
void medium_dry_32(benchmark::State& state) { solve(state, wire::ground_by_name("medium dry"), coarse); }
void wet_32(benchmark::State& state) { solve(state, wire::ground_by_name("wet"), coarse); }
void sea_32(benchmark::State& state) { solve(state, wire::ground_by_name("sea"), coarse); }
void medium_dry_32_shared_tables(benchmark::State& state) {
  solve(state, wire::ground_by_name("medium dry"), wire::with_tables(coarse));
}
void wet_default_cells(benchmark::State& state) { solve(state, wire::ground_by_name("wet"), {}); }
void complex_image_32(benchmark::State& state) {
  solve(state, wire::ground_by_name("wet"), {0.72, wire::GroundMethod::complex_image, 2000, {}});
}

/// Everything carried, a hand on the set: one of the conditions that a station lists.
void hand_on_set_shared_tables(benchmark::State& state) {
  wire::WhipSet w;
  w.ground = wire::ground_by_name("medium dry");
  w.set = wire::SetBody{};
  w.person = wire::PersonBody{};
  const wire::WireCase one = wire::whip_condition(w, wire::WhipCondition::hand_on_set);
  const wire::SolveOptions options = wire::with_tables({});
  std::size_t unknowns = 0;
  for (auto _ : state) {
    const wire::AntennaSolution s = wire::solve_antenna(one.antenna, one.ground, 7.1e6, options);
    unknowns = s.unknowns;
    benchmark::DoNotOptimize(s.feed_ohm);
  }
  state.counters["unknowns"] = static_cast<double>(unknowns);
}

/// Whips of many lengths at one frequency, as a search solves them: each with tables of its own, or all with the same.
void hundred_antennas(benchmark::State& state, const char* soil, double frequency_hz, bool share) {
  for (auto _ : state) {
    const wire::SolveOptions options = share ? wire::with_tables(coarse) : coarse;
    for (int i = 0; i < 100; ++i) {
      wire::Antenna a = whip_with_wire();
      a.wires[1].points.back().x_m = 3.0 + 0.06 * i;
      benchmark::DoNotOptimize(wire::solve_antenna(a, wire::ground_by_name(soil), frequency_hz, options).feed_ohm);
    }
  }
}
void hundred_antennas_alone(benchmark::State& state) { hundred_antennas(state, "medium dry", 7e6, false); }
void hundred_antennas_shared(benchmark::State& state) { hundred_antennas(state, "medium dry", 7e6, true); }
void hundred_antennas_alone_wet_28(benchmark::State& state) { hundred_antennas(state, "wet", 28e6, false); }
void hundred_antennas_shared_wet_28(benchmark::State& state) { hundred_antennas(state, "wet", 28e6, true); }

/// A run over five grounds and five bands, sixty whips on each.
void many_grounds(benchmark::State& state, bool share) {
  for (auto _ : state) {
    const wire::SolveOptions options = share ? wire::with_tables(coarse) : coarse;
    for (const char* soil : {"sea", "wet", "average", "medium dry", "very dry"}) {
      for (const double frequency_hz : {3.65e6, 7.1e6, 14.2e6, 21.2e6, 28.5e6}) {
        for (int i = 0; i < 60; ++i) {
          wire::Antenna a = whip_with_wire();
          a.wires[1].points.back().x_m = 3.0 + 0.1 * i;
          benchmark::DoNotOptimize(wire::solve_antenna(a, wire::ground_by_name(soil), frequency_hz, options).feed_ohm);
        }
      }
    }
  }
}
void many_grounds_alone(benchmark::State& state) { many_grounds(state, false); }
void many_grounds_shared(benchmark::State& state) { many_grounds(state, true); }

void sweep_200(benchmark::State& state, bool every_point) {
  wire::SolveOptions options;
  options.every_point = every_point;
  std::vector<double> frequencies;
  for (int i = 0; i < 200; ++i) frequencies.push_back(3e6 + 27e6 * i / 199.0);
  for (auto _ : state)
    benchmark::DoNotOptimize(wire::sweep_antenna(whip_with_wire(), wire::ground_by_name("wet"), frequencies, options));
}
void sweep_of_200_points(benchmark::State& state) { sweep_200(state, false); }
void sweep_of_200_points_each_solved(benchmark::State& state) { sweep_200(state, true); }

void three_conditions_six_bands(benchmark::State& state) {
  wire::WhipSet w;
  w.ground = wire::ground_by_name("medium dry");
  std::vector<double> frequencies;
  for (const auto& [low, high] : {std::pair{3.5e6, 3.8e6}, std::pair{5.35e6, 5.37e6}, std::pair{7.0e6, 7.2e6},
                                  std::pair{14.0e6, 14.35e6}, std::pair{21.0e6, 21.45e6}, std::pair{28.0e6, 29.7e6}}) {
    for (int i = 0; i < 30; ++i) frequencies.push_back(low + (high - low) * i / 29.0);
  }
  for (auto _ : state) {
    for (const wire::WhipCondition c :
         {wire::WhipCondition::lifted, wire::WhipCondition::trailing_usual, wire::WhipCondition::lying_wet}) {
      const wire::WireCase one = wire::whip_condition(w, c);
      benchmark::DoNotOptimize(wire::sweep_antenna(one.antenna, one.ground, frequencies));
    }
  }
}

}  // namespace

BENCHMARK(free_space_32)->Unit(benchmark::kMillisecond);
BENCHMARK(perfect_32)->Unit(benchmark::kMillisecond);
BENCHMARK(medium_dry_32)->Unit(benchmark::kMillisecond);
BENCHMARK(medium_dry_32_shared_tables)->Unit(benchmark::kMillisecond);
BENCHMARK(hand_on_set_shared_tables)->Unit(benchmark::kMillisecond);
BENCHMARK(wet_32)->Unit(benchmark::kMillisecond);
BENCHMARK(sea_32)->Unit(benchmark::kMillisecond);
BENCHMARK(wet_default_cells)->Unit(benchmark::kMillisecond);
BENCHMARK(complex_image_32)->Unit(benchmark::kMillisecond);
BENCHMARK(hundred_antennas_alone)->Unit(benchmark::kMillisecond);
BENCHMARK(hundred_antennas_shared)->Unit(benchmark::kMillisecond);
BENCHMARK(hundred_antennas_alone_wet_28)->Unit(benchmark::kMillisecond);
BENCHMARK(hundred_antennas_shared_wet_28)->Unit(benchmark::kMillisecond);
BENCHMARK(many_grounds_alone)->Unit(benchmark::kMillisecond);
BENCHMARK(many_grounds_shared)->Unit(benchmark::kMillisecond);
BENCHMARK(sweep_of_200_points)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime();
BENCHMARK(sweep_of_200_points_each_solved)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime();
BENCHMARK(three_conditions_six_bands)->Unit(benchmark::kSecond)->Iterations(1)->UseRealTime();

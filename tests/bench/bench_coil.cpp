// Times of the coil room: one coil at one frequency, and a whole band-switched design.
#include <cmath>

#include <benchmark/benchmark.h>

#include <stile/base/constants.hpp>
#include <stile/coil/design.hpp>

using namespace stile;

namespace {

/// L, R, Q and resonance of 40 turns at one frequency from scratch; the argument is wire over pitch in per cent.
void analyse_40_turns(benchmark::State& state) {
  const coil::Winding winding =
      coil::plain_winding(40, 0.04, 0.0015, 0.0015 * 0.01 * static_cast<double>(state.range(0)));
  for (auto _ : state) benchmark::DoNotOptimize(coil::analyse(winding, coil::whole(winding), 7.1e6));
}
BENCHMARK(analyse_40_turns)->Arg(50)->Arg(67)->Arg(80)->Arg(85)->Arg(90)->Unit(benchmark::kMillisecond);

/// Ten bands on about 40 turns, open and shorted, every step; the argument is taps a turn.
void design_10_bands(benchmark::State& state) {
  coil::DesignRequest request;
  request.winding = coil::plain_winding(1, 0.06, 0.002, 0.0012);
  request.tap_step_turns = 1.0 / static_cast<double>(state.range(0));
  for (const double f : {3.6e6, 5.36e6, 7.1e6, 10.12e6, 14.2e6, 18.1e6, 21.2e6, 24.9e6, 27.0e6, 28.5e6}) {
    const double electrical = two_pi * f / speed_of_light_m_s * 2.4;
    request.bands.push_back({"", f, {8.0 + 10.0 * electrical * electrical, -250.0 / std::tan(electrical)}, 0.0, 0.0});
  }
  double turns = 0.0;
  for (auto _ : state) turns = coil::design_coil(request).winding.sections.front().turns;
  state.counters["turns"] = turns;
}
BENCHMARK(design_10_bands)->Arg(1)->Arg(2)->Arg(4)->Unit(benchmark::kMillisecond);

}  // namespace

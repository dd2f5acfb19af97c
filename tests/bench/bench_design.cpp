// The joint search beside what solving as many antennas one by one costs in the same run, each with tables of its own.

#include <chrono>
#include <string>

#include <benchmark/benchmark.h>
#include <fmt/core.h>

#include <stile/design/design.hpp>
#include <stile/station/brief.hpp>
#include <stile/wire/sweep.hpp>

using namespace stile;

namespace {

using Clock = std::chrono::steady_clock;

double seconds_since(Clock::time_point start) { return std::chrono::duration<double>(Clock::now() - start).count(); }

/// All values are invented.
std::string brief_text(bool six_bands, const std::string& length, const std::string& condition,
                       const std::string& wires = "wires = 1") {
  std::string text = fmt::format(R"([brief]
name = "bench"
[transmitter]
power = "5 W"
swr_limit = 2.0
[antenna]
whip = {{ length = {}, radius = "1.5 mm", metal = "stainless steel" }}
counterpoise = {{ {}, length = ["1 m", "8 m"], radius = "0.5 mm", metal = "copper" }}
base_height = "1.3 m"
gap = "20 mm"
drop_distance = "1.2 m"
[[condition]]
name = "dry"
ground = "medium dry"
{}[network]
kinds = ["L network", "base coil", "transformer", "tuner", "straight"]
[parts]
inductor_q = 200
capacitor_q = 1000
capacitor_series = "E24"
[tuner]
form = "L"
[tuner.inductors]
values = ["0.1 uH", "0.2 uH", "0.4 uH", "0.8 uH", "1.6 uH", "3.2 uH", "6.4 uH"]
q = 120
[tuner.capacitors]
values = ["20 pF", "40 pF", "80 pF", "160 pF", "320 pF", "640 pF"]
q = 1000
)",
                                 length, wires, condition);
  const auto band = [&](const char* name, double low_mhz, double high_mhz) {
    text += fmt::format("[[band]]\nname = \"{0}\"\nlow = \"{1} MHz\"\nhigh = \"{2} MHz\"\n", name, low_mhz, high_mhz);
  };
  band("40 m", 7.08, 7.12);
  band("20 m", 14.15, 14.25);
  if (!six_bands) return text;
  band("80 m", 3.645, 3.655);
  band("30 m", 10.1, 10.15);
  band("15 m", 21.15, 21.3);
  band("10 m", 28.2, 28.5);
  return text;
}

void designed(benchmark::State& state, const std::string& text) {
  const station::Brief brief = station::read_brief(text, "bench");
  for (auto _ : state) {
    const Clock::time_point start = Clock::now();
    const design::Design design = design::find_stations(brief);
    const double search_s = seconds_since(start);
    // One antenna, at one frequency a time, with nothing shared, on one thread.
    const Clock::time_point one = Clock::now();
    std::size_t solves = 0;
    for (const wire::WireCase& wires : station::wire_cases(brief, design.stations.front().antenna)) {
      for (const station::Band& b : brief.given.bands) {
        const double f = b.design_hz;
        benchmark::DoNotOptimize(wire::sweep_antenna(wires.antenna, wires.ground, {&f, 1}, {}, 1));
        ++solves;
      }
    }
    const double solve_s = seconds_since(one) / static_cast<double>(solves);
    state.counters["antennas"] = static_cast<double>(design.searched.antennas);
    state.counters["solves"] = static_cast<double>(design.searched.solves);
    state.counters["search_s"] = search_s;
    state.counters["separate_s"] = solve_s * static_cast<double>(design.searched.solves);
  }
}

void two_bands_designed(benchmark::State& state) { designed(state, brief_text(false, "[\"2 m\", \"2.5 m\"]", "")); }

void three_conditions_six_bands_designed(benchmark::State& state) {
  designed(state,
           brief_text(true, "[\"2 m\", \"4.5 m\"]",
                      "[[condition]]\nname = \"lifted\"\nkind = \"lifted\"\n[[condition]]\nname = \"hand\"\nkind = "
                      "\"hand on set\"\ncontact = { resistance = \"300 ohm\" }\n[set]\n[person]\n"));
}

/// A hand without a stated contact is five of them; four wires side by side.
void five_contacts_four_wires_designed(benchmark::State& state) {
  designed(state,
           brief_text(true, "[\"2 m\", \"4.5 m\"]",
                      "[[condition]]\nname = \"lifted\"\nkind = \"lifted\"\n[[condition]]\nname = \"hand\"\nkind = "
                      "\"hand on set\"\n[set]\n[person]\n",
                      "wires = 4, layout = \"bundle\""));
}

}  // namespace

BENCHMARK(two_bands_designed)->Unit(benchmark::kSecond)->Iterations(1);
BENCHMARK(three_conditions_six_bands_designed)->Unit(benchmark::kSecond)->Iterations(1);
BENCHMARK(five_contacts_four_wires_designed)->Unit(benchmark::kSecond)->Iterations(1);

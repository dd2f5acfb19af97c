// A whole plan: the example from load files, from wires, and a station of twenty bands, conditions and ten
// arrangements; and README's study of the example's wire. Each is what stile-plan does between its file and its output.
// Wall time and processor time of all threads stand beside one another.

#include <string>

#include <benchmark/benchmark.h>

#include <fmt/core.h>

#include <stile/plan/plan.hpp>
#include <stile/plan/vary.hpp>
#include <stile/station/solve_loads.hpp>

using namespace stile;

namespace {

const std::string data = STILE_TEST_DATA;

/// Twenty bands of 1 % from 3.5 to 28 MHz, twenty conditions of a whip whose ground and capacitance wander, ten
/// arrangements of every kind but wound coils, by hand and once (invented).
/// @param series  parts from E24; otherwise any values
std::string large(bool series) {
  std::string text = "[station]\nname = \"large\"\n[transmitter]\npower = \"5 W\"\n";
  for (int b = 0; b < 20; ++b) {
    const double mhz = 3.5 + 1.3 * b;
    text += fmt::format("[[band]]\nname = \"b{}\"\nlow = \"{:.3f} MHz\"\nhigh = \"{:.4f} MHz\"\n", b, mhz, 1.01 * mhz);
  }
  for (int c = 0; c < 20; ++c)
    text +=
        fmt::format("[[load]]\ncondition = \"c{}\"\nwhip = {{ radiation = \"{:.2f} ohm\", radiation_at = \"7 MHz\", "
                    "capacitance = \"{:.2f} pF\", inductance = \"0.8 uH\", ground = \"{} ohm\", metal = \"0.5 ohm\", "
                    "metal_at = \"7 MHz\" }}\n",
                    c, 0.5 + 0.1 * c, 24.0 + 0.3 * c, 10 + c);
  text += "[parts]\ninductor_q = 200\ncapacitor_q = 1000\n";
  if (series) text += "inductor_series = \"E24\"\ncapacitor_series = \"E24\"\n";
  text += R"([tuner]
form = "L"
capacitor_side = "either"
contact_resistance = "0.05 ohm"
[tuner.inductors]
values = ["0.05 uH", "0.1 uH", "0.2 uH", "0.4 uH", "0.8 uH", "1.6 uH", "3.2 uH", "6.4 uH"]
q = 120
[tuner.capacitors]
values = ["10 pF", "20 pF", "40 pF", "80 pF", "160 pF", "320 pF", "640 pF", "1280 pF"]
q = 1000
)";
  const char* kinds[][2] = {{"tuner", ""},        {"tuner", ""},     {"tuner", ""},
                            {"L network", ""},    {"base coil", ""}, {"base coil", "each condition"},
                            {"base coil", "tap"}, {"L network", ""}, {"series capacitor", ""},
                            {"straight", ""}};
  int n = 0;
  for (const auto& [kind, trim] : kinds) {
    text += fmt::format("[[arrangement]]\nname = \"a{}\"\nkind = \"{}\"\n", n++, kind);
    if (*trim != '\0') text += fmt::format("trim = \"{}\"\n", trim);
  }
  return text;
}

void plan_of(benchmark::State& state, const station::StationText& stated) {
  for (auto _ : state) benchmark::DoNotOptimize(plan::make_plan(station::solve_loads(station::read_station(stated))));
}

void example_from_load_files(benchmark::State& state) {
  plan_of(state, station::load_station_text(data + "/plan/moor_from_files.toml"));
}

void example_from_wires(benchmark::State& state) {
  plan_of(state, station::load_station_text(data + "/../../examples/moor/station.toml"));
}

void study_of_wire_length(benchmark::State& state) {
  const station::StationText stated = station::load_station_text(data + "/../../examples/moor/station.toml");
  const station::Vary vary = station::read_vary("load.lifted.wire.counterpoise.length=4m:9m:11");
  for (auto _ : state) benchmark::DoNotOptimize(plan::study(stated, vary));
}

void twenty_by_twenty_by_ten(benchmark::State& state) {
  plan_of(state, {large(state.range(0) != 0), "large.toml", "."});
}

BENCHMARK(example_from_load_files)->Unit(benchmark::kSecond)->UseRealTime()->MeasureProcessCPUTime();
BENCHMARK(example_from_wires)->Unit(benchmark::kSecond)->UseRealTime()->MeasureProcessCPUTime();
BENCHMARK(study_of_wire_length)->Unit(benchmark::kSecond)->UseRealTime()->MeasureProcessCPUTime();
BENCHMARK(twenty_by_twenty_by_ten)
    ->ArgName("E24")
    ->Arg(1)
    ->Arg(0)
    ->Unit(benchmark::kSecond)
    ->UseRealTime()
    ->MeasureProcessCPUTime();

}  // namespace

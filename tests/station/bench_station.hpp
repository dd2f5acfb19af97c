#pragma once
// A small complete station file that uses every key which needs no other file.

namespace stile::station::test {

inline constexpr const char* bench_station = R"toml([station]
name = "bench"
note = "three conditions"
whip_on_body = false

[transmitter]
power = "5 W"
impedance = "50 ohm"
swr_limit = 2
foldback = [{ swr = 2, power = "5 W" }, { swr = 3, power = "2 W" }]

[[band]]
name = "40 m"
low = "7.0 MHz"
high = "7.2 MHz"
use = ["7.05 MHz", "7.15 MHz"]
design = "7.1 MHz"

[[band]]
name = "20 m"
low = "14.0 MHz"
high = "14.35 MHz"

[[load]]
condition = "dry"
impedance = "14-230j ohm"

[[load]]
condition = "wet"
note = "by a model"
[load.whip]
radiation = "1 ohm"
radiation_at = "7 MHz"
capacitance = "25 pF"
inductance = "1 uH"
ground = "20 ohm"
metal = "0.5 ohm"
metal_at = "7 MHz"

[cable.lead]
type = "RG-174"
length = "0.8 m"

[cable.own]
length = "2 m"
impedance = "50 ohm"
velocity_factor = 0.66
attenuation = [{ at = "10 MHz", loss = "4.6 dB", length = "100 m" }]

[parts]
inductor_q = 200
inductor_q_at = "7 MHz"
inductor_resistance = "0.1 ohm"
inductor_self_capacitance = "1 pF"
inductor_rating = { voltage = "2 kV", current = "1 A", power = "3 W" }
inductor_series = "E12"
capacitor_q = 1000
capacitor_resistance = "0.02 ohm"
capacitor_loss_tangent = 0.001
capacitor_rating = { voltage = "500 V" }
capacitor_series = "E24"

[[tuner]]
name = "small"
form = "L"
capacitor_side = "either"
contact_resistance = "0.05 ohm"
[tuner.inductors]
values = ["0.2 uH", "0.8 uH", "3.2 uH"]
q = 100
q_at = "7 MHz"
stray = "0.1 uH"
rating = { voltage = "1 kV" }
[tuner.capacitors]
values = ["40 pF", "160 pF"]
q = 900
stray = "10 pF"

[[arrangement]]
name = "tuner"
kind = "tuner"
tuner = "small"
cable_before = "lead"
cable_after = "own"

[[arrangement]]
name = "L"
kind = "L network"
parts = { inductor_q = 250, capacitor_series = "E12" }
design_condition = "wet"

[[arrangement]]
name = "coil"
kind = "base coil"
trim = "each condition"

[uncertainty]
q = 0.1
ground = "0.5"
)toml";

}  // namespace stile::station::test

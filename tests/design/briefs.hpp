#pragma once
// Small briefs made in code: bare wires over soil, so that an antenna is solved in milliseconds. All values are
// invented. And how figures of them are compared.

#include <string>

#include <catch2/catch.hpp>
#include <fmt/core.h>

namespace stile::design::test {

/// Equal within an absolute margin and nothing else: Catch2 takes the wider of that and a relative 1.2e-5 unless it is
/// told not to.
inline Catch::Detail::Approx within(double value, double margin) {
  return Catch::Detail::Approx(value).epsilon(0.0).margin(margin);
}

struct BriefParts {
  std::string whip = R"({ length = ["2 m", "3 m"], step = "0.5 m", radius = "1.5 mm", metal = "stainless steel" })";
  std::string counterpoise =
      R"({ wires = 1, length = ["3 m", "6 m"], step = "1.5 m", radius = "0.5 mm", metal = "copper" })";
  std::string kinds = R"(["base coil", "transformer", "straight"])";
  std::string bands = R"([[band]]
name = "40 m"
low = "7.0 MHz"
high = "7.2 MHz"
use = ["7.09 MHz", "7.11 MHz"]
[[band]]
name = "20 m"
low = "14.0 MHz"
high = "14.2 MHz"
use = ["14.1 MHz", "14.1 MHz"]
)";
  std::string more;  ///< further tables
};

inline std::string brief_text(const BriefParts& p = {}) {
  return fmt::format(R"([brief]
name = "test"
[transmitter]
power = "5 W"
swr_limit = 3.0
[antenna]
whip = {}
counterpoise = {}
base_height = "1.3 m"
gap = "20 mm"
drop_distance = "1.2 m"
[[condition]]
name = "dry"
ground = "medium dry"
[[condition]]
name = "lifted"
kind = "lifted"
[network]
kinds = {}
turns_ratios = [0.333, 0.5]
[parts]
inductor_q = 200
capacitor_q = 1000
capacitor_series = "E12"
[tuner]
form = "L"
[tuner.inductors]
values = ["0.2 uH", "0.4 uH", "0.8 uH", "1.6 uH", "3.2 uH", "6.4 uH", "12.8 uH"]
q = 120
[tuner.capacitors]
values = ["20 pF", "40 pF", "80 pF", "160 pF", "320 pF", "640 pF"]
q = 1000
{}{})",
                     p.whip, p.counterpoise, p.kinds, p.bands, p.more);
}

}  // namespace stile::design::test

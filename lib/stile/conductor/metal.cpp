#include <stile/conductor/metal.hpp>

#include <cmath>

#include <fmt/format.h>

#include <stile/base/errors.hpp>

namespace stile::conductor {

namespace {

constexpr double iacs_ohm_m = 1.0 / 5.8e7;  // International Annealed Copper Standard, IEC 60028

const std::vector<Metal>& metals() {
  // Resistivity and coefficient with their source; density from memory where nothing else is said.
  static const std::vector<Metal> list{
      {"copper", iacs_ohm_m, 0.00393, 8890.0, false, "annealed: IEC 60028, 1/58 ohm mm2/m at 20 C and 0.00393 per K"},
      {"hard-drawn copper", 1.771e-8, 0.00382, 8890.0, false, "97 % IACS, NBS Handbook 100, from memory"},
      {"tinned copper", 1.0 / 5.6e7, 0.0038, 8890.0, false,
       "soft tinned wire, 96.6 % IACS, common practice; current at HF in a thick tin coat sees more"},
      {"silver", 1.59e-8, 0.0038, 10490.0, false, "public resistivity tables, which disagree by 3 %"},
      {"aluminium", 2.82e-8, 0.0039, 2700.0, false,
       "1350 class, 61 % IACS, Industrial Power Engineering Handbook p. 965"},
      {"aluminium 6063", 3.13e-8, 0.0036, 2700.0, false, "55 % IACS, same page"},
      {"brass", iacs_ohm_m / 0.28, 0.0015, 8530.0, false,
       "30 % zinc (C26000, CuZn30): 28 % IACS and 8.53 g/cm3 at 20 C, Copper Development Association, properties of "
       "wrought "
       "copper alloys; coefficient of a public resistivity table"},
      {"phosphor bronze", 1.15e-7, 0.0, 8800.0, false,
       "5 % tin, 15 % IACS, marine-electrical materials note, 2002; coefficient not stated, taken as 0"},
      {"beryllium copper", 7.0e-8, 0.0, 8250.0, false,
       "25 % IACS, public resistivity table; coefficient not stated, taken as 0"},
      {"tin", 1.09e-7, 0.0045, 7290.0, false, "15 % IACS, public resistivity tables"},
      {"stainless steel", 1.0 / 1.4e6, 0.0, 7900.0, false,
       "austenitic: 7.2e-7 ohm m of AISI 304 at 20 C (public tables; 6.9e-7 to 7.4e-7 elsewhere and for 316) to two "
       "digits of "
       "the conductivity; not magnetic unless cold-drawn; coefficient not stated, taken as 0"},
      {"steel", 1.0 / 6.0e6, 0.005, 7850.0, true,
       "carbon steel, common practice, alloys differ by +-20 %; coefficient from memory"},
  };
  return list;
}

}  // namespace

Metal metal_by_name(std::string_view name) {
  std::string legal;
  for (const Metal& m : metals()) {
    if (m.name == name) return m;
    legal += (legal.empty() ? "\"" : ", \"") + m.name + "\"";
  }
  throw DomainError(fmt::format("no metal \"{}\"; known are {}", name, legal));
}

std::vector<std::string> metal_names() {
  std::vector<std::string> names;
  for (const Metal& m : metals()) names.push_back(m.name);
  return names;
}

double resistivity_ohm_m(const Metal& m, double temperature_c) {
  if (!(temperature_c >= -60.0 && temperature_c <= 300.0)) {
    throw DomainError(fmt::format("a metal at {} degrees Celsius: legal is -60 to 300", temperature_c));
  }
  const double rho = m.resistivity_20c_ohm_m * (1.0 + m.temperature_coefficient_per_k * (temperature_c - 20.0));
  if (!(std::isfinite(rho) && rho > 0.0)) {
    throw DomainError(fmt::format("the resistivity of {} comes out as {} ohm m", m.name, rho));
  }
  return rho;
}

}  // namespace stile::conductor

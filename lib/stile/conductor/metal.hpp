#pragma once
// Metals: one table for coils and antennas.

#include <string>
#include <string_view>
#include <vector>

namespace stile::conductor {

struct Metal {
  std::string name;
  double resistivity_20c_ohm_m = 0.0;          ///< > 0, at 20 degrees Celsius
  double temperature_coefficient_per_k = 0.0;  ///< of the resistivity, at 20 degrees Celsius
  double density_kg_m3 = 0.0;                  ///< > 0
  bool magnetic = false;                       ///< its permeability has to be stated beside
  std::string source;                          ///< where each value is from
};

/// "copper", "hard-drawn copper", "tinned copper", "silver", "aluminium", "aluminium 6063", "brass", "phosphor bronze",
/// "beryllium copper", "tin", "stainless steel" (austenitic), "steel" (carbon steel; magnetic).
/// @throws DomainError  no such metal (the message lists those there are)
/// Source: member `source` of each. Model error: tables of one metal differ by up to 3 % (silver, stainless steel); an
/// alloy is a family: brass with 37 % zinc instead of 30 % has 8 % more, which is 4 % of a resistance at HF.
Metal metal_by_name(std::string_view name);

/// Names that metal_by_name takes.
std::vector<std::string> metal_names();

/// Resistivity at a temperature, ohm metre: straight line through 20 degrees Celsius.
/// @param temperature_c  degrees Celsius, -60 to 300
/// @throws DomainError  outside, or a resistivity that is not > 0
double resistivity_ohm_m(const Metal& metal, double temperature_c);

}  // namespace stile::conductor

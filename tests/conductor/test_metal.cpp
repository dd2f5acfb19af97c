#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/conductor/metal.hpp>

#include "reference.hpp"

using namespace stile;
using namespace stile::conductor;
using namespace stile::conductor::test;

TEST_CASE("metals follow temperature") {
  // 1/58 ohm mm2/m and 0.00393 per kelvin: annealed copper, IEC 60028.
  const Metal copper = metal_by_name("copper");
  CHECK(off(resistivity_ohm_m(copper, 20.0), 1e-6 / 58.0) <= 1e-15);
  CHECK(off(resistivity_ohm_m(copper, 70.0), 1e-6 / 58.0 * 1.1965) <= 1e-12);
  CHECK_THROWS_AS(resistivity_ohm_m(copper, 400.0), DomainError);
  CHECK_THROWS_AS(metal_by_name("unobtainium"), DomainError);
}

TEST_CASE("every metal has a plausible resistivity, density and a source") {
  for (const std::string& name : metal_names()) {
    INFO(name);
    const Metal m = metal_by_name(name);
    CHECK(m.resistivity_20c_ohm_m > 1.5e-8);
    CHECK(m.resistivity_20c_ohm_m < 1e-6);
    CHECK(m.density_kg_m3 > 2600.0);
    CHECK(!m.source.empty());
    CHECK(m.magnetic == (name == "steel"));
  }
  for (const char* name : {"copper", "tinned copper", "aluminium", "brass", "phosphor bronze", "stainless steel",
                           "steel", "hard-drawn copper", "silver", "aluminium 6063", "tin", "beryllium copper"})
    CHECK_NOTHROW(metal_by_name(name));
}

TEST_CASE("every metal has its printed row") {
  // Resistivity at 20 C by percent of the annealed copper standard or as printed, coefficient per kelvin, density.
  struct Row {
    const char* name;
    double resistivity_ohm_m, coefficient_per_k, density_kg_m3;
  };
  constexpr double iacs = 1e-6 / 58.0;  // IEC 60028, 1/58 ohm mm2/m
  const std::vector<Row> rows{
      {"copper", iacs, 0.00393, 8890.0},                        // IEC 60028, all three
      {"hard-drawn copper", 1.771e-8, 0.00382, 8890.0},         // NBS Handbook 100 (97.4 % IACS), density IEC 60028
      {"tinned copper", iacs / (56.0 / 58.0), 0.0038, 8890.0},  // 96.6 % IACS: 56 S m/mm2
      {"silver", 1.59e-8, 0.0038, 10490.0},                     // public resistivity tables, density 10.49 g/cm3
      {"aluminium", 2.82e-8, 0.0039, 2700.0},         // 61 % IACS, Industrial Power Engineering Handbook p. 965
      {"aluminium 6063", 3.13e-8, 0.0036, 2700.0},    // 55 % IACS, same page
      {"brass", iacs / 0.28, 0.0015, 8530.0},         // Copper Development Association, C26000
      {"phosphor bronze", 1.15e-7, 0.0, 8800.0},      // 15 % IACS
      {"beryllium copper", 7.0e-8, 0.0, 8250.0},      // 25 % IACS
      {"tin", 1.09e-7, 0.0045, 7290.0},               // public resistivity tables, density 7.29 g/cm3
      {"stainless steel", 1.0 / 1.4e6, 0.0, 7900.0},  // AISI 304, 7.2e-7 ohm m to two digits of S/m
      {"steel", 1.0 / 6.0e6, 0.005, 7850.0},          // carbon steel
  };
  REQUIRE(metal_names().size() == rows.size());
  for (std::size_t n = 0; n < rows.size(); ++n) {
    const Row& row = rows[n];
    INFO(row.name);
    CHECK(metal_names()[n] == row.name);
    const Metal m = metal_by_name(row.name);
    CHECK(off(m.resistivity_20c_ohm_m, row.resistivity_ohm_m) <= 1e-12);
    CHECK(m.temperature_coefficient_per_k == row.coefficient_per_k);
    CHECK(m.density_kg_m3 == row.density_kg_m3);
    CHECK(m.magnetic == (m.name == "steel"));
    // A line from 20 C: worked by hand, 100 K more.
    CHECK(off(resistivity_ohm_m(m, 120.0), row.resistivity_ohm_m * (1.0 + 100.0 * row.coefficient_per_k)) <= 1e-12);
  }
}

TEST_CASE("a metal is known from -60 to 300 degrees") {
  const Metal copper = metal_by_name("copper");
  // Worked by hand: 1 + 0.00393 * (-80) and * 280.
  CHECK(off(resistivity_ohm_m(copper, -60.0), 1e-6 / 58.0 * 0.6856) <= 1e-12);
  CHECK(off(resistivity_ohm_m(copper, 300.0), 1e-6 / 58.0 * 2.1004) <= 1e-12);
  CHECK_THROWS_AS(resistivity_ohm_m(copper, -60.1), DomainError);
  CHECK_THROWS_AS(resistivity_ohm_m(copper, 300.1), DomainError);
}

TEST_CASE("alloys have the conductivity of their data sheet") {
  // Percent of the annealed copper standard, and printed resistivity, to the digits printed.
  const auto iacs = [](const char* name) { return 100.0 / 5.8e7 / metal_by_name(name).resistivity_20c_ohm_m; };
  CHECK(off(iacs("brass"), 28.0) <= 1e-12);  // C26000, 30 % zinc: Copper Development Association
  CHECK(std::abs(metal_by_name("brass").resistivity_20c_ohm_m - 6.16e-8) <= 0.005e-8);  // the same sheet
  CHECK(std::abs(iacs("phosphor bronze") - 15.0) <= 0.5);
  CHECK(std::abs(iacs("beryllium copper") - 25.0) <= 0.5);
  CHECK(std::abs(iacs("aluminium") - 61.0) <= 0.5);
  CHECK(std::abs(iacs("hard-drawn copper") - 97.0) <= 0.5);
  CHECK(std::abs(metal_by_name("stainless steel").resistivity_20c_ohm_m - 7.2e-7) <=
        0.06e-7);  // AISI 304, to two digits of S/m
}

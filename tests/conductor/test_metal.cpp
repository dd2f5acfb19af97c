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

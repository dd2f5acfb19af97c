#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/conductor/wire_gauge.hpp>

#include "reference.hpp"

using namespace stile;
using namespace stile::conductor;
using namespace stile::conductor::test;

TEST_CASE("wire gauges of the reference table") {
  const Table t = conductor_reference("wire_gauge.csv");
  std::size_t awg = 0, swg = 0;
  for (std::size_t r = 0; r < t.rows.size(); ++r) {
    const std::string system = t.text(r, "system"), gauge = t.text(r, "gauge");
    INFO(system << " " << gauge);
    REQUIRE((system == "AWG" || system == "SWG"));
    ++(system == "AWG" ? awg : swg);
    const double d = wire_diameter_m(system + " " + gauge);
    // Half a unit of the sixth decimal for the rounded AWG table; SWG is exact.
    const double tolerance = system == "AWG" ? 0.5e-6 : 1e-15;
    CHECK(std::abs(d / metre_per_inch - t.number(r, "diameter_in")) <= tolerance + 1e-15);
    CHECK(std::abs(d * 1e3 - t.number(r, "diameter_mm")) <= tolerance + 1e-14);
    CHECK(std::abs(pi / 4.0 * d * d * 1e6 - t.number(r, "area_mm2")) <= 0.5e-6 + 1e-13);
  }
  CHECK(awg == 44);
  CHECK(swg == 57);
  CHECK(awg + swg == t.rows.size());
}

TEST_CASE("spellings of a wire gauge") {
  CHECK(std::abs(wire_diameter_m("AWG 36") - 0.005 * metre_per_inch) <= 1e-19);  // the formula's fixed point
  CHECK(std::abs(wire_diameter_m("AWG 4/0") / (0.46 * metre_per_inch) - 1.0) <= 1e-15);
  CHECK(wire_diameter_m("AWG4/0") == wire_diameter_m("AWG 0000"));
  CHECK(wire_diameter_m(" AWG  24 ") == wire_diameter_m("AWG24"));
  CHECK(wire_diameter_m("AWG 0") == wire_diameter_m("AWG 1/0"));
  CHECK(wire_diameter_m("SWG 00") == wire_diameter_m("SWG 2/0"));
  CHECK(wire_diameter_m("AWG 56") < wire_diameter_m("AWG 40"));
  for (const char* bad :
       {"", "AWG", "AWG ", "24", "awg 24", "BWG 20", "AWG 57", "AWG 5/0", "SWG 8/0", "SWG 51", "AWG -1", "AWG 24x",
        "AWG 2 4", "AWG 024", "AWG 0/0", "AWG /0", "AWG 1.5", "AWG 99999999999", "AWG 00000"}) {
    INFO(bad);
    CHECK_THROWS_AS(wire_diameter_m(bad), DomainError);
  }
}

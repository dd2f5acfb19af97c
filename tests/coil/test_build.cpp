#include <cmath>

#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/coil/build.hpp>

#include "reference.hpp"

using namespace stile;
using namespace stile::coil;
using namespace stile::coil::test;

TEST_CASE("a build sheet has every mark in its place") {
  Winding winding = plain_winding(10, 0.041, 0.002, 0.001);
  winding.sections.push_back({0.03, 4.5, 0.003, 0.0});
  const BuildData b = build_data(winding, {{"20 m", {0, 6.25}}, {"10 m", {1, 2.5}}}, 0.1);
  CHECK(off(b.former_diameter_m, 0.040) <= 1e-12);
  CHECK(off(b.outer_diameter_m, 0.042) <= 1e-12);
  CHECK(off(b.winding_length_m, 0.0435 + 0.001) <= 1e-12);
  CHECK(off(b.cut_length_m, b.wire_length_m + 0.4) <= 1e-12);
  // Copper of 1 mm, 8890 kg/m3: pi/4 mm2 times that for each metre of the cut wire.
  CHECK(off(b.mass_kg, b.cut_length_m * 0.25e-6 * pi * 8890.0) <= 1e-12);
  CHECK(off(b.hole_diameter_m, 0.0012) <= 1e-12);
  REQUIRE(b.turns.size() == 17);
  REQUIRE(b.holes.size() == 4);
  REQUIRE(b.taps.size() == 2);
  CHECK(off(b.taps[0].along_m, 0.0125) <= 1e-12);
  CHECK(off(b.taps[0].angle_deg, 90.0) <= 1e-9);
  CHECK(off(b.taps[0].around_m, 0.25 * pi * 0.040) <= 1e-9);
  CHECK(off(b.taps[0].wire_m, 6.25 * std::hypot(pi * 0.041, 0.002)) <= 1e-12);
  CHECK(off(b.taps[1].along_m, 0.0375) <= 1e-12);
  CHECK(off(b.taps[1].wire_m, 10 * std::hypot(pi * 0.041, 0.002) + 2.5 * std::hypot(pi * 0.041, 0.003)) <= 1e-12);
  CHECK(off(b.holes.back().wire_m, b.wire_length_m) <= 1e-12);
  CHECK(off(b.holes.back().angle_deg, 180.0) <= 1e-9);
  for (std::size_t i = 1; i < b.turns.size(); ++i) CHECK(b.turns[i].along_m > b.turns[i - 1].along_m);
  CHECK(off(std::tan(b.helix_angle_deg * pi / 180.0), 0.002 / (pi * 0.041)) <= 1e-12);
  CHECK_THROWS_AS(build_data(winding, {{"off", {0, 11.0}}}, 0.1), DomainError);
  CHECK_THROWS_AS(build_data(winding, {}, -0.1), DomainError);
}

#include <catch2/catch.hpp>

#include <stile/wire/closed_forms.hpp>
#include <stile/wire/resonance.hpp>

#include "wire/reference.hpp"

using namespace stile;
using namespace stile::wire;
using namespace stile::wire::test;

TEST_CASE("resonance by length and by frequency") {
  const auto whip = [](double length) { return monopole(length, 0.001); };
  const Root length = resonant_length(whip, perfect_ground(), 14.2e6, 4.5, 5.5);
  REQUIRE(length.status == RootStatus::found);
  CHECK(std::abs(length.x / quarter_wave_rule_m(14.2e6) - 1.0) < 0.03);
  const Root frequency = resonant_frequency(monopole(length.x, 0.001), perfect_ground(), 13e6, 15e6);
  REQUIRE(frequency.status == RootStatus::found);
  CHECK(std::abs(frequency.x - 14.2e6) < 2e3);
  CHECK(resonant_frequency(monopole(length.x, 0.001), perfect_ground(), 10e6, 12e6).status == RootStatus::no_bracket);
}

#include <catch2/catch.hpp>

#include <cmath>

#include <stile/base/constants.hpp>
#include <stile/match/load_limit.hpp>

using namespace stile;
using namespace stile::match;

namespace {

load::Load constant(cdouble z_ohm) { return {"load", "test", load::ConstantLoad{z_ohm}, {}}; }

}  // namespace

TEST_CASE("the limit of a load by its Q") {
  // Q 300/20 = 15; at SWR 2 |G| is 1/3: pi/(15 ln 3) of 14.2 MHz.
  const LoadLimit limit = load_limit(constant({20.0, -300.0}), 14.2e6, 2.0);
  REQUIRE(limit.load_q.has_value());
  REQUIRE(limit.widest_band_hz.has_value());
  CHECK(std::abs(*limit.load_q - 15.0) <= 1e-14 * 15.0);
  CHECK(std::abs(*limit.widest_band_hz / (14.2e6 * pi / (15.0 * std::log(3.0))) - 1.0) <= 1e-14);
  CHECK(std::abs(*limit.widest_band_hz - 2.707e6) <= 500.0);
}

TEST_CASE("a limit that is not known is nothing") {
  const LoadLimit resistance = load_limit(constant(20.0), 14.2e6, 2.0);
  CHECK(resistance.load_q == 0.0);
  CHECK(!resistance.widest_band_hz.has_value());
  // Without resistance Q is infinite; one sample alone has no slope.
  const load::Load one_sample{"load", "test", load::make_sampled_load({14.2e6}, {cdouble(20.0, -300.0)}), {}};
  for (const load::Load& load : {constant({0.0, -300.0}), one_sample}) {
    const LoadLimit limit = load_limit(load, 14.2e6, 2.0);
    CHECK(!limit.load_q.has_value());
    CHECK(!limit.widest_band_hz.has_value());
  }
}

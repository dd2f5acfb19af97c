#include <catch2/catch.hpp>

#include <cmath>
#include <vector>

#include <stile/network/element.hpp>
#include <stile/network/foldback.hpp>

using namespace stile::network;

TEST_CASE("power falls in straight lines between fold-back points and keeps the last value") {
  const std::vector<FoldbackPoint> foldback{{2.0, 5.0}, {3.0, 2.0}};
  CHECK(power_at_swr(5.0, {}, 7.0) == 5.0);
  CHECK(power_at_swr(5.0, foldback, 0.999999) == 5.0);  // rounding below 1
  CHECK(power_at_swr(5.0, foldback, 2.0) == 5.0);
  CHECK(std::abs(power_at_swr(5.0, foldback, 2.5) - 3.5) <= 1e-12);
  CHECK(power_at_swr(5.0, foldback, 3.0) == 2.0);
  CHECK(power_at_swr(5.0, foldback, infinite) == 2.0);
  // From SWR 1 on: worked by hand, a quarter and a half of the way from 5 to 4 W, then half of that to 1 W.
  const std::vector<FoldbackPoint> at_once{{2.0, 4.0}, {4.0, 1.0}};
  CHECK(power_at_swr(5.0, at_once, 1.0) == 5.0);
  CHECK(power_at_swr(5.0, at_once, 1.0 - 1e-9) == 5.0);
  CHECK(std::abs(power_at_swr(5.0, at_once, 1.25) - 4.75) <= 1e-12);
  CHECK(std::abs(power_at_swr(5.0, at_once, 1.5) - 4.5) <= 1e-12);
  CHECK(power_at_swr(5.0, at_once, 2.0) == 4.0);
  CHECK(std::abs(power_at_swr(5.0, at_once, 3.0) - 2.5) <= 1e-12);
  CHECK(power_at_swr(5.0, at_once, 5.0) == 1.0);
}

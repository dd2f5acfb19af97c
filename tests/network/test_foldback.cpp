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
}

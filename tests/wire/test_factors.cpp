#include <catch2/catch.hpp>

#include <cmath>
#include <random>

#include <stile/wire/detail/factors.hpp>

using namespace stile;
using namespace stile::wire::detail;

TEST_CASE("a system of equations is solved with a residual of 1e-13, whatever its size and its pivots") {
  std::mt19937 random(3);
  std::normal_distribution<> normal;
  for (const std::size_t n : {1U, 2U, 7U, 8U, 31U, 32U, 33U, 40U, 64U, 97U, 150U}) {
    CAPTURE(n);
    std::vector<cdouble> a(n * n);
    for (cdouble& one : a) one = {normal(random), normal(random)};
    for (std::size_t k = 0; n > 1 && k < n; ++k) a[k * n + k] = 0.0;  // without exchanging rows there is no solution
    std::vector<double> right(n);
    for (double& one : right) one = normal(random);
    const std::vector<cdouble> x = Factors(a, n).solve(right);
    double largest = 0.0, size = 0.0, residual = 0.0;
    for (const cdouble& one : x) largest = std::max(largest, std::abs(one));
    for (std::size_t r = 0; r < n; ++r) {
      cdouble sum = -right[r];
      double row = 0.0;
      for (std::size_t c = 0; c < n; ++c) sum += a[r * n + c] * x[c], row += std::abs(a[r * n + c]);
      size = std::max(size, row);
      residual = std::max(residual, std::abs(sum));
    }
    CHECK(residual <= 1e-13 * size * largest);
  }
  const std::vector<cdouble> none = Factors({1.0, 1.0, 1.0, 1.0}, 2).solve({1.0, 0.0});
  CHECK_FALSE((std::isfinite(none[0].real()) && std::isfinite(none[1].real())));
}

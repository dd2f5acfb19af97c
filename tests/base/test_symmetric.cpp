#include <cmath>
#include <random>
#include <vector>

#include <base/definite_matrix.hpp>
#include <catch2/catch.hpp>

#include <stile/base/detail/symmetric.hpp>

using namespace stile;
using stile::detail::SymmetricSystem;

namespace {

SymmetricSystem system_of(const std::vector<cdouble>& a, std::size_t n, std::size_t columns = 0) {
  SymmetricSystem system(n, columns);
  for (std::size_t k = 0; k < n; ++k) {
    for (std::size_t i = k; i < n; ++i) system.set(i, k, a[i + k * n]);
  }
  return system;
}

}  // namespace

TEST_CASE("a symmetric system times its solution is the right side") {
  std::mt19937 engine(10);
  std::uniform_real_distribution<double> number(-1.0, 1.0);
  for (const std::size_t n : {1U, 3U, 16U, 17U, 50U}) {
    const std::vector<cdouble> a = definite_matrix(n, engine);
    SymmetricSystem system = system_of(a, n, 2);
    std::vector<cdouble> first(n), second(n);
    for (std::size_t i = 0; i < n; ++i) {
      first[i] = i % 3 == 1 ? 0.0 : cdouble{number(engine), number(engine)};
      second[i] = i < n / 2 ? 0.0 : cdouble{number(engine), 0.0};
      system.set_right(i, 0, first[i]);
      if (second[i] != 0.0) system.set_right(i, 1, second[i]);
    }
    REQUIRE(system.eliminate());
    const cdouble of_first{0.5, -2.0}, of_second{-1.0, 0.25};
    const std::vector<cdouble> x = system.solve(std::vector{of_first, of_second});
    for (std::size_t i = 0; i < n; ++i) {
      cdouble sum = -(of_first * first[i] + of_second * second[i]);
      for (std::size_t k = 0; k < n; ++k) sum += a[i + k * n] * x[k];
      INFO("size " << n << ", row " << i);
      CHECK(std::abs(sum) <= 1e-11);
    }
  }
}

TEST_CASE("sums on the right of an elimination may begin anywhere") {
  std::mt19937 engine(9);
  constexpr std::size_t n = 40;
  SymmetricSystem system = system_of(definite_matrix(n, engine), n, 3);
  const std::vector<std::vector<std::size_t>> sums{{20, 21, 39}, {0, 5}, {}};
  for (std::size_t k = 0; k < sums.size(); ++k) {
    for (const std::size_t row : sums[k]) system.set_right(row, k, 2.0);
  }
  REQUIRE(system.eliminate());
  for (std::size_t m = 0; m < sums.size(); ++m) {
    std::vector<cdouble> only(sums.size(), 0.0);
    only[m] = 1.0;
    const std::vector<cdouble> x = system.solve(only);
    for (std::size_t k = 0; k < sums.size(); ++k) {
      cdouble expected = 0.0;
      for (const std::size_t row : sums[k]) expected += 2.0 * x[row];
      CHECK(std::abs(system.condensed(k, m) - expected) <= 1e-11);
    }
  }
}

TEST_CASE("a matrix that needs pivoting is not eliminated without") {
  SymmetricSystem system = system_of({{0.0, 0.0}, {1.0, 0.5}, {1.0, 0.5}, {0.0, 0.0}}, 2);
  CHECK_FALSE(system.eliminate());
  // A pivot at 1e-3 of what it divides is taken, one below is not.
  SymmetricSystem just = system_of({{1.0, 0.0}, {999.0, 0.0}, {999.0, 0.0}, {1.0, 0.0}}, 2);
  CHECK(just.eliminate());
  SymmetricSystem small = system_of({{1.0, 0.0}, {1001.0, 0.0}, {1001.0, 0.0}, {1.0, 0.0}}, 2);
  CHECK_FALSE(small.eliminate());
}

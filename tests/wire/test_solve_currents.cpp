#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include <base/definite_matrix.hpp>
#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/wire/detail/matrix.hpp>

using namespace stile;
using namespace stile::wire::detail;

namespace {

/// Largest residual of the whole equations of one antenna.
double residual(const std::vector<cdouble>& couplings, const std::vector<MatrixEntry>& series,
                const std::vector<double>& place, const std::vector<cdouble>& x) {
  const std::size_t n = place.size();
  std::vector<cdouble> left(n, 0.0);
  for (std::size_t column = 0; column < n; ++column) {
    for (std::size_t row = column; row < n; ++row) {
      left[row] += couplings[row + n * column] * x[column];
      if (row != column) left[column] += couplings[row + n * column] * x[row];
    }
  }
  for (const MatrixEntry& e : series) {
    left[e.row] += e.ohm * x[e.column];
    if (e.row != e.column) left[e.column] += e.ohm * x[e.row];
  }
  double most = 0.0;
  for (std::size_t row = 0; row < n; ++row) most = std::max(most, std::abs(left[row] - place[row]));
  return most;
}

}  // namespace

TEST_CASE("antennas that differ in a few series impedances solve their own equations") {
  std::mt19937 engine(12);
  std::uniform_real_distribution<double> number(-1.0, 1.0);
  constexpr std::size_t n = 37;
  const std::vector<cdouble> couplings = definite_matrix(n, engine);
  std::vector<std::vector<double>> places(2, std::vector<double>(n, 0.0));
  places[0][0] = 0.5, places[0][5] = -0.25, places[0][20] = 1.0;
  places[1][36] = 1.0;
  const std::vector<MatrixEntry> first{{0, 0, {3.0, 1.0}},   {4, 4, {1.0, -2.0}}, {20, 4, {0.5, 0.5}},
                                       {20, 20, {0.0, 0.0}}, {36, 20, 0.125},     {36, 36, {2.0, 0.0}}};
  for (const std::size_t differing : {0U, 1U, 3U, 6U}) {
    std::vector<std::vector<MatrixEntry>> series(3, first);
    for (std::size_t e = 0; e < differing; ++e) {
      series[1][first.size() - 1 - e].ohm += cdouble{number(engine), number(engine)};
      series[2][first.size() - 1 - e].ohm *= 4.0;
    }
    const auto all = solve_currents(places, couplings, series);
    REQUIRE(all.size() == series.size());
    for (std::size_t a = 0; a < series.size(); ++a) {
      REQUIRE(all[a].size() == places.size());
      for (std::size_t p = 0; p < places.size(); ++p) {
        INFO(differing << " differ, antenna " << a << ", place " << p);
        CHECK(residual(couplings, series[a], places[p], all[a][p]) <= 1e-12);
      }
    }
  }
}

TEST_CASE("equations that need pivoting are solved with it, antenna by antenna") {
  const std::vector<cdouble> couplings{0.0, {1.0, 0.5}, 0.0, 0.0};  // of two functions, the lower triangle
  const std::vector<std::vector<double>> places{{1.0, 2.0}};
  const std::vector<std::vector<MatrixEntry>> alike(2, {{0, 0, 0.0}});
  for (const auto& one : solve_currents(places, couplings, alike))
    CHECK(residual(couplings, alike.front(), places.front(), one.front()) <= 1e-15);
  const std::vector<std::vector<MatrixEntry>> series{{{1, 1, 0.0}}, {{1, 1, {0.0, 4.0}}}};
  const auto all = solve_currents(places, couplings, series);
  for (std::size_t a = 0; a < series.size(); ++a)
    CHECK(residual(couplings, series[a], places.front(), all[a].front()) <= 1e-14);
  CHECK_THROWS_AS(solve_currents(places, {0.0, 0.0, 0.0, 0.0}, {{}}), DomainError);
}

TEST_CASE("antennas whose common part is near to a resonance that none of them has are solved with pivoting") {
  // Of the first two functions alone the matrix is singular within 1e-14.
  const std::vector<cdouble> couplings{1.0, 1.0, {0.5, 1.0}, 0.0, 1.0 + 1e-14, {-0.5, 0.25}, 0.0, 0.0, {2.0, 1.0}};
  const std::vector<std::vector<double>> places{{1.0, 0.0, 0.5}};
  const std::vector<std::vector<MatrixEntry>> series{{{2, 2, 1.0}}, {{2, 2, {0.0, 3.0}}}};
  const auto all = solve_currents(places, couplings, series);
  for (std::size_t a = 0; a < series.size(); ++a)
    CHECK(residual(couplings, series[a], places.front(), all[a].front()) <= 1e-12);
}

#include <cmath>
#include <random>

#include <base/definite_matrix.hpp>
#include <catch2/catch.hpp>

#include <stile/coil/analysis.hpp>
#include <stile/coil/detail/symmetric_inverse.hpp>

using namespace stile;
using namespace stile::coil;

namespace {

/// Largest entry of a x - 1, x the inverse found.
double residual(const std::vector<cdouble>& a, const SquareMatrix<cdouble>& x) {
  double worst = 0.0;
  for (std::size_t i = 0; i < x.n; ++i) {
    for (std::size_t j = 0; j < x.n; ++j) {
      cdouble sum = i == j ? -1.0 : 0.0;
      for (std::size_t k = 0; k < x.n; ++k) sum += a[i + k * x.n] * x(k, j);
      worst = std::max(worst, std::abs(sum));
    }
  }
  return worst;
}

}  // namespace

TEST_CASE("the elimination of a symmetric matrix gives its inverse and any part of it") {
  std::mt19937 engine(8);
  for (const std::size_t n : {1U, 2U, 4U, 5U, 15U, 16U, 17U, 33U, 70U}) {
    const std::vector<cdouble> a = definite_matrix(n, engine);
    INFO("size " << n);
    const SquareMatrix<cdouble> inverse = coil::detail::symmetric_inverse(a);
    CHECK(residual(a, inverse) <= 1e-11);
    std::vector<std::size_t> rows;
    for (std::size_t i = n / 3; i < n; i += 3) rows.push_back(i);
    const SquareMatrix<cdouble> part = coil::detail::inverse_entries(a, rows);
    for (std::size_t i = 0; i < rows.size(); ++i) {
      for (std::size_t j = 0; j < rows.size(); ++j)
        CHECK(std::abs(part(i, j) - inverse(rows[i], rows[j])) <= 1e-12 * std::abs(inverse(rows[i], rows[i])));
    }
  }
}

TEST_CASE("a matrix that needs pivoting is inverted too") {
  const std::vector<cdouble> swapped{{0.0, 0.0}, {1.0, 0.5}, {1.0, 0.5}, {0.0, 0.0}};
  CHECK(residual(swapped, coil::detail::symmetric_inverse(swapped)) <= 1e-15);
  const SquareMatrix<cdouble> corner = coil::detail::inverse_entries(swapped, {1});
  CHECK(std::abs(corner(0, 0)) <= 1e-15);
}

TEST_CASE("impedances between places are those of the analysis below and above resonance") {
  const Winding winding = plain_winding(30, 0.05, 0.002, 0.001);
  const CoilModel model = coil_model(winding);
  double resonance_hz = 0.0;
  for (const double f : {1e6, 5e6, 12e6, 20e6, 33e6, 47e6, 60e6, 90e6}) {
    const TurnSolution turns = solve_turns(model, f);
    for (const double tap : {4.0, 17.0, 22.5, 30.0}) {
      const Connection connection = tapped(winding, tap, Unused::open, Grounded::from);
      const CoilPoint point = analyse(model, turns, connection);
      const SquareMatrix<cdouble> z = place_impedance_ohm(model, turns, {{0, tap}}, WirePlace{0, 0.0});
      INFO(f << " Hz, tap " << tap);
      CHECK(std::abs(z(0, 0) - point.z_ohm) <= 1e-9 * std::abs(point.z_ohm));
      if (tap == 30.0) resonance_hz = point.self_resonance_hz;
    }
  }
  CHECK(resonance_hz > 12e6);
  CHECK(resonance_hz < 33e6);
}

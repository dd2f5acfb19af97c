#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include <boost/math/quadrature/tanh_sinh.hpp>

#include <stile/base/constants.hpp>
#include <stile/wire/detail/gauss.hpp>
#include <stile/wire/detail/kernel.hpp>
#include <stile/wire/vec3.hpp>

using namespace stile;
using namespace stile::wire;
using namespace stile::wire::detail;

namespace {

// Nested tanh-sinh quadrature of the plain integrand, split where the distance is least.
cdouble brute(const LineCell& p, const LineCell& q, double k, double b2, int i, int j) {
  boost::math::quadrature::tanh_sinh<double> rule(12);
  const auto piecewise = [&](const auto& f, double split) {
    const double s = std::min(std::max(split, 0.0), 1.0);
    double sum = 0.0;
    if (s > 1e-12) sum += rule.integrate(f, 0.0, s, 1e-11);
    if (s < 1.0 - 1e-12) sum += rule.integrate(f, s, 1.0, 1e-11);
    return sum;
  };
  const auto part = [&](bool real) {
    const auto outer = [&](double x) {
      const Vec3 r = p.start + (x * p.length_m) * p.direction;
      const auto inner = [&](double y) {
        const Vec3 d = r - q.start - (y * q.length_m) * q.direction;
        const double distance = std::sqrt(dot(d, d) + b2);
        const double f = (real ? std::cos(k * distance) : -std::sin(k * distance)) / distance;
        return f * (j == 0 ? 1.0 - y : y);
      };
      return (i == 0 ? 1.0 - x : x) * piecewise(inner, dot(r - q.start, q.direction) / q.length_m);
    };
    return p.length_m * q.length_m * piecewise(outer, 0.5);
  };
  return {part(true), part(false)};
}

void compare(const LineCell& p, const LineCell& q, double k, double b2, double tolerance) {
  const PairBlock block = pair_block(p, q, k);
  for (int i = 0; i < 2; ++i) {
    for (int j = 0; j < 2; ++j) {
      const cdouble expected = brute(p, q, k, b2, i, j);
      const cdouble value = block.n[static_cast<std::size_t>(i)][static_cast<std::size_t>(j)];
      INFO(i << j << " " << value << " expected " << expected);
      CHECK(std::abs(value - expected) <= tolerance * std::abs(expected));
      CHECK(std::abs(value.imag() - expected.imag()) <= 1e-8 * std::abs(expected.imag()));
    }
  }
}

}  // namespace

TEST_CASE("Gauss rules integrate polynomials exactly") {
  for (const int n : {1, 2, 5, 10, 16, 64, 512}) {
    double constant = 0.0, power = 0.0;
    for (const GaussPoint& g : gauss_rule(n)) {
      constant += g.weight;
      power += g.weight * std::pow(g.x, 2 * n - 1);
    }
    CHECK(std::abs(constant - 1.0) <= 1e-14);
    CHECK(std::abs(power - 1.0 / (2 * n)) <= 1e-14);
  }
}

TEST_CASE("pairs of cells against nested quadrature") {
  const double k = two_pi * 14e6 / speed_of_light_m_s;
  const LineCell cell{{0.1, 0.2, 1.0}, {0.0, 0.0, 1.0}, 0.2, 0.002};
  SECTION("a cell with itself") { compare(cell, cell, k, 4e-6, 1e-5); }
  SECTION("neighbours of different length on a line") {
    compare(cell, {{0.1, 0.2, 1.2}, {0.0, 0.0, 1.0}, 0.35, 0.002}, k, 4e-6, 1e-5);
  }
  SECTION("a bend with two radii") {
    compare(cell, {{0.1, 0.2, 1.2}, {1.0, 0.0, 0.0}, 0.3, 0.001}, k, 0.5 * (4e-6 + 1e-6), 1e-5);
  }
  SECTION("side by side at 2 cm and shifted") {
    compare(cell, {{0.12, 0.2, 1.07}, {0.0, 0.0, 1.0}, 0.25, 0.002}, k, 0.0, 1e-6);
  }
  SECTION("far apart and askew") { compare(cell, {{1.1, -0.5, 0.3}, {0.6, 0.0, 0.8}, 0.25, 0.001}, k, 0.0, 1e-6); }
}

TEST_CASE("far pairs on both sides of where their series end") {
  // The series of a far pair reach to k R = 1 and to 3; beyond, sine and cosine themselves.
  const double k = two_pi * 28e6 / speed_of_light_m_s;
  const LineCell cell{{0.1, 0.2, 1.0}, {0.0, 0.0, 1.0}, 0.2, 0.002};
  for (const double x : {1.3, 1.5, 1.6, 1.7, 4.9, 5.1, 5.2, 9.0, 20.0}) {
    INFO("k R " << k * x);
    compare(cell, {{0.1 + x, 0.2, 0.5}, {0.6, 0.0, 0.8}, 0.25, 0.001}, k, 0.0, 1e-6);
  }
}

TEST_CASE("a pair of cells is symmetric") {
  const double k = two_pi * 14e6 / speed_of_light_m_s;
  const LineCell a{{0.0, 0.0, 1.0}, {0.0, 0.0, 1.0}, 0.2, 0.002}, b{{0.3, 0.0, 1.1}, {0.6, 0.8, 0.0}, 0.3, 0.001};
  const PairBlock ab = pair_block(a, b, k), ba = pair_block(b, a, k);
  for (std::size_t i = 0; i < 2; ++i) {
    for (std::size_t j = 0; j < 2; ++j) CHECK(ab.n[i][j] == ba.n[j][i]);
  }
}

TEST_CASE("a short cell gets the kernel averaged around the tube") {
  // Static self-integral of a tube, uniform charge: average over the angle of the closed form of the filaments'
  // integral.
  const double a = 0.002, length = 0.005;
  const auto filaments = [&](double b) {  // double integral of 1/R over a square of side L at distance b
    return 2.0 * (length * std::asinh(length / b) - std::sqrt(length * length + b * b) + b);
  };
  boost::math::quadrature::tanh_sinh<double> rule;
  const double tube =
      rule.integrate([&](double phi) { return filaments(2.0 * a * std::sin(0.5 * phi)); }, 0.0, pi) / pi;
  const LineCell cell{{0.0, 0.0, 1.0}, {0.0, 0.0, 1.0}, length, a};
  const double value = pair_block(cell, cell, 1e-6).sum().real();
  CHECK(std::abs(value - tube) <= 1e-4 * tube);
  CHECK(std::abs(filaments(a) - tube) > 0.02 * tube);  // what the thin kernel would have given
}

TEST_CASE("potential of a cell at a point") {
  const double k = two_pi * 14e6 / speed_of_light_m_s;
  const LineCell cell{{0.0, 0.0, 0.0}, {1.0, 0.0, 0.0}, 0.3, 0.001};
  boost::math::quadrature::tanh_sinh<double> rule;
  for (const Vec3& p : {Vec3{0.1, 0.05, 0.0}, Vec3{2.0, 1.0, -1.0}, Vec3{-0.2, 0.0, 0.01}}) {
    const auto part = [&](bool real, int end) {
      return 0.3 * rule.integrate(
                       [&](double x) {
                         const double r = norm(p - Vec3{0.3 * x, 0.0, 0.0});
                         return (end == 0 ? 1.0 - x : x) * (real ? std::cos(k * r) : -std::sin(k * r)) / r;
                       },
                       0.0, 1.0);
    };
    const PointPotential v = point_potential(p, cell, k);
    CHECK(std::abs(v.n0 - cdouble(part(true, 0), part(false, 0))) <= 1e-5 * std::abs(v.n0));
    CHECK(std::abs(v.n1 - cdouble(part(true, 1), part(false, 1))) <= 1e-5 * std::abs(v.n1));
  }
}

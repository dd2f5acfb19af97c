#include <algorithm>
#include <atomic>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>
#include <thread>
#include <utility>
#include <vector>

#include <boost/math/quadrature/gauss.hpp>
#include <boost/math/special_functions/bessel.hpp>

#include <stile/base/constants.hpp>
#include <stile/wire/detail/bessel.hpp>
#include <stile/wire/detail/ground_kernel.hpp>
#include <stile/wire/detail/ground_model.hpp>
#include <stile/wire/detail/ground_table.hpp>
#include <stile/wire/ground.hpp>
#include <stile/wire/ground_tables.hpp>

using namespace stile;
using namespace stile::wire;
using namespace stile::wire::detail;

namespace {

// A second route to the kernels: nothing is taken out beforehand, l dl/u0 = du with u = u0 above k0 and v = -j u0
// below, every half period a panel of its own that is drawn together at both ends.
GroundKernel by_plain_quadrature(const HalfSpace& g, double rho, double z) {
  const double k0 = g.k0_rad_m;
  const cdouble e = g.permittivity;
  GroundKernel sum;
  const auto add = [&](double weight, cdouble factor, cdouble u0, double l) {
    const cdouble square = l * l - e * k0 * k0;
    const cdouble u1 =
        square.imag() == 0.0 && square.real() < 0.0 ? cdouble(0.0, std::sqrt(-square.real())) : std::sqrt(square);
    const cdouble te = (u0 - u1) / (u0 + u1), tm = (e * u0 - u1) / (e * u0 + u1);
    const cdouble q = 2.0 * (e - 1.0) / ((u0 + u1) * (e * u0 + u1));
    const cdouble wave = weight * factor * std::exp(-u0 * z);
    const double b0 = boost::math::cyl_bessel_j(0, l * rho), b1 = boost::math::cyl_bessel_j(1, l * rho);
    sum.xx += te * wave * b0;
    sum.zz += (tm + u0 * u0 * q) * wave * b0;
    sum.phi += (te - u0 * u0 * q) * wave * b0;
    sum.p -= u0 * q * l * wave * b1;
  };
  using Rule = boost::math::quadrature::gauss<double, 30>;
  const auto over = [&](std::vector<double> breaks, const auto& at) {
    std::sort(breaks.begin(), breaks.end());
    for (std::size_t b = 1; b < breaks.size(); ++b) {
      const double from = breaks[b - 1], width = breaks[b] - from;
      for (std::size_t i = 0; i < Rule::abscissa().size(); ++i) {
        for (const double sign : {-1.0, 1.0}) {
          const double t = 0.5 * (1.0 + sign * Rule::abscissa()[i]);
          const double s = t * t * (3.0 - 2.0 * t), slope = 6.0 * t * (1.0 - t);
          at(from + width * s, 0.5 * Rule::weights()[i] * width * slope);
        }
      }
    }
  };
  over({0.0, 1e-3 * k0, 1e-2 * k0, 0.1 * k0, 0.4 * k0, 0.7 * k0, k0},
       [&](double v, double w) { add(w, cdouble(0.0, -1.0), cdouble(0.0, v), std::sqrt(k0 * k0 - v * v)); });
  const double last = 42.0 / z, step = std::min(pi / std::max(rho, 0.01), 3.0 / z);
  std::vector<double> breaks{0.0, 1e-3 * k0, 1e-2 * k0, 0.1 * k0, 0.4 * k0, k0};
  const double k1 = std::sqrt(e).real() * k0;
  const double branch = std::sqrt(std::max(k1 * k1 - k0 * k0, 0.0));
  for (const double f : {0.6, 0.9, 0.97, 0.99, 1.0, 1.01, 1.03, 1.1, 1.4}) breaks.push_back(f * branch);
  for (double u = step; u < last; u += step) breaks.push_back(u);
  breaks.push_back(last);
  over(breaks, [&](double u, double w) { add(w, 1.0, u, std::sqrt(k0 * k0 + u * u)); });
  return sum;
}

double largest(const GroundKernel& k) {
  return std::max({std::abs(k.xx), std::abs(k.zz), std::abs(k.phi), std::abs(k.p)});
}

double distance(const GroundKernel& a, const GroundKernel& b) {
  return largest({a.xx - b.xx, a.zz - b.zz, a.phi - b.phi, a.p - b.p});
}

HalfSpace half_space(const char* name, double frequency_hz) {
  return {two_pi * frequency_hz / speed_of_light_m_s, complex_permittivity(ground_by_name(name), frequency_hz)};
}

}  // namespace

TEST_CASE("half-space kernels against quadrature without anything taken out") {
  struct Place {
    const char* ground;
    double frequency_hz, rho_m, z_m;
  };
  double worst = 0.0;
  for (const Place& p :
       {Place{"medium dry", 7e6, 0.0, 2.4}, Place{"medium dry", 7e6, 1.0, 0.3}, Place{"wet", 28e6, 6.0, 0.2},
        Place{"very dry", 3.6e6, 2.0, 0.1}, Place{"very dry", 28e6, 10.0, 5.0}, Place{"sea", 7e6, 3.0, 0.2},
        Place{"average", 14e6, 0.5, 1.0}, Place{"sea", 28e6, 0.1, 0.1}}) {
    const HalfSpace g = half_space(p.ground, p.frequency_hz);
    const GroundKernel expected = by_plain_quadrature(g, p.rho_m, p.z_m);
    const double error = distance(half_space_kernel(g, p.rho_m, p.z_m), expected) / largest(expected);
    INFO(p.ground << " " << p.frequency_hz << " rho " << p.rho_m << " Z " << p.z_m << " error " << error);
    CHECK(error <= 1e-8);
    worst = std::max(worst, error);
  }
  CHECK(worst > 0.0);
}

TEST_CASE("half-space kernels of a lossless dielectric with its branch point on the path") {
  for (const double permittivity : {2.0, 4.0, 15.0}) {
    const HalfSpace g{two_pi * 14e6 / speed_of_light_m_s, permittivity};
    const GroundKernel expected = by_plain_quadrature(g, 4.0, 0.5);
    const double error = distance(half_space_kernel(g, 4.0, 0.5), expected) / largest(expected);
    INFO("permittivity " << permittivity << " error " << error);
    CHECK(error <= 1e-8);
  }
}

TEST_CASE("half-space kernels vanish without a half-space and become mirrors over a very good one") {
  const double k0 = two_pi * 7e6 / speed_of_light_m_s;
  CHECK(largest(half_space_kernel({k0, 1.0}, 1.0, 0.5)) == 0.0);
  const HalfSpace metal{k0, cdouble(1.0, -1e12)};
  const double r = std::hypot(1.0, 0.5);
  const cdouble mirror = std::exp(cdouble(0.0, -k0 * r)) / r;
  const GroundKernel k = half_space_kernel(metal, 1.0, 0.5);
  CHECK(std::abs(k.xx + mirror) <= 1e-5 * std::abs(mirror));
  // The vertical part holds p's share of the gauge: with p it makes the mirror's field, alone it does not.
  CHECK(std::abs(k.phi + mirror) <= 1e-5 * std::abs(mirror));
}

TEST_CASE("tables against the kernels they were made from") {
  std::mt19937_64 engine(20261125);
  const auto uniform = [&](double low, double high) {
    return low + (high - low) * (static_cast<double>(engine() >> 11) * 0x1p-53);
  };
  for (const auto& [ground, frequency] :
       {std::pair{"medium dry", 7e6}, std::pair{"wet", 28.4e6}, std::pair{"very dry", 3.6e6}, std::pair{"sea", 14e6},
        std::pair{"average", 21e6}, std::pair{"fresh water", 29e6}}) {
    const HalfSpace g = half_space(ground, frequency);
    const double z_low = 0.02, z_high = 7.2, rho_high = 8.0;
    const GroundTable table(g);
    double worst = 0.0;
    for (int i = 0; i < 60; ++i) {
      const double rho = i % 5 == 0 ? uniform(0.0, 0.1) : uniform(0.0, rho_high);
      const double z = z_low * std::pow(z_high / z_low, uniform(0.0, 1.0));
      const GroundKernel image = image_kernel(g, rho, z), whole = half_space_kernel(g, rho, z), rest = table(rho, z);
      const GroundKernel sum{image.xx + rest.xx, image.zz + rest.zz, image.phi + rest.phi, image.p + rest.p};
      worst = std::max(worst, distance(sum, whole) / largest(whole));
    }
    INFO(ground << " " << frequency << " worst " << worst << " places " << table.size());
    CHECK(worst <= 5e-6);
  }
}

TEST_CASE("a table does not depend on the order in which its places are asked for, nor on who else asks") {
  const HalfSpace g = half_space("average", 14e6);
  std::vector<std::pair<double, double>> places;
  for (int i = 0; i < 400; ++i)
    places.emplace_back(0.01 * std::pow(1.02, i), 0.02 * std::pow(1.017, (i * 37) % 400));  // 0.01..27 m, 0.02..17 m
  const GroundTable forward(g), backward(g), crowd(g), at_once(g);
  std::vector<GroundKernel> expected;
  for (const auto& [rho, z] : places) expected.push_back(forward(rho, z));
  for (std::size_t i = places.size(); i-- > 0;) {
    const GroundKernel k = backward(places[i].first, places[i].second);
    CHECK(distance(k, expected[i]) == 0.0);
  }
  std::vector<double> rho_m, z_m;
  for (const auto& [rho, z] : places) {
    rho_m.push_back(rho);
    z_m.push_back(z);
  }
  std::vector<KernelParts> all(places.size());
  at_once.values(rho_m.data(), z_m.data(), places.size(), all.data());
  for (std::size_t i = 0; i < places.size(); ++i) {
    const KernelParts& v = all[i];
    CHECK(distance({{v[0], v[1]}, {v[2], v[3]}, {v[4], v[5]}, {v[6], v[7]}}, expected[i]) == 0.0);
  }
  std::atomic<int> differences{0};
  {
    std::vector<std::jthread> threads;
    for (std::size_t t = 0; t < 4; ++t)
      threads.emplace_back([&, t] {
        for (std::size_t i = 0; i < places.size(); ++i) {
          const std::size_t at = (i * (2 * t + 1) + 100 * t) % places.size();
          if (distance(crowd(places[at].first, places[at].second), expected[at]) != 0.0) ++differences;
        }
      });
  }
  CHECK(differences == 0);
  CHECK(crowd.size() == forward.size());
}

TEST_CASE("a run keeps the ground tables that were asked for last and no more") {
  GroundTables tables;
  const auto of = [&](std::size_t n) {
    return tables.table(HalfSpace{0.1 + 1e-4 * static_cast<double>(n), {15.0, -2.5}});
  };
  const auto first = of(0);
  const GroundKernel before = (*first)(1.0, 0.5);
  for (std::size_t n = 1; n < most_ground_tables; ++n) of(n);
  CHECK(tables.size() == most_ground_tables);
  CHECK(of(0) == first);  // asked for again: now the second is the oldest
  const auto second = of(1);
  of(0);
  for (std::size_t n = most_ground_tables; n < most_ground_tables + 500; ++n) of(n);
  CHECK(tables.size() == most_ground_tables);
  CHECK(of(0) == first);
  CHECK(of(5) != nullptr);
  for (std::size_t n = 2000; n < 2000 + most_ground_tables; ++n) of(n);
  CHECK(of(0) != first);  // forgotten, and the same when made anew
  CHECK((*of(0))(1.0, 0.5).phi == before.phi);
  CHECK((*second)(1.0, 0.5).phi != before.phi);  // whoever holds one may keep it
}

TEST_CASE("a table has no edge") {
  // From the least height that a thin wire may have to the length of the longest antennas.
  for (const auto& [ground, frequency] : {std::pair{"wet", 28e6}, std::pair{"very dry", 1.8e6}}) {
    const HalfSpace g = half_space(ground, frequency);
    const GroundTable table(g);
    for (const auto& [rho, z] : {std::pair{0.0, 1e-4}, std::pair{1e-4, 2e-4}, std::pair{60.0, 1e-4},
                                 std::pair{200.0, 10.0}, std::pair{2.0, 50.0}, std::pair{0.0, 1e-9}}) {
      const GroundKernel image = image_kernel(g, rho, z), whole = half_space_kernel(g, rho, z), rest = table(rho, z);
      const GroundKernel sum{image.xx + rest.xx, image.zz + rest.zz, image.phi + rest.phi, image.p + rest.p};
      INFO(ground << " rho " << rho << " Z " << z);
      CHECK(distance(sum, whole) <= 5e-6 * largest(whole));
    }
  }
}

TEST_CASE("Bessel functions from series against the library's") {
  const BesselSeries& series = bessel_series();
  double worst = 0.0;
  for (double x = 0.0; x < 270.0; x += 0.0137) {
    const Bessel01 b = series(x);
    worst = std::max(
        {worst, std::abs(b.j0 - boost::math::cyl_bessel_j(0, x)), std::abs(b.j1 - boost::math::cyl_bessel_j(1, x))});
  }
  INFO(worst);
  CHECK(worst <= 1e-9);
}

TEST_CASE("the complex image needs no table and mirrors a level current at its depth") {
  const Ground ground = ground_by_name("sea");
  GroundTables tables;
  const GroundModel m = make_ground_model(ground, 7e6, GroundMethod::complex_image, tables);
  REQUIRE(m.depth_m.has_value());
  CHECK(m.table == nullptr);
  const double delta = ground_depth_m(ground, 7e6);  // in a good conductor the depth is (1 - j) delta
  CHECK(std::abs(*m.depth_m - cdouble(delta, -delta)) <= 0.01 * delta);
  const double rho_m = 0.3, z_m = 0.5;
  KernelParts rest;
  m.smooth_rest(&rho_m, &z_m, 1, &rest);
  CHECK(std::hypot(rest[0], rest[1]) > 0.0);
  CHECK(std::hypot(rest[6], rest[7]) == 0.0);
}

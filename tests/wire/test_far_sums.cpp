// Sums over dipoles against the same one by one.

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include <catch2/catch.hpp>

#include <stile/base/constants.hpp>
#include <stile/wire/detail/far_sums.hpp>
#include <stile/wire/detail/gauss.hpp>
#include <stile/wire/far_field.hpp>
#include <stile/wire/solve.hpp>

#include "wire/reference.hpp"

using namespace stile;
using namespace stile::wire;
using namespace stile::wire::detail;
using stile::wire::test::bare;

TEST_CASE("what dipoles send into one direction is the sum of what each sends") {
  std::mt19937 random(7);
  const auto numbers = [&](double reach) {
    std::vector<double> all(20);
    std::uniform_real_distribution<double> even(-reach, reach);
    for (double& one : all) one = even(random);
    return all;
  };
  for (const double k : {0.01, 0.6, 6.0}) {
    FarDipoles d{numbers(30.0), numbers(30.0), numbers(30.0), numbers(1.0), numbers(1.0), numbers(1.0), {}};
    for (int m = 0; m < 10; ++m) d.moments.push_back({numbers(2.0), numbers(2.0)});  // more than are summed at a time
    const FarRays rays{numbers(1.0), numbers(1.0), numbers(1.0), numbers(1.0), numbers(1.0), numbers(1.0)};
    const double phi = 1.1;
    std::vector<FarSums> sums;
    far_sums(d, rays, k, phi, sums);
    REQUIRE(sums.size() == d.moments.size());
    for (std::size_t m = 0; m < sums.size(); ++m) {
      cdouble theta_a_m = 0.0, phi_a_m = 0.0;
      double most = 0.0;
      for (std::size_t n = 0; n < d.x_m.size(); ++n) {
        const double ahead = d.x_m[n] * std::cos(phi) + d.y_m[n] * std::sin(phi);
        const cdouble moment = cdouble(d.moments[m].re_a_m[n], d.moments[m].im_a_m[n]) * std::polar(1.0, k * ahead);
        const double along = d.along_x[n] * std::cos(phi) + d.along_y[n] * std::sin(phi);
        const double across = d.along_y[n] * std::cos(phi) - d.along_x[n] * std::sin(phi);
        theta_a_m += moment * (along * cdouble(rays.re_along[n], rays.im_along[n]) -
                               d.along_z[n] * cdouble(rays.re_up[n], rays.im_up[n]));
        phi_a_m += moment * across * cdouble(rays.re_across[n], rays.im_across[n]);
        most = std::max(most, std::abs(moment));
      }
      CHECK(std::abs(sums[m].theta_a_m - theta_a_m) <= 1e-13 * most);
      CHECK(std::abs(sums[m].phi_a_m - phi_a_m) <= 1e-13 * most);
    }
    const HeightPhases heights = height_phases(d, k);
    for (std::size_t n = 0; n < d.z_m.size(); ++n)
      CHECK(std::abs(cdouble(heights.cosine[n], heights.sine[n]) - std::polar(1.0, k * d.z_m[n])) <= 1e-13);
  }
}

TEST_CASE("power that reaches the far field is that of a pattern in many directions") {
  for (const double f : {3.65e6, 14.2e6, 29.0e6}) {
    for (const double reach_m : {3.0, 20.0}) {
      Antenna a;
      a.wires.push_back(bare({{1.0, -2.0, 1.0}, {1.0, -2.0, 4.0}}, 0.002));
      a.wires.push_back(
          bare({{1.0, -2.0, 1.0}, {1.0 + reach_m, -2.5, 0.3}, {1.0 + reach_m, -2.5 - reach_m, 0.3}}, 0.001));
      a.feed.gap_m = 0.02;
      const AntennaSolution s = solve_antenna(a, lossy_ground(13.0, 5e-3), f);
      double sum = 0.0;
      constexpr int azimuths = 240;
      for (const GaussPoint& g : gauss_rule(80)) {
        for (int n = 0; n < azimuths; ++n) {
          const FarField e = far_field(s, std::acos(g.x * g.x), two_pi * n / azimuths);
          sum += 2.0 * g.x * g.weight * two_pi / azimuths * (std::norm(e.theta_v) + std::norm(e.phi_v));
        }
      }
      INFO(f << " Hz, " << reach_m << " m: " << far_power_w(s) * eta0_ohm / sum - 1.0);
      CHECK(std::abs(far_power_w(s) * eta0_ohm / sum - 1.0) <= 1e-7);
    }
  }
}

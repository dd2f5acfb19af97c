// Sums over dipoles against the same one by one.

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include <catch2/catch.hpp>

#include <stile/wire/detail/far_sums.hpp>

using namespace stile;
using namespace stile::wire::detail;

TEST_CASE("what dipoles send into one direction is the sum of what each sends") {
  std::mt19937 random(7);
  const auto numbers = [&](double reach) {
    std::vector<double> all(20);
    std::uniform_real_distribution<double> even(-reach, reach);
    for (double& one : all) one = even(random);
    return all;
  };
  for (const double k : {0.01, 0.6, 6.0}) {
    const FarDipoles d{numbers(30.0), numbers(30.0), numbers(30.0), numbers(1.0),
                       numbers(1.0),  numbers(1.0),  numbers(2.0),  numbers(2.0)};
    const FarRays rays{numbers(1.0), numbers(1.0), numbers(1.0), numbers(1.0), numbers(1.0), numbers(1.0)};
    const double phi = 1.1;
    cdouble theta_a_m = 0.0, phi_a_m = 0.0;
    double most = 0.0;
    for (std::size_t n = 0; n < d.x_m.size(); ++n) {
      const double ahead = d.x_m[n] * std::cos(phi) + d.y_m[n] * std::sin(phi);
      const cdouble moment = cdouble(d.re_a_m[n], d.im_a_m[n]) * std::polar(1.0, k * ahead);
      const double along = d.along_x[n] * std::cos(phi) + d.along_y[n] * std::sin(phi);
      const double across = d.along_y[n] * std::cos(phi) - d.along_x[n] * std::sin(phi);
      theta_a_m += moment * (along * cdouble(rays.re_along[n], rays.im_along[n]) -
                             d.along_z[n] * cdouble(rays.re_up[n], rays.im_up[n]));
      phi_a_m += moment * across * cdouble(rays.re_across[n], rays.im_across[n]);
      most = std::max(most, std::abs(moment));
    }
    const FarSums sums = far_sums(d, rays, k, phi);
    CHECK(std::abs(sums.theta_a_m - theta_a_m) <= 1e-13 * most);
    CHECK(std::abs(sums.phi_a_m - phi_a_m) <= 1e-13 * most);
    const HeightPhases heights = height_phases(d, k);
    for (std::size_t n = 0; n < d.z_m.size(); ++n)
      CHECK(std::abs(cdouble(heights.cosine[n], heights.sine[n]) - std::polar(1.0, k * d.z_m[n])) <= 1e-13);
  }
}

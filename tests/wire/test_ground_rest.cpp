// The rest of the ground between two cells against a finer rule over the same kernels.

#include <algorithm>
#include <cmath>

#include <catch2/catch.hpp>

#include <stile/wire/detail/gauss.hpp>
#include <stile/wire/detail/ground_rest.hpp>
#include <stile/wire/ground.hpp>

using namespace stile;
using namespace stile::wire;
using namespace stile::wire::detail;

namespace {

CellCoupling by_finer_rule(const LineCell& p, const LineCell& q, const GroundModel& ground) {
  CellCoupling sum;
  const double horizontal = p.direction.x_m * q.direction.x_m + p.direction.y_m * q.direction.y_m;
  const double vertical = p.direction.z_m * q.direction.z_m;
  for (const GaussPoint& a : clustered_rule(48)) {
    for (const GaussPoint& b : clustered_rule(48)) {
      const double s = a.x * p.length_m, t = b.x * q.length_m;
      const double dx = p.start.x_m + s * p.direction.x_m - q.start.x_m - t * q.direction.x_m;
      const double dy = p.start.y_m + s * p.direction.y_m - q.start.y_m - t * q.direction.y_m;
      const double z = p.start.z_m + s * p.direction.z_m + q.start.z_m + t * q.direction.z_m;
      const double rho = std::hypot(dx, dy), r = std::hypot(rho, z);
      const double turned = rho == 0.0 ? 0.0
                                       : (p.direction.z_m * (dx * q.direction.x_m + dy * q.direction.y_m) -
                                          q.direction.z_m * (dx * p.direction.x_m + dy * p.direction.y_m)) /
                                             rho;
      KernelParts k;
      ground.smooth_rest(&rho, &z, 1, &k);
      const cdouble up = cdouble(k[6], k[7]) - ground.contrast * (rho / (r * (r + z)));
      const cdouble value = horizontal * cdouble(k[0], k[1]) + vertical * cdouble(k[2], k[3]) + turned * up;
      const double w = a.weight * p.length_m * b.weight * q.length_m;
      const double at_p[2] = {1.0 - a.x, a.x}, at_q[2] = {1.0 - b.x, b.x};
      for (std::size_t i = 0; i < 2; ++i) {
        for (std::size_t j = 0; j < 2; ++j) sum.vector[i][j] += w * at_p[i] * at_q[j] * value;
      }
      sum.scalar += w * cdouble(k[4], k[5]);
    }
  }
  return sum;
}

}  // namespace

TEST_CASE("the rest of the ground between two cells is that of a finer rule, to 2e-5 of the image and 1e-7 of the "
          "scalar part") {
  GroundTables tables;
  const GroundModel ground = make_ground_model(ground_by_name("average"), 14e6, GroundMethod::rigorous, tables);
  const LineCell up{{0.0, 0.0, 1.2}, {0.0, 0.0, 1.0}, 0.4, 0.002}, low{{0.0, 0.0, 0.3}, {0.0, 0.0, 1.0}, 0.3, 0.002};
  const LineCell lying{{0.1, 0.0, 0.05}, {1.0, 0.0, 0.0}, 0.5, 0.001},
      next{{0.6, 0.0, 0.05}, {0.8, 0.6, 0.0}, 0.4, 0.001};
  const LineCell falling{{0.5, 0.2, 0.8}, {0.6, 0.0, -0.8}, 0.9, 0.001},
      away{{4.0, 1.0, 0.05}, {1.0, 0.0, 0.0}, 0.5, 0.001};
  for (const auto& [p, q] : {std::pair{up, up},
                             {up, low},
                             {up, lying},
                             {lying, up},
                             {low, lying},
                             {lying, lying},
                             {lying, next},
                             {falling, lying},
                             {falling, falling},
                             {up, away},
                             {falling, away},
                             {next, away}}) {
    const CellCoupling c = rest_coupling(p, q, ground), fine = by_finer_rule(p, q, ground);
    const double distance_m =
                     std::hypot(p.start.x_m - q.start.x_m, p.start.y_m - q.start.y_m, p.start.z_m + q.start.z_m),
                 image_m = p.length_m * q.length_m / distance_m;
    for (std::size_t i = 0; i < 2; ++i) {
      for (std::size_t j = 0; j < 2; ++j) CHECK(std::abs(c.vector[i][j] - fine.vector[i][j]) <= 2e-5 * image_m);
    }
    CHECK(std::abs(c.scalar - fine.scalar) <= 1e-7 * image_m);
    CHECK(std::abs(fine.scalar) > 1e-3 * image_m);
  }
}

#include <stile/wire/detail/ground_model.hpp>

#include <cmath>

#include <stile/base/constants.hpp>

namespace stile::wire::detail {

void GroundModel::smooth_rest(const double* rho_m, const double* z_m, std::size_t count, KernelParts* out) const {
  if (table) return table->values(rho_m, z_m, count, out);
  for (std::size_t n = 0; n < count; ++n) {
    out[n] = {};
    if (!depth_m) continue;
    const cdouble r = std::sqrt(rho_m[n] * rho_m[n] + (z_m[n] + *depth_m) * (z_m[n] + *depth_m));
    const cdouble xx = -std::exp(cdouble(0.0, -k0_rad_m) * r) / r;
    out[n][0] = xx.real();
    out[n][1] = xx.imag();
  }
}

KernelSlopes GroundModel::rest_slopes(double rho_m, double z_m) const {
  KernelSlopes sum;
  if (table) sum = table->slopes(rho_m, z_m);
  if (depth_m) {
    const cdouble jk{0.0, k0_rad_m}, z = z_m + *depth_m, r = std::sqrt(rho_m * rho_m + z * z);
    sum.value.xx = -std::exp(-jk * r) / r;
    const cdouble slope = -(1.0 + jk * r) / (r * r) * sum.value.xx;  // by r, over r
    sum.by_rho.xx = slope * rho_m;
    sum.by_z.xx = slope * z;
  }
  if (contrast != 0.0) {
    const double r = std::sqrt(rho_m * rho_m + z_m * z_m), d = r * (r + z_m);
    sum.value.p -= contrast * (rho_m / d);
    sum.by_rho.p -= contrast * (1.0 / d - rho_m * rho_m * (2.0 * r + z_m) / (r * d * d));
    sum.by_z.p += contrast * (rho_m / (r * r * r));
  }
  return sum;
}

GroundModel make_ground_model(const Ground& ground, double frequency_hz, GroundMethod method, GroundTables& tables) {
  GroundModel model;
  model.k0_rad_m = two_pi * frequency_hz / speed_of_light_m_s;
  if (ground.kind == GroundKind::free_space) return model;
  model.present = true;
  if (ground.kind == GroundKind::perfect) {
    model.image_xx = -1.0;
    model.image_zz = 1.0;
    model.image_phi = -1.0;
    return model;
  }
  const HalfSpace half{model.k0_rad_m, complex_permittivity(ground, frequency_hz)};
  const cdouble contrast = half.contrast();
  model.permittivity = half.permittivity;
  model.image_phi = -contrast;
  if (method == GroundMethod::rigorous) {
    model.image_zz = 2.0 * contrast;
    model.contrast = contrast;
    model.index = std::sqrt(std::abs(half.permittivity));
    model.table = tables.table(half);
  } else {
    model.image_zz = contrast;
    if (half.permittivity != 1.0) {
      cdouble root = std::sqrt(half.k0_rad_m * half.k0_rad_m * (1.0 - half.permittivity));
      model.depth_m = 2.0 / (root.real() < 0.0 ? -root : root);
    }
  }
  return model;
}

}  // namespace stile::wire::detail

#include <stile/wire/detail/line_sums.hpp>

#include <cstddef>

#include <stile/base/detail/clones.hpp>
#include <stile/wire/detail/fours.hpp>

namespace stile::wire::detail {

namespace {

/// Real and imaginary parts of g and of the three components of its slope, and all those times x.
using Sixteen = std::array<double, 16>;

STILE_CLONES
void sum_of(const double* x, const double* weight, std::size_t count, const double* between, const double* whole,
            double apart2, double k, double* out) {
  Four sums[16] = {};
  for (std::size_t n = 0; n < count; n += 4) {
    Four at, w;
    load(x + n, at);
    load(weight + n, w);
    const Four dx = between[0] - at * whole[0], dy = between[1] - at * whole[1], dz = between[2] - at * whole[2];
    Four r = dx * dx + dy * dy + dz * dz + apart2, cosine, sine;
    take_root(r);
    const Four phase = k * r;
    cosine_sine(phase, cosine, sine);
    const Four inverse = 1.0 / r, by_r = w * inverse, by_r3 = by_r * inverse * inverse;
    const Four g_re = by_r * cosine, g_im = -by_r * sine;
    // -(1 + jkr)/r^2 g
    const Four s_re = -by_r3 * (cosine + phase * sine), s_im = by_r3 * (sine - phase * cosine);
    const Four terms[8] = {g_re, g_im, s_re * dx, s_im * dx, s_re * dy, s_im * dy, s_re * dz, s_im * dz};
    for (int t = 0; t < 8; ++t) {
      sums[t] += terms[t];
      sums[8 + t] += at * terms[t];
    }
  }
  for (int t = 0; t < 16; ++t) out[t] = (sums[t][0] + sums[t][1]) + (sums[t][2] + sums[t][3]);
}

}  // namespace

LineSums line_sums(LineNodes& nodes, Vec3 between, Vec3 whole, double apart2, double k_rad_m) {
  while (nodes.x.size() % 4 != 0) {
    nodes.x.push_back(nodes.x.back());
    nodes.weight.push_back(0.0);
  }
  const std::array<double, 3> from{between.x_m, between.y_m, between.z_m}, along{whole.x_m, whole.y_m, whole.z_m};
  Sixteen s;
  sum_of(nodes.x.data(), nodes.weight.data(), nodes.x.size(), from.data(), along.data(), apart2, k_rad_m, s.data());
  LineSums sums;
  for (std::size_t power = 0; power < 2; ++power) {
    const double* at = &s[8 * power];
    sums.potential[power] = {at[0], at[1]};
    sums.slope[power] = {cdouble{at[2], at[3]}, cdouble{at[4], at[5]}, cdouble{at[6], at[7]}};
  }
  return sums;
}

}  // namespace stile::wire::detail

#include <stile/wire/detail/far_sums.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

#include <stile/base/detail/clones.hpp>
#include <stile/wire/detail/fours.hpp>

namespace stile::wire::detail {

namespace {

STILE_CLONES
void phases(const double* z, std::size_t count, double k, double* cosine, double* sine) {
  for (std::size_t n = 0; n < count; n += 4) {
    Four phase, c, s;
    load(z + n, phase);
    phase *= k;
    cosine_sine(phase, c, s);
    store(c, cosine + n);
    store(s, sine + n);
  }
}

constexpr std::size_t together = 8;  // sets of moments

STILE_CLONES
void sums_of(const FarDipoles& d, const FarRays& rays, double k, double cos_phi, double sin_phi, std::size_t first,
             std::size_t count, double* out) {
  Four sums[together][4] = {};
  for (std::size_t n = 0; n < d.x_m.size(); n += 4) {
    const auto four = [n](const std::vector<double>& all, Four& to) { load(&all[n], to); };
    Four x, y, ux, uy, uz, re_along, im_along, re_up, im_up, re_across, im_across, cosine, sine;
    four(d.x_m, x), four(d.y_m, y);
    four(d.along_x, ux), four(d.along_y, uy), four(d.along_z, uz);
    four(rays.re_along, re_along), four(rays.im_along, im_along);
    four(rays.re_up, re_up), four(rays.im_up, im_up);
    four(rays.re_across, re_across), four(rays.im_across, im_across);
    cosine_sine(k * (x * cos_phi + y * sin_phi), cosine, sine);
    const Four along = ux * cos_phi + uy * sin_phi, across = uy * cos_phi - ux * sin_phi;
    const Four theta_re = along * re_along - uz * re_up, theta_im = along * im_along - uz * im_up;
    const Four phi_re = across * re_across, phi_im = across * im_across;
    for (std::size_t m = 0; m < count; ++m) {
      Four re, im;
      four(d.moments[first + m].re_a_m, re), four(d.moments[first + m].im_a_m, im);
      const Four moment_re = re * cosine - im * sine, moment_im = re * sine + im * cosine;
      sums[m][0] += moment_re * theta_re - moment_im * theta_im;
      sums[m][1] += moment_re * theta_im + moment_im * theta_re;
      sums[m][2] += moment_re * phi_re - moment_im * phi_im;
      sums[m][3] += moment_re * phi_im + moment_im * phi_re;
    }
  }
  for (std::size_t m = 0; m < count; ++m) {
    for (std::size_t i = 0; i < 4; ++i)
      out[4 * m + i] = (sums[m][i][0] + sums[m][i][1]) + (sums[m][i][2] + sums[m][i][3]);
  }
}

}  // namespace

HeightPhases height_phases(const FarDipoles& dipoles, double k_rad_m) {
  HeightPhases all{std::vector<double>(dipoles.z_m.size()), std::vector<double>(dipoles.z_m.size())};
  phases(dipoles.z_m.data(), dipoles.z_m.size(), k_rad_m, all.cosine.data(), all.sine.data());
  return all;
}

void far_sums(const FarDipoles& dipoles, const FarRays& rays, double k_rad_m, double phi_rad,
              std::vector<FarSums>& sums) {
  sums.resize(dipoles.moments.size());
  std::array<double, 4 * together> s;
  for (std::size_t first = 0; first < sums.size(); first += together) {
    const std::size_t count = std::min(together, sums.size() - first);
    sums_of(dipoles, rays, k_rad_m, std::cos(phi_rad), std::sin(phi_rad), first, count, s.data());
    for (std::size_t m = 0; m < count; ++m) sums[first + m] = {{s[4 * m], s[4 * m + 1]}, {s[4 * m + 2], s[4 * m + 3]}};
  }
}

}  // namespace stile::wire::detail

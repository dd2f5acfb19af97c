#include <stile/wire/detail/line_sums.hpp>

#include <cstddef>

#include <stile/base/detail/clones.hpp>
#include <stile/wire/vec3.hpp>

namespace stile::wire::detail {

namespace {

/// Of a line, as plain numbers: from its start to where the field is, to its end, its direction, then real and
/// imaginary parts of the currents and of the charge, last what is added to the square of the distance.
using LineNumbers = std::array<double, 20>;

/// (re, im) += by (a_re, a_im).
inline void add_times(Four* sum, const Four& by, const Four& re, const Four& im) {
  sum[0] += by * re;
  sum[1] += by * im;
}

STILE_CLONES
void add_line(const double* x, const double* weight, std::size_t count, const double* line, double k, Four* sums) {
  const double *between = line, *whole = line + 3, *t = line + 6, *level = line + 9, *upright = line + 13,
               *charge = line + 17, apart2 = line[19];
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
    const Four l_re = level[0] + at * level[2], l_im = level[1] + at * level[3];
    const Four u_re = upright[0] + at * upright[2], u_im = upright[1] + at * upright[3];
    const Four al_re = l_re * g_re - l_im * g_im, al_im = l_re * g_im + l_im * g_re;
    const Four au_re = u_re * g_re - u_im * g_im, au_im = u_re * g_im + u_im * g_re;
    const Four bl_re = l_re * s_re - l_im * s_im, bl_im = l_re * s_im + l_im * s_re;
    const Four bu_re = u_re * s_re - u_im * s_im, bu_im = u_re * s_im + u_im * s_re;
    const Four q_re = charge[0] * s_re - charge[1] * s_im, q_im = charge[0] * s_im + charge[1] * s_re;
    const Four none{};
    add_times(sums + 0, none + t[0], al_re, al_im);
    add_times(sums + 2, none + t[1], al_re, al_im);
    add_times(sums + 4, none + t[2], au_re, au_im);
    add_times(sums + 6, dx, q_re, q_im);
    add_times(sums + 8, dy, q_re, q_im);
    add_times(sums + 10, dz, q_re, q_im);
    // slope x direction
    add_times(sums + 12, dy * t[2], bu_re, bu_im);
    add_times(sums + 12, -dz * t[1], bl_re, bl_im);
    add_times(sums + 14, dz * t[0], bl_re, bl_im);
    add_times(sums + 14, -dx * t[2], bu_re, bu_im);
    add_times(sums + 16, dx * t[1] - dy * t[0], bl_re, bl_im);
  }
}

}  // namespace

void LineSums::add(LineNodes& nodes, Vec3 at, double apart2, const ChargedLine& line) {
  while (nodes.x.size() % 4 != 0) {
    nodes.x.push_back(nodes.x.back());
    nodes.weight.push_back(0.0);
  }
  const Vec3 between = at - line.start, &whole = line.whole, &t = line.direction;
  const std::array<cdouble, 2>&level = line.level, &upright = line.upright;
  const LineNumbers numbers{between.x_m,
                            between.y_m,
                            between.z_m,
                            whole.x_m,
                            whole.y_m,
                            whole.z_m,
                            t.x_m,
                            t.y_m,
                            t.z_m,
                            level[0].real(),
                            level[0].imag(),
                            level[1].real(),
                            level[1].imag(),
                            upright[0].real(),
                            upright[0].imag(),
                            upright[1].real(),
                            upright[1].imag(),
                            line.charge.real(),
                            line.charge.imag(),
                            apart2};
  add_line(nodes.x.data(), nodes.weight.data(), nodes.x.size(), numbers.data(), k_rad_m_, sums_.data());
}

PotentialSums LineSums::total() const {
  const auto sum = [&](std::size_t n) {
    const Four& s = sums_[n];
    return (s[0] + s[1]) + (s[2] + s[3]);
  };
  const auto vector = [&](std::size_t first) {
    return std::array<cdouble, 3>{cdouble{sum(first), sum(first + 1)}, cdouble{sum(first + 2), sum(first + 3)},
                                  cdouble{sum(first + 4), sum(first + 5)}};
  };
  return {vector(0), vector(6), vector(12)};
}

}  // namespace stile::wire::detail

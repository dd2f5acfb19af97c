#include <stile/network/ladder.hpp>

#include <sys/mman.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <exception>
#include <limits>
#include <new>
#include <numbers>
#include <optional>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/base/detail/clones.hpp>
#include <stile/base/errors.hpp>
#include <stile/network/detail/branch.hpp>

// The walk through a ladder runs over blocks of frequencies with plain loops, so that the compiler vectorises them
// (-fno-math-errno on this file, for sqrt). It is compiled for several instruction sets; contraction to fused
// operations is off, so all give the same bits. The same loops over blocks of one point are the answer at one
// frequency.
#define STILE_INLINE __attribute__((always_inline)) inline
#define STILE_NOINLINE __attribute__((noinline))

namespace stile::network {
namespace {

constexpr std::size_t block_width = 64;  // frequencies a block; a shorter last block is filled with its last point
template <std::size_t width>
using Row = double[width];
template <std::size_t width>
constexpr std::size_t row_alignment = std::min<std::size_t>(64, sizeof(Row<width>));

/// An element made ready for a sweep: two-terminal ones by their branches, others by the element itself.
struct Prepared {
  Place place;
  std::optional<detail::Branch> branch;  // of a part that has one
  std::vector<detail::Branch> bank;      // of a part that has several
  const Element* two_port = nullptr;

  explicit Prepared(const Element& e) : place(e.place), branch(detail::single_branch(e.part)) {}
};

/// Where the points of one block stand in the caller's memory; no harmonic loads: null.
struct BlockPoints {
  const double* frequency_hz;
  const cdouble* z_ohm;
  const cdouble* z_second_ohm;
  const cdouble* z_third_ohm;
  std::size_t count;
};

/// Stress of one element over a block, in the order of ElementColumn; current and voltage hold squares until the
/// source's scale is known.
template <std::size_t width>
struct alignas(row_alignment<width>) StressRows {
  Row<width> current, voltage, dissipation, magnetic, electric;
};
static_assert(sizeof(StressRows<block_width>) == element_columns * sizeof(Row<block_width>));

/// All other results of a block, in the order of Column.
template <std::size_t width>
struct alignas(row_alignment<width>) ResultRows {
  Row<width> input_r, input_x, reflection_re, reflection_im, swr, accepted, delivered, mismatch_db, dissipation_db,
      loaded_q, second_harmonic_db, third_harmonic_db, load_current_re, load_current_im;
};
static_assert(sizeof(ResultRows<block_width>) == columns * sizeof(Row<block_width>));

/// V and I phasors along a block, in the units in which the load's current is 1 A.
template <std::size_t width>
struct alignas(row_alignment<width>) Phasors {
  Row<width> f, s, u;  // frequency, its root, its inverse
  Row<width> vr, vi, ir, ii;
  std::size_t count = 0;       // points in use; the rest of the block repeats the last one
  std::exception_ptr failure;  // of a line that has no constants at some frequency
  Row<width> sum;              // of all that must be finite at a point: finite only when each of them is
  bool sound = true;           // no point of the block has a sum that is not finite
};

/// R and X of a branch, without its parallel capacitance.
template <std::size_t width>
STILE_INLINE void branch_rows(const detail::Branch& b, const Phasors<width>& p, Row<width>& r, Row<width>& x) {
  for (std::size_t k = 0; k < width; ++k) {
    const double u = p.u[k];
    r[k] = b.r0 + b.r1 * p.f[k] + b.rh * p.s[k] + b.rm * u;
    x[k] = b.x0 + b.x1 * p.f[k] + b.xm * u;
  }
}

/// One branch in series or shunt.
template <bool full, std::size_t width>
STILE_INLINE void pass_branch(const detail::Branch& b, Place place, Phasors<width>& p, StressRows<width>* out) {
  alignas(row_alignment<width>) Row<width> r, x, zr, zi, v2, i2;
  branch_rows(b, p, r, x);
  if (b.cp == 0.0) {
    for (std::size_t k = 0; k < width; ++k) zr[k] = r[k], zi[k] = x[k];
  } else {
    for (std::size_t k = 0; k < width; ++k) {  // z / (1 + j w cp z)
      const double wc = two_pi * p.f[k] * b.cp;
      const double dr = 1.0 - wc * x[k], di = wc * r[k];
      const double scale = 1.0 / (dr * dr + di * di);
      zr[k] = (r[k] * dr + x[k] * di) * scale;
      zi[k] = (x[k] * dr - r[k] * di) * scale;
    }
  }
  if (place == Place::series) {
    for (std::size_t k = 0; k < width; ++k) {
      const double ir = p.ir[k], ii = p.ii[k];
      const double vr = zr[k] * ir - zi[k] * ii, vi = zr[k] * ii + zi[k] * ir;
      if constexpr (full) {
        i2[k] = ir * ir + ii * ii;
        v2[k] = vr * vr + vi * vi;
      }
      p.vr[k] += vr;
      p.vi[k] += vi;
    }
  } else {
    for (std::size_t k = 0; k < width; ++k) {
      const double vr = p.vr[k], vi = p.vi[k];
      const double scale = 1.0 / (zr[k] * zr[k] + zi[k] * zi[k]);
      const double ir = (vr * zr[k] + vi * zi[k]) * scale, ii = (vi * zr[k] - vr * zi[k]) * scale;
      if constexpr (full) {
        v2[k] = vr * vr + vi * vi;
        i2[k] = v2[k] * scale;
      }
      p.ir[k] += ir;
      p.ii[k] += ii;
    }
  }
  if constexpr (full) {
    if (b.cp != 0.0) {
      for (std::size_t k = 0; k < width; ++k) i2[k] = v2[k] / (r[k] * r[k] + x[k] * x[k]);  // in the winding
    }
    for (std::size_t k = 0; k < width; ++k) {
      const double u = p.u[k];
      out->current[k] = i2[k];
      out->voltage[k] = v2[k];
      out->dissipation[k] = r[k] * i2[k];
      out->magnetic[k] = (b.m0 + b.mi * u) * i2[k];
      out->electric[k] = (b.ei + b.e2 * u) * u * i2[k] + 0.5 * b.cp * v2[k];
    }
  }
}

/// Several branches in parallel as one element, in series or shunt.
template <bool full, std::size_t width>
STILE_INLINE void pass_bank(const std::vector<detail::Branch>& bank, Place place, Phasors<width>& p,
                            StressRows<width>* out) {
  alignas(row_alignment<width>) Row<width> r, x, yr{}, yi{}, g, m, e;
  for (std::size_t k = 0; k < width; ++k) g[k] = m[k] = e[k] = 0.0;
  for (const detail::Branch& b : bank) {
    branch_rows(b, p, r, x);
    for (std::size_t k = 0; k < width; ++k) {
      const double u = p.u[k], scale = 1.0 / (r[k] * r[k] + x[k] * x[k]);  // |y|^2
      yr[k] += r[k] * scale;
      yi[k] -= x[k] * scale;
      g[k] += r[k] * scale;
      m[k] += (b.m0 + b.mi * u) * scale;
      e[k] += (b.ei + b.e2 * u) * u * scale;
    }
  }
  for (std::size_t k = 0; k < width; ++k) {
    const double y2 = yr[k] * yr[k] + yi[k] * yi[k];
    double v2;
    if (place == Place::series) {
      const double ir = p.ir[k], ii = p.ii[k], scale = 1.0 / y2;
      p.vr[k] += (ir * yr[k] + ii * yi[k]) * scale;
      p.vi[k] += (ii * yr[k] - ir * yi[k]) * scale;
      v2 = (ir * ir + ii * ii) * scale;
    } else {
      const double vr = p.vr[k], vi = p.vi[k];
      p.ir[k] += vr * yr[k] - vi * yi[k];
      p.ii[k] += vi * yr[k] + vr * yi[k];
      v2 = vr * vr + vi * vi;
    }
    if constexpr (full) {
      out->current[k] = v2 * y2;
      out->voltage[k] = v2;
      out->dissipation[k] = g[k] * v2;
      out->magnetic[k] = m[k] * v2;
      out->electric[k] = e[k] * v2;
    }
  }
}

/// Highest crest between the ends of a line, of |up e^gx|^2 + |down e^-gx|^2 + 2 Re(standing e^2jbx) on 0..l; 0 when
/// nothing stands. The crests' heights are convex along the line, so that the first or the last is the highest.
double highest_crest(cdouble gamma, double l, double up2, double down2, cdouble standing) {
  const double alpha = gamma.real(), beta = gamma.imag(), depth = std::abs(standing), phase = std::arg(standing);
  if (!(beta * depth > 0.0)) return 0.0;
  double highest = 0.0;
  const double first = std::ceil(phase / two_pi), last = std::floor((2.0 * beta * l + phase) / two_pi);
  for (const double m : {first - 1.0, first, last, last + 1.0}) {
    // Near 2 b x + phase = 2 pi m, moved by the loss to where the slope is 0; outside the line its end stands in.
    double x = std::clamp((two_pi * m - phase) / (2.0 * beta), 0.0, l);
    for (int step = 0; step < 20; ++step) {
      const double tilt =
          alpha * (up2 * std::exp(2.0 * alpha * x) - down2 * std::exp(-2.0 * alpha * x)) / (2.0 * beta * depth);
      const double next =
          std::clamp((two_pi * m - phase + std::asin(std::clamp(tilt, -1.0, 1.0))) / (2.0 * beta), 0.0, l);
      const bool settled = std::abs(next - x) <= 1e-9 * l;
      x = next;
      if (settled) break;
    }
    highest = std::max(highest, up2 * std::exp(2.0 * alpha * x) + down2 * std::exp(-2.0 * alpha * x) +
                                    2.0 * depth * std::cos(2.0 * beta * x + phase));
  }
  return highest;
}

/// Voltage and current at the load's and at the source's end of a two-port.
struct Ends {
  cdouble v, i, v1, i1;
};

/// Stress of a line by what stands at its ends.
/// Loss and energies are integrals of R|I|^2, G|V|^2, L|I|^2/2, C|V|^2/2 over two travelling waves, in closed form.
template <std::size_t width>
void line_stress(const LineConstants& line, double length_m, double f, const Ends& ends, StressRows<width>& out,
                 std::size_t k) {
  const double w = two_pi * f, alpha = line.gamma_per_m.real(), beta = line.gamma_per_m.imag(), l = length_m;
  const cdouble up = 0.5 * (ends.v + line.z0_ohm * ends.i),
                down = 0.5 * (ends.v - line.z0_ohm * ends.i);                          // grow towards source / load
  const auto growth = [&](double a) { return a == 0.0 ? l : std::expm1(a * l) / a; };  // integral of exp(a x)
  const double phase = 2.0 * beta * l;
  const cdouble swing =
      phase == 0.0 ? cdouble{l} : l * std::polar(1.0, 0.5 * phase) * (std::sin(0.5 * phase) / (0.5 * phase));
  const double waves = std::norm(up) * growth(2.0 * alpha) + std::norm(down) * growth(-2.0 * alpha);
  const double cross = 2.0 * (up * std::conj(down) * swing).real();
  const double v2 = waves + cross, i2 = (waves - cross) / std::norm(line.z0_ohm);
  const cdouble z = line.gamma_per_m * line.z0_ohm, y = line.gamma_per_m / line.z0_ohm;  // R + jwL, G + jwC
  out.dissipation[k] = z.real() * i2 + y.real() * v2;
  out.magnetic[k] = 0.5 * z.imag() / w * i2;
  out.electric[k] = 0.5 * y.imag() / w * v2;
  const cdouble standing = up * std::conj(down);
  const double crest_v2 = highest_crest(line.gamma_per_m, l, std::norm(up), std::norm(down), standing);
  const double crest_i2 =
      highest_crest(line.gamma_per_m, l, std::norm(up), std::norm(down), -standing) / std::norm(line.z0_ohm);
  out.voltage[k] = std::max({std::norm(ends.v), std::norm(ends.v1), crest_v2});
  out.current[k] = std::max({std::norm(ends.i), std::norm(ends.i1), crest_i2});
}

/// What an element is called in messages: its label, else its kind.
std::string name(const Element& element) { return element.label.empty() ? kind_name(element.part) : element.label; }

DomainError in_element(std::size_t index, const Element& element, const DomainError& error) {
  return DomainError(fmt::format("element {} ({}): {}", index + 1, name(element), error.what()));
}

/// Transformer or line at one point of a block.
template <bool full, std::size_t width>
void pass_point(const Element& element, Phasors<width>& p, StressRows<width>* out, std::size_t k) {
  const cdouble v{p.vr[k], p.vi[k]}, i{p.ir[k], p.ii[k]};
  const auto* line = std::get_if<TransmissionLine>(&element.part);
  LineConstants constants{};
  if (line != nullptr) constants = line_constants(*line, p.f[k]);
  const Chain c = line != nullptr ? line_chain(constants, line->length_m) : chain(element, p.f[k]);
  const cdouble v1 = c.a * v + c.b * i, i1 = c.c * v + c.d * i;
  p.vr[k] = v1.real(), p.vi[k] = v1.imag();
  p.ir[k] = i1.real(), p.ii[k] = i1.imag();
  if constexpr (full) {
    if (line != nullptr) {
      line_stress(constants, line->length_m, p.f[k], {v, i, v1, i1}, *out, k);
    } else {
      out->current[k] = std::norm(i1);
      out->voltage[k] = std::norm(v1);
      out->dissipation[k] = out->magnetic[k] = out->electric[k] = 0.0;
    }
  }
}

/// Transformer or line, point by point. No exception may leave the functions that are compiled for several instruction
/// sets: gcc 12 takes them for functions that do not throw and would end the program. So it is kept and thrown later.
template <bool full, std::size_t width>
STILE_NOINLINE void pass_two_port(const Element& element, std::size_t index, Phasors<width>& p,
                                  StressRows<width>* out) noexcept {
  if (p.failure) return;
  try {
    for (std::size_t k = 0; k < p.count; ++k) pass_point<full>(element, p, out, k);
  } catch (const DomainError& error) {
    p.failure = std::make_exception_ptr(in_element(index, element, error));
  } catch (...) {
    p.failure = std::current_exception();
  }
  const auto fill = [&](Row<width>& row) { std::fill(row + p.count, row + width, row[p.count - 1]); };
  for (Row<width>* row : {&p.vr, &p.vi, &p.ir, &p.ii}) fill(*row);
  if constexpr (full) {
    for (Row<width>* row : {&out->current, &out->voltage, &out->dissipation, &out->magnetic, &out->electric})
      fill(*row);
  }
}

/// From the load back to the source; `out` has one set of rows per element when `full`.
template <bool full, std::size_t width>
STILE_INLINE void walk(const std::vector<Prepared>& parts, Phasors<width>& p, StressRows<width>* out) {
  for (std::size_t n = parts.size(); n-- > 0;) {
    StressRows<width>* rows = full ? out + n : nullptr;
    if (parts[n].two_port != nullptr) {
      pass_two_port<full>(*parts[n].two_port, n, p, rows);
    } else if (parts[n].branch) {
      pass_branch<full>(*parts[n].branch, parts[n].place, p, rows);
    } else {
      pass_bank<full>(parts[n].bank, parts[n].place, p, rows);
    }
  }
}

/// Puts the load on a block: I = 1 A, V = z. A block of fewer points is filled up with its last one.
template <std::size_t width>
STILE_INLINE void put_load(Phasors<width>& p, const cdouble* z, std::size_t count) {
  p.count = count;
  for (std::size_t k = 0; k < count; ++k) {
    p.vr[k] = z[k].real();
    p.vi[k] = z[k].imag();
  }
  for (std::size_t k = count; k < width; ++k) p.vr[k] = p.vr[count - 1], p.vi[k] = p.vi[count - 1];
  for (std::size_t k = 0; k < width; ++k) p.ir[k] = 1.0, p.ii[k] = 0.0;
}

/// Starts a block at the load.
template <std::size_t width>
STILE_INLINE void start(Phasors<width>& p, const double* f, const cdouble* z, std::size_t count) {
  std::copy_n(f, count, p.f);
  for (std::size_t k = count; k < width; ++k) p.f[k] = f[count - 1];
  for (std::size_t k = 0; k < width; ++k) {
    p.s[k] = std::sqrt(p.f[k]);
    p.u[k] = 1.0 / p.f[k];
  }
  put_load(p, z, count);
}

/// Power ratios to decibels, in place. The library's logarithm takes one number at a time and would be a quarter of the
/// sweep's time; this one is a plain loop. ln x = e ln 2 + 2 atanh((m - 1)/(m + 1)) with x = m 2^e, m in [sqrt(1/2),
/// sqrt 2): the series to the 21st power leaves 1e-17. What is not an ordinary positive number goes to std::log.
/// Accuracy: a few units in the last place (test_ladder.cpp holds the results against log10).
template <std::size_t width>
STILE_INLINE void to_db(Row<width>& ratio) {
  constexpr std::uint64_t root_half = 0x3fe6a09e667f3bcd, one = 0x3ff0000000000000, magic = 0x4330000000000000;
  constexpr double factor = 10.0 / std::numbers::ln10;
  alignas(row_alignment<width>) Row<width> db;
  std::uint64_t odd = 0;
  for (std::size_t k = 0; k < width; ++k) {
    odd |= ratio[k] >= std::numeric_limits<double>::min() && ratio[k] <= std::numeric_limits<double>::max() ? 0U : 1U;
  }
  for (std::size_t k = 0; k < width; ++k) {
    const auto bits = std::bit_cast<std::uint64_t>(ratio[k]);
    const std::uint64_t biased = (bits + (one - root_half)) >> 52;  // e + 1023
    const double e = std::bit_cast<double>(magic | biased) - 0x1p52 - 1023.0;
    const double f = std::bit_cast<double>(bits - (biased << 52) + one) - 1.0;  // m - 1
    const double t = f / (2.0 + f), z = t * t;
    double sum = 1.0 / 21.0;
    for (int n = 19; n >= 1; n -= 2) sum = sum * z + 1.0 / n;
    db[k] = factor * (e * std::numbers::ln2 + 2.0 * t * sum);
  }
  if (odd != 0) {
    for (std::size_t k = 0; k < width; ++k) {
      const bool ordinary =
          ratio[k] >= std::numeric_limits<double>::min() && ratio[k] <= std::numeric_limits<double>::max();
      if (!ordinary) db[k] = factor * std::log(ratio[k]);
    }
  }
  std::copy_n(db, width, ratio);
}

/// Available over delivered power at a multiple of the frequencies.
template <std::size_t width>
STILE_INLINE void harmonic(const Phasors<width>& fundamental, const std::vector<Prepared>& parts, const Source& source,
                           const cdouble* z, std::size_t count, double multiple, Row<width>& ratio) {
  const double rs = source.z_ohm.real(), xs = source.z_ohm.imag(), root = std::sqrt(multiple), inverse = 1.0 / multiple;
  Phasors<width> p;
  for (std::size_t k = 0; k < width; ++k) {
    p.f[k] = multiple * fundamental.f[k];
    p.s[k] = root * fundamental.s[k];
    p.u[k] = inverse * fundamental.u[k];
  }
  put_load(p, z, count);
  alignas(row_alignment<width>) Row<width> r;
  for (std::size_t k = 0; k < width; ++k) r[k] = p.vr[k];
  walk<false>(parts, p, static_cast<StressRows<width>*>(nullptr));
  for (std::size_t k = 0; k < width; ++k) {
    const double er = p.vr[k] + rs * p.ir[k] - xs * p.ii[k], ei = p.vi[k] + rs * p.ii[k] + xs * p.ir[k];
    ratio[k] = (er * er + ei * ei) / (4.0 * rs * r[k]);
  }
}

template <std::size_t width>
STILE_INLINE void evaluate_points(const std::vector<Prepared>& parts, const Source& source, const BlockPoints& points,
                                  Phasors<width>& p, ResultRows<width>& out, StressRows<width>* stress) {
  const double rs = source.z_ohm.real(), xs = source.z_ohm.imag();
  start(p, points.frequency_hz, points.z_ohm, points.count);
  alignas(row_alignment<width>) Row<width> r_load, x_load, magnetic, electric, loss, scale2, wave_sum, source_loss;
  for (std::size_t k = 0; k < width; ++k) r_load[k] = p.vr[k], x_load[k] = p.vi[k];
  walk<true>(parts, p, stress);

  const double emf2 = 4.0 * rs * source.power_w;  // |open-circuit voltage|^2
  const double emf = std::sqrt(emf2);
  for (std::size_t k = 0; k < width; ++k) {
    // a = V + Zs I is the EMF in units of the load current, b = V - Zs* I the reflected part.
    const double ar = p.vr[k] + rs * p.ir[k] - xs * p.ii[k], ai = p.vi[k] + rs * p.ii[k] + xs * p.ir[k];
    const double br = p.vr[k] - rs * p.ir[k] - xs * p.ii[k], bi = p.vi[k] - rs * p.ii[k] + xs * p.ir[k];
    const double a2 = ar * ar + ai * ai, inverse = 1.0 / a2;
    p.sum[k] = a2;
    scale2[k] = emf2 * inverse;
    out.load_current_re[k] = emf * ar * inverse;  // with the EMF as phase reference
    out.load_current_im[k] = -emf * ai * inverse;
    out.reflection_re[k] = (br * ar + bi * ai) * inverse;
    out.reflection_im[k] = (bi * ar - br * ai) * inverse;
    const double i2 = p.ir[k] * p.ir[k] + p.ii[k] * p.ii[k], i_inverse = 1.0 / i2;
    out.input_r[k] = (p.vr[k] * p.ir[k] + p.vi[k] * p.ii[k]) * i_inverse;
    out.input_x[k] = (p.vi[k] * p.ir[k] - p.vr[k] * p.ii[k]) * i_inverse;
    wave_sum[k] = std::sqrt(a2) + std::sqrt(br * br + bi * bi);
    source_loss[k] = i2 * rs;
    p.sum[k] +=
        i2 + wave_sum[k] + scale2[k] + out.reflection_re[k] + out.reflection_im[k] + out.input_r[k] + out.input_x[k];
    magnetic[k] = electric[k] = loss[k] = 0.0;
  }
  for (std::size_t n = 0; n < parts.size(); ++n) {
    StressRows<width>& s = stress[n];
    for (std::size_t k = 0; k < width; ++k) {
      loss[k] += s.dissipation[k];
      magnetic[k] += s.magnetic[k];
      electric[k] += s.electric[k];
      s.current[k] = std::sqrt(s.current[k] * scale2[k]);
      s.voltage[k] = std::sqrt(2.0 * s.voltage[k] * scale2[k]);
      s.dissipation[k] *= scale2[k];
      s.magnetic[k] *= scale2[k];
      s.electric[k] *= scale2[k];
      p.sum[k] += s.current[k] + s.voltage[k] + s.dissipation[k] + s.magnetic[k] + s.electric[k];
    }
  }
  for (std::size_t k = 0; k < width; ++k) {
    const double w = two_pi * p.f[k];
    const double load_energy = 0.5 * x_load[k] * p.u[k] / two_pi;
    const double stored = std::max(magnetic[k] + std::max(load_energy, 0.0), electric[k] + std::max(-load_energy, 0.0));
    const double accepted = loss[k] + r_load[k];  // a sum of terms >= 0, free of the cancellation in Re(V I*)
    out.loaded_q[k] = 2.0 * w * stored / (accepted + source_loss[k]);
    // (|a|+|b|)/(|a|-|b|), |a|^2 - |b|^2 = 4 Rs P; rounding must not take it below 1.
    out.swr[k] = std::max(wave_sum[k] * wave_sum[k] / (4.0 * rs * accepted), 1.0);
    out.accepted[k] = accepted * scale2[k];
    out.delivered[k] = r_load[k] * scale2[k];
    p.sum[k] += out.loaded_q[k] + out.accepted[k] + out.delivered[k] + out.load_current_re[k] + out.load_current_im[k];
  }
  std::uint64_t odd = 0;
  for (std::size_t k = 0; k < width; ++k) odd |= std::abs(p.sum[k]) <= std::numeric_limits<double>::max() ? 0U : 1U;
  p.sound = odd == 0;
  alignas(row_alignment<width>) Row<width> second, third;
  const bool has_second = points.z_second_ohm != nullptr, has_third = points.z_third_ohm != nullptr;
  if (has_second) harmonic(p, parts, source, points.z_second_ohm, points.count, 2.0, second);
  if (has_third) harmonic(p, parts, source, points.z_third_ohm, points.count, 3.0, third);
  for (std::size_t k = 0; k < width; ++k) {
    const double accepted = out.accepted[k], delivered = out.delivered[k];
    out.mismatch_db[k] = source.power_w / accepted;
    out.dissipation_db[k] = delivered > 0.0 ? accepted / delivered : infinite;
    out.second_harmonic_db[k] = has_second ? second[k] * delivered / source.power_w : std::nan("");
    out.third_harmonic_db[k] = has_third ? third[k] * delivered / source.power_w : std::nan("");
  }
  to_db(out.mismatch_db);
  to_db(out.dissipation_db);
  if (has_second) to_db(out.second_harmonic_db);
  if (has_third) to_db(out.third_harmonic_db);
  for (std::size_t k = 0; k < width; ++k) out.mismatch_db[k] = std::max(out.mismatch_db[k], 0.0);
}

STILE_CLONES
void evaluate_block(const std::vector<Prepared>& parts, const Source& source, const BlockPoints& points,
                    Phasors<block_width>& p, ResultRows<block_width>& out, StressRows<block_width>* stress) {
  evaluate_points(parts, source, points, p, out, stress);
}

/// The error of a block that holds a result which is not finite.
template <std::size_t width>
DomainError not_finite(const Phasors<width>& p, const double* frequency_hz) {
  std::size_t k = 0;
  while (k + 1 < p.count && std::isfinite(p.sum[k])) ++k;
  return DomainError(fmt::format(
      "the result at {} is not finite: values too large or too small, or no current at all enters the network",
      print_quantity(frequency_hz[k], Unit::hertz, 6)));
}

void check_source(const Source& source) {
  require(source.z_ohm.real() > 0.0 && finite(source.z_ohm),
          "the source's impedance must be finite with real part > 0");
  require(source.power_w > 0.0 && std::isfinite(source.power_w), "the source's power must be > 0 and finite");
}

void check_frequency(double frequency_hz) {
  require(frequency_hz > 0.0 && std::isfinite(frequency_hz), "a frequency must be > 0 and finite");
}

void check_load(cdouble z_ohm) {
  require(finite(z_ohm) && z_ohm.real() >= 0.0, "a load must be finite with real part >= 0");
}

void check_samples(const LoadSamples& points) {
  const std::size_t n = points.frequency_hz.size();
  require(n > 0, "a sweep needs at least one point");
  for (const double f : points.frequency_hz) check_frequency(f);
  const auto check_loads = [&](const std::vector<cdouble>& z) {
    require(z.size() == n, "a sweep needs one load impedance for each frequency");
    for (const cdouble& load : z) check_load(load);
  };
  check_loads(points.z_ohm);
  if (!points.z_second_ohm.empty()) check_loads(points.z_second_ohm);
  if (!points.z_third_ohm.empty()) check_loads(points.z_third_ohm);
}

std::vector<Prepared> prepare(const Ladder& ladder) {
  std::vector<Prepared> parts;
  parts.reserve(ladder.elements.size());
  for (std::size_t n = 0; n < ladder.elements.size(); ++n) {
    const Element& element = ladder.elements[n];
    try {
      detail::check_two_port(element.part);
      Prepared& part = parts.emplace_back(element);
      if (const auto* bank = std::get_if<CapacitorBank>(&element.part); bank != nullptr && !part.branch) {
        part.bank = detail::branches(*bank);
      } else if (!part.branch) {
        require(element.place == Place::cascade, "a transformer or line stands in cascade");
        part.two_port = &element;
        continue;
      }
      require(element.place != Place::cascade, "a two-terminal part stands in series or in shunt");
      require(element.place == Place::series || !part.branch || !detail::is_short(*part.branch),
              "a shunt part must not be a short circuit");
    } catch (const DomainError& error) {
      throw in_element(n, element, error);
    }
  }
  return parts;
}

}  // namespace

Evaluation SweepRows::at(std::size_t index) const {
  require(index < count, "a sweep has no such point");
  const auto get = [&](Column c) { return values_[stride_ * static_cast<std::size_t>(c) + index]; };
  Evaluation e;
  e.frequency_hz = points_->frequency_hz[first + index];
  e.z_load_ohm = points_->z_ohm[first + index];
  e.z_input_ohm = {get(Column::input_r), get(Column::input_x)};
  e.reflection = {get(Column::reflection_re), get(Column::reflection_im)};
  e.swr = get(Column::swr);
  e.power = {available_w_, get(Column::accepted), get(Column::delivered)};
  e.loss = {get(Column::mismatch_db), get(Column::dissipation_db),
            get(Column::mismatch_db) + get(Column::dissipation_db)};
  e.loaded_q = get(Column::loaded_q);
  if (!points_->z_second_ohm.empty()) e.second_harmonic_db = get(Column::second_harmonic_db);
  if (!points_->z_third_ohm.empty()) e.third_harmonic_db = get(Column::third_harmonic_db);
  e.load_current_a = {get(Column::load_current_re), get(Column::load_current_im)};
  e.elements.reserve(elements_);
  const double* part = values_ + stride_ * columns + index;
  for (std::size_t n = 0; n < elements_; ++n, part += element_columns * stride_) {
    const auto of = [&](ElementColumn c) { return part[stride_ * static_cast<std::size_t>(c)]; };
    e.elements.push_back({of(ElementColumn::current_a_rms), of(ElementColumn::voltage_v_peak),
                          of(ElementColumn::dissipation_w), of(ElementColumn::magnetic_energy_j),
                          of(ElementColumn::electric_energy_j)});
  }
  return e;
}

void visit_sweep(const Ladder& ladder, const Source& source, const LoadSamples& points,
                 const std::function<void(const SweepRows&)>& visit) {
  check_source(source);
  check_samples(points);
  const std::vector<Prepared> parts = prepare(ladder);
  // One set of rows for all blocks: the results first, then the stress of each element.
  constexpr std::align_val_t line{64};
  const std::size_t size = sizeof(ResultRows<block_width>) + sizeof(StressRows<block_width>) * parts.size();
  const auto release = [&](void* memory) { ::operator delete(memory, line); };
  const std::unique_ptr<void, decltype(release)> memory(::operator new(size, line), release);
  auto* results = new (memory.get()) ResultRows<block_width>;
  auto* stress = reinterpret_cast<StressRows<block_width>*>(results + 1);
  Phasors<block_width> phasors;
  SweepRows rows(results->input_r, block_width, points, parts.size(), source.power_w);
  for (rows.first = 0; rows.first < points.frequency_hz.size(); rows.first += block_width) {
    rows.count = std::min(block_width, points.frequency_hz.size() - rows.first);
    const auto at = [&](const std::vector<cdouble>& z) { return z.empty() ? nullptr : z.data() + rows.first; };
    evaluate_block(parts, source,
                   {points.frequency_hz.data() + rows.first, at(points.z_ohm), at(points.z_second_ohm),
                    at(points.z_third_ohm), rows.count},
                   phasors, *results, stress);
    if (phasors.failure) std::rethrow_exception(phasors.failure);
    if (!phasors.sound) throw not_finite(phasors, points.frequency_hz.data() + rows.first);
    visit(rows);
  }
}

// Memory for a stored sweep: large ones on large pages, since half of the time of a long sweep would otherwise go
// into taking small ones from the kernel.
void Sweep::Free::operator()(double* values) const { std::free(values); }

Sweep::Sweep(LoadSamples points, std::size_t elements, double available_w)
    : points_(std::move(points)), elements_(elements), available_w_(available_w) {
  constexpr std::size_t page = std::size_t{2} << 20;
  const std::size_t bytes = size() * (columns + element_columns * elements) * sizeof(double);
  const bool large = bytes >= 2 * page;
  const std::size_t alignment = large ? page : 64;
  void* memory = std::aligned_alloc(alignment, (bytes + alignment - 1) / alignment * alignment);
  if (memory == nullptr) throw std::bad_alloc();
#ifdef MADV_HUGEPAGE
  if (large) madvise(memory, bytes, MADV_HUGEPAGE);  // advice only: a refusal costs time, nothing else
#endif
  values_.reset(static_cast<double*>(memory));
}

SweepRows Sweep::rows() const {
  SweepRows all(values_.get(), size(), points_, elements_, available_w_);
  all.count = size();
  return all;
}

void Sweep::store(const SweepRows& block) {
  for (std::size_t row = 0; row < columns + element_columns * elements_; ++row) {
    std::copy_n(block.row(row).data(), block.count, values_.get() + size() * row + block.first);
  }
}

Sweep evaluate_sweep(const Ladder& ladder, const Source& source, LoadSamples samples) {
  Sweep sweep(std::move(samples), ladder.elements.size(), source.power_w);
  visit_sweep(ladder, source, sweep.points(), [&](const SweepRows& block) { sweep.store(block); });
  return sweep;
}

Evaluation evaluate(const Ladder& ladder, const Source& source, double frequency_hz, cdouble z_load_ohm) {
  check_source(source);
  check_frequency(frequency_hz);
  check_load(z_load_ohm);
  const std::vector<Prepared> parts = prepare(ladder);
  Phasors<1> phasors;
  ResultRows<1> r;
  std::vector<StressRows<1>> stress(parts.size());
  evaluate_points(parts, source, {&frequency_hz, &z_load_ohm, nullptr, nullptr, 1}, phasors, r, stress.data());
  if (phasors.failure) std::rethrow_exception(phasors.failure);
  if (!phasors.sound) throw not_finite(phasors, &frequency_hz);
  Evaluation e;
  e.frequency_hz = frequency_hz;
  e.z_load_ohm = z_load_ohm;
  e.z_input_ohm = {*r.input_r, *r.input_x};
  e.reflection = {*r.reflection_re, *r.reflection_im};
  e.swr = *r.swr;
  e.power = {source.power_w, *r.accepted, *r.delivered};
  e.loss = {*r.mismatch_db, *r.dissipation_db, *r.mismatch_db + *r.dissipation_db};
  e.loaded_q = *r.loaded_q;
  e.load_current_a = {*r.load_current_re, *r.load_current_im};
  e.elements.reserve(parts.size());
  for (const StressRows<1>& s : stress) {
    e.elements.push_back({*s.current, *s.voltage, *s.dissipation, *s.magnetic, *s.electric});
  }
  return e;
}

std::vector<Overload> overloads(const Ladder& ladder, const Evaluation& evaluation) {
  require(ladder.elements.size() == evaluation.elements.size(), "the evaluation belongs to another ladder");
  std::vector<Overload> found;
  for (std::size_t n = 0; n < ladder.elements.size(); ++n) {
    const Element& element = ladder.elements[n];
    const Stress& stress = evaluation.elements[n];
    const auto compare = [&](double value, double rating, Unit unit, const char* kind) {
      if (value <= rating) return;
      found.push_back({n,
                       fmt::format("{}: {}{}, rated {}", name(element), print_quantity(value, unit), kind,
                                   print_quantity(rating, unit)),
                       value / rating});
    };
    compare(stress.voltage_v_peak, element.rating.voltage_v_peak, Unit::volt, " peak");
    compare(stress.current_a_rms, element.rating.current_a_rms, Unit::ampere, " rms");
    compare(stress.dissipation_w, element.rating.dissipation_w, Unit::watt, " dissipated");
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const Overload& a, const Overload& b) { return a.factor > b.factor; });
  return found;
}

}  // namespace stile::network

#include <stile/network/ladder.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/network/branch.hpp>

// The walk through a ladder runs over blocks of frequencies with plain loops, so that the compiler vectorises them
// (-fno-math-errno on this file, for sqrt). It is compiled for two instruction sets; contraction to fused
// operations is off, so both give the same bits.
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__)
#define STILE_CLONES __attribute__((target_clones("default", "arch=x86-64-v3")))
#else
#define STILE_CLONES
#endif
#define STILE_INLINE __attribute__((always_inline)) inline

namespace stile {
namespace {

constexpr std::size_t width = 64;    // frequencies a block; a shorter last block is filled with its last point
using Row = double[width];

/// An element made ready for a sweep: two-terminal ones by their branches, others by the element itself.
struct Prepared {
  Place place;
  std::vector<detail::Branch> branches;
  const Element* two_port = nullptr;
};

/// Stress of one element over a block; current and voltage are squares until the source's scale is known.
struct alignas(64) StressRows {
  Row current2, voltage2, dissipation, magnetic, electric;
};

/// V and I phasors along a block, in the units in which the load's current is 1 A.
struct alignas(64) Phasors {
  Row f, s, u;              // frequency, its root, its inverse
  Row vr, vi, ir, ii;
};

/// R and X of a branch, without its parallel capacitance.
STILE_INLINE void branch_rows(const detail::Branch& b, const Phasors& p, Row& r, Row& x) {
  for (std::size_t k = 0; k < width; ++k) {
    const double u = p.u[k];
    r[k] = b.r0 + b.r1 * p.f[k] + b.rh * p.s[k] + (b.rm + b.rmh * p.s[k] * u) * u;
    x[k] = b.x0 + b.x1 * p.f[k] + b.xm * u;
  }
}

/// One branch in series or shunt.
template <bool full>
STILE_INLINE void pass_branch(const detail::Branch& b, Place place, Phasors& p, StressRows* out) {
  alignas(64) Row r, x, zr, zi, v2, i2;
  branch_rows(b, p, r, x);
  if (b.cp == 0.0) {
    for (std::size_t k = 0; k < width; ++k) zr[k] = r[k], zi[k] = x[k];
  } else {
    for (std::size_t k = 0; k < width; ++k) {    // z / (1 + j w cp z)
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
      for (std::size_t k = 0; k < width; ++k) i2[k] = v2[k] / (r[k] * r[k] + x[k] * x[k]);   // in the winding
    }
    for (std::size_t k = 0; k < width; ++k) {
      const double u = p.u[k];
      out->current2[k] = i2[k];
      out->voltage2[k] = v2[k];
      out->dissipation[k] = r[k] * i2[k];
      out->magnetic[k] = (b.m0 + b.mi * u) * i2[k];
      out->electric[k] = (b.ei + b.e2 * u) * u * i2[k] + 0.5 * b.cp * v2[k];
    }
  }
}

/// Several branches in parallel as one element, in series or shunt.
template <bool full>
STILE_INLINE void pass_bank(const std::vector<detail::Branch>& bank, Place place, Phasors& p, StressRows* out) {
  alignas(64) Row r, x, yr{}, yi{}, g, m, e;
  for (std::size_t k = 0; k < width; ++k) g[k] = m[k] = e[k] = 0.0;
  for (const detail::Branch& b : bank) {
    branch_rows(b, p, r, x);
    for (std::size_t k = 0; k < width; ++k) {
      const double u = p.u[k], scale = 1.0 / (r[k] * r[k] + x[k] * x[k]);   // |y|^2
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
      out->current2[k] = v2 * y2;
      out->voltage2[k] = v2;
      out->dissipation[k] = g[k] * v2;
      out->magnetic[k] = m[k] * v2;
      out->electric[k] = e[k] * v2;
    }
  }
}

/// Stress of a line whose load-side voltage and current are v and i.
/// Loss and energies are integrals of R|I|^2, G|V|^2, L|I|^2/2, C|V|^2/2 over two travelling waves, in closed form.
void line_stress(const LineConstants& line, double length_m, double f, cdouble v, cdouble i, StressRows& out,
                 std::size_t k) {
  const double w = two_pi * f, alpha = line.gamma_per_m.real(), beta = line.gamma_per_m.imag(), l = length_m;
  const cdouble up = 0.5 * (v + line.z0_ohm * i), down = 0.5 * (v - line.z0_ohm * i);   // grow towards source / load
  const auto growth = [&](double a) { return a == 0.0 ? l : std::expm1(a * l) / a; };   // integral of exp(a x)
  const double phase = 2.0 * beta * l;
  const cdouble swing = phase == 0.0 ? cdouble{l} : l * std::polar(1.0, 0.5 * phase) * (std::sin(0.5 * phase) / (0.5 * phase));
  const double waves = std::norm(up) * growth(2.0 * alpha) + std::norm(down) * growth(-2.0 * alpha);
  const double cross = 2.0 * (up * std::conj(down) * swing).real();
  const double v2 = waves + cross, i2 = (waves - cross) / std::norm(line.z0_ohm);
  const cdouble z = line.gamma_per_m * line.z0_ohm, y = line.gamma_per_m / line.z0_ohm;   // R + jwL, G + jwC
  out.dissipation[k] = z.real() * i2 + y.real() * v2;
  out.magnetic[k] = 0.5 * z.imag() / w * i2;
  out.electric[k] = 0.5 * y.imag() / w * v2;
  // Highest voltage and current along the line: ends, and every 1/64 of a wavelength between them.
  double v2_max = 0.0, i2_max = 0.0;
  const int steps = std::max(1, static_cast<int>(std::ceil(std::min(1e4, beta * l / two_pi * 64.0))));
  for (int step = 0; step <= steps; ++step) {
    const cdouble g = line.gamma_per_m * (l * step / steps);
    const cdouble a = up * std::exp(g), b = down * std::exp(-g);
    v2_max = std::max(v2_max, std::norm(a + b));
    i2_max = std::max(i2_max, std::norm((a - b) / line.z0_ohm));
  }
  out.voltage2[k] = v2_max;
  out.current2[k] = i2_max;
}

/// Transformer or line, point by point.
template <bool full>
void pass_two_port(const Element& element, Phasors& p, StressRows* out) {
  for (std::size_t k = 0; k < width; ++k) {
    const cdouble v{p.vr[k], p.vi[k]}, i{p.ir[k], p.ii[k]};
    const Chain c = chain(element, p.f[k]);
    const cdouble v1 = c.a * v + c.b * i, i1 = c.c * v + c.d * i;
    p.vr[k] = v1.real(), p.vi[k] = v1.imag();
    p.ir[k] = i1.real(), p.ii[k] = i1.imag();
    if constexpr (full) {
      if (const auto* line = std::get_if<TransmissionLine>(&element.part)) {
        line_stress(line_constants(*line, p.f[k]), line->length_m, p.f[k], v, i, *out, k);
      } else {
        out->current2[k] = std::norm(i1);
        out->voltage2[k] = std::norm(v1);
        out->dissipation[k] = out->magnetic[k] = out->electric[k] = 0.0;
      }
    }
  }
}

/// From the load back to the source; `out` has one set of rows per element when `full`.
template <bool full>
STILE_INLINE void walk(const std::vector<Prepared>& parts, Phasors& p, StressRows* out) {
  for (std::size_t n = parts.size(); n-- > 0;) {
    StressRows* rows = full ? out + n : nullptr;
    if (parts[n].two_port != nullptr) {
      pass_two_port<full>(*parts[n].two_port, p, rows);
    } else if (parts[n].branches.size() == 1) {
      pass_branch<full>(parts[n].branches.front(), parts[n].place, p, rows);
    } else {
      pass_bank<full>(parts[n].branches, parts[n].place, p, rows);
    }
  }
}

/// Starts a block at the load: I = 1 A, V = z, at `multiple` times the frequencies.
STILE_INLINE void start(Phasors& p, const double* f, const cdouble* z, std::size_t count, double multiple) {
  for (std::size_t k = 0; k < width; ++k) {
    const std::size_t j = std::min(k, count - 1);
    p.f[k] = multiple * f[j];
    p.vr[k] = z[j].real();
    p.vi[k] = z[j].imag();
    p.ir[k] = 1.0;
    p.ii[k] = 0.0;
  }
  for (std::size_t k = 0; k < width; ++k) {
    p.s[k] = std::sqrt(p.f[k]);
    p.u[k] = 1.0 / p.f[k];
  }
}

/// Everything of one block that is computed in vector loops.
struct alignas(64) BlockRows {
  Phasors at_f, at_harmonic;
  Row accepted, delivered, scale2, swr, loaded_q, reflection_re, reflection_im, current_re, current_im, input_r, input_x;
  Row ratio_second, ratio_third;    // available / delivered at 2 f, 3 f
};

STILE_CLONES
void evaluate_block(const std::vector<Prepared>& parts, const Source& source, const LoadSamples& points,
                    std::size_t first, std::size_t count, BlockRows& b, StressRows* stress) {
  const double rs = source.z_ohm.real(), xs = source.z_ohm.imag();
  const double* f = points.frequency_hz.data() + first;
  const cdouble* z = points.z_ohm.data() + first;
  Phasors& p = b.at_f;
  start(p, f, z, count, 1.0);
  alignas(64) Row r_load, x_load, magnetic, electric, loss;
  for (std::size_t k = 0; k < width; ++k) r_load[k] = p.vr[k], x_load[k] = p.vi[k];
  walk<true>(parts, p, stress);

  const double emf2 = 4.0 * rs * source.power_w;       // |open-circuit voltage|^2
  const double emf = std::sqrt(emf2);
  for (std::size_t k = 0; k < width; ++k) {
    // Wave sums: V + Zs I is the EMF in units of the load current, V - Zs* I the reflected part.
    const double er = p.vr[k] + rs * p.ir[k] - xs * p.ii[k], ei = p.vi[k] + rs * p.ii[k] + xs * p.ir[k];
    const double br = p.vr[k] - rs * p.ir[k] - xs * p.ii[k], bi = p.vi[k] - rs * p.ii[k] + xs * p.ir[k];
    const double inverse = 1.0 / (er * er + ei * ei);
    b.scale2[k] = emf2 * inverse;
    b.current_re[k] = emf * er * inverse;              // load current with the EMF as phase reference
    b.current_im[k] = -emf * ei * inverse;
    b.reflection_re[k] = (br * er + bi * ei) * inverse;
    b.reflection_im[k] = (bi * er - br * ei) * inverse;
    const double i2 = p.ir[k] * p.ir[k] + p.ii[k] * p.ii[k], i_inverse = 1.0 / i2;
    b.input_r[k] = (p.vr[k] * p.ir[k] + p.vi[k] * p.ii[k]) * i_inverse;
    b.input_x[k] = (p.vi[k] * p.ir[k] - p.vr[k] * p.ii[k]) * i_inverse;
    b.swr[k] = std::sqrt(er * er + ei * ei) + std::sqrt(br * br + bi * bi);   // |a| + |b|, finished below
    b.loaded_q[k] = i2 * rs;                                                  // loss in the source, finished below
    magnetic[k] = electric[k] = loss[k] = 0.0;
  }
  for (std::size_t n = 0; n < parts.size(); ++n) {
    const StressRows& s = stress[n];
    for (std::size_t k = 0; k < width; ++k) {
      loss[k] += s.dissipation[k];
      magnetic[k] += s.magnetic[k];
      electric[k] += s.electric[k];
    }
  }
  for (std::size_t k = 0; k < width; ++k) {
    const double w = two_pi * p.f[k];
    const double load_energy = 0.5 * x_load[k] / w;
    const double stored = std::max(magnetic[k] + std::max(load_energy, 0.0), electric[k] + std::max(-load_energy, 0.0));
    const double accepted = loss[k] + r_load[k];      // a sum of terms >= 0, free of the cancellation in Re(V I*)
    b.loaded_q[k] = 2.0 * w * stored / (accepted + b.loaded_q[k]);
    b.swr[k] = b.swr[k] * b.swr[k] / (4.0 * rs * accepted);    // (|a|+|b|)/(|a|-|b|), |a|^2 - |b|^2 = 4 Rs P
    b.accepted[k] = accepted * b.scale2[k];
    b.delivered[k] = r_load[k] * b.scale2[k];
  }
  for (std::size_t n = 0; n < parts.size(); ++n) {
    StressRows& s = stress[n];
    for (std::size_t k = 0; k < width; ++k) {
      const double scale = b.scale2[k];
      s.current2[k] = std::sqrt(s.current2[k] * scale);
      s.voltage2[k] = std::sqrt(2.0 * s.voltage2[k] * scale);
      s.dissipation[k] *= scale;
      s.magnetic[k] *= scale;
      s.electric[k] *= scale;
    }
  }
  const auto harmonic = [&](const std::vector<cdouble>& load, double multiple, Row& ratio) __attribute__((always_inline)) {
    if (load.empty()) return;
    Phasors& h = b.at_harmonic;
    start(h, f, load.data() + first, count, multiple);
    alignas(64) Row r;
    for (std::size_t k = 0; k < width; ++k) r[k] = h.vr[k];
    walk<false>(parts, h, nullptr);
    for (std::size_t k = 0; k < width; ++k) {
      const double er = h.vr[k] + rs * h.ir[k] - xs * h.ii[k], ei = h.vi[k] + rs * h.ii[k] + xs * h.ir[k];
      ratio[k] = (er * er + ei * ei) / (4.0 * rs * r[k]);
    }
  };
  harmonic(points.z_second_ohm, 2.0, b.ratio_second);
  harmonic(points.z_third_ohm, 3.0, b.ratio_third);
}

void check(const Source& source, const LoadSamples& points) {
  require(source.z_ohm.real() > 0.0 && finite(source.z_ohm), "the source's impedance must be finite with real part > 0");
  require(source.power_w > 0.0 && std::isfinite(source.power_w), "the source's power must be > 0 and finite");
  const std::size_t n = points.frequency_hz.size();
  require(n > 0, "a sweep needs at least one point");
  for (const double f : points.frequency_hz) require(f > 0.0 && std::isfinite(f), "a frequency must be > 0 and finite");
  const auto check_load = [&](const std::vector<cdouble>& z) {
    require(z.size() == n, "a sweep needs one load impedance for each frequency");
    for (const cdouble& load : z) require(finite(load) && load.real() >= 0.0, "a load must be finite with real part >= 0");
  };
  check_load(points.z_ohm);
  if (!points.z_second_ohm.empty()) check_load(points.z_second_ohm);
  if (!points.z_third_ohm.empty()) check_load(points.z_third_ohm);
}

std::vector<Prepared> prepare(const Ladder& ladder) {
  std::vector<Prepared> parts;
  for (std::size_t n = 0; n < ladder.elements.size(); ++n) {
    const Element& element = ladder.elements[n];
    try {
      detail::check_two_port(element.part);
      Prepared part{element.place, detail::branches(element.part), nullptr};
      if (part.branches.empty()) {
        require(element.place == Place::cascade, "a transformer or line stands in cascade");
        part.two_port = &element;
      } else {
        require(element.place != Place::cascade, "a two-terminal part stands in series or in shunt");
      }
      parts.push_back(std::move(part));
    } catch (const DomainError& error) {
      throw DomainError(fmt::format("element {} ({}): {}", n + 1, element.label.empty() ? kind_name(element.part) : element.label,
                                    error.what()));
    }
  }
  return parts;
}

}  // namespace

Sweep::Sweep(LoadSamples points, std::size_t elements, double available_w)
    : points_(std::move(points)), elements_(elements), available_w_(available_w),
      values_(std::make_unique_for_overwrite<double[]>(size() * (columns + element_columns * elements))) {}

std::span<const double> Sweep::column(Column c) const {
  return {values_.get() + size() * static_cast<std::size_t>(c), size()};
}
std::span<const double> Sweep::element(std::size_t index, ElementColumn c) const {
  return {values_.get() + size() * (columns + element_columns * index + static_cast<std::size_t>(c)), size()};
}
std::span<double> Sweep::column(Column c) { return {values_.get() + size() * static_cast<std::size_t>(c), size()}; }
std::span<double> Sweep::element(std::size_t index, ElementColumn c) {
  return {values_.get() + size() * (columns + element_columns * index + static_cast<std::size_t>(c)), size()};
}

Evaluation Sweep::at(std::size_t index) const {
  require(index < size(), "a sweep has no such point");
  const auto get = [&](Column c) { return column(c)[index]; };
  Evaluation e;
  e.frequency_hz = points_.frequency_hz[index];
  e.z_load_ohm = points_.z_ohm[index];
  e.z_input_ohm = {get(Column::input_r), get(Column::input_x)};
  e.reflection = {get(Column::reflection_re), get(Column::reflection_im)};
  e.swr = get(Column::swr);
  e.power = {available_w_, get(Column::accepted), get(Column::delivered)};
  e.loss = {get(Column::mismatch_db), get(Column::dissipation_db), get(Column::mismatch_db) + get(Column::dissipation_db)};
  e.loaded_q = get(Column::loaded_q);
  if (has_second_harmonic()) e.second_harmonic_db = get(Column::second_harmonic_db);
  if (has_third_harmonic()) e.third_harmonic_db = get(Column::third_harmonic_db);
  e.load_current_a = {get(Column::load_current_re), get(Column::load_current_im)};
  for (std::size_t n = 0; n < elements_; ++n) {
    const auto part = [&](ElementColumn c) { return element(n, c)[index]; };
    e.elements.push_back({part(ElementColumn::current_a_rms), part(ElementColumn::voltage_v_peak),
                          part(ElementColumn::dissipation_w), part(ElementColumn::magnetic_energy_j),
                          part(ElementColumn::electric_energy_j)});
  }
  return e;
}

Sweep evaluate_sweep(const Ladder& ladder, const Source& source, LoadSamples samples) {
  check(source, samples);
  const std::vector<Prepared> parts = prepare(ladder);
  Sweep sweep(std::move(samples), parts.size(), source.power_w);
  const LoadSamples& points = sweep.points();
  std::vector<StressRows> stress(parts.size());
  BlockRows b;
  using C = Sweep::Column;
  using E = Sweep::ElementColumn;
  for (std::size_t first = 0; first < sweep.size(); first += width) {
    const std::size_t count = std::min(width, sweep.size() - first);
    evaluate_block(parts, source, points, first, count, b, stress.data());
    const auto store = [&](std::span<double> column, const Row& row) { std::copy_n(row, count, column.data() + first); };
    store(sweep.column(C::input_r), b.input_r);
    store(sweep.column(C::input_x), b.input_x);
    store(sweep.column(C::reflection_re), b.reflection_re);
    store(sweep.column(C::reflection_im), b.reflection_im);
    store(sweep.column(C::swr), b.swr);
    store(sweep.column(C::accepted), b.accepted);
    store(sweep.column(C::delivered), b.delivered);
    store(sweep.column(C::loaded_q), b.loaded_q);
    store(sweep.column(C::load_current_re), b.current_re);
    store(sweep.column(C::load_current_im), b.current_im);
    for (std::size_t n = 0; n < parts.size(); ++n) {
      store(sweep.element(n, E::current_a_rms), stress[n].current2);
      store(sweep.element(n, E::voltage_v_peak), stress[n].voltage2);
      store(sweep.element(n, E::dissipation_w), stress[n].dissipation);
      store(sweep.element(n, E::magnetic_energy_j), stress[n].magnetic);
      store(sweep.element(n, E::electric_energy_j), stress[n].electric);
    }
    const auto to_db = [](double ratio) { return 10.0 * std::log10(ratio); };
    for (std::size_t k = 0; k < count; ++k) {
      const std::size_t n = first + k;
      sweep.column(C::mismatch_db)[n] = std::max(0.0, to_db(source.power_w / b.accepted[k]));
      sweep.column(C::dissipation_db)[n] = to_db(b.accepted[k] / b.delivered[k]);
      if (sweep.has_second_harmonic()) {
        sweep.column(C::second_harmonic_db)[n] = to_db(b.ratio_second[k] * b.delivered[k] / source.power_w);
      }
      if (sweep.has_third_harmonic()) {
        sweep.column(C::third_harmonic_db)[n] = to_db(b.ratio_third[k] * b.delivered[k] / source.power_w);
      }
    }
  }
  return sweep;
}

Evaluation evaluate(const Ladder& ladder, const Source& source, double frequency_hz, cdouble z_load_ohm) {
  return evaluate_sweep(ladder, source, {{frequency_hz}, {z_load_ohm}, {}, {}}).at(0);
}

std::vector<Overload> overloads(const Ladder& ladder, const Evaluation& evaluation) {
  require(ladder.elements.size() == evaluation.elements.size(), "the evaluation belongs to another ladder");
  std::vector<Overload> found;
  for (std::size_t n = 0; n < ladder.elements.size(); ++n) {
    const Element& element = ladder.elements[n];
    const Stress& stress = evaluation.elements[n];
    const auto compare = [&](double value, double rating, Unit unit, const char* kind) {
      if (value <= rating) return;
      found.push_back({n, fmt::format("{}: {}{}, rated {}", element.label, print_quantity(value, unit), kind,
                                      print_quantity(rating, unit)), value / rating});
    };
    compare(stress.voltage_v_peak, element.rating.voltage_v_peak, Unit::volt, " peak");
    compare(stress.current_a_rms, element.rating.current_a_rms, Unit::ampere, " rms");
    compare(stress.dissipation_w, element.rating.dissipation_w, Unit::watt, " dissipated");
  }
  std::stable_sort(found.begin(), found.end(), [](const Overload& a, const Overload& b) { return a.factor > b.factor; });
  return found;
}

}  // namespace stile

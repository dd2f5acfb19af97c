#include <stile/match/detail/section.hpp>

#include <cmath>

#include <stile/base/constants.hpp>

namespace stile::match::detail {
namespace {

/// t -> (a t + b)/(c t + d).
struct Moebius {
  cdouble a{1.0}, b{}, c{}, d{1.0};
};

/// outer after inner.
Moebius after(const Moebius& outer, const Moebius& inner) {
  return {outer.a * inner.a + outer.b * inner.c, outer.a * inner.b + outer.b * inner.d,
          outer.c * inner.a + outer.d * inner.c, outer.c * inner.b + outer.d * inner.d};
}

/// Impedance of a part from its t, with the parallel capacitance.
Moebius part_impedance(const UnknownPart& part) {
  return after({1.0, 0.0, cdouble{0.0, part.parallel_siemens}, 1.0}, {part.zeta, part.z0, 0.0, 1.0});
}

/// t from the impedance of a part: the inverse of part_impedance.
Moebius part_reactance(const UnknownPart& part) {
  return after({1.0, -part.z0, 0.0, part.zeta}, {1.0, 0.0, cdouble{0.0, -part.parallel_siemens}, 1.0});
}

cdouble image(const Moebius& m, cdouble t) { return (m.a * t + m.b) / (m.c * t + m.d); }

bool usable(double t) { return t > 0.0 && std::isfinite(t); }

/// Roots of p t^2 + 2 h t + q = 0, that with +sqrt first; nan where there is none. A linear equation's second root is
/// infinite or nan.
std::array<double, 2> quadratic_roots(double p, double h, double q) {
  const double root = std::sqrt(h * h - p * q);
  const double stable = -(h + std::copysign(root, h));  // -h -+ sqrt, without cancellation
  const double near = stable / p, far = q / stable;
  return std::signbit(h) ? std::array{near, far} : std::array{far, near};
}

}  // namespace

UnknownPart unknown_part(PartKind kind, network::Place place, const PartStock& stock, double frequency_hz) {
  // The same loss model as in a ladder, taken at a reactance of 1 ohm: w L or 1/(w C) = 1.
  const double w = two_pi * frequency_hz;
  const network::Loss& loss = kind == PartKind::inductor ? stock.inductor_loss : stock.capacitor_loss;
  const cdouble z0{loss.series_ohm};
  if (kind == PartKind::inductor) {
    const cdouble z = network::impedance(network::Inductor{1.0 / w, loss}, frequency_hz);
    return {kind, place, z0, z - z0, w * stock.inductor_self_capacitance_f};
  }
  const cdouble z = network::impedance(network::Capacitor{1.0 / w, loss}, frequency_hz);
  return {kind, place, z0, z - z0, 0.0};
}

network::Element make_element(const UnknownPart& part, double t_ohm, const PartStock& stock, double frequency_hz) {
  const double w = two_pi * frequency_hz;
  if (part.kind == PartKind::inductor) {
    return {"", part.place, network::Inductor{t_ohm / w, stock.inductor_loss, stock.inductor_self_capacitance_f}, {}};
  }
  return {"", part.place, network::Capacitor{1.0 / (w * t_ohm), stock.capacitor_loss}, {}};
}

cdouble through(const UnknownPart& part, double t_ohm, cdouble z) {
  const cdouble own = image(part_impedance(part), t_ohm);
  return part.place == network::Place::series ? own + z : own * z / (own + z);
}

cdouble behind(const UnknownPart& part, double t_ohm, cdouble z_target) {
  const cdouble own = image(part_impedance(part), t_ohm);
  return part.place == network::Place::series ? z_target - own : own * z_target / (own - z_target);
}

std::optional<double> solve_part(const UnknownPart& part, cdouble z_target, cdouble z_load) {
  const cdouble own =
      part.place == network::Place::series ? z_target - z_load : z_target * z_load / (z_load - z_target);
  const double t = image(part_reactance(part), own).real();
  return usable(t) ? std::optional(t) : std::nullopt;
}

std::vector<double> reactances_of_size(const UnknownPart& part, double size) {
  // With w = z0 + zeta t: in series Im[w/(1 + j p w)] = s, that is (1 + 2 p s) Im w - p (1 + p s) |w|^2 - s = 0; in
  // shunt Im[j p + 1/w] = s, that is Im w + (s - p) |w|^2 = 0. Either is a quadratic in t.
  std::vector<double> all;
  const double p = part.parallel_siemens;
  for (const double s : {size, -size}) {
    const bool series = part.place == network::Place::series;
    const double of_imag = series ? 1.0 + 2.0 * p * s : 1.0, of_square = series ? -p * (1.0 + p * s) : s - p,
                 rest = series ? -s : 0.0;
    for (const double t :
         quadratic_roots(of_square * std::norm(part.zeta),
                         0.5 * of_imag * part.zeta.imag() + of_square * (part.z0 * std::conj(part.zeta)).real(),
                         of_imag * part.z0.imag() + of_square * std::norm(part.z0) + rest)) {
      if (usable(t)) all.push_back(t);
    }
  }
  return all;
}

std::array<std::optional<SectionRoot>, 2>
solve_section(const UnknownPart& transmitter_side, const UnknownPart& load_side, cdouble z_target, cdouble z_load) {
  // t of the load-side part -> impedance behind the transmitter-side part -> impedance that part must have -> its t.
  const Moebius load_step =
      load_side.place == network::Place::series ? Moebius{1.0, z_load, 0.0, 1.0} : Moebius{z_load, 0.0, 1.0, z_load};
  const Moebius target_step = transmitter_side.place == network::Place::series
                                  ? Moebius{-1.0, z_target, 0.0, 1.0}        // z_target - z
                                  : Moebius{z_target, 0.0, 1.0, -z_target};  // z_target z / (z - z_target)
  const Moebius m =
      after(part_reactance(transmitter_side), after(target_step, after(load_step, part_impedance(load_side))));

  // The transmitter-side t must be real: Im[(a t + b) conj(c t + d)] = 0, a quadratic p t^2 + 2 h t + q = 0.
  const double p = (m.a * std::conj(m.c)).imag();
  const double h = 0.5 * (m.a * std::conj(m.d) + m.b * std::conj(m.c)).imag();
  const double q = (m.b * std::conj(m.d)).imag();
  const auto root = [&](double t) -> std::optional<SectionRoot> {
    if (!usable(t)) return {};
    const double other = image(m, t).real();
    if (!usable(other)) return {};
    return SectionRoot{other, t};
  };
  const auto [first, second] = quadratic_roots(p, h, q);
  return {root(first), root(second)};
}

}  // namespace stile::match::detail

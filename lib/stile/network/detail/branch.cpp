#include <stile/network/detail/branch.hpp>

#include <cmath>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>

namespace stile::network::detail {
namespace {

Branch branch(const Resistor& part) {
  require(part.resistance_ohm >= 0.0 && std::isfinite(part.resistance_ohm), "a resistance must be >= 0 and finite");
  Branch b;
  b.r0 = part.resistance_ohm;
  return b;
}

Branch branch(const Inductor& part) {
  require(part.inductance_h >= 0.0 && std::isfinite(part.inductance_h), "an inductance must be >= 0 and finite");
  require(part.self_capacitance_f >= 0.0 && std::isfinite(part.self_capacitance_f),
          "a self-capacitance must be >= 0 and finite");
  check_loss(part.loss, false);
  Branch b;
  b.r0 = part.loss.series_ohm;
  b.x1 = two_pi * part.inductance_h;
  if (part.loss.q_at_hz > 0.0) {
    b.rh = b.x1 * std::sqrt(part.loss.q_at_hz) / part.loss.q;  // w L / (q sqrt(f/f0))
  } else {
    b.r1 = b.x1 / part.loss.q;
  }
  b.m0 = 0.5 * part.inductance_h;
  if (!is_short(b)) b.cp = part.self_capacitance_f;  // nothing charges a capacitance across a short circuit
  return b;
}

Branch branch(const Capacitor& part) {
  require(part.capacitance_f > 0.0 && std::isfinite(part.capacitance_f), "a capacitance must be > 0 and finite");
  check_loss(part.loss, true);
  Branch b;
  const double x = 1.0 / (two_pi * part.capacitance_f);
  const double t = part.loss.loss_tangent;
  const double shrink = 1.0 / (1.0 + t * t);  // 1/(w C (t + j)) = (t - j) shrink / (w C)
  b.r0 = part.loss.series_ohm;
  b.xm = -x * shrink;
  b.rm = x * t * shrink;
  if (part.loss.q_at_hz > 0.0) {
    b.rh = x / part.loss.q / (part.loss.q_at_hz * std::sqrt(part.loss.q_at_hz));  // sqrt(f/f0) / (q w0 C)
  } else {
    b.rm += x / part.loss.q;
  }
  b.e2 = 0.5 * part.capacitance_f * x * x * shrink;  // C |V_C|^2 / 2 with |V_C| = |I| / (w C sqrt(1 + t^2))
  return b;
}

Branch branch(const FixedImpedance& part) {
  require(std::isfinite(part.z_ohm.real()) && std::isfinite(part.z_ohm.imag()) && part.z_ohm.real() >= 0.0,
          "a fixed impedance must be finite with real part >= 0");
  Branch b;
  b.r0 = part.z_ohm.real();
  b.x0 = part.z_ohm.imag();
  (b.x0 >= 0.0 ? b.mi : b.ei) = std::abs(b.x0) / (2.0 * two_pi);  // |X| |I|^2 / (2 w)
  return b;
}

Branch branch(const InductorBank& bank) {
  require(!bank.parts.empty(), "an inductor bank must not be empty");
  Branch sum;
  for (const Inductor& part : bank.parts) {
    require(part.self_capacitance_f == 0.0, "the inductors of a bank have no self-capacitance of their own");
    const Branch b = branch(part);
    sum.r0 += b.r0;
    sum.r1 += b.r1;
    sum.rh += b.rh;
    sum.x1 += b.x1;
    sum.m0 += b.m0;
  }
  return sum;
}

struct Prepare {
  template <class Part>
  std::optional<Branch> operator()(const Part& part) const {
    return branch(part);
  }
  std::optional<Branch> operator()(const CapacitorBank& bank) const {
    if (bank.parts.size() == 1) return branch(bank.parts.front());
    return {};
  }
  std::optional<Branch> operator()(const Transformer&) const { return {}; }
  std::optional<Branch> operator()(const TransmissionLine&) const { return {}; }
};

}  // namespace

std::optional<Branch> single_branch(const Component& part) { return std::visit(Prepare{}, part); }

std::vector<Branch> branches(const CapacitorBank& bank) {
  require(!bank.parts.empty(), "a capacitor bank must not be empty");
  std::vector<Branch> all;
  for (const Capacitor& part : bank.parts) all.push_back(branch(part));
  return all;
}

bool is_short(const Branch& b) {
  return b.r0 == 0.0 && b.r1 == 0.0 && b.rh == 0.0 && b.rm == 0.0 && b.x0 == 0.0 && b.x1 == 0.0 && b.xm == 0.0;
}

cdouble impedance(const Branch& b, double f) {
  const double s = std::sqrt(f), u = 1.0 / f;
  const cdouble z{b.r0 + b.r1 * f + b.rh * s + b.rm * u, b.x0 + b.x1 * f + b.xm * u};
  return b.cp == 0.0 ? z : z / (1.0 + cdouble{0.0, two_pi * f * b.cp} * z);
}

void check_two_port(const Component& part) {
  if (const auto* transformer = std::get_if<Transformer>(&part)) {
    require(std::isfinite(transformer->turns_ratio) && transformer->turns_ratio != 0.0,
            "a turns ratio must be finite and not 0");
  }
  if (const auto* line = std::get_if<TransmissionLine>(&part)) {
    require(line->length_m >= 0.0 && std::isfinite(line->length_m), "a line's length must be >= 0 and finite");
  }
}

}  // namespace stile::network::detail

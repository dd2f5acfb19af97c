#include <stile/network/chain.hpp>

#include <stile/base/errors.hpp>

namespace stile::network {

namespace {

struct PortState {
  cdouble v, i;
};

// Voltage and current at port 1 for one ampere into the load. Going back as a pair needs no division on the way, so
// an open or short circuit inside the row does no harm.
PortState state_at_input(std::span<const Chain> parts, cdouble z_load) {
  PortState s{z_load, 1.0};
  for (auto p = parts.rbegin(); p != parts.rend(); ++p) s = {p->a * s.v + p->b * s.i, p->c * s.v + p->d * s.i};
  return s;
}

cdouble finite_or_throw(cdouble z) {
  require(finite(z), "the impedance is not a finite number: a part is not finite, or the result overflows");
  return z;
}

}  // namespace

Chain cascade(const Chain& first, const Chain& second) {
  return {first.a * second.a + first.b * second.c, first.a * second.b + first.b * second.d,
          first.c * second.a + first.d * second.c, first.c * second.b + first.d * second.d};
}

Chain cascade(std::span<const Chain> parts) {
  Chain all;
  for (const Chain& part : parts) all = cascade(all, part);
  return all;
}

cdouble determinant(const Chain& chain) { return chain.a * chain.d - chain.b * chain.c; }

Chain series_chain(cdouble z_ohm) {
  require(finite(z_ohm), "a series impedance must be finite");
  return {1.0, z_ohm, 0.0, 1.0};
}

Chain shunt_chain(cdouble y_siemens) {
  require(finite(y_siemens), "a shunt admittance must be finite");
  return {1.0, 0.0, y_siemens, 1.0};
}

Chain ideal_transformer_chain(double turns_ratio) {
  require(std::isfinite(turns_ratio) && turns_ratio != 0.0, "a turns ratio must be finite and not 0");
  return {turns_ratio, 0.0, 0.0, 1.0 / turns_ratio};
}

cdouble input_impedance(std::span<const Chain> parts, cdouble z_load) {
  require(finite(z_load) && z_load.real() >= 0.0, "z_load must be finite with real part >= 0");
  const PortState s = state_at_input(parts, z_load);
  require(s.i != 0.0, "the input is an open circuit");
  return finite_or_throw(s.v / s.i);
}

cdouble output_impedance(std::span<const Chain> parts, cdouble z_source) {
  require(finite(z_source) && z_source.real() >= 0.0, "z_source must be finite with real part >= 0");
  cdouble on_v2 = 1.0, on_i2 = z_source;  // V1 + z_source I1 = 0 as a condition on V and I of each port in turn
  for (const Chain& p : parts) {
    const cdouble next_v = on_v2 * p.a + on_i2 * p.c;
    on_i2 = on_v2 * p.b + on_i2 * p.d;
    on_v2 = next_v;
  }
  require(on_v2 != 0.0, "the output is an open circuit");
  return finite_or_throw(on_i2 / on_v2);
}

cdouble far_end_impedance(std::span<const Chain> parts, cdouble z_input) {
  require(finite(z_input), "z_input must be finite");
  PortState s{z_input, 1.0};
  for (const Chain& p : parts) {
    require(determinant(p) != 0.0, "a part with determinant 0 hides what is behind it");
    s = {p.d * s.v - p.b * s.i, p.a * s.i - p.c * s.v};
  }
  require(s.i != 0.0, "the far end is an open circuit");
  return finite_or_throw(s.v / s.i);
}

double dissipation_loss_db(std::span<const Chain> parts, cdouble z_load) {
  require(finite(z_load) && z_load.real() > 0.0, "z_load must be finite with real part > 0");
  const PortState s = state_at_input(parts, z_load);
  const double ratio = (s.v.real() * s.i.real() + s.v.imag() * s.i.imag()) / z_load.real();
  require(std::isfinite(ratio) && ratio > 0.0, "the parts must be finite and take power from the source");
  return 10.0 * std::log10(ratio);
}

}  // namespace stile::network

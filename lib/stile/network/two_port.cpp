#include <stile/network/two_port.hpp>

#include <cmath>
#include <limits>

#include <stile/base/errors.hpp>

namespace stile::network {

namespace {

constexpr double rounding = 16.0 * std::numeric_limits<double>::epsilon();

struct Matrix {
  cdouble m11, m12, m21, m22;
};

Matrix operator*(const Matrix& p, const Matrix& q) {
  return {p.m11 * q.m11 + p.m12 * q.m21, p.m11 * q.m12 + p.m12 * q.m22, p.m21 * q.m11 + p.m22 * q.m21,
          p.m21 * q.m12 + p.m22 * q.m22};
}

double norm1(cdouble z) { return std::abs(z.real()) + std::abs(z.imag()); }

// Inverse of m. `size` holds, entry by entry, the largest term that the entry was made of: 1 - s of an s near 1 is
// only as good as 1 is.
Matrix inverse(const Matrix& m, const Matrix& size, const char* what_is_missing) {
  const cdouble det = m.m11 * m.m22 - m.m12 * m.m21;
  const double doubt = rounding * (norm1(size.m11) * norm1(m.m22) + norm1(m.m11) * norm1(size.m22) +
                                   norm1(size.m12) * norm1(m.m21) + norm1(m.m12) * norm1(size.m21));
  require(norm1(det) > doubt, what_is_missing);
  return {m.m22 / det, -m.m12 / det, -m.m21 / det, m.m11 / det};
}

Matrix inverse(const Matrix& m, const char* what_is_missing) { return inverse(m, m, what_is_missing); }

template <class Result>
Result checked(const Result& r, cdouble p, cdouble q, cdouble s, cdouble t) {
  require(finite(p) && finite(q) && finite(s) && finite(t), "a two-port has an entry that is not finite");
  return r;
}
Chain checked(const Chain& m) { return checked(m, m.a, m.b, m.c, m.d); }
ImpedanceMatrix checked(const ImpedanceMatrix& m) { return checked(m, m.z11, m.z12, m.z21, m.z22); }
AdmittanceMatrix checked(const AdmittanceMatrix& m) { return checked(m, m.y11, m.y12, m.y21, m.y22); }
ScatteringMatrix checked(const ScatteringMatrix& m) { return checked(m, m.s11, m.s12, m.s21, m.s22); }
TransferMatrix checked(const TransferMatrix& m) { return checked(m, m.t11, m.t12, m.t21, m.t22); }

// One port's waves: a = scale (V + z I), b = scale (V - w I).
struct PortWaves {
  cdouble z, w, scale;
};

PortWaves port_waves(WaveDefinition definition, cdouble z) {
  require(finite(z) && z.real() > 0.0, "a reference impedance must be finite with real part > 0");
  switch (definition) {
  case WaveDefinition::power:
    return {z, std::conj(z), 0.5 / std::sqrt(z.real())};
  case WaveDefinition::pseudo:
    return {z, z, 0.5 * std::sqrt(z.real()) / std::abs(z)};
  case WaveDefinition::travelling:
    return {z, z, 0.5 / std::sqrt(z)};
  }
  throw DomainError("the wave definition must be stated: power, pseudo or travelling");
}

// S between the unscaled waves V + z I and V - w I, and back. The scales matter off the diagonal only.
Matrix unscaled(const ScatteringMatrix& s, const PortWaves& p1, const PortWaves& p2) {
  const cdouble ratio = p2.scale / p1.scale;
  return {s.s11, s.s12 * ratio, s.s21 / ratio, s.s22};
}

ScatteringMatrix scaled(const Matrix& u, const PortWaves& p1, const PortWaves& p2, WaveDefinition definition) {
  const cdouble ratio = p2.scale / p1.scale;
  return checked(ScatteringMatrix{u.m11, u.m12 / ratio, u.m21 * ratio, u.m22, definition, p1.z, p2.z});
}

// From (1 - S) V = (w + S z) I, all diagonal but S.
struct VoltageCurrent {
  Matrix on_v, size_v, on_i, size_i;
};

VoltageCurrent equations(const ScatteringMatrix& s) {
  checked(s);
  const PortWaves p1 = port_waves(s.definition, s.z_ref1), p2 = port_waves(s.definition, s.z_ref2);
  const Matrix u = unscaled(s, p1, p2);
  return {{1.0 - u.m11, -u.m12, -u.m21, 1.0 - u.m22},
          {1.0 + norm1(u.m11), u.m12, u.m21, 1.0 + norm1(u.m22)},
          {p1.w + u.m11 * p1.z, u.m12 * p2.z, u.m21 * p1.z, p2.w + u.m22 * p2.z},
          {norm1(p1.z) * (1.0 + norm1(u.m11)), u.m12 * p2.z, u.m21 * p1.z, norm1(p2.z) * (1.0 + norm1(u.m22))}};
}

constexpr const char* no_impedance = "the two-port has no Z matrix (nothing across the line)";
constexpr const char* no_admittance = "the two-port has no Y matrix (nothing in the line)";
constexpr const char* no_chain = "the two-port has no chain or T matrix (nothing gets from port 1 to port 2)";
constexpr const char* no_scattering = "the two-port has no finite S matrix to these references";

}  // namespace

Chain to_chain(const ImpedanceMatrix& z) {
  checked(z);
  require(z.z21 != 0.0, no_chain);
  return checked(Chain{z.z11 / z.z21, (z.z11 * z.z22 - z.z12 * z.z21) / z.z21, 1.0 / z.z21, z.z22 / z.z21});
}

Chain to_chain(const AdmittanceMatrix& y) {
  checked(y);
  require(y.y21 != 0.0, no_chain);
  return checked(Chain{-y.y22 / y.y21, -1.0 / y.y21, (y.y12 * y.y21 - y.y11 * y.y22) / y.y21, -y.y11 / y.y21});
}

Chain to_chain(const ScatteringMatrix& s) {
  checked(s);
  const PortWaves p1 = port_waves(s.definition, s.z_ref1), p2 = port_waves(s.definition, s.z_ref2);
  const Matrix u = unscaled(s, p1, p2);
  require(u.m21 != 0.0, no_chain);
  const cdouble through = u.m12 * u.m21, n = u.m21 * (p1.w + p1.z);
  const cdouble q1 = p1.w + u.m11 * p1.z, q2 = p2.w + u.m22 * p2.z;
  return checked(Chain{(q1 * (1.0 - u.m22) + through * p1.z) / n, (q1 * q2 - through * p1.z * p2.z) / n,
                       ((1.0 - u.m11) * (1.0 - u.m22) - through) / n, ((1.0 - u.m11) * q2 + through * p2.z) / n});
}

Chain to_chain(const TransferMatrix& t) { return to_chain(to_scattering(t)); }

ImpedanceMatrix to_impedance(const Chain& chain) {
  checked(chain);
  require(chain.c != 0.0, no_impedance);
  return checked(ImpedanceMatrix{chain.a / chain.c, determinant(chain) / chain.c, 1.0 / chain.c, chain.d / chain.c});
}

ImpedanceMatrix to_impedance(const AdmittanceMatrix& y) {
  checked(y);
  const Matrix z = inverse({y.y11, y.y12, y.y21, y.y22}, no_impedance);
  return checked(ImpedanceMatrix{z.m11, z.m12, z.m21, z.m22});
}

ImpedanceMatrix to_impedance(const ScatteringMatrix& s) {
  const VoltageCurrent e = equations(s);
  const Matrix z = inverse(e.on_v, e.size_v, no_impedance) * e.on_i;
  return checked(ImpedanceMatrix{z.m11, z.m12, z.m21, z.m22});
}

ImpedanceMatrix to_impedance(const TransferMatrix& t) { return to_impedance(to_scattering(t)); }

AdmittanceMatrix to_admittance(const Chain& chain) {
  checked(chain);
  require(chain.b != 0.0, no_admittance);
  return checked(AdmittanceMatrix{chain.d / chain.b, -determinant(chain) / chain.b, -1.0 / chain.b, chain.a / chain.b});
}

AdmittanceMatrix to_admittance(const ImpedanceMatrix& z) {
  checked(z);
  const Matrix y = inverse({z.z11, z.z12, z.z21, z.z22}, no_admittance);
  return checked(AdmittanceMatrix{y.m11, y.m12, y.m21, y.m22});
}

AdmittanceMatrix to_admittance(const ScatteringMatrix& s) {
  const VoltageCurrent e = equations(s);
  const Matrix y = inverse(e.on_i, e.size_i, no_admittance) * e.on_v;
  return checked(AdmittanceMatrix{y.m11, y.m12, y.m21, y.m22});
}

AdmittanceMatrix to_admittance(const TransferMatrix& t) { return to_admittance(to_scattering(t)); }

ScatteringMatrix to_scattering(const Chain& chain, WaveDefinition definition, cdouble z_ref1, cdouble z_ref2) {
  checked(chain);
  const PortWaves p1 = port_waves(definition, z_ref1), p2 = port_waves(definition, z_ref2);
  const auto& [a, b, c, d] = chain;
  const cdouble n = a * p2.z + b + (c * p2.z + d) * p1.z;
  require(n != 0.0, no_scattering);
  return scaled({(a * p2.z + b - (c * p2.z + d) * p1.w) / n, determinant(chain) * (p1.w + p1.z) / n, (p2.w + p2.z) / n,
                 (b - a * p2.w + (d - c * p2.w) * p1.z) / n},
                p1, p2, definition);
}

ScatteringMatrix to_scattering(const ImpedanceMatrix& z, WaveDefinition definition, cdouble z_ref1, cdouble z_ref2) {
  checked(z);
  const PortWaves p1 = port_waves(definition, z_ref1), p2 = port_waves(definition, z_ref2);
  const Matrix emergent{z.z11 - p1.w, z.z12, z.z21, z.z22 - p2.w};
  const Matrix incident{z.z11 + p1.z, z.z12, z.z21, z.z22 + p2.z};
  return scaled(emergent * inverse(incident, no_scattering), p1, p2, definition);
}

ScatteringMatrix to_scattering(const AdmittanceMatrix& y, WaveDefinition definition, cdouble z_ref1, cdouble z_ref2) {
  checked(y);
  const PortWaves p1 = port_waves(definition, z_ref1), p2 = port_waves(definition, z_ref2);
  const Matrix emergent{1.0 - p1.w * y.y11, -p1.w * y.y12, -p2.w * y.y21, 1.0 - p2.w * y.y22};
  const Matrix incident{1.0 + p1.z * y.y11, p1.z * y.y12, p2.z * y.y21, 1.0 + p2.z * y.y22};
  return scaled(emergent * inverse(incident, no_scattering), p1, p2, definition);
}

ScatteringMatrix to_scattering(const TransferMatrix& t) {
  checked(t);
  port_waves(t.definition, t.z_ref1);  // for their checks only: the waves stay as they are
  port_waves(t.definition, t.z_ref2);
  require(t.t22 != 0.0, no_scattering);
  return checked(ScatteringMatrix{t.t12 / t.t22, t.t11 - t.t12 * t.t21 / t.t22, 1.0 / t.t22, -t.t21 / t.t22,
                                  t.definition, t.z_ref1, t.z_ref2});
}

TransferMatrix to_transfer(const ScatteringMatrix& s) {
  checked(s);
  port_waves(s.definition, s.z_ref1);
  port_waves(s.definition, s.z_ref2);
  require(s.s21 != 0.0, no_chain);
  return checked(TransferMatrix{s.s12 - s.s11 * s.s22 / s.s21, s.s11 / s.s21, -s.s22 / s.s21, 1.0 / s.s21, s.definition,
                                s.z_ref1, s.z_ref2});
}

TransferMatrix to_transfer(const Chain& chain, WaveDefinition definition, cdouble z_ref1, cdouble z_ref2) {
  return to_transfer(to_scattering(chain, definition, z_ref1, z_ref2));
}

TransferMatrix to_transfer(const ImpedanceMatrix& z, WaveDefinition definition, cdouble z_ref1, cdouble z_ref2) {
  return to_transfer(to_scattering(z, definition, z_ref1, z_ref2));
}

TransferMatrix to_transfer(const AdmittanceMatrix& y, WaveDefinition definition, cdouble z_ref1, cdouble z_ref2) {
  return to_transfer(to_scattering(y, definition, z_ref1, z_ref2));
}

ScatteringMatrix renormalise(const ScatteringMatrix& s, WaveDefinition definition, cdouble z_ref1, cdouble z_ref2) {
  checked(s);
  const PortWaves p1 = port_waves(s.definition, s.z_ref1), p2 = port_waves(s.definition, s.z_ref2);
  const PortWaves n1 = port_waves(definition, z_ref1), n2 = port_waves(definition, z_ref2);
  const Matrix u = unscaled(s, p1, p2);
  // With a, b the old unscaled waves: (z + w) V = w a + z b, (z + w) I = a - b. The new ones follow port by port.
  const cdouble t1 = p1.z + p1.w, t2 = p2.z + p2.w;
  const cdouble in1 = (p1.w + n1.z) / t1, in2 = (p2.w + n2.z) / t2;      // share of a in the new a
  const cdouble mix1 = (p1.z - n1.z) / t1, mix2 = (p2.z - n2.z) / t2;    // share of b in the new a
  const cdouble turn1 = (p1.w - n1.w) / t1, turn2 = (p2.w - n2.w) / t2;  // share of a in the new b
  const cdouble out1 = (p1.z + n1.w) / t1, out2 = (p2.z + n2.w) / t2;    // share of b in the new b
  const Matrix emergent{turn1 + out1 * u.m11, out1 * u.m12, out2 * u.m21, turn2 + out2 * u.m22};
  const Matrix incident{in1 + mix1 * u.m11, mix1 * u.m12, mix2 * u.m21, in2 + mix2 * u.m22};
  return scaled(emergent * inverse(incident, no_scattering), n1, n2, definition);
}

TransferMatrix cascade(const TransferMatrix& first, const TransferMatrix& second) {
  checked(first);
  checked(second);
  for (cdouble z : {first.z_ref1, first.z_ref2}) port_waves(first.definition, z);
  for (cdouble z : {second.z_ref1, second.z_ref2}) port_waves(second.definition, z);
  require(first.definition == second.definition, "T matrices of different wave definitions cannot be multiplied");
  const bool power = first.definition == WaveDefinition::power;
  require(second.z_ref1 == (power ? std::conj(first.z_ref2) : first.z_ref2),
          "the references at the joint do not agree (power waves: conjugate, others: equal)");
  const Matrix t =
      Matrix{first.t11, first.t12, first.t21, first.t22} * Matrix{second.t11, second.t12, second.t21, second.t22};
  return checked(TransferMatrix{t.m11, t.m12, t.m21, t.m22, first.definition, first.z_ref1, second.z_ref2});
}

}  // namespace stile::network

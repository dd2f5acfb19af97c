#pragma once
// A tuner's state as three arms, and the one walk through them that every search uses. Internal to the room.

#include <cmath>
#include <vector>

#include <stile/tuner/tuner.hpp>

namespace stile::detail {

/// Three arms in a row, seen from the load: far (at the load), middle, near (at the transmitter). In an L and a pi,
/// `a` is the voltage and `b` the current, an end arm adds its admittance times a to b and the middle arm its impedance
/// times b to a. In a T and an lcl they change places, impedances with admittances too. So one walk serves all forms.
/// An L is a pi with one end open.
struct Arms {
  std::vector<double> middle_re, middle_im;  // in rows for the vectoriser
  std::vector<cdouble> far, near;
  cdouble source;     // impedance in an L and a pi, admittance in a T and an lcl
  bool dual = false;  // T, lcl
};

/// nan where nothing could pass (an open series arm, a short across), which loses every comparison.
Arms arms_of(const Tuner& tuner, const TunerTable& table, CapacitorSide side, cdouble z_source_ohm);

/// The state's places in an Arms of its side.
struct ArmIndex {
  std::uint32_t middle = 0, near = 0, far = 0;
};
ArmIndex arm_index(const Tuner& tuner, const TunerState& state);

/// The load, which carries 1 A.
struct LoadEnd {
  cdouble a, b;
  double r_ohm = 0.0;
};
inline LoadEnd load_end(cdouble z_load, bool dual) {
  return dual ? LoadEnd{1.0, z_load, z_load.real()} : LoadEnd{z_load, 1.0, z_load.real()};
}

/// Where the walk stands when it reaches the middle arm.
struct Entry {
  cdouble a, b;
  double power = 0.0;  // of the load and of the arms passed, W
};

inline Entry enter(const LoadEnd& load, cdouble far) {
  const double ar = load.a.real(), ai = load.a.imag(), fr = far.real(), fi = far.imag();
  return {load.a,
          {load.b.real() + (fr * ar - fi * ai), load.b.imag() + (fr * ai + fi * ar)},
          load.r_ohm + fr * (ar * ar + ai * ai)};
}

/// A state's end at the transmitter: e = a + source b and f = a - source* b are the waves that come from and go back
/// to the transmitter, up to a common factor; `power` is a sum of terms >= 0, so it loses no digits to cancellation.
struct Ends {
  double e2 = 0.0, f2 = 0.0, power = 0.0;
};

inline Ends walk(const Entry& in, double mr, double mi, double nr, double ni, double sr, double si) {
  const double br = in.b.real(), bi = in.b.imag();
  const double ar = in.a.real() + mr * br - mi * bi, ai = in.a.imag() + mr * bi + mi * br;
  const double cr = br + nr * ar - ni * ai, ci = bi + nr * ai + ni * ar;
  const double er = ar + sr * cr - si * ci, ei = ai + sr * ci + si * cr;
  const double fr = ar - sr * cr - si * ci, fi = ai - sr * ci + si * cr;
  return {er * er + ei * ei, fr * fr + fi * fi, in.power + mr * (br * br + bi * bi) + nr * (ar * ar + ai * ai)};
}

/// SWR and loss from the ends. @param r_source  real part of Arms::source
inline double swr_of(const Ends& ends, double r_source) {
  const double waves = std::sqrt(ends.e2) + std::sqrt(ends.f2);
  return waves * waves / (4.0 * r_source * ends.power);  // e2 - f2 = 4 Re(source) power
}
inline double dissipation_db_of(const Ends& ends, double r_load) {
  return r_load > 0.0 ? 10.0 * std::log10(ends.power / r_load) : infinite;
}

/// tuner_state without checks.
TunerState decode_state(const Tuner& tuner, std::uint64_t index);

/// |reflection|^2 that an SWR limit >= 1 allows; infinite for an infinite limit.
double reflection2_limit(double swr_limit);

/// @throws DomainError  as choose_state
void check_search(const Tuner& tuner, const TunerTable& table, cdouble z_source_ohm);
void check_load(cdouble z_load_ohm);
void check_swr_limit(double swr_limit);

}  // namespace stile::detail

#pragma once
// A tuner's state as three arms, and the one walk through them that everything in this room uses. Internal to the room.

#include <cmath>
#include <vector>

#include <stile/tuner/tuner.hpp>

namespace stile::tuner::detail {

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

/// Two doubles and nothing else: std::complex looks for nan in every product, which the vectoriser cannot take.
struct Plain {
  double re = 0.0, im = 0.0;
};
inline Plain plain(cdouble z) { return {z.real(), z.imag()}; }
inline double norm(Plain z) { return z.re * z.re + z.im * z.im; }

/// A linear form of two unknowns, p and m times each.
struct Linear {
  cdouble p, m;
};

inline Plain times(Plain x, Plain y) { return {x.re * y.re - x.im * y.im, x.re * y.im + x.im * y.re}; }
inline Plain plus_times(Plain x, Plain immittance, Plain y) {
  return {x.re + immittance.re * y.re - immittance.im * y.im, x.im + immittance.re * y.im + immittance.im * y.re};
}
inline cdouble plus_times(cdouble x, cdouble immittance, cdouble y) { return x + immittance * y; }
inline Linear plus_times(const Linear& x, cdouble immittance, const Linear& y) {
  return {x.p + immittance * y.p, x.m + immittance * y.m};
}

/// An immittance n/d that is never divided out: the walk is multiplied by d.
struct Quotient {
  Plain n, d;
};

/// Where a walk stands.
template <class Value>
struct WalkPoint {
  Value a{}, b{};
};

template <class Value, class Immittance>
WalkPoint<Value> pass_end(const WalkPoint<Value>& at, Immittance arm) {
  return {at.a, plus_times(at.b, arm, at.a)};
}
template <class Value, class Immittance>
WalkPoint<Value> pass_middle(const WalkPoint<Value>& at, Immittance arm) {
  return {plus_times(at.a, arm, at.b), at.b};
}
inline WalkPoint<Plain> pass_end(const WalkPoint<Plain>& at, const Quotient& arm) {
  return {times(arm.d, at.a), plus_times(times(arm.d, at.b), arm.n, at.a)};
}
inline WalkPoint<Plain> pass_middle(const WalkPoint<Plain>& at, const Quotient& arm) {
  return {plus_times(times(arm.d, at.a), arm.n, at.b), times(arm.d, at.b)};
}

/// The whole walk, from the load to the transmitter.
template <class Value, class Immittance>
WalkPoint<Value> walk_arms(const WalkPoint<Value>& load, const Immittance& far, const Immittance& middle,
                           const Immittance& near) {
  return pass_end(pass_middle(pass_end(load, far), middle), near);
}

/// The waves that come from and go back to the transmitter, up to a common factor: a + source b and a - source* b.
template <class Value, class Immittance>
Value forward(const WalkPoint<Value>& at, Immittance source) {
  return plus_times(at.a, source, at.b);
}
inline Plain back(const WalkPoint<Plain>& at, Plain source) { return plus_times(at.a, {-source.re, source.im}, at.b); }
template <class Value>
Value back(const WalkPoint<Value>& at, cdouble source) {
  return plus_times(at.a, -std::conj(source), at.b);
}

/// The load, which carries 1 A.
struct LoadEnd {
  WalkPoint<Plain> at;
  double r_ohm = 0.0;
};
inline LoadEnd load_end(cdouble z_load, bool dual) {
  const Plain z = plain(z_load), one{1.0, 0.0};
  return dual ? LoadEnd{{one, z}, z.re} : LoadEnd{{z, one}, z.re};
}

/// Where the walk stands when it reaches the middle arm.
struct Entry {
  WalkPoint<Plain> at;
  double power = 0.0;  // of the load and of the arms passed, W
};
inline Entry enter(const LoadEnd& load, Plain far) {
  return {pass_end(load.at, far), load.r_ohm + far.re * norm(load.at.a)};
}

/// A state's end at the transmitter: squares of the waves, and `power`, a sum of terms >= 0, so that it loses no digits
/// to cancellation.
struct Ends {
  double e2 = 0.0, f2 = 0.0, power = 0.0;
};
inline Ends leave(const Entry& in, Plain middle, Plain near, Plain source) {
  const WalkPoint<Plain> between = pass_middle(in.at, middle), out = pass_end(between, near);
  return {norm(forward(out, source)), norm(back(out, source)),
          in.power + middle.re * norm(in.at.b) + near.re * norm(between.a)};
}

/// One state. Cost: 10 to 20 ns (bench_tuner.cpp).
inline Ends ends_at(const Arms& arms, const ArmIndex& at, const LoadEnd& load) {
  return leave(enter(load, plain(arms.far[at.far])), {arms.middle_re[at.middle], arms.middle_im[at.middle]},
               plain(arms.near[at.near]), plain(arms.source));
}

/// SWR and loss from the ends. @param r_source  real part of Arms::source
inline double swr_of(const Ends& ends, double r_source) {
  const double waves = std::sqrt(ends.e2) + std::sqrt(ends.f2);
  return waves * waves / (4.0 * r_source * ends.power);  // e2 - f2 = 4 Re(source) power
}
inline double dissipation_db_of(const Ends& ends, double r_load) {
  return r_load > 0.0 ? 10.0 * std::log10(ends.power / r_load) : network::infinite;
}

/// tuner_state without checks; decode_masks leaves the values that the masks amount to at 0.
TunerState decode_masks(const Tuner& tuner, std::uint64_t index);
TunerState decode_state(const Tuner& tuner, std::uint64_t index);

/// |reflection|^2 that an SWR limit >= 1 allows; infinite for an infinite limit.
double reflection2_limit(double swr_limit);

/// @throws DomainError  as choose_state
void check_search(const Tuner& tuner, const TunerTable& table, cdouble z_source_ohm);
void check_load(cdouble z_load_ohm);
void check_swr_limit(double swr_limit);

}  // namespace stile::tuner::detail

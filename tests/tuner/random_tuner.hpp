#pragma once
// Random tuners of small banks and random loads for the tests of this room.

#include <cmath>
#include <random>

#include <stile/tuner/tuner.hpp>

namespace test {

class RandomTuners {
public:
  explicit RandomTuners(unsigned start) : engine_(start) {}

  double between(double low, double high) { return std::uniform_real_distribution<double>(low, high)(engine_); }
  double spread(double low, double high) { return std::exp(between(std::log(low), std::log(high))); }
  bool coin() { return between(0.0, 1.0) < 0.5; }

  stile::tuner::Tuner tuner(stile::tuner::TunerForm form) {
    stile::tuner::Tuner t;
    t.form = form;
    t.contact_ohm = coin() ? 0.0 : between(0.01, 0.3);
    t.inductors = inductors(3);
    t.capacitors = capacitors();
    if (form == stile::tuner::TunerForm::l) {
      t.capacitor_at_transmitter = coin();
      t.capacitor_at_load = coin() || !t.capacitor_at_transmitter;
    } else if (form == stile::tuner::TunerForm::lcl) {
      t.load_inductors = inductors(2);
    } else {
      t.load_capacitors = capacitors();
    }
    if (form == stile::tuner::TunerForm::t) t.inductors.open_contact_f = 0.0;
    return t;
  }

  stile::cdouble load() { return {spread(1.0, 1e3), between(-1500.0, 1500.0)}; }
  stile::cdouble source() { return {spread(10.0, 200.0), between(-50.0, 50.0)}; }
  double frequency_hz() { return spread(1.8e6, 30e6); }

private:
  stile::network::Loss loss() {
    stile::network::Loss loss;
    if (coin()) loss.q = spread(50.0, 2000.0);
    if (coin()) loss.q_at_hz = 7e6;
    if (coin()) loss.series_ohm = between(0.0, 0.2);
    return loss;
  }

  stile::tuner::InductorArm inductors(int parts) {
    stile::tuner::InductorArm arm;
    for (int n = 0; n < parts; ++n) arm.values_h.push_back(spread(0.1e-6, 10e-6));
    arm.loss = loss();
    arm.stray_h = coin() ? 0.0 : 0.1e-6;
    arm.open_contact_f = coin() ? 0.0 : 1e-12;
    if (coin()) {
      for (int n = 0; n < parts; ++n) arm.losses.push_back(loss());
    }
    return arm;
  }

  stile::tuner::CapacitorArm capacitors() {
    stile::tuner::CapacitorArm arm;
    for (int n = 0; n < 2; ++n) arm.values_f.push_back(spread(10e-12, 1e-9));
    arm.loss = loss();
    if (coin()) arm.loss.loss_tangent = 1e-3;
    arm.stray_f = coin() ? 0.0 : 15e-12;
    arm.open_contact_f = coin() ? 0.0 : 1e-12;
    return arm;
  }

  std::mt19937 engine_;
};

inline constexpr stile::tuner::TunerForm forms[] = {stile::tuner::TunerForm::l, stile::tuner::TunerForm::t,
                                                    stile::tuner::TunerForm::pi_network, stile::tuner::TunerForm::lcl};

/// Something can pass: no open series arm and no short across in a T. Written from the tuner's values.
inline bool passes(const stile::tuner::Tuner& t, const stile::tuner::TunerState& s) {
  if (t.form != stile::tuner::TunerForm::t) return true;
  const auto joined = [](const stile::tuner::CapacitorArm& arm, double sum_f) {
    return sum_f > 0.0 || arm.open_contact_f > 0.0;
  };
  return joined(t.capacitors, s.capacitance_f) && joined(t.load_capacitors, s.load_capacitance_f) &&
         (s.inductance_h > 0.0 || t.contact_ohm > 0.0);
}

}  // namespace test

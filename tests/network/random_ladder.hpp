#pragma once
// Random ladders of every kind of part, from a fixed start value.

#include <string_view>
#include <utility>

#include <stile/network/ladder.hpp>

#include "network/parts.hpp"
#include "network/random.hpp"

namespace stile::network::test {

class RandomLadders : public Random {
public:
  using Random::Random;

  cdouble load() { return {log_uniform(0.5, 2000.0), uniform(-2000.0, 2000.0)}; }
  Source source() { return {{log_uniform(5.0, 500.0), uniform(-200.0, 200.0)}, log_uniform(0.01, 1000.0)}; }
  double frequency_hz() { return log_uniform(1e6, 30e6); }

  Loss loss(bool lossless, bool capacitor) {
    Loss loss;
    if (lossless) return loss;
    if (chance(0.8)) loss.q = log_uniform(20.0, 2000.0);
    if (chance(0.3)) loss.q_at_hz = frequency_hz();
    if (chance(0.3)) loss.series_ohm = log_uniform(1e-3, 5.0);
    if (capacitor && chance(0.3)) loss.loss_tangent = log_uniform(1e-5, 0.3);
    return loss;
  }
  Inductor inductor(bool lossless, bool self_capacitance) {
    return {log_uniform(20e-9, 40e-6), loss(lossless, false), self_capacitance ? log_uniform(0.2e-12, 20e-12) : 0.0};
  }
  Capacitor capacitor(bool lossless) { return {log_uniform(5e-12, 5e-9), loss(lossless, true)}; }

  TransmissionLine line(bool lossless) {
    constexpr std::string_view names[] = {"RG-58", "RG-213", "RG-174"};
    const double length = chance(0.1) ? 0.0 : log_uniform(0.01, 50.0);
    if (!lossless && chance(0.5)) return {cable(names[below(3)]), length};
    const double z0 = log_uniform(10.0, 600.0), v = 3e8 * uniform(0.6, 1.0);
    Rlgc per_metre{0.0, z0 / v, 0.0, 1.0 / (z0 * v)};
    if (!lossless) per_metre.r_ohm_m = log_uniform(1e-3, 1.0), per_metre.g_s_m = log_uniform(1e-8, 1e-4);
    return {per_metre, length};
  }

  /// Any part; lossless and without parts given in ohms only, where `reactive`.
  Element element(bool reactive) {
    const auto placed = [&](Component part) { return chance(0.5) ? series(std::move(part)) : shunt(std::move(part)); };
    switch (reactive ? below(6) : below(8)) {
    case 0:
      return placed(inductor(reactive, chance(0.4)));
    case 1:
      return placed(capacitor(reactive));
    case 2: {
      InductorBank bank;
      for (int n = 1 + below(4); n > 0; --n) bank.parts.push_back(inductor(reactive, false));
      return placed(bank);
    }
    case 3: {
      CapacitorBank bank;
      for (int n = 1 + below(4); n > 0; --n) bank.parts.push_back(capacitor(reactive));
      return placed(bank);
    }
    case 4:
      return cascade(Transformer{(chance(0.5) ? 1.0 : -1.0) * log_uniform(0.2, 5.0)});
    case 5:
      return cascade(line(reactive));
    case 6:
      return placed(Resistor{log_uniform(0.1, 1e4)});
    default:
      return placed(FixedImpedance{{log_uniform(0.1, 100.0), uniform(-1000.0, 1000.0)}});
    }
  }
  Ladder ladder(bool reactive = false) {
    Ladder ladder;
    for (int n = 1 + below(7); n > 0; --n) ladder.elements.push_back(element(reactive));
    return ladder;
  }
};

}  // namespace stile::network::test

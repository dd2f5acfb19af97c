#include <stile/sweep/resonance.hpp>

#include <cmath>

#include <stile/base/errors.hpp>

namespace stile::sweep {

std::vector<Resonance> resonances(std::span<const double> frequency_hz, std::span<const cdouble> z_ohm) {
  require(frequency_hz.size() == z_ohm.size(), "an impedance at each frequency");
  std::vector<Resonance> found;
  for (std::size_t i = 0; i + 1 < z_ohm.size(); ++i) {
    cdouble a = z_ohm[i], b = z_ohm[i + 1];
    const bool parallel = a.imag() > 0.0 && b.imag() <= 0.0 && b != 0.0;
    if (parallel) a = 1.0 / a, b = 1.0 / b;
    if (!(a.imag() < 0.0 && b.imag() >= 0.0)) continue;
    const double step = frequency_hz[i + 1] - frequency_hz[i], share = -a.imag() / (b.imag() - a.imag());
    Resonance r;
    r.below = i;
    r.parallel = parallel;
    r.frequency_hz = frequency_hz[i] + share * step;
    r.resistance_ohm = a.real() + share * (b.real() - a.real());
    r.slope_ohm_per_hz = (b.imag() - a.imag()) / step;
    if (parallel) {  // so far G and dB/df
      const double g = r.resistance_ohm;
      if (g == 0.0) continue;
      r.resistance_ohm = 1.0 / g;
      r.slope_ohm_per_hz /= -g * g;
    }
    if (!std::isfinite(r.resistance_ohm) || !std::isfinite(r.slope_ohm_per_hz)) continue;
    r.q = r.resistance_ohm > 0.0 ? 0.5 * r.frequency_hz / r.resistance_ohm * std::abs(r.slope_ohm_per_hz) : 0.0;
    found.push_back(r);
  }
  return found;
}

}  // namespace stile::sweep

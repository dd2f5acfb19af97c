#include <stile/coil/toroid.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/conductor/skin.hpp>

namespace stile::coil {

namespace {

void check(const ToroidCoil& coil) {
  require(coil.turns >= 1, "a coil on a ring core needs at least one turn");
  require(coil.mu_real > 0.0 && std::isfinite(coil.mu_real), "the real part of a permeability must be > 0");
  require(coil.mu_imaginary >= 0.0 && std::isfinite(coil.mu_imaginary),
          "the imaginary part of a permeability must be >= 0");
  require(coil.insulation_m >= 0.0 && std::isfinite(coil.insulation_m), "an insulation's thickness must be >= 0");
}

}  // namespace

CoreConstants core_constants(const RingCore& core) {
  const double outer = core.outer_diameter_m, inner = core.inner_diameter_m, height = core.height_m;
  if (!(inner > 0.0 && outer > inner && height > 0.0 && std::isfinite(outer) && std::isfinite(height))) {
    throw DomainError(
        fmt::format("a ring core of {} x {} x {} m: diameters and height must be > 0, the hole inside the ring", outer,
                    inner, height));
  }
  const double log = std::log(outer / inner);
  CoreConstants c;
  c.c1_per_m = two_pi / (height * log);
  c.c2_per_m3 = 4.0 * pi * (1.0 / inner - 1.0 / outer) / (height * height * log * log * log);
  c.length_m = c.c1_per_m * c.c1_per_m / c.c2_per_m3;
  c.area_m2 = c.c1_per_m / c.c2_per_m3;
  c.volume_m3 = c.length_m * c.area_m2;
  return c;
}

ToroidResult analyse_toroid(const ToroidCoil& coil, double frequency_hz) {
  check(coil);
  const CoreConstants constants = core_constants(coil.core);
  const double omega = two_pi * frequency_hz, air_h = mu0_h_m / constants.c1_per_m * coil.turns * coil.turns;
  const double over_m = coil.wire.diameter_m + 2.0 * coil.insulation_m;
  const double round_m = pi * (coil.core.inner_diameter_m - over_m);
  if (!(round_m >= over_m)) {
    throw DomainError(
        fmt::format("wire of {} m over insulation does not fit a hole of {} m", over_m, coil.core.inner_diameter_m));
  }
  ToroidResult r;
  r.inductance_h = coil.mu_real * air_h;
  r.core_resistance_ohm = omega * coil.mu_imaginary * air_h;
  const double section_m = coil.core.outer_diameter_m - coil.core.inner_diameter_m + 2.0 * coil.core.height_m;
  r.wire_length_m = coil.turns * (section_m + pi * over_m);  // rounded corners
  r.winding_resistance_ohm = conductor::internal_impedance_ohm_per_m(coil.wire, frequency_hz).real() * r.wire_length_m;
  r.q_core = coil.mu_imaginary > 0.0 ? coil.mu_real / coil.mu_imaginary : std::numeric_limits<double>::infinity();
  const auto q = [&](double factor) {
    return omega * r.inductance_h / (r.core_resistance_ohm + factor * r.winding_resistance_ohm);
  };
  r.q = q(1.0);
  r.q_practice = {q(practical_loss.high), q(practical_loss.low)};
  r.layer_turns = std::floor(round_m / over_m);
  const double fill = over_m / coil.core.inner_diameter_m;
  r.window_fill = coil.turns * fill * fill;
  if (coil.turns > r.layer_turns) {
    r.warnings.push_back(fmt::format("{} turns do not fit side by side ({:.0f} do): layers add capacitance and loss",
                                     coil.turns, r.layer_turns));
  }
  if (r.window_fill > 0.4)
    r.warnings.push_back("more than 40 % of the hole is wire: hard to wind by hand (common practice)");
  r.warnings.push_back("winding resistance is skin effect alone: turns side by side lose up to twice as much or more");
  return r;
}

int toroid_turns(const RingCore& core, double mu_real, double inductance_h) {
  require(mu_real > 0.0 && std::isfinite(mu_real), "the real part of a permeability must be > 0");
  require(inductance_h > 0.0 && std::isfinite(inductance_h), "an inductance must be > 0");
  const double turns = std::sqrt(inductance_h * core_constants(core).c1_per_m / (mu0_h_m * mu_real));
  require(turns < 1e6, "more than a million turns");
  return std::max(1, static_cast<int>(std::ceil(turns * (1.0 - 1e-12))));
}

double flux_density_t_peak(double v_rms, double frequency_hz, int turns, double area_m2) {
  require(v_rms >= 0.0 && std::isfinite(v_rms), "a voltage must be >= 0 and finite");
  require(frequency_hz > 0.0 && std::isfinite(frequency_hz), "a frequency must be > 0 and finite");
  require(turns >= 1, "a coil needs at least one turn");
  require(area_m2 > 0.0 && std::isfinite(area_m2), "a core's area must be > 0");
  return std::sqrt(2.0) * v_rms / (two_pi * frequency_hz * turns * area_m2);
}

}  // namespace stile::coil

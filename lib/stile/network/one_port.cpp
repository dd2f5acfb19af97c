#include <stile/network/one_port.hpp>

#include <cmath>
#include <numbers>

#include <stile/base/errors.hpp>

namespace stile::network {
namespace {

void check_impedance(cdouble z_ohm) {
  require(std::isfinite(z_ohm.imag()) && std::isfinite(z_ohm.real()) && z_ohm.real() > 0.0, "z_ohm must have Re > 0");
}

}  // namespace

double q_from_impedance(cdouble z_ohm, cdouble slope_ohm_per_hz, double frequency_hz) {
  require(std::isfinite(frequency_hz) && frequency_hz > 0.0, "frequency_hz must be > 0");
  check_impedance(z_ohm);
  require(std::isfinite(std::abs(slope_ohm_per_hz)), "slope_ohm_per_hz must be finite");
  const cdouble tuned = slope_ohm_per_hz + cdouble(0.0, std::abs(z_ohm.imag()) / frequency_hz);
  return frequency_hz / (2.0 * z_ohm.real()) * std::abs(tuned);
}

double q_from_impedance(cdouble z_low_ohm, double low_hz, cdouble z_high_ohm, double high_hz) {
  require(low_hz > 0.0 && high_hz > low_hz, "frequencies must be 0 < low_hz < high_hz");
  return q_from_impedance(0.5 * (z_low_ohm + z_high_ohm), (z_high_ohm - z_low_ohm) / (high_hz - low_hz),
                          0.5 * (low_hz + high_hz));
}

double load_voltage_v_peak(cdouble z_ohm, double power_w) {
  check_impedance(z_ohm);
  require(std::isfinite(power_w) && power_w >= 0.0, "power_w must be >= 0");
  return std::abs(z_ohm) * std::sqrt(2.0 * power_w / z_ohm.real());
}

double load_voltage_v_peak(const Evaluation& evaluation) {
  return std::numbers::sqrt2 * std::abs(evaluation.load_current_a * evaluation.z_load_ohm);
}

}  // namespace stile::network

#include <stile/wire/limits.hpp>

#include <cmath>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>

namespace stile {

namespace {

double wavenumber(double frequency_hz) {
  require(std::isfinite(frequency_hz) && frequency_hz > 0.0, "frequency_hz must be > 0");
  return two_pi * frequency_hz / speed_of_light_m_s;
}

}  // namespace

double q_from_impedance(cdouble z_ohm, cdouble slope_ohm_per_hz, double frequency_hz) {
  require(std::isfinite(frequency_hz) && frequency_hz > 0.0, "frequency_hz must be > 0");
  require(std::isfinite(z_ohm.imag()) && std::isfinite(z_ohm.real()) && z_ohm.real() > 0.0, "z_ohm must have Re > 0");
  require(std::isfinite(std::abs(slope_ohm_per_hz)), "slope_ohm_per_hz must be finite");
  const cdouble tuned = slope_ohm_per_hz + cdouble(0.0, std::abs(z_ohm.imag()) / frequency_hz);
  return frequency_hz / (2.0 * z_ohm.real()) * std::abs(tuned);
}

double q_from_impedance(cdouble z_low_ohm, double low_hz, cdouble z_high_ohm, double high_hz) {
  require(low_hz > 0.0 && high_hz > low_hz, "frequencies must be 0 < low_hz < high_hz");
  return q_from_impedance(0.5 * (z_low_ohm + z_high_ohm), (z_high_ohm - z_low_ohm) / (high_hz - low_hz),
                          0.5 * (low_hz + high_hz));
}

double fractional_bandwidth(double q, double swr) {
  require(std::isfinite(q) && q > 0.0, "q must be > 0");
  require(std::isfinite(swr) && swr > 1.0, "swr must be > 1");
  return (swr - 1.0) / (q * std::sqrt(swr));
}

double sphere_q(double sphere_radius_m, double frequency_hz) {
  require(std::isfinite(sphere_radius_m) && sphere_radius_m > 0.0, "sphere_radius_m must be > 0");
  const double ka = wavenumber(frequency_hz) * sphere_radius_m;
  return 1.0 / (ka * ka * ka) + 1.0 / ka;
}

double thin_cylinder_q(double half_length_m, double radius_m, double frequency_hz) {
  require(std::isfinite(half_length_m) && radius_m > 0.0 && half_length_m >= 20.0 * radius_m,
          "half_length_m must be at least 20 radii");
  const double k = wavenumber(frequency_hz);
  const double h3 = half_length_m * half_length_m * half_length_m;
  const double polarizability = 4.0 * pi * h3 / 3.0 / (std::log(4.0 * half_length_m / radius_m) - 7.0 / 3.0);
  return 6.0 * pi / (k * k * k * polarizability);
}

}  // namespace stile

#include <stile/coil/air.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/errors.hpp>

namespace stile::coil {

namespace {

constexpr double per_length_v = 24360.0, per_root_v = 6720.0;  // per cm and its root at density 1

void check_density(double air_density) {
  require(air_density > 0.0 && air_density <= 2.0, "a relative air density must lie above 0, up to 2");
}

}  // namespace

double air_pressure_pa(double altitude_m) {
  if (!(altitude_m >= -500.0 && altitude_m <= 11000.0))
    throw DomainError(fmt::format("an altitude of {:.6g} m: legal is -500 to 11000", altitude_m));
  // Temperature falls by 6.5 K/km from 288.15 K; exponent g M/(R L).
  return sea_level_pa * std::pow(1.0 - 0.0065 * altitude_m / 288.15, 5.25588);
}

double relative_air_density(double pressure_pa, double temperature_c) {
  require(std::isfinite(pressure_pa) && pressure_pa > 0.0, "pressure_pa must be > 0");
  require(temperature_c >= -100.0 && temperature_c <= 300.0, "the temperature of air must lie between -100 and 300 C");
  return pressure_pa / sea_level_pa * 293.15 / (273.15 + temperature_c);
}

double spark_voltage_v_peak(double gap_m, double air_density) {
  if (!(gap_m > 0.0 && gap_m <= 0.1))
    throw DomainError(fmt::format("a spark gap of {} m: legal is above 0 to 0.1", gap_m));
  check_density(air_density);
  const double x = 100.0 * gap_m * air_density;
  return std::max(least_spark_v_peak, per_length_v * x + per_root_v * std::sqrt(x));
}

double spark_gap_m(double v_peak, double air_density) {
  require(std::isfinite(v_peak) && v_peak >= 0.0, "v_peak must be >= 0");
  check_density(air_density);
  if (v_peak < least_spark_v_peak) return 0.0;
  const double root =
      (-per_root_v + std::sqrt(per_root_v * per_root_v + 4.0 * per_length_v * v_peak)) / (2.0 * per_length_v);
  return 0.01 * root * root / air_density;
}

double corona_field_v_m_peak(double wire_radius_m, double air_density) {
  require(wire_radius_m > 0.0 && std::isfinite(wire_radius_m), "a wire's radius must be > 0");
  check_density(air_density);
  return 30e5 * air_density * (1.0 + 0.301 / std::sqrt(air_density * wire_radius_m * 100.0));
}

}  // namespace stile::coil

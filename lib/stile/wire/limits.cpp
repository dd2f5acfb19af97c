#include <stile/wire/limits.hpp>

#include <cmath>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>

namespace stile::wire {

namespace {

double wavenumber(double frequency_hz) {
  require(std::isfinite(frequency_hz) && frequency_hz > 0.0, "frequency_hz must be > 0");
  return two_pi * frequency_hz / speed_of_light_m_s;
}

}  // namespace

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

std::optional<double> least_whip_q(const Antenna& antenna, double frequency_hz) {
  const Wire& whip = antenna.wires.at(antenna.feed.wire);
  const double length_m = wire_length_m(whip);
  if (length_m < 20.0 * whip.radius_m) return std::nullopt;
  return thin_cylinder_q(length_m, whip.radius_m, frequency_hz);
}

}  // namespace stile::wire

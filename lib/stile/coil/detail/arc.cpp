#include <stile/coil/detail/arc.hpp>

#include <algorithm>
#include <cmath>

#include <boost/math/quadrature/gauss.hpp>

#include <stile/base/constants.hpp>

namespace stile::coil::detail {

double log_tan_integral(double angle) {
  if (angle <= 0.0) return 0.0;
  if (angle > pi) return log_tan_integral(two_pi - angle);  // the integrand is odd about pi
  // ln(t/4) by itself, the rest is smooth.
  const auto rest = [](double t) { return std::log(std::tan(0.25 * t) / (0.25 * t)); };
  return angle * (std::log(0.25 * angle) - 1.0) +
         boost::math::quadrature::gauss<double, 20>::integrate(rest, 0.0, angle);
}

double least_arc_part(double radius, double wire_radius) {
  return std::min(1.0, 4.0 * wire_radius / (two_pi * radius));
}

double arc_potential_v(double radius, double wire_radius, double part) {
  part = std::max(part, least_arc_part(radius, wire_radius));
  const double angle = two_pi * part;
  return (angle * std::log(8.0 * radius / wire_radius) + log_tan_integral(angle)) /
         (two_pi * eps0_f_m * radius * angle * angle);
}

double arc_inductance_share(double radius, double wire_radius, double part) {
  const double least = least_arc_part(radius, wire_radius);
  if (part < least) return part / least * arc_inductance_share(radius, wire_radius, least);
  const double angle = two_pi * part, ring = std::log(8.0 * radius / wire_radius) - 2.0;
  return (angle * ring + log_tan_integral(angle) + 4.0 * std::sin(0.5 * angle)) / (two_pi * ring);
}

}  // namespace stile::coil::detail

#include <stile/coil/lump.hpp>

#include <cmath>

#include <stile/base/constants.hpp>

namespace stile::coil {

std::optional<Lump> lump(const CoilPoint& point) {
  if (terminal_q(point).high <= 0.0) return std::nullopt;
  const double winding = point.z_ohm.real() - point.former_loss_ohm, omega = two_pi * point.frequency_hz;
  const double practice = 0.5 * (practical_loss.low + practical_loss.high);
  const cdouble y = 1.0 / cdouble{practice * winding + point.former_loss_ohm, point.z_ohm.imag()};
  // Resistance and inductance in series have the conductance: g r^2 - r + g x^2 = 0, of whose roots the coil's is the
  // smaller.
  const double x = omega * point.inductance_h, g = y.real(), root = 1.0 - 4.0 * g * g * x * x;
  if (root <= 0.0) return std::nullopt;
  const double r = 2.0 * g * x * x / (1.0 + std::sqrt(root));
  const double c = (y.imag() + x / (r * r + x * x)) / omega;
  if (!(c >= 0.0)) return std::nullopt;
  return Lump{point.inductance_h, x / r, c};
}

}  // namespace stile::coil

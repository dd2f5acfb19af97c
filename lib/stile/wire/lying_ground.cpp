#include <stile/wire/lying_ground.hpp>

#include <algorithm>
#include <cmath>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/wire/vec3.hpp>

namespace stile::wire {

bool has_lying_corner(const Antenna& antenna, const Ground& ground, double frequency_hz) {
  if (ground.kind != GroundKind::lossy) return false;
  double longest_m = 0.0;
  for (const Wire& wire : antenna.wires) {
    if (wire.person) continue;
    for (std::size_t p = 1; p < wire.points.size(); ++p) {
      const double z_m = wire.points[p].z_m;
      if (z_m <= lying_limit_m + detail::joint_m && std::abs(z_m - wire.points[p - 1].z_m) <= detail::joint_m)
        longest_m = std::max(longest_m, wire_length_m(wire));
    }
  }
  return has_lying_corner(longest_m, frequency_hz);
}

bool has_lying_corner(const WireCase& wires, double frequency_hz) {
  return has_lying_corner(wires.antenna, wires.ground, frequency_hz);
}

bool has_lying_corner(double longest_m, double frequency_hz) {
  return longest_m > 0.0 && longest_m < 0.25 * speed_of_light_m_s / frequency_hz;
}

GroundCorner with_ground_factor(const AntennaSolution& solution, double factor) {
  require(std::isfinite(factor) && factor > 0.0, "the factor of a ground resistance must be > 0");
  const double more = 1.0 + (factor - 1.0) * solution.share.ground;  // of the feed resistance
  return {{solution.feed_ohm.real() * more, solution.feed_ohm.imag()}, solution.share.radiated / more};
}

}  // namespace stile::wire

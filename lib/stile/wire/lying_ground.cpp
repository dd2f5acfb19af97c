#include <stile/wire/lying_ground.hpp>

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/wire/closed_forms.hpp>
#include <stile/wire/vec3.hpp>

namespace stile::wire {

namespace {

/// Of its lowest level piece that lies; nothing: none does.
std::optional<double> lying_height_m(const Wire& wire) {
  std::optional<double> lowest_m;
  for (std::size_t p = 1; p < wire.points.size() && !wire.person; ++p) {
    const double z_m = wire.points[p].z_m;
    if (z_m <= lying_limit_m + detail::joint_m && std::abs(z_m - wire.points[p - 1].z_m) <= detail::joint_m)
      lowest_m = std::min(lowest_m.value_or(z_m), z_m);
  }
  return lowest_m;
}

}  // namespace

bool has_lying_corner(const Antenna& antenna, const Ground& ground, double frequency_hz) {
  if (ground.kind != GroundKind::lossy) return false;
  double longest_m = 0.0;
  for (const Wire& wire : antenna.wires) {
    if (lying_height_m(wire)) longest_m = std::max(longest_m, wire_length_m(wire));
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

std::vector<LyingWire> lying_wires(const WireCase& wires, double frequency_hz) {
  std::vector<LyingWire> all;
  if (wires.ground.kind != GroundKind::lossy) return all;
  for (const Wire& wire : wires.antenna.wires) {
    const auto height_m = lying_height_m(wire);
    if (!height_m) continue;
    LyingWire one{wire.name, wire_length_m(wire), *height_m, 0.0, 0.0, {}};
    one.velocity = velocity_along_ground(wires.ground, *height_m, wire.radius_m, frequency_hz);
    one.quarter_wave_m = 0.25 * one.velocity * speed_of_light_m_s / frequency_hz;
    one.avoid_m = lengths_to_avoid(frequency_hz, frequency_hz, one.velocity, longest_avoided_m);
    all.push_back(std::move(one));
  }
  return all;
}

}  // namespace stile::wire

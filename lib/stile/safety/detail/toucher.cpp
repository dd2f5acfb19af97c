#include <stile/safety/detail/toucher.hpp>

#include <algorithm>
#include <cmath>

#include <stile/base/constants.hpp>
#include <stile/wire/conditions.hpp>

namespace stile::safety::detail {

using namespace wire::detail;
using wire::Vec3;

Toucher with_toucher(const wire::WireCase& wires, Vec3 at) {
  constexpr double aside_m = 0.5;
  const wire::PersonBody usual;
  const double shoulder_m = at.z_m < 0.8 ? 0.7 : 1.4;
  // In the direction that keeps clearest of everything else.
  double most = -1.0;
  Vec3 ground{};
  for (int n = 0; n < 16; ++n) {
    const double angle = two_pi * n / 16;
    const Vec3 foot{at.x_m + aside_m * std::cos(angle), at.y_m + aside_m * std::sin(angle), 0.0};
    const Vec3 shoulder = foot + Vec3{0.0, 0.0, shoulder_m}, wrist = at + 0.3 * (shoulder - at);
    double clear = HUGE_VAL;
    for (const wire::Wire& w : wires.antenna.wires) {
      for (std::size_t p = 0; p + 1 < w.points.size(); ++p) {
        clear = std::min(clear, piece_distance_m(foot, shoulder, w.points[p], w.points[p + 1]) - w.radius_m);
        clear = std::min(clear, piece_distance_m(wrist, shoulder, w.points[p], w.points[p + 1]) - w.radius_m);
      }
    }
    if (clear > most) {
      most = clear;
      ground = foot;
    }
  }
  const Vec3 shoulder = ground + Vec3{0.0, 0.0, shoulder_m},
             out = (1.0 / aside_m) * (ground - Vec3{at.x_m, at.y_m, 0.0});
  const Vec3 across = 0.13 * Vec3{-out.y_m, out.x_m, 0.0};
  Toucher t{wires, 0};
  wire::Antenna& a = t.wires.antenna;
  const auto add = [&](const char* name, std::vector<Vec3> points, double radius_m) {
    a.wires.push_back({name, std::move(points), radius_m, usual.conductivity_s_m, 1.0, {}, true});
    return a.wires.size() - 1;
  };
  const std::size_t arm = add("arm that touches", {at, shoulder}, 0.35 * usual.radius_m);
  const std::size_t body = add("body that touches", {shoulder, ground}, 0.6 * usual.radius_m);  // both legs as one
  add("soles of who touches", {ground + across, ground, ground - across}, 0.0225);
  a.lumps.push_back({body, shoulder_m, 0.0, 0.0, 2.0 * usual.foot_capacitance_f});
  a.lumps.push_back({arm, 0.0});
  t.contact = a.lumps.size() - 1;
  return t;
}

}  // namespace stile::safety::detail

// A hat of spokes at a whip's top: it goes where the whip goes, and loads it.

#include <algorithm>
#include <cmath>

#include <catch2/catch.hpp>

#include <stile/base/constants.hpp>
#include <stile/wire/conditions.hpp>
#include <stile/wire/solve.hpp>
#include <stile/wire/vec3.hpp>

using namespace stile;
using namespace stile::wire;
using namespace stile::wire::detail;

namespace {

WhipSet whip_with(std::size_t spokes, double length_m) {
  WhipSet w;
  w.ground = lossy_ground(15.0, 1e-3);
  for (std::size_t n = 0; n < spokes; ++n) {
    const double angle = two_pi * static_cast<double>(n) / static_cast<double>(spokes);
    Wire spoke;
    spoke.name = "hat " + std::to_string(n + 1);
    spoke.points = {{0.0, 0.0, 0.0}, {length_m * std::cos(angle), length_m * std::sin(angle), 0.0}};
    spoke.radius_m = 0.001;
    w.hat.push_back(spoke);
  }
  return w;
}

}  // namespace

TEST_CASE("a hat stays at right angles to the whip, at its top, in every condition") {
  const WhipSet with = whip_with(3, 0.3);
  std::size_t leaning = 0;
  for (const WireCase& c : whip_conditions(with)) {
    CAPTURE(c.name);
    const std::vector<Vec3>& whip = c.antenna.wires.front().points;
    const Vec3 axis = whip.back() - whip.front();
    leaning += std::abs(norm(axis) - axis.z_m) > 0.1 ? 1U : 0U;
    std::size_t spokes = 0;
    Vec3 sum{};
    for (const Wire& w : c.antenna.wires) {
      if (w.name.rfind("hat ", 0) != 0) continue;
      ++spokes;
      CHECK(same_place(w.points.front(), whip.back()));
      const Vec3 out = w.points.back() - w.points.front();
      CHECK(norm(out) == Approx(0.3).epsilon(1e-12));
      CHECK(std::abs(dot(out, axis)) < 1e-12);
      sum = sum + out;
    }
    CHECK(spokes == 3);
    CHECK(norm(sum) < 1e-12);
  }
  CHECK(leaning == 1);
}

TEST_CASE("a hat makes a short whip's current more even: it radiates more of what it is given, and needs less coil") {
  const auto solved = [](std::size_t spokes, double length_m) {
    const WireCase c = whip_condition(whip_with(spokes, length_m), WhipCondition::trailing_usual);
    return solve_antenna(c.antenna, c.ground, 7.1e6);
  };
  const AntennaSolution bare = solved(0, 0.0), small = solved(4, 0.15), large = solved(4, 0.3);
  CHECK(small.feed_ohm.imag() > bare.feed_ohm.imag());
  CHECK(large.feed_ohm.imag() > small.feed_ohm.imag());
  CHECK(small.share.radiated > bare.share.radiated);
  CHECK(large.share.radiated > small.share.radiated);
}

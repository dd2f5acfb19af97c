#pragma once
// What the tests of this room share: reference tables, antennas that stand in them, equal meshes.

#include <cmath>
#include <sstream>
#include <string>

#include <stile/base/constants.hpp>
#include <stile/base/table.hpp>
#include <stile/wire/solve.hpp>

namespace stile::wire::test {

inline Table reference(const std::string& name) {
  const std::string path = std::string(STILE_TEST_DATA) + "/wire/" + name;
  return read_table(read_text_file(path), path);
}

inline std::vector<Vec3> read_points(const std::string& text) {
  std::vector<Vec3> points;
  std::stringstream whole(text);
  for (std::string part; std::getline(whole, part, ';');) {
    std::stringstream numbers(part);
    Vec3 p;
    numbers >> p.x_m >> p.y_m >> p.z_m;
    points.push_back(p);
  }
  return points;
}

inline std::optional<double> read_conductivity(const std::string& text) {
  if (text == "perfect") return {};
  return std::stod(text);
}

inline Wire bare(std::vector<Vec3> points, double radius_m, std::optional<double> conductivity_s_m = {},
                 std::string name = "") {
  return {std::move(name), std::move(points), radius_m, conductivity_s_m, 1.0, {}};
}

/// Vertical whip over a wire that slopes down and trails.
inline Antenna whip_with_wire(double trail_height_m = 0.05, double base_m = 1.2) {
  Antenna a;
  a.wires.push_back(bare({{0, 0, base_m}, {0, 0, base_m + 2.4}}, 0.002, {}, "whip"));
  a.wires.push_back(bare({{0, 0, base_m}, {1.2, 0, trail_height_m}, {6.2, 0, trail_height_m}}, 0.001, {}, "wire"));
  a.feed.gap_m = 0.02;
  return a;
}

inline Antenna monopole(double height_m, double radius_m, double gap_m = 0.01) {
  Antenna a;
  a.wires.push_back(bare({{0, 0, 0}, {0, 0, height_m}}, radius_m, {}, "whip"));
  a.feed.gap_m = gap_m;
  return a;
}

inline Antenna dipole(double half_length_m, double radius_m, double gap_m, double height_m = 0.0,
                      bool vertical = true) {
  const double x = vertical ? 0.0 : half_length_m, z = vertical ? half_length_m : 0.0;
  Antenna a;
  a.wires.push_back(bare({{0, 0, height_m}, {x, 0, height_m + z}}, radius_m, {}, "upper"));
  a.wires.push_back(bare({{0, 0, height_m}, {-x, 0, height_m - z}}, radius_m, {}, "lower"));
  a.feed.gap_m = gap_m;
  return a;
}

}  // namespace stile::wire::test

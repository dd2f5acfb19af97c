#pragma once
// Arithmetic of points. Internal to the room.

#include <algorithm>
#include <cmath>

#include <stile/wire/geometry.hpp>

namespace stile::wire::detail {

inline Vec3 operator+(Vec3 a, Vec3 b) { return {a.x_m + b.x_m, a.y_m + b.y_m, a.z_m + b.z_m}; }
inline Vec3 operator-(Vec3 a, Vec3 b) { return {a.x_m - b.x_m, a.y_m - b.y_m, a.z_m - b.z_m}; }
inline Vec3 operator*(double f, Vec3 a) { return {f * a.x_m, f * a.y_m, f * a.z_m}; }
inline double dot(Vec3 a, Vec3 b) { return a.x_m * b.x_m + a.y_m * b.y_m + a.z_m * b.z_m; }
inline double norm(Vec3 a) { return std::sqrt(dot(a, a)); }
inline Vec3 cross(Vec3 a, Vec3 b) {
  return {a.y_m * b.z_m - a.z_m * b.y_m, a.z_m * b.x_m - a.x_m * b.z_m, a.x_m * b.y_m - a.y_m * b.x_m};
}
inline bool is_finite(Vec3 a) { return std::isfinite(a.x_m) && std::isfinite(a.y_m) && std::isfinite(a.z_m); }

inline constexpr double joint_m = 1e-6;  ///< points closer than this are one node
inline bool same_place(Vec3 a, Vec3 b) { return norm(a - b) <= joint_m; }

/// A point of what stands upright on the origin, when that leans by an angle the way that a direction points.
inline Vec3 leaning(Vec3 p, double towards_rad, double lean_rad) {
  const double c = std::cos(towards_rad), s = std::sin(towards_rad), along = p.x_m * c + p.y_m * s;
  const double moved = along * std::cos(lean_rad) + p.z_m * std::sin(lean_rad) - along;
  return {p.x_m + moved * c, p.y_m + moved * s, p.z_m * std::cos(lean_rad) - along * std::sin(lean_rad)};
}

/// Least distance of a point from a straight piece, m; start and end are not one.
inline double point_distance_m(Vec3 point, Vec3 start, Vec3 end) {
  const Vec3 whole = end - start, from = point - start;
  const double share = std::clamp(dot(from, whole) / dot(whole, whole), 0.0, 1.0);
  return norm(from - share * whole);
}

/// Least distance between two straight pieces a0-a1 and b0-b1, m.
double piece_distance_m(Vec3 a0, Vec3 a1, Vec3 b0, Vec3 b1);

}  // namespace stile::wire::detail

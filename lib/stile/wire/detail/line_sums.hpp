#pragma once
// Sums over points of a line of exp(-jkR)/R and its slope, for fields. Internal to the room.

#include <array>
#include <vector>

#include <stile/base/quantity.hpp>
#include <stile/wire/geometry.hpp>

namespace stile::wire::detail {

/// Points along a line, as shares of it, and their weights.
struct LineNodes {
  std::vector<double> x, weight;
};

/// Over the points, with weight 1 and with weight x: g = exp(-jkR)/R, and the slope of g in all directions.
struct LineSums {
  std::array<cdouble, 2> potential;
  std::array<std::array<cdouble, 3>, 2> slope;
};

/// @param nodes    grow by points without weight to a whole number of fours
/// @param between  from the line's start to where the field is
/// @param whole    from the line's start to its end
/// @param apart2   added to the square of each distance, m^2
/// Accuracy: 1e-13 of the largest term.
LineSums line_sums(LineNodes& nodes, Vec3 between, Vec3 whole, double apart2, double k_rad_m);

}  // namespace stile::wire::detail

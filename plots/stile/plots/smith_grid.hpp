#pragma once
// Circles of constant resistance and reactance in the reflection plane. Internal.

#include <array>
#include <string>

#include <stile/base/quantity.hpp>

namespace stile::plots::detail {

/// A line of the grid ends where the next coarser line takes over, so that the right end does not turn black. In units
/// of the reference.
struct GridLine {
  double value, ends_at;
};
inline constexpr std::array<GridLine, 6> resistances{
    {{0.2, 2.0}, {0.5, 5.0}, {1.0, 10.0}, {2.0, 10.0}, {5.0, 20.0}, {10.0, 20.0}}};
inline constexpr std::array<GridLine, 7> reactances{
    {{0.2, 2.0}, {0.5, 5.0}, {1.0, 5.0}, {2.0, 10.0}, {5.0, 10.0}, {10.0, 10.0}, {20.0, 10.0}}};

/// "x y" of a point as a row of data.
std::string row(cdouble gamma);
/// Rows of a circle about the origin.
std::string circle(double radius);
/// Rows of all lines, blank lines between them, and the middle line.
std::string smith_grid();

}  // namespace stile::plots::detail

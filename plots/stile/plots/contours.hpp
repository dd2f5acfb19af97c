#pragma once
// Lines of equal value through an even grid. Internal.

#include <cstddef>
#include <span>
#include <vector>

#include <stile/plots/page.hpp>

namespace stile::plots::detail {

/// Lines on which the values, taken as linear along the sides of the grid's squares, equal `level` (marching squares).
///
/// @param values  row by row, columns * rows of them; squares with a corner that is not finite have no line
/// @return  polylines in units of cells: x from 0 (centre of the first column) to columns - 1, y likewise; a closed one
///          ends at its first point
std::vector<std::vector<Point>> contour_lines(std::span<const double> values, std::size_t columns, std::size_t rows,
                                              double level);

/// Each cell's median over the 3 x 3 cells around it, of those that are not nan: contours of a map made of many small
/// steps are else a tangle. nan stays nan.
std::vector<double> smoothed(std::span<const double> values, std::size_t columns, std::size_t rows);

}  // namespace stile::plots::detail

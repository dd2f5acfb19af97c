#pragma once
// Fillings that a grey print tells apart, as plain lines: a pattern of gnuplot becomes a picture of megabytes when a
// browser prints it. Internal.

#include <string>

#include <stile/plots/page.hpp>

namespace stile::plots::detail {

/// gnuplot options of the box itself: its frame, and its inside where that is solid.
std::string box_options(const Fill& fill);
/// gnuplot options of the lines across it.
std::string hatch_options(const Fill& fill);
/// The lines across a box as gnuplot data, two points each and a blank line between; empty for solid and open ones.
/// Lines of neighbouring boxes meet.
/// @param across  units of the data across for a point of 1/72 inch, > 0; up and down they are points
std::string hatch_rows(Point low, Point high, const Fill& fill, double across = 1.0);

}  // namespace stile::plots::detail

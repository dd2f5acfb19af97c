#pragma once
// Values of several things in categories: bands, places, arrangements.

#include <cstddef>
#include <string>
#include <vector>

#include <stile/base/range.hpp>
#include <stile/plots/chart.hpp>

namespace stile::plots {

struct Dot {
  std::size_t category = 0;
  double value = 0.0;  ///< finite
  Range range;         ///< what uncertain inputs make of it; holds the value
};

struct DotSeries {
  std::string label;  ///< may be empty when there is one
  std::vector<Dot> dots;
};

struct DotAxis {
  std::string title;
  bool logarithmic = false;  ///< all values and ranges > 0
  bool from_zero = false;    ///< shows 0; not when logarithmic
  std::vector<double> lines = {};
};

/// A column a category, in it one mark for each series, side by side in the order of the list, with a bar from end to
/// end of its range; dotted lines across where the axis says so.
///
/// @param categories  1..24 names, wrapped below the axis
/// @param series      1..16, at least one dot among them
/// @throws DomainError  a value outside its range
Chart dots_chart(const std::vector<std::string>& categories, const std::vector<DotSeries>& series, const DotAxis& axis,
                 const ChartText& text, const std::vector<std::string>& notes);

}  // namespace stile::plots

#pragma once
// What a tuner does with every load of a plane.

#include <string>
#include <vector>

#include <stile/base/quantity.hpp>
#include <stile/plots/chart.hpp>

namespace stile::plots {

enum class RangePlane {
  reflection,  ///< x, y: real and imaginary part of the reflection against the reference, -1..1 each
  impedance,   ///< x, y: R and X, ohm
};

/// An even grid, row by row from y_low; cell (column, row) is centred at x_low + (x_high - x_low) (column +
/// 1/2)/columns, with logarithmic_r at x_low (x_high/x_low)^((column + 1/2)/columns).
struct RangeGrid {
  RangePlane plane = RangePlane::reflection;
  double x_low = -1.0, x_high = 1.0, y_low = -1.0, y_high = 1.0;
  std::size_t columns = 0, rows = 0;  ///< each >= 2
  double reference_ohm = 50.0;        ///< > 0
  bool logarithmic_r = false;         ///< of the impedance plane alone; x_low > 0
};

struct RangeMark {
  cdouble z_ohm{};   ///< real part >= 0
  std::string name;  ///< may be empty
};

/// A line of loads, as the traced edge of a range.
struct RangeEdge {
  std::vector<cdouble> points;  ///< in the plane's coordinates
  bool outline = true;          ///< thick; otherwise thin
};

struct RangePanel {
  std::string title;           ///< the frequency, the band
  std::vector<double> values;  ///< one a cell; nan: white
  std::vector<double> swr;     ///< residual, one a cell, nan where there is no load; empty: no line at the limit
  std::vector<RangeEdge> edges;
  std::vector<RangeMark> marks;
};

/// The quantity that is shown, and the range of its shades.
struct RangeQuantity {
  std::string label;              ///< "residual SWR"
  double low = 1.0, high = 10.0;  ///< lightest and darkest; beyond, the shade stays
  bool logarithmic = false;       ///< low > 0
  std::vector<double> levels;     ///< contours and figures of the scale, each within low..high
};

/// Shades from light (good) to dark, contours named on the lines, the SWR limit as a thick line, loads as dots; those
/// outside the plane are named in a note. Cells without a value are white. Contours are those of each cell's median
/// with its neighbours: the steps of a bank make them a tangle else.
///
/// @param panels     1..8, all on one grid
/// @param swr_limit  > 1
/// @throws DomainError  a value outside its range, lengths that differ
Chart range_map_chart(const std::vector<RangePanel>& panels, const RangeGrid& grid, const RangeQuantity& quantity,
                      double swr_limit, const ChartText& text);

/// Cells in classes: values are the index of a class. Each class has a shade and a letter that stands in its largest
/// area.
///
/// @param classes  1..12 names; class 0 is the lightest
/// @throws DomainError  as range_map_chart; a value that is no class
Chart range_class_chart(const std::vector<RangePanel>& panels, const RangeGrid& grid,
                        const std::vector<std::string>& classes, double swr_limit, const ChartText& text);

}  // namespace stile::plots

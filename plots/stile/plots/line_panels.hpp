#pragma once
// Panels of lines with a shared legend, and an axis of frequencies that leaves out the gaps between bands. Internal.

#include <cstddef>
#include <string>
#include <vector>

#include <stile/base/range.hpp>
#include <stile/plots/page.hpp>

namespace stile::plots::detail {

/// Frequencies along a panel: stretches without a wide gap stand side by side at equal width.
class FrequencyAxis {
public:
  /// A gap is wide when it is more than eight times the median distance of neighbours.
  /// @param frequency_hz  of all curves, in any order; not empty
  FrequencyAxis(std::vector<double> frequency_hz, double width_pt);
  std::size_t groups() const { return groups_hz_.size(); }
  std::size_t group(double frequency_hz) const;
  double x(double frequency_hz) const;  ///< 0..groups()
  bool single(std::size_t group) const { return groups_hz_[group].low == groups_hz_[group].high; }
  /// Range, ticks and grid.
  std::string commands() const;

private:
  std::vector<Range> groups_hz_;
  double width_pt_, margin_ = 0.0;
};

/// One line, perhaps in pieces.
struct PanelLine {
  std::size_t style = 0;                   ///< of line_style, and index of the legend's entry
  std::vector<std::vector<Point>> pieces;  ///< in the panel's own coordinates
};

struct LinePanel {
  std::string title;
  std::string x_title, y_title;
  std::string x_commands;  ///< range, ticks, grid; empty: from the data
  bool log_y = false;      ///< all y > 0
  bool from_zero = false;  ///< the y axis starts at 0
  std::size_t groups = 1;  ///< separators stand at 1 .. groups - 1
  std::vector<PanelLine> lines;
  bool symmetric_log = false;      ///< the y axis is logarithmic both ways from 0, even within about 10
  std::vector<Range> shaded = {};  ///< stretches of x
};

struct LineLayout {
  double need_pt = 100.0;   ///< width that a panel needs; columns are given up for it
  double frame_pt = 150.0;  ///< height of a frame
  /// Entries of the legend from this on are points: black marks that no line has, without a line.
  std::size_t points_from = static_cast<std::size_t>(-1);
};

/// Width of the frames of line_chart. @param titles  of its panels
double line_panel_width_pt(const std::vector<std::string>& titles, const LineLayout& layout);

/// Panels in a grid with one legend below, one entry a style.
Chart line_chart(const std::vector<LinePanel>& panels, const std::vector<std::string>& legend, const LineLayout& layout,
                 const ChartText& text, const std::vector<std::string>& notes);

}  // namespace stile::plots::detail

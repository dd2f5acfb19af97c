#pragma once
// Panels of equal size in a grid. Internal.

#include <cstddef>
#include <string>
#include <vector>

#include <stile/plots/page.hpp>

namespace stile::plots::detail {

/// Where the panels of a chart stand: columns by number and by the width they need, one head of equal height above
/// each for its title.
struct PanelGrid {
  std::size_t columns = 1, rows = 1;
  double panel_width_pt = 0.0;
  std::vector<std::vector<std::string>> titles;  ///< wrapped
  double head_pt = 0.0;

  static constexpr double title_size_pt = 8.5, title_line_pt = 11.0;

  /// @param need_pt  width that a panel needs; columns are given up for it
  /// @param left, right  room beside the frame of each panel, for tick labels and names of lines
  PanelGrid(const std::vector<std::string>& panel_titles, double need_pt, double left, double right);

  double left_pt = 0.0, right_pt = 0.0;
  double x(std::size_t index) const;  ///< left edge of the frame
  std::size_t row(std::size_t index) const { return index / columns; }
  bool lowest(std::size_t index) const { return index + columns >= titles.size(); }
  /// Title above the frame whose upper left corner is given.
  void put_title(Page& page, std::size_t index, double frame_top_pt) const;
};

}  // namespace stile::plots::detail

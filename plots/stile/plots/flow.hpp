#pragma once
// Headings, paragraphs and tables one below the other on A4 pages. Internal; users see coil_sheet.hpp.

#include <string>
#include <vector>

#include <stile/plots/drawing.hpp>

namespace stile::plots::detail {

/// Puts blocks below each other and begins a new page where one does not fit.
class Flow {
public:
  static constexpr double left_mm = 18.0, right_mm = 192.0, width_mm = right_mm - left_mm;
  static constexpr double top_mm = 18.0, bottom_mm = 280.0;

  /// Begins a new page where so much would not fit on this one.
  void keep(double height_mm);
  /// Room for a drawing that must not be cut. Returns the y of its upper edge; it goes onto page().
  double place(double height_mm);
  Drawing& page() { return pages_.back(); }

  void title(const std::string& text);
  void heading(const std::string& text);
  void paragraph(const std::string& text, double indent_mm = 0.0);
  /// A table under its title. The first row is the heading, again on every page that the table reaches; a row is never
  /// cut. Columns of numbers stand at the right; where the columns do not fit, the widest are broken into lines.
  void table(const std::string& title, const std::vector<std::vector<std::string>>& rows);

  /// The pages, with `foot` and the page's number on each.
  std::vector<Drawing> finish(const std::string& foot);

private:
  std::vector<Drawing> pages_ = std::vector<Drawing>(1);
  double y_mm_ = top_mm;
};

}  // namespace stile::plots::detail

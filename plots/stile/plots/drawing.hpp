#pragma once
// Lines and texts on a page measured in millimetres, written as SVG or PDF at exactly that size.

#include <string>
#include <vector>

namespace stile::plots {

struct DrawnLine {
  double x1_mm = 0.0, y1_mm = 0.0, x2_mm = 0.0, y2_mm = 0.0;
  double width_mm = 0.2;
  bool dashed = false;
};

struct DrawnCircle {
  double x_mm = 0.0, y_mm = 0.0, radius_mm = 0.0;
};

/// Letters that Windows-1252 lacks are written as "?" in PDF.
struct DrawnText {
  double x_mm = 0.0, y_mm = 0.0;  ///< left end of the base line
  std::string text;
  double size_mm = 3.0;      ///< of the type
  bool fixed_width = false;  ///< Courier instead of Helvetica
};

/// Origin at the upper left, y downwards.
struct Drawing {
  double width_mm = 210.0, height_mm = 297.0;
  std::vector<DrawnLine> lines;
  std::vector<DrawnCircle> circles;
  std::vector<DrawnText> texts;
};

/// One user unit is one millimetre, and the page's size is stated in mm.
std::string svg_text(const Drawing& drawing);

/// One page a drawing; one millimetre is 72/25.4 points, to 1e-6. No date in it: equal drawings give equal bytes.
std::string pdf_text(const std::vector<Drawing>& pages);

/// Lines of text on A4 pages in a type of fixed width; a line feed ends a line, a form feed a page.
std::vector<Drawing> text_pages(const std::string& text);

}  // namespace stile::plots

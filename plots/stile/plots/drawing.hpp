#pragma once
// Lines, boxes and texts on a page measured in millimetres, written as SVG or PDF at exactly that size.

#include <string>
#include <vector>

namespace stile::plots {

/// Type of a text: DejaVu Sans, or DejaVu Sans Mono; where a letter is not in it, another type that has it.
struct TypeStyle {
  double size_mm = 3.0;  ///< > 0
  bool bold = false;
  bool fixed_width = false;
};

struct DrawnLine {
  double x1_mm = 0.0, y1_mm = 0.0, x2_mm = 0.0, y2_mm = 0.0;
  double width_mm = 0.2;
  bool dashed = false;
  double grey = 0.0;  ///< 0 black to 1 white
};

struct DrawnCircle {
  double x_mm = 0.0, y_mm = 0.0, radius_mm = 0.0;
};

struct DrawnBox {
  double x_mm = 0.0, y_mm = 0.0;  ///< upper left corner
  double width_mm = 0.0, height_mm = 0.0;
  double grey = 1.0;      ///< of its inside, 0 black to 1 white
  double frame_mm = 0.0;  ///< of the line around it; 0: none
};

enum class Anchor { left, centre, right };

struct DrawnText {
  double x_mm = 0.0, y_mm = 0.0;  ///< on the base line, where `anchor` says
  std::string text;               ///< one line, UTF-8; control characters become blanks
  TypeStyle style;
  Anchor anchor = Anchor::left;
  double grey = 0.0;  ///< 0 black to 1 white
};

/// Origin at the upper left, y downwards. Boxes lie under lines and circles, texts above all.
struct Drawing {
  double width_mm = 210.0, height_mm = 297.0;
  std::vector<DrawnBox> boxes;
  std::vector<DrawnLine> lines;
  std::vector<DrawnCircle> circles;
  std::vector<DrawnText> texts;
};

/// One user unit is one millimetre, and the page's size is stated in mm; text stays text.
std::string svg_text(const Drawing& drawing);

/// One page a drawing; sizes to 0.01 mm. The types are in the file. Equal drawings give equal bytes (the same fonts and
/// cairo taken for granted); for this the creation date is set to 2000-01-01. Viewers are asked not to scale the print.
///
/// @param title  as viewers show it
/// @throws DomainError  no page, or one without size
/// @throws Error        no font is installed
std::string pdf_text(const std::vector<Drawing>& pages, const std::string& title);

/// Width of a line of text as pdf_text() sets it, to 0.01 mm.
/// @throws Error  no font is installed
double text_width_mm(const std::string& text, const TypeStyle& style);

/// A text in lines no wider than asked, broken between words, but not between a number and its unit; a word
/// that is longer by itself, within it. At least one line.
/// @throws Error  no font is installed
std::vector<std::string> text_lines(const std::string& text, const TypeStyle& style, double width_mm);

/// Letters of the drawings that no font of this machine has, each once, as "U+16A0"; PDF shows a box with this number.
std::vector<std::string> missing_letters(const std::vector<Drawing>& pages);

}  // namespace stile::plots

#pragma once
// A page in points (1/72 inch, origin at the lower left) on which charts put panels, texts and legends.
// Internal; users see chart.hpp.

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <stile/plots/chart.hpp>

namespace stile::plots::detail {

inline constexpr double page_width_pt = 560.0;
inline constexpr double page_margin_pt = 12.0;

struct Point {
  double x = 0.0, y = 0.0;
};

/// Black, blue, vermilion and green of M. Okabe, K. Ito, Color Universal Design (2008), each with dash and mark of its
/// own, so that a grey print tells them apart.
struct LineStyle {
  const char* colour;
  const char* dash;  ///< gnuplot dash type
  int mark;          ///< gnuplot point type
};

/// The style of the index-th line; sixteen before one comes back. Of the first eight any two of one dash differ in grey
/// too: one of them is black.
LineStyle line_style(std::size_t index);
/// "lc rgb '#0072B2' dt (10,4)"
std::string line_options(const LineStyle& style);

/// A gnuplot string literal of a text that is shown, as one_line() has it.
std::string quoted(std::string_view text);
/// The same of a file's name, whose bytes stay.
std::string quoted_name(std::string_view name);
/// Width of a text in DejaVu Sans, estimated a little generously.
double text_width_pt(std::string_view text, double size_pt);
/// Broken at blanks, but not between a number and its unit, into lines no wider than asked; a longer word is cut. At
/// least one line.
std::vector<std::string> wrapped(std::string_view text, double size_pt, double width_pt);
/// The largest of 1, 2, 5 times a power of ten that is not above `most` > 0.
double even_step(double most);
/// Decimals that show a step exactly (0.05: 2).
int step_decimals(double step);

enum class Align { left, centre, right };

/// A filling that a grey print tells apart; see hatch.hpp.
struct Fill {
  const char* colour;
  enum class Kind { solid, open, rising, falling, crossed, fine, fine_falling } kind;
};

/// One entry of a legend: a piece of line, a mark, a filled box, or the text alone.
struct LegendEntry {
  std::string text;
  std::string line;  ///< gnuplot line options, empty for none
  std::string mark;  ///< gnuplot point options, empty for none
  std::string fill;  ///< gnuplot fill options, empty for none
  std::optional<Fill> hatch = std::nullopt;
};

/// A legend broken into columns of equal width that hold the longest entry.
class Legend {
public:
  static constexpr double size_pt = 7.5, line_pt = 10.5, sample_pt = 30.0;

  Legend(std::vector<LegendEntry> entries, double width_pt);
  double height_pt() const;
  std::size_t rows() const { return (entries_.size() + columns_ - 1) / columns_; }
  const std::vector<LegendEntry>& entries() const { return entries_; }
  std::size_t columns() const { return columns_; }
  const std::vector<std::vector<std::string>>& texts() const { return texts_; }
  double row_pt() const { return line_pt * static_cast<double>(lines_per_row_) + 1.5; }

private:
  std::vector<LegendEntry> entries_;
  std::vector<std::vector<std::string>> texts_;
  std::size_t columns_ = 1;
  std::size_t lines_per_row_ = 1;
};

/// Collects the script. Panels are written as they come; what is put on the page itself is drawn last, over them.
class Page {
public:
  explicit Page(double height_pt) : height_pt_(height_pt) {}
  double height_pt() const { return height_pt_; }

  /// Gnuplot commands of a panel, after its frame is set to these corners and everything else reset.
  void panel(Point low, Point high, const std::string& commands);
  /// A data block; returns its name ("$d3").
  std::string data(const std::string& rows);

  void text(Point at, std::string_view text, double size_pt, Align align = Align::left, int rotate_deg = 0);
  void line(Point from, Point to, const std::string& options);
  void mark(Point at, const std::string& options);
  void box(Point low, Point high, const std::string& options);
  void box(Point low, Point high, const Fill& fill);
  void legend(const Legend& legend, Point top_left, double width_pt);

  /// The whole chart.
  Chart finish();

private:
  double height_pt_;
  std::size_t blocks_ = 0;
  std::string data_, panels_, texts_, boxes_;
  std::vector<std::string> plots_;
};

/// Title above and source at the foot: how much they need, and putting them on the page.
class Surround {
public:
  Surround(const ChartText& text, const std::vector<std::string>& notes);
  double top_pt() const;     ///< from the page's top to below the title
  double bottom_pt() const;  ///< from the page's bottom to above the foot
  void put(Page& page) const;

private:
  std::vector<std::string> title_, foot_;
};

}  // namespace stile::plots::detail

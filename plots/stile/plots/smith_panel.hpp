#pragma once
// The plane of the reflection coefficient with its circles, figures and names. Internal.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <stile/base/quantity.hpp>
#include <stile/plots/label_places.hpp>
#include <stile/plots/page.hpp>
#include <stile/plots/smith_window.hpp>

namespace stile::plots::detail {

inline constexpr double smith_unit_pt = 205.0;                             // |reflection| = 1
inline constexpr double smith_half_width = 1.3, smith_half_height = 1.09;  // what of the plane the panel shows
inline constexpr double smith_frame_width_pt = 2.0 * smith_half_width * smith_unit_pt;
inline constexpr double smith_frame_height_pt = 2.0 * smith_half_height * smith_unit_pt;

/// Room around a window for its figures: beside it, and above and below together.
inline constexpr double smith_figures_beside_pt = 48.0, smith_figures_height_pt = 30.0;

/// Says in the chart's foot what the plane is.
std::string smith_note(double reference_ohm);
/// The same of a window that stands alone, beside its overview.
std::string smith_window_note(double reference_ohm);

/// A panel of the plane, or of a window in it; the grid is on it from the start.
class SmithPanel {
public:
  /// The whole plane, in the middle of the page.
  SmithPanel(Page& page, double top_pt, double reference_ohm);
  /// @param left_pt, top_pt  of the square on the page, figures around it left out and counted in
  /// @param side_pt          of the square
  SmithPanel(Page& page, double left_pt, double top_pt, double side_pt, double reference_ohm,
             const SmithWindow& window);
  Point on_page(cdouble reflection) const;
  bool shows(cdouble reflection) const;
  LabelPlaces& places() { return places_; }
  /// One more item of the panel's plot command; later ones lie above.
  void plot(const std::string& item);
  /// A line that names and figures avoid; of a single point, nothing but that.
  void trace(const std::vector<cdouble>& reflections, const std::string& options);
  /// Of a window: the whole plane, small at the page's right, with the window as a square.
  void overview();
  /// Of the whole plane: a window as a square.
  void outline(const SmithWindow& window);
  /// A name beside a mark, on a white ground, with a leader where it needs one; names are placed by finish().
  void name(Point mark, std::string_view text, double size_pt);
  /// A name of a line, with a leader onto its point.
  void name_line(Point at, std::string_view text, double size_pt);
  /// Places the figures of resistances and then the names among what is to be avoided, and puts the panel on the page.
  void finish();

private:
  SmithPanel(Page& page, Point middle, Point half_pt, double unit_pt, double reference_ohm,
             const std::optional<SmithWindow>& window);
  void whole_grid(double reference_ohm);
  void window_grid(double reference_ohm);
  void resistance_figures();
  void put_names();
  void grid_label(Point at, const std::string& label, Align align);

  struct Name {
    Point at;
    std::string text;
    double size_pt = 0.0;
    bool of_line = false;
  };

  Page& page_;
  double reference_ohm_;
  std::optional<SmithWindow> window_;
  double unit_pt_;  // of |reflection| = 1
  Point middle_;    // of the panel, on the page
  Point half_pt_;   // of its sides
  std::string plots_;
  std::vector<Name> names_;
  LabelPlaces places_;
};

}  // namespace stile::plots::detail

#pragma once
// Type set with Pango: what measuring and drawing of texts share. Internal; users see drawing.hpp.

#include <memory>
#include <string>

#include <pango/pangocairo.h>

#include <stile/plots/drawing.hpp>

namespace stile::plots::detail {

inline constexpr double points_per_mm = 72.0 / 25.4;

struct Unref {
  void operator()(gpointer object) const { g_object_unref(object); }
};

/// Where no font is installed Pango names three generic families all the same, and then sets no letter.
/// @throws Error  no font is installed
void require_fonts();

/// A text with its control characters as blanks, and what is not UTF-8, or no character of XML, as U+FFFD.
std::string one_line(const std::string& text);

/// A line of text, ready to be drawn at 1 unit = 1 point. It looks the same on every surface: no hinting, no rounding
/// of places to dots.
/// @throws Error  no font is installed
std::unique_ptr<PangoLayout, Unref> type_layout(const std::string& text, const TypeStyle& style);

}  // namespace stile::plots::detail

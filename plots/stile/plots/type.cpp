#include <stile/plots/type.hpp>

#include <algorithm>
#include <string_view>

#include <fmt/format.h>
#include <fontconfig/fontconfig.h>

#include <stile/base/errors.hpp>

namespace stile::plots {
namespace detail {
namespace {

struct FreeFont {
  void operator()(PangoFontDescription* font) const { pango_font_description_free(font); }
};
struct FreeOptions {
  void operator()(cairo_font_options_t* options) const { cairo_font_options_destroy(options); }
};

}  // namespace

void require_fonts() {
  const FcFontSet* fonts = FcConfigGetFonts(FcConfigGetCurrent(), FcSetSystem);
  if (fonts == nullptr || fonts->nfont == 0)
    throw Error("no font is installed: text cannot be set; install the package fonts-dejavu-core");
}

std::string one_line(const std::string& text) {
  char* valid = g_utf8_make_valid(text.data(), static_cast<gssize>(text.size()));
  std::string line = valid;
  g_free(valid);
  for (const char* none : {"\xEF\xBF\xBE", "\xEF\xBF\xBF"}) {  // U+FFFE and U+FFFF
    for (std::size_t at = line.find(none); at != std::string::npos; at = line.find(none, at))
      line.replace(at, 3, "\xEF\xBF\xBD");
  }
  for (char& c : line) {
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7F) c = ' ';
  }
  return line;
}

std::unique_ptr<PangoLayout, Unref> type_layout(const std::string& text, const TypeStyle& style) {
  require_fonts();
  PangoFontMap* map = pango_cairo_font_map_get_default();
  const std::unique_ptr<PangoContext, Unref> context(pango_font_map_create_context(map));
  const std::unique_ptr<cairo_font_options_t, FreeOptions> options(cairo_font_options_create());
  cairo_font_options_set_hint_style(options.get(), CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options.get(), CAIRO_HINT_METRICS_OFF);
  pango_cairo_context_set_font_options(context.get(), options.get());
  pango_context_set_round_glyph_positions(context.get(), FALSE);
  const std::unique_ptr<PangoFontDescription, FreeFont> font(pango_font_description_new());
  pango_font_description_set_family(font.get(), style.fixed_width ? "DejaVu Sans Mono" : "DejaVu Sans");
  pango_font_description_set_weight(font.get(), style.bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  pango_font_description_set_absolute_size(font.get(), style.size_mm * points_per_mm * PANGO_SCALE);
  std::unique_ptr<PangoLayout, Unref> layout(pango_layout_new(context.get()));
  pango_layout_set_font_description(layout.get(), font.get());
  const std::string line = one_line(text);
  pango_layout_set_text(layout.get(), line.data(), static_cast<int>(line.size()));
  return layout;
}

}  // namespace detail
namespace {

constexpr std::string_view joint = "\u00A0";  // a blank at which no line breaks

/// A number and the short word behind it, its unit as a rule, joined.
std::string with_units_joined(const std::string& text) {
  std::string joined;
  for (std::size_t n = 0; n < text.size(); ++n) {
    const bool behind_number = text[n] == ' ' && n > 0 && text[n - 1] >= '0' && text[n - 1] <= '9';
    const std::size_t word = behind_number ? std::min(text.find(' ', n + 1), text.size()) - n - 1 : 0;
    if (word > 0 && word <= 4) {
      joined += joint;
    } else {
      joined += text[n];
    }
  }
  return joined;
}

}  // namespace

double text_width_mm(const std::string& text, const TypeStyle& style) {
  int width = 0;
  pango_layout_get_size(detail::type_layout(text, style).get(), &width, nullptr);
  return width / static_cast<double>(PANGO_SCALE) / detail::points_per_mm;
}

std::vector<std::string> text_lines(const std::string& text, const TypeStyle& style, double width_mm) {
  const auto layout = detail::type_layout(with_units_joined(text), style);
  pango_layout_set_width(layout.get(), std::max(1, static_cast<int>(width_mm * detail::points_per_mm * PANGO_SCALE)));
  pango_layout_set_wrap(layout.get(), PANGO_WRAP_WORD_CHAR);
  const std::string whole = pango_layout_get_text(layout.get());
  std::vector<std::string> lines;
  for (int n = 0; n < pango_layout_get_line_count(layout.get()); ++n) {
    const PangoLayoutLine* line = pango_layout_get_line_readonly(layout.get(), n);
    std::string part =
        whole.substr(static_cast<std::size_t>(line->start_index), static_cast<std::size_t>(line->length));
    while (!part.empty() && part.back() == ' ') part.pop_back();
    for (std::size_t at = part.find(joint); at != part.npos; at = part.find(joint, at))
      part.replace(at, joint.size(), " ");
    lines.push_back(std::move(part));
  }
  return lines;
}

std::vector<std::string> missing_letters(const std::vector<Drawing>& pages) {
  std::vector<std::string> missing;
  for (const Drawing& page : pages) {
    for (const DrawnText& t : page.texts) {
      if (pango_layout_get_unknown_glyphs_count(detail::type_layout(t.text, t.style).get()) == 0) continue;
      const std::string line = detail::one_line(t.text);
      for (const char* c = line.c_str(); *c != '\0'; c = g_utf8_next_char(c)) {
        const std::string letter(c, static_cast<const char*>(g_utf8_next_char(c)));
        if (pango_layout_get_unknown_glyphs_count(detail::type_layout(letter, t.style).get()) == 0) continue;
        std::string name = fmt::format("U+{:04X}", g_utf8_get_char(c));
        if (std::find(missing.begin(), missing.end(), name) == missing.end()) missing.push_back(std::move(name));
      }
    }
  }
  return missing;
}

}  // namespace stile::plots

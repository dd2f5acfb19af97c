#include <stile/plots/pack_card.hpp>

#include <algorithm>
#include <optional>

#include <fmt/format.h>

#include <stile/base/errors.hpp>

namespace stile::plots {
namespace {

constexpr double least_type_mm = 1.7;

/// A page of lines from the top down, the type scaled as a whole.
struct Column {
  Drawing page;
  double left_mm = 0.0, right_mm = 0.0, y_mm = 0.0;

  void lines(const std::string& text, const TypeStyle& style, double indent_mm = 0.0) {
    for (const std::string& line : text_lines(text, style, right_mm - left_mm - indent_mm)) {
      page.texts.push_back({left_mm + indent_mm, y_mm + 0.8 * style.size_mm, line, style});
      y_mm += 1.28 * style.size_mm;
    }
  }
};

/// The title in white on black, over the whole width. Returns where the next line goes.
double header(Drawing& page, const std::string& title, double size_mm, double margin_mm) {
  const TypeStyle style{size_mm, true};
  const std::vector<std::string> lines = text_lines(title, style, page.width_mm - 2.0 * margin_mm);
  const double height = 1.3 * size_mm * static_cast<double>(lines.size()) + 0.7 * size_mm;
  page.boxes.push_back({0.0, 0.0, page.width_mm, height, 0.0});
  double y = 1.35 * size_mm;
  for (const std::string& line : lines) {
    page.texts.push_back({margin_mm, y, line, style, Anchor::left, 1.0});
    y += 1.3 * size_mm;
  }
  return height + 1.2;
}

/// Cautions from the foot up. Returns where they begin.
double footer(Drawing& page, const std::vector<std::string>& cautions, const std::string& program, double size_mm,
              double margin_mm) {
  std::vector<std::string> lines;
  const TypeStyle style{size_mm, true};
  for (const std::string& caution : cautions) {
    for (std::string& line : text_lines(caution, style, page.width_mm - 2.0 * margin_mm))
      lines.push_back(std::move(line));
  }
  const TypeStyle small{0.75 * size_mm};
  const double step = 1.3 * size_mm,
               top = page.height_mm - step * static_cast<double>(lines.size()) - small.size_mm - 3.0;
  page.lines.push_back({margin_mm, top, page.width_mm - margin_mm, top, 0.4});
  double y = top + 0.7 + 0.9 * size_mm;
  for (const std::string& line : lines) {
    page.texts.push_back({margin_mm, y, line, style});
    y += step;
  }
  page.texts.push_back({page.width_mm - margin_mm, page.height_mm - 1.2, program, small, Anchor::right});
  return top;
}

/// "lifted: tap 73, rest open. SWR 1.3 to 1.8", the SWR in one piece.
std::string setting_line(const CardSetting& setting) {
  std::string swr = "SWR " + setting.swr;
  for (std::size_t at = swr.find(' '); at != swr.npos; at = swr.find(' ', at)) swr.replace(at, 1, "\u00A0");
  return (setting.when.empty() ? "" : setting.when + ": ") + setting.set + ". " + swr;
}

/// "and 4 more settings: see ...", or "5 settings: see ..." where none is shown.
std::string rest_line(std::size_t all, std::size_t shown, const char* where) {
  return shown > 0 ? fmt::format("and {} more settings: see {}", all - shown, where)
                   : fmt::format("{} settings: see {}", all, where);
}

/// The large page with at most `shown` settings a band, its type scaled; nothing where it does not fit.
std::optional<Drawing> large_page(const PackCard& card, double scale, std::size_t shown) {
  constexpr double margin = 4.0;
  Drawing page{105.0, 148.0, {}, {}, {}, {}};
  const double top = header(page, card.title, 3.6, margin);
  const double foot = footer(page, card.cautions, card.program, 2.3, margin);
  Column column{std::move(page), margin, 105.0 - margin, top};
  if (!card.wires.empty()) column.lines(card.wires, {2.6 * scale});
  for (const CardBand& band : card.bands) {
    column.y_mm += 0.9 * scale;
    column.page.lines.push_back({margin, column.y_mm, 105.0 - margin, column.y_mm, 0.15});
    column.y_mm += 0.9 * scale;
    const TypeStyle name{4.4 * scale, true}, take{2.8 * scale};
    const double beside = text_width_mm(band.band, name) + 2.5;
    column.page.texts.push_back({margin, column.y_mm + 0.85 * name.size_mm, band.band, name});
    const double start = column.y_mm;
    column.lines(band.take, take, beside);
    column.y_mm = std::max(column.y_mm, start + 1.15 * name.size_mm);
    for (std::size_t n = 0; n < std::min(shown, band.settings.size()); ++n)
      column.lines(setting_line(band.settings[n]), {3.0 * scale, true}, 2.0);
    if (band.settings.size() > shown)
      column.lines(rest_line(band.settings.size(), shown, "the report"), {2.6 * scale}, 2.0);
    column.lines(band.figures, {2.5 * scale}, 2.0);
  }
  if (column.y_mm > foot) return std::nullopt;
  return std::move(column.page);
}

std::optional<Drawing> small_page(const PackCard& card, double scale, std::size_t shown) {
  constexpr double margin = 3.0, width = 85.6, height = 54.0;
  Drawing page{width, height, {}, {}, {}, {}};
  const double top = header(page, card.title, 2.3, margin);
  const double foot =
      footer(page, {card.cautions.empty() ? std::string() : card.cautions.front()}, card.program, 1.9, margin);
  Column column{std::move(page), margin, width - margin, top};
  const TypeStyle style{2.6 * scale}, bold{2.6 * scale, true};
  double band_mm = 0.0;
  for (const CardBand& band : card.bands) band_mm = std::max(band_mm, text_width_mm(band.band, bold) + 2.0);
  for (const CardBand& band : card.bands) {
    column.page.texts.push_back({margin, column.y_mm + 0.8 * bold.size_mm, band.band, bold});
    for (std::size_t n = 0; n < std::min(shown, band.settings.size()); ++n)
      column.lines(setting_line(band.settings[n]), style, band_mm);
    if (band.settings.size() > shown)
      column.lines(rest_line(band.settings.size(), shown, "the large card"), style, band_mm);
    column.y_mm += 0.5 * scale;
  }
  if (column.y_mm > foot) return std::nullopt;
  return std::move(column.page);
}

/// The largest type that shows everything; where the smallest does not, the most settings a band that it shows.
Drawing largest(const PackCard& card, double type_mm,
                std::optional<Drawing> (*page)(const PackCard&, double, std::size_t)) {
  const double least = least_type_mm / type_mm;
  std::size_t most = 1;
  for (const CardBand& band : card.bands) most = std::max(most, band.settings.size());
  for (double scale = 1.3; scale >= least; scale -= 0.05) {
    if (std::optional<Drawing> fits = page(card, scale, most)) return *std::move(fits);
  }
  for (std::size_t shown = most; shown-- > 0;) {
    if (std::optional<Drawing> fits = page(card, least, shown)) return *std::move(fits);
  }
  throw DomainError(fmt::format("a pack card of {} bands: more than the card holds in type of {} mm", card.bands.size(),
                                least_type_mm));
}

}  // namespace

std::vector<Drawing> pack_card(const PackCard& card) {
  if (card.bands.empty()) throw DomainError("a pack card needs at least one band");
  for (const CardBand& band : card.bands) {
    if (band.settings.empty()) throw DomainError(fmt::format("pack card, band \"{}\": no setting", band.band));
  }
  return {largest(card, 2.5, large_page), largest(card, 2.6, small_page)};
}

}  // namespace stile::plots

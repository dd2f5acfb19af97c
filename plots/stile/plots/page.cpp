#include <stile/plots/page.hpp>

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include <stile/plots/hatch.hpp>
#include <stile/plots/type.hpp>

namespace stile::plots::detail {
namespace {

constexpr double title_size_pt = 10.5, title_line_pt = 14.0;
constexpr double foot_size_pt = 6.5, foot_line_pt = 8.5;

/// Advance width in units of the type size, by groups of letters of about equal width.
double advance(unsigned char c) {
  constexpr std::string_view narrow = "iljI.,':;|! ", slim = "frt()[]-/\"*", wide = "mwMW@%+=<>~";
  if (c >= 0x80) return 0.8;
  const char letter = static_cast<char>(c);
  if (narrow.find(letter) != narrow.npos) return 0.32;
  if (slim.find(letter) != slim.npos) return 0.41;
  if (wide.find(letter) != wide.npos) return 0.88;
  return c >= 'A' && c <= 'Z' ? 0.69 : 0.605;
}

bool starts_character(char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }

/// As many whole characters of a word as fit, at least one.
std::size_t fitting(std::string_view word, double size_pt, double width_pt) {
  std::size_t good = 0;
  for (std::size_t end = 1; end <= word.size(); ++end) {
    if (end < word.size() && !starts_character(word[end])) continue;
    if (good > 0 && text_width_pt(word.substr(0, end), size_pt) > width_pt) break;
    good = end;
  }
  return good;
}

const char* align_name(Align align) {
  switch (align) {
  case Align::left:
    return "left";
  case Align::centre:
    return "center";
  case Align::right:
    break;
  }
  return "right";
}

}  // namespace

LineStyle line_style(std::size_t index) {
  constexpr const char *solid = "solid", *dashes = "(14,4)", *short_dashes = "(4,3)", *one_dot = "(12,3,3,3)",
                       *two_dots = "(12,3,3,3,3,3)", *gaps = "(8,8)";
  constexpr std::array<const char*, 4> colours{"#000000", "#0072B2", "#D55E00", "#009E73"};
  constexpr std::array<const char*, 16> forms{solid,        dashes,       short_dashes, one_dot,  //
                                              dashes,       solid,        two_dots,     gaps,     //
                                              short_dashes, short_dashes, solid,        dashes,   //
                                              one_dot,      one_dot,      dashes,       solid};
  constexpr std::array<int, 4> marks{5, 9, 11, 13};
  // Every second round of colours takes the open form of the marks.
  return {colours[index % 4], forms[index % 16], marks[index % 4] - (index / 4 % 2 == 1 ? 1 : 0)};
}

std::string line_options(const LineStyle& style) { return fmt::format("lc rgb '{}' dt {}", style.colour, style.dash); }

std::string quoted(std::string_view text) { return quoted_name(one_line(std::string(text))); }

std::string quoted_name(std::string_view name) {
  std::string all = "'";
  for (const char c : name) all += c == '\'' ? "''" : std::string(1, c);
  return all + "'";
}

double text_width_pt(std::string_view text, double size_pt) {
  double sum = 0.0;
  for (const char c : text) {
    if (starts_character(c)) sum += advance(static_cast<unsigned char>(c));
  }
  return sum * size_pt;
}

std::vector<std::string> wrapped(std::string_view text, double size_pt, double width_pt) {
  std::vector<std::string> lines(1);
  while (!text.empty()) {
    std::size_t end = std::min(text.find(' '), text.size());
    // A number and the short word behind it, its unit as a rule, stay together.
    if (end > 0 && end < text.size() && text[end - 1] >= '0' && text[end - 1] <= '9') {
      const std::size_t behind = std::min(text.find(' ', end + 1), text.size());
      if (behind - end <= 5) end = behind;
    }
    std::string_view word = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    std::string joined = lines.back().empty() ? std::string(word) : lines.back() + " " + std::string(word);
    if (text_width_pt(joined, size_pt) <= width_pt) {
      lines.back() = std::move(joined);
      continue;
    }
    if (!lines.back().empty()) lines.emplace_back();
    while (text_width_pt(word, size_pt) > width_pt) {
      const std::size_t part = fitting(word, size_pt, width_pt);
      if (part == word.size()) break;
      lines.back() = word.substr(0, part);
      lines.emplace_back();
      word.remove_prefix(part);
    }
    lines.back() = word;
  }
  return lines;
}

double even_step(double most) {
  const double power = std::pow(10.0, std::floor(std::log10(most)));
  const double lead = most / power * (1.0 + 1e-9);
  return power * (lead >= 5.0 ? 5.0 : lead >= 2.0 ? 2.0 : 1.0);
}

int step_decimals(double step) { return std::max(0, static_cast<int>(-std::floor(std::log10(step * (1.0 + 1e-9))))); }

Legend::Legend(std::vector<LegendEntry> entries, double width_pt) : entries_(std::move(entries)) {
  constexpr double gap = 12.0;
  double widest = 1.0;
  for (const LegendEntry& entry : entries_) {
    widest = std::max(widest, sample_pt + text_width_pt(entry.text, size_pt) + gap);
  }
  const std::size_t fit = static_cast<std::size_t>(std::max(1.0, std::floor(width_pt / widest)));
  columns_ = std::clamp<std::size_t>(fit, 1, std::max<std::size_t>(1, entries_.size()));
  if (!entries_.empty()) columns_ = (entries_.size() + rows() - 1) / rows();  // even rows
  const double text_width = width_pt / static_cast<double>(columns_) - sample_pt - gap;
  for (const LegendEntry& entry : entries_) {
    texts_.push_back(wrapped(entry.text, size_pt, text_width));
    lines_per_row_ = std::max(lines_per_row_, texts_.back().size());
  }
}

double Legend::height_pt() const { return row_pt() * static_cast<double>(rows()); }

void Page::panel(Point low, Point high, const std::string& commands) {
  panels_ += fmt::format("unset label\nunset arrow\nunset object\nunset logscale\nset format '%g'\n"
                         "set lmargin at screen {:.6f}\nset rmargin at screen {:.6f}\n"
                         "set bmargin at screen {:.6f}\nset tmargin at screen {:.6f}\n",
                         low.x / page_width_pt, high.x / page_width_pt, low.y / height_pt_, high.y / height_pt_);
  panels_ += commands;
}

std::string Page::data(const std::string& rows) {
  std::string name = fmt::format("$d{}", ++blocks_);
  data_ += name + " << EOD\n" + rows + "EOD\n";
  return name;
}

void Page::text(Point at, std::string_view text, double size_pt, Align align, int rotate_deg) {
  texts_ += fmt::format("set label {} at {:.2f},{:.2f} {} font ',{:g}'{} front\n", quoted(text), at.x, at.y,
                        align_name(align), size_pt, rotate_deg ? fmt::format(" rotate by {}", rotate_deg) : "");
}

void Page::line(Point from, Point to, const std::string& options) {
  plots_.push_back(data(fmt::format("{:.2f} {:.2f}\n{:.2f} {:.2f}\n", from.x, from.y, to.x, to.y)) + " with lines " +
                   options);
}

void Page::mark(Point at, const std::string& options) {
  plots_.push_back(data(fmt::format("{:.2f} {:.2f}\n", at.x, at.y)) + " with points " + options);
}

void Page::box(Point low, Point high, const std::string& options) {
  boxes_ += fmt::format("set object rectangle from {:.2f},{:.2f} to {:.2f},{:.2f} {}\n", low.x, low.y, high.x, high.y,
                        options);
}

void Page::box(Point low, Point high, const Fill& fill) {
  box(low, high, box_options(fill) + " lw 0.5");
  if (const std::string rows = hatch_rows(low, high, fill); !rows.empty())
    plots_.push_back(data(rows) + " with lines " + hatch_options(fill));
}

void Page::legend(const Legend& legend, Point top_left, double width_pt) {
  const double column_pt = width_pt / static_cast<double>(legend.columns());
  for (std::size_t i = 0; i < legend.entries().size(); ++i) {
    const LegendEntry& entry = legend.entries()[i];
    const std::size_t row = i / legend.columns(), column = i % legend.columns();
    const double x = top_left.x + column_pt * static_cast<double>(column);
    const double y = top_left.y - legend.row_pt() * static_cast<double>(row) - 0.5 * Legend::line_pt;
    if (!entry.line.empty()) line({x, y}, {x + 24.0, y}, entry.line);
    if (!entry.mark.empty()) mark({x + 12.0, y}, entry.mark);
    if (!entry.fill.empty()) box({x, y - 3.5}, {x + 24.0, y + 3.5}, entry.fill);
    if (entry.hatch) box({x, y - 3.5}, {x + 24.0, y + 3.5}, *entry.hatch);
    double line_y = y;
    for (const std::string& part : legend.texts()[i]) {
      text({x + Legend::sample_pt, line_y}, part, Legend::size_pt);
      line_y -= Legend::line_pt;
    }
  }
}

Chart Page::finish() {
  std::string script = data_ + "set multiplot\nunset key\n" + panels_;
  script +=
      fmt::format("unset label\nunset arrow\nunset object\nunset logscale\nunset xlabel\nunset ylabel\nunset "
                  "tics\nunset grid\nunset border\n"
                  "set lmargin at screen 0\nset rmargin at screen 1\nset bmargin at screen 0\nset tmargin at screen 1\n"
                  "set xrange [0:{:.2f}]\nset yrange [0:{:.2f}]\n",
                  page_width_pt, height_pt_);
  script += boxes_ + texts_ + "plot NaN notitle";
  for (const std::string& plot : plots_) script += ", \\\n  " + plot + " notitle";
  script += "\nunset multiplot\n";
  return {page_width_pt, height_pt_, std::move(script)};
}

Surround::Surround(const ChartText& text, const std::vector<std::string>& notes) {
  const double width = page_width_pt - 2.0 * page_margin_pt;
  if (!text.title.empty()) title_ = wrapped(text.title, title_size_pt, width);
  for (const std::string& note : notes) {
    for (std::string& part : wrapped(note, foot_size_pt, width)) foot_.push_back(std::move(part));
  }
  if (!text.source.empty()) {
    for (std::string& part : wrapped(text.source, foot_size_pt, width)) foot_.push_back(std::move(part));
  }
}

double Surround::top_pt() const { return page_margin_pt + title_line_pt * static_cast<double>(title_.size()) + 8.0; }

double Surround::bottom_pt() const { return page_margin_pt + foot_line_pt * static_cast<double>(foot_.size()) + 2.0; }

void Surround::put(Page& page) const {
  double y = page.height_pt() - page_margin_pt - 0.5 * title_line_pt;
  for (const std::string& part : title_) {
    page.text({page_margin_pt, y}, part, title_size_pt);
    y -= title_line_pt;
  }
  y = page_margin_pt + foot_line_pt * (static_cast<double>(foot_.size()) - 0.5);
  for (const std::string& part : foot_) {
    page.text({page_margin_pt, y}, part, foot_size_pt);
    y -= foot_line_pt;
  }
}

}  // namespace stile::plots::detail

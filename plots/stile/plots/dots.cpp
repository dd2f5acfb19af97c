#include <stile/plots/dots.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/errors.hpp>
#include <stile/plots/page.hpp>

namespace stile::plots {
namespace {

using namespace detail;

Range span_of(const std::vector<std::string>& categories, const std::vector<DotSeries>& series, const DotAxis& axis) {
  require(!categories.empty() && categories.size() <= 24, "a chart of dots takes 1 to 24 categories");
  require(!series.empty() && series.size() <= 16, "a chart of dots takes 1 to 16 series");
  Range span{1e300, -1e300};
  for (const DotSeries& s : series) {
    for (const Dot& d : s.dots) {
      require(d.category < categories.size(), "a dot must be in one of the categories");
      require(std::isfinite(d.range.low) && std::isfinite(d.range.high) && d.range.low <= d.value &&
                  d.value <= d.range.high,
              "a dot needs a finite range that holds its value");
      require(!axis.logarithmic || d.range.low > 0.0, "a logarithmic axis needs values > 0");
      span = {std::min(span.low, d.range.low), std::max(span.high, d.range.high)};
    }
  }
  require(span.low <= span.high, "a chart of dots needs a dot");
  for (const double line : axis.lines) span = {std::min(span.low, line), std::max(span.high, line)};
  if (axis.from_zero) span = {std::min(0.0, span.low), std::max(0.0, span.high)};
  return span;
}

std::string y_axis(const Range& span, bool logarithmic) {
  if (logarithmic) {
    const double low = std::floor(std::log10(span.low) - 1e-9), high = std::ceil(std::log10(span.high) + 1e-9);
    std::string ticks;
    for (double power = low; power <= high; power += 1.0) {
      ticks +=
          fmt::format("{}'{:.6g}' {:.6g}", ticks.empty() ? "" : ", ", std::pow(10.0, power), std::pow(10.0, power));
      for (int lead = 2; lead < 10 && power < high; ++lead)
        ticks += fmt::format(
            ", '{}' {:.6g} {}",
            high - low <= 2.0 && (lead == 2 || lead == 5) ? fmt::format("{:.6g}", lead * std::pow(10.0, power)) : "",
            lead * std::pow(10.0, power), high - low <= 2.0 && (lead == 2 || lead == 5) ? 0 : 1);
    }
    return fmt::format("set logscale y\nset yrange [{:.6g}:{:.6g}]\nset ytics ({})", std::pow(10.0, low),
                       std::pow(10.0, high), ticks);
  }
  const double width = span.high - span.low, apart = 1e-6 * std::max(1.0, std::abs(span.high));
  const double step = even_step(width > apart ? width / 5.0 : 1.0);
  const double low = step * std::floor(span.low / step + 1e-9), high = step * std::ceil(span.high / step - 1e-9);
  return fmt::format("set mytics 5\nset yrange [{:.9g}:{:.9g}]\nset ytics {:.6g}", low < high ? low : low - step,
                     low < high ? high : high + step, step);
}

}  // namespace

Chart dots_chart(const std::vector<std::string>& categories, const std::vector<DotSeries>& series, const DotAxis& axis,
                 const ChartText& text, const std::vector<std::string>& notes) {
  const Range span = span_of(categories, series, axis);
  const double page_pt = page_width_pt - 2.0 * page_margin_pt;
  std::vector<LegendEntry> entries;
  for (std::size_t s = 0; s < series.size(); ++s) {
    const LineStyle style = line_style(s);
    if (!series[s].label.empty())
      entries.push_back({series[s].label, line_options(style) + " lw 1.1",
                         fmt::format("lc rgb '{}' pt {} ps 0.75", style.colour, style.mark), ""});
  }
  const Legend legend(entries, page_pt);
  const Surround surround(text, notes);
  constexpr double frame_pt = 250.0, left_pt = 40.0, name_pt = 7.0, name_line_pt = 9.0;
  const double count = static_cast<double>(categories.size());
  const double column_pt = (page_pt - left_pt) / count;
  std::vector<std::vector<std::string>> names;
  std::size_t lines = 1;
  for (const std::string& name : categories) {
    names.push_back(wrapped(name, name_pt, column_pt - 4.0));
    lines = std::max(lines, names.back().size());
  }
  const double names_pt = 8.0 + name_line_pt * static_cast<double>(lines);
  Page page(surround.top_pt() + frame_pt + names_pt + 6.0 + legend.height_pt() + 4.0 + surround.bottom_pt());
  const double top = page.height_pt() - surround.top_pt();
  const Point low{page_margin_pt + left_pt, top - frame_pt}, high{page_width_pt - page_margin_pt, top};

  std::string plots;
  for (double line : axis.lines) {
    plots += fmt::format("{} with lines lc rgb '#000000' dt (2,3) lw 1.1 notitle, \\\n  ",
                         page.data(fmt::format("0 {0:.6g}\n{1} {0:.6g}\n", line, categories.size())));
  }
  for (std::size_t c = 1; c < categories.size(); ++c) {
    plots += fmt::format("{} using 1:2 axes x1y2 with lines lc rgb '#C0C0C0' lw 0.6 dt solid notitle, \\\n  ",
                         page.data(fmt::format("{0} 0\n{0} 1\n", c)));
  }
  for (std::size_t s = 0; s < series.size(); ++s) {
    if (series[s].dots.empty()) continue;
    const LineStyle style = line_style(s);
    std::string rows;
    for (const Dot& d : series[s].dots) {
      const double x =
          static_cast<double>(d.category) + (static_cast<double>(s) + 1.0) / (static_cast<double>(series.size()) + 1.0);
      rows += fmt::format("{:.6g} {:.6g} {:.6g} {:.6g}\n", x, d.value, d.range.low, d.range.high);
    }
    plots += fmt::format("{} using 1:2:3:4 with yerrorbars {} lw 1.1 pt {} ps 0.75 notitle, \\\n  ", page.data(rows),
                         line_options(style), style.mark);
  }
  page.panel(
      low, high,
      fmt::format("set border 15 lw 0.6\nset xrange [0:{}]\nset y2range [0:1]\nunset xtics\nset bars 0.5\n{} font ',7' "
                  "nomirror "
                  "scale 0.5 offset 0.3,0\nset grid ytics lc rgb '#D0D0D0' lw 0.4 dt solid\nplot {}NaN notitle\n",
                  categories.size(), y_axis(span, axis.logarithmic), plots));
  for (std::size_t c = 0; c < categories.size(); ++c) {
    for (std::size_t k = 0; k < names[c].size(); ++k)
      page.text(
          {low.x + column_pt * (static_cast<double>(c) + 0.5), low.y - 8.0 - name_line_pt * static_cast<double>(k)},
          names[c][k], name_pt, Align::centre);
  }
  page.text({page_margin_pt + 4.0, 0.5 * (low.y + high.y)}, axis.title, 7.0, Align::centre, 90);
  page.legend(legend, {page_margin_pt, surround.bottom_pt() + legend.height_pt()}, page_pt);
  surround.put(page);
  return page.finish();
}

}  // namespace stile::plots

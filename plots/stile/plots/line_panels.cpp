#include <stile/plots/line_panels.hpp>

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/errors.hpp>
#include <stile/plots/panels.hpp>

namespace stile::plots::detail {

namespace {

constexpr double left_room_pt = 44.0, right_room_pt = 10.0;  // beside a frame

/// The least of 1, 2, 5 times a power of ten that gives no more ticks than `most`.
double step_for(double width, double most) {
  const double least = width / std::max(1.0, most);
  const double down = even_step(least);
  for (const double factor : {1.0, 2.0, 2.5, 5.0}) {
    const double step = even_step(factor * down);
    if (step >= least * (1.0 - 1e-9)) return step;
  }
  return 5.0 * down;
}

}  // namespace

FrequencyAxis::FrequencyAxis(std::vector<double> all, double width_pt) : width_pt_(width_pt) {
  require(!all.empty(), "a chart over frequency needs a frequency");
  std::sort(all.begin(), all.end());
  require(all.front() > 0.0 && std::isfinite(all.back()), "frequencies must be > 0 and finite");
  all.erase(std::unique(all.begin(), all.end()), all.end());
  std::vector<double> gaps;
  for (std::size_t n = 1; n < all.size(); ++n) gaps.push_back(all[n] - all[n - 1]);
  std::sort(gaps.begin(), gaps.end());
  constexpr double wide = 8.0;
  const double limit_hz = gaps.empty() ? 0.0 : wide * gaps[gaps.size() / 2];
  groups_hz_.push_back({all.front(), all.front()});
  for (std::size_t n = 1; n < all.size(); ++n) {
    if (all[n] - all[n - 1] > limit_hz) groups_hz_.push_back({all[n], all[n]});
    groups_hz_.back().high = all[n];
  }
  constexpr double margin_pt = 11.0;
  margin_ =
      groups_hz_.size() == 1 ? 0.0 : std::min(0.25, margin_pt * static_cast<double>(groups_hz_.size()) / width_pt);
}

std::size_t FrequencyAxis::group(double frequency_hz) const {
  const auto found =
      std::find_if(groups_hz_.begin(), groups_hz_.end(), [&](const Range& g) { return frequency_hz <= g.high; });
  return std::min(static_cast<std::size_t>(found - groups_hz_.begin()), groups_hz_.size() - 1);
}

double FrequencyAxis::x(double frequency_hz) const {
  const std::size_t g = group(frequency_hz);
  const double width = groups_hz_[g].high - groups_hz_[g].low;
  const double share = width > 0.0 ? (frequency_hz - groups_hz_[g].low) / width : 0.5;
  return static_cast<double>(g) + margin_ + (1.0 - 2.0 * margin_) * share;
}

std::string FrequencyAxis::commands() const {
  constexpr double tick_pt = 34.0;
  constexpr int minor = 5;  // parts of a step
  std::string ticks;
  for (std::size_t g = 0; g < groups_hz_.size(); ++g) {
    const double low = 1e-6 * groups_hz_[g].low, high = 1e-6 * groups_hz_[g].high;
    const auto add = [&](double mhz, const std::string& text) {
      ticks += fmt::format("{}'{}' {:.6g}", ticks.empty() ? "" : ", ", text, x(1e6 * mhz));
    };
    if (single(g)) {
      add(low, fmt::format("{:.6g}", low));
      continue;
    }
    if (groups_hz_.size() > 2) {  // narrow ones: their ends
      add(low, fmt::format("{:.5g}", low));
      add(high, fmt::format("{:.5g}", high));
      continue;
    }
    const double width_pt = width_pt_ / static_cast<double>(groups_hz_.size()) * (1.0 - 2.0 * margin_);
    const double step = step_for(high - low, width_pt / tick_pt);
    for (double n = std::ceil(low / step * (1.0 - 1e-12)); n * step <= high * (1.0 + 1e-12); n += 1.0) {
      add(n * step, fmt::format("{:.6g}", n * step));
    }
    const double part = step / minor;
    for (double n = std::ceil(low / part * (1.0 - 1e-12)); n * part <= high * (1.0 + 1e-12); n += 1.0)
      ticks += fmt::format(", '' {:.6g} 1", x(1e6 * n * part));
  }
  return fmt::format("set xrange [0:{}]\nset xtics ({}) font ',7' nomirror scale 0.5 offset 0,0.15\n",
                     groups_hz_.size(), ticks);
}

namespace {

template <class Coordinate>
Range range_of(const LinePanel& panel, const Coordinate& coordinate) {
  Range range{1e300, -1e300};
  for (const PanelLine& line : panel.lines) {
    for (const std::vector<Point>& piece : line.pieces) {
      for (const Point& p : piece) {
        require(std::isfinite(p.x) && std::isfinite(p.y), "the points of a line must be finite");
        range.low = std::min(range.low, coordinate(p));
        range.high = std::max(range.high, coordinate(p));
      }
    }
  }
  require(range.low <= range.high, "a panel needs a point");
  return range;
}

/// A value's place on an axis that is logarithmic both ways from 0.
double symmetric_log(double y) {
  constexpr double even_within = 10.0;
  return std::copysign(std::log10(1.0 + std::abs(y) / even_within), y);
}

/// Ticks at 0 and at 10, 100 ... both ways, where these are few at 2 and 5 times these as well; small ones between.
std::string symmetric_log_commands(const Range& r) {
  const double most = std::max(std::abs(r.low), std::abs(r.high));
  const bool few = r.low * r.high > 0.0 && most < 200.0 * std::min(std::abs(r.low), std::abs(r.high));
  double low = -1e300, high = 1e300;
  std::string ticks = "'0' 0";
  for (double power = 10.0; power <= 10.0 * most; power *= 10.0) {
    for (const double sign : {-1.0, 1.0}) {
      for (int lead = 1; lead < 10; ++lead) {
        const double tick = sign * power * lead;
        if (tick <= r.low) low = std::max(low, tick);
        if (tick >= r.high) high = std::min(high, tick);
        const bool named = lead == 1 || (few && (lead == 2 || lead == 5));
        ticks += named ? fmt::format(", '{:.6g}' {:.6g}", tick, symmetric_log(tick))
                       : fmt::format(", '' {:.6g} 1", symmetric_log(tick));
      }
    }
  }
  if (r.low >= 0.0) low = std::max(low, 0.0);
  if (r.high <= 0.0) high = std::min(high, 0.0);
  return fmt::format("set yrange [{:.6g}:{:.6g}]\nset ytics ({})", symmetric_log(low), symmetric_log(high), ticks);
}

std::string y_commands(const LinePanel& panel) {
  Range r = range_of(panel, [](const Point& p) { return p.y; });
  if (panel.symmetric_log) return symmetric_log_commands(r);
  if (panel.log_y) {
    require(r.low > 0.0, "a logarithmic axis needs values > 0");
    std::string ticks;
    const double decades = std::log10(r.high / r.low);
    double low = r.low, high = r.high;
    for (int power = static_cast<int>(std::floor(std::log10(r.low)));
         power <= static_cast<int>(std::ceil(std::log10(r.high))); ++power) {
      for (const double lead : {1.0, 2.0, 5.0}) {
        const double tick = lead * std::pow(10.0, power);
        if (tick <= r.low) low = tick;
        if (tick >= r.high && high == r.high) high = tick;
        if (lead == 1.0 || decades < 3.0) ticks += fmt::format("{}{:.6g}", ticks.empty() ? "" : ", ", tick);
      }
      for (int lead = 2; lead < 10; ++lead) ticks += fmt::format(", '' {:.6g} 1", lead * std::pow(10.0, power));
    }
    return fmt::format("set logscale y\nset yrange [{:.6g}:{:.6g}]\nset ytics ({})", low, high, ticks);
  }
  if (panel.from_zero) r.low = std::min(0.0, r.low);
  double width = r.high - r.low;
  if (width <= 1e-9 * std::max(std::abs(r.low), std::abs(r.high)))
    width = std::max(1e-9, 0.1 * std::max(std::abs(r.low), std::abs(r.high)));
  const double step = even_step(width / 3.0);
  return fmt::format("set yrange [{:.9g}:{:.9g}]\nset ytics {:.6g}", step * std::floor(r.low / step + 1e-9),
                     step * std::max(std::ceil(r.high / step - 1e-9), std::floor(r.low / step + 1e-9) + 1.0), step);
}

std::string x_commands(const LinePanel& panel, double width_pt) {
  Range r = range_of(panel, [](const Point& p) { return p.x; });
  if (r.high <= r.low) r = {r.low - 0.5, r.high + 0.5};
  return fmt::format("set xrange [{:.9g}:{:.9g}]\nset xtics {:.6g} font ',7' nomirror scale 0.5 offset 0,0.15\n", r.low,
                     r.high, even_step((r.high - r.low) / (width_pt > 300.0 ? 6.0 : 3.0)));
}

/// Of the n-th point that belongs to no line; seven before one comes back.
std::string point_options(std::size_t n) {
  constexpr std::array<int, 7> marks{6, 2, 7, 1, 12, 3, 10};
  return fmt::format("lc rgb '#000000' pt {} ps 0.8", marks[n % marks.size()]);
}

}  // namespace

double line_panel_width_pt(const std::vector<std::string>& titles, const LineLayout& layout) {
  return PanelGrid(titles, layout.need_pt, left_room_pt, right_room_pt).panel_width_pt;
}

Chart line_chart(const std::vector<LinePanel>& panels, const std::vector<std::string>& labels, const LineLayout& layout,
                 const ChartText& text, const std::vector<std::string>& notes) {
  require(!panels.empty(), "a chart of lines needs a panel");
  std::vector<std::string> titles;
  for (const LinePanel& panel : panels) titles.push_back(panel.title);
  std::vector<LegendEntry> entries;
  for (std::size_t i = 0; i < labels.size(); ++i) {
    if (i >= layout.points_from) {
      entries.push_back({labels[i], "", point_options(i - layout.points_from), ""});
      continue;
    }
    const LineStyle style = line_style(i);
    entries.push_back({labels[i], line_options(style) + " lw 1.3",
                       fmt::format("lc rgb '{}' pt {} ps 0.55", style.colour, style.mark), ""});
  }
  const double page_pt = page_width_pt - 2.0 * page_margin_pt;
  const Legend legend(entries, page_pt);
  const Surround surround(text, notes);
  const PanelGrid grid(titles, layout.need_pt, left_room_pt, right_room_pt);
  constexpr double ticks_pt = 14.0, axis_title_pt = 12.0, row_gap_pt = 6.0;
  const double row_pt = grid.head_pt + layout.frame_pt + ticks_pt + axis_title_pt + row_gap_pt;
  Page page(surround.top_pt() + row_pt * static_cast<double>(grid.rows) + legend.height_pt() + 4.0 +
            surround.bottom_pt());

  for (std::size_t p = 0; p < panels.size(); ++p) {
    const LinePanel& panel = panels[p];
    const double top = page.height_pt() - surround.top_pt() - row_pt * static_cast<double>(grid.row(p)) - grid.head_pt;
    const std::string x = panel.x_commands.empty() ? x_commands(panel, grid.panel_width_pt) : panel.x_commands;
    const std::string commands = fmt::format("set border 15 lw 0.6\n{}{} font ',7' nomirror scale 0.5 offset 0.1,0\n"
                                             "set grid xtics ytics lc rgb '#D0D0D0' lw 0.4 dt solid\n",
                                             x, y_commands(panel));
    std::string plots;
    for (const Range& r : panel.shaded) {
      plots += fmt::format(
          "{} using 1:2:3 axes x1y2 with filledcurves lc rgb '#E4E4E4' fs solid 1.0 noborder notitle, \\\n  ",
          page.data(fmt::format("{:.6g} 0 1\n{:.6g} 0 1\n", r.low, r.high)));
    }
    for (std::size_t g = 1; g < panel.groups; ++g) {
      plots += fmt::format("{} using 1:2 axes x1y2 with lines lc rgb '#808080' lw 0.8 dt solid notitle, \\\n  ",
                           page.data(fmt::format("{0} 0\n{0} 1\n", g)));
    }
    for (const PanelLine& line : panel.lines) {
      const LineStyle style = line_style(line.style);
      for (const std::vector<Point>& piece : line.pieces) {
        std::string rows;
        for (const Point& point : piece)
          rows += fmt::format("{:.9g} {:.6g}\n", point.x, panel.symmetric_log ? symmetric_log(point.y) : point.y);
        if (line.style >= layout.points_from) {
          plots += fmt::format("{} with points {} notitle, \\\n  ", page.data(rows),
                               point_options(line.style - layout.points_from));
          continue;
        }
        plots += fmt::format("{} with linespoints {} lw 1.3 pt {} ps 0.55 pi {} notitle, \\\n  ", page.data(rows),
                             line_options(style), style.mark, std::max<std::size_t>(1, piece.size() / 5));
      }
    }
    page.panel({grid.x(p), top - layout.frame_pt}, {grid.x(p) + grid.panel_width_pt, top},
               commands + fmt::format("set y2range [0:1]\nplot {}NaN notitle\n", plots));
    grid.put_title(page, p, top);
    page.text({grid.x(p) + 0.5 * grid.panel_width_pt, top - layout.frame_pt - ticks_pt - 5.0}, panel.x_title, 7.0,
              Align::centre);
    page.text({grid.x(p) - grid.left_pt + 6.0, top - 0.5 * layout.frame_pt}, panel.y_title, 7.0, Align::centre, 90);
  }
  page.legend(legend, {page_margin_pt, surround.bottom_pt() + legend.height_pt()}, page_pt);
  surround.put(page);
  return page.finish();
}

}  // namespace stile::plots::detail

#include <stile/plots/design.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include <stile/base/errors.hpp>
#include <stile/base/quantity.hpp>
#include <stile/plots/contours.hpp>
#include <stile/plots/raster.hpp>

namespace stile::plots {
namespace {

using namespace detail;

constexpr double none = std::numeric_limits<double>::quiet_NaN();
constexpr double near_db = 0.5;
constexpr const char* near_line = "lc rgb '#000000' lw 1.8 dt solid";
constexpr const char* held_line = "lc rgb '#D55E00' lw 1.6 dt (6,3)";

bool rises_evenly(const std::vector<double>& all) {
  if (all.size() < 2) return false;
  const double step = (all.back() - all.front()) / static_cast<double>(all.size() - 1);
  for (std::size_t n = 1; n < all.size(); ++n) {
    if (!(std::abs(all[n] - all[n - 1] - step) <= 1e-6 * step)) return false;
  }
  return step > 0.0;
}

/// Between the nodes of a grid, linear along its sides.
std::vector<double> finer(const std::vector<double>& at_nodes, std::size_t columns, std::size_t rows,
                          std::size_t times) {
  std::vector<double> all;
  for (std::size_t r = 0; r <= (rows - 1) * times; ++r) {
    for (std::size_t c = 0; c <= (columns - 1) * times; ++c) {
      const std::size_t c0 = std::min(c / times, columns - 2), r0 = std::min(r / times, rows - 2);
      const double x = static_cast<double>(c) / static_cast<double>(times) - static_cast<double>(c0),
                   y = static_cast<double>(r) / static_cast<double>(times) - static_cast<double>(r0);
      const auto node = [&](std::size_t column, std::size_t row) { return at_nodes[row * columns + column]; };
      const double low = (1.0 - x) * node(c0, r0) + x * node(c0 + 1, r0),
                   high = (1.0 - x) * node(c0, r0 + 1) + x * node(c0 + 1, r0 + 1);
      all.push_back((1.0 - y) * low + y * high);
    }
  }
  return all;
}

}  // namespace

Chart lengths_map_chart(const design::LengthMap& map, bool held, const ChartText& text) {
  require(rises_evenly(map.whip_m) && rises_evenly(map.wire_m), "a map of lengths needs even lengths that rise");
  const std::size_t columns = map.whip_m.size(), rows = map.wire_m.size();
  require(map.objective_db.size() == columns * rows && map.held_bands.size() == columns * rows,
          "a map of lengths needs one loss and one count a place");
  // Between the steps of a brief lengths may be better than the best of the steps.
  constexpr double told_db = 0.005;
  double least_db = map.best_db;
  for (const double db : map.objective_db) least_db = std::min(least_db, db);
  const bool better_between = least_db < map.best_db - told_db;
  const std::string than = better_between ? "the least of this map" : "the best";
  std::vector<double> more_db, lacks;
  double most_db = 0.0;
  bool nothing = false;
  for (std::size_t n = 0; n < map.objective_db.size(); ++n) {
    const double more = map.objective_db[n] - least_db;
    more_db.push_back(std::isfinite(more) ? more : none);
    nothing = nothing || !std::isfinite(more);
    if (std::isfinite(more)) most_db = std::max(most_db, more);
    lacks.push_back(static_cast<double>(map.best_held) - static_cast<double>(map.held_bands[n]));
  }
  require(std::any_of(more_db.begin(), more_db.end(), [](double v) { return std::isfinite(v); }),
          "a map of lengths needs a place that is finite");
  const double shade_db = std::clamp(std::ceil(most_db), 1.0, 12.0);
  constexpr std::size_t times = 12;
  const std::size_t fine_columns = (columns - 1) * times + 1, fine_rows = (rows - 1) * times + 1;
  const auto side = [](const std::vector<double>& all, std::size_t cells) {
    const double half = 0.5 * (all.back() - all.front()) / static_cast<double>(cells - 1);
    return Range{all.front() - half, all.back() + half};
  };
  const Range x = side(map.whip_m, fine_columns), y = side(map.wire_m, fine_rows);
  RasterPanel panel;
  panel.grid = {x.low, x.high, y.low, y.high, fine_columns, fine_rows};
  const std::vector<double> fine_db = finer(more_db, columns, rows, times);
  for (const double db : fine_db) panel.shade.push_back(db / shade_db);
  RasterStyle style;
  for (const double level : {1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0, 12.0}) {
    if (level <= shade_db) panel.contours.push_back({level / shade_db, fmt::format("+{:.0f} dB", level)});
  }
  const auto add_lines = [&](const std::vector<double>& field, double level, const char* options,
                             const std::string& legend) {
    bool any = false;
    for (std::vector<Point>& line : contour_lines(field, fine_columns, fine_rows, level)) {
      for (Point& p : line) p = {panel.grid.x(p.x), panel.grid.y(p.y)};
      panel.lines.push_back({std::move(line), options});
      any = true;
    }
    if (any) style.legend.push_back({legend, options, "", ""});
  };
  add_lines(fine_db, near_db, near_line, fmt::format("{:.1f} dB more than {}", near_db, than));
  if (held)
    add_lines(finer(lacks, columns, rows, times), 0.5, held_line, "edge of where as many bands hold as of the best");
  panel.marks.push_back(
      {{map.best_whip_m, map.best_wire_m},
       fmt::format("{}: {:.2f} dB, whip {}, wire {}", better_between ? "best of the steps" : "best", map.best_db,
                   print_quantity(map.best_whip_m, Unit::metre, 3), print_quantity(map.best_wire_m, Unit::metre, 3))});
  style.legend.push_back(
      {better_between ? "the best of the steps" : "the best", "", "lc rgb '#000000' pt 7 ps 0.75", ""});
  style.height_by_width = 0.62;
  style.x_ticks = even_ticks(map.whip_m.front(), map.whip_m.back(), 8.0);
  style.y_ticks = even_ticks(map.wire_m.front(), map.wire_m.back(), 8.0);
  style.x_label = "whip, m";
  style.y_label = "trailing wire, m";
  style.key_label = "dB more than " + than;
  for (const Tick& tick : even_ticks(0.0, shade_db, 6.0))
    style.key_ticks.push_back(
        {tick.at / shade_db, tick.at == shade_db && most_db > shade_db ? tick.text + " or more" : tick.text});
  style.notes.push_back(
      fmt::format("Solved at {} by {} lengths, every {} of whip and {} of wire; between them linear: what is "
                  "narrower does not show.",
                  columns, rows, print_quantity(map.whip_m[1] - map.whip_m[0], Unit::metre, 2),
                  print_quantity(map.wire_m[1] - map.wire_m[0], Unit::metre, 2)));
  if (nothing) style.notes.emplace_back("White: no power leaves there in some condition, or no match is possible.");
  return raster_chart({panel}, style, text);
}

Chart band_power_chart(const std::vector<std::string>& bands, const std::vector<BandPower>& stations,
                       const std::string& power, const ChartText& text) {
  require(!bands.empty() && bands.size() <= 30 && !stations.empty(),
          "a chart of bands takes 1 to 30 bands and a station");
  double low = HUGE_VAL, high = 0.0;
  const auto take = [&](double power_w) {
    if (!(power_w > 0.0) || !std::isfinite(power_w)) return;
    low = std::min(low, power_w), high = std::max(high, power_w);
  };
  bool walked = false, none_leaves = false;
  for (const BandPower& s : stations) {
    require(s.stated_w.size() == bands.size() && (s.walks_w.empty() || s.walks_w.size() == bands.size()),
            "a chart of bands needs one power a band");
    for (const double power_w : s.stated_w) {
      take(power_w);
      none_leaves = none_leaves || power_w == 0.0;
    }
    for (const auto& range_w : s.walks_w) {
      if (!range_w) continue;
      take(range_w->low), take(range_w->high);
      none_leaves = none_leaves || range_w->low == 0.0;
      walked = true;
    }
  }
  require(high > 0.0, "a chart of bands needs a power above 0");
  // From a figure of the axis to a figure of the axis.
  const bool wide = high > 1e3 * low;
  const auto decades = [](double power_w) { return std::floor(std::log10(power_w) + 1e-9); };
  std::vector<double> ticks;
  for (double decade = decades(low); decade <= decades(high) + 1.0; decade += 1.0) {
    for (const double lead : {1.0, 2.0, 5.0}) {
      if (!wide || lead == 1.0) ticks.push_back(lead * std::pow(10.0, decade));
    }
  }
  constexpr double beyond = 1.05;  // a mark on the frame is cut
  while (ticks.size() > 2 && ticks[1] * beyond <= low) ticks.erase(ticks.begin());
  while (ticks.size() > 2 && ticks[ticks.size() - 2] >= high * beyond) ticks.pop_back();
  low = std::min(ticks.front(), low / beyond), high = ticks.back();

  std::vector<LegendEntry> entries;
  for (std::size_t n = 0; n < stations.size(); ++n) {
    const LineStyle style = line_style(n);
    entries.push_back({stations[n].label, "", fmt::format("lc rgb '{}' pt {} ps 0.9", style.colour, style.mark), ""});
  }
  if (walked)
    entries.push_back(
        {"on the walks: from the median down to what nine of ten reach", "lc rgb '#000000' lw 1.6 dt solid", "", ""});
  const double page_pt = page_width_pt - 2.0 * page_margin_pt;
  const Legend legend(entries, page_pt);
  std::vector<std::string> notes{"Marks: as stated, in the worst normal condition over the part of each band in use."};
  if (none_leaves) notes.emplace_back("Where nothing leaves there is no mark, and a line goes on below the frame.");
  const Surround surround(text, notes);
  constexpr double frame_pt = 230.0, left_pt = 46.0, below_pt = 30.0;
  Page page(surround.top_pt() + frame_pt + below_pt + legend.height_pt() + 6.0 + surround.bottom_pt());
  const double top = page.height_pt() - surround.top_pt();

  std::string x_ticks, y_ticks, plots;
  for (std::size_t b = 0; b < bands.size(); ++b)
    x_ticks += fmt::format("{}{} {}", b == 0 ? "" : ", ", quoted(bands[b]), b);
  for (const double at : ticks)
    y_ticks += fmt::format("{}{} {:.9g}", y_ticks.empty() ? "" : ", ", quoted(fmt::format("{:.3g}", at)), at);
  const double place = 0.72 / static_cast<double>(stations.size());
  for (std::size_t n = 0; n < stations.size(); ++n) {
    const LineStyle style = line_style(n);
    std::string marks, bars;
    for (std::size_t b = 0; b < bands.size(); ++b) {
      const double x =
          static_cast<double>(b) + place * (static_cast<double>(n) - 0.5 * static_cast<double>(stations.size() - 1));
      if (stations[n].stated_w[b] > 0.0)
        marks += fmt::format("{:.6g} {:.6g}\n", x - 0.15 * place, stations[n].stated_w[b]);
      if (stations[n].walks_w.empty() || !stations[n].walks_w[b] || !(stations[n].walks_w[b]->high > 0.0)) continue;
      const Range w{std::max(stations[n].walks_w[b]->low, low), stations[n].walks_w[b]->high};
      const double at = x + 0.2 * place, cap = std::min(0.03, 0.14 * place);
      bars += fmt::format("{0:.6g} {1:.6g}\n{0:.6g} {2:.6g}\n\n{3:.6g} {2:.6g}\n{4:.6g} {2:.6g}\n\n", at, w.low, w.high,
                          at - cap, at + cap);
    }
    if (!bars.empty())
      plots += fmt::format("{} with lines lc rgb '{}' lw 1.6 dt solid notitle, \\\n  ", page.data(bars), style.colour);
    if (!marks.empty())
      plots += fmt::format("{} with points lc rgb '{}' pt {} ps 0.9 notitle, \\\n  ", page.data(marks), style.colour,
                           style.mark);
  }
  for (std::size_t b = 1; b < bands.size(); ++b)
    plots += fmt::format("{} with lines lc rgb '#D0D0D0' lw 0.6 dt solid notitle, \\\n  ",
                         page.data(fmt::format("{0} {1:.6g}\n{0} {2:.6g}\n", static_cast<double>(b) - 0.5, low, high)));
  page.panel({page_margin_pt + left_pt, top - frame_pt}, {page_margin_pt + page_pt - 8.0, top},
             fmt::format("set border 15 lw 0.6\nset logscale y\nset xrange [-0.5:{:.3f}]\nset yrange [{:.6g}:{:.6g}]\n"
                         "set xtics ({}) font ',8' nomirror scale 0 offset 0,0.15\n"
                         "set ytics ({}) font ',7' nomirror scale 0.5 offset 0.4,0\n"
                         "set grid ytics lc rgb '#D0D0D0' lw 0.4 dt solid\nplot {}NaN notitle\n",
                         static_cast<double>(bands.size()) - 0.5, low, high, x_ticks, y_ticks, plots));
  page.text({page_margin_pt + 8.0, top - 0.5 * frame_pt}, power, 7.5, Align::centre, 90);
  page.text({page_margin_pt + 0.5 * (page_pt + left_pt), top - frame_pt - 22.0}, "band", 7.5, Align::centre);
  page.legend(legend, {page_margin_pt, surround.bottom_pt() + legend.height_pt()}, page_pt);
  surround.put(page);
  return page.finish();
}

}  // namespace stile::plots

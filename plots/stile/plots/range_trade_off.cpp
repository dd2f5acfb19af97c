#include <stile/plots/range_trade_off.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/errors.hpp>
#include <stile/plots/page.hpp>

namespace stile::plots {
namespace {

using namespace detail;

constexpr double top_swr = 100.0;

}  // namespace

Chart trade_off_chart(const std::vector<TradeOffPoint>& points, double swr_limit, const ChartText& text) {
  require(!points.empty(), "a trade-off needs a point");
  require(swr_limit > 1.0 && std::isfinite(swr_limit), "the SWR limit must be > 1 and finite");
  for (std::size_t i = 0; i < points.size(); ++i) {
    require(points[i].worst_swr >= 1.0, "an SWR must be >= 1");
    require(i == 0 || points[i].relays > points[i - 1].relays,
            "the points of a trade-off must have rising numbers of relays");
  }
  const bool above =
      std::any_of(points.begin(), points.end(), [](const TradeOffPoint& p) { return p.worst_swr > top_swr; });
  std::vector<std::string> notes;
  if (above) notes.emplace_back("Arrows at the top edge: SWR above 100.");
  const double page_pt = page_width_pt - 2.0 * page_margin_pt;
  const std::string limit_line = "lc rgb '#000000' dt (2,3) lw 1.1", curve = "lc rgb '#0072B2' dt solid lw 1.3";
  const Legend legend({{"least worst SWR over the loads", curve, "lc rgb '#0072B2' pt 7 ps 0.7", ""},
                       {fmt::format("limit, SWR {:.4g}", swr_limit), limit_line, "", ""},
                       {"fewest relays within the limit", "", "lc rgb '#D55E00' pt 6 ps 1.7 lw 1.6", ""}},
                      page_pt);
  const Surround surround(text, notes);
  constexpr double frame_pt = 250.0, ticks_pt = 14.0, left = page_margin_pt + 30.0,
                   right = page_width_pt - page_margin_pt - 4.0;
  const double first = static_cast<double>(points.front().relays) - 0.7,
               last = static_cast<double>(points.back().relays) + 0.7;
  // What the relays are split into stands below their number, word under word.
  constexpr double name_pt = 6.5, line_pt = 8.0;
  std::vector<std::vector<std::string>> names;
  std::size_t lines = 0;
  for (const TradeOffPoint& p : points) {
    names.push_back(p.name.empty() ? std::vector<std::string>{}
                                   : wrapped(p.name, name_pt, (right - left) / (last - first) - 3.0));
    lines = std::max(lines, names.back().size());
  }
  const double axis_pt = 14.0 + line_pt * static_cast<double>(lines);
  Page page(surround.top_pt() + frame_pt + ticks_pt + axis_pt + legend.height_pt() + 6.0 + surround.bottom_pt());
  const double top = page.height_pt() - surround.top_pt();
  const Point low{left, top - frame_pt}, high{right, top};
  std::string rows;
  std::string arrows;
  for (const TradeOffPoint& p : points) {
    if (p.worst_swr <= top_swr) rows += fmt::format("{} {:.6g}\n", p.relays, p.worst_swr);
    if (p.worst_swr > top_swr) arrows += fmt::format("{} 75 0 22\n", p.relays);
  }
  const auto within =
      std::find_if(points.begin(), points.end(), [&](const TradeOffPoint& p) { return p.worst_swr <= swr_limit; });
  std::string commands =
      fmt::format("set border 15 lw 0.6\nset logscale y\nset xrange [{:.4g}:{:.4g}]\nset yrange [1:100]\n"
                  "set xtics {} font ',7' nomirror scale 0.5 offset 0,0.15\n"
                  "set ytics (1, 1.5, 2, 3, 5, 10, 20, 50, 100) font ',7' nomirror scale 0.5 offset 0.6,0\n"
                  "set grid xtics ytics lc rgb '#D0D0D0' lw 0.4 dt solid\nplot ",
                  first, last, last - first > 16.0 ? 2 : 1);
  if (swr_limit <= top_swr) {
    commands += fmt::format("{} with lines {} notitle, \\\n  ",
                            page.data(fmt::format("{:.4g} {:.6g}\n{:.4g} {:.6g}\n", first, swr_limit, last, swr_limit)),
                            limit_line);
  }
  if (!arrows.empty())
    commands +=
        fmt::format("{} with vectors size screen 0.006,25 filled lc rgb '#0072B2' lw 1.2 dt solid notitle, \\\n  ",
                    page.data(arrows));
  if (!rows.empty())
    commands += fmt::format("{} with linespoints {} pt 7 ps 0.7 notitle, \\\n  ", page.data(rows), curve);
  if (within != points.end()) {
    commands += fmt::format("{} with points lc rgb '#D55E00' pt 6 ps 1.7 lw 1.6 notitle, \\\n  ",
                            page.data(fmt::format("{} {:.6g}\n", within->relays, within->worst_swr)));
  }
  page.panel(low, high, commands + "NaN notitle\n");
  for (std::size_t n = 0; n < points.size(); ++n) {
    const double x = low.x + (high.x - low.x) * (static_cast<double>(points[n].relays) - first) / (last - first);
    for (std::size_t k = 0; k < names[n].size(); ++k)
      page.text({x, low.y - ticks_pt - 2.0 - line_pt * static_cast<double>(k)}, names[n][k], name_pt, Align::centre);
  }
  page.text({0.5 * (low.x + high.x), low.y - ticks_pt - axis_pt + 8.0}, "relays", 7.5, Align::centre);
  page.text({page_margin_pt + 4.0, 0.5 * (low.y + high.y)}, "worst SWR over the loads", 7.5, Align::centre, 90);
  page.legend(legend, {page_margin_pt, surround.bottom_pt() + legend.height_pt()}, page_pt);
  surround.put(page);
  return page.finish();
}

}  // namespace stile::plots

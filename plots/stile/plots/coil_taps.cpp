#include <stile/plots/coil_taps.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/errors.hpp>
#include <stile/plots/page.hpp>

namespace stile::plots {

using namespace detail;

Chart coil_taps_chart(const std::vector<TapBar>& bars, double turns, double pitch_m, const ChartText& text) {
  require(!bars.empty(), "a chart of taps needs a bar");
  require(turns > 0.0 && std::isfinite(turns) && pitch_m > 0.0 && std::isfinite(pitch_m),
          "turns and pitch must be > 0 and finite");
  for (const TapBar& bar : bars)
    require(bar.turns >= 0.0 && bar.turns <= turns * (1.0 + 1e-9), "a tap must lie on the coil");

  const char* used = "fc rgb '#000000' fs solid 1.0 border lc rgb '#000000'";
  const char* shorted = "fc rgb '#D55E00' fs pattern 4 border lc rgb '#000000'";
  const char* open = "fc rgb '#FFFFFF' fs solid 1.0 border lc rgb '#000000'";
  std::vector<LegendEntry> entries{{"turns in use", "", "", used}};
  if (std::any_of(bars.begin(), bars.end(), [&](const TapBar& b) { return !b.shorted && b.turns < turns; }))
    entries.push_back({"unused, open", "", "", open});
  if (std::any_of(bars.begin(), bars.end(), [&](const TapBar& b) { return b.shorted && b.turns < turns; }))
    entries.push_back({"unused, shorted", "", "", shorted});

  constexpr double bar_pt = 9.0, label_size_pt = 7.5, small_pt = 6.5, row_pt = 27.0, axis_pt = 26.0, right_pt = 62.0;
  const Legend legend(entries, page_width_pt - 2.0 * page_margin_pt);
  const Surround surround(text, {});
  const double left = page_margin_pt + 4.0, right = page_width_pt - page_margin_pt - right_pt,
               rows_pt = row_pt * static_cast<double>(bars.size());
  Page page(surround.top_pt() + axis_pt + rows_pt + axis_pt + legend.height_pt() + 6.0 + surround.bottom_pt());
  const double top = page.height_pt() - surround.top_pt() - axis_pt, bottom = top - rows_pt;
  const auto x = [&](double turn) { return left + (right - left) * turn / turns; };

  const auto axis = [&](double y, double direction, double unit, const char* name) {
    page.line({left, y}, {right, y}, "lc rgb '#000000' lw 0.6");
    const double step = even_step(turns * unit / 6.0);
    for (int i = 0; i * step <= turns * unit * (1.0 + 1e-9); ++i) {
      const double at = x(i * step / unit);
      page.line({at, y}, {at, y + 3.0 * direction}, "lc rgb '#000000' lw 0.6");
      page.text({at, y + 9.0 * direction}, fmt::format("{:.{}f}", i * step, step_decimals(step)), 7.0, Align::centre);
    }
    page.text({right + 8.0, y + 4.0 * direction}, name, 7.0);
  };
  axis(top, 1.0, 1.0, "turns");
  axis(bottom, -1.0, 1e3 * pitch_m, "mm along");
  for (std::size_t n = 0; n < bars.size(); ++n) {
    const TapBar& bar = bars[n];
    const double row_top = top - row_pt * static_cast<double>(n), low = row_top - row_pt + 3.0;
    page.text({left, row_top - 8.0}, bar.label + (bar.figures.empty() ? "" : ":"), label_size_pt);
    page.text({left + text_width_pt(bar.label + ":  ", label_size_pt), row_top - 8.0}, bar.figures, small_pt);
    if (bar.turns > 0.0) page.box({left, low}, {x(bar.turns), low + bar_pt}, used);
    if (bar.turns < turns) page.box({x(bar.turns), low}, {right, low + bar_pt}, bar.shorted ? shorted : open);
    page.text({right + 8.0, low + 0.5 * bar_pt},
              bar.turns > 0.0 ? fmt::format("{:g} turn{}", bar.turns, bar.turns == 1.0 ? "" : "s") : "none", 7.0);
  }
  page.legend(legend, {page_margin_pt, surround.bottom_pt() + legend.height_pt()},
              page_width_pt - 2.0 * page_margin_pt);
  surround.put(page);
  return page.finish();
}

}  // namespace stile::plots

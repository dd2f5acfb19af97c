#include <stile/plots/whip_power.hpp>

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/errors.hpp>
#include <stile/plots/line_panels.hpp>
#include <stile/plots/panels.hpp>

namespace stile::plots {
namespace {

using namespace detail;

struct Layer {
  const char* name;
  const char* fill;
  double wire::AntennaShares::*share;
};
/// Solid and hatched in turn, as in the loss budget.
constexpr std::array<Layer, 6> layers{
    {{"radiated", "fc rgb '#000000' fs solid 1.0 border lc rgb '#000000'", &wire::AntennaShares::radiated},
     {"ground", "fc rgb '#D55E00' fs pattern 4 border lc rgb '#000000'", &wire::AntennaShares::ground},
     {"metal", "fc rgb '#0072B2' fs solid 1.0 border lc rgb '#000000'", &wire::AntennaShares::metal},
     {"coils", "fc rgb '#009E73' fs pattern 2 border lc rgb '#000000'", &wire::AntennaShares::coil},
     {"lumps and wet base", "fc rgb '#808080' fs solid 1.0 border lc rgb '#000000'", &wire::AntennaShares::lump},
     {"person", "fc rgb '#000000' fs pattern 5 border lc rgb '#000000'", &wire::AntennaShares::person}}};

std::string range_text(double low, double high) {
  const auto percent = [](double share) { return fmt::format("{:.2g}", 100.0 * share); };
  return percent(low) == percent(high) ? percent(low) + " %" : percent(low) + " to " + percent(high) + " %";
}

}  // namespace

Chart whip_power_chart(const std::vector<WhipSweep>& conditions, const ChartText& text) {
  require(!conditions.empty() && conditions.size() <= 16, "a chart of a whip takes 1 to 16 conditions");
  std::vector<double> all;
  std::vector<std::string> titles;
  std::array<bool, layers.size()> used{};
  for (const WhipSweep& c : conditions) {
    require(!c.points.empty(), "a condition of a whip needs a point");
    double low = 1.0, high = 0.0, before = 0.0;
    for (const wire::AntennaSolution& s : c.points) {
      require(s.frequency_hz > before, "the frequencies of a whip must be > 0 and rising");
      before = s.frequency_hz;
      all.push_back(s.frequency_hz);
      low = std::min(low, s.share.radiated);
      high = std::max(high, s.share.radiated);
      for (std::size_t k = 0; k < layers.size(); ++k) used[k] = used[k] || s.share.*layers[k].share > 1e-9;
    }
    titles.push_back(fmt::format("{}: radiated {}", c.condition, range_text(low, high)));
  }
  std::vector<LegendEntry> entries;
  for (std::size_t k = 0; k < layers.size(); ++k) {
    if (used[k]) entries.push_back({layers[k].name, "", "", std::string(layers[k].fill) + " lw 0.5"});
  }
  const double page_pt = page_width_pt - 2.0 * page_margin_pt;
  const Legend legend(entries, page_pt);
  const Surround surround(text, {});
  // Many stretches need the whole width.
  const PanelGrid probe(titles, 100.0, 30.0, 8.0);
  const std::size_t stretches = FrequencyAxis(all, probe.panel_width_pt).groups();
  const PanelGrid grid(titles, stretches > 3 ? 400.0 : 140.0, 30.0, 8.0);
  const FrequencyAxis axis(all, grid.panel_width_pt);
  constexpr double frame_pt = 120.0, ticks_pt = 14.0, axis_title_pt = 12.0, row_gap_pt = 6.0;
  const double row_pt = grid.head_pt + frame_pt + ticks_pt + row_gap_pt;
  Page page(surround.top_pt() + row_pt * static_cast<double>(grid.rows) + axis_title_pt + legend.height_pt() + 4.0 +
            surround.bottom_pt());

  for (std::size_t p = 0; p < conditions.size(); ++p) {
    const std::vector<wire::AntennaSolution>& points = conditions[p].points;
    std::string plots;
    for (std::size_t from = 0; from < points.size();) {
      const std::size_t group = axis.group(points[from].frequency_hz);
      std::size_t to = from;
      while (to < points.size() && axis.group(points[to].frequency_hz) == group) ++to;
      std::vector<double> below(to - from, 0.0);
      for (std::size_t k = 0; k < layers.size(); ++k) {
        std::string rows;
        for (std::size_t n = from; n < to; ++n) {
          const double top = below[n - from] + 100.0 * points[n].share.*layers[k].share;
          const double x = axis.x(points[n].frequency_hz);
          const auto row = [&](double at) { rows += fmt::format("{:.6g} {:.6g} {:.6g}\n", at, below[n - from], top); };
          if (to - from == 1) {  // one frequency: a bar
            row(x - 0.2);
            row(x + 0.2);
          } else {
            row(x);
          }
          below[n - from] = top;
        }
        if (used[k])
          plots += fmt::format("{} using 1:2:3 with filledcurves {} lw 0.5 notitle, \\\n  ", page.data(rows),
                               layers[k].fill);
      }
      from = to;
    }
    for (std::size_t g = 1; g < axis.groups(); ++g) {
      plots += fmt::format("{} with lines lc rgb '#808080' lw 0.8 dt solid notitle, \\\n  ",
                           page.data(fmt::format("{0} 0\n{0} 100\n", g)));
    }
    const double top = page.height_pt() - surround.top_pt() - row_pt * static_cast<double>(grid.row(p)) - grid.head_pt;
    page.panel(
        {grid.x(p), top - frame_pt}, {grid.x(p) + grid.panel_width_pt, top},
        fmt::format(
            "set border 15 lw 0.6\n{}set yrange [0:100]\nset ytics 20 font ',7' nomirror scale 0.5 offset 0.1,0\n"
            "set grid ytics lc rgb '#D0D0D0' lw 0.4 dt solid\nplot {}NaN notitle\n",
            axis.commands(), plots));
    grid.put_title(page, p, top);
    if (grid.lowest(p))
      page.text({grid.x(p) + 0.5 * grid.panel_width_pt, top - frame_pt - ticks_pt - 5.0}, "frequency, MHz", 7.0,
                Align::centre);
    if (p % grid.columns == 0)
      page.text({grid.x(p) - grid.left_pt + 4.0, top - 0.5 * frame_pt}, "share of the power into the feed, %", 7.0,
                Align::centre, 90);
  }
  page.legend(legend, {page_margin_pt, surround.bottom_pt() + legend.height_pt()}, page_pt);
  surround.put(page);
  return page.finish();
}

}  // namespace stile::plots

#include <stile/plots/frontier.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/plots/line_panels.hpp>

namespace stile::plots {

namespace {

/// Behind the marks: a disc for each point that is not beaten, in the order of costs, and steps between them: what
/// costs less than the next gives no more than the last.
std::string unbeaten_commands(const std::vector<detail::Point>& unbeaten) {
  std::string commands;
  for (std::size_t n = 0; n < unbeaten.size(); ++n) {
    const detail::Point& p = unbeaten[n];
    commands += fmt::format(
        "set object circle at first {:.9g},{:.6g} size character 0.85 fc rgb '#C8C8C8' fs solid noborder back noclip\n",
        p.x, p.y);
    if (n == 0) continue;
    const detail::Point& before = unbeaten[n - 1];
    for (const auto& [from, to] : {std::pair{before, detail::Point{p.x, before.y}}, {detail::Point{p.x, before.y}, p}})
      commands +=
          fmt::format("set arrow from {:.9g},{:.6g} to {:.9g},{:.6g} nohead back lc rgb '#C8C8C8' lw 2 dt solid\n",
                      from.x, from.y, to.x, to.y);
  }
  return commands;
}

}  // namespace

Chart trade_chart(const std::vector<TradePanel>& panels, const std::string& axis, const std::string& power,
                  const ChartText& text, const std::string& unbeaten_means) {
  require(!panels.empty(), "a chart of costs needs a panel");
  std::vector<std::string> legend;
  std::vector<detail::LinePanel> drawn;
  for (const TradePanel& panel : panels) {
    require(!panel.points.empty(), "a panel of costs needs a point");
    detail::LinePanel lines;
    lines.title = panel.title;
    lines.x_title = axis;
    lines.y_title = power;
    lines.log_y = true;
    std::vector<detail::Point> unbeaten;
    double low = panel.points.front().cost, high = low;
    bool whole = true;  // things that are counted
    for (const TradePoint& p : panel.points) {
      require(std::isfinite(p.cost) && std::isfinite(p.power_w) && p.power_w > 0.0,
              "a cost must be finite and its power > 0 and finite");
      low = std::min(low, p.cost), high = std::max(high, p.cost);
      whole = whole && p.cost == std::floor(p.cost);
      if (p.unbeaten) unbeaten.push_back({p.cost, p.power_w});
      const auto known = std::find(legend.begin(), legend.end(), p.label);
      lines.lines.push_back({static_cast<std::size_t>(known - legend.begin()), {{{p.cost, p.power_w}}}});
      if (known == legend.end()) legend.push_back(p.label);
    }
    std::sort(unbeaten.begin(), unbeaten.end(), [](detail::Point a, detail::Point b) { return a.x < b.x; });
    const double margin = high > low ? 0.06 * (high - low) : 0.5;
    const double step = detail::even_step((high - low + 2.0 * margin) / 3.0);
    lines.x_commands =
        fmt::format("set xrange [{:.9g}:{:.9g}]\nset xtics {:.6g} font ',7' nomirror scale 0.5 offset 0,0.15\n{}",
                    low - margin, high + margin, whole ? std::max(1.0, step) : step, unbeaten_commands(unbeaten));
    drawn.push_back(std::move(lines));
  }
  return detail::line_chart(drawn, legend, {150.0, 130.0}, text,
                            {"On a grey disc, joined by grey steps: not beaten by any other. " + unbeaten_means});
}

}  // namespace stile::plots

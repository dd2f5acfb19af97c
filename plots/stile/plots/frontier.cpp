#include <stile/plots/frontier.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/plots/line_panels.hpp>

namespace stile::plots {

Chart trade_chart(const std::vector<TradePanel>& panels, const std::string& axis, const std::string& power,
                  const ChartText& text) {
  require(!panels.empty(), "a chart of costs needs a panel");
  std::vector<std::string> legend{"not beaten by any other"};
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
    for (const TradePoint& p : panel.points) {
      require(std::isfinite(p.cost) && std::isfinite(p.power_w) && p.power_w > 0.0,
              "a cost must be finite and its power > 0 and finite");
      low = std::min(low, p.cost), high = std::max(high, p.cost);
      if (p.unbeaten) unbeaten.push_back({p.cost, p.power_w});
      const auto known = std::find(legend.begin(), legend.end(), p.label);
      lines.lines.push_back({static_cast<std::size_t>(known - legend.begin()), {{{p.cost, p.power_w}}}});
      if (known == legend.end()) legend.push_back(p.label);
    }
    std::sort(unbeaten.begin(), unbeaten.end(), [](detail::Point a, detail::Point b) { return a.x < b.x; });
    if (!unbeaten.empty()) lines.lines.insert(lines.lines.begin(), {0, {unbeaten}});
    const double margin = high > low ? 0.06 * (high - low) : 0.5;
    lines.x_commands =
        fmt::format("set xrange [{:.9g}:{:.9g}]\nset xtics {:.6g} font ',7' nomirror scale 0.5 offset 0,0.15\n",
                    low - margin, high + margin, detail::even_step((high - low + 2.0 * margin) / 3.0));
    drawn.push_back(std::move(lines));
  }
  return detail::line_chart(drawn, legend, {150.0, 130.0}, text, {});
}

}  // namespace stile::plots

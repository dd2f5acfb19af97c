#include <stile/plots/whip_current.hpp>

#include <algorithm>
#include <cmath>

#include <stile/base/errors.hpp>
#include <stile/plots/line_panels.hpp>

namespace stile::plots {

using namespace detail;

Chart whip_current_chart(const std::vector<WhipCurrent>& conditions, const ChartText& text) {
  require(!conditions.empty() && conditions.size() <= 16, "a chart of a whip takes 1 to 16 conditions");
  std::vector<std::string> names;
  std::vector<LinePanel> panels;
  for (const WhipCurrent& c : conditions) {
    LinePanel panel{
        c.condition, "distance from the wire's first point, m", "current over feed current", "", false, true, 1, {}};
    for (std::size_t w = 0; w < c.wires.size(); ++w) {
      std::vector<wire::CellCurrent> cells;
      for (const wire::CellCurrent& cell : c.solution.cells) {
        require(cell.wire < c.wires.size(), "a current runs on a wire without a name");
        if (cell.wire == w) cells.push_back(cell);
      }
      if (cells.empty()) continue;
      std::sort(cells.begin(), cells.end(),
                [](const wire::CellCurrent& a, const wire::CellCurrent& b) { return a.distance_m < b.distance_m; });
      std::vector<Point> line{{cells.front().distance_m, std::abs(cells.front().start_a)}};
      for (const wire::CellCurrent& cell : cells)
        line.push_back({cell.distance_m + cell.length_m, std::abs(cell.end_a)});
      const auto known = std::find(names.begin(), names.end(), c.wires[w]);
      panel.lines.push_back({static_cast<std::size_t>(known - names.begin()), {std::move(line)}});
      if (known == names.end()) names.push_back(c.wires[w]);
    }
    panels.push_back(std::move(panel));
  }
  return line_chart(panels, names, {100.0, panels.size() == 1 ? 220.0 : 125.0}, text, {});
}

}  // namespace stile::plots

#include <stile/plots/panels.hpp>

#include <algorithm>

namespace stile::plots::detail {
namespace {
constexpr double gap_pt = 12.0;
}

PanelGrid::PanelGrid(const std::vector<std::string>& panel_titles, double need_pt, double left, double right)
    : left_pt(left), right_pt(right) {
  const std::size_t count = panel_titles.size();
  columns = count <= 1 ? 1 : count <= 8 ? 2 : 3;
  const auto width = [&](std::size_t n) {
    const double all = page_width_pt - 2.0 * page_margin_pt - gap_pt * static_cast<double>(n - 1);
    return all / static_cast<double>(n) - left_pt - right_pt;
  };
  while (columns > 1 && width(columns) < need_pt) --columns;
  panel_width_pt = width(columns);
  rows = (count + columns - 1) / columns;
  for (const std::string& title : panel_titles) {
    titles.push_back(wrapped(title, title_size_pt, panel_width_pt));
    head_pt = std::max(head_pt, title_line_pt * static_cast<double>(titles.back().size()) + 4.0);
  }
}

double PanelGrid::x(std::size_t index) const {
  return page_margin_pt + left_pt +
         static_cast<double>(index % columns) * (left_pt + panel_width_pt + right_pt + gap_pt);
}

void PanelGrid::put_title(Page& page, std::size_t index, double frame_top_pt) const {
  double y = frame_top_pt + 4.0 + title_line_pt * (static_cast<double>(titles[index].size()) - 0.5);
  for (const std::string& part : titles[index]) {
    page.text({x(index), y}, part, title_size_pt);
    y -= title_line_pt;
  }
}

}  // namespace stile::plots::detail

#include <stile/plots/wander.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/network/chain.hpp>
#include <stile/plots/label_places.hpp>
#include <stile/plots/panels.hpp>

namespace stile::plots {
namespace {

using namespace detail;

constexpr double frame_pt = 190.0, name_size_pt = 7.0;

/// The part of the plane that a panel shows.
struct View {
  double r_low = 0.0, r_high = 0.0, x_low = 0.0, x_high = 0.0;
};

/// All loads with room around them, in a frame of that shape. No passive load has R < 0.
View view_of(const WanderPanel& panel, double width_pt) {
  constexpr double margin = 0.15, least_ohm = 4.0;  // beside the loads, of their spread
  constexpr double infinite = std::numeric_limits<double>::infinity();
  View v{infinite, -infinite, infinite, -infinite};
  const auto hold = [&](cdouble z) {
    require(network::finite(z), "a load in a chart must be finite");
    v.r_low = std::min(v.r_low, z.real()), v.r_high = std::max(v.r_high, z.real());
    v.x_low = std::min(v.x_low, z.imag()), v.x_high = std::max(v.x_high, z.imag());
  };
  for (const WanderLoad& load : panel.loads) hold(load.load_ohm);
  for (const cdouble z : panel.in_sight_ohm) hold(z);
  const double room = std::max(least_ohm, margin * std::max(v.r_high - v.r_low, v.x_high - v.x_low));
  const double ohm_per_pt =
      std::max((v.r_high - v.r_low + 2.0 * room) / width_pt, (v.x_high - v.x_low + 2.0 * room) / frame_pt);
  const double r = 0.5 * (v.r_low + v.r_high), x = 0.5 * (v.x_low + v.x_high);
  const double half_r = 0.5 * ohm_per_pt * width_pt, half_x = 0.5 * ohm_per_pt * frame_pt;
  const double right = std::max(0.0, half_r - r);
  return {r - half_r + right, r + half_r + right, x - half_x, x + half_x};
}

std::string axis_commands(const View& v) {
  const double r_step = even_step((v.r_high - v.r_low) / 4.0), x_step = even_step((v.x_high - v.x_low) / 4.0);
  return fmt::format("set border 15 lw 0.6\nset xrange [{:.9g}:{:.9g}]\nset yrange [{:.9g}:{:.9g}]\n"
                     "set xtics {:.6g} font ',7' nomirror scale 0.5 offset 0,0.15\n"
                     "set ytics {:.6g} font ',7' nomirror scale 0.5 offset 0.1,0\n"
                     "set grid xtics ytics lc rgb '#D0D0D0' lw 0.4 dt solid\n",
                     v.r_low, v.r_high, v.x_low, v.x_high, r_step, x_step);
}

std::string rows_of(const std::vector<cdouble>& edge) {
  std::string rows;
  for (const cdouble z : edge) {
    require(network::finite(z), "an edge in a chart must be finite");
    rows += fmt::format("{:.7g} {:.7g}\n", z.real(), z.imag());
  }
  return rows;
}

}  // namespace

Chart wander_chart(const std::vector<WanderPanel>& panels, const ChartText& text) {
  require(!panels.empty(), "a chart of loads needs a panel");
  std::vector<std::string> titles, labels;
  for (const WanderPanel& panel : panels) {
    require(!panel.loads.empty(), "a panel of loads needs a load");
    titles.push_back(panel.title);
    for (const WanderRegion& region : panel.regions) {
      if (std::find(labels.begin(), labels.end(), region.label) == labels.end()) labels.push_back(region.label);
    }
  }
  std::vector<LegendEntry> entries{{"load in a condition", "", "lc rgb '#000000' pt 7 ps 0.6", ""}};
  for (std::size_t k = 0; k < labels.size(); ++k)
    entries.push_back({"edge of " + labels[k], line_options(line_style(k)) + " lw 1.3", "", ""});
  const double page_pt = page_width_pt - 2.0 * page_margin_pt;
  const Legend legend(entries, page_pt);
  const Surround surround(
      text, {"Both axes in ohms of equal length. Some setting of the plan serves what is within an edge, none what is "
             "across it: of "
             "what is set anew in each condition not always the one that is set. An edge goes on beyond the frame."});
  const PanelGrid grid(titles, 180.0, 36.0, 10.0);
  constexpr double ticks_pt = 14.0, axis_title_pt = 12.0, row_gap_pt = 6.0;
  const double row_pt = grid.head_pt + frame_pt + ticks_pt + axis_title_pt + row_gap_pt;
  Page page(surround.top_pt() + row_pt * static_cast<double>(grid.rows) + legend.height_pt() + 4.0 +
            surround.bottom_pt());
  for (std::size_t p = 0; p < panels.size(); ++p) {
    const WanderPanel& panel = panels[p];
    const View view = view_of(panel, grid.panel_width_pt);
    const double top = page.height_pt() - surround.top_pt() - row_pt * static_cast<double>(grid.row(p)) - grid.head_pt;
    const Point low{grid.x(p), top - frame_pt}, high{grid.x(p) + grid.panel_width_pt, top};
    const double pt_per_ohm = grid.panel_width_pt / (view.r_high - view.r_low);
    const auto on_page = [&](cdouble z) {
      return Point{low.x + pt_per_ohm * (z.real() - view.r_low), low.y + pt_per_ohm * (z.imag() - view.x_low)};
    };
    LabelPlaces places(low, high);
    std::string plots;
    for (const WanderRegion& region : panel.regions) {
      const auto style =
          static_cast<std::size_t>(std::find(labels.begin(), labels.end(), region.label) - labels.begin());
      for (const std::vector<cdouble>& edge : region.edges_ohm) {
        plots += fmt::format("{} with lines {} lw 1.3 notitle, \\\n  ", page.data(rows_of(edge)),
                             line_options(line_style(style)));
        for (const cdouble z : edge) places.avoid(on_page(z));
      }
    }
    std::string marks;
    for (const WanderLoad& load : panel.loads) {
      marks += rows_of({load.load_ohm});
      places.avoid_mark(on_page(load.load_ohm));
    }
    plots += page.data(marks) + " with points lc rgb '#000000' pt 7 ps 0.6 notitle";
    page.panel(low, high, axis_commands(view) + "plot " + plots + "\n");
    for (const WanderLoad& load : panel.loads) {
      const PlacedLabel placed =
          places.place(on_page(load.load_ohm), text_width_pt(load.condition, name_size_pt), name_size_pt);
      page.box(placed.box.low, placed.box.high, "fc rgb '#FFFFFF' fs solid 1.0 noborder");
      page.text({placed.box.low.x + 1.0, 0.5 * (placed.box.low.y + placed.box.high.y)}, load.condition, name_size_pt);
      if (placed.leader) page.line(placed.leader_from, placed.leader_to, "lc rgb '#000000' lw 0.5 dt solid");
    }
    grid.put_title(page, p, top);
    page.text({grid.x(p) + 0.5 * grid.panel_width_pt, low.y - ticks_pt - 5.0}, "resistance, ohm", 7.0, Align::centre);
    page.text({grid.x(p) - grid.left_pt + 4.0, top - 0.5 * frame_pt}, "reactance, ohm", 7.0, Align::centre, 90);
  }
  page.legend(legend, {page_margin_pt, surround.bottom_pt() + legend.height_pt()}, page_pt);
  surround.put(page);
  return page.finish();
}

}  // namespace stile::plots

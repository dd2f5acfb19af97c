#include <stile/plots/budget.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/errors.hpp>
#include <stile/plots/hatch.hpp>
#include <stile/plots/panels.hpp>

namespace stile::plots {
namespace {

using namespace detail;

constexpr std::size_t places = budget_places.size();
using Shares = std::array<double, places>;

/// Solid, hatched and open fillings in turn, so that neighbours differ in grey as well.
constexpr std::array<Fill, places> fills{{
    {"#000000", Fill::Kind::solid},         // radiated
    {"#606060", Fill::Kind::solid},         // antenna
    {"#D55E00", Fill::Kind::falling},       // ground
    {"#0072B2", Fill::Kind::solid},         // whip metal
    {"#B07400", Fill::Kind::crossed},       // person
    {"#606060", Fill::Kind::fine_falling},  // chokes and wet base
    {"#009E73", Fill::Kind::fine},          // network
    {"#0072B2", Fill::Kind::rising},        // cable
    {"#C4C4C4", Fill::Kind::solid},         // not accepted
    {"#FFFFFF", Fill::Kind::open},          // held back
}};
constexpr std::array<const char*, places> legend_texts{"radiated",
                                                       "antenna: radiated and lost",
                                                       "ground",
                                                       "whip and wire metal",
                                                       "person",
                                                       "chokes in the wires, wet base",
                                                       "network: coils, capacitors, contacts",
                                                       "cable",
                                                       "not accepted: mismatch",
                                                       "held back by the transmitter"};

Shares shares_of(const BudgetBar& bar) {
  Shares sums{};
  for (const BudgetShare& share : bar.shares) {
    const auto* const place = std::find(budget_places.begin(), budget_places.end(), share.where);
    if (place == budget_places.end()) {
      throw DomainError(
          fmt::format("a loss budget has no place \"{}\"; there are: {}", share.where, fmt::join(budget_places, ", ")));
    }
    require(share.power_w >= 0.0 && std::isfinite(share.power_w), "a share of power must be >= 0 and finite");
    sums[static_cast<std::size_t>(place - budget_places.begin())] += share.power_w;
  }
  return sums;
}

double total(const Shares& shares) {
  double sum = 0.0;
  for (const double share : shares) sum += share;
  return sum;
}

std::string watts(double power_w) {
  if (power_w == 0.0) return "0 W";
  if (power_w < 0.01) return fmt::format("{:.2g} W", power_w);
  return fmt::format("{:.{}f} W", power_w, power_w >= 10.0 ? 1 : power_w >= 0.1 ? 2 : 3);
}

/// Power radiated, or that into an antenna of which no more is known.
double counted_w(const Shares& shares) { return shares[0] + shares[1]; }

/// In brackets how far below the best of the panel.
std::string figure_text(const Shares& shares, double best_w) {
  const double power_w = counted_w(shares);
  if (power_w == 0.0) return watts(0.0);
  const double below = 10.0 * std::log10(power_w / best_w);
  return fmt::format("{}, {:.1f} dB{}", watts(power_w), 10.0 * std::log10(power_w / total(shares)),
                     below < 0.0 ? fmt::format(" ({:.1f})", below) : "");
}

constexpr const char* taken_mark = "  \u25C0 taken";
constexpr double name_size_pt = 7.0, name_line_pt = 9.0, bar_pt = 9.0, bar_gap_pt = 4.0, figure_size_pt = 7.0;

struct Bar {
  std::vector<std::string> name;
  Shares shares{};
  std::string figure;
  double height_pt() const { return name_line_pt * static_cast<double>(name.size()) + bar_pt + bar_gap_pt; }
};

}  // namespace

Chart budget_chart(const std::vector<BudgetPanel>& panels, const ChartText& text) {
  require(!panels.empty(), "a loss budget needs a panel");
  std::vector<std::string> titles;
  double widest_name = 0.0;
  for (const BudgetPanel& panel : panels) {
    require(!panel.bars.empty(), "a panel of a loss budget needs a bar");
    titles.push_back(panel.title);
    for (const BudgetBar& bar : panel.bars) {
      widest_name = std::max(widest_name, text_width_pt(bar.arrangement + (bar.taken ? taken_mark : ""), name_size_pt));
    }
  }
  const double page_pt = page_width_pt - 2.0 * page_margin_pt;
  const PanelGrid grid(titles, std::min(widest_name, 150.0), 2.0, 0.0);

  std::vector<std::vector<Bar>> bars;
  std::array<bool, places> used{};
  std::vector<double> frame_pt(grid.rows, 0.0);  // of each row of panels: its highest stack of bars
  for (const BudgetPanel& panel : panels) {
    double height = bar_gap_pt;
    bars.emplace_back();
    for (const BudgetBar& bar : panel.bars) {
      Bar drawn{wrapped(bar.arrangement + (bar.taken ? taken_mark : ""), name_size_pt, grid.panel_width_pt),
                shares_of(bar), ""};
      require(total(drawn.shares) > 0.0, "a bar of a loss budget needs power");
      for (std::size_t k = 0; k < places; ++k) used[k] = used[k] || drawn.shares[k] > 0.0;
      height += drawn.height_pt();
      bars.back().push_back(std::move(drawn));
    }
    double best_w = 0.0;
    for (const Bar& bar : bars.back()) best_w = std::max(best_w, counted_w(bar.shares));
    for (Bar& bar : bars.back()) bar.figure = figure_text(bar.shares, best_w);
    double& row = frame_pt[grid.row(bars.size() - 1)];
    row = std::max(row, height);
  }
  std::vector<LegendEntry> entries;
  for (std::size_t k = 0; k < places; ++k) {
    if (used[k]) entries.push_back({legend_texts[k], "", "", "", fills[k]});
  }
  const Legend legend(entries, page_pt);
  const Surround surround(
      text,
      {fmt::format(
          "Figure at the end of a bar: power {}, and in decibels of the transmitter's power (whole bar); in brackets "
          "decibels below the best of the panel.",
          !used[1]  ? "radiated"
          : used[0] ? "radiated (grey bars: into the antenna)"
                    : "into the antenna")});
  constexpr double ticks_pt = 12.0, axis_title_pt = 12.0, row_gap_pt = 8.0;
  std::vector<double> depth_pt{surround.top_pt()};  // of the upper edge of each row, and of what follows
  for (const double frame : frame_pt) {
    depth_pt.push_back(depth_pt.back() + grid.head_pt + frame + ticks_pt + row_gap_pt);
  }
  Page page(depth_pt.back() + axis_title_pt + legend.height_pt() + 4.0 + surround.bottom_pt());

  // One scale for all panels.
  double most_w = 0.0, figure_pt = 0.0;
  for (const std::vector<Bar>& panel : bars) {
    for (const Bar& bar : panel) {
      most_w = std::max(most_w, total(bar.shares));
      figure_pt = std::max(figure_pt, text_width_pt(bar.figure, figure_size_pt) + 6.0);
    }
  }
  const double w_per_pt = most_w / (grid.panel_width_pt - figure_pt);
  const double step = even_step(most_w / (grid.columns == 1 ? 8.0 : 4.0));
  for (std::size_t p = 0; p < bars.size(); ++p) {
    std::array<std::string, places> rows, hatches;
    std::string labels;
    const double frame = frame_pt[grid.row(p)];
    double y = frame - bar_gap_pt;
    for (const Bar& bar : bars[p]) {
      for (const std::string& part : bar.name) {
        labels += fmt::format("set label {} at 0,{:.2f} left offset 0,0.15 font ',{:g}' front\n", quoted(part),
                              y - 0.5 * name_line_pt, name_size_pt);
        y -= name_line_pt;
      }
      double x = 0.0;
      for (std::size_t k = 0; k < places; ++k) {
        if (bar.shares[k] <= 0.0) continue;
        rows[k] +=
            fmt::format("{0:.6g} {1:.2f} {0:.6g} {2:.6g} {3:.2f} {1:.2f}\n", x, y, x + bar.shares[k], y - bar_pt);
        hatches[k] += hatch_rows({x, y - bar_pt}, {x + bar.shares[k], y}, fills[k], w_per_pt);
        x += bar.shares[k];
      }
      labels += fmt::format("set label {} at {:.6g},{:.2f} left font ',{:g}' front\n", quoted(bar.figure),
                            x + 4.0 * w_per_pt, y - 0.5 * bar_pt, figure_size_pt);
      y -= bar_pt + bar_gap_pt;
    }
    std::string plots;
    for (std::size_t k = 0; k < places; ++k) {
      if (rows[k].empty()) continue;
      plots += fmt::format("{} using 1:2:3:4:5:6 with boxxyerror {} lw 0.5 notitle, \\\n  ", page.data(rows[k]),
                           box_options(fills[k]));
      if (!hatches[k].empty())
        plots += fmt::format("{} with lines {} notitle, \\\n  ", page.data(hatches[k]), hatch_options(fills[k]));
    }
    const double top = page.height_pt() - depth_pt[grid.row(p)] - grid.head_pt;
    page.panel({grid.x(p), top - frame}, {grid.x(p) + grid.panel_width_pt, top},
               fmt::format("set border 1 lw 0.6\nunset grid\nset xrange [0:{:.6g}]\nset yrange [0:{:.2f}]\n"
                           "set xtics 0,{:.6g},{:.6g} font ',7' nomirror out scale 0.5 offset 0,0.4\nunset ytics\n"
                           "set format x '%.{}f'\n{}plot {}NaN notitle\n",
                           grid.panel_width_pt * w_per_pt, frame, step, most_w * (1.0 + 1e-9), step_decimals(step),
                           labels, plots));
    grid.put_title(page, p, top);
    if (grid.lowest(p)) {
      page.text({grid.x(p), top - frame - ticks_pt - 5.0}, "power, W", 7.0);
    }
  }
  page.legend(legend, {page_margin_pt, surround.bottom_pt() + legend.height_pt()}, page_pt);
  surround.put(page);
  return page.finish();
}

}  // namespace stile::plots

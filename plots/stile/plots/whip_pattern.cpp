#include <stile/plots/whip_pattern.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/plots/page.hpp>

namespace stile::plots {
namespace {

using namespace detail;

constexpr double span_db = 40.0, ring_db = 10.0;

/// Point on the unit disk of a gain at an elevation; the left side is mirrored.
std::string row(double radius, double elevation_rad, double side) {
  return fmt::format("{:.5f} {:.5f}\n", side * radius * std::cos(elevation_rad), radius * std::sin(elevation_rad));
}

struct Best {
  double gain_dbi = -1e300, elevation_rad = 0.0;
};

Best best_of(const WhipPattern& p) {
  Best best;
  for (const auto* half : {&p.right, &p.left}) {
    for (const wire::PatternPoint& point : *half) {
      if (point.gain_dbi > best.gain_dbi) best = {point.gain_dbi, point.elevation_rad};
    }
  }
  return best;
}

}  // namespace

Chart whip_pattern_chart(const std::vector<WhipPattern>& conditions, const ChartText& text) {
  require(!conditions.empty() && conditions.size() <= 16, "a chart of a whip takes 1 to 16 conditions");
  std::vector<LegendEntry> entries;
  double most_dbi = -1e300;
  bool below = false;
  for (std::size_t i = 0; i < conditions.size(); ++i) {
    require(!conditions[i].right.empty() && !conditions[i].left.empty(), "a pattern needs points on both sides");
    const Best best = best_of(conditions[i]);
    require(best.gain_dbi > -1e300 && std::isfinite(best.gain_dbi), "a pattern needs a finite gain");
    most_dbi = std::max(most_dbi, best.gain_dbi);
    below = below || conditions[i].right.front().elevation_rad < -1e-9;
    entries.push_back({fmt::format("{}: {:.1f} dBi at {:.0f} degrees", conditions[i].condition, best.gain_dbi,
                                   best.elevation_rad * 180.0 / pi),
                       line_options(line_style(i)) + " lw 1.5", "", ""});
  }
  const double top_dbi = 5.0 * std::ceil(most_dbi / 5.0) + 0.0;  // no -0
  const auto radius = [&](double gain_dbi) { return std::clamp((gain_dbi - top_dbi + span_db) / span_db, 0.0, 1.0); };

  const double page_pt = page_width_pt - 2.0 * page_margin_pt;
  const Legend legend(entries, page_pt);
  const Surround surround(text, {fmt::format("Radius: gain over an isotropic radiator, all losses of antenna and "
                                             "ground inside, {:g} dBi at the rim, {:g} dBi at the "
                                             "centre. Angle: elevation, degrees.",
                                             top_dbi, top_dbi - span_db)});
  constexpr double rim_pt = 215.0, edge_pt = 18.0;
  const double frame_pt = (below ? 2.0 * rim_pt : rim_pt) + 2.0 * edge_pt;
  Page page(surround.top_pt() + frame_pt + 6.0 + legend.height_pt() + 4.0 + surround.bottom_pt());
  const double top = page.height_pt() - surround.top_pt();
  const Point centre{0.5 * page_width_pt, top - edge_pt - rim_pt};
  const double low = below ? -0.5 * pi : 0.0;

  std::string grid, rim;
  for (double ring = ring_db; ring <= span_db; ring += ring_db) {
    const double r = ring / span_db;
    std::string& rows = ring == span_db ? rim : grid;
    for (int n = 0; n <= 120; ++n) rows += row(r, low + (pi - 2.0 * low) * n / 120.0, 1.0);
    rows += "\n";
    const std::string label = fmt::format("{:g}", top_dbi - span_db + ring);
    for (const double side : {1.0, -1.0}) {
      page.text({centre.x + side * r * rim_pt, centre.y - 7.0}, ring == span_db ? label + " dBi" : label, 6.5,
                Align::centre);
    }
  }
  for (int degrees = below ? -90 : 0; degrees <= 90; degrees += 15) {
    const double angle = degrees * pi / 180.0;
    for (const double side : {1.0, -1.0}) {
      grid += row(degrees % 30 == 0 ? 0.0 : 0.25, angle, side) + row(1.0, angle, side) + "\n";
      const bool edge = degrees == 90 || degrees == -90;
      if (degrees == 0 || (edge && side < 0.0) || degrees % 30 != 0) continue;
      page.text({centre.x + side * 1.04 * rim_pt * std::cos(angle), centre.y + 1.04 * rim_pt * std::sin(angle)},
                fmt::format("{}", degrees), 6.5,
                edge         ? Align::centre
                : side > 0.0 ? Align::left
                             : Align::right);
    }
  }
  std::string plots = fmt::format("{} with lines lc rgb '#B0B0B0' lw 0.5 dt solid notitle, \\\n  {} with lines lc rgb "
                                  "'#606060' lw 0.9 dt solid notitle",
                                  page.data(grid), page.data(rim));
  for (std::size_t i = 0; i < conditions.size(); ++i) {
    std::string rows;
    for (const wire::PatternPoint& p : conditions[i].right) rows += row(radius(p.gain_dbi), p.elevation_rad, 1.0);
    std::string back;
    for (const wire::PatternPoint& p : conditions[i].left)
      back.insert(0, row(radius(p.gain_dbi), p.elevation_rad, -1.0));
    plots +=
        fmt::format(", \\\n  {} with lines {} lw 1.5 notitle", page.data(rows + back), line_options(line_style(i)));
  }
  const double half_w = 0.5 * page_pt / rim_pt, bottom = below ? -1.0 - edge_pt / rim_pt : -edge_pt / rim_pt;
  page.panel({page_margin_pt, top - frame_pt}, {page_width_pt - page_margin_pt, top},
             fmt::format("unset border\nunset tics\nset xrange [{:.5f}:{:.5f}]\nset yrange [{:.5f}:{:.5f}]\nplot {}\n",
                         -half_w, half_w, bottom, 1.0 + edge_pt / rim_pt, plots));
  page.legend(legend, {page_margin_pt, surround.bottom_pt() + legend.height_pt()}, page_pt);
  surround.put(page);
  return page.finish();
}

}  // namespace stile::plots

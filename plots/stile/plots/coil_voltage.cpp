#include <stile/plots/coil_voltage.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/errors.hpp>
#include <stile/plots/page.hpp>

namespace stile::plots {
namespace {

using namespace detail;

void check(const std::vector<CoilVoltage>& curves) {
  require(!curves.empty(), "a chart of voltage needs a curve");
  for (const CoilVoltage& c : curves) {
    require(c.turn.size() >= 2 && c.turn.size() == c.v_peak.size(),
            "a curve of voltage needs as many values as places, two or more");
    for (std::size_t i = 0; i < c.turn.size(); ++i) {
      require(c.v_peak[i] >= 0.0 && std::isfinite(c.v_peak[i]), "a voltage must be >= 0 and finite");
      require(std::isfinite(c.turn[i]) && c.turn[i] >= (i ? c.turn[i - 1] : 0.0),
              "the places of a curve of voltage must rise from 0 on");
    }
    require(c.tap_turn >= 0.0 && c.tap_turn <= c.turn.back() * (1.0 + 1e-9), "a tap must lie on the coil");
  }
}

double value_at(const CoilVoltage& c, double turn) {
  std::size_t i = 1;
  while (i + 1 < c.turn.size() && c.turn[i] < turn) ++i;
  const double span = c.turn[i] - c.turn[i - 1];
  return span > 0.0 ? c.v_peak[i - 1] + (c.v_peak[i] - c.v_peak[i - 1]) * (turn - c.turn[i - 1]) / span : c.v_peak[i];
}

}  // namespace

Chart coil_voltage_chart(const std::vector<CoilVoltage>& curves, const ChartText& text) {
  check(curves);
  double most_turn = 0.0, most_v = 1e-9;
  std::vector<LegendEntry> entries;
  for (std::size_t n = 0; n < curves.size(); ++n) {
    most_turn = std::max(most_turn, curves[n].turn.back());
    most_v = std::max(most_v, *std::max_element(curves[n].v_peak.begin(), curves[n].v_peak.end()));
    const LineStyle style = line_style(n);
    entries.push_back({curves[n].label, line_options(style) + " lw 1.3",
                       fmt::format("lc rgb '{}' pt {} ps 0.7", style.colour, style.mark), ""});
  }
  const double y_step = even_step(1.1 * most_v / 5.0), y_top = y_step * std::ceil(1.05 * most_v / y_step),
               step = even_step(most_turn / 8.0);
  const Legend legend(entries, page_width_pt - 2.0 * page_margin_pt);
  const Surround surround(text, {"Marks: the tap, where the current leaves. Turns to its right are not in use."});
  constexpr double frame_pt = 250.0, ticks_pt = 14.0, axis_title_pt = 14.0, left_pt = 46.0, right_pt = 14.0;
  Page page(surround.top_pt() + frame_pt + ticks_pt + axis_title_pt + legend.height_pt() + 6.0 + surround.bottom_pt());
  const double left = page_margin_pt + left_pt, right = page_width_pt - page_margin_pt - right_pt,
               top = page.height_pt() - surround.top_pt();
  std::string plots;
  for (std::size_t n = 0; n < curves.size(); ++n) {
    const LineStyle style = line_style(n);
    std::string rows;
    for (std::size_t i = 0; i < curves[n].turn.size(); ++i)
      rows += fmt::format("{:.6g} {:.6g}\n", curves[n].turn[i], curves[n].v_peak[i]);
    plots += page.data(rows) + " with lines " + line_options(style) + " lw 1.3 notitle, \\\n  ";
    plots += page.data(fmt::format("{:.6g} {:.6g}\n", curves[n].tap_turn, value_at(curves[n], curves[n].tap_turn))) +
             fmt::format(" with points lc rgb '{}' pt {} ps 0.9 notitle, \\\n  ", style.colour, style.mark);
  }
  page.panel({left, top - frame_pt}, {right, top},
             fmt::format("set border 15 lw 0.6\nset xrange [0:{:.9g}]\nset yrange [0:{:.9g}]\n"
                         "set xtics {:.9g} font ',7' nomirror scale 0.5 offset 0,0.15\nset format x '%.{}f'\n"
                         "set ytics {:.9g} font ',7' nomirror scale 0.5 offset 0.6,0\nset format y '%.{}f'\n"
                         "set grid xtics ytics lc rgb '#D0D0D0' lw 0.4 dt solid\nplot {}NaN notitle\n",
                         most_turn, y_top, step, step_decimals(step), y_step, step_decimals(y_step), plots));
  page.text({page_margin_pt + 4.0, top - 0.5 * frame_pt}, "voltage to ground, V peak", 7.5, Align::centre, 90);
  page.text({0.5 * (left + right), top - frame_pt - ticks_pt - 6.0},
            "place on the wire, turns from the transmitter's end", 7.5, Align::centre);
  page.legend(legend, {page_margin_pt, surround.bottom_pt() + legend.height_pt()},
              page_width_pt - 2.0 * page_margin_pt);
  surround.put(page);
  return page.finish();
}

}  // namespace stile::plots

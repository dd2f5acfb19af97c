#include <stile/plots/coil_sweep.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/errors.hpp>
#include <stile/plots/page.hpp>

namespace stile::plots {
namespace {

using namespace detail;

void check(const CoilCurve& c) {
  const std::size_t n = c.frequency_hz.size();
  require(n >= 2, "a chart of a coil needs two frequencies or more");
  require(c.inductance_h.size() == n && c.apparent_inductance_h.size() == n && c.q_low.size() == n &&
              c.q_high.size() == n && c.terminal_q_low.size() == n && c.terminal_q_high.size() == n,
          "a chart of a coil needs as many values as frequencies");
  for (std::size_t i = 0; i < n; ++i) {
    require(std::isfinite(c.frequency_hz[i]) && c.frequency_hz[i] > (i ? c.frequency_hz[i - 1] : 0.0),
            "the frequencies of a coil's chart must be > 0, finite and rising");
    require(c.inductance_h[i] > 0.0 && std::isfinite(c.inductance_h[i]) && !std::isnan(c.apparent_inductance_h[i]),
            "an inductance must be > 0 and finite, an apparent one a number");
    require(c.q_low[i] > 0.0 && c.q_low[i] <= c.q_high[i] && std::isfinite(c.q_high[i]),
            "a band of Q must be 0 < low <= high");
    require(c.terminal_q_low[i] >= 0.0 && c.terminal_q_low[i] <= c.terminal_q_high[i] &&
                std::isfinite(c.terminal_q_high[i]),
            "a band of Q at the terminals must be 0 <= low <= high");
  }
}

/// A round number not below x > 0.
double round_up(double x) {
  const double step = even_step(x / 5.0);
  return step * std::ceil(x / step * (1.0 - 1e-9));
}

/// Rows of a curve as far as it lies between 0 and twice the frame; an empty line where it leaves it, so that a pole
/// is not drawn as a line.
std::string apparent_rows(const CoilCurve& c, double top_uh) {
  std::string rows;
  for (std::size_t i = 0; i < c.frequency_hz.size(); ++i) {
    const double l = 1e6 * c.apparent_inductance_h[i];
    rows += l >= 0.0 && l <= 2.0 * top_uh ? fmt::format("{:.9g} {:.6g}\n", 1e-6 * c.frequency_hz[i], l) : "\n";
  }
  return rows;
}

}  // namespace

Chart coil_sweep_chart(const CoilCurve& curve, const ChartText& text) {
  check(curve);
  const double low = 1e-6 * curve.frequency_hz.front(), high = 1e-6 * curve.frequency_hz.back(),
               resonance = 1e-6 * curve.self_resonance_hz;
  const bool within = resonance > low && resonance < high;
  const double most_l = 1e6 * *std::max_element(curve.inductance_h.begin(), curve.inductance_h.end());
  double most_shown = most_l;
  for (const double l : curve.apparent_inductance_h) {
    if (1e6 * l > most_shown && 1e6 * l < 2.5 * most_l) most_shown = 1e6 * l;
  }
  const double l_top = round_up(1.08 * most_shown),
               q_top = round_up(1.05 * *std::max_element(curve.q_high.begin(), curve.q_high.end()));
  const char* turns_fill = "fc rgb '#9CC4E0' fs solid 1.0 border lc rgb '#0072B2'";
  const char* terminal_fill = "fc rgb '#D55E00' fs pattern 4 border lc rgb '#D55E00'";

  std::vector<std::string> notes{"Band of Q: resistance of the model with 5 to 15 % added for surface, joints and "
                                 "neighbours (an estimate; no measured Q "
                                 "with complete geometry is known)."};
  if (within) {
    notes.push_back(fmt::format(
        "Grey: above the self-resonance of {:.4g} MHz, where the coil must not be taken as an inductance.", resonance));
  } else if (resonance > 0.0) {
    notes.push_back(fmt::format("Self-resonance: {:.4g} MHz, {} the frequencies shown.", resonance,
                                resonance >= high ? "above" : "below"));
  }
  const LineStyle turns = line_style(0), apparent = line_style(1);
  const Legend legend({{"inductance of the turns", line_options(turns) + " lw 1.4", "", ""},
                       {"apparent inductance at the terminals", line_options(apparent) + " lw 1.4", "", ""},
                       {"Q of the turns alone, in practice", "", "", turns_fill},
                       {"Q at the terminals, capacitance and former included", "", "", terminal_fill}},
                      page_width_pt - 2.0 * page_margin_pt);
  const Surround surround(text, notes);
  constexpr double frame_pt = 170.0, gap_pt = 14.0, ticks_pt = 14.0, axis_title_pt = 14.0, left_pt = 46.0,
                   right_pt = 14.0;
  Page page(surround.top_pt() + 2.0 * frame_pt + gap_pt + ticks_pt + axis_title_pt + legend.height_pt() + 6.0 +
            surround.bottom_pt());
  const double left = page_margin_pt + left_pt, right = page_width_pt - page_margin_pt - right_pt;
  const double step = even_step((high - low) / 6.0);

  const auto panel = [&](double top, double y_top, bool lowest, const std::string& curves) {
    const double y_step = even_step(y_top / 4.0);
    std::string commands = fmt::format(
        "set border 15 lw 0.6\nset xrange [{:.9g}:{:.9g}]\nset yrange [0:{:.9g}]\n"
        "set xtics {:.9g} font ',7' nomirror scale 0.5 offset 0,0.15\nset format x '{}'\n"
        "set ytics {:.9g} font ',7' nomirror scale 0.5 offset 0.6,0\nset format y '%.{}f'\n"
        "set grid xtics ytics lc rgb '#D0D0D0' lw 0.4 dt solid\n",
        low, high, y_top, step, lowest ? fmt::format("%.{}f", step_decimals(step)) : "", y_step, step_decimals(y_step));
    std::string plots;
    if (within || (resonance > 0.0 && resonance <= low)) {
      const std::string above =
          page.data(fmt::format("{:.9g} 0 {:.9g}\n{:.9g} 0 {:.9g}\n", std::max(low, resonance), y_top, high, y_top));
      plots += above + " using 1:2:3 with filledcurves lc rgb '#E4E4E4' fs solid 1.0 noborder notitle, \\\n  ";
    }
    plots += curves;
    if (within) {
      plots += page.data(fmt::format("{0:.9g} 0\n{0:.9g} {1:.9g}\n", resonance, y_top)) +
               " with lines lc rgb '#000000' dt (2,3) lw 1.1 notitle, \\\n  ";
    }
    page.panel({left, top - frame_pt}, {right, top}, commands + "plot " + plots + "NaN notitle\n");
  };
  std::string inductance_rows, q_rows, terminal_rows;
  for (std::size_t i = 0; i < curve.frequency_hz.size(); ++i) {
    const double f = 1e-6 * curve.frequency_hz[i];
    inductance_rows += fmt::format("{:.9g} {:.6g}\n", f, 1e6 * curve.inductance_h[i]);
    q_rows += fmt::format("{:.9g} {:.6g} {:.6g}\n", f, curve.q_low[i], curve.q_high[i]);
    if (curve.terminal_q_high[i] > 0.0)
      terminal_rows += fmt::format("{:.9g} {:.6g} {:.6g}\n", f, curve.terminal_q_low[i], curve.terminal_q_high[i]);
  }
  const double top = page.height_pt() - surround.top_pt(), second_top = top - frame_pt - gap_pt;
  panel(top, l_top, false,
        page.data(apparent_rows(curve, l_top)) + " with lines " + line_options(apparent) + " lw 1.4 notitle, \\\n  " +
            page.data(inductance_rows) + " with lines " + line_options(turns) + " lw 1.4 notitle, \\\n  ");
  const auto band = [&](const std::string& rows, const char* fill, const char* edge) -> std::string {
    if (rows.empty()) return "";
    const std::string name = page.data(rows);
    return fmt::format("{0} using 1:2:3 with filledcurves {1} noborder notitle, \\\n  {0} using 1:2 with lines {2} lw "
                       "1 notitle, \\\n  "
                       "{0} using 1:3 with lines {2} lw 1 notitle, \\\n  ",
                       name, fill, edge);
  };
  panel(second_top, q_top, true,
        band(q_rows, "lc rgb '#9CC4E0' fs solid 1.0", "lc rgb '#0072B2'") +
            band(terminal_rows, "lc rgb '#D55E00' fs pattern 4", "lc rgb '#D55E00' dt (6,3)"));
  if (within) {
    const double x = left + (right - left) * (resonance - low) / (high - low);
    const bool to_left = x > 0.6 * (left + right);
    page.text({x + (to_left ? -4.0 : 4.0), top - frame_pt + 9.0}, fmt::format("self-resonance {:.4g} MHz", resonance),
              7.0, to_left ? Align::right : Align::left);
  }
  page.text({page_margin_pt + 4.0, top - 0.5 * frame_pt}, "inductance, uH", 7.5, Align::centre, 90);
  page.text({page_margin_pt + 4.0, second_top - 0.5 * frame_pt}, "Q", 7.5, Align::centre, 90);
  page.text({0.5 * (left + right), second_top - frame_pt - ticks_pt - 6.0}, "frequency, MHz", 7.5, Align::centre);
  page.legend(legend, {page_margin_pt, surround.bottom_pt() + legend.height_pt()},
              page_width_pt - 2.0 * page_margin_pt);
  surround.put(page);
  return page.finish();
}

}  // namespace stile::plots

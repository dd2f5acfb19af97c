#include <stile/plots/swr.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/errors.hpp>
#include <stile/plots/panels.hpp>

namespace stile::plots {
namespace {

using namespace detail;

constexpr double top_swr = 10.0;
constexpr double capped_swr = 1e4;  // stands for infinity: far above the frame, where lines are cut

void check(const std::vector<SwrPanel>& panels, double swr_limit) {
  require(!panels.empty(), "an SWR chart needs a panel");
  require(swr_limit > 1.0 && std::isfinite(swr_limit), "the SWR limit must be > 1");
  for (const SwrPanel& panel : panels) {
    require(!panel.curves.empty(), "an SWR panel needs a curve");
    require(panel.use_low_hz >= 0.0 && panel.use_low_hz <= panel.use_high_hz && std::isfinite(panel.use_high_hz),
            "the part of a band in use must be two frequencies in order");
    for (const SwrCurve& curve : panel.curves) {
      require(!curve.swr.empty() && curve.swr.size() == curve.frequency_hz.size(),
              "an SWR curve needs as many frequencies as values, at least one");
      for (std::size_t i = 0; i < curve.swr.size(); ++i) {
        require(curve.swr[i] >= 1.0, "an SWR must be >= 1");
        require(std::isfinite(curve.frequency_hz[i]) && curve.frequency_hz[i] > (i ? curve.frequency_hz[i - 1] : 0.0),
                "the frequencies of an SWR curve must be > 0, finite and rising");
      }
    }
  }
}

std::vector<std::string> distinct_labels(const std::vector<SwrPanel>& panels) {
  std::vector<std::string> labels;
  for (const SwrPanel& panel : panels) {
    for (const SwrCurve& curve : panel.curves) {
      if (std::find(labels.begin(), labels.end(), curve.label) == labels.end()) labels.push_back(curve.label);
    }
  }
  return labels;
}

struct Span {
  double low_mhz, high_mhz;
};

Span frequency_span(const SwrPanel& panel) {
  Span span{1e300, 0.0};
  for (const SwrCurve& curve : panel.curves) {
    span.low_mhz = std::min(span.low_mhz, 1e-6 * curve.frequency_hz.front());
    span.high_mhz = std::max(span.high_mhz, 1e-6 * curve.frequency_hz.back());
  }
  if (span.high_mhz <= span.low_mhz) return {0.995 * span.low_mhz, 1.005 * span.low_mhz};
  return span;
}

std::string rows(const SwrCurve& curve) {
  std::string text;
  for (std::size_t i = 0; i < curve.swr.size(); ++i) {
    text += fmt::format("{:.9g} {:.6g}\n", 1e-6 * curve.frequency_hz[i], std::min(curve.swr[i], capped_swr));
  }
  return text;
}

/// Places of arrows: on an even raster of the frequency axis, side by side from curve to curve, where the curve is
/// above the frame.
std::string edge_rows(const SwrCurve& curve, Span span, std::size_t index, std::size_t count) {
  constexpr int raster = 5;
  std::string text;
  for (int k = 0; k < raster; ++k) {
    const double share = (static_cast<double>(index) + 0.5) / static_cast<double>(count);
    const double f = span.low_mhz + (span.high_mhz - span.low_mhz) * (k + 0.15 + 0.7 * share) / raster;
    const auto after = std::lower_bound(curve.frequency_hz.begin(), curve.frequency_hz.end(), 1e6 * f);
    if (after == curve.frequency_hz.end()) continue;
    const auto i = static_cast<std::size_t>(after - curve.frequency_hz.begin());
    if (curve.swr[i] > top_swr && (i == 0 || curve.swr[i - 1] > top_swr)) text += fmt::format("{:.9g} 8.4 0 1.5\n", f);
  }
  return text;
}

}  // namespace

Chart swr_chart(const std::vector<SwrPanel>& panels, double swr_limit, const ChartText& text,
                const std::string& shaded) {
  check(panels, swr_limit);
  const std::vector<std::string> labels = distinct_labels(panels);
  bool above = false;
  std::vector<std::string> titles;
  for (const SwrPanel& panel : panels) {
    titles.push_back(panel.title);
    for (const SwrCurve& curve : panel.curves) {
      above = above || std::any_of(curve.swr.begin(), curve.swr.end(), [](double s) { return s > top_swr; });
    }
  }
  std::vector<std::string> notes;
  if (above)
    notes.push_back(
        "Arrows at the top edge: SWR above 10; in each group, from left to right, in the order of the list.");
  if (std::any_of(panels.begin(), panels.end(), [](const SwrPanel& panel) { return panel.use_high_hz > 0.0; })) {
    notes.push_back("Grey: " + shaded + ".");
  }
  if (swr_limit > top_swr) notes.push_back(fmt::format("The limit, SWR {:.4g}, lies above the scale.", swr_limit));

  std::vector<LegendEntry> entries;
  for (std::size_t i = 0; i < labels.size(); ++i) {
    const LineStyle style = line_style(i);
    entries.push_back({labels[i], line_options(style) + " lw 1.3",
                       fmt::format("lc rgb '{}' pt {} ps 0.55", style.colour, style.mark), ""});
  }
  const double page_pt = page_width_pt - 2.0 * page_margin_pt;
  const Legend legend(entries, page_pt);
  const Surround surround(text, notes);
  const std::string limit = fmt::format("limit {:.4g}", swr_limit);
  constexpr double limit_size_pt = 6.5;
  const PanelGrid grid(titles, 100.0, 26.0, text_width_pt(limit, limit_size_pt) + 4.0);
  constexpr double ticks_pt = 14.0, axis_title_pt = 12.0, row_gap_pt = 8.0;
  const double frame_pt = grid.columns == 1 ? 250.0 : grid.columns == 2 ? 130.0 : 105.0;
  const double row_pt = grid.head_pt + frame_pt + ticks_pt + row_gap_pt;
  Page page(surround.top_pt() + row_pt * static_cast<double>(grid.rows) + axis_title_pt + legend.height_pt() + 4.0 +
            surround.bottom_pt());

  for (std::size_t p = 0; p < panels.size(); ++p) {
    const Span span = frequency_span(panels[p]);
    const double step = even_step((span.high_mhz - span.low_mhz) / (grid.columns == 1 ? 6.0 : 2.5));
    const double top = page.height_pt() - surround.top_pt() - row_pt * static_cast<double>(grid.row(p)) - grid.head_pt;
    std::string commands =
        fmt::format("set border 15 lw 0.6\nset logscale y\nset xrange [{:.9g}:{:.9g}]\nset yrange [1:10]\n"
                    "set xtics {:.9g} font ',7' nomirror scale 0.5 offset 0,0.15\nset format x '%.{}f'\n"
                    "set ytics (1, 1.5, 2, 3, 5, 10) font ',7' nomirror scale 0.5 offset 0.6,0\n"
                    "set grid xtics ytics lc rgb '#D0D0D0' lw 0.4 dt solid\n",
                    span.low_mhz, span.high_mhz, step, step_decimals(step));
    std::string plots;
    if (panels[p].use_high_hz > 0.0) {
      const std::string use = page.data(
          fmt::format("{:.9g} 1 10\n{:.9g} 1 10\n", 1e-6 * panels[p].use_low_hz, 1e-6 * panels[p].use_high_hz));
      plots +=
          fmt::format("{} using 1:2:3 with filledcurves lc rgb '#E4E4E4' fs solid 1.0 noborder notitle, \\\n  ", use);
    }
    if (swr_limit <= top_swr) {
      const std::string line =
          page.data(fmt::format("{:.9g} {:.6g}\n{:.9g} {:.6g}\n", span.low_mhz, swr_limit, span.high_mhz, swr_limit));
      plots += fmt::format("{} with lines lc rgb '#000000' dt (2,3) lw 1.1 notitle, \\\n  ", line);
      page.text({grid.x(p) + grid.panel_width_pt + 4.0, top - frame_pt * (1.0 - std::log10(swr_limit))}, limit,
                limit_size_pt);
    }
    for (std::size_t c = 0; c < panels[p].curves.size(); ++c) {
      const SwrCurve& curve = panels[p].curves[c];
      const auto index =
          static_cast<std::size_t>(std::find(labels.begin(), labels.end(), curve.label) - labels.begin());
      const LineStyle style = line_style(index);
      const std::string name = page.data(rows(curve));
      plots += fmt::format("{} with linespoints {} lw 1.3 pt {} ps 0.55 pi {} notitle, \\\n  ", name,
                           line_options(style), style.mark, std::max<std::size_t>(1, curve.swr.size() / 6));
      const std::string edge = edge_rows(curve, span, c, panels[p].curves.size());
      if (!edge.empty()) {
        plots += fmt::format("{} with vectors size screen 0.004,25 filled lc rgb '{}' lw 0.9 dt solid notitle, \\\n  ",
                             page.data(edge), style.colour);
      }
    }
    commands += fmt::format("plot {}NaN notitle\n", plots);
    page.panel({grid.x(p), top - frame_pt}, {grid.x(p) + grid.panel_width_pt, top}, commands);
    grid.put_title(page, p, top);
    if (grid.lowest(p)) {
      page.text({grid.x(p) + 0.5 * grid.panel_width_pt, top - frame_pt - ticks_pt - 5.0}, "frequency, MHz", 7.0,
                Align::centre);
    }
    if (p % grid.columns == 0) {
      page.text({grid.x(p) - grid.left_pt + 2.0, top - 0.5 * frame_pt}, "SWR", 7.0, Align::centre, 90);
    }
  }
  page.legend(legend, {page_margin_pt, surround.bottom_pt() + legend.height_pt()}, page_pt);
  surround.put(page);
  return page.finish();
}

}  // namespace stile::plots

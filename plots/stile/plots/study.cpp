#include <stile/plots/study.hpp>

#include <algorithm>
#include <cmath>

#include <stile/base/errors.hpp>
#include <stile/plots/line_panels.hpp>

namespace stile::plots {

Chart study_chart(const std::vector<StudyPanel>& panels, const std::string& axis, const ChartText& text) {
  std::vector<std::string> legend;
  std::vector<detail::LinePanel> drawn;
  for (const StudyPanel& panel : panels) {
    detail::LinePanel lines;
    lines.title = panel.title;
    lines.x_title = axis;
    lines.y_title = "dB against full power";
    for (const StudyCurve& curve : panel.curves) {
      require(!curve.value.empty() && curve.value.size() == curve.loss_db.size(),
              "a curve of a study needs as many losses as values");
      const auto known = std::find(legend.begin(), legend.end(), curve.label);
      detail::PanelLine line{static_cast<std::size_t>(known - legend.begin()), {{}}};
      for (std::size_t n = 0; n < curve.value.size(); ++n) {
        if (std::isfinite(curve.loss_db[n]))
          line.pieces.back().push_back({curve.value[n], -curve.loss_db[n]});
        else if (!line.pieces.back().empty())
          line.pieces.emplace_back();
      }
      if (line.pieces.back().empty()) line.pieces.pop_back();
      if (line.pieces.empty()) continue;
      if (known == legend.end()) legend.push_back(curve.label);
      lines.lines.push_back(std::move(line));
    }
    if (!lines.lines.empty()) drawn.push_back(std::move(lines));
  }
  require(!drawn.empty(), "a chart of a study needs a finite loss");
  return detail::line_chart(drawn, legend, {150.0, 130.0}, text, {});
}

}  // namespace stile::plots

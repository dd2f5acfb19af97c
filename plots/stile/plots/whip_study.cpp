#include <stile/plots/whip_study.hpp>

#include <array>

#include <stile/base/errors.hpp>
#include <stile/plots/line_panels.hpp>

namespace stile::plots {

using namespace detail;

Chart whip_study_chart(const std::vector<wire::AntennaStudy>& conditions, const ChartText& text) {
  require(!conditions.empty() && conditions.size() <= 16, "a chart of a whip takes 1 to 16 conditions");
  const bool coil = !conditions.front().coil.empty();
  std::vector<std::string> labels;
  for (const wire::AntennaStudy& c : conditions) {
    require(!c.length.empty() && c.coil.empty() != coil,
            "a study needs lengths, and places of a coil in all conditions or in none");
    labels.push_back(c.condition);
  }
  struct Quantity {
    const char *title, *axis;
    double (*value)(const wire::AntennaStudyPoint&);
    bool from_zero;
  };
  constexpr std::array<Quantity, 3> quantities{
      {{"Feed reactance", "reactance, ohm", [](const wire::AntennaStudyPoint& p) { return p.feed_ohm.imag(); }, false},
       {"Efficiency of the antenna", "efficiency, %",
        [](const wire::AntennaStudyPoint& p) { return 100.0 * p.efficiency; }, true},
       {"Efficiency, tuned at the feed", "efficiency, %",
        [](const wire::AntennaStudyPoint& p) { return 100.0 * p.tuned_efficiency; }, true}}};
  std::vector<LinePanel> panels;
  for (const Quantity& q : quantities) {
    const auto add = [&](std::vector<wire::AntennaStudyPoint> wire::AntennaStudy::*points, const char* x_title) {
      LinePanel panel{q.title, x_title, q.axis, "", false, q.from_zero, 1, {}};
      for (std::size_t i = 0; i < conditions.size(); ++i) {
        PanelLine line{i, {{}}};
        for (const wire::AntennaStudyPoint& p : conditions[i].*points)
          line.pieces.front().push_back({p.x_m, q.value(p)});
        panel.lines.push_back(std::move(line));
      }
      panels.push_back(std::move(panel));
    };
    if (coil) add(&wire::AntennaStudy::coil, "coil's distance from the feed, m");
    add(&wire::AntennaStudy::length, "length of the whip, m");
  }
  return line_chart(panels, labels, {coil ? 100.0 : 400.0, 105.0}, text,
                    {"Tuned at the feed: a coil in series there takes the reactance away; its loss counts."});
}

}  // namespace stile::plots

#include "design/charts.hpp"

#include <algorithm>
#include <limits>
#include <map>
#include <span>

#include <fmt/format.h>

#include <stile/plan/frontier.hpp>
#include <stile/plan/plan.hpp>
#include <stile/plots/frontier.hpp>
#include <stile/plots/study.hpp>

#include "cli/cautions.hpp"
#include "cli/command_line.hpp"

namespace stile::tools {
namespace {

plots::ChartText text_of(const std::string& title, const station::Brief& brief, const design::Design& design) {
  return {brief.name + ": " + title,
          fmt::format("{}{}. Computed by {}{}", brief.note.empty() ? "" : brief.note + ". ",
                      design.status == design::Status::unfinished ? "Unfinished: the best so far"
                                                                  : "The best of each class of touch",
                      version_text("stile-design"), chart_caution)};
}

const char* counted(const design::Design& design) {
  return design.towards_path ? "towards the other station" : "radiated";
}

/// Band centres of a series and its losses, by rising frequency.
plots::StudyCurve curve_of(const std::string& label, const station::Brief& brief, const std::vector<std::string>& bands,
                           const std::vector<double>& loss_db) {
  std::vector<std::pair<double, double>> points;
  for (std::size_t n = 0; n < bands.size(); ++n) {
    for (const station::Band& band : brief.given.bands) {
      if (band.name == bands[n]) points.push_back({1e-6 * band.design_hz, loss_db[n]});
    }
  }
  std::sort(points.begin(), points.end());
  plots::StudyCurve curve{label, {}, {}};
  for (const auto& [mhz, db] : points) {
    curve.value.push_back(mhz);
    curve.loss_db.push_back(db);
  }
  return curve;
}

plots::StudyCurve as_stated(const std::string& label, const station::Brief& brief,
                            const std::vector<design::BandFigures>& figures) {
  std::vector<std::string> bands;
  std::vector<double> loss_db;
  for (const design::BandFigures& f : figures) {
    bands.push_back(f.band);
    loss_db.push_back(f.counted_db);
  }
  return curve_of(label, brief, bands, loss_db);
}

plots::StudyCurve on_walks(const std::string& label, const station::Brief& brief, const design::Design& design,
                           const design::ArrangementWalks& walks, double design::WalkFigure::*which) {
  std::vector<std::string> bands;
  std::vector<double> loss_db;
  for (const design::WalkBand& b : walks.bands) {
    const auto& figure = design.towards_path && b.path_db ? b.path_db : b.radiated_db;
    if (!figure) continue;
    bands.push_back(b.band);
    loss_db.push_back((*figure).*which);
  }
  return curve_of(label, brief, bands, loss_db);
}

std::string label_of(const design::DesignedStation& station) {
  return fmt::format("touch {}: {}", station::touch_name(station.touch), station.network_name);
}

plots::Chart bands_chart(const station::Brief& brief, const design::Design& design,
                         const design::Comparison& comparison) {
  std::vector<plots::StudyPanel> panels{{std::string("as stated, worst condition, ") + counted(design), {}}};
  for (const design::DesignedStation& s : design.stations)
    panels[0].curves.push_back(as_stated(label_of(s), brief, s.bands));
  for (const design::PresentStation& p : comparison.present)
    panels[0].curves.push_back(as_stated("today: " + p.name, brief, p.figures));
  const std::pair<const char*, double design::WalkFigure::*> kinds[] = {
      {"median of the walks", &design::WalkFigure::median},
      {"nine walks of ten are no worse", &design::WalkFigure::tenth}};
  for (const auto& [title, which] : kinds) {
    if (comparison.walks == 0) break;
    plots::StudyPanel panel{title, {}};
    for (std::size_t n = 0; n < comparison.stations.size(); ++n)
      panel.curves.push_back(on_walks(label_of(design.stations[n]), brief, design, comparison.stations[n], which));
    for (const design::PresentStation& p : comparison.present)
      panel.curves.push_back(on_walks("today: " + p.name, brief, design, p.walks, which));
    std::erase_if(panel.curves, [](const plots::StudyCurve& c) { return c.value.empty(); });
    if (!panel.curves.empty()) panels.push_back(std::move(panel));
  }
  return plots::study_chart(panels, "band, MHz", text_of("loss on each band", brief, design));
}

plots::Chart lengths_chart(const station::Brief& brief, const design::Design& design) {
  // The lengths of wire with the best antennas, each over the whip.
  std::map<std::vector<double>, std::map<double, double>> by_wire;
  for (const design::TriedAntenna& t : design.tried) {
    const auto at = by_wire[t.antenna.wires_m].try_emplace(t.antenna.whip_m, t.objective_db).first;
    at->second = std::min(at->second, t.objective_db);
  }
  std::vector<std::pair<double, std::vector<double>>> best;
  for (const auto& [wires, over_whip] : by_wire) {
    double least = std::numeric_limits<double>::infinity();
    for (const auto& [whip, db] : over_whip) least = std::min(least, db);
    best.push_back({least, wires});
  }
  std::sort(best.begin(), best.end());
  constexpr std::size_t most_curves = 8;
  best.resize(std::min(best.size(), most_curves));
  plots::StudyPanel panel{fmt::format("objective, mean over the bands, {}", counted(design)), {}};
  for (const auto& [least, wires] : best) {
    plots::StudyCurve curve{wires.empty() ? "no wire" : fmt::format("wire {:.4g} m", fmt::join(wires, " + ")), {}, {}};
    for (const auto& [whip, db] : by_wire[wires]) {
      curve.value.push_back(whip);
      curve.loss_db.push_back(db);
    }
    panel.curves.push_back(std::move(curve));
  }
  if (panel.curves.empty()) throw UsageError("--show lengths: no antenna was tried; legal: bands mass");
  const design::DesignedStation& first = design.stations.front();
  return plots::study_chart(
      {panel}, "whip, m",
      text_of(fmt::format("lengths tried for \"{}\", best whip {:.4g} m with wire {:.4g} m", label_of(first),
                          first.antenna.whip_m, fmt::join(first.antenna.wires_m, " + ")),
              brief, design));
}

plots::Chart mass_chart(const station::Brief& brief, const design::Design& design) {
  plots::TradePanel panel{fmt::format("mean over the bands, {}", counted(design)), {}};
  std::vector<plan::CostAndGain> all;
  for (const design::DesignedStation& s : design.stations) {
    const double power_w = plan::power_below(brief.given.transmitter.source.power_w, s.objective_db);
    if (!(power_w > 0.0)) continue;
    panel.points.push_back({label_of(s), s.mass_kg, power_w, false});
    all.push_back({s.mass_kg, power_w});
  }
  if (panel.points.empty()) throw UsageError("--show mass: no station radiates; legal: bands lengths");
  const std::vector<bool> unbeaten = plan::on_frontier(all);
  for (std::size_t n = 0; n < unbeaten.size(); ++n) panel.points[n].unbeaten = unbeaten[n];
  return plots::trade_chart({panel}, "mass of antenna and match, kg", "power, W",
                            text_of("power against mass", brief, design));
}

}  // namespace

plots::Chart design_chart(const std::string& what, const station::Brief& brief, const design::Design& design,
                          const design::Comparison& comparison) {
  if (what == "bands") return bands_chart(brief, design, comparison);
  if (what == "lengths") return lengths_chart(brief, design);
  return mass_chart(brief, design);
}

}  // namespace stile::tools

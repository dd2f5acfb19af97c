#include "design/charts.hpp"

#include <algorithm>

#include <fmt/format.h>

#include <stile/plan/plan.hpp>
#include <stile/plots/design.hpp>
#include <stile/plots/frontier.hpp>

#include "cli/cautions.hpp"
#include "cli/command_line.hpp"
#include "design/words.hpp"

namespace stile::tools {
namespace {

plots::ChartText text_of(const std::string& title, const std::string& shown, const station::Brief& brief,
                         const design::Design& design) {
  return {brief.name + ": " + title,
          fmt::format("{}{}. Computed by {}{}", brief.note.empty() ? "" : brief.note + ". ",
                      design.status == design::Status::unfinished ? "Unfinished: the best so far" : shown,
                      version_text("stile-design"), chart_caution)};
}

std::string label_of(const design::DesignedStation& station) {
  return fmt::format("touch {}: {}", station::touch_name(station.touch), station.network_name);
}

double power_w(const station::Brief& brief, double loss_db) {
  return plan::power_below(brief.given.transmitter.source.power_w, loss_db);
}

/// By the brief's bands; 0 where the station has no such one.
std::vector<double> stated_w(const station::Brief& brief, const std::vector<design::BandFigures>& figures) {
  std::vector<double> all;
  for (const station::Band& band : brief.given.bands) {
    const auto here =
        std::find_if(figures.begin(), figures.end(), [&](const design::BandFigures& f) { return f.band == band.name; });
    all.push_back(here == figures.end() ? 0.0 : power_w(brief, here->counted_db));
  }
  return all;
}

std::vector<std::optional<Range>> walks_w(const station::Brief& brief, const design::ArrangementWalks& walks) {
  std::vector<std::optional<Range>> all;
  for (const station::Band& band : brief.given.bands) {
    const auto here = std::find_if(walks.bands.begin(), walks.bands.end(),
                                   [&](const design::WalkBand& w) { return w.band == band.name; });
    all.emplace_back();
    if (here == walks.bands.end()) continue;
    const auto& figure = band.path && here->path_db ? here->path_db : here->radiated_db;
    if (figure) all.back() = Range{power_w(brief, figure->tenth), power_w(brief, figure->median)};
  }
  return all;
}

std::string power_axis(const design::Design& design) {
  return "power that " + what_counts(design, " (as an isotropic radiator's)") + ", W";
}

plots::Chart bands_chart(const station::Brief& brief, const design::Design& design,
                         const design::Comparison& comparison) {
  std::vector<std::string> bands;
  for (const station::Band& band : brief.given.bands) bands.push_back(band.name);
  std::vector<plots::BandPower> stations;
  for (std::size_t n = 0; n < design.stations.size(); ++n) {
    const design::DesignedStation& s = design.stations[n];
    stations.push_back({label_of(s), stated_w(brief, s.bands), {}});
    if (n >= comparison.stations.size()) continue;
    const bool trimmed = comparison.trimmed[n].has_value();
    stations.back().walks_w = walks_w(brief, trimmed ? *comparison.trimmed[n] : comparison.stations[n]);
    if (trimmed) stations.back().label += " (on each walk)";
  }
  for (const design::PresentStation& p : comparison.present)
    stations.push_back(
        {"today: " + p.name, stated_w(brief, p.figures), walks_w(brief, p.trimmed ? *p.trimmed : p.walks)});
  if (stations.empty()) throw UsageError("--show bands: no station was found; legal: a brief that can be met");
  return plots::band_power_chart(
      bands, stations, power_axis(design),
      text_of("power on each band, worst condition", "The best of each class of touch", brief, design));
}

std::optional<plots::Chart> lengths_chart(const station::Brief& brief, const design::Design& design,
                                          const design::AnswerOptions& asking) {
  if (design.stations.empty() || design.stations.front().antenna.wires_m.empty())
    throw UsageError("--show lengths: there is no station with a wire; legal: bands mass hands");
  const design::DesignedStation& first = design.stations.front();
  const design::LengthMap map = design::length_map(brief, design, 11, 15, asking);
  if (map.unfinished) return {};
  return plots::lengths_map_chart(
      map, design.objective == design::Objective::held,
      text_of(fmt::format(
                  "loss over the lengths{}, {}{}, its match set anew; mean over the bands of what {}, worst condition",
                  first.antenna.wires_m.size() > 1 ? " of whip and longest wire" : "", label_of(first),
                  extras_text(first), what_counts(design)),
              "The first of the best", brief, design));
}

/// A frontier, as it was found, and the best of each class that is not on it.
plots::Chart frontier_chart(const station::Brief& brief, const design::Design& design, const design::Answer& answer,
                            bool mass) {
  const std::string other = mass ? "bands lengths hands" : "bands lengths mass";
  plots::TradePanel panel{fmt::format("mean of the bands' dB of what {}, worst condition", what_counts(design)), {}};
  const auto add = [&](const design::DesignedStation& s, bool unbeaten) {
    const double gain_w = power_w(brief, s.objective_db);
    if (!(gain_w > 0.0) || (mass && !s.mass_known)) return;
    const double cost = mass ? s.mass_kg : static_cast<double>(design::touches_of(s));
    panel.points.push_back({label_of(s), cost, gain_w, unbeaten});
  };
  const std::vector<std::size_t>& frontier = mass ? answer.frontiers.by_mass : answer.frontiers.by_hands;
  for (const std::size_t n : frontier) add(answer.frontiers.stations[n], true);
  for (const design::DesignedStation& s : design.stations) {
    const auto same = [&](std::size_t n) {
      const design::DesignedStation& known = answer.frontiers.stations[n];
      return known.antenna == s.antenna && known.network == s.network;
    };
    if (std::none_of(frontier.begin(), frontier.end(), same)) add(s, false);
  }
  if (panel.points.empty())
    throw UsageError(fmt::format("--show {}: {}; legal: {}", mass ? "mass" : "hands",
                                 mass ? "no station radiates of which [mass] states the match" : "no station radiates",
                                 other));
  return plots::trade_chart(
      {panel}, mass ? "mass of antenna and match, kg" : "things touched, at a change of band and of condition",
      power_axis(design),
      text_of(mass ? "power against mass" : "power against what a hand touches",
              "The antennas and matches that nothing tried beats, and the best of each class of touch", brief, design),
      design.objective == design::Objective::held
          ? "None costs as little, gives as much and holds as many bands: where a step goes down, more bands hold."
          : plots::unbeaten_in_power);
}

}  // namespace

void check_lengths(const station::Brief& brief) {
  if (!(brief.whip.range_m.low < station::longest_whip_m(brief)))
    throw UsageError("--show lengths: the brief leaves one length of whip; legal: bands mass hands");
  if (brief.most_wires == 0 || !(brief.wire.range_m.low < brief.wire.range_m.high))
    throw UsageError("--show lengths: the brief leaves one length of wire, or none; legal: bands mass hands");
}

std::optional<plots::Chart> design_chart(const std::string& what, const station::Brief& brief,
                                         const design::Design& design, const design::Answer& answer,
                                         const design::Comparison& comparison, const design::AnswerOptions& asking) {
  if (what == "bands") return bands_chart(brief, design, comparison);
  if (what == "lengths") return lengths_chart(brief, design, asking);
  return frontier_chart(brief, design, answer, what == "mass");
}

}  // namespace stile::tools

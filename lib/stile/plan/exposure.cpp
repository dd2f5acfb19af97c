#include <stile/plan/exposure.hpp>

#include <algorithm>
#include <optional>
#include <variant>

#include <stile/base/errors.hpp>
#include <stile/safety/assess.hpp>

namespace stile::plan {
namespace {

/// The highest voltage across a coil in series: between its tap and the end at the antenna.
double coil_v_peak(const ConditionResult& c) {
  double highest = 0.0;
  for (std::size_t n = 0; n < c.ladder.elements.size(); ++n) {
    const network::Element& e = c.ladder.elements[n];
    if (e.place == network::Place::series && std::holds_alternative<network::Inductor>(e.part))
      highest = std::max(highest, c.evaluation.elements[n].voltage_v_peak);
  }
  return highest;
}

}  // namespace

std::vector<safety::UseExposure> plan_exposures(const station::Station& station, const std::vector<BandResult>& bands,
                                                const std::function<void(const std::string&)>& progress,
                                                unsigned threads) {
  safety::ExposureOptions options;
  options.levels = station.exposure.levels;
  options.duty = station.exposure.duty;
  options.solve = wire::with_tables({});
  options.threads = threads;
  std::vector<safety::UseExposure> all;
  for (const BandResult& band : bands) {
    require(band.arrangements.size() == station.arrangements.size(), "the bands are of another station");
    std::vector<safety::ExposureCase> cases;
    std::vector<safety::PoweredUse> uses;
    // Of each antenna and condition: its case, solved once and only when an arrangement stands on it.
    std::vector<std::vector<std::optional<std::size_t>>> index(station.antennas.size());
    for (std::size_t a = 0; a < station.antennas.size(); ++a) index[a].resize(station.antennas[a].loads.size());
    for (std::size_t n = 0; n < band.arrangements.size(); ++n) {
      const std::size_t antenna = station.arrangements[n].antenna;
      const std::vector<ConditionResult>& conditions = band.arrangements[n].conditions;
      for (std::size_t c = 0; c < conditions.size(); ++c) {
        const auto& wires = station.antennas.at(antenna).loads.at(c).solved_from;
        if (!wires || !conditions[c].possible) continue;
        std::optional<std::size_t>& place = index[antenna][c];
        if (!place) {
          wire::WireCase one;
          one.name = conditions[c].condition;
          one.antenna = wires->antenna;
          one.ground = wires->ground;
          one.carried = wires->carried;
          one.hand = wires->hand;
          place = cases.size();
          cases.push_back({one, wire::solve_antenna(one.antenna, one.ground, band.band.design_hz, options.solve), 1.0});
        }
        uses.push_back({band.band.name, band.arrangements[n].name, *place, conditions[c].evaluation.power.delivered_w,
                        coil_v_peak(conditions[c])});
      }
    }
    if (progress && !cases.empty()) progress(band.band.name + ": fields at people");
    for (safety::UseExposure& u : safety::use_exposures(cases, uses, options, station.exposure.body))
      all.push_back(std::move(u));
  }
  return all;
}

std::vector<std::string> taken_findings(const Plan& plan) {
  std::vector<safety::Verdict> taken;
  std::vector<safety::BodyRow> rows;
  for (const BandResult& band : plan.bands) {
    if (!band.taken) continue;
    for (const safety::UseExposure& u : plan.exposures) {
      if (u.band != band.band.name || u.arrangement != band.arrangements[*band.taken].name) continue;
      taken.insert(taken.end(), u.verdicts.begin(), u.verdicts.end());
      rows.insert(rows.end(), u.body_rows.begin(), u.body_rows.end());
    }
  }
  return safety::public_findings(taken, rows);
}

}  // namespace stile::plan

#include <stile/plan/exposure.hpp>

#include <optional>

#include <stile/base/errors.hpp>
#include <stile/safety/assess.hpp>

namespace stile::plan {

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
          place = cases.size();
          cases.push_back({one, wire::solve_antenna(one.antenna, one.ground, band.band.design_hz, options.solve), 1.0});
        }
        uses.push_back({band.band.name, band.arrangements[n].name, *place, conditions[c].evaluation.power.delivered_w});
      }
    }
    if (progress && !cases.empty()) progress(band.band.name + ": fields at people");
    for (safety::UseExposure& u : safety::use_exposures(cases, uses, options)) all.push_back(std::move(u));
  }
  return all;
}

std::vector<std::string> taken_findings(const Plan& plan) {
  std::vector<safety::Verdict> taken;
  for (const BandResult& band : plan.bands) {
    if (!band.taken) continue;
    for (const safety::UseExposure& u : plan.exposures) {
      if (u.band == band.band.name && u.arrangement == band.arrangements[*band.taken].name)
        taken.insert(taken.end(), u.verdicts.begin(), u.verdicts.end());
    }
  }
  return safety::public_findings(taken);
}

}  // namespace stile::plan

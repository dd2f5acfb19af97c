#include <stile/plan/frontier.hpp>

#include <algorithm>
#include <cmath>

#include <stile/base/errors.hpp>
#include <stile/plan/compared.hpp>
#include <stile/plan/worst_figures.hpp>

namespace stile::plan {

std::vector<bool> on_frontier(std::span<const CostAndGain> all) {
  std::vector<bool> on;
  for (const CostAndGain& one : all) {
    on.push_back(std::none_of(all.begin(), all.end(), [&](const CostAndGain& other) {
      return other.cost <= one.cost && other.gain >= one.gain && (other.cost < one.cost || other.gain > one.gain);
    }));
  }
  return on;
}

std::vector<BandFrontier> band_frontiers(const station::Station& station, const Plan& plan,
                                         const std::vector<PartsList>& parts) {
  require(parts.size() == station.arrangements.size(), "the parts are of another station");
  std::vector<BandFrontier> all;
  for (std::size_t b = 0; b < plan.bands.size(); ++b) {
    const std::vector<ArrangementResult>& of = plan.bands[b].arrangements;
    require(of.size() == parts.size(), "the plan is of another station");
    for (const Comparable& group : comparable_groups(station, plan.bands[b].counted)) {
      BandFrontier frontier{b, group.antenna, plan.bands[b].counted != Counted::delivered, {}};
      std::vector<CostAndGain> by_mass, by_hands;
      for (const std::size_t n : group.arrangements) {
        if (!std::isfinite(of[n].worst_swr) || (frontier.radiated && !of[n].radiated_w)) continue;
        const double power_w = frontier.radiated
                                   ? *of[n].radiated_w
                                   : power_below(station.transmitter.source.power_w, worst_figures(of[n]).loss_db);
        frontier.points.push_back({n, parts[n].mass_kg, of[n].hands, power_w});
        by_mass.push_back({parts[n].mass_kg, power_w});
        by_hands.push_back({static_cast<double>(of[n].hands), power_w});
      }
      const std::vector<bool> mass = on_frontier(by_mass), hands = on_frontier(by_hands);
      for (std::size_t k = 0; k < frontier.points.size(); ++k)
        frontier.points[k].by_mass = mass[k], frontier.points[k].by_hands = hands[k];
      all.push_back(std::move(frontier));
    }
  }
  return all;
}

}  // namespace stile::plan

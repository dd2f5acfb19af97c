#include <stile/plan/antenna_wind.hpp>

#include <algorithm>

namespace stile::plan {

std::vector<safety::AntennaWind> antenna_winds(const station::Station& station) {
  std::vector<safety::AntennaWind> all;
  if (!station.whip_on_body) return all;
  for (std::size_t n = 0; n < station.antennas.size(); ++n) {
    const auto used = [&](const station::Arrangement& a) { return a.antenna == n; };
    if (std::none_of(station.arrangements.begin(), station.arrangements.end(), used)) continue;
    const station::Antenna& antenna = station.antennas[n];
    std::vector<wire::WireCase> conditions;
    for (const station::AntennaLoad& load : antenna.loads) {
      if (!load.solved_from) continue;
      wire::WireCase& one = conditions.emplace_back();
      one.name = load.load.name;
      one.antenna = load.solved_from->antenna;
    }
    if (!conditions.empty())
      all.push_back({antenna.name, antenna.pole, safety::worst_wind(conditions, antenna.pole, station.exposure.stand)});
  }
  return all;
}

}  // namespace stile::plan

#include <stile/plan/compared.hpp>

#include <numeric>

namespace stile::plan {

bool antennas_comparable(Counted counted) { return counted != Counted::delivered; }

std::vector<Comparable> comparable_groups(const station::Station& station, Counted counted) {
  std::vector<Comparable> groups;
  for (std::size_t antenna = 0; antenna < station.antennas.size(); ++antenna) {
    Comparable group{antenna, {}};
    for (std::size_t n = 0; n < station.arrangements.size(); ++n) {
      if (station.arrangements[n].antenna == antenna) group.arrangements.push_back(n);
    }
    if (!group.arrangements.empty()) groups.push_back(std::move(group));
  }
  if (groups.empty() || (groups.size() > 1 && !antennas_comparable(counted))) return groups;
  Comparable all{std::nullopt, std::vector<std::size_t>(station.arrangements.size())};
  std::iota(all.arrangements.begin(), all.arrangements.end(), std::size_t{0});
  return {std::move(all)};
}

}  // namespace stile::plan

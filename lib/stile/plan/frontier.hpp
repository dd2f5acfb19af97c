#pragma once
// Which arrangements no other one beats in mass, or in hands, and in power.

#include <optional>
#include <span>
#include <vector>

#include <stile/plan/parts_list.hpp>

namespace stile::plan {

/// What something costs and what it gives.
struct CostAndGain {
  double cost = 0.0, gain = 0.0;  ///< no nan
};

/// Whether no other one costs no more and gives no less, one of them really. Equal ones are both in.
std::vector<bool> on_frontier(std::span<const CostAndGain> all);

struct FrontierPoint {
  std::size_t arrangement = 0;
  double mass_kg = 0.0;
  int hands = 0;  ///< things a hand moves between conditions
  double power_w =
      0.0;  ///< radiated in the worst normal condition, or delivered where that is not known of every antenna
  bool by_mass = false, by_hands = false;  ///< on the frontier of each
};

struct BandFrontier {
  std::size_t band = 0;
  std::optional<std::size_t> antenna{};  ///< of the station: the points are of this one alone, since antennas cannot be
                                         ///< compared on the band (compared.hpp); nothing: of all
  bool radiated = false;                 ///< what power_w is
  std::vector<FrontierPoint> points;     ///< of arrangements that can be made; whether they hold is not asked
};

/// For every band, and where antennas cannot be compared for each of them, in their order.
/// @param parts  of parts_lists
/// @throws DomainError  of another station
std::vector<BandFrontier> band_frontiers(const station::Station& station, const Plan& plan,
                                         const std::vector<PartsList>& parts);

}  // namespace stile::plan

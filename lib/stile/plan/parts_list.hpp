#pragma once
// What each arrangement is made of, what it weighs and how much room it takes.

#include <optional>
#include <string>
#include <vector>

#include <stile/plan/plan.hpp>

namespace stile::plan {

/// Where a mass is from.
enum class Known {
  stated,    ///< in the station file
  computed,  ///< from the part's own geometry
  typical,   ///< of such a part for a few watts: from memory, to be weighed
};

/// "stated", "computed", "typical".
std::string known_name(Known known);

struct Part {
  std::string name;
  int count = 1;
  double mass_kg = 0.0;               ///< of all of them
  std::optional<double> volume_m3{};  ///< likewise, of the boxes or cylinders that hold them
  Known known = Known::typical;
};

struct PartsList {
  std::size_t arrangement = 0;  ///< of Station::arrangements
  std::vector<Part> parts;
  double mass_kg = 0.0;                  ///< sum
  double volume_m3 = 0.0;                ///< sum of those known
  bool typical = false;                  ///< some of it is
  std::vector<std::string> no_mass{};    ///< "antenna", "battery": carried, and in no figure here, for it is not stated
  std::vector<std::string> no_volume{};  ///< parts whose volume is not known: volume_m3 is without them
};

/// One for each arrangement, in their order: its antenna and the battery where their mass is stated (else no_mass), and
/// what stands between set and antenna. That is what "carried" or "mass" state; else cables, the parts of its settings
/// on all bands, relays and coil. Parts that a hand moves are one tapped coil or one variable capacitor for all bands,
/// others a part for each value.
///
/// @param plan  of that station
/// @throws DomainError  a plan of another station
/// Accuracy: a coil's wire is pi d^2/4 times its length times the metal's density within 1e-6; what is typical is
/// within a factor of two or so (from memory).
std::vector<PartsList> parts_lists(const station::Station& station, const Plan& plan);

}  // namespace stile::plan

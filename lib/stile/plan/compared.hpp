#pragma once
// Which arrangements of a band may be compared with one another. Everything that calls one better than another asks
// here.

#include <optional>
#include <vector>

#include <stile/plan/plan.hpp>

namespace stile::plan {

/// Whether what counts on one antenna may be held against what counts on another: not where power into the antenna
/// counts, of which nobody knows how much either radiates.
bool antennas_comparable(Counted counted);

/// Arrangements that may be compared with one another, by ArrangementResult::counted_db.
struct Comparable {
  std::optional<std::size_t>
      antenna{};  ///< of the station, on which all of them are; nothing: all of the station's are in
  std::vector<std::size_t> arrangements;  ///< of the station, in its order; never empty
};

/// All arrangements, each once: those of each antenna by themselves, in the order of the antennas, where antennas may
/// not be compared and several have an arrangement; else all together. Nothing of a station without arrangements.
/// @param counted  of the band
std::vector<Comparable> comparable_groups(const station::Station& station, Counted counted);

}  // namespace stile::plan

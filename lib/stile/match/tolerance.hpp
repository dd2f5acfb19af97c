#pragma once
// Real parts: preferred values and tolerances.

#include <cstdint>
#include <optional>

#include <stile/match/eseries.hpp>
#include <stile/network/ladder.hpp>

namespace stile::match {

struct Snapped {
  network::Ladder ladder;  ///< every coil and capacitor at a preferred value; other parts as they were
  network::Evaluation evaluation;
};

/// The preferred values next to a ladder's own that leave the least SWR: for each coil and capacitor the value below
/// and the value above are tried in every combination (ties: the lesser loss).
///
/// @param inductors, capacitors  the series each kind is bought in; none leaves that kind as it is (a coil is wound)
/// @throws DomainError  more than 16 coils and capacitors
Snapped snap_to_series(const network::Ladder& ladder, const network::Source& source, double frequency_hz,
                       cdouble z_load_ohm, std::optional<ESeries> inductors, std::optional<ESeries> capacitors);

struct Tolerances {
  double inductor = 0.05;  ///< relative, 0 <= tolerance < 1
  double capacitor = 0.05;
  double swr_limit = 2.0;  ///< > 1, for the yield
  int samples = 2000;      ///< random draws, 1 .. 10^7
  std::uint64_t seed = 1;  ///< the same seed gives the same result on every machine
};

struct Spread {
  double worst_swr = 0.0;             ///< of all corners (every part at an end of its range) and all draws
  double median_swr = 0.0;            ///< of the draws
  double swr_95 = 0.0;                ///< 95 % of the draws are not above this
  double worst_dissipation_db = 0.0;  ///< of all corners and draws
  double yield = 0.0;                 ///< share of draws within the SWR limit
};

/// What tolerances of coils and capacitors do to a match. Draws are uniform within each part's range and independent.
///
/// Corners are looked at one by one up to 12 toleranced parts (4096); beyond that only the draws count.
/// Accuracy of the yield: a standard deviation of sqrt(yield (1 - yield) / samples).
/// @throws DomainError  a value outside its stated range
Spread tolerance_spread(const network::Ladder& ladder, const network::Source& source, double frequency_hz,
                        cdouble z_load_ohm, const Tolerances& tolerances);

}  // namespace stile::match

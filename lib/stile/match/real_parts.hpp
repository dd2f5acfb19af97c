#pragma once
// The solutions of a match with what real parts make of them.

#include <optional>
#include <span>
#include <vector>

#include <stile/match/match.hpp>
#include <stile/match/tolerance.hpp>

namespace stile::match {

/// What is bought; nothing leaves exact values.
struct RealParts {
  std::optional<ESeries> inductor_series, capacitor_series;
  std::optional<Tolerances> tolerances;
};

/// One solution with what real parts make of it.
struct RealMatch {
  MatchSolution solution;
  std::optional<double>
      share_of_widest_band;  ///< band over load_limit's; nothing for a constant load, and where no limit is known
  std::optional<Snapped> preferred;  ///< when a series is stated
  std::optional<Spread> spread;      ///< when tolerances are stated; of what is built

  /// With preferred values when there are some.
  const network::Ladder& built() const { return preferred ? preferred->ladder : solution.ladder; }
  const network::Evaluation& built_evaluation() const {
    return preferred ? preferred->evaluation : solution.evaluation;
  }
};

/// solve_match, each solution with its share of the widest band, its preferred values and its spread.
///
/// @return  in solve_match's order
/// @throws DomainError  as solve_match, snap_to_series and tolerance_spread
std::vector<RealMatch> match_with_real_parts(const MatchRequest& request, const RealParts& parts);

/// The SWR of what is built across its band and as far again on both sides.
struct SwrAcross {
  /// Of what is built, its ends perhaps those of the load's data; without width where its SWR is over the limit.
  Bandwidth band;
  std::vector<double> frequency_hz, swr;  ///< rising; the band's ends and the design frequency are among them
  std::vector<double> swr_95, worst_swr;  ///< with tolerances, as in Spread; empty without them
};

/// @param m  of match_with_real_parts(request, parts)
/// @return  61 frequencies and the three named, 2 % to each side where there is no band; fewer where the load's data or
///          the model of a part end
/// @throws DomainError  as swr_bandwidth and tolerance_spread
/// Accuracy: each value is that of network::evaluate or of tolerance_spread at its frequency.
SwrAcross swr_across(const MatchRequest& request, const RealParts& parts, const RealMatch& m);

/// The least SWR of what is built; nothing when there is no solution.
std::optional<double> least_built_swr(std::span<const RealMatch> matches);

/// The SWR when the worst of its parts is 1 % off: never below that of the solution itself.
double worst_swr_at_one_percent(const MatchSolution& solution);

}  // namespace stile::match

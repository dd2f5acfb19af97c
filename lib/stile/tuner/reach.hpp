#pragma once
// How far a load may wander before a network that stays as it is leaves its SWR limit.

#include <optional>
#include <span>
#include <vector>

#include <stile/base/range.hpp>
#include <stile/network/ladder.hpp>

namespace stile::tuner {

/// The loads, in the impedance plane, that at least one of several settings brings within an SWR limit: a union of
/// circular discs (or of what lies outside a circle), cut at R = 0.
struct Reach {
  bool inside = false;  ///< the load asked about is within it
  double way_out_ohm =
      0.0;  ///< |Z - load| of the nearest load that leaves it; 0 when not inside, infinite: none leaves
  cdouble way_out_load_ohm{};  ///< that load; the load itself when not inside or none leaves
  double way_in_ohm = 0.0;    ///< |Z - load| of the nearest load that is inside; 0 when inside, infinite: there is none
  cdouble way_in_load_ohm{};  ///< that load; the load itself when inside or there is none
};

/// @param settings     ladders, each a setting in which the network may stand; at least one
/// @param swr_limit    > 1, finite
/// @param load_ohm     finite, real part >= 0
/// @throws DomainError a value outside its range; a setting through which nothing passes
/// Accuracy: at way_out_load_ohm and way_in_load_ohm the SWR of some setting is the limit, and of none less, within
/// 1e-9; no load nearer to the one asked about does the same (asserted against 10^4 directions).
Reach reach(std::span<const network::Ladder> settings, const network::Source& source, double frequency_hz,
            double swr_limit, cdouble load_ohm);

/// A piece of the region's edge, in order, both ends included; where the edge closes on itself the first point comes
/// again.
using ReachEdge = std::vector<cdouble>;

/// The edge of that region: pieces of circles on which one setting has the limit and no other has less, R >= 0.
///
/// @param tolerance     > 0: farthest that a chord leaves its piece, in reflection against reference_ohm; R = 0 itself
///                      is no edge
/// @throws DomainError  as reach; tolerance or reference not > 0
/// Accuracy: at each point the SWR is the limit within 1e-9.
std::vector<ReachEdge> trace_reach(std::span<const network::Ladder> settings, const network::Source& source,
                                   double frequency_hz, double swr_limit, double reference_ohm = 50.0,
                                   double tolerance = 1e-3);

/// Share, by length, of the straight ways in the impedance plane between every two of the loads that lies inside the
/// region: 1 when all that the load may do on its way is within the limit. One load, or loads that are all the
/// same: 1 or 0.
/// @param loads_ohm     at least one, finite, real part >= 0
/// @throws DomainError  as reach
/// Accuracy: 1e-9.
double share_within_reach(std::span<const network::Ladder> settings, const network::Source& source, double frequency_hz,
                          double swr_limit, std::span<const cdouble> loads_ohm);

/// How much of the straight way between two loads lies within the region before it is left for the first time: 0..1.
/// @return  0 when the way begins outside; nothing when none of it is outside
/// @throws DomainError  as reach
/// Accuracy: at that place of the way the SWR is the limit within 1e-9.
std::optional<double> way_until_out(std::span<const network::Ladder> settings, const network::Source& source,
                                    double frequency_hz, double swr_limit, cdouble from_ohm, cdouble to_ohm);

}  // namespace stile::tuner

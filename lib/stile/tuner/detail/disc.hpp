#pragma once
// The loads that one state brings to an SWR limit: a disc of the reflection plane.

#include <cstdint>
#include <vector>

#include <stile/network/chain.hpp>
#include <stile/tuner/tuner.hpp>

namespace stile::tuner::detail {

/// Where a disc's loads lie.
enum class DiscKind {
  none,     ///< no load at all reaches the limit (a lossy state, and a limit below what it can do)
  inside,   ///< |Gamma - centre| <= radius
  outside,  ///< |Gamma - centre| >= radius: a state whose loss hides the load
  everywhere,
};

/// Gamma = (Z - reference)/(Z + reference). The disc may reach beyond |Gamma| = 1, where no passive load is.
struct SwrDisc {
  DiscKind kind = DiscKind::none;
  cdouble centre{};
  double radius = 0.0;
  bool contains(cdouble reflection) const;
};

/// @param z_source_ohm   real part > 0
/// @param swr_limit      >= 1, finite
/// @param reference_ohm  > 0
/// @throws DomainError   a value outside its range
/// Accuracy: on the edge the SWR equals the limit within 1e-9 (asserted by direct evaluation; an edge that happens to
/// be straight is given a bend of 1e-8). Where nothing passes, or values are beyond what a double holds: none.
/// Source:
/// |f| <= rho |e| with f and e linear in Gamma, a circle of Apollonius.
SwrDisc swr_disc(const network::Chain& chain, cdouble z_source_ohm, double swr_limit, double reference_ohm);

/// One disc a state, by index: the range for that SWR is their union. A state through which nothing passes has none.
/// @throws DomainError  as swr_disc
std::vector<SwrDisc> swr_discs(const Tuner& tuner, const TunerTable& table, cdouble z_source_ohm, double swr_limit,
                               double reference_ohm);

}  // namespace stile::tuner::detail

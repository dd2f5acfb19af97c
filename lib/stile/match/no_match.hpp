#pragma once
// Why a request has no solution.

#include <cstddef>

#include <stile/match/match.hpp>

namespace stile::match {

/// What excludes every network.
enum class NoMatch {
  no_resistance,     ///< the load has none: no power can reach it
  inductor_losses,   ///< there are networks when the coils have no loss
  capacitor_losses,  ///< not so, but there are when the capacitors have none
  all_losses,        ///< neither, but there are when no part has any
  beyond_losses,     ///< there are none even then: the form, the limits of the parts or the free choice exclude them
};

struct NoMatchReason {
  NoMatch why = NoMatch::beyond_losses;
  std::size_t networks = 0;  ///< how many there are without these losses; 0 where losses are not the reason
};

/// Solves the request again without the losses of coils, of capacitors and of both, in this order, until something
/// matches.
///
/// @param request  one for which solve_match finds nothing; of another the answer has no meaning
/// @throws DomainError  as solve_match
NoMatchReason why_no_match(const MatchRequest& request);

}  // namespace stile::match

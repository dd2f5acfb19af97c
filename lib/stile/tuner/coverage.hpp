#pragma once
// How much of a circle of constant SWR a tuner brings to an SWR limit.

#include <span>
#include <vector>

#include <stile/tuner/tuner.hpp>

namespace stile::tuner {

struct Coverage {
  double load_swr = 0.0, swr_limit = 0.0;
  double fraction = 0.0;  ///< of the circle's loads, by angle of their reflection, 0..1
};

/// Every load SWR with every limit, in that order. Exact: each state's disc cuts an arc from the circle, and the
/// lengths of their union are added; nothing is sampled.
///
/// @param load_swr       each > 1, finite
/// @param swr_limit      each >= 1, finite
/// @param reference_ohm  > 0: of the loads' reflection
/// @throws DomainError   a value outside its range; otherwise as choose_state
/// Accuracy: within 1e-9 of the circle (asserted against arcs bounded by the search of all states). Loads exactly on an
/// arc's end are of measure zero.
std::vector<Coverage> coverage(const Tuner& tuner, const TunerTable& table, cdouble z_source_ohm,
                               std::span<const double> load_swr, std::span<const double> swr_limit,
                               double reference_ohm = 50.0);

}  // namespace stile::tuner

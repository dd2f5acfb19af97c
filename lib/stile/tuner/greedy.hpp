#pragma once
// What a tuner finds by itself: a walk from by-pass, led by the SWR alone, first coarse and then fine.

#include <stile/tuner/tuner.hpp>

namespace stile::tuner {

struct GreedyResult {
  TunerStatus status = TunerStatus::not_run;  ///< found: it ended within the limit; out_of_reach: it did not
  TunerState state{};
  double swr = 0.0, dissipation_db = 0.0;
  std::size_t measurements = 0;  ///< SWR readings taken, the relays' moves
  double greatest_swr = 0.0;     ///< of these readings; infinite where nothing passes
  double true_least_swr = 0.0;   ///< of all states
  bool false_minimum = false;    ///< it ended above the limit though some state is within it
};

/// The walk starts where the least is known: at the straightest connection, no part in (a T: all in), on each side that
/// the tuner has. Coarse: each arm in turn is set to none, to one of its parts alone, or to all, and the best reading
/// kept, until a round changes nothing; the better side goes on. Fine: each arm goes one step of its settings (in the
/// order of their values) up or down, as long as the SWR falls.
/// The procedure is ours, of the kind that is common practice; a given tuner's own may differ.
///
/// @throws DomainError  as choose_state
GreedyResult greedy_search(const Tuner& tuner, const TunerTable& table, cdouble z_source_ohm, cdouble z_load_ohm,
                           double swr_limit);

/// States that a fine walk cannot leave: no single step of one arm lowers the SWR.
struct LocalMinimum {
  std::uint64_t index = 0;
  double swr = 0.0;
};
/// Least SWR first. All but the first are false minima. @throws DomainError  as choose_state
std::vector<LocalMinimum> local_minima(const Tuner& tuner, const TunerTable& table, cdouble z_source_ohm,
                                       cdouble z_load_ohm);

}  // namespace stile::tuner

#pragma once
// What an automatic tuner finds by itself in place of the best state, and whether it can while the transmitter folds
// back.

#include <optional>
#include <vector>

#include <stile/plan/plan.hpp>
#include <stile/tuner/greedy.hpp>

namespace stile::plan {

/// A tuner's own search in a normal condition, at the design frequency of a band.
struct OwnSearch {
  std::size_t band = 0, arrangement = 0, condition = 0;  ///< of the plan and its station
  tuner::GreedyResult walk;                              ///< as the tuner sees its load and its own input
  double swr = 0.0;                                      ///< at the transmitter, as the search leaves it
  double loss_db =
      0.0;  ///< full power over power into the antenna then, fold-back inside; infinite when none is offered
  double lost_db = 0.0;    ///< of that, what the best state would not lose; below 0 where the walk happens on less loss
                           ///< beyond the SWR limit; not a number where both lose everything
  double offered_w = 0.0;  ///< least that the transmitter offers while the tuner searches: at the greatest SWR it reads
  std::optional<bool> can_tune{};  ///< that is as much as the tuner needs; nothing: it is not stated what it needs
};

/// For every band, tuner and normal condition, in their order; of a tuner that cannot be set nothing.
///
/// @param plan     of that station
/// @param threads  0: as many as the machine has; the result does not depend on it
/// @throws DomainError  a plan of another station
/// The walk is that of tuner::greedy_search: ours, of the kind that is common practice. The transmitter folds back by
/// the SWR at the tuner; a cable before it makes that milder.
/// Accuracy: 1e-9 against evaluating the walk's state.
std::vector<OwnSearch> own_searches(const station::Station& solved, const Plan& plan, unsigned threads = 0);

}  // namespace stile::plan

#include <stile/plan/detail/own_walk.hpp>

#include <algorithm>

#include <stile/plan/detail/judge.hpp>

namespace stile::plan::detail {

OwnWalk own_walk(const station::Transmitter& transmitter, const station::Arrangement& tuner, double frequency_hz,
                 cdouble z_load_ohm) {
  OwnWalk own;
  own.walk = tuner::greedy_search(tuner.tuner, tuner::tabulate(tuner.tuner, frequency_hz), transmitter.source.z_ohm,
                                  behind_cable(tuner, frequency_hz, z_load_ohm), transmitter.swr_limit);
  own.left = evaluate_offered(transmitter, whole_ladder(tuner, tuner::tuner_elements(tuner.tuner, own.walk.state)),
                              frequency_hz, z_load_ohm);
  own.offered_w = std::min(tuner.tune_power_w.value_or(network::infinite),
                           station::power_at_swr(transmitter, own.walk.greatest_swr));
  if (tuner.least_tune_power_w) own.can_tune = own.offered_w >= *tuner.least_tune_power_w;
  return own;
}

}  // namespace stile::plan::detail

#pragma once
// A tuner's own search at one frequency, and what the transmitter makes of it. Internal to the room.

#include <optional>

#include <stile/station/station.hpp>
#include <stile/tuner/greedy.hpp>

namespace stile::plan::detail {

struct OwnWalk {
  tuner::GreedyResult walk;        ///< as the tuner sees its load and its own input
  network::Evaluation left;        ///< as the walk leaves it, fold-back inside
  double offered_w = 0.0;          ///< least that the transmitter offers while the tuner searches
  std::optional<bool> can_tune{};  ///< that is as much as the tuner needs; nothing: it is not stated what it needs

  /// Whether a walker who leaves the tuner to itself is served.
  bool serves(double swr_limit) const { return left.swr <= swr_limit && can_tune.value_or(true); }
};

/// @param tuner  an arrangement that sets itself
OwnWalk own_walk(const station::Transmitter& transmitter, const station::Arrangement& tuner, double frequency_hz,
                 cdouble z_load_ohm);

}  // namespace stile::plan::detail

#pragma once
// A tuner's own walk, read as its meter does. Internal to the room.

#include <cmath>
#include <vector>

#include <stile/tuner/detail/arms.hpp>
#include <stile/tuner/greedy.hpp>

namespace stile::tuner::detail {

/// One arm of relays: its settings in the order of their values.
struct Knob {
  std::uint32_t TunerState::*mask;
  std::vector<std::uint32_t> rising;  // masks
  std::vector<std::size_t> place;     // of a mask in `rising`
};

/// A tuner at one frequency and source, for many loads.
class GreedyWalk {
public:
  /// @throws DomainError  as choose_state
  GreedyWalk(const Tuner& tuner, const TunerTable& table, cdouble z_source_ohm);

  /// status, true_least_swr and false_minimum are left as they are.
  GreedyResult from_bypass(cdouble z_load_ohm) const;

  LoadEnd load(cdouble z_load_ohm) const { return load_end(z_load_ohm, arms_[0].dual); }
  Ends ends(const TunerState& s, const LoadEnd& load) const {
    return ends_at(arms_[s.side == CapacitorSide::load ? 1 : 0], arm_index(tuner_, s), load);
  }
  /// Infinite where nothing passes.
  double swr(const TunerState& s, const LoadEnd& load) const {
    const double value = swr_of(ends(s, load), arms_[0].source.real());
    if (std::isnan(value)) return network::infinite;
    return value;
  }

  std::vector<Knob> knobs;
  std::vector<CapacitorSide> sides;

private:
  bool try_setting(const LoadEnd& load, GreedyResult& result, const Knob& knob, std::uint32_t mask) const;

  Tuner tuner_;
  std::vector<Arms> arms_;
};

/// The index that tuner.hpp defines, from masks and side.
std::uint64_t index_of(const Tuner& tuner, const TunerState& s);

}  // namespace stile::tuner::detail

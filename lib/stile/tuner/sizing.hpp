#pragma once
// How few relays bring given loads to an SWR, and with which steps.

#include <span>
#include <vector>

#include <stile/base/range.hpp>
#include <stile/tuner/tuner.hpp>

namespace stile::tuner {

struct SizingLoad {
  double frequency_hz = 0.0;
  cdouble z_ohm{};
};

/// What is searched: binary banks (each part twice the one before) in the frame of a tuner.
struct SizingRequest {
  Tuner frame;                     ///< form, sides, losses, strays, contacts; its values are replaced
  double swr_limit = 2.0;          ///< >= 1, finite
  std::size_t most_bits = 8;       ///< in one arm, 1..most_sizing_bits(frame.form)
  Range steps_h{0.05e-6, 0.8e-6};  ///< of the smallest inductor, > 0
  Range steps_f{5e-12, 80e-12};    ///< of the smallest capacitor, > 0
  std::size_t steps = 5;           ///< trial values of each, evenly spread on a logarithmic scale, >= 1
};

struct Sizing {
  std::size_t relays = 0;  ///< one a part, and one for the side of an L that has both
  std::size_t inductor_bits = 0, capacitor_bits = 0;
  double step_h = 0.0, step_f = 0.0;
  double worst_swr = network::infinite;  ///< over the loads, each at its best state
};

struct SizingResult {
  TunerStatus status = TunerStatus::not_run;
  Sizing fewest;                  ///< fewest relays within the limit, least worst SWR of those
  std::vector<Sizing> trade_off;  ///< for each number of relays the least worst SWR, rising relays
};

/// Most parts of one bank: 10 in an L, 8 in a T, pi or lcl, two banks of which are alike: 2^24 states at most.
std::size_t most_sizing_bits(TunerForm form);

/// The largest part of a binary bank whose smallest is `step`.
double largest_part(double step, std::size_t bits);

/// Looks at every number of bits and every step of the request; gives up a candidate at its first load that is worse
/// than what stands. @throws DomainError  no loads, values outside their range
SizingResult size_banks(const SizingRequest& request, cdouble z_source_ohm, std::span<const SizingLoad> loads);

}  // namespace stile::tuner

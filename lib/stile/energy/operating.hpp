#pragma once
// What an hour of operating draws from the battery: set, talk, and a tuner that holds and tunes.

#include <vector>

#include <stile/energy/battery.hpp>

namespace stile::energy {

/// How current follows what is said or keyed.
struct TalkMode {
  std::string_view name;   ///< as safety::duty names its modes
  Range current_factor;    ///< mean over key-down current while the key or the voice is on, 0..1
  std::string_view basis;  ///< where the factor comes from
};

/// In the order in which messages name them.
std::span<const TalkMode> talk_modes();

/// The set and how it is used.
struct SetDraw {
  double receive_a = 0.0;          ///< >= 0
  double transmit_a = 0.0;         ///< key down at full power, > receive_a
  Range current_factor{1.0, 1.0};  ///< of the mode
  double talk_share = 0.0;         ///< of the time, 0..1
};

/// What an automatic tuner takes. All 0: none, or latching relays that do nothing between two tunings.
struct TunerDraw {
  double hold_a = 0.0;         ///< >= 0, all the time: relays held, control awake
  double tune_a = 0.0;         ///< >= 0, beside the carrier, while it tunes
  double tune_time_s = 0.0;    ///< >= 0, of one tuning, transmitter key down
  double tunes_per_h = 0.0;    ///< >= 0; tuning takes less than an hour of an hour
  double carrier_share = 1.0;  ///< of the set's transmit current during a tuning, 0..1: its tune power draws less
};

/// How long one arrangement runs.
struct OperatingTime {
  Range mean_current_a;      ///< over the mode's factor
  Range time_h;              ///< over factor, exponent, cold, and whether the battery recovers in pauses
  double tuner_a = 0.0;      ///< the tuner's part of the mean current, its tune carrier inside
  double time_lost_h = 0.0;  ///< what the tuner costs, at the mean of the ranges; 0 without one
};

/// @throws DomainError  a value out of its range
/// Accuracy: 1e-12 of Peukert's law; see operating_time_h for what the law can say.
OperatingTime operating_time(const Battery& battery, const SetDraw& set, const TunerDraw& tuner = {});

}  // namespace stile::energy

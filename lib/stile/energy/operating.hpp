#pragma once
// What an hour of operating draws from the battery: set, talk, and a tuner that holds and tunes.

#include <string_view>

#include <stile/energy/battery.hpp>

namespace stile::energy {

/// Mean over key-down current while the key or the voice is on, 0..1, for a mode of safety::mode_duties. A set's
/// current follows amplitude, with an idling current below.
///
/// "SSB" 0.35..0.60 and "CW" 0.45..0.55: common practice. "SSB processed": that of "SSB" times the root of the two
/// modes' power duties, 0.55..0.95 (derived). "slotted digital": its share of slots, 0.5. Every other mode is a
/// carrier: 1.
/// @throws DomainError  another name; the message lists the legal ones
Range current_factor(std::string_view mode);

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
  double mean_current_a = 0.0;   ///< at the middle of the mode's factor
  Range mean_current_range_a;    ///< over the factor
  double time_h = 0.0;           ///< by the law on the mean current, at the middle of factor, exponent and cold
  Range time_range_h;            ///< over these, and over whether the battery recovers in pauses; holds time_h
  double tuner_a = 0.0;          ///< the tuner's part of the mean current, its tune carrier inside
  double tuner_hold_a = 0.0;     ///< of that what holds relays and keeps control awake; 0: nothing is held
  double tuner_tuning_a = 0.0;   ///< of that what tuning takes, its carrier above what the set would draw meanwhile
  double tuner_charge_ah = 0.0;  ///< what tuner_a takes in time_h
  double time_lost_h = 0.0;      ///< what the tuner costs of time_h
};

/// Charge that a mean current takes in so many hours, Ah: their product. Not the capacity that a battery must have,
/// which Peukert's law makes larger for large currents.
/// @throws DomainError  a value that is not finite or < 0
double charge_ah(double mean_current_a, double hours);

/// @throws DomainError  a value out of its range
/// Accuracy: 1e-12 of Peukert's law; see operating_time_h for what the law can say.
OperatingTime operating_time(const Battery& battery, const SetDraw& set, const TunerDraw& tuner = {});

}  // namespace stile::energy

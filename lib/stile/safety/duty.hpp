#pragma once
// How much of the key-down power counts over an averaging time: mode, speech processing, share of talk, length of
// overs.

#include <string>
#include <string_view>
#include <vector>

namespace stile::safety {

/// Mean power of a mode within an over, as a share of its peak envelope power.
struct ModeDuty {
  std::string name;  ///< as a person writes it
  double factor = 1.0;
  std::string status;  ///< as safety::Status
  std::string source;
};

/// "SSB" (0.2, no processing), "SSB processed" (0.5), "FM", "RTTY", "FSK", "AFSK" (1), "CW" (0.4), "carrier" (1:
/// tuning, key down), "slotted digital" (0.5).
/// Source: FCC OET Bulletin 65 Supplement B (Edition 97-01), 1997, Table 2;
/// the last one common practice.
const std::vector<ModeDuty>& mode_duties();

/// @throws DomainError  another name; the message lists the legal ones
const ModeDuty& mode_duty(std::string_view name);

/// How somebody transmits.
struct Duty {
  std::string mode = "carrier";  ///< of mode_duties
  double talk_share = 1.0;       ///< above 0, at most 1: share of the time in which he transmits
  double over_s = 60.0;          ///< > 0: length of an over; 1 min is assumed, common practice
  double tune_s = 0.0;           ///< >= 0, at most tune_every_s: length of a tune carrier, key down; 0: none
  double tune_every_s = 360.0;   ///< > 0, from one tune carrier to the next; 6 min is assumed, common practice
  double tuner_s = 0.0;          ///< likewise of a tuner, as it is stated to tune: the two are added
  double tuner_every_s = 360.0;  ///< likewise
};

/// The longest time on in any window when overs alternate with pauses of one length, s.
/// @param over_s, pause_s, window_s  over_s and window_s > 0, pause_s >= 0
/// Source: counting; FCC OET Bulletin 65 Supplement B, 1997, pp. 12-14, uses the worst window too.
double worst_on_s(double over_s, double pause_s, double window_s);

/// Mean power over the worst window of the averaging time, as a share of the peak envelope power: the mode's factor
/// times the share of that window in which the transmitter is on. The share of talk counts only where an over is
/// shorter than the averaging time. Tune carriers count whole, as many as can begin in the window, as if they fell into
/// pauses where there are any. 1 where the level is not averaged (averaging_s 0).
/// @throws DomainError  a value out of its range, or another mode
double mean_power_share(const Duty& duty, double averaging_s);

/// ", with a tune carrier of 5 s every 360 s", the tuner's behind it, or nothing where there is none.
std::string tune_words(const Duty& duty);

/// "SSB (factor 0.2, official text seen), transmitting 0.5 of the time in overs of 60 s" and tune_words.
/// @throws DomainError  another mode
std::string duty_words(const Duty& duty);

/// Mean power, W, of a transmitter that is on for on_s of a window.
/// @param pep_w, window_s > 0  @param on_s  0..window_s  @param factor  0..1
/// For users of the library.
double average_power_w(double pep_w, double factor, double on_s, double window_s);

}  // namespace stile::safety

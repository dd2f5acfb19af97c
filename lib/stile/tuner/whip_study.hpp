#pragma once
// A tuner at the foot of a whip against a coil there: loss over length and frequency.

#include <functional>
#include <optional>
#include <span>
#include <vector>

#include <stile/tuner/tuner.hpp>

namespace stile {

/// Feed impedance, ohm, of a whip of a length (m) at a frequency (Hz); real part > 0.
using WhipLoad = std::function<cdouble(double length_m, double frequency_hz)>;

/// A thin whip over a perfect plane with a resistance in series for the ground:
/// R = 10 (k h)^2 + ground, X = -60 (ln(h/a) - 1)/tan(k h).
///
/// @param length_m   h > 0, below a half wave
/// @param radius_m   a > 0, below h / e
/// @param ground_ohm >= 0
/// @throws DomainError  a value outside its range
/// Accuracy: R is that of a straight-line current, low by a third at a quarter wave (24.7 against 36.6 ohm). X is one of
/// two common estimates: the other has ln(2h/a), 42 ohm / tan(k h) more. Source: half of the short dipole's
/// 20 (k h)^2 and -120 (ln(h/a) - 1)/tan(k h) (Balanis, Antenna Theory; from memory).
cdouble short_whip_ohm(double length_m, double radius_m, double ground_ohm, double frequency_hz);

struct WhipStudyCell {
  double length_m = 0.0, frequency_hz = 0.0;
  cdouble z_ohm{};
  TunerStatus status = TunerStatus::not_run;  ///< out_of_reach: no state within the limit. The state is that of most
                                              ///< delivered power, within the limit where one is
  double swr = 0.0;
  double tuner_dissipation_db = 0.0;
  double tuner_transducer_db = 0.0;  ///< with what the residual SWR reflects
  double coil_db = 0.0;              ///< of a base coil (or, for X > 0, none: 0) that resonates the whip
};

/// Up to this length the coil loses less, at this frequency: the tuner is counted with what its residual SWR reflects.
struct BreakEven {
  double frequency_hz = 0.0;
  std::optional<double> length_m;  ///< between lengths on a straight line; none: the coil wins at no length
                                   ///< (coil_wins_shortest false) or at all of them (true)
  bool coil_wins_shortest = false;
};

struct WhipStudy {
  std::vector<WhipStudyCell> cells;   ///< by frequency, then length
  std::vector<BreakEven> break_even;  ///< one a frequency
};

/// @param coil_q      of the base coil, > 0; its loss is 10 log10(1 + |X| / (Q R)); what brings R to the transmitter's is
///                    taken to lose nothing (a tap, a link), which favours the coil
/// @param length_m    rising, each > 0
/// @throws DomainError  values outside their range; what `load` throws
WhipStudy study_whip(const Tuner& tuner, cdouble z_source_ohm, const WhipLoad& load, std::span<const double> length_m,
                     std::span<const double> frequency_hz, double swr_limit, double coil_q);

}  // namespace stile

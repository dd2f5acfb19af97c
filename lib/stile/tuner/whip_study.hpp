#pragma once
// A tuner at the foot of a whip against a coil there: loss over length and frequency.

#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include <stile/base/range.hpp>
#include <stile/tuner/tuner.hpp>

namespace stile::tuner {

/// Feed impedance, ohm, of a whip of a length (m) at a frequency (Hz); real part > 0.
using WhipLoad = std::function<cdouble(double length_m, double frequency_hz)>;

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

/// A whip over a perfect plane (short_monopole_ohm of the room wire) with a resistance in series for the ground, up to a
/// quarter wave, over even ratios of length and frequency.
struct WhipQuestion {
  double radius_m = 3e-3;                      ///< > 0
  double ground_ohm = 10.0;                    ///< >= 0
  double coil_q = 200.0;                       ///< > 0
  Range lengths_m{0.5, 10.0};                  ///< rising; the least at least 10 radii
  Range band_hz{1.8e6, 30e6};                  ///< rising, > 0
  std::size_t lengths = 61, frequencies = 15;  ///< each >= 2
};

struct ShortWhipStudy {
  std::vector<double> length_m, frequency_hz;  ///< all that were asked for
  WhipStudy study;                             ///< without cells beyond a quarter wave, where the load is not known
};

/// @param progress  called with a line for people before each frequency; may be empty
/// @throws DomainError  values outside their range; every whip is longer than a quarter wave
ShortWhipStudy study_short_whips(const Tuner& tuner, cdouble z_source_ohm, const WhipQuestion& question,
                                 double swr_limit, const std::function<void(const std::string&)>& progress = {});

}  // namespace stile::tuner

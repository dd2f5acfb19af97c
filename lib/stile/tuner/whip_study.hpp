#pragma once
// A tuner at the foot of a whip against a coil there: loss over length and frequency.

#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include <stile/base/range.hpp>
#include <stile/tuner/tuner.hpp>
#include <stile/wire/ground.hpp>

namespace stile::tuner {

/// What a whip is at its feed.
struct WhipFeed {
  cdouble z_ohm{};        ///< real part > 0
  double radiated = 1.0;  ///< share of the power into it that reaches the far field, 0..1
};

/// That of a whip of a length (m) at a frequency (Hz).
using WhipLoad = std::function<WhipFeed(double length_m, double frequency_hz)>;

/// The parts of a base coil with its step to the transmitter: the L network that loses least, or the coil alone, with
/// what it leaves reflected, where that is less.
struct CoilStep {
  double coil_q = 200.0;        ///< of its coils, > 0
  double capacitor_q = 1000.0;  ///< > 0
};

struct WhipStudyCell {
  double length_m = 0.0, frequency_hz = 0.0;
  cdouble z_ohm{};
  double radiated = 1.0;                      ///< see WhipFeed
  TunerStatus status = TunerStatus::not_run;  ///< out_of_reach: no state within the limit. The state is that of most
                                              ///< delivered power, within the limit where one is
  double swr = 0.0;
  double tuner_dissipation_db = 0.0;
  double tuner_transducer_db = 0.0;  ///< with what the residual SWR reflects
  double coil_db = 0.0;    ///< of a base coil with its step to the transmitter, with what it reflects: see CoilStep
  std::string coil_match;  ///< its parts: "shunt capacitor 1.2 nF, series inductor 21 uH"; of none: empty

  double antenna_db() const;  ///< from the power into the whip to what is radiated
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

/// @param step        its losses are inside the solution (match::solve_match). Against a coil that resonates the whip
///                    through a step that loses nothing, 10 log10(1 + |X| / (Q R)), a network of coils of the same Q
///                    loses no more
/// @param length_m    rising, each > 0
/// @throws DomainError  values outside their range; what `load` throws
WhipStudy study_whip(const Tuner& tuner, cdouble z_source_ohm, const WhipLoad& load, std::span<const double> length_m,
                     std::span<const double> frequency_hz, double swr_limit, const CoilStep& step);

/// A carried whip with a trailing wire over real ground, solved at every length, over even ratios of length and
/// frequency. What is not said here is as wire::WhipSet has it: a base of 5 pF and 1 Mohm
/// (wire::usual_base_capacitance_f), the usual set and person where it is carried.
struct WhipQuestion {
  double radius_m = 3e-3;       ///< of the whip, stainless steel; > 0
  double base_height_m = 1.2;   ///< of the feed; above the frame of 0.6 m where it is carried
  double counterpoise_m = 5.0;  ///< of one trailing copper wire of 1 mm, sloping down over 1.2 m ...
  double lying_height_m = 0.1;  ///< ... to lie so high; > 0
  wire::Ground ground{wire::GroundKind::lossy, 15.0, 1e-3};  ///< lossy
  bool carried = true;                                       ///< with set and person
  CoilStep step;
  Range lengths_m{0.5, 10.0};                  ///< rising; the least at least 10 radii
  Range band_hz{1.8e6, 30e6};                  ///< rising, > 0
  std::size_t lengths = 31, frequencies = 15;  ///< each >= 2
};

struct ShortWhipStudy {
  std::vector<double> length_m, frequency_hz;  ///< all that were asked for
  WhipStudy study;
};

/// @param progress  called with a line for people before each frequency; may be empty
/// @param threads   0: as many as the machine has; the result does not depend on it
/// @throws DomainError  values outside their range; as wire::whip_condition
/// Accuracy: that of wire::solve_antenna; soil leaves +-30..50 % on the lost part of the resistance.
ShortWhipStudy study_short_whips(const Tuner& tuner, cdouble z_source_ohm, const WhipQuestion& question,
                                 double swr_limit, const std::function<void(const std::string&)>& progress = {},
                                 unsigned threads = 0);

}  // namespace stile::tuner

#pragma once
// A switched coil in a comparison: its turns, its taps, what it is at each frequency. Internal to the room.

#include <optional>
#include <utility>
#include <vector>

#include <stile/coil/analysis.hpp>
#include <stile/plan/detail/arrange.hpp>

namespace stile::plan::detail {

inline constexpr double most_turns = 150.0;  ///< of a coil whose turns are found

/// Turns with which an arrangement's coil brings the load of every band and condition to resonance, at most most_turns, at
/// least its stated taps.
double resonating_turns(const station::Arrangement& arrangement, const station::Station& station);

/// True when two arrangements wind the same coil, with the same taps: then they may share what is computed for it.
bool same_coil(const station::Arrangement& a, const station::Arrangement& b);

/// How it is set on a band.
struct CoilSetting {
  std::size_t tap = 0;  ///< of CoilTaps::turns; 0: bypassed
  coil::Unused unused = coil::Unused::open;
  double trimmer_f = 0.0;  ///< across the turns in use
  double self_capacitance_f =
      0.0;  ///< of the turns in use, from the slope of their susceptance at the design frequency
  std::optional<network::Element> shunt;  ///< across the transmitter's side
};

/// A wound coil on one band: its impedance at every tap, dead turns open or shorted, the transmitter's end at ground.
/// The same for all arrangements that use the coil.
class CoilTaps {
public:
  /// @param model           kept by reference
  /// @param frequencies_hz  at which it will be asked for, besides the band's own three: computed once
  CoilTaps(const station::SwitchedCoil& coil, const coil::CoilModel& model, const station::Band& band,
           const std::vector<double>& frequencies_hz);

  /// Turns in use at every tap, rising from 0.
  const std::vector<double>& turns() const { return tap_turns_; }

  /// At the coil's end towards the whip against its grounded start, contacts and leads left out: the ring model, its
  /// resistance 10 % higher, the middle of what practice adds.
  cdouble impedance_ohm(std::size_t tap, coil::Unused unused, double frequency_hz) const;

private:
  coil::SquareMatrix<cdouble> at(double frequency_hz) const;

  const coil::CoilModel& model_;
  double switch_ohm_ = 0.0;
  coil::TurnSolution turns_;  // at the design frequency
  std::vector<double> tap_turns_;
  std::vector<std::pair<double, coil::SquareMatrix<cdouble>>> tables_;  // by rising frequency
};

/// How an arrangement uses a wound coil on one band.
class CoilOnBand {
public:
  /// @param taps  of the arrangement's coil on this band, kept by reference
  CoilOnBand(const station::Arrangement& arrangement, const CoilTaps& taps, const station::Band& band);

  /// From transmitter to load: the part across, and the coil as an inductor that has the impedance computed for this very
  /// frequency. Where it is no inductance the part is that impedance itself.
  /// @param q  factor on the Q of coil and shunt coil
  std::vector<network::Element> elements(const CoilSetting& setting, double frequency_hz, double q) const;

  /// The best setting by match_rank; nothing when no tap gives one.
  std::optional<CoilSetting> choose(const station::Arrangement& arrangement, const station::Transmitter& transmitter,
                                    const station::Antenna& antenna, const Corner& corner) const;

  double turns(const CoilSetting& setting) const { return taps_.turns()[setting.tap]; }

private:
  std::vector<std::size_t> taps_for(coil::Unused unused, double transmitter_ohm, double sign, cdouble target_ohm,
                                    double q) const;
  CoilSetting setting(std::size_t tap, coil::Unused unused, double trimmer_f) const;
  double trimmer_for(std::size_t tap, coil::Unused unused, double reactance_ohm) const;

  station::SwitchedCoil coil_;
  match::PartStock stock_;
  network::Rating inductor_rating_, capacitor_rating_;
  std::optional<match::ESeries> capacitor_series_;
  const CoilTaps& taps_;
  station::Band band_;
  std::optional<station::StatedTap> stated_;
};

}  // namespace stile::plan::detail

#pragma once
// A switched coil in a comparison: its turns, its taps, what it is at each frequency. Internal to the room.

#include <optional>
#include <utility>
#include <vector>

#include <stile/coil/analysis.hpp>
#include <stile/match/part_steps.hpp>
#include <stile/network/two_port.hpp>
#include <stile/plan/detail/corner.hpp>

namespace stile::plan::detail {

inline constexpr double most_turns = 150.0;  ///< of a coil whose turns are found

/// Turns with which an arrangement's coil brings the load of every band and condition to resonance, at most most_turns,
/// at least its stated taps.
double resonating_turns(const station::Arrangement& arrangement, const station::Station& station);

/// True when two arrangements wind the same coil, with the same taps: then they may share what is computed for it.
bool same_coil(const station::Arrangement& a, const station::Arrangement& b);

/// Positions of a variable capacitor across a coil, from nothing to all of it.
inline constexpr std::size_t trimmer_positions = 25;

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

  /// The same of two taps, both against the grounded start, as a two-port; turns beyond the higher one are dead.
  network::ImpedanceMatrix pair_ohm(std::size_t first, std::size_t second, coil::Unused unused,
                                    double frequency_hz) const;

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

  /// Everything the coil can be set to: one part for each treatment of the dead turns, tap and trimmer as they are
  /// numbered there. Taps above a resonance are left out, unless the file states them.
  match::PartList positions(const std::vector<double>& frequencies_hz, const Corner& corner) const;

  /// From now on only positions that leave the dead turns open, or shorted, as this one does: a hand does not change
  /// that.
  void leave_turns_as_in(const match::Choice& position) { left_ = unused(position); }

  /// A position as an inductor that has the impedance computed for this very frequency; where that is no inductance the
  /// part is the impedance itself. Nothing when the coil is bypassed.
  std::optional<network::Element> element(const match::Choice& position, double frequency_hz,
                                          const Corner& corner) const;

  double turns(const match::Choice& position) const { return taps_.turns()[position.tap]; }
  coil::Unused unused(const match::Choice& position) const;
  double trimmer_f(const match::Choice& position) const;

private:
  double self_capacitance_f(std::size_t tap, coil::Unused unused) const;
  network::Component part(const match::Choice& position, cdouble with_trimmer_ohm, double frequency_hz,
                          const Corner& corner) const;

  station::SwitchedCoil coil_;
  match::PartStock stock_;
  const CoilTaps& taps_;
  station::Band band_;
  std::optional<station::StatedTap> stated_;
  std::optional<coil::Unused> left_;
  std::vector<double> own_f_[2];  // self-capacitance by tap, dead turns open and shorted
};

}  // namespace stile::plan::detail

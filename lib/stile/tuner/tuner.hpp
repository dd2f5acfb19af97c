#pragma once
// An automatic tuner as a bank of switched parts: a finite family of ladders, one for each state of its relays.

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include <stile/network/ladder.hpp>

namespace stile::tuner {

enum class TunerForm {
  l,           ///< inductors in series, capacitors across, on the transmitter's or the load's side of them
  t,           ///< capacitors in series, inductors across, capacitors in series
  pi_network,  ///< capacitors across, inductors in series, capacitors across
  lcl,         ///< inductors in series, capacitors across, inductors in series
};

enum class CapacitorSide { transmitter, load };

/// Inductors in series, each by-passed by its relay or in. Every position's contact is always in the current's way.
struct InductorArm {
  std::vector<double> values_h;         ///< each > 0
  network::Loss loss{};                 ///< of the inductors
  double stray_h = 0.0;                 ///< in series, always there, lossless
  double open_contact_f = 0.0;          ///< of a relay's open contact, across the inductor that is in; >= 0; 0 in a T
  std::vector<network::Loss> losses{};  ///< one a part in place of `loss`, or empty
  std::vector<network::Rating> ratings{};  ///< one a part, or empty: not stated
};

/// Capacitors in parallel, each switched in by its relay, whose contact is in series with it.
struct CapacitorArm {
  std::vector<double> values_f;  ///< each > 0
  network::Loss loss{};
  double stray_f = 0.0;         ///< across the arm, always there, lossless
  double open_contact_f = 0.0;  ///< of a relay's open contact, in series with the capacitor that is out, lossless; >= 0
  std::vector<network::Loss> losses{};  ///< as in an InductorArm
  std::vector<network::Rating> ratings{};
};

struct Tuner {
  std::string name;
  TunerForm form = TunerForm::l;
  bool capacitor_at_transmitter = true, capacitor_at_load = true;  ///< sides that an L can switch to; at least one
  double contact_ohm = 0.0;                                        ///< of one relay contact, >= 0
  InductorArm inductors;
  CapacitorArm capacitors;       ///< L: the only ones; pi and T: those on the transmitter's side
  CapacitorArm load_capacitors;  ///< pi and T only
  InductorArm load_inductors{};  ///< lcl only, on the load's side
  network::Rating inductor_rating{}, capacitor_rating{};  ///< of the whole arm
};

/// Limit on the number of states, so that an enumeration ends in reasonable time and memory.
inline constexpr std::uint64_t most_tuner_states = std::uint64_t{1} << 24;

/// Number of states. @throws DomainError  a value outside its range, no parts at all, or more than most_tuner_states
std::uint64_t state_count(const Tuner& tuner);

/// One setting of the relays: bit n of a mask is part n of that arm.
/// index = ((side * 2^load_capacitors + load_capacitor_mask) * 2^capacitors + capacitor_mask) * 2^inductors +
/// inductor_mask, where side is 0 for the transmitter's, 1 for the load's (0 when there is only one); in an lcl index =
/// (load_inductor_mask * 2^inductors + inductor_mask) * 2^capacitors + capacitor_mask.
struct TunerState {
  std::uint64_t index = 0;
  std::uint32_t inductor_mask = 0, capacitor_mask = 0, load_capacitor_mask = 0;
  CapacitorSide side = CapacitorSide::transmitter;
  double inductance_h = 0.0;        ///< with the stray
  double capacitance_f = 0.0;       ///< with the stray
  double load_capacitance_f = 0.0;  ///< pi and T
  std::uint32_t load_inductor_mask = 0;
  double load_inductance_h = 0.0;  ///< lcl, with the stray
};

/// @throws DomainError  index out of range
TunerState tuner_state(const Tuner& tuner, std::uint64_t index);

/// The state as ladder elements (banks), transmitter to load. An arm with nothing in it, no contact resistance in the
/// way and no stray is left out: it is a wire in series or nothing across. Inductors with an open-contact capacitance
/// stand as one element each ("inductors 2" is the second part).
/// @throws DomainError  a mask or side that the tuner does not have; a T through which nothing could pass: an open
///                      series arm (no capacitor in, no stray), or a short across (no inductor in, no contact
///                      resistance, no stray)
std::vector<network::Element> tuner_elements(const Tuner& tuner, const TunerState& state);

/// Immittances of every setting of each arm at one frequency.
struct TunerTable {
  double frequency_hz = 0.0;
  std::vector<cdouble> inductor_z_ohm;       ///< by mask
  std::vector<cdouble> capacitor_y_siemens;  ///< by mask
  std::vector<cdouble> load_capacitor_y_siemens;
  std::vector<cdouble> load_inductor_z_ohm{cdouble{}};  ///< lcl; one wire otherwise
};

/// @param frequency_hz  > 0, finite
/// @throws DomainError  the tuner or the frequency is outside its range
/// Accuracy: within 1e-12 of the impedance of the state's elements (asserted).
TunerTable tabulate(const Tuner& tuner, double frequency_hz);

enum class TunerStatus {
  not_run,
  found,
  out_of_reach,  ///< no state comes under the SWR limit
};

struct TunerSetting {
  TunerStatus status = TunerStatus::not_run;
  TunerState state{};
  double swr = 0.0;
  double dissipation_db = 0.0;
};

/// Loss from available to delivered power, dB: the dissipation and what the residual SWR reflects.
/// @param swr  >= 1; infinite gives infinite
double transducer_db(double swr, double dissipation_db);

struct TunerChoice {
  TunerSetting least_swr;   ///< of all states; ties go to the lesser loss, then to the lower index
  TunerSetting least_loss;  ///< least heat in the parts (dissipation_db), of the states within the SWR limit, ties to
                            ///< the lesser SWR, then to the lower index; out_of_reach when there are none. Another
                            ///< state may deliver more: this one may reflect what it does not burn
  TunerSetting
      most_delivered;  ///< least dissipation and mismatch together (transducer_db), of the states within the SWR
                       ///< limit, or of all when none is; ties go to the lesser SWR, then to the lower index
};

/// Looks at every state through which something can pass (see tuner_elements).
///
/// @param table          of the same tuner
/// @param z_source_ohm   real part > 0
/// @param z_load_ohm     real part >= 0; 0 makes every dissipation infinite, a tie
/// @param swr_limit      >= 1; infinite: every state is within it
/// @throws DomainError   a value outside its range, or a table whose lengths do not fit the tuner
/// Accuracy: SWR and loss equal a ladder's evaluation within 1e-9 (asserted).
/// Cost: 3 to 8 ns a state.
TunerChoice choose_state(const Tuner& tuner, const TunerTable& table, cdouble z_source_ohm, cdouble z_load_ohm,
                         double swr_limit);

/// choose_state(...).most_delivered alone, the same state. Settings that cannot be it are passed over by bounds on the
/// power delivered and on the reflection, so it looks at a small part of all states.
///
/// @throws DomainError  as choose_state
/// Cost: about a twentieth of choose_state, for a tuner of 2^17 states.
TunerSetting most_delivered_state(const Tuner& tuner, const TunerTable& table, cdouble z_source_ohm, cdouble z_load_ohm,
                                  double swr_limit);

}  // namespace stile::tuner

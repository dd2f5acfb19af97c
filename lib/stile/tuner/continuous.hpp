#pragma once
// Tuners whose parts turn: roller or tapped inductors, variable and differential capacitors, each within its limits.

#include <optional>
#include <string>
#include <vector>

#include <stile/base/range.hpp>
#include <stile/tuner/tuner.hpp>

namespace stile::tuner {

struct VariableInductor {
  Range range_h;  ///< from 0 on
  network::Loss loss{};
  std::vector<double> taps_h{};  ///< each >= 0; not empty: these values only, the range does not count
  network::Rating rating{};
};

struct VariableCapacitor {
  Range range_f;  ///< from 0 on; in series above 0
  network::Loss loss{};
  network::Rating rating{};
};

struct ContinuousTuner {
  std::string name;
  TunerForm form = TunerForm::l;
  bool capacitor_at_transmitter = true, capacitor_at_load = true;  ///< L
  VariableInductor inductor;                                       ///< lcl: that at the transmitter
  VariableCapacitor capacitor;                                     ///< T, pi: that at the transmitter
  VariableCapacitor load_capacitor{};                              ///< T, pi
  VariableInductor load_inductor{};                                ///< lcl
  bool differential =
      false;  ///< T: one shaft, load_capacitor's value is the sum of both ends of `capacitor`'s range less its own
};

struct ContinuousSetting {
  double inductance_h = 0.0, capacitance_f = 0.0;
  double load_capacitance_f = 0.0;                  ///< T, pi
  double load_inductance_h = 0.0;                   ///< lcl
  CapacitorSide side = CapacitorSide::transmitter;  ///< L
};

/// @throws DomainError  a value outside its stated range, by name
void check(const ContinuousTuner& tuner);

/// The setting as ladder elements, transmitter to load; a part of value 0 is left out.
/// @throws DomainError  a setting outside the tuner's limits (1e-9 relative), a T through which nothing could pass
std::vector<network::Element> tuner_elements(const ContinuousTuner& tuner, const ContinuousSetting& setting);

/// For users of the library: the load that a setting matches exactly: ZL = (b - d R0)/(c R0 - a) with R0 the conjugate
/// of the source's impedance. Its real part is below 0 where the setting's loss alone is more than a match allows.
/// @throws DomainError  values outside their range; the matched load is an open circuit
cdouble matched_load(const ContinuousTuner& tuner, const ContinuousSetting& setting, double frequency_hz,
                     cdouble z_source_ohm);

/// Every setting that matches a load exactly, of a tuner with two free parts (L, differential T, a tapped T or pi); of
/// one with three, the least lossy found on a grid of the load-side part, and at each of its limits.
struct ContinuousMatch {
  TunerStatus status = TunerStatus::not_run;  ///< out_of_reach: no setting within the limits
  ContinuousSetting setting{};                ///< least loss of those found
  double dissipation_db = 0.0;
};
/// @param z_load_ohm  real part > 0
/// @throws DomainError  values outside their range
/// Accuracy: SWR of the setting below 1 + 1e-9 (asserted). Closed: with every part's immittance a ratio of linear
/// functions of its value, the condition of match is linear in each value, and for two of them a real quadratic.
ContinuousMatch match_continuous(const ContinuousTuner& tuner, double frequency_hz, cdouble z_source_ohm,
                                 cdouble z_load_ohm);

}  // namespace stile::tuner

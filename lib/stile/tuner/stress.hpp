#pragma once
// Which part of a tuner is worked hardest against its rating, and how hard.

#include <optional>
#include <string>

#include <stile/tuner/tuner.hpp>

namespace stile::tuner {

enum class TunerArm { inductors, capacitors, load_capacitors, load_inductors };
enum class StressKind { voltage, current, dissipation };

struct WorstStress {
  double factor = 0.0;  ///< stress / rating; > 1 is too much; 0: no rating is stated for a part that is in
  TunerArm arm = TunerArm::inductors;
  std::optional<std::size_t> part;  ///< of that arm, counted from 0; none: the rating is that of the whole arm
  StressKind kind = StressKind::voltage;
  double value = 0.0, rating = 0.0;  ///< V peak, A rms or W
};

/// The greatest stress / rating of a state, over every arm and every part of it that is in.
///
/// @param z_load_ohm  real part >= 0
/// @throws DomainError  as choose_state, and as tuner_elements for a state through which nothing could pass
/// Accuracy: within 1e-9 of a ladder's evaluation of the state (asserted).
WorstStress worst_stress(const Tuner& tuner, const TunerTable& table, const TunerState& state,
                         const network::Source& source, cdouble z_load_ohm);

/// "inductors, part 3: 812 V peak, rated 500 V"; parts counted from 1.
std::string stress_text(const Tuner& tuner, const WorstStress& stress);
/// "inductors", "capacitors at the load" ...
std::string arm_name(const Tuner& tuner, TunerArm arm);

}  // namespace stile::tuner

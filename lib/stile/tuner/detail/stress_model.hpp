#pragma once
// What a search for stresses keeps of a tuner at one frequency. Internal to the room.

#include <vector>

#include <stile/tuner/detail/arms.hpp>
#include <stile/tuner/stress.hpp>

namespace stile::tuner::detail {

/// Stresses over their ratings: of voltage and current at 1 A, of dissipation at 1 A squared. 0: no rating.
struct StressShares {
  double voltage = 0.0, current = 0.0, dissipation = 0.0;
};

/// One part that is in, at 1 A through it and, in parallel with a coil, its open contact.
struct PartStress {
  StressShares shares;
  double admittance_s = 0.0;  ///< |1/z| of the part with its relay's contact
  network::Rating rating;
};

struct ArmStress {
  bool inductors = false;
  StressShares shares;            ///< of the whole arm, at 1 V, 1 A and 1 W
  network::Rating rating;         ///< of the whole arm
  std::vector<PartStress> parts;  ///< empty where no part of the arm has a rating
};

struct StressModel {
  const Tuner* tuner = nullptr;  ///< outlives the model
  std::vector<Arms> arms;        ///< by side: transmitter's, load's
  ArmStress of[4];               ///< by TunerArm
};

StressModel stress_model(const Tuner& tuner, const TunerTable& table, cdouble z_source_ohm);

struct StressedState {
  WorstStress worst;
  Ends ends;
};
StressedState stress_of(const StressModel& model, const TunerState& state, const network::Source& source,
                        cdouble z_load_ohm);

}  // namespace stile::tuner::detail

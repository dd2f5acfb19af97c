#pragma once
// What a search for stresses keeps of a tuner at one frequency. Internal to the room.

#include <vector>

#include <stile/tuner/detail/arms.hpp>
#include <stile/tuner/stress.hpp>

namespace stile::tuner::detail {

/// One part that is in, without its relay's contact.
struct PartStress {
  cdouble z_ohm;             ///< of the part and, in parallel with a coil, of its open contact
  double winding = 1.0;      ///< current in the part over that through z_ohm
  double r_ohm = 0.0;        ///< series resistance of the part
  double contact_ohm = 0.0;  ///< in series with a capacitor
  network::Rating rating;
};

struct ArmStress {
  bool inductors = false;
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

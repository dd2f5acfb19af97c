#pragma once
// One whip in the conditions it meets. Each condition is an antenna and a ground of its own; nothing is averaged.

#include <optional>
#include <string>
#include <vector>

#include <stile/wire/geometry.hpp>

namespace stile {

/// The set itself: a frame rod down from the feed and a lead from its foot. It is part of the counterpoise.
struct SetBody {
  double frame_length_m = 0.6;  ///< > 0, below the base height
  double frame_radius_m = 0.005;
  double lead_length_m = 1.0;  ///< level from the frame's foot, away from the trailing wire; 0: none
  double lead_radius_m = 0.001;
};

/// The person as a lossy cylinder, indicative to +-30 %: muscle-like tissue, standing free, not touching.
/// Source: none measured was found for a carried HF set; radius 0.1 m and 0.6 S/m are this project's stated assumption.
struct BodyCylinder {
  double distance_m = 0.4;  ///< of its axis from the whip's, on the side away from the trailing wire
  double radius_m = 0.1;
  double top_m = 1.75;  ///< it starts 5 radii above the ground, as low as the solver allows
  double conductivity_s_m = 0.6;
};

struct WhipSet {
  double whip_length_m = 2.4;
  double whip_radius_m = 0.002;
  std::optional<double> whip_conductivity_s_m = 1.4e6;
  double base_height_m = 1.2;
  double wire_length_m = 6.7;  ///< trailing counterpoise, its sloping part included
  double wire_radius_m = 0.001;
  std::optional<double> wire_conductivity_s_m = 5.8e7;
  std::optional<Insulation> wire_insulation;
  double lying_height_m =
      0.02;  ///< of the trailing wire's axis above the soil; 0.5..2 cm for an insulated wire on soil
  double drop_distance_m = 1.2;          ///< level distance from the base to where the wire meets the ground
  double lean_rad = 0.5235987755982988;  ///< of the whip in the leaning condition, away from the wire; below 1.4
  std::vector<WireCoil> coils;           ///< on the whip (wire 0)
  double gap_m = 0.01;
  double base_capacitance_f = 0.0;
  Ground ground;  ///< where the whip usually is; lossy
  SetBody set;
  BodyCylinder person;
};

enum class WhipCondition {
  lifted,          ///< wire level at the base's height, usual ground
  trailing_dry,    ///< wire on very dry ground
  trailing_usual,  ///< wire on the usual ground
  lying_wet,       ///< wire on wet ground
  on_water,        ///< wire on fresh water, the wire's foot as near to it as the solver allows; it does not go under
  leaning,         ///< trailing, whip leaning
  torn_off,        ///< no wire: the set's frame and lead alone
  operator_near,   ///< trailing, with the person beside
  with_set,        ///< trailing, with frame, lead and person
};

struct ConditionCase {
  WhipCondition condition = WhipCondition::lifted;
  std::string name;
  Antenna antenna;
  Ground ground;
};

/// @throws DomainError  the ground is not lossy, or a geometry that check_antenna refuses
ConditionCase whip_condition(const WhipSet& whip, WhipCondition condition);

/// All of them, in the order of the enumeration. Without the set and the person (all but the last three) the computed
/// wander between lifted and lying is an overestimate: measured -120 kHz at 7.2 MHz where the model without them gives
/// -220 to -350 (list posting, portable set on dry sand).
std::vector<ConditionCase> whip_conditions(const WhipSet& whip);

}  // namespace stile

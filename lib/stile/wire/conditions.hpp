#pragma once
// One whip in the conditions it meets, with everything that is carried. Each condition is an antenna and a ground of
// its own; nothing is averaged.

#include <cstddef>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include <stile/wire/wire_case.hpp>

namespace stile::wire {

/// The set itself: a frame rod down from the feed, a lead from its foot, and where the lead ends the set, a box of 0.2
/// m taken as a rod of 12 mm radius. All of it is part of the counterpoise.
struct SetBody {
  double frame_length_m = 0.6;  ///< > 0, below the base height
  double frame_radius_m = 0.005;
  double lead_length_m = 1.0;  ///< from the frame's foot; 0: no lead and no box
  double lead_radius_m = 0.001;
  bool worn_in_front = true;  ///< the lead goes level round the body, 0.1 m clear of the trunk, and up its front;
                              ///< otherwise level to the left, without a box
};

/// The person: trunk, head, two legs in mid-stride, two arms as lossy cylinders, soles on the soil through a
/// capacitance. Lengths as shares of the stature: legs 0.47, shoulders at 0.82, arms 0.44 (body proportions, common
/// practice). Legs have 0.6, head 0.5 and arms 0.35 of the trunk's radius. Walks away from the first trailing wire.
/// Spread: conductivity +-30 %, stature +-0.15 m (person_spread); indicative, no measured carried HF set was found.
struct PersonBody {
  double distance_m = 0.4;  ///< of the trunk's axis from the whip's, on the side away from the first trailing wire
  double radius_m = 0.1;    ///< of the trunk
  double stature_m = 1.75;
  double conductivity_s_m = 0.6;       ///< of muscle-like tissue; this project's stated assumption
  double foot_capacitance_f = 50e-12;  ///< of each sole: 0.022 m2 of rubber, 12 mm thick, relative permittivity 3
};

/// Shares of a body's stature: shoulders above the ground, length of an arm, a hanging hand and a foot in mid-stride
/// off the trunk's axis. Body proportions: common practice.
inline constexpr double shoulder_share = 0.82, arm_share = 0.44, hand_share = 0.23, stride_share = 0.11;

/// Base insulator and its wet surface where there is a set and nothing is stated. Assumed: nothing measured was found.
inline constexpr double usual_base_capacitance_f = 5e-12, usual_base_leakage_ohm = 1e6;

/// What stands between set and shoulder when a hand touches the set, in series. A contact is a range, not a value: see
/// hand_contacts. The resistance has the arm inside: it is what can be stated of a whole limb, while an arm drawn with
/// the person's 0.6 S/m has 330 ohm by itself, and nothing below could be asked for. It is spread along the right arm,
/// which conducts as much better or worse than the rest of the person as that takes, and what it heats is the person's.
struct HandContact {
  double resistance_ohm = 300.0;                                   ///< >= 0, hand and arm; infinity: open
  double capacitance_f = std::numeric_limits<double>::infinity();  ///< > 0; of a glove, a case; infinity: none
};

struct NamedContact {
  const char* name;
  HandContact contact;
};

/// Open; through 60 pF (a glove, with 300 ohm of hand and arm); through 0, 300 and 1000 ohm of hand and arm: assumed,
/// because nothing measured was found.
std::span<const NamedContact> hand_contacts();

struct PersonSpread {
  double conductivity = 0.3;  ///< relative
  double stature_m = 0.15;
};
inline constexpr PersonSpread person_spread{};

struct NamedPerson {
  std::string name;  ///< "person's conductivity -30 %"
  PersonBody person;
};

/// The four corners of person_spread, one value off at a time.
std::vector<NamedPerson> person_corners(const PersonBody& person);

/// A wire that hangs from the base: it slopes to where it meets its lying height and runs on level. Wires of one
/// direction are a bundle, side by side; others spread.
struct TrailingWire {
  std::string name = "counterpoise";
  double length_m = 6.7;  ///< everything included
  double radius_m = 0.001;
  std::optional<double> conductivity_s_m = 5.8e7;
  std::optional<Insulation> insulation = {};
  double lying_height_m = 0.02;  ///< of the wire's axis above the soil; 0.5..2 cm for an insulated wire on soil
  double drop_distance_m = 1.2;  ///< level distance from the base to where the wire meets its lying height
  double direction_rad = 0.0;    ///< from the x axis towards y
  double doubled_back_m = 0.0;   ///< so much of its end runs back, 0.1 m beside the way out
  double coiled_m = 0.0;         ///< so much of its end is a hank, which acts as a thick end of 0.12 m (indicative)
  bool raised = false;           ///< stays as drawn unless the condition lays it
  std::vector<Vec3> drawn = {};  ///< its points where a condition leaves it as it is; empty: as its lengths say
};

/// A lump on a wire by its name; `part.wire` is set where the antenna is made.
struct NamedLump {
  std::string on;
  WireLump part;
};

struct WhipSet {
  std::string whip_name = "whip";
  double whip_length_m = 2.4;
  double whip_radius_m = 0.002;
  std::optional<double> whip_conductivity_s_m = 1.4e6;
  double base_height_m = 1.2;
  std::vector<TrailingWire> wires{TrailingWire{}};  ///< 0 to 5
  double spacing_m = 0.02;                          ///< between neighbours of a bundle, axis to axis
  double lean_rad = 0.5235987755982988;  ///< of the whip in the leaning condition, away from the first wire, beside a
                                         ///< person to the left; below 1.4
  std::vector<WireCoil> coils;           ///< on the whip (wire 0)
  std::vector<NamedLump> lumps;          ///< on the whip, a trailing wire or a wire of the set
  double gap_m = 0.01;
  double base_capacitance_f = 0.0;
  double base_leakage_ohm = std::numeric_limits<double>::infinity();
  Ground ground;  ///< where the whip usually is; lossy
  std::optional<SetBody> set;
  std::optional<PersonBody> person;
  std::vector<std::string> torn;  ///< which wires tear off in the condition torn_off; empty: all
  HandContact contact;            ///< of the condition hand_on_set
  std::vector<Wire> hat =
      {};  ///< wires at the whip's top, where they start, their points from there with the whip upright
};

enum class WhipCondition {
  lifted,          ///< wires level at the base's height, usual ground
  trailing_dry,    ///< wires on very dry ground
  trailing_usual,  ///< wires on the usual ground
  lying_wet,       ///< wires on wet ground
  on_water,        ///< wires on fresh water, as near to it as the solver allows; they do not go under
  leaning,         ///< whip leaning, the rest as it is
  torn_off,        ///< without the wires of WhipSet::torn
  operator_near,   ///< with a person beside
  with_set,        ///< with frame, lead, box and person
  hand_on_set,     ///< the same, the right hand on the box (without a box on the frame's foot)
};

/// Leaves a trailing wire out, with what is on it.
/// @throws DomainError  no such wire
void leave_out(WhipSet& whip, const std::string& wire);

/// Set and person are in every condition when the whip set has them; torn_off (of all wires), with_set and hand_on_set
/// add a set, operator_near, with_set and hand_on_set a person, of the usual sizes, when it has not.
/// @throws DomainError  the ground is not lossy, more than five wires, a wire that is torn but not there, or a geometry
///                      that check_antenna refuses
WireCase whip_condition(const WhipSet& whip, WhipCondition condition);

/// All of them, in the order of the enumeration. Without set and person the computed wander between lifted and lying is
/// an overestimate: measured -120 kHz at 7.2 MHz where the model without them gives -204 to -301, with a box and a lead
/// -125 to -186 (list posting, portable set on dry sand). For users of the library.
std::vector<WireCase> whip_conditions(const WhipSet& whip);

/// The trailing wires as wires, where they hang and lie: bundled side by side or spread.
/// @throws DomainError  a length that does not reach, a doubled or coiled part that is longer than what there is of it
/// @return  in their order, and behind them the coiled ends
std::vector<Wire> trailing_wires(const std::vector<TrailingWire>& wires, Vec3 base, double spacing_m);

/// Name of the wire that stands for a wire's coiled end.
std::string coiled_end(const std::string& wire);

/// Names of the wires that a set is made of: "frame", and where they are there "lead" and "set".
std::vector<std::string> set_wires(const SetBody& set);

/// What is carried beside the antenna itself.
struct Carried {
  std::optional<SetBody> set;
  std::optional<PersonBody> person;
  std::optional<HandContact> contact;  ///< the right hand is at the set
};

/// Puts set and person beside an antenna at the feed's point, and lumps on any wire of all that; `heading_rad` is the
/// direction of the first trailing wire. Lumps come in their order, then those of the person.
/// @return  index of the lump of the hand's contact, when there is one
/// @throws DomainError  no lossy ground for a person, a frame longer than the base is high, a wire that has the name of
///                      one of theirs, a lump on no wire, a hand without a set or with the set more than 5 % out of its
///                      reach
std::optional<std::size_t> add_bodies(Antenna& antenna, const Ground& ground, const Carried& carried,
                                      const std::vector<NamedLump>& lumps, double heading_rad);

}  // namespace stile::wire

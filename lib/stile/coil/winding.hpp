#pragma once
// What a coil is made of: wire or tube, former, and sections of turns on one axis.

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <stile/conductor/skin.hpp>

namespace stile::coil {

/// What the turns are wound on. Air (the default) changes nothing. A dielectric raises every capacitance of the winding
/// to C (1 + share (eps - 1)) with eps = permittivity (1 - j tan delta): what it adds is lossy.
struct Former {
  std::string name = "air";
  double relative_permittivity = 1.0;  ///< >= 1
  double loss_tangent = 0.0;           ///< >= 0
  double field_share = 0.0;            ///< 0 to 1: part of the winding's electric field energy inside the former;
                                       ///< former_field_share() gives a bound (rods 0.1 to 0.3)
  double limit_c = 0.0;                ///< temperature it stands, degrees Celsius; 0: not stated
};

/// "ABS", "PMMA", "PC", "PE", "PA6", "PP", "PS", "PVC-U", "PTFE", "POM", "PLA", "PETG": permittivity, loss tangent near
/// 10 MHz and long-term temperature with their sources in winding.cpp. field_share is left 0: it is the user's.
/// @throws DomainError  no such former (the message lists those there are)
Former former(std::string_view name);

/// Turns that follow each other along the axis. The pitch may grow or shrink evenly from the first to the last turn.
struct Section {
  double start_m = 0.0;       ///< where it begins along the axis
  double turns = 0.0;         ///< 0.01 to 2000; a last part turn is allowed
  double pitch_m = 0.0;       ///< centre to centre, > 0
  double last_pitch_m = 0.0;  ///< pitch of the last turn; 0: the same all along
};

/// A conducting plane across the axis below the first turn; what it does is computed by images.
struct Plane {
  double z_m = 0.0;
  bool mirrors_magnetic = true;  ///< sheet metal does; soil mirrors the electric field alone at HF and below
  bool operator==(const Plane&) const = default;
};

/// A conducting plane beside the winding, parallel to its axis: sheet metal, the flat of a frame.
struct PlaneBeside {
  double axis_m = 0.0;  ///< from the winding's axis, beyond the wire's outside
  bool operator==(const PlaneBeside&) const = default;
};

/// A tube of metal about the winding's axis.
struct Can {
  double diameter_m =
      0.0;  ///< inside; at least a tenth of the winding's radius away from the wire's centre, and beyond the wire
  double length_m = 0.0;  ///< inside, between its two lids, the winding in the middle; 0: open and long
  bool operator==(const Can&) const = default;
};

struct Winding {
  double diameter_m = 0.0;        ///< of a turn, between wire centres
  conductor::RoundWire wire;      ///< not of a magnetic metal
  std::vector<Section> sections;  ///< in order along the axis, not touching
  Former former;
  std::optional<Plane> plane;
  std::optional<PlaneBeside> beside;
  std::optional<Can> can;                      ///< one of plane, plane beside and can at most
  std::optional<conductor::Metal> near_metal;  ///< of plane or can, not magnetic; nothing: without loss
};

/// One section from 0 with the same pitch all along.
Winding plain_winding(double turns, double diameter_m, double pitch_m, double wire_diameter_m);

/// Refuses what cannot be wound: no turns, wire thicker than the pitch (overlapping turns), sections that overlap, a
/// former (diameter less one wire) that is not there, a tube without bore, a plane or can that touches the coil, more
/// than one of them, a metal of neither or of soil, a magnetic metal. And what the ring model cannot hold: less than
/// 0.01 turns or more than 2000 in all, turns of less than 10 um or more than 10 km, a pitch outside 1e-6 to 1000 times
/// their diameter, wire below 1e-8 of it.
/// @throws DomainError  what, with the value and the legal range
void check(const Winding& winding);

/// A place on the wire: so many turns from the start of a section.
struct WirePlace {
  std::size_t section = 0;
  double turn = 0.0;  ///< 0 to the section's turns
};

/// The winding as the ring model sees it: every turn a ring at the middle of its run, every end of a turn a node.
struct TurnLayout {
  struct Turn {
    std::size_t section = 0;
    double z_m = 0.0, pitch_m = 0.0;
    double part = 1.0;           ///< of a full turn: below 1 for a last part turn
    std::size_t first_node = 0;  ///< node at its start; the next one is at its end
  };
  struct Node {
    std::size_t section = 0;
    double turn = 0.0;  ///< turns from the section's start
    double z_m = 0.0;
    double ring_z_m = 0.0;  ///< where its charge is put: as z_m, but a whole pitch on at a part turn's end
    double part = 1.0;      ///< length of the wire that is counted to it, in turns: half a turn at ends
  };
  std::vector<Turn> turns;
  std::vector<Node> nodes;
};

/// @throws DomainError  as check
TurnLayout turn_layout(const Winding& winding);

/// Position along the axis, m. @throws DomainError  the place is not on the winding
double axial_position_m(const Winding& winding, const WirePlace& place);

double total_turns(const Winding& winding);
/// Length along the helix, without leads, m. Exact for a true helix.
double wire_length_m(const Winding& winding);
/// Mass of the metal, kg.
double wire_mass_kg(const Winding& winding);
/// From the middle of the first wire to the middle of the last, m.
double winding_length_m(const Winding& winding);

}  // namespace stile::coil

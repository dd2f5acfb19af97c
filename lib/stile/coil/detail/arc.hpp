#pragma once
// Parts of a ring: how much of its inductance and potential an arc holds. Internal to the room.

namespace stile::coil::detail {

/// Integral of ln tan(t/4) from 0 to angle, 0 <= angle <= 2 pi. At pi: -4 times Catalan's constant; at 2 pi: 0.
double log_tan_integral(double angle);

/// Part of a turn below which the formulas for thin arcs end: an arc two wires long. A shorter one holds its charge as
/// that does, and inductance by its length.
double least_arc_part(double radius, double wire_radius);

/// Potential of an arc of `part` of a turn carrying one coulomb, averaged over itself, V. part 1: the ring.
double arc_potential_v(double radius, double wire_radius, double part);

/// Inductance of an arc of `part` of a turn over that of the ring (current on the surface).
double arc_inductance_share(double radius, double wire_radius, double part);

}  // namespace stile::coil::detail

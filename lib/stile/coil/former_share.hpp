#pragma once
// How much of a winding's electric field lies in its former.

#include <stile/coil/analysis.hpp>

namespace stile::coil {

/// Part of the electric field energy of a connected winding, as in air, between two cylinders about its axis: for
/// Former::field_share. The former is taken to stick out of the winding at both ends.
///
/// @param point           analyse() of the same model, former still air
/// @param inner_radius_m  of a tube's bore; 0: solid rod
/// @param outer_radius_m  at most the radius of the winding less the wire's
/// @throws DomainError    radii out of order or beyond the wire, a point of another model
/// Accuracy: integration 5e-3, against a sum over the volume (test_former_share.cpp). Model: charges on centre
/// filaments, 10 % beside close wires (estimate). As a factor 1 + share (eps - 1) on the capacitances it is an upper
/// bound (Dirichlet's principle: the field in air is a trial field), so the true resonance lies between the one with it
/// and the one in air; two measured coils on a polyethylene rod do (test_former_share.cpp: 35.0 < 37.0 < 40.2 and 54.7
/// < 57.4 < 58.4 MHz). Rods of HF coils hold 0.1 to 0.3, tubes of 2.5 mm wall 0.02 to 0.15.
double former_field_share(const CoilModel& model, const CoilPoint& point, double inner_radius_m, double outer_radius_m);

/// The same bound for the former that a winding of one section stands on, whole and grounded at its start. Below two
/// turns (not known yet, say) for a coil as long as it is wide, 150 turns at most.
/// @param wall_m  of a tube; 0: solid rod
/// @throws DomainError  as check(winding); a wall of half the former's outside or more
double former_share_bound(const Winding& winding, double wall_m);

}  // namespace stile::coil

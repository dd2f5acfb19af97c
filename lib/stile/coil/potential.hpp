#pragma once
// Electrostatics of a winding: capacitances between the ends of its turns and to infinity (or a plane).

#include <stile/coil/square_matrix.hpp>
#include <stile/coil/winding.hpp>

namespace stile::coil {

enum class ChargeModel {
  automatic,  ///< round conductors, thin rings above 200 nodes (where the difference has fallen below 1 %)
  thin,       ///< charge on a filament: resonance up to 3 % high at d/p 0.5, 13 to 20 % at 0.9, for ten turns
  round,      ///< charge free to move round each wire
};

/// Capacitance matrix of the nodes of turn_layout in air, F: charge on node i for a volt on node j, the others at
/// zero. Each node stands for the wire from half a turn before it to half a turn after it; at the ends of a section
/// half a turn or less. Symmetric, positive definite.
/// @throws DomainError  as check(winding)
/// Accuracy: resonances of round conductors over thin rings within 0.15 % of another solution's 90 rows, within 1 % for
/// ten turns closer than 0.6 (test_potential.cpp). Model: resonances of three measured coils with one end grounded
/// within 2 %; of two free ones on a polyethylene rod 1.8 % (spaced) and 8.8 % (close-wound, enamelled) too high in
/// air, 4.5 and 5.3 % too low with the bound of former_share_bound(), within 1.6 % with half of it
/// (test_former_share.cpp). A can or a plane beside the coil is mirrored by filaments: 5e-3 of a long coil's
/// capacitance to a can two radii wide (test_near_metal.cpp).
SquareMatrix<double> node_capacitance_f(const Winding& winding, ChargeModel model = ChargeModel::automatic);

}  // namespace stile::coil

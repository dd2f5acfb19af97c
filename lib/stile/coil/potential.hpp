#pragma once
// Electrostatics of a winding: capacitances between the ends of its turns and to infinity (or a plane).

#include <stile/coil/square_matrix.hpp>
#include <stile/coil/winding.hpp>

namespace stile {

enum class ChargeModel {
  automatic,  ///< round conductors, thin rings above 200 nodes (where the difference has fallen below 1 %)
  thin,       ///< charge on a filament: resonance up to 3 % high at d/p 0.5, 13 to 20 % at 0.9, for ten turns
  round,      ///< charge free to move round each wire
};

/// Capacitance matrix of the nodes of turn_layout in air, F: charge on node i for a volt on node j, the others at
/// zero. Each node stands for the wire from half a turn before it to half a turn after it; at the ends of a section half a
/// turn or less. Symmetric, positive definite.
/// @throws DomainError  as check(winding)
/// Accuracy: resonances of round conductors over thin rings within 0.15 % of another solution's 90 rows, within 1 % for ten
/// turns closer than 0.6 (test_potential.cpp). Model: resonances of three
/// measured coils with one end grounded within 2 %, a free spaced coil within 4 %, a free close-wound enamelled one on a
/// rod within 10 % (enamel and rod not modelled).
SquareMatrix<double> node_capacitance_f(const Winding& winding, ChargeModel model = ChargeModel::automatic);

}  // namespace stile

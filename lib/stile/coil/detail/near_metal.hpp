#pragma once
// What metal near a winding adds between its turns: images of a plane, and the walls of a can. Internal to the room.
//
// All for filaments in the middle of the wire and perfect metal. The loss of real metal follows from the same
// functions: moving every surface back by n changes the inductances by n dL/dn, and a surface resistance Rs then stands
// for Rs/mu0 dL/dn (H. A. Wheeler, Formulas for the skin effect, Proc. IRE 30, 1942, 412-424, from memory).

#include <vector>

#include <stile/coil/square_matrix.hpp>
#include <stile/coil/winding.hpp>

namespace stile::coil::detail {

/// True when a plane beside the winding or a can stands there (a plane across the axis is in condense()).
bool beside_or_can(const Winding& winding);

/// What the metal adds to the mutual inductances of rings at z, H, with every surface of it moved back by back_m. Of a
/// plane across the axis: its image, which condense() has counted already.
SquareMatrix<double> metal_inductance_h(const Winding& winding, const std::vector<double>& z, double back_m);

/// What plane beside or can add to the potentials of rings at z, V/C.
SquareMatrix<double> metal_potential(const Winding& winding, const std::vector<double>& z);

/// dL/dn of the metal's surfaces, H/m; positive semidefinite.
SquareMatrix<double> metal_inductance_slope(const Winding& winding, const std::vector<double>& z);

/// Two rings of one radius whose axes run side by side: mutual inductance, H, and potential, V/C.
/// @param aside  between the axes, above twice the radius; dz along them
double ring_mutual_aside(double radius, double aside, double dz);
double ring_potential_aside(double radius, double aside, double dz);

}  // namespace stile::coil::detail

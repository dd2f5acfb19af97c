#pragma once
// Solves the boundary equations of equal coaxial rings and condenses them to one number a ring. Internal to the room.

#include <vector>

#include <stile/base/quantity.hpp>
#include <stile/coil/detail/ring_nodes.hpp>
#include <stile/coil/square_matrix.hpp>

namespace stile::coil::detail {

/// Coefficients of the rings (inductance or potential) when the density round each wire settles so that flux or
/// potential is the same all round it.
/// @param z        axial positions
/// @param plane_z  position of a plane whose images are subtracted; nothing when null
SquareMatrix<double> condense(RingNodes& nodes, const std::vector<double>& z, const double* plane_z);

/// The same with what the inside of each wire adds: `inside` is nodes x nodes, row after row, equal for all rings.
SquareMatrix<cdouble> condense(RingNodes& nodes, const std::vector<double>& z, const double* plane_z,
                               const std::vector<cdouble>& inside);

}  // namespace stile::coil::detail

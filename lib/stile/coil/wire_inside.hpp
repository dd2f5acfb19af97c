#pragma once
// The field inside a round wire or tube as its outside feels it. Internal to the room.

#include <vector>

#include <stile/base/quantity.hpp>
#include <stile/coil/winding.hpp>

namespace stile::detail {

/// For each order m = 0 .. highest: surface current density over surface vector potential times mu0, 1/m. That is
/// m/r - A'(r)/A(r) for the field exp(j m theta) inside; k J_(m+1)(k r)/J_m(k r) for solid wire, k = (1 - j)/depth.
std::vector<cdouble> surface_ratios(const WindingWire& wire, double depth_m, int highest);

/// The same for solid wire of radius 1, depth given in radii.
std::vector<cdouble> solid_ratios(double radius_over_depth, int highest);

}  // namespace stile::detail

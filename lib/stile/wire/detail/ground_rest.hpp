#pragma once
// What the smooth rest of a ground adds to the coupling of two cells. Internal to the room.

#include <stile/wire/detail/ground_model.hpp>
#include <stile/wire/detail/kernel.hpp>

namespace stile::wire::detail {

/// @param p, q    the cells in air
/// @param ground  a model that has a rest
/// Accuracy: against a finer rule over the same kernels 2e-5 of the cells' lengths over the distance to the image,
/// scalar 1e-7.
CellCoupling rest_coupling(const LineCell& p, const LineCell& q, const GroundModel& ground);

}  // namespace stile::wire::detail

#pragma once
// A stated coil with its turns, ready to be computed.

#include <stile/station/station.hpp>

namespace stile::station {

/// The winding of a coil with so many turns. What its former holds of the electric field is the bound computed for it
/// (former_share_bound: of material and wall), unless the file states a share.
/// @param turns  0: not known yet; then the share is that of a coil as long as it is wide, and the winding has one turn
/// @throws DomainError  as former_share_bound
coil::Winding wound(const SwitchedCoil& coil, double turns);

}  // namespace stile::station

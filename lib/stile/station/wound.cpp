#include <stile/station/wound.hpp>

#include <stile/coil/former_share.hpp>

namespace stile::station {

coil::Winding wound(const SwitchedCoil& coil, double turns) {
  coil::Winding winding = coil.winding;
  winding.sections.front().turns = turns > 0.0 ? turns : 1.0;
  if (coil.former_wall_m) winding.former.field_share = coil::former_share_bound(winding, *coil.former_wall_m);
  return winding;
}

}  // namespace stile::station

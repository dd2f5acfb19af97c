#pragma once
// A field beside a published level, as every tool writes it.

#include <stile/safety/exposure.hpp>

#include "cli/json.hpp"

namespace stile::tools {

/// "where","point_m","condition","e_v_m","h_a_m","standard","group","scope","averaged","level_e_v_m","level_h_a_m","ratio" and
/// what belongs to them; null where there is none.
Json exposure_row_json(const safety::ExposureRow& row);

}  // namespace stile::tools

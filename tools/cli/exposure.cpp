#include "cli/exposure.hpp"

namespace stile::tools {
namespace {

Json json_or_null(const std::optional<double>& value) { return value ? Json(*value) : Json(nullptr); }

}  // namespace

Json exposure_row_json(const safety::ExposureRow& r) {
  Json j{{"where", r.field.where},
         {"point_m", Json::array({r.field.point_m.x_m, r.field.point_m.y_m, r.field.point_m.z_m})},
         {"condition", r.condition},
         {"frequency_hz", r.frequency_hz},
         {"e_v_m", r.field.e_v_m},
         {"h_a_m", r.field.h_a_m},
         {"e_with_person_v_m", json_or_null(r.field.e_with_person_v_m)},
         {"h_with_person_a_m", json_or_null(r.field.h_with_person_a_m)},
         {"clearance_m", r.field.clearance_m},
         {"standard", r.level.standard},
         {"group", r.level.group},
         {"scope", r.level.scope},
         {"averaged", r.averaged},
         {"power_share", r.power_share},
         {"level_e_v_m", json_or_null(r.level.e_v_m)},
         {"level_h_a_m", json_or_null(r.level.h_a_m)},
         {"ratio", json_or_null(r.ratio)},
         {"status", r.level.status}};
  if (!r.note.empty()) j["note"] = r.note;
  return j;
}

}  // namespace stile::tools

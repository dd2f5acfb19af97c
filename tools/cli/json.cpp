#include "cli/json.hpp"

#include <cmath>

namespace stile::tools {

Json json_complex(cdouble z) { return Json::array({z.real(), z.imag()}); }

Json json_element(const Element& element, const Stress& stress) {
  Json j{{"label", element.label},
         {"place", place_name(element.place)},
         {"kind", kind_name(element.part)},
         {"value", value_si(element.part)},
         {"value_text", value_text(element.part)},
         {"current_a_rms", stress.current_a_rms},
         {"voltage_v_peak", stress.voltage_v_peak},
         {"dissipation_w", stress.dissipation_w},
         {"magnetic_energy_j", stress.magnetic_energy_j},
         {"electric_energy_j", stress.electric_energy_j}};
  const Rating& rating = element.rating;
  if (std::isfinite(rating.voltage_v_peak)) j["rated_voltage_v_peak"] = rating.voltage_v_peak;
  if (std::isfinite(rating.current_a_rms)) j["rated_current_a_rms"] = rating.current_a_rms;
  if (std::isfinite(rating.dissipation_w)) j["rated_dissipation_w"] = rating.dissipation_w;
  return j;
}

std::string json_text(const Json& json) { return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n"; }

}  // namespace stile::tools

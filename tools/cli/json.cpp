#include "cli/json.hpp"

#include <cmath>
#include <utility>

namespace stile::tools {

Json json_complex(cdouble z) { return Json::array({z.real(), z.imag()}); }

Json json_element(const network::Element& element, const network::Stress& stress) {
  Json j{{"label", element.label},
         {"place", network::place_name(element.place)},
         {"kind", network::kind_name(element.part)},
         {"value", network::value_si(element.part)},
         {"value_text", network::value_text(element.part)},
         {"current_a_rms", stress.current_a_rms},
         {"voltage_v_peak", stress.voltage_v_peak},
         {"dissipation_w", stress.dissipation_w},
         {"magnetic_energy_j", stress.magnetic_energy_j},
         {"electric_energy_j", stress.electric_energy_j}};
  const network::Rating& rating = element.rating;
  if (std::isfinite(rating.voltage_v_peak)) j["rated_voltage_v_peak"] = rating.voltage_v_peak;
  if (std::isfinite(rating.current_a_rms)) j["rated_current_a_rms"] = rating.current_a_rms;
  if (std::isfinite(rating.dissipation_w)) j["rated_dissipation_w"] = rating.dissipation_w;
  return j;
}

std::string json_text(const Json& json) { return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n"; }

Pieces json_pieces(const Json& frame, const std::string& key, std::size_t count,
                   std::function<Json(std::size_t)> element) {
  const std::string text = json_text(frame);
  // Line ends inside strings are escaped: a line that starts like this is the member itself.
  const std::string member = "\n  " + Json(key).dump() + ": [";
  const std::size_t split = text.find(member + "]") + member.size();
  return [head = text.substr(0, split), tail = text.substr(split), count, element = std::move(element),
          next = std::size_t{0}]() mutable {
    constexpr std::size_t enough = 1 << 16;
    std::string piece;
    if (next > count) return piece;
    if (next == 0) piece = head;
    while (next < count && piece.size() < enough) {
      piece += next == 0 ? "\n    " : ",\n    ";
      for (const char c : element(next).dump(2, ' ', false, Json::error_handler_t::replace)) {
        piece += c;
        if (c == '\n') piece += "    ";
      }
      ++next;
    }
    if (next == count && piece.size() < enough) {
      piece += "\n  " + tail;
      ++next;
    }
    return piece;
  };
}

}  // namespace stile::tools

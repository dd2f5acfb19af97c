#include "cli/json.hpp"

#include <algorithm>
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

Pieces json_pieces(Json frame, std::vector<JsonArray> arrays) {
  // Where an array is to come stands a text of control characters, which no name from a file or command line holds.
  const auto mark = [](std::size_t n) { return "\x01\x02" + std::to_string(n) + "\x02\x01"; };
  for (std::size_t n = 0; n < arrays.size(); ++n) frame[Json::json_pointer(arrays[n].pointer)] = mark(n);
  const std::string text = json_text(frame);
  std::vector<std::string> between;  // what stands before each array, and after the last
  std::size_t from = 0;
  for (std::size_t n = 0; n < arrays.size(); ++n) {
    const std::string quoted = Json(mark(n)).dump();
    const std::size_t at = text.find(quoted, from);
    between.push_back(text.substr(from, at - from));
    from = at + quoted.size();
  }
  between.push_back(text.substr(from));
  return
      [between = std::move(between), arrays = std::move(arrays), at = std::size_t{0}, next = std::size_t{0}]() mutable {
        constexpr std::size_t enough = 1 << 16;
        std::string piece;
        while (at < arrays.size() && piece.size() < enough) {
          const JsonArray& array = arrays[at];
          const auto depth = static_cast<std::size_t>(std::count(array.pointer.begin(), array.pointer.end(), '/'));
          const std::string indent(2 * depth, ' ');
          if (next == 0) piece += between[at] + "[";
          for (; next < array.count && piece.size() < enough; ++next) {
            piece += (next == 0 ? "\n  " : ",\n  ") + indent;
            for (const char c : array.element(next).dump(2, ' ', false, Json::error_handler_t::replace)) {
              piece += c;
              if (c == '\n') piece += "  " + indent;
            }
          }
          if (next < array.count) return piece;
          piece += array.count == 0 ? "]" : "\n" + indent + "]";
          ++at;
          next = 0;
        }
        if (at == arrays.size()) {
          piece += between[at];
          ++at;
        }
        return piece;
      };
}

Pieces json_pieces(Json frame, const std::string& key, std::size_t count, std::function<Json(std::size_t)> element) {
  std::vector<JsonArray> arrays;
  arrays.push_back({"/" + key, count, std::move(element)});
  return json_pieces(std::move(frame), std::move(arrays));
}

}  // namespace stile::tools

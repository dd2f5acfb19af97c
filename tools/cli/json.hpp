#pragma once
// JSON: keys in the order written, shortest digits that read back the same, null for infinite and not known.

#include <cstddef>
#include <functional>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>

#include <stile/network/ladder.hpp>

#include "cli/output.hpp"

namespace stile::tools {

using Json = nlohmann::ordered_json;

/// [re, im].
Json json_complex(cdouble z);

/// "label","place","kind","value" (SI), "value_text", and what it carries.
Json json_element(const network::Element& element, const network::Stress& stress);

/// Indented, ended by a line feed; bytes that are not UTF-8 (in file names) are replaced.
std::string json_text(const Json& json);

/// An array whose elements are made while they are written.
struct JsonArray {
  std::string pointer;  ///< to its place in the frame, RFC 6901: "/points", "/maps/0/cells"
  std::size_t count = 0;
  std::function<Json(std::size_t)> element;  ///< called once for each index, in order
};

/// The text of json_text with arrays that would not fit into memory.
/// @param frame   what stands at the arrays' places is replaced
/// @param arrays  in the order in which they stand in the frame, not one in another
Pieces json_pieces(Json frame, std::vector<JsonArray> arrays);

/// The same with one array, the frame's member `key`.
Pieces json_pieces(Json frame, const std::string& key, std::size_t count, std::function<Json(std::size_t)> element);

}  // namespace stile::tools

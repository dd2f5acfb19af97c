#pragma once
// JSON: keys in the order written, shortest digits that read back the same, null for infinite and not known.

#include <cstddef>
#include <functional>
#include <string>

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

/// The text of json_text with the elements of one array made while it is written, for arrays that would not fit into
/// memory.
/// @param frame    an object whose member `key` is an empty array
/// @param count    > 0
/// @param element  called once for each index, in order
Pieces json_pieces(const Json& frame, const std::string& key, std::size_t count,
                   std::function<Json(std::size_t)> element);

}  // namespace stile::tools

#pragma once
// JSON: keys in the order written, shortest digits that read back the same, null for infinite and not known.

#include <string>

#include <nlohmann/json.hpp>

#include <stile/network/ladder.hpp>

namespace stile::tools {

using Json = nlohmann::ordered_json;

/// [re, im].
Json json_complex(cdouble z);

/// "label","place","kind","value" (SI), "value_text", and what it carries.
Json json_element(const Element& element, const Stress& stress);

/// Indented, ended by a line feed; bytes that are not UTF-8 (in file names) are replaced.
std::string json_text(const Json& json);

}  // namespace stile::tools

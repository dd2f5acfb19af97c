#pragma once
// A station file to begin with.

#include <string_view>

namespace stile::tools {

extern const std::string_view starter_station;

}  // namespace stile::tools

#pragma once
// A ground on a command line.

#include <string>

#include <stile/wire/ground.hpp>

namespace stile::tools {

/// "wet", or relative permittivity and conductivity: "15,1mS/m".
/// @throws ParseError  at the option's place
wire::Ground read_ground(const std::string& text, const std::string& option);

}  // namespace stile::tools

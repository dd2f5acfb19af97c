#include "cli/ground.hpp"

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/base/quantity.hpp>

#include "cli/plausible.hpp"

namespace stile::tools {

wire::Ground read_ground(const std::string& text, const std::string& option) {
  const std::size_t comma = text.find(',');
  try {
    if (comma == std::string::npos) return wire::ground_by_name(text);
    return wire::lossy_ground(
        read_plausible(text.substr(0, comma), station::plausible::ground_permittivity, {option, 0, 1}),
        read_plausible(text.substr(comma + 1), station::plausible::ground_conductivity, {option, 0, comma + 2}));
  } catch (const DomainError& error) {
    throw ParseError({option, 0, 1}, fmt::format("\"{}\": {}", text, error.what()));
  }
}

}  // namespace stile::tools

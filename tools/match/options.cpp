#include "match/options.hpp"

#include <algorithm>
#include <cctype>

#include <stile/base/errors.hpp>

namespace stile::tools {

std::optional<match::ESeries> read_series(const Arguments& arguments, const std::string& own,
                                          const std::string& common) {
  const std::string option = arguments.has(own) ? own : common;
  std::optional<std::string> name = arguments.text(option);
  if (!name) return std::nullopt;
  std::transform(name->begin(), name->end(), name->begin(),
                 [](unsigned char c) { return static_cast<char>(std::toupper(c)); });
  try {
    return match::e_series_from_name(*name);
  } catch (const DomainError& error) {
    throw ParseError({option, 0, 1}, error.what());
  }
}

}  // namespace stile::tools

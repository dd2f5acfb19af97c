#pragma once
// Options that both jobs of stile-match read.

#include <optional>
#include <string>

#include <stile/match/eseries.hpp>

#include "cli/command_line.hpp"

namespace stile::tools {

/// A series by its own option, else by that for all parts. @throws ParseError  no such series
std::optional<match::ESeries> read_series(const Arguments& arguments, const std::string& own,
                                          const std::string& common);

}  // namespace stile::tools

#pragma once
// The whole table of a tool's options: what help, command line and completions go by.

#include <vector>

#include "cli/command_line.hpp"

namespace stile::tools {

/// The tool's own options, then those that every tool has.
std::vector<Option> all_options(const Description& description);

/// A positional argument: its name has no dash in front.
bool is_positional(const Option& option);

}  // namespace stile::tools

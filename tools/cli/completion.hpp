#pragma once
// What a shell completes of a tool, made from the table that --help shows.

#include <string>
#include <string_view>

#include "cli/command_line.hpp"

namespace stile::tools {

/// A script for the shell: every option; after an option, its words where its value is written "a|b", files where its
/// value or its own use is a file, folders after "DIR", otherwise nothing; else files where the tool takes some.
/// @param shell  "bash" (the script defines a function and calls `complete`) or "fish"
/// @throws UsageError  another shell
std::string completion_text(const Description& description, std::string_view shell);

}  // namespace stile::tools

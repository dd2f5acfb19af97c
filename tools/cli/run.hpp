#pragma once
// From main() to the exit status.

#include <functional>
#include <string>

#include "cli/command_line.hpp"

namespace stile::tools {

/// Reads the command line, answers --help and --version, otherwise calls `body`, and turns whatever happens into one
/// line on standard error, "stile-net: message", and an exit status.
///
/// @param body  does the tool's work and writes its result. Returns nothing (an empty text) when all that was stated
///              holds, otherwise the reason why not, on one line: that ends with status 1.
/// @return  0; 1: something stated does not hold; 2: an exception (usage, bad input, cannot write)
int run_tool(const Description& description, int argc, const char* const* argv,
             const std::function<std::string(const Arguments&)>& body);

/// "stile-net: warning: message" on standard error.
void warn(const Description& description, const Arguments& arguments, const std::string& message);

}  // namespace stile::tools

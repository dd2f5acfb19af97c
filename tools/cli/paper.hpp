#pragma once
// What every tool that prints pages has to say about them.

#include <string>
#include <vector>

#include <stile/plots/drawing.hpp>

#include "cli/command_line.hpp"

namespace stile::tools {

/// Letters that no font has are named, so that nobody looks for a fault in the print.
void tell_missing_letters(const std::vector<plots::Drawing>& pages, const std::string& file,
                          const Description& description, const Arguments& arguments);

}  // namespace stile::tools

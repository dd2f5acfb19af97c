#pragma once
// What every tool that prints pages has to say about them.

#include <string>
#include <vector>

#include <stile/plots/drawing.hpp>

#include "cli/command_line.hpp"

namespace stile::tools {

/// What a file's name ends with in small letters: ".pdf"; empty without an ending.
std::string file_ending(const std::string& file);

/// Checks the ending, before anything is computed. @throws UsageError
void check_paper_file(const std::string& option, const std::string& file, const std::vector<std::string>& endings);

/// Letters that no font has are named, so that nobody looks for a fault in the print.
void tell_missing_letters(const std::vector<plots::Drawing>& pages, const std::string& file,
                          const Description& description, const Arguments& arguments);

}  // namespace stile::tools

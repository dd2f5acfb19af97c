#pragma once
// What is taken to the bench: the text of the build sheet, and the files of sheet and winding template.

#include <string>
#include <vector>

#include <stile/plots/coil_sheet.hpp>

#include "cli/command_line.hpp"
#include "cli/output.hpp"

namespace stile::tools {

/// Lines of at most 98 letters.
std::string build_sheet_text(const plots::CoilSheet& sheet);

/// .pdf: pages; anything else: text. @throws OutputError
void add_build_sheet(const plots::CoilSheet& sheet, const std::string& file, const Description& description,
                     const Arguments& arguments, Outputs& outputs);
/// .pdf or .svg. @throws OutputError
void add_template(const plots::CoilSheet& sheet, const std::string& file, const Description& description,
                  const Arguments& arguments, Outputs& outputs);

}  // namespace stile::tools

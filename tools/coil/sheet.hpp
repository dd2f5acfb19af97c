#pragma once
// What is taken to the bench: the text of the build sheet, and the files of sheet and winding template.

#include <string>
#include <utility>
#include <vector>

#include <stile/coil/build.hpp>
#include <stile/safety/cautions.hpp>

#include "cli/output.hpp"

namespace stile::tools {

struct CoilSheet {
  std::string title;
  coil::Winding winding;                                      ///< one section
  std::vector<std::pair<std::string, coil::WirePlace>> taps;  ///< label and place
  double lead_m = 0.05;                                       ///< spare wire at each end
  std::string tables;                                         ///< what else the tool found, lines of at most 98 letters
  std::vector<std::string> warnings;
  std::vector<safety::Caution> cautions;
};

/// Lines of at most 98 letters.
std::string build_sheet_text(const CoilSheet& sheet);

/// Checks the ending, before anything is computed. @throws UsageError
void check_sheet_file(const std::string& option, const std::string& file, const std::vector<std::string>& endings);

/// .pdf: pages; anything else: text. @throws OutputError
void add_build_sheet(const CoilSheet& sheet, const std::string& file, Outputs& outputs);
/// .pdf or .svg. @throws OutputError
void add_template(const CoilSheet& sheet, const std::string& file, Outputs& outputs);

}  // namespace stile::tools

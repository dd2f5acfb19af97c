#include "cli/paper.hpp"

#include <fmt/format.h>

#include "cli/run.hpp"

namespace stile::tools {

void tell_missing_letters(const std::vector<plots::Drawing>& pages, const std::string& file,
                          const Description& description, const Arguments& arguments) {
  std::string letters;
  for (const std::string& letter : plots::missing_letters(pages)) letters += (letters.empty() ? "" : ", ") + letter;
  if (!letters.empty())
    warn(description, arguments, fmt::format("{}: no font of this machine has {}; a box stands there", file, letters));
}

}  // namespace stile::tools

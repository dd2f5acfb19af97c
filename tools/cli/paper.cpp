#include "cli/paper.hpp"

#include <algorithm>
#include <filesystem>

#include <fmt/format.h>

#include "cli/run.hpp"

namespace stile::tools {

std::string file_ending(const std::string& file) {
  std::string text = std::filesystem::path(file).extension().string();
  std::transform(text.begin(), text.end(), text.begin(),
                 [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
  return text;
}

void check_paper_file(const std::string& option, const std::string& file, const std::vector<std::string>& endings) {
  if (std::find(endings.begin(), endings.end(), file_ending(file)) != endings.end()) return;
  std::string legal;
  for (const std::string& e : endings) legal += " FILE" + e;
  throw UsageError(fmt::format("{} \"{}\": no such kind of file; legal:{}", option, file, legal));
}

void tell_missing_letters(const std::vector<plots::Drawing>& pages, const std::string& file,
                          const Description& description, const Arguments& arguments) {
  std::string letters;
  for (const std::string& letter : plots::missing_letters(pages)) letters += (letters.empty() ? "" : ", ") + letter;
  if (!letters.empty())
    warn(description, arguments, fmt::format("{}: no font of this machine has {}; a box stands there", file, letters));
}

}  // namespace stile::tools

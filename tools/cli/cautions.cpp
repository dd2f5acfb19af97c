#include "cli/cautions.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "cli/table.hpp"

namespace stile::tools {

std::string cautions_in_short(const std::vector<safety::Caution>& cautions) {
  std::string text;
  for (const safety::Caution& c : cautions)
    if (!c.line.empty()) text += fmt::format("Caution, {}: {}.\n", c.hazard, c.line);
  return text + fmt::format("All {} cautions, with what they stand on: --json.\n", cautions.size());
}

std::string cautions_text(const std::vector<safety::Caution>& cautions) {
  std::string text = "Cautions\n";
  for (const safety::Caution& c : cautions) text += wrapped(c.hazard + ": " + c.text + " (" + c.basis + ")", 2, 112);
  return text;
}

nlohmann::ordered_json cautions_json(const std::vector<safety::Caution>& cautions) {
  nlohmann::ordered_json list = nlohmann::ordered_json::array();
  for (const safety::Caution& c : cautions)
    list.push_back({{"hazard", c.hazard}, {"text", c.text}, {"basis", c.basis}});
  return list;
}

std::vector<std::string> caution_lines(const std::vector<safety::Caution>& cautions) {
  std::vector<std::string> lines;
  lines.reserve(cautions.size());
  for (const safety::Caution& c : cautions)
    lines.push_back("caution: " + c.hazard + ": " + c.text + " (" + c.basis + ")");
  return lines;
}

std::string cautions_csv(const std::vector<safety::Caution>& cautions) {
  std::string text;
  for (const std::string& line : caution_lines(cautions)) text += "# " + line + "\n";
  return text;
}

}  // namespace stile::tools

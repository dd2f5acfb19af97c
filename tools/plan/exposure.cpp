#include "plan/exposure.hpp"

#include <fmt/core.h>

#include <stile/safety/assess.hpp>

#include "cli/exposure.hpp"
#include "cli/table.hpp"

namespace stile::tools {

std::vector<std::string> exposure_lines(const plan::Plan& plan) {
  std::vector<std::string> lines;
  for (const safety::UseExposure& u : plan.exposures) {
    for (const std::string& finding : safety::public_findings(u.verdicts))
      lines.push_back(u.band + ", " + u.arrangement + ": " + finding);
    for (const safety::StandardGroup& s : u.no_level)
      lines.push_back(fmt::format("{}, {}: {}, {}: says nothing of fields at this frequency", u.band, u.arrangement,
                                  s.standard, s.group));
  }
  return lines;
}

Json plan_exposure_json(const plan::Plan& plan) {
  Json rows = Json::array();
  for (const safety::UseExposure& u : plan.exposures) {
    for (const safety::ExposureRow& r : u.rows) {
      Json row{{"band", u.band}, {"arrangement", u.arrangement}};
      row.update(exposure_row_json(r));
      rows.push_back(std::move(row));
    }
  }
  return rows;
}

std::string plan_exposure_text(const plan::Plan& plan) {
  std::string text;
  for (const std::string& line : exposure_lines(plan)) text += wrapped(line, 2, 112);
  if (text.empty()) return text;
  text = "Exposure, key down, with the power that each arrangement delivers in its worst condition\n" + text;
  for (const std::string& words : safety::exposure_caveats()) text += wrapped(words, 0, 112);
  return text + "\n";
}

std::string plan_exposure_csv(const plan::Plan& plan) {
  std::string text;
  for (const std::string& line : exposure_lines(plan)) text += "# exposure: " + line + "\n";
  return text;
}

}  // namespace stile::tools

#pragma once
// The cautions of a case in every format that a tool writes.

#include <string>
#include <vector>

#include <nlohmann/json_fwd.hpp>

#include <stile/safety/cautions.hpp>

namespace stile::tools {

/// What ends the small type of every chart, behind the program and its version.
inline constexpr const char* chart_caution = ". RF burns and exposure: read the cautions of the result.";

/// A line each under a short result, four in all: what burns, what is exposed, whose rules decide, and where the whole
/// list is.
std::string cautions_in_short(const std::vector<safety::Caution>& cautions);

/// The whole list: a heading and a paragraph each.
std::string cautions_text(const std::vector<safety::Caution>& cautions);

/// [{"hazard","text","basis"}].
nlohmann::ordered_json cautions_json(const std::vector<safety::Caution>& cautions);

/// One line each, "caution: hazard: text (basis)": for comments.
std::vector<std::string> caution_lines(const std::vector<safety::Caution>& cautions);

/// The same as comment lines to follow the rows of a CSV, each behind "# ".
std::string cautions_csv(const std::vector<safety::Caution>& cautions);

}  // namespace stile::tools

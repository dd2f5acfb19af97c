#pragma once
// What is asked of a design when the search is over, as text, JSON and CSV.

#include <string>

#include <stile/design/answer.hpp>

#include "cli/json.hpp"

namespace stile::tools {

std::string answer_text(const station::Brief& brief, const design::Design& design, const design::Answer& answer);

/// Adds its keys to those of the design.
void add_answer_json(Json& to, const station::Brief& brief, const design::Design& design, const design::Answer& answer);

/// Tables one after the other, each behind a line "# what it is".
std::string answer_csv(const station::Brief& brief, const design::Design& design, const design::Answer& answer);

}  // namespace stile::tools

#pragma once
// What a search found, as text, JSON and CSV.

#include <string>

#include <stile/design/answer.hpp>
#include <stile/design/compare.hpp>
#include <stile/design/design.hpp>

namespace stile::tools {

std::string design_text(const station::Brief& brief, const design::Design& design, const design::Answer& answer,
                        const design::Comparison& comparison);
std::string design_json(const station::Brief& brief, const design::Design& design, const design::Answer& answer,
                        const design::Comparison& comparison);
std::string design_csv(const station::Brief& brief, const design::Design& design, const design::Answer& answer);

}  // namespace stile::tools

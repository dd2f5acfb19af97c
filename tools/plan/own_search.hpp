#pragma once
// What tuners find by themselves, as text, JSON and CSV cells.

#include <string>

#include "cli/json.hpp"
#include "plan/report.hpp"

namespace stile::tools {

/// Nothing where the arrangement is no tuner, or cannot be set in that condition.
const plan::OwnSearch* own_search_of(const Answers& answers, std::size_t band, std::size_t arrangement,
                                     std::size_t condition);

/// For people: the condition in which each search loses most; empty when the station has no tuner.
std::string own_search_text(const Answers& answers);

/// The array of the key "own_search" of an arrangement; null where it has none.
Json own_search_json(const Answers& answers, std::size_t band, std::size_t arrangement);

}  // namespace stile::tools

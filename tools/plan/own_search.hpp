#pragma once
// What tuners find by themselves, as text, JSON and CSV cells.

#include <string>
#include <vector>

#include "cli/json.hpp"
#include "plan/report.hpp"

namespace stile::tools {

/// Nothing where the arrangement is no tuner, or cannot be set in that condition.
const plan::OwnSearch* own_search_of(const Answers& answers, std::size_t band, std::size_t arrangement,
                                     std::size_t condition);

/// How a tuner searches here, and what the rows are.
inline constexpr const char* own_search_note =
    "The comparison has each tuner set as well as its parts allow. Here it searches by itself at the design frequency, "
    "from by-pass and led by its SWR alone; the search is ours, of the kind that is common practice, and a given "
    "tuner's may differ. Of each band the condition in which that loses most. The set offers what its fold-back leaves "
    "at the greatest SWR on the way; whether that is enough is known where the file states \"least_power\".";

/// A head, and for each band and tuner the condition in which its search loses most.
std::vector<std::vector<std::string>> own_search_rows(const Answers& answers);

/// For people: the condition in which each search loses most; empty when the station has no tuner.
std::string own_search_text(const Answers& answers);

/// The array of the key "own_search" of an arrangement; null where it has none.
Json own_search_json(const Answers& answers, std::size_t band, std::size_t arrangement);

}  // namespace stile::tools

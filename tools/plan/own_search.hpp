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
    "tuner's may differ. Of each band every condition in which that ends over the limit of SWR, or where it never does "
    "the one in which it loses most. The set offers what its fold-back leaves "
    "at the greatest SWR on the way; whether that is enough is known where the file states \"least_power\".";

/// Whether a search leaves the transmitter an SWR over its limit.
bool ends_over_limit(const station::Station& station, const plan::OwnSearch& search);

/// What a tuner does not reach by itself on a band: "its own search may end at SWR 2.20 in "in wet peat"; it cannot
/// tune while the transmitter folds back: offers 500 mW, needs 1 W". Empty: nothing, or no tuner.
std::string own_search_warning(const Answers& answers, std::size_t band, std::size_t arrangement);

/// The same of what is taken on a band, with its name before it; empty where nothing is.
std::string taken_search_warning(const Answers& answers, std::size_t band);

/// A head, and for each band and tuner the conditions in which its search ends over the limit, else the one in which it
/// loses most.
std::vector<std::vector<std::string>> own_search_rows(const Answers& answers);

/// For people: these rows; empty when the station has no tuner.
std::string own_search_text(const Answers& answers);

/// The warnings of all tuners as comment lines.
std::string own_search_csv(const Answers& answers);

/// The array of the key "own_search" of an arrangement; null where it has none.
Json own_search_json(const Answers& answers, std::size_t band, std::size_t arrangement);

}  // namespace stile::tools

#pragma once
// What the other end notices, as text.

#include <string>
#include <vector>

#include "plan/report.hpp"

namespace stile::tools {

/// Below the heading a row each arrangement, with the name of its band.
std::vector<std::vector<std::string>> far_end_rows(const Answers& answers);
/// What the figures mean, a paragraph each.
std::vector<std::string> far_end_notes(const Answers& answers);
std::string far_end_text(const Answers& answers);
/// The stated contacts as a comment line; empty without any.
std::string contacts_csv(const station::Station& station);

/// Of one band and arrangement. @throws std::out_of_range  none
const plan::FarEnd& far_end_of(const Answers& answers, std::size_t band, std::size_t arrangement);

}  // namespace stile::tools

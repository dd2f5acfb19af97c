#pragma once
// What the other end notices, as text.

#include <string>

#include "plan/report.hpp"

namespace stile::tools {

std::string far_end_text(const Answers& answers);

/// Of one band and arrangement. @throws std::out_of_range  none
const plan::FarEnd& far_end_of(const Answers& answers, std::size_t band, std::size_t arrangement);

}  // namespace stile::tools

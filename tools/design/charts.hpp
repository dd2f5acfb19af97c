#pragma once
// Charts of a design.

#include <optional>
#include <string>

#include <stile/design/answer.hpp>
#include <stile/design/compare.hpp>
#include <stile/plots/chart.hpp>

namespace stile::tools {

/// @throws UsageError  a brief that leaves one length of whip, or of wire, has no chart of lengths
void check_lengths(const station::Brief& brief);

/// @param what    "bands": power on each band of the best of each class and of what it is compared with, with the
///                walks' spread; "lengths": the objective over whip and wire, solved now; "mass", "hands": power
///                against these
/// @param asking  how to solve for "lengths"
/// @return  nothing where it was stopped before "lengths" was solved
/// @throws UsageError  nothing to draw
std::optional<plots::Chart> design_chart(const std::string& what, const station::Brief& brief,
                                         const design::Design& design, const design::Answer& answer,
                                         const design::Comparison& comparison, const design::AnswerOptions& asking);

}  // namespace stile::tools

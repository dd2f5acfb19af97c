#pragma once
// Charts of a design.

#include <string>

#include <stile/design/compare.hpp>
#include <stile/plots/chart.hpp>

namespace stile::tools {

/// @param what  "bands": loss on each band of the best of each class and of what it is compared with, as stated and on the
///              walks; "lengths": the objective over the whip for each length of wire; "mass": power against mass
/// @throws UsageError  nothing to draw
plots::Chart design_chart(const std::string& what, const station::Brief& brief, const design::Design& design,
                          const design::Comparison& comparison);

}  // namespace stile::tools

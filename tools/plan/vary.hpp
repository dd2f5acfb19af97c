#pragma once
// A study of one number as text, JSON, CSV and chart.

#include <string>

#include <stile/plan/vary.hpp>
#include <stile/plots/chart.hpp>

namespace stile::tools {

std::string study_text(const plan::Study& study);
std::string study_json(const plan::Study& study);
/// A row for each value, band and arrangement; what changes where as comment lines behind.
std::string study_csv(const plan::Study& study);
plots::Chart study_chart(const plan::Study& study);

}  // namespace stile::tools

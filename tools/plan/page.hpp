#pragma once
// The report of a plan as a page that stands for itself.

#include <string>
#include <vector>

#include <stile/plan/plan.hpp>
#include <stile/plots/html_page.hpp>

namespace stile::tools {

/// A chart of the report.
struct PagePicture {
  std::string caption;
  std::string svg;  ///< empty: it could not be drawn
};

/// Verdict, reasons, what to build, charts, safety, energy, what is uncertain, every caution, inputs, versions: in this order.
/// @param inputs  the station file's text
plots::HtmlPage plan_page(const station::Station& station, const plan::Plan& plan,
                          const std::vector<PagePicture>& pictures, const std::string& file, const std::string& inputs);

}  // namespace stile::tools

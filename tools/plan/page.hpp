#pragma once
// The report of a plan as a page that stands for itself.

#include <string>
#include <vector>

#include <stile/plots/html_page.hpp>

#include "plan/report.hpp"

namespace stile::tools {

/// A chart of the report.
struct PagePicture {
  std::string caption;
  std::string figures;  ///< where its figures stand; empty: in the picture alone
  std::string svg;      ///< empty: it could not be drawn
};

/// Verdict, reasons, what to build, charts, safety, energy, what is uncertain, every caution, inputs, versions: in this
/// order.
plots::HtmlPage plan_page(const Answers& answers, const std::vector<PagePicture>& pictures,
                          const station::StationText& stated);

}  // namespace stile::tools

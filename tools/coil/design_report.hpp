#pragma once
// A designed band-switched coil as text, JSON, CSV, charts and the tables of its build sheet.

#include <optional>
#include <string>
#include <vector>

#include <stile/coil/design.hpp>
#include <stile/coil/ratings.hpp>
#include <stile/plots/chart.hpp>
#include <stile/plots/coil_sheet.hpp>
#include <stile/safety/cautions.hpp>

#include "cli/json.hpp"

namespace stile::tools {

/// What belongs to one of the design's bands, which are all pairs of a band and a condition.
struct DesignedFor {
  std::string band, condition;
  coil::BandRatings rated;
};

struct DesignCase {
  std::string station;
  double power_w = 0.0, swr_limit = 2.0;
  coil::DesignRequest request;
  coil::CoilDesign design;
  bool planned = false;                     ///< the station's plan sets the same coil; this design is another
  std::vector<DesignedFor> served;          ///< one a band of the design
  std::optional<coil::StepKind> only_step;  ///< the step that is wanted on every band; nothing: the best on each
  coil::Service service;
  int tried = 0, refused = 0;  ///< of a search; 0: none
  std::vector<safety::Caution> cautions;
};

/// "80 m, lifted".
std::string target_name(const DesignedFor& served);
/// The step within the SWR limit that loses least; of none within it the one of lowest SWR; the wanted one if one is.
const coil::ResistanceStep& best_step(const DesignCase& c, const coil::BandDesign& band);
/// What does not hold, on one line; empty: everything does.
std::string design_failure(const DesignCase& c);

/// What a search for the best coil tried.
std::string search_text(int tried, int refused);

/// A search in which no coil served: status and what was tried and refused.
std::string failed_search_text(const DesignCase& c);
std::string failed_search_json(const DesignCase& c);
/// The columns of design_csv without a row, and the same as a comment.
std::string failed_search_csv(const DesignCase& c);

/// Tool, version, station, winding and wire: how every result with a coil of a station begins.
Json design_frame_json(const std::string& station, const coil::Winding& winding);
/// "undecided", "open", "shorted", "steps": what the winding could be tapped at on a band.
void add_alternatives_json(Json& band, const coil::BandDesign& design);
/// The marks of taps on the former.
Json taps_json(const coil::Winding& winding, const std::vector<std::pair<std::string, coil::WirePlace>>& taps);

std::string design_text(const DesignCase& c);
std::string design_json(const DesignCase& c);
std::string design_csv(const DesignCase& c);
plots::CoilSheet design_sheet(const DesignCase& c, double lead_m);

/// The taps as a ladder.
plots::Chart design_taps_chart(const DesignCase& c);
/// Voltage along the coil on each band, in the condition where it is highest; nothing where it is bypassed everywhere.
std::optional<plots::Chart> design_voltage_chart(const DesignCase& c);

}  // namespace stile::tools

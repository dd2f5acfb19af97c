#pragma once
// An analysed coil as text, JSON, CSV and charts.

#include <optional>
#include <string>
#include <vector>

#include <stile/coil/analysis.hpp>
#include <stile/coil/ratings.hpp>
#include <stile/plots/chart.hpp>
#include <stile/safety/cautions.hpp>

#include "cli/json.hpp"

namespace stile::tools {

struct CoilCase {
  coil::Winding winding;
  double tap_turns = 0.0;  ///< all turns: no tap
  coil::Unused unused = coil::Unused::open;
  coil::Grounded grounded = coil::Grounded::from;
  std::vector<coil::CoilPoint> points;
  std::optional<double> wanted_h;          ///< the inductance that the turns were solved for
  double continuous_turns = 0.0;           ///< with wanted_h: turns that would give it exactly
  coil::Service service;                   ///< no current: no ratings
  std::vector<coil::CoilRatings> ratings;  ///< one a point, when there is a current
  std::vector<safety::Caution> cautions;
};

/// How far the numbers can be trusted, in one paragraph: for help, text and JSON.
extern const char* const coil_accuracy;

/// "305..334"; "-" for a band that is 0.
std::string band_text(const Range& band);
/// "open", "shorted".
std::string unused_name(coil::Unused unused);

/// Every warning of every point once, with what it is about.
std::vector<std::string> coil_warnings(const CoilCase& c);

Json winding_json(const coil::Winding& winding);
Json coil_point_json(const coil::CoilPoint& point);
Json ratings_json(const coil::CoilRatings& ratings);

/// "40 turns of 1 mm copper, 40 mm across between wire centres (former 39 mm), pitch 2 mm, 80 mm long".
std::string winding_text(const coil::Winding& winding);

std::string coil_text(const CoilCase& c);
/// Refers to the case.
Pieces coil_json(const CoilCase& c);
std::string coil_csv(const CoilCase& c);

/// Inductance and Q against frequency. @throws UsageError  one frequency alone
plots::Chart coil_frequency_chart(const CoilCase& c);
/// Voltage along the wire at the last frequency, for the case's current or 1 A.
plots::Chart coil_voltage_chart(const CoilCase& c);

}  // namespace stile::tools

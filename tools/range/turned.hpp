#pragma once
// Range of a tuner whose parts turn: what it matches exactly.

#include <string>
#include <vector>

#include <stile/plots/chart.hpp>
#include <stile/tuner/boundary.hpp>
#include <stile/tuner/maps.hpp>

#include "cli/progress.hpp"
#include "range/case.hpp"

namespace stile::tools {

struct TurnedLoad {
  std::string load, band;
  double frequency_hz = 0.0;
  cdouble z_ohm{};
  ContinuousMatch match;
};

struct TurnedBoundary {
  std::string band;
  double frequency_hz = 0.0;
  std::vector<BoundaryCurve> curves;
};

struct TurnedReport {
  std::vector<TurnedLoad> loads;           ///< at the middle of each band
  std::vector<TurnedLoad> sweeps;          ///< across bands of more than one frequency
  std::vector<TurnedBoundary> boundaries;  ///< at the middle of each band
};

/// @throws UsageError  a load without resistance, which nothing matches exactly
TurnedReport report_turned(const RangeCase& c, Progress& progress);

/// Loss of what is matched, or only whether it is, with the traced outline.
plots::Chart turned_chart(const RangeCase& c, const TurnedReport& report, const MapGrid& grid, bool loss,
                          Progress& progress);

std::string turned_text(const RangeCase& c, const TurnedReport& report);
std::string turned_json(const RangeCase& c, const TurnedReport& report);
std::string turned_csv(const RangeCase& c, const TurnedReport& report);
std::string turned_reason(const TurnedReport& report);

}  // namespace stile::tools

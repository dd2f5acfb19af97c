#pragma once
// What stile-range finds out.

#include <optional>
#include <string>
#include <vector>

#include <stile/tuner/coverage.hpp>
#include <stile/tuner/greedy.hpp>
#include <stile/tuner/maps.hpp>
#include <stile/tuner/tree.hpp>

#include "cli/progress.hpp"
#include "range/case.hpp"

namespace stile::tools {

/// A state that is best in some way, and what it does to the worst part.
struct StateAnswer {
  TunerSetting setting;
  std::optional<WorstStress> stress;  ///< none: no state
};

struct LoadAnswer {
  std::string load, band;
  double frequency_hz = 0.0;
  cdouble z_ohm{};
  StateAnswer least_swr, least_loss, least_stress;
  double load_voltage_v_peak = 0.0;  ///< in the state of least loss, or of least SWR where none is within the limit
};

/// The state of least SWR at each frequency.
struct SweepAnswer {
  std::string load, band;
  BandRange range;
};

struct CoverageAt {
  std::string band;
  double frequency_hz = 0.0;
  std::vector<Coverage> shares;
};

struct RangeReport {
  std::vector<LoadAnswer> loads;     ///< at the middle of each band
  std::vector<SweepAnswer> sweeps;   ///< of bands with more than one frequency
  std::vector<CoverageAt> coverage;  ///< load SWR 2, 3, 5, 10 with limits 1.5, 2, 3
};
RangeReport report_range(const RangeCase& c, Progress& progress);

/// Whether a rating is stated for any part.
bool has_ratings(const Tuner& tuner);

enum class MapKind { matchable, swr, loss, stress, limiting_part };

/// One map a band, at its middle.
std::vector<RangeMap> map_bands(const RangeCase& c, const MapGrid& grid, MapKind kind, Progress& progress);

struct GreedyAnswer {
  std::string load;
  double frequency_hz = 0.0;
  cdouble z_ohm{};
  GreedyResult result;
  TunerSetting best;                 ///< of all states
  std::vector<LocalMinimum> minima;  ///< at which a fine walk would stop
};
/// Every load at the middle of each band.
std::vector<GreedyAnswer> report_greedy(const RangeCase& c, Progress& progress);

enum class GreedyReach { reached, missed, out_of_reach, no_load };
/// Over a plane: what the walk reaches of what some state reaches.
std::vector<GreedyReach> map_greedy(const RangeCase& c, const MapGrid& grid, double frequency_hz, Progress& progress);

}  // namespace stile::tools

#pragma once
// Loads and bands looked at with a tuner of switched parts: the best states for each load, holes across the bands, how
// much of the plane is within reach, maps.

#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include <stile/tuner/band_points.hpp>
#include <stile/tuner/coverage.hpp>
#include <stile/tuner/greedy.hpp>
#include <stile/tuner/maps.hpp>
#include <stile/tuner/sizing.hpp>
#include <stile/tuner/tree.hpp>

namespace stile::tuner {

/// What is asked.
struct RangeQuestion {
  Tuner tuner;
  network::Source source;         ///< power for the stresses, W, > 0
  double swr_limit = 2.0;         ///< >= 1
  std::vector<BandPoints> bands;  ///< not empty
  std::vector<NamedLoad> loads;   ///< each covers every frequency of the bands
};

/// Called with a line for people before each step. May throw, which ends the survey.
using SurveyProgress = std::function<void(const std::string& line)>;

/// A state that is best in some way, and what it does.
struct StateAnswer {
  TunerSetting setting;
  double transducer_db = 0.0;         ///< available over delivered power: heat and mismatch together; infinite allowed
  double load_voltage_v_peak = 0.0;   ///< across the load; 0 where the load takes no power
  std::optional<WorstStress> stress;  ///< none: no state
};

struct LoadAnswer {
  std::string load, band;
  double frequency_hz = 0.0;
  cdouble z_ohm{};
  StateAnswer most_delivered;  ///< of the states within the SWR limit, or of all where none is
  StateAnswer least_swr;       ///< of all states
  StateAnswer least_loss;      ///< least heat in the parts, of the states within the limit
  StateAnswer least_stress;    ///< of the states within the limit; without ratings it is least_loss
};

/// The highest voltage at a load, over every answer, and which load and band it is; 0 and empty without one.
struct LoadVoltage {
  double v_peak = 0.0;
  std::string load, band;
};
LoadVoltage highest_load_voltage(std::span<const LoadAnswer> loads);

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

struct RangeSurvey {
  std::vector<LoadAnswer> loads;     ///< every load at the middle of each band
  std::vector<SweepAnswer> sweeps;   ///< of bands with more than one frequency
  std::vector<CoverageAt> coverage;  ///< load SWR 2, 3, 5, 10 with limits 1.5, 2, 3, against the source's resistance
};

/// @throws DomainError  as choose_state, coverage and load_impedance
RangeSurvey survey_range(const RangeQuestion& question, const SurveyProgress& progress = {});

/// One map a band, at its middle. @throws DomainError  as map_range
std::vector<RangeMap> survey_maps(const RangeQuestion& question, const MapGrid& grid, Goal goal,
                                  const SurveyProgress& progress = {});

struct GreedyAnswer {
  std::string load;
  double frequency_hz = 0.0;
  cdouble z_ohm{};
  GreedyResult result;
  StateAnswer best;                  ///< of least SWR, of all states
  std::vector<LocalMinimum> minima;  ///< at which a fine walk would stop
};
/// Every load at the middle of each band. @throws DomainError  as greedy_search
std::vector<GreedyAnswer> survey_greedy(const RangeQuestion& question, const SurveyProgress& progress = {});

/// What the walk reaches of what some state reaches.
enum class GreedyReach {
  reached,       ///< the walk ends within the limit
  missed,        ///< it stops above it at a false minimum: some state is within
  out_of_reach,  ///< no state is within it
  no_load,       ///< the cell is no passive load
};
/// Cell by cell as in a RangeMap. @throws DomainError  as map_range, swr_limit finite or infinite
std::vector<GreedyReach> map_greedy(const Tuner& tuner, double frequency_hz, cdouble z_source_ohm, double swr_limit,
                                    const MapGrid& grid, const SurveyProgress& progress = {});

/// Every load at the middle of each band, for size_banks.
std::vector<SizingLoad> sizing_loads(const RangeQuestion& question);

/// What a setting does to a load, with the worst part's stress.
/// @throws DomainError  as worst_stress
StateAnswer answer_of(const Tuner& tuner, const TunerTable& table, const network::Source& source,
                      const TunerSetting& setting, cdouble z_load_ohm);

/// Whether a rating is stated for any part.
bool has_ratings(const Tuner& tuner);

}  // namespace stile::tuner

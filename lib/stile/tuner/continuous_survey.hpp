#pragma once
// Loads and bands looked at with a tuner whose parts turn: what it matches exactly, and the outline of that.

#include <functional>
#include <span>
#include <string>
#include <vector>

#include <stile/tuner/band_points.hpp>
#include <stile/tuner/boundary.hpp>
#include <stile/tuner/continuous.hpp>
#include <stile/tuner/maps.hpp>

namespace stile::tuner {

struct ContinuousAnswer {
  std::string load, band;
  double frequency_hz = 0.0;
  cdouble z_ohm{};
  ContinuousMatch match;
};

struct BoundaryAt {
  std::string band;
  double frequency_hz = 0.0;
  std::vector<BoundaryCurve> curves;
};

struct ContinuousSurvey {
  std::vector<ContinuousAnswer> loads;   ///< every load at the middle of each band
  std::vector<ContinuousAnswer> sweeps;  ///< across bands of more than one frequency
  std::vector<BoundaryAt> boundaries;    ///< at the middle of each band, against the source's resistance
};

/// @param tolerance  of the boundary, in reflection
/// @param progress   called with a line for people before each step; may be empty
/// @throws DomainError  as match_continuous and trace_boundary; a load without resistance, which nothing matches
ContinuousSurvey survey_continuous(const ContinuousTuner& tuner, cdouble z_source_ohm,
                                   std::span<const BandPoints> bands, std::span<const NamedLoad> loads,
                                   double tolerance, const std::function<void(const std::string&)>& progress = {});

/// The best match of each cell, row by row; not_run where a cell is no load with resistance.
/// @throws DomainError  as match_continuous and map_range
std::vector<ContinuousMatch> map_continuous(const ContinuousTuner& tuner, double frequency_hz, cdouble z_source_ohm,
                                            const MapGrid& grid,
                                            const std::function<void(const std::string&)>& progress = {});

}  // namespace stile::tuner

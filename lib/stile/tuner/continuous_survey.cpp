#include <stile/tuner/continuous_survey.hpp>

#include <cmath>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/tuner/detail/continuous_model.hpp>

namespace stile::tuner {

ContinuousSurvey survey_continuous(const ContinuousTuner& tuner, cdouble z_source_ohm,
                                   std::span<const BandPoints> bands, std::span<const NamedLoad> loads,
                                   double tolerance, const std::function<void(const std::string&)>& progress) {
  const auto answer = [&](const BandPoints& band, const NamedLoad& named, double f) {
    const cdouble z = load::load_impedance(named.load, f);
    if (z.real() <= 0.0)
      throw DomainError(
          fmt::format("the load \"{}\" has no resistance at {}, so nothing matches it; legal: a real part > 0",
                      named.name, print_quantity(f, Unit::hertz, 7)));
    return ContinuousAnswer{named.name, band.name, f, z, match_continuous(tuner, f, z_source_ohm, z)};
  };
  const auto step = [&](const std::string& line) {
    if (progress) progress(line);
  };
  ContinuousSurvey survey;
  for (const BandPoints& band : bands) {
    for (const NamedLoad& named : loads) {
      step(band.name + ", " + named.name);
      survey.loads.push_back(answer(band, named, band.middle_hz));
      if (band.frequency_hz.size() < 2) continue;
      for (const double f : band.frequency_hz) survey.sweeps.push_back(answer(band, named, f));
    }
    step(band.name + ", boundary");
    survey.boundaries.push_back({band.name, band.middle_hz,
                                 trace_boundary(tuner, band.middle_hz, z_source_ohm, z_source_ohm.real(), tolerance)});
  }
  return survey;
}

std::vector<ContinuousMatch> map_continuous(const ContinuousTuner& tuner, double frequency_hz, cdouble z_source_ohm,
                                            const MapGrid& grid,
                                            const std::function<void(const std::string&)>& progress) {
  check(tuner);
  require(frequency_hz > 0.0 && std::isfinite(frequency_hz), "frequency_hz must be > 0 and finite");
  require(network::finite(z_source_ohm) && z_source_ohm.real() > 0.0, "z_source_ohm must be finite with real part > 0");
  const std::vector<detail::ContinuousModel> models = detail::models(tuner, frequency_hz, z_source_ohm);
  std::vector<ContinuousMatch> cells;
  for (std::size_t row = 0; row < grid.rows; ++row) {
    if (progress) progress(fmt::format("map, row {} of {}", row + 1, grid.rows));
    for (std::size_t column = 0; column < grid.columns; ++column) {
      const auto z = cell_load(grid, column, row);
      cells.push_back(z && z->real() > 0.0 ? detail::best_match(models, *z) : ContinuousMatch{});
    }
  }
  return cells;
}

}  // namespace stile::tuner

#include <stile/match/real_parts.hpp>

#include <algorithm>
#include <utility>

#include <stile/match/load_limit.hpp>

namespace stile::match {

std::vector<RealMatch> match_with_real_parts(const MatchRequest& request, const RealParts& parts) {
  std::vector<RealMatch> matches;
  const cdouble z_load = load::load_impedance(request.load, request.frequency_hz);
  std::optional<double> widest_band_hz;
  if (!std::holds_alternative<load::ConstantLoad>(request.load.model))
    widest_band_hz = load_limit(request.load, request.frequency_hz, request.swr_limit).widest_band_hz;
  for (MatchSolution& solution : solve_match(request)) {
    RealMatch& m = matches.emplace_back();
    m.solution = std::move(solution);
    if (widest_band_hz) m.share_of_widest_band = m.solution.bandwidth.width_hz() / *widest_band_hz;
    if (parts.inductor_series || parts.capacitor_series) {
      m.preferred = snap_to_series(m.solution.ladder, request.source, request.frequency_hz, z_load,
                                   parts.inductor_series, parts.capacitor_series);
    }
    if (parts.tolerances)
      m.spread = tolerance_spread(m.built(), request.source, request.frequency_hz, z_load, *parts.tolerances);
  }
  return matches;
}

std::optional<double> least_built_swr(std::span<const RealMatch> matches) {
  std::optional<double> least;
  for (const RealMatch& m : matches) {
    const double swr = m.built_evaluation().swr;
    if (!least || swr < *least) least = swr;
  }
  return least;
}

double worst_swr_at_one_percent(const MatchSolution& solution) {
  double worst = solution.evaluation.swr;
  for (const double swr : solution.swr_at_one_percent) worst = std::max(worst, swr);
  return worst;
}

}  // namespace stile::match

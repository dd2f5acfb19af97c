#include <stile/match/real_parts.hpp>

#include <algorithm>
#include <utility>

#include <stile/base/errors.hpp>
#include <stile/base/range.hpp>
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

SwrAcross swr_across(const MatchRequest& request, const RealParts& parts, const RealMatch& m) {
  constexpr int steps = 60;
  constexpr double without_band = 0.02;
  const network::Ladder& ladder = m.built();
  SwrAcross across;
  across.band = swr_bandwidth(ladder, request.source, request.load, request.frequency_hz, request.swr_limit);
  const double width_hz = across.band.width_hz();
  const double aside_hz = width_hz > 0.0 ? width_hz : without_band * request.frequency_hz;
  const Range span_hz{std::max(across.band.low_hz - aside_hz, 0.01 * across.band.low_hz),
                      across.band.high_hz + aside_hz};
  std::vector<double> wanted{across.band.low_hz, across.band.high_hz, request.frequency_hz};
  for (int n = 0; n <= steps; ++n) wanted.push_back(span_hz.low + (span_hz.high - span_hz.low) * n / steps);
  std::sort(wanted.begin(), wanted.end());
  wanted.erase(std::unique(wanted.begin(), wanted.end()), wanted.end());
  for (const double f : wanted) {
    try {
      const cdouble z_load = load::load_impedance(request.load, f);
      const double swr = network::evaluate(ladder, request.source, f, z_load).swr;
      if (parts.tolerances) {
        const Spread spread = tolerance_spread(ladder, request.source, f, z_load, *parts.tolerances);
        across.swr_95.push_back(spread.swr_95);
        across.worst_swr.push_back(spread.worst_swr);
      }
      across.frequency_hz.push_back(f);
      across.swr.push_back(swr);
    } catch (const DomainError&) {
      if (f == request.frequency_hz) throw;  // elsewhere the data end, or the model of a part
    }
  }
  return across;
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

#include <stile/load/antenna_load.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/base/parallel.hpp>
#include <stile/wire/far_field.hpp>

namespace stile::load {

namespace {

constexpr double joined_ratio = 1.02;  // well above the widest step, so that a band is whole and bands stay apart

/// Mean gain of every solution into the elevations of the first range with some that holds its frequency; 0: none does.
std::vector<double> path_gains(const std::vector<wire::AntennaSolution>& solutions, const std::vector<Range>& ranges_hz,
                               const std::vector<std::optional<Range>>& elevations_deg, unsigned threads) {
  std::vector<double> gains(solutions.size(), 0.0);
  in_blocks(gains.size(), 1, threads, [&](std::size_t first, std::size_t last) {
    for (std::size_t n = first; n < last; ++n) {
      const double f = solutions[n].frequency_hz;
      for (std::size_t r = 0; r < ranges_hz.size() && gains[n] == 0.0; ++r) {
        const auto& elevation = elevations_deg[r];
        if (elevation && ranges_hz[r].low <= f && f <= ranges_hz[r].high)
          gains[n] = wire::mean_gain(solutions[n], elevation->low * pi / 180.0, elevation->high * pi / 180.0);
      }
    }
  });
  return gains;
}

}  // namespace

std::vector<double> antenna_frequencies(const std::vector<Range>& ranges_hz) {
  require(!ranges_hz.empty(), "an antenna needs a range of frequencies to be sampled in");
  std::vector<double> all;
  for (const Range& range_hz : ranges_hz) {
    require(range_hz.low > 0.0 && range_hz.low <= range_hz.high && std::isfinite(range_hz.high),
            "a range must be 0 < low <= high");
    const double width_hz = range_hz.high - range_hz.low;
    const double wanted = width_hz > 0.0 ? std::max(4.0, std::ceil(width_hz / (antenna_step * range_hz.low))) : 0.0;
    if (static_cast<double>(all.size()) + wanted + 1.0 > static_cast<double>(most_antenna_samples)) {
      throw DomainError(fmt::format("{} to {} in steps of {:g} % of the lower end takes an antenna to more than {} "
                                    "frequencies; legal: narrower bands",
                                    print_quantity(range_hz.low, Unit::hertz, 6),
                                    print_quantity(range_hz.high, Unit::hertz, 6), 100.0 * antenna_step,
                                    most_antenna_samples));
    }
    const int steps = static_cast<int>(wanted);
    for (int n = 0; n <= steps; ++n) all.push_back(n == steps ? range_hz.high : range_hz.low + width_hz * n / steps);
  }
  std::sort(all.begin(), all.end());
  all.erase(std::unique(all.begin(), all.end()), all.end());
  return all;
}

Load antenna_load(const std::string& name, const std::string& origin, const wire::Antenna& antenna,
                  const wire::Ground& ground, const std::vector<Range>& ranges_hz, const wire::SolveOptions& options,
                  unsigned threads, const wire::SweepProgress& progress,
                  const std::vector<std::optional<Range>>& elevations_deg) {
  require(elevations_deg.empty() || elevations_deg.size() == ranges_hz.size(),
          "each range needs its elevations, or none");
  const std::vector<double> frequency_hz = antenna_frequencies(ranges_hz);
  Load load{name, origin, ConstantLoad{}, {}};
  std::vector<cdouble> z_ohm;
  std::vector<PowerShares> shares;
  const std::vector<wire::AntennaSolution> solutions =
      wire::sweep_antenna(antenna, ground, frequency_hz, options, threads, progress);
  for (const wire::AntennaSolution& s : solutions) {
    z_ohm.push_back(s.feed_ohm);
    shares.push_back(
        {s.share.radiated, s.share.metal + s.share.coil, s.share.ground, s.share.person, s.share.lump, s.share.coil});
    for (const std::string& caution : s.cautions) {
      std::vector<std::string>& known = load.reading_warnings;
      if (std::find(known.begin(), known.end(), caution) == known.end()) known.push_back(caution);
    }
  }
  SampledLoad samples = make_sampled_load(frequency_hz, std::move(z_ohm), std::move(shares), joined_ratio);
  const auto stated = [](const std::optional<Range>& elevation) { return elevation.has_value(); };
  if (std::any_of(elevations_deg.begin(), elevations_deg.end(), stated))
    samples.path_gain = path_gains(solutions, ranges_hz, elevations_deg, threads);
  load.model = std::move(samples);
  return load;
}

}  // namespace stile::load

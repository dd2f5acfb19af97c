// Bands against draws of what is uncertain.

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

#include <plan/stations.hpp>
#include <stile/plan/detail/judge.hpp>
#include <stile/plan/plan.hpp>

using namespace stile;
using namespace stile::plan;
using namespace stile::plan::test;

namespace {

/// The loss of an arrangement in a condition with inputs at a corner: at the one frequency in use, by the ladder alone.
double loss_at(const plan::detail::Case& c, const plan::detail::Settings& settings, std::size_t condition,
               const plan::detail::Corner& corner) {
  const auto& points = c.loads[condition];
  const auto point = std::find_if(points.begin(), points.end(),
                                  [&](const plan::detail::LoadPoint& p) { return p.frequency_hz == c.band.design_hz; });
  const cdouble z = plan::detail::corner_impedance(*point, corner);
  const network::Ladder ladder = settings.at(condition, corner)(c.band.design_hz, z);
  return plan::detail::counted_loss_db(
      c.station.transmitter, network::evaluate(ladder, c.station.transmitter.source, c.band.design_hz, z), 1.0);
}

}  // namespace

TEST_CASE("of 2000 draws for each of 20 random stations at least 99.5 percent lie inside the stated bands") {
  std::size_t draws = 0, outside = 0;
  for (unsigned seed = 101; seed <= 120; ++seed) {
    station::Station s = random_station(seed);
    s.bands.front().use_low_hz = s.bands.front().use_high_hz = s.bands.front().design_hz;
    s.uncertainty.lengths = seed % 2 == 0 ? 0.005 : 0.0;
    s.uncertainty.contact_ohm.high = seed % 3 == 0 ? 0.5 : 0.0;
    s.uncertainty.temperature_c = seed % 5 == 0 ? Range{-10.0, 40.0} : Range{20.0, 20.0};
    std::erase_if(s.arrangements, [](const station::Arrangement& a) { return a.trim != station::Trim::once; });
    const BandResult band = make_plan(s).bands.front();
    const std::vector<plan::detail::Corner> drawn = plan::detail::drawn_corners(s, 2000, seed);
    const plan::detail::BandLoads loads = plan::detail::band_loads(s.antennas.front(), band.band);
    for (std::size_t n = 0; n < s.arrangements.size(); ++n) {
      if (!std::isfinite(band.arrangements[n].worst_swr)) continue;
      const plan::detail::Case c{s, s.arrangements[n], band.band, loads, band.counted, nullptr};
      const plan::detail::Settings settings(c);
      for (std::size_t k = 0; k < s.conditions.size(); ++k) {
        const Range stated = band.arrangements[n].conditions[k].loss_range_db;
        const double width = stated.high - stated.low;
        for (const plan::detail::Corner& corner : drawn) {
          const double loss = loss_at(c, settings, k, corner);
          ++draws;
          const double beyond = std::max(stated.low - loss, loss - stated.high);
          if (beyond <= 1e-9) continue;
          ++outside;
          INFO("seed " << seed << ", " << s.arrangements[n].name << ", " << s.conditions[k].name << ": " << loss
                       << " of " << stated.low << ".." << stated.high);
          CHECK(beyond <= 0.05 * width);
        }
      }
    }
  }
  INFO(outside << " of " << draws);
  CHECK(draws >= 20U * 2000U);
  CHECK(static_cast<double>(outside) <= 0.005 * static_cast<double>(draws));
}

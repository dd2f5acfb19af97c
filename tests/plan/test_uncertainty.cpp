// Bands against draws of what is uncertain.

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <string>

#include <plan/stations.hpp>
#include <stile/plan/detail/at_design.hpp>
#include <stile/plan/detail/judge.hpp>
#include <stile/plan/plan.hpp>

using namespace stile;
using namespace stile::plan;
using namespace stile::plan::test;

namespace {

/// An arrangement in a condition with inputs at a corner: at the one frequency in use, by the ladder alone.
struct Losses {
  double into_antenna_db = 0.0, counted_db = 0.0, swr = 0.0;
  std::vector<BudgetItem> budget;
  std::vector<network::Stress> stress;
};

Losses losses_at(const plan::detail::Case& c, const plan::detail::Settings& settings, std::size_t condition,
                 const plan::detail::Corner& corner) {
  const auto& points = c.loads[condition];
  const auto middle = std::find_if(points.begin(), points.end(), [&](const plan::detail::LoadPoint& p) {
    return p.frequency_hz == c.band.design_hz;
  });
  const plan::detail::LoadPoint point = plan::detail::at_corner(*middle, corner);
  const cdouble z = plan::detail::corner_impedance(point, corner);
  const network::Ladder ladder = settings.at(condition, corner)(c.band.design_hz, z);
  const network::Evaluation e = network::evaluate(ladder, c.station.transmitter.source, c.band.design_hz, z);
  const network::Evaluation offered =
      plan::detail::evaluate_offered(c.station.transmitter, ladder, c.band.design_hz, z);
  const double share = plan::detail::counted_share(point, c.counted, corner);
  return {plan::detail::counted_loss_db(c.station.transmitter, e, 1.0),
          plan::detail::counted_loss_db(c.station.transmitter, e, share), e.swr,
          plan::detail::budget(c.station.transmitter, {ladder, offered, plan::detail::corner_shares(point, corner)}),
          offered.elements};
}

struct Count {
  std::size_t draws = 0, outside = 0;

  /// One draw beside what is stated.
  void take(double loss_db, const Range& stated_db) {
    ++draws;
    const double beyond = std::max(stated_db.low - loss_db, loss_db - stated_db.high);
    if (beyond <= 1e-9) return;
    ++outside;
    INFO(loss_db << " of " << stated_db.low << ".." << stated_db.high);
    CHECK(beyond <= 0.05 * (stated_db.high - stated_db.low));
  }
};

/// Of each band that is stated.
struct Drawn {
  Count into_antenna, counted, swr, budget, stress, against_taken, against_best;
};

/// 2000 draws of one of 20 stations, of which those arrangements are compared that a hand sets anew, or all others.
Drawn drawn_of(unsigned seed, bool by_hand) {
  station::Station s = random_station(seed);
  s.bands.front().use_low_hz = s.bands.front().use_high_hz = s.bands.front().design_hz;
  s.uncertainty.lengths = seed % 2 == 0 ? 0.005 : 0.0;
  s.uncertainty.contact_ohm.high = seed % 3 == 0 ? 0.5 : 0.0;
  s.uncertainty.temperature_c = seed % 5 == 0 ? Range{-10.0, 40.0} : Range{20.0, 20.0};
  if (seed % 4 == 0) s.uncertainty.ground_factor = Range{0.6, 2.5};
  std::erase_if(s.arrangements,
                [&](const station::Arrangement& a) { return (a.trim != station::Trim::once) != by_hand; });
  const BandResult band = make_plan(s).bands.front();
  const std::vector<plan::detail::Corner> drawn = plan::detail::drawn_corners(s, 2000, seed);
  const plan::detail::BandLoads loads = plan::detail::band_loads(s.antennas.front(), band.band);
  Drawn all;
  std::vector<std::vector<double>> worst_db(s.arrangements.size());  // by arrangement and draw, of all conditions
  for (std::size_t n = 0; n < s.arrangements.size(); ++n) {
    if (!std::isfinite(band.arrangements[n].worst_swr)) continue;
    const plan::detail::Case c{s, s.arrangements[n], band.band, loads, band.counted, nullptr};
    plan::detail::Settings settings(c);
    for (const plan::detail::Corner& corner : drawn) {
      worst_db[n].push_back(-network::infinite);
      for (std::size_t k = 0; k < s.conditions.size(); ++k) {
        INFO("seed " << seed << ", " << s.arrangements[n].name << ", " << s.conditions[k].name);
        const Losses losses = losses_at(c, settings, k, corner);
        all.into_antenna.take(losses.into_antenna_db, band.arrangements[n].conditions[k].loss_range_db);
        all.counted.take(losses.counted_db, band.arrangements[n].conditions[k].counted_range_db);
        if (!plan::detail::is_set_anew(c.arrangement)) {  // what is goes by steps, and these jump with them
          const ConditionResult& stated = band.arrangements[n].conditions[k];
          all.swr.take(losses.swr, stated.swr_range);
          for (std::size_t i = 0; i < stated.budget.size(); ++i)
            all.budget.take(losses.budget[i].power_w, stated.budget[i].range_w);
          for (std::size_t i = 0; i < stated.stress_ranges.size(); ++i) {
            all.stress.take(losses.stress[i].voltage_v_peak, stated.stress_ranges[i].voltage_v_peak);
            all.stress.take(losses.stress[i].current_a_rms, stated.stress_ranges[i].current_a_rms);
            all.stress.take(losses.stress[i].dissipation_w, stated.stress_ranges[i].dissipation_w);
          }
        }
        worst_db[n].back() = std::max(worst_db[n].back(), losses.counted_db);
      }
      if (by_hand) settings.forget();  // what a hand reaches is another with every Q
    }
  }
  const auto compare = [&](std::size_t with, const auto& stated_of, Count& count) {
    for (std::size_t n = 0; n < s.arrangements.size(); ++n) {
      if (n == with || worst_db[n].empty() || worst_db[with].empty()) continue;
      for (std::size_t k = 0; k < drawn.size(); ++k) {
        INFO("seed " << seed << ", " << s.arrangements[n].name << " against " << s.arrangements[with].name);
        count.take(worst_db[n][k] - worst_db[with][k], stated_of(band.arrangements[n]).range_db);
      }
    }
  };
  if (band.taken)
    compare(
        *band.taken, [](const ArrangementResult& r) { return *r.against_taken; }, all.against_taken);
  const auto best = std::min_element(
      band.arrangements.begin(), band.arrangements.end(),
      [](const ArrangementResult& a, const ArrangementResult& b) { return a.counted_db < b.counted_db; });
  compare(
      static_cast<std::size_t>(best - band.arrangements.begin()),
      [](const ArrangementResult& r) { return r.against_best; }, all.against_best);
  return all;
}

void check_drawn(bool by_hand, unsigned first, unsigned last) {
  for (unsigned seed = first; seed <= last; ++seed) {
    const Drawn of = drawn_of(seed, by_hand);
    const auto check = [&](const std::string& what, const Count& count, double outside_share = 0.005) {
      INFO("station " << seed << ", " << what << ": " << count.outside << " of " << count.draws);
      CHECK(count.draws >= 2000U);
      CHECK(static_cast<double>(count.outside) <= outside_share * static_cast<double>(count.draws));
    };
    check("into the antenna", of.into_antenna);
    check("counted", of.counted);
    if (!by_hand) {
      check("SWR", of.swr, 0.01);  // its least is a kink that stands between what was tried
      check("budget", of.budget);
      check("stress of parts", of.stress);
    }
    if (of.against_taken.draws > 0) check("against what is taken", of.against_taken);
    if (of.against_best.draws > 0) check("against the best", of.against_best);
  }
}

}  // namespace

TEST_CASE("of 2000 draws for each of 20 random stations at least 99.5 percent lie inside the stated bands") {
  check_drawn(false, 101, 120);
}

TEST_CASE("at least 99.5 percent of 2000 draws of what a hand sets anew lie inside: stations 1 to 10") {
  check_drawn(true, 101, 110);
}

TEST_CASE("at least 99.5 percent of 2000 draws of what a hand sets anew lie inside: stations 11 to 20") {
  check_drawn(true, 111, 120);
}

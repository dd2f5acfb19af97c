#include <cmath>

#include <catch2/catch.hpp>

#include <stile/tuner/continuous_survey.hpp>
#include <stile/tuner/survey.hpp>

#include <stile/base/errors.hpp>

using namespace stile;
using namespace stile::tuner;

namespace {

/// Invented: 2 x 16 x 16 states with poor coils.
RangeQuestion question() {
  RangeQuestion q;
  q.tuner.name = "small L";
  q.tuner.contact_ohm = 0.05;
  q.tuner.inductors.loss.q = 60;
  q.tuner.capacitors.loss.q = 1000;
  for (int n = 0; n < 4; ++n) {
    q.tuner.inductors.values_h.push_back(0.2e-6 * (1 << n));
    q.tuner.capacitors.values_f.push_back(50e-12 * (1 << n));
  }
  q.tuner.inductor_rating.voltage_v_peak = 100.0;
  q.source = {50.0, 5.0};
  q.bands = {band_points("40 m", 7e6, 7.2e6, 3), one_frequency(14.1e6)};
  q.loads = {{"dry", {"", "", load::ConstantLoad{{12.0, -60.0}}, {}}},
             {"wet", {"", "", load::ConstantLoad{{300.0, 90.0}}, {}}}};
  return q;
}

}  // namespace

TEST_CASE("a survey holds what single searches and a ladder say") {
  const RangeQuestion q = question();
  std::vector<std::string> lines;
  const RangeSurvey survey = survey_range(q, [&](const std::string& line) { lines.push_back(line); });
  CHECK(lines.front() == "40 m, states");
  REQUIRE(survey.loads.size() == 4);
  CHECK(survey.sweeps.size() == 2);
  CHECK(survey.coverage.size() == 2);
  CHECK(survey.coverage[0].shares.size() == 12);
  bool heat_delivers_less = false;
  for (const LoadAnswer& a : survey.loads) {
    INFO(a.band << ' ' << a.load);
    const TunerTable table = tabulate(q.tuner, a.frequency_hz);
    const TunerChoice choice = choose_state(q.tuner, table, 50.0, a.z_ohm, 2.0);
    CHECK(a.most_delivered.setting.state.index == choice.most_delivered.state.index);
    CHECK(a.least_swr.setting.state.index == choice.least_swr.state.index);
    CHECK(a.least_loss.setting.state.index == choice.least_loss.state.index);
    for (const StateAnswer* s : {&a.most_delivered, &a.least_swr, &a.least_loss, &a.least_stress}) {
      if (s->setting.status != TunerStatus::found) continue;
      const network::Evaluation e = network::evaluate(network::Ladder{tuner_elements(q.tuner, s->setting.state)},
                                                      q.source, a.frequency_hz, a.z_ohm);
      CHECK(std::abs(s->transducer_db - e.loss.transducer_db) <= 1e-9);
      const double volts = std::sqrt(2.0) * std::abs(e.load_current_a * a.z_ohm);
      CHECK(std::abs(s->load_voltage_v_peak - volts) <= 1e-9 * volts);
      CHECK(s->stress.has_value());
      if (s != &a.least_swr || s->setting.swr <= 2.0) CHECK(s->transducer_db >= a.most_delivered.transducer_db - 1e-12);
    }
    heat_delivers_less = heat_delivers_less || a.least_loss.transducer_db > a.most_delivered.transducer_db + 1e-3;
  }
  // Coverage of loads of SWR 2, 3, 5 and 10 with limits of 1.5, 2 and 3, in terms of the source's resistance.
  const double load_swr[] = {2.0, 3.0, 5.0, 10.0}, limits[] = {1.5, 2.0, 3.0};
  const auto is_coverage = [&](const RangeQuestion& asked, const RangeSurvey& found, double reference_ohm) {
    for (std::size_t b = 0; b < 2; ++b) {
      const double f = asked.bands[b].middle_hz;
      CHECK(found.coverage[b].band == asked.bands[b].name);
      CHECK(found.coverage[b].frequency_hz == f);
      const auto own = coverage(asked.tuner, tabulate(asked.tuner, f), reference_ohm, load_swr, limits, reference_ohm);
      for (std::size_t n = 0; n < 12; ++n) {
        CHECK(found.coverage[b].shares[n].load_swr == load_swr[n / 3]);
        CHECK(found.coverage[b].shares[n].swr_limit == limits[n % 3]);
        CHECK(found.coverage[b].shares[n].fraction == own[n].fraction);
      }
    }
  };
  is_coverage(q, survey, 50.0);
  RangeQuestion other = q;
  other.source.z_ohm = 75.0;
  is_coverage(other, survey_range(other), 75.0);
  // Sweeps have the state of least SWR at every frequency, and the stress of the source's own power.
  for (const SweepAnswer& sweep : survey.sweeps) {
    INFO(sweep.load);
    const NamedLoad& load = sweep.load == "dry" ? q.loads[0] : q.loads[1];
    CHECK(sweep.band == "40 m");
    REQUIRE(sweep.range.cells.size() == 3);
    for (std::size_t n = 0; n < 3; ++n) {
      const double f = q.bands[0].frequency_hz[n];
      const TunerTable table = tabulate(q.tuner, f);
      const cdouble z = load::load_impedance(load.load, f);
      const TunerSetting least = choose_state(q.tuner, table, 50.0, z, 2.0).least_swr;
      CHECK(sweep.range.cells[n].index == least.state.index);
      CHECK(sweep.range.cells[n].swr == Approx(least.swr).epsilon(1e-12));
      CHECK(sweep.range.cells[n].stress.value ==
            Approx(worst_stress(q.tuner, table, least.state, q.source, z).value).epsilon(1e-12));
    }
  }
  // With ratings the state of least stress is one of its own.
  for (const LoadAnswer& a : survey.loads) {
    const TunerTree tree = build_tree(q.tuner, tabulate(q.tuner, a.frequency_hz), 50.0);
    CHECK(a.least_stress.setting.state.index == choose_least_stress(tree, a.z_ohm, 2.0, 5.0).setting.state.index);
  }
  CHECK(heat_delivers_less);  // that is why the state of least heat is not the one to take
  const LoadVoltage highest = highest_load_voltage(survey.loads);
  bool reached = false;
  for (const LoadAnswer& a : survey.loads) {
    for (const StateAnswer* s : {&a.most_delivered, &a.least_swr, &a.least_loss, &a.least_stress}) {
      CHECK(s->load_voltage_v_peak <= highest.v_peak);
      reached |= s->load_voltage_v_peak == highest.v_peak && a.load == highest.load && a.band == highest.band;
    }
  }
  CHECK(reached);
  CHECK(highest_load_voltage({}).v_peak == 0.0);
}

TEST_CASE("a rating of any kind on any arm, or of any part of it, is a rating") {
  Tuner t = question().tuner;
  t.inductor_rating = {};
  CHECK_FALSE(has_ratings(t));
  for (double network::Rating::*kind :
       {&network::Rating::voltage_v_peak, &network::Rating::current_a_rms, &network::Rating::dissipation_w}) {
    network::Rating rating;
    rating.*kind = 3.0;
    for (network::Rating Tuner::*arm : {&Tuner::inductor_rating, &Tuner::capacitor_rating}) {
      Tuner rated = t;
      rated.*arm = rating;
      CHECK(has_ratings(rated));
    }
    for (int arm = 0; arm < 4; ++arm) {
      Tuner rated = t;
      std::vector<network::Rating>& of_parts = arm == 0   ? rated.inductors.ratings
                                               : arm == 1 ? rated.capacitors.ratings
                                               : arm == 2 ? rated.load_capacitors.ratings
                                                          : rated.load_inductors.ratings;
      of_parts = {{}, rating};
      INFO("arm " << arm);
      CHECK(has_ratings(rated));
      of_parts = {{}, {}};
      CHECK_FALSE(has_ratings(rated));
    }
  }
}

TEST_CASE("maps, walks and sizing loads of a survey are those of their own functions") {
  const RangeQuestion q = question();
  MapGrid grid;
  grid.columns = grid.rows = 15;
  const auto maps = survey_maps(q, grid, Goal::most_delivered);
  REQUIRE(maps.size() == 2);
  CHECK(maps[1].frequency_hz == 14.1e6);
  for (std::size_t b = 0; b < 2; ++b) {
    const TunerTree tree = build_tree(q.tuner, tabulate(q.tuner, q.bands[b].middle_hz), 50.0);
    const RangeMap own = map_range(tree, grid, 2.0, 5.0, Goal::most_delivered);
    REQUIRE(own.cells.size() == maps[b].cells.size());
    for (std::size_t n = 0; n < own.cells.size(); ++n) {
      CHECK(maps[b].cells[n].index == own.cells[n].index);
      CHECK(maps[b].cells[n].stress.value == own.cells[n].stress.value);
    }
  }
  const auto walks = survey_greedy(q);
  REQUIRE(walks.size() == 4);
  CHECK(walks[3].best.setting.swr == walks[3].result.true_least_swr);
  for (const GreedyAnswer& walk : walks) {
    const auto own = local_minima(q.tuner, tabulate(q.tuner, walk.frequency_hz), 50.0, walk.z_ohm);
    REQUIRE(walk.minima.size() == own.size());
    REQUIRE_FALSE(own.empty());
    for (std::size_t n = 0; n < own.size(); ++n) CHECK(walk.minima[n].index == own[n].index);
    CHECK(walk.minima.front().swr == Approx(walk.result.true_least_swr).epsilon(1e-12));
  }
  const auto loads = sizing_loads(q);
  REQUIRE(loads.size() == 4);
  CHECK(loads[2].frequency_hz == 14.1e6);
  CHECK(loads[1].z_ohm == cdouble{300.0, 90.0});

  const auto reach = map_greedy(q.tuner, 7.1e6, 50.0, 2.0, grid);
  REQUIRE(reach.size() == 225);
  const TunerTable table = tabulate(q.tuner, 7.1e6);
  int counts[4] = {};
  for (std::size_t n = 0; n < reach.size(); ++n) {
    ++counts[static_cast<int>(reach[n])];
    const auto z = cell_load(grid, n % 15, n / 15);
    CHECK((reach[n] == GreedyReach::no_load) == !z);
    if (!z) continue;
    const GreedyResult walk = greedy_search(q.tuner, table, 50.0, *z, 2.0);
    CHECK((reach[n] == GreedyReach::reached) == (walk.status == TunerStatus::found));
    CHECK((reach[n] == GreedyReach::missed) == walk.false_minimum);
  }
  CHECK(counts[0] > 20);
  CHECK(counts[2] > 20);
}

TEST_CASE("a survey of parts that turn holds exact matches and the outline") {
  ContinuousTuner t;
  t.inductor = {{0.1e-6, 20e-6}, {}, {}, {}};
  t.capacitor = {{10e-12, 2e-9}, {}, {}};
  const RangeQuestion q = question();
  const ContinuousSurvey survey = survey_continuous(t, 50.0, q.bands, q.loads, 1e-3);
  CHECK(survey.loads.size() == 4);
  CHECK(survey.sweeps.size() == 6);
  REQUIRE(survey.boundaries.size() == 2);
  CHECK(survey.boundaries[0].curves.size() == 8);
  // Traced as finely as asked, in terms of the source's resistance.
  const ContinuousSurvey other = survey_continuous(t, 75.0, q.bands, q.loads, 1e-2);
  for (std::size_t b = 0; b < 2; ++b) {
    const double f = q.bands[b].middle_hz;
    const auto fine = trace_boundary(t, f, 50.0, 50.0, 1e-3), coarse = trace_boundary(t, f, 75.0, 75.0, 1e-2);
    for (std::size_t n = 0; n < 8; ++n) {
      CHECK(survey.boundaries[b].curves[n].points.size() == fine[n].points.size());
      REQUIRE(other.boundaries[b].curves[n].points.size() == coarse[n].points.size());
      for (std::size_t k = 0; k < coarse[n].points.size(); ++k)
        CHECK(other.boundaries[b].curves[n].points[k].reflection == coarse[n].points[k].reflection);
    }
  }
  for (const ContinuousAnswer& a : survey.loads) CHECK(a.match.status == TunerStatus::found);
  MapGrid grid;
  grid.columns = grid.rows = 10;
  const auto cells = map_continuous(t, 7.1e6, 50.0, grid);
  REQUIRE(cells.size() == 100);
  CHECK(cells[0].status == TunerStatus::not_run);
  const auto z = cell_load(grid, 5, 5);
  CHECK(cells[55].dissipation_db == match_continuous(t, 7.1e6, 50.0, *z).dissipation_db);
  const NamedLoad bad[] = {{"pure", {"", "", load::ConstantLoad{{0.0, 5.0}}, {}}}};
  CHECK_THROWS_AS(survey_continuous(t, 50.0, q.bands, bad, 1e-3), DomainError);
}

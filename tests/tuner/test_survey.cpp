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

TEST_CASE("maps, walks and sizing loads of a survey are those of their own functions") {
  const RangeQuestion q = question();
  MapGrid grid;
  grid.columns = grid.rows = 15;
  const auto maps = survey_maps(q, grid, Goal::most_delivered);
  REQUIRE(maps.size() == 2);
  CHECK(maps[1].frequency_hz == 14.1e6);
  const auto walks = survey_greedy(q);
  REQUIRE(walks.size() == 4);
  CHECK(walks[3].best.setting.swr == walks[3].result.true_least_swr);
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

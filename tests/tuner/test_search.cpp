#include <algorithm>
#include <limits>

#include <catch2/catch.hpp>

#include <stile/tuner/tuner.hpp>
#include <tuner/random_tuner.hpp>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/base/table.hpp>

using namespace stile;
using namespace stile::tuner;

namespace {

constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();

network::Evaluation evaluate_state(const Tuner& t, const TunerState& s, double f, cdouble source, cdouble load) {
  return network::evaluate(network::Ladder{tuner_elements(t, s)}, network::Source{source, 1.0}, f, load);
}

/// SWR within 1e-9 of itself, loss within 1e-9 dB.
void check_equal(const TunerSetting& setting, const network::Evaluation& expected) {
  CHECK(setting.status == TunerStatus::found);
  CHECK(std::abs(setting.swr - expected.swr) <= 1e-9 * expected.swr);
  CHECK(std::abs(setting.dissipation_db - expected.loss.dissipation_db) <= 1e-9);
}

/// An L with eight inductors and eight capacitors in steps of two.
Tuner eight_and_eight() {
  Tuner t;
  t.contact_ohm = 0.05;
  t.inductors.loss.q = 120;
  t.inductors.stray_h = 0.1e-6;
  t.capacitors.loss.q = 1000;
  t.capacitors.stray_f = 15e-12;
  for (int n = 0; n < 8; ++n) {
    t.inductors.values_h.push_back(0.05e-6 * (1 << n));
    t.capacitors.values_f.push_back(10e-12 * (1 << n));
  }
  return t;
}

}  // namespace

TEST_CASE("SWR and loss of every state equal its ladder's evaluation") {
  test::RandomTuners random(3);
  for (const TunerForm form : test::forms) {
    for (int repeat = 0; repeat < 20; ++repeat) {
      const Tuner t = random.tuner(form);
      const double f = random.frequency_hz();
      const cdouble source = random.source(), load = random.load();
      const TunerTable table = tabulate(t, f);
      for (std::uint64_t index = 0; index < state_count(t); ++index) {
        const TunerState s = tuner_state(t, index);
        if (!test::passes(t, s)) continue;
        // A table that holds this state's immittances everywhere leaves no other choice.
        TunerTable only = table;
        std::fill(only.inductor_z_ohm.begin(), only.inductor_z_ohm.end(), table.inductor_z_ohm[s.inductor_mask]);
        std::fill(only.capacitor_y_siemens.begin(), only.capacitor_y_siemens.end(),
                  table.capacitor_y_siemens[s.capacitor_mask]);
        std::fill(only.load_capacitor_y_siemens.begin(), only.load_capacitor_y_siemens.end(),
                  table.load_capacitor_y_siemens[s.load_capacitor_mask]);
        std::fill(only.load_inductor_z_ohm.begin(), only.load_inductor_z_ohm.end(),
                  table.load_inductor_z_ohm[s.load_inductor_mask]);
        Tuner one_side = t;
        one_side.capacitor_at_transmitter = s.side == CapacitorSide::transmitter;
        one_side.capacitor_at_load = !one_side.capacitor_at_transmitter;
        INFO("form " << static_cast<int>(form) << " repeat " << repeat << " state " << index);
        const TunerChoice choice = choose_state(one_side, only, source, load, network::infinite);
        const network::Evaluation expected = evaluate_state(t, s, f, source, load);
        check_equal(choice.least_swr, expected);
        check_equal(choice.least_loss, expected);
        CHECK(choice.least_swr.state.index == 0);  // all are equal
        CHECK(choice.least_loss.state.index == 0);
      }
    }
  }
}

TEST_CASE("the choice is that of evaluating every ladder") {
  test::RandomTuners random(4);
  int reached = 0, out_of_reach = 0;
  for (const TunerForm form : test::forms) {
    for (int repeat = 0; repeat < 60; ++repeat) {
      const Tuner t = random.tuner(form);
      const double f = random.frequency_hz(), limit = 5.0;
      const cdouble source = random.source(), load = random.load();
      double least_swr = network::infinite, least_loss = network::infinite, most_within = 0.0, most = 0.0;
      for (std::uint64_t index = 0; index < state_count(t); ++index) {
        const TunerState s = tuner_state(t, index);
        if (!test::passes(t, s)) continue;
        const network::Evaluation e = evaluate_state(t, s, f, source, load);
        least_swr = std::min(least_swr, e.swr);
        most = std::max(most, e.power.delivered_w);
        if (e.swr > limit) continue;
        least_loss = std::min(least_loss, e.loss.dissipation_db);
        most_within = std::max(most_within, e.power.delivered_w);
      }
      INFO("form " << static_cast<int>(form) << " repeat " << repeat);
      const TunerChoice choice = choose_state(t, tabulate(t, f), source, load, limit);
      CHECK(std::abs(choice.least_swr.swr - least_swr) <= 1e-9 * least_swr);
      check_equal(choice.least_swr, evaluate_state(t, choice.least_swr.state, f, source, load));
      const network::Evaluation delivering = evaluate_state(t, choice.most_delivered.state, f, source, load);
      CHECK(std::abs(delivering.power.delivered_w / (most_within > 0.0 ? most_within : most) - 1.0) <= 1e-9);
      check_equal(choice.most_delivered, delivering);
      if (least_loss < network::infinite) {
        ++reached;
        CHECK(std::abs(choice.least_loss.dissipation_db - least_loss) <= 1e-9);
        CHECK(choice.least_loss.swr <= limit * (1.0 + 1e-12));
        check_equal(choice.least_loss, evaluate_state(t, choice.least_loss.state, f, source, load));
      } else {
        ++out_of_reach;
        CHECK(choice.least_loss.status == TunerStatus::out_of_reach);
      }
    }
  }
  CHECK(reached > 20);
  CHECK(out_of_reach > 20);
}

TEST_CASE("the state that delivers most is the same with and without bounds") {
  test::RandomTuners random(20260211);
  int within = 0, beyond = 0;
  const auto compare = [&](const Tuner& t, const TunerTable& table, cdouble source, cdouble load, double limit) {
    const TunerSetting all = choose_state(t, table, source, load, limit).most_delivered;
    const TunerSetting bounded = most_delivered_state(t, table, source, load, limit);
    CHECK(bounded.status == all.status);
    CHECK(bounded.state.index == all.state.index);
    CHECK(bounded.swr == all.swr);
    CHECK(bounded.dissipation_db == all.dissipation_db);
    (all.swr <= limit ? within : beyond) += 1;
  };
  for (const TunerForm form : test::forms) {
    for (int n = 0; n < 300; ++n) {
      Tuner t = random.tuner(form);
      if (n % 3 == 0) t.inductors.values_h[0] = t.inductors.values_h[1];  // states that tie exactly
      const TunerTable table = tabulate(t, random.frequency_hz());
      for (const double limit : {1.0, 1.5, 3.0, network::infinite})
        compare(t, table, random.source(), random.load(), limit);
    }
  }
  const Tuner large = eight_and_eight();
  for (int n = 0; n < 60; ++n) {
    const TunerTable table = tabulate(large, random.frequency_hz());
    for (const double limit : {1.2, 2.0}) {
      compare(large, table, 50.0, random.load(), limit);
      compare(large, table, random.source(), {random.spread(1e-3, 1.0), random.between(-1e4, 1e4)}, limit);
    }
  }
  CHECK(within > 500);
  CHECK(beyond > 500);
  compare(large, tabulate(large, 7.1e6), 50.0, {0.0, -230.0}, 2.0);
  compare(large, tabulate(large, 7.1e6), 50.0, 0.0, 2.0);
  CHECK_THROWS_AS(most_delivered_state(large, tabulate(large, 7.1e6), 50.0, {-1.0, 0.0}, 2.0), DomainError);
}

TEST_CASE("the choice in a large bank is that of evaluating its ladders") {
  const Tuner t = eight_and_eight();
  const double f = 7.1e6;
  const cdouble load{14.0, -258.0};
  const TunerChoice choice = choose_state(t, tabulate(t, f), 50.0, load, 2.0);
  check_equal(choice.least_swr, evaluate_state(t, choice.least_swr.state, f, 50.0, load));
  check_equal(choice.least_loss, evaluate_state(t, choice.least_loss.state, f, 50.0, load));
  double least_swr = network::infinite, least_loss = network::infinite;
  for (std::uint64_t index = 0; index < state_count(t); ++index) {
    const TunerState s = tuner_state(t, index);
    if (s.capacitor_mask % 5 != choice.least_swr.state.capacitor_mask % 5) continue;  // a fifth keeps the test short
    const network::Evaluation e = evaluate_state(t, s, f, 50.0, load);
    least_swr = std::min(least_swr, e.swr);
    if (e.swr <= 2.0) least_loss = std::min(least_loss, e.loss.dissipation_db);
  }
  CHECK(std::abs(choice.least_swr.swr - least_swr) <= 1e-9 * least_swr);
  CHECK(choice.least_loss.dissipation_db <= least_loss + 1e-9);
}

TEST_CASE("equal SWR goes to the lesser loss and then to the lower index") {
  // Resistances only, through a table made by hand: 25 ohm load, 50 ohm source.
  Tuner t;
  t.capacitor_at_load = false;
  t.inductors.values_h = {1e-6, 1e-6};
  t.capacitors.values_f = {1e-12};
  TunerTable table{1e6, {0.0, 5.0, 5.0, 0.0}, {0.0, 0.0}, {0.0}};
  TunerChoice choice = choose_state(t, table, 50.0, 25.0, 3.0);
  CHECK(choice.least_swr.state.index == 1);  // 30 ohm: index 1, 2, 5 and 6
  CHECK(std::abs(choice.least_swr.swr - 50.0 / 30.0) <= 1e-15);
  CHECK(std::abs(choice.least_swr.dissipation_db - 10.0 * std::log10(30.0 / 25.0)) <= 1e-15);
  CHECK(choice.least_loss.state.index == 0);  // 25 ohm: index 0, 3, 4 and 7
  CHECK(choice.least_loss.dissipation_db == 0.0);

  // 100 ohm from 25 ohm + 75 ohm, 25 ohm from 25 ohm: both have SWR 2, the second without loss.
  table.inductor_z_ohm = {75.0, 75.0, 0.0, 0.0};
  choice = choose_state(t, table, 50.0, 25.0, 3.0);
  CHECK(choice.least_swr.state.index == 2);
  CHECK(choice.least_swr.dissipation_db == 0.0);
}

TEST_CASE("equal loss goes to the lesser SWR and then to the lower index") {
  Tuner t;
  t.inductors.values_h = {1e-6, 1e-6};
  t.capacitors.values_f = {1e-12};
  const cdouble j{0.0, 1.0};
  const TunerTable table{1e6, {10.0 * j, 5.0 * j, 20.0 * j, 5.0 * j}, {0.0, 0.0}, {0.0}};
  const TunerChoice choice = choose_state(t, table, 50.0, 40.0, 10.0);
  CHECK(choice.least_loss.state.index == 1);
  CHECK(choice.least_swr.state.index == 1);
}

TEST_CASE("no state within the SWR limit is out of reach and the least SWR still stands") {
  const Tuner t = eight_and_eight();
  const TunerChoice choice = choose_state(t, tabulate(t, 1.85e6), 50.0, {3.0, -2500.0}, 1.5);
  CHECK(choice.least_loss.status == TunerStatus::out_of_reach);
  CHECK(choice.least_loss.swr == 0.0);
  CHECK(choice.least_swr.status == TunerStatus::found);
  CHECK(choice.least_swr.swr > 1.5);
  CHECK(TunerChoice{}.least_swr.status == TunerStatus::not_run);
}

TEST_CASE("a load that takes no power has a least SWR and infinite loss") {
  test::RandomTuners random(5);
  for (const TunerForm form : test::forms) {
    for (const cdouble load : {cdouble{0.0, -700.0}, cdouble{0.0, 0.0}}) {
      Tuner t = random.tuner(form);
      t.contact_ohm = 0.1;
      const double f = 7.1e6;
      double least_swr = network::infinite;
      for (std::uint64_t index = 0; index < state_count(t); ++index) {
        const TunerState s = tuner_state(t, index);
        if (test::passes(t, s)) least_swr = std::min(least_swr, evaluate_state(t, s, f, 50.0, load).swr);
      }
      const TunerChoice choice = choose_state(t, tabulate(t, f), 50.0, load, network::infinite);
      INFO("form " << static_cast<int>(form) << " load " << load);
      CHECK(std::abs(choice.least_swr.swr - least_swr) <= 1e-9 * least_swr);
      CHECK(choice.least_swr.dissipation_db == network::infinite);
      CHECK(choice.least_loss.state.index == choice.least_swr.state.index);  // all losses tie
      CHECK(choice.least_loss.dissipation_db == network::infinite);
    }
  }
}

TEST_CASE("a lossless tuner into a reactance reflects everything") {
  Tuner t;
  t.inductors.values_h = {1e-6};
  t.capacitors.values_f = {1e-10};
  const TunerChoice choice = choose_state(t, tabulate(t, 7e6), 50.0, {0.0, 30.0}, 100.0);
  CHECK(choice.least_swr.status == TunerStatus::found);
  CHECK(choice.least_swr.swr == network::infinite);
  CHECK(choice.least_loss.status == TunerStatus::out_of_reach);
}

TEST_CASE("strays alone are a lossless L whose input impedance is known by hand") {
  // One part that stays out; strays of 50 ohm in series and 1/50 S across at w = 1e7 rad/s: with 50 ohm behind them the
  // capacitor at the load gives 50 || -50j = 25 - 25j, with +50j: 25 + 25j; Gamma = (-1 + j)/(3 + j), |Gamma|^2 = 0.2.
  Tuner t;
  t.capacitor_at_transmitter = false;
  t.inductors.values_h = {1.0};
  t.inductors.stray_h = 5e-6;
  t.capacitors.stray_f = 2e-9;
  const TunerChoice choice = choose_state(t, tabulate(t, 1e7 / two_pi), 50.0, 50.0, 10.0);
  const double reflection = std::sqrt(0.2);
  CHECK(choice.least_swr.state.index == 0);
  CHECK(std::abs(choice.least_swr.swr - (1.0 + reflection) / (1.0 - reflection)) <= 1e-12);
  CHECK(std::abs(choice.least_swr.dissipation_db) <= 1e-12);
}

TEST_CASE("T networks matched with their losses reproduce the derived loss") {
  const std::string path = std::string{STILE_TEST_DATA} + "/tuner/matched_t.csv";
  const Table rows = read_table(read_text_file(path), path);
  REQUIRE(rows.rows.size() == 3);
  for (std::size_t n = 0; n < rows.rows.size(); ++n) {
    Tuner t;
    t.form = TunerForm::t;
    t.inductors.values_h = {rows.number(n, "l_h")};
    t.inductors.loss.q = rows.number(n, "l_q");
    t.capacitors.values_f = {rows.number(n, "c_transmitter_f")};
    t.capacitors.loss.q = t.load_capacitors.loss.q = rows.number(n, "c_q");
    t.load_capacitors.values_f = {rows.number(n, "c_load_f")};
    const cdouble load{rows.number(n, "load_re"), rows.number(n, "load_im")};
    INFO(rows.text(n, "id"));
    const TunerChoice choice = choose_state(t, tabulate(t, rows.number(n, "f_hz")), 50.0, load, 1.0001);
    CHECK(choice.least_swr.state.index == 7);  // the only one of eight through which anything passes
    CHECK(std::abs(choice.least_swr.swr - 1.0) <= 1e-9);
    CHECK(std::abs(choice.least_loss.dissipation_db - rows.number(n, "loss_db")) <= rows.number(n, "tolerance_db"));
    CHECK(std::abs(std::pow(10.0, -choice.least_loss.dissipation_db / 10.0) - rows.number(n, "efficiency")) <= 1e-9);
  }
}

TEST_CASE("the search refuses arguments outside their range and another tuner's table") {
  const Tuner t = eight_and_eight();
  const TunerTable table = tabulate(t, 7e6);
  const auto refused = [&](const TunerTable& with, cdouble source, cdouble load, double limit, const char* message) {
    CHECK_THROWS_MATCHES(choose_state(t, with, source, load, limit), DomainError, Catch::Matchers::Message(message));
  };
  refused(table, {0.0, 10.0}, 50.0, 2.0, "z_source_ohm is 0+10j and must be finite with real part > 0");
  refused(table, {not_a_number, 0.0}, 50.0, 2.0, "z_source_ohm is nan+0j and must be finite with real part > 0");
  refused(table, 50.0, {-1.0, -10.0}, 2.0, "z_load_ohm is -1-10j and must be finite with real part >= 0");
  refused(table, 50.0, {1.0, network::infinite}, 2.0, "z_load_ohm is 1+infj and must be finite with real part >= 0");
  refused(table, 50.0, 50.0, 0.99, "swr_limit is 0.99 and must be >= 1");
  refused(table, 50.0, 50.0, not_a_number, "swr_limit is nan and must be >= 1");
  TunerTable other = table;
  other.capacitor_y_siemens.pop_back();
  refused(other, 50.0, 50.0, 2.0,
          "table.capacitor_y_siemens has 255 entries and must have 256: it belongs to another tuner");
}

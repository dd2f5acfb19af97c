#include <algorithm>

#include <catch2/catch.hpp>

#include <stile/tuner/stress.hpp>
#include <stile/tuner/tree.hpp>
#include <tuner/random_tuner.hpp>

#include <stile/base/errors.hpp>
#include <stile/base/table.hpp>

using namespace stile;
using namespace stile::tuner;

namespace {

double greatest(const std::vector<network::Element>& elements, const network::Evaluation& evaluation) {
  double factor = 0.0;
  for (std::size_t n = 0; n < elements.size(); ++n) {
    const network::Stress& s = evaluation.elements[n];
    const network::Rating& r = elements[n].rating;
    factor = std::max({factor, s.voltage_v_peak / r.voltage_v_peak, s.current_a_rms / r.current_a_rms,
                       s.dissipation_w / r.dissipation_w});
  }
  return factor;
}

network::Rating random_rating(test::RandomTuners& random) {
  return {random.spread(10.0, 2000.0), random.spread(0.1, 20.0), random.spread(0.01, 10.0)};
}

}  // namespace

TEST_CASE("the worst stress of an arm equals that of the ladder") {
  test::RandomTuners random(31);
  int compared = 0;
  for (const TunerForm form : test::forms) {
    for (int repeat = 0; repeat < 20; ++repeat) {
      Tuner t = random.tuner(form);
      t.inductors.open_contact_f = t.load_inductors.open_contact_f = 0.0;  // a whole arm is one element
      t.inductor_rating = random_rating(random);
      t.capacitor_rating = random_rating(random);
      const TunerTable table = tabulate(t, random.frequency_hz());
      const network::Source source{random.source(), random.spread(1.0, 1000.0)};
      const cdouble load = random.load();
      for (std::uint64_t index = 0; index < state_count(t); index += 3) {
        const TunerState s = tuner_state(t, index);
        if (!test::passes(t, s)) continue;
        const std::vector<network::Element> elements = tuner_elements(t, s);
        const double expected =
            greatest(elements, network::evaluate(network::Ladder{elements}, source, table.frequency_hz, load));
        const WorstStress worst = worst_stress(t, table, s, source, load);
        INFO("form " << static_cast<int>(form) << " state " << index << ' ' << stress_text(t, worst));
        CHECK(std::abs(worst.factor - expected) <= 1e-9 * expected);
        CHECK_FALSE(worst.part.has_value());
        if (!elements.empty()) CHECK(std::abs(worst.value / worst.rating - worst.factor) <= 1e-12 * worst.factor);
        ++compared;
      }
    }
  }
  CHECK(compared > 500);
}

TEST_CASE("the worst stress of parts equals that of a ladder that has each part by itself") {
  test::RandomTuners random(32);
  for (const TunerForm form : {TunerForm::l, TunerForm::pi_network, TunerForm::lcl}) {
    for (int repeat = 0; repeat < 40; ++repeat) {
      Tuner t = random.tuner(form);
      t.contact_ohm = 0.0;  // it would stand in a capacitor's own element
      t.capacitors.open_contact_f = t.load_capacitors.open_contact_f = 0.0;
      t.inductors.ratings = {random_rating(random), random_rating(random), random_rating(random)};
      t.capacitors.ratings = {random_rating(random), random_rating(random)};
      if (form == TunerForm::pi_network) t.load_capacitors.ratings = t.capacitors.ratings;
      if (form == TunerForm::lcl) t.load_inductors.ratings = {random_rating(random), random_rating(random)};
      const TunerTable table = tabulate(t, random.frequency_hz());
      const network::Source source{random.source(), 20.0};
      const cdouble load = random.load();
      for (std::uint64_t index = 1; index < state_count(t); index += 5) {
        const TunerState s = tuner_state(t, index);
        std::vector<network::Element> parts;
        const auto inductors = [&](const InductorArm& arm, std::uint32_t mask) {
          for (std::size_t n = 0; n < arm.values_h.size(); ++n) {
            if ((mask >> n & 1U) == 0) continue;
            parts.push_back(
                {"coil", network::Place::series,
                 network::Inductor{arm.values_h[n], arm.losses.empty() ? arm.loss : arm.losses[n], arm.open_contact_f},
                 arm.ratings[n]});
          }
          if (arm.stray_h > 0.0)
            parts.push_back({"stray", network::Place::series, network::Inductor{arm.stray_h, {}, 0.0}, {}});
        };
        const auto capacitors = [&](const CapacitorArm& arm, std::uint32_t mask) {
          for (std::size_t n = 0; n < arm.values_f.size(); ++n) {
            if ((mask >> n & 1U) != 0)
              parts.push_back(
                  {"capacitor", network::Place::shunt, network::Capacitor{arm.values_f[n], arm.loss}, arm.ratings[n]});
          }
          if (arm.stray_f > 0.0)
            parts.push_back({"stray", network::Place::shunt, network::Capacitor{arm.stray_f, {}}, {}});
        };
        const bool at_load = s.side == CapacitorSide::load;
        if (form == TunerForm::lcl || (form == TunerForm::l && at_load)) inductors(t.inductors, s.inductor_mask);
        capacitors(t.capacitors, s.capacitor_mask);
        if (form == TunerForm::pi_network || (form == TunerForm::l && !at_load))
          inductors(t.inductors, s.inductor_mask);
        if (form == TunerForm::pi_network) capacitors(t.load_capacitors, s.load_capacitor_mask);
        if (form == TunerForm::lcl) inductors(t.load_inductors, s.load_inductor_mask);
        const double expected =
            greatest(parts, network::evaluate(network::Ladder{parts}, source, table.frequency_hz, load));
        const WorstStress worst = worst_stress(t, table, s, source, load);
        INFO("form " << static_cast<int>(form) << " state " << index << ' ' << stress_text(t, worst));
        CHECK(std::abs(worst.factor - expected) <= 1e-9 * expected);
        CHECK(worst.part.has_value());
      }
    }
  }
}

TEST_CASE("the state of least stress is that of trying all within the limit") {
  test::RandomTuners random(33);
  int reached = 0;
  for (const TunerForm form : test::forms) {
    for (int repeat = 0; repeat < 25; ++repeat) {
      Tuner t = random.tuner(form);
      t.inductor_rating = random_rating(random);
      t.capacitors.ratings = {random_rating(random), random_rating(random)};
      const TunerTable table = tabulate(t, random.frequency_hz());
      const network::Source source{random.source(), 20.0};
      const cdouble load = random.load();
      const double limit = 6.0;
      double least = network::infinite;
      for (std::uint64_t index = 0; index < state_count(t); ++index) {
        const TunerState s = tuner_state(t, index);
        if (!test::passes(t, s)) continue;
        const network::Evaluation e =
            network::evaluate(network::Ladder{tuner_elements(t, s)}, source, table.frequency_hz, load);
        if (e.swr <= limit) least = std::min(least, worst_stress(t, table, s, source, load).factor);
      }
      const StressChoice choice = choose_least_stress(build_tree(t, table, source.z_ohm), load, limit, source.power_w);
      INFO("form " << static_cast<int>(form) << " repeat " << repeat);
      if (least == network::infinite) {
        CHECK(choice.setting.status == TunerStatus::out_of_reach);
        continue;
      }
      ++reached;
      CHECK(choice.setting.status == TunerStatus::found);
      CHECK(std::abs(choice.stress.factor - least) <= 1e-12 * least);
      CHECK(choice.setting.swr <= limit * (1.0 + 1e-12));
    }
  }
  CHECK(reached > 20);
}

TEST_CASE("a stress names the arm the part and the kind") {
  // 50 ohm, no reactance: 100 W are 1.414 A and 100 V peak in the only coil's way.
  Tuner t;
  t.inductors.values_h = {1e-6};
  t.capacitors.values_f = {1e-12};
  t.inductors.ratings = {{network::infinite, 1.0, network::infinite}};
  const TunerTable table = tabulate(t, 1e3);  // where a microhenry is nothing
  const WorstStress worst = worst_stress(t, table, tuner_state(t, 1), {50.0, 100.0}, 50.0);
  CHECK(std::abs(worst.factor - std::sqrt(2.0)) <= 1e-6);
  CHECK(worst.arm == TunerArm::inductors);
  CHECK(worst.part == std::size_t{0});
  CHECK(stress_text(t, worst) == "inductors, part 1: 1.414 A rms, rated 1 A");
  CHECK(stress_text(t, worst_stress(t, table, tuner_state(t, 0), {50.0, 100.0}, 50.0)) == "no rating stated");
  CHECK_THROWS_AS(worst_stress(t, table, tuner_state(t, 0), {50.0, 0.0}, 50.0), DomainError);
}

TEST_CASE("a stress has its arm by the form, its part counted from 1 and its unit, in words") {
  Tuner t;
  const auto arm = [&](TunerForm form, TunerArm of) {
    t.form = form;
    return arm_name(t, of);
  };
  CHECK(arm(TunerForm::l, TunerArm::inductors) == "inductors");
  CHECK(arm(TunerForm::l, TunerArm::capacitors) == "capacitors");
  for (const TunerForm form : {TunerForm::t, TunerForm::pi_network}) {
    CHECK(arm(form, TunerArm::inductors) == "inductors");
    CHECK(arm(form, TunerArm::capacitors) == "capacitors at the transmitter");
    CHECK(arm(form, TunerArm::load_capacitors) == "capacitors at the load");
  }
  CHECK(arm(TunerForm::lcl, TunerArm::inductors) == "inductors at the transmitter");
  CHECK(arm(TunerForm::lcl, TunerArm::capacitors) == "capacitors");
  CHECK(arm(TunerForm::lcl, TunerArm::load_inductors) == "inductors at the load");
  t.form = TunerForm::pi_network;
  CHECK(stress_text(t, {1.6, TunerArm::load_capacitors, std::size_t{2}, StressKind::voltage, 800.0, 500.0}) ==
        "capacitors at the load, part 3: 800 V peak, rated 500 V");
  CHECK(stress_text(t, {2.0, TunerArm::inductors, std::nullopt, StressKind::dissipation, 3.0, 1.5}) ==
        "inductors: 3 W dissipated, rated 1.5 W");
  CHECK(stress_text(t, {0.5, TunerArm::inductors, std::size_t{0}, StressKind::current, 0.5, 1.0}) ==
        "inductors, part 1: 500 mA rms, rated 1 A");
}

TEST_CASE("of capacitors behind contacts each has its own loss, and the contact's heat is none of it") {
  // By hand: 100 W into 50 ohm through a by-pass of next to nothing, 70.71 V rms across two capacitors at 1 MHz. 1 nF,
  // 159.155 ohm, of Q 100 has 1.59155 ohm of its own beside 2 ohm of contact: 70.7107/|3.59155 - 159.155j| = 0.444176
  // A, and 0.313999 W in it; 500 pF, 318.31 ohm, of Q 1000 0.31831 ohm: 70.7107/|2.31831 - 318.31j| = 0.222138
  // A, 15.7071 mW.
  Tuner t;
  t.capacitor_at_load = false;
  t.inductors.values_h = {1e-15};
  t.capacitors.values_f = {1e-9, 500e-12};
  t.capacitors.losses = {t.capacitors.loss, t.capacitors.loss};
  t.capacitors.losses[0].q = 100.0, t.capacitors.losses[1].q = 1000.0;
  t.contact_ohm = 2.0;
  const auto worst = [&](std::size_t part, const network::Rating& rating) {
    t.capacitors.ratings.assign(2, {});
    t.capacitors.ratings[part] = rating;
    TunerState state;
    state.capacitor_mask = 3;
    const TunerTable table = tabulate(t, 1e6);
    // The voltage at the capacitors for a load behind them is that of 70.71 V rms only where all arrives: scaled.
    const std::vector<network::Element> elements = tuner_elements(t, state);
    const network::Evaluation e = network::evaluate(network::Ladder{elements}, {50.0, 100.0}, 1e6, 50.0);
    const WorstStress found = worst_stress(t, table, state, {50.0, 100.0}, 50.0);
    const double v_rms = e.elements[0].voltage_v_peak / std::sqrt(2.0) / 70.71067811865476;
    CHECK(found.part == part);
    CHECK(found.arm == TunerArm::capacitors);
    return std::pair(found.value, v_rms);
  };
  const network::Rating amperes{network::infinite, 1.0, network::infinite},
      watts{network::infinite, network::infinite, 1.0};
  const auto [first_a, v_1] = worst(0, amperes);
  CHECK(first_a == Approx(0.444176 * v_1).epsilon(1e-5));
  const auto [second_a, v_2] = worst(1, amperes);
  CHECK(second_a == Approx(0.222138 * v_2).epsilon(1e-5));
  const auto [first_w, v_3] = worst(0, watts);
  CHECK(first_w == Approx(0.313999 * v_3 * v_3).epsilon(1e-5));
  const auto [second_w, v_4] = worst(1, watts);
  CHECK(second_w == Approx(15.7071e-3 * v_4 * v_4).epsilon(1e-5));
}

TEST_CASE("an L-C-L has the derived loss and stress") {
  const std::string path = std::string{STILE_TEST_DATA} + "/tuner/lcl.csv";
  const Table rows = read_table(read_text_file(path), path);
  REQUIRE(rows.rows.size() == 1);
  const auto number = [&](const char* column) { return rows.number(0, column); };
  Tuner t;
  t.form = TunerForm::lcl;
  t.inductors.values_h = {number("l_transmitter_h")};
  t.load_inductors.values_h = {number("l_load_h")};
  t.inductors.loss.q = t.load_inductors.loss.q = number("l_q");
  t.capacitors.values_f = {number("c_f")};
  t.capacitors.loss.q = number("c_q");
  const TunerTable table = tabulate(t, number("f_hz"));
  const cdouble load{number("load_re"), number("load_im")};
  const TunerState all_in = tuner_state(t, 7);
  const network::Evaluation e =
      network::evaluate(network::Ladder{tuner_elements(t, all_in)}, {50.0, 1.0}, table.frequency_hz, load);
  CHECK(std::abs(std::abs(e.reflection) - number("gamma_abs")) <= 1e-9);
  CHECK(std::abs(e.loss.dissipation_db - number("loss_db")) <= 1e-9);
  // One rating at a time, of 1 V peak or 1 A: the factor is the stress itself.
  const auto factor = [&](std::vector<network::Rating> inductor, std::vector<network::Rating> capacitor,
                          std::vector<network::Rating> load_inductor) {
    t.inductors.ratings = std::move(inductor);
    t.capacitors.ratings = std::move(capacitor);
    t.load_inductors.ratings = std::move(load_inductor);
    return worst_stress(t, table, all_in, {50.0, 1.0}, load).factor;
  };
  const std::vector<network::Rating> volt{{1.0, network::infinite, network::infinite}},
      ampere{{network::infinite, 1.0, network::infinite}};
  const double root_two = std::sqrt(2.0);
  const auto near = [](double a, double b) { return std::abs(a - b) <= 1e-9 * b; };
  CHECK(near(factor(volt, {}, {}), root_two * number("v_l_transmitter")));
  CHECK(near(factor(ampere, {}, {}), number("i_l_transmitter")));
  CHECK(near(factor({}, volt, {}), root_two * number("v_c")));
  CHECK(near(factor({}, ampere, {}), number("i_c")));
  CHECK(near(factor({}, {}, volt), root_two * number("v_l_load")));
  CHECK(near(factor({}, {}, ampere), number("i_l_load")));
}

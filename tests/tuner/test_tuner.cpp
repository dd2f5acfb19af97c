#include <limits>

#include <catch2/catch.hpp>

#include <stile/tuner/tuner.hpp>
#include <tuner/random_tuner.hpp>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>

using namespace stile;
using namespace stile::tuner;

namespace {

constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();

bool near(cdouble a, cdouble b, double relative) { return std::abs(a - b) <= relative * std::abs(b); }

/// Two inductors, one capacitor each side.
Tuner small(TunerForm form) {
  Tuner t;
  t.form = form;
  t.inductors.values_h = {1e-6, 2e-6};
  t.capacitors.values_f = {100e-12};
  if (form != TunerForm::l) t.load_capacitors.values_f = {200e-12};
  return t;
}

void check_refused(const Tuner& tuner, const std::string& message) {
  CHECK_THROWS_MATCHES(state_count(tuner), DomainError, Catch::Matchers::Message(message));
}

}  // namespace

TEST_CASE("a state's index is made of its masks and its side and leads back to them") {
  test::RandomTuners random(1);
  for (const TunerForm form : {TunerForm::l, TunerForm::t, TunerForm::pi_network}) {
    for (int repeat = 0; repeat < 4; ++repeat) {
      const Tuner t = random.tuner(form);
      const std::uint64_t inductors = 8, capacitors = 4, load_capacitors = form == TunerForm::l ? 1 : 4;
      const std::uint64_t sides = form == TunerForm::l && t.capacitor_at_transmitter && t.capacitor_at_load ? 2 : 1;
      REQUIRE(state_count(t) == inductors * capacitors * load_capacitors * sides);
      for (std::uint64_t index = 0; index < state_count(t); ++index) {
        const TunerState s = tuner_state(t, index);
        const std::uint64_t side = sides == 2 && s.side == CapacitorSide::load ? 1 : 0;
        CHECK(((side * load_capacitors + s.load_capacitor_mask) * capacitors + s.capacitor_mask) * inductors +
                  s.inductor_mask ==
              index);
        CHECK(s.index == index);
        if (form == TunerForm::l && sides == 1) CHECK((s.side == CapacitorSide::load) == t.capacitor_at_load);
      }
    }
  }
}

TEST_CASE("in an L-C-L the capacitors count first") {
  Tuner t = small(TunerForm::lcl);
  t.load_capacitors = {};
  t.load_inductors.values_h = {4e-6, 8e-6, 16e-6};
  REQUIRE(state_count(t) == 64);
  const TunerState s = tuner_state(t, (5 * 4 + 2) * 2 + 1);
  CHECK(s.capacitor_mask == 1);
  CHECK(s.inductor_mask == 2);
  CHECK(s.load_inductor_mask == 5);
  CHECK(std::abs(s.load_inductance_h - 20e-6) <= 1e-19);
}

TEST_CASE("a state's totals are the stray and the parts that are in") {
  Tuner t = small(TunerForm::pi_network);
  t.inductors.stray_h = 0.25e-6;
  t.capacitors.stray_f = 10e-12;
  t.load_capacitors.stray_f = 20e-12;
  const TunerState none = tuner_state(t, 0), some = tuner_state(t, (1 * 2 + 0) * 4 + 2), all = tuner_state(t, 15);
  CHECK(std::abs(none.inductance_h - 0.25e-6) <= 1e-20);
  CHECK(std::abs(none.capacitance_f - 10e-12) <= 1e-25);
  CHECK(std::abs(none.load_capacitance_f - 20e-12) <= 1e-25);
  CHECK(std::abs(some.inductance_h - 2.25e-6) <= 1e-20);
  CHECK(std::abs(some.capacitance_f - 10e-12) <= 1e-25);
  CHECK(std::abs(some.load_capacitance_f - 220e-12) <= 1e-25);
  CHECK(std::abs(all.inductance_h - 3.25e-6) <= 1e-20);
  CHECK(std::abs(all.capacitance_f - 110e-12) <= 1e-25);
}

TEST_CASE("the table holds the immittances of every state's elements") {
  test::RandomTuners random(2);
  for (const TunerForm form : test::forms) {
    for (int repeat = 0; repeat < 20; ++repeat) {
      const Tuner t = random.tuner(form);
      const double f = random.frequency_hz();
      const TunerTable table = tabulate(t, f);
      CHECK(table.frequency_hz == f);
      for (std::uint64_t index = 0; index < state_count(t); ++index) {
        const TunerState s = tuner_state(t, index);
        if (!test::passes(t, s)) continue;
        cdouble inductors = 0.0, capacitors = 0.0, load_capacitors = 0.0, load_inductors = 0.0;
        for (const network::Element& element : tuner_elements(t, s)) {
          const cdouble z = network::impedance(element.part, f);
          if (element.label.find("inductors at the load") == 0)
            load_inductors += z;  // one element a part that is in
          else if (element.label.find("inductors") == 0)
            inductors += z;
          else if (element.label == "capacitors at the load")
            load_capacitors = 1.0 / z;
          else
            capacitors = 1.0 / z;
        }
        INFO("form " << static_cast<int>(form) << " state " << index);
        CHECK(near(table.inductor_z_ohm[s.inductor_mask], inductors, 1e-12));
        CHECK(near(table.capacitor_y_siemens[s.capacitor_mask], capacitors, 1e-12));
        CHECK(near(table.load_capacitor_y_siemens[s.load_capacitor_mask], load_capacitors, 1e-12));
        CHECK(near(table.load_inductor_z_ohm[s.load_inductor_mask], load_inductors, 1e-12));
      }
    }
  }
}

TEST_CASE("every inductor position has a contact and only capacitors that are in have one") {
  Tuner t = small(TunerForm::l);
  t.contact_ohm = 0.05;
  t.inductors.stray_h = 0.1e-6;
  t.capacitors.stray_f = 15e-12;
  const TunerTable table = tabulate(t, 1e6);
  for (const cdouble z : table.inductor_z_ohm) CHECK(std::abs(z.real() - 0.1) <= 1e-15);  // two positions
  CHECK(table.capacitor_y_siemens[0].real() == 0.0);
  // y = G + jB of 0.05 ohm in series with 100 pF: G = R (w C)^2 to first order
  const double wc = 2e6 * 3.14159265358979324 * 100e-12;
  CHECK(std::abs(table.capacitor_y_siemens[1].real() - 0.05 * wc * wc) <= 1e-9 * 0.05 * wc * wc);
}

TEST_CASE("an open contact is in series with the capacitor that is out and across the coil that is in") {
  // 100 pF and an open contact of 1 pF in series are 100/101 = 0.990099 pF (by hand); two of 300 pF and 100 pF that are
  // out, with 2 pF each, 1.986755 + 1.960784 pF.
  Tuner t = small(TunerForm::l);
  t.capacitors.open_contact_f = 1e-12;
  const double w = two_pi * 7e6;
  CHECK(near(tabulate(t, 7e6).capacitor_y_siemens[0], cdouble{0.0, w * 0.9900990099e-12}, 1e-9));
  CHECK(near(tabulate(t, 7e6).capacitor_y_siemens[1], cdouble{0.0, w * 100e-12}, 1e-9));
  CHECK(near(1.0 / network::impedance(tuner_elements(t, tuner_state(t, 0))[0].part, 7e6),
             cdouble{0.0, w * 0.9900990099e-12}, 1e-9));
  t.capacitors.values_f = {300e-12, 100e-12};
  t.capacitors.open_contact_f = 2e-12;
  CHECK(near(tabulate(t, 7e6).capacitor_y_siemens[0], cdouble{0.0, w * 3.947539e-12}, 1e-6));
  CHECK(near(tabulate(t, 7e6).capacitor_y_siemens[2], cdouble{0.0, w * 101.986755e-12}, 1e-8));
  // 2 uH and 20 pF across it at 7 MHz: B = w 20 pF - 1/(w 2 uH), so X = w L/(1 - w^2 L C) = 87.9646/0.922623 ohm. Out
  // it is a plain contact.
  t = small(TunerForm::l);
  t.inductors.open_contact_f = 20e-12;
  CHECK(std::abs(tabulate(t, 7e6).inductor_z_ohm[2] - cdouble{0.0, 95.3419}) <= 2e-4);
  CHECK(std::abs(tabulate(t, 7e6).inductor_z_ohm[0]) == 0.0);
}

TEST_CASE("elements stand in the form's order with their labels places and ratings") {
  const auto row = [](const Tuner& t, const TunerState& s) {
    std::string text;
    for (const network::Element& e : tuner_elements(t, s)) text += e.label + " " + network::place_name(e.place) + "; ";
    return text;
  };
  Tuner l = small(TunerForm::l);
  CHECK(row(l, tuner_state(l, 7)) == "capacitors shunt; inductors series; ");
  CHECK(row(l, tuner_state(l, 15)) == "inductors series; capacitors shunt; ");
  const Tuner three = small(TunerForm::pi_network), t = small(TunerForm::t);
  CHECK(row(three, tuner_state(three, 15)) ==
        "capacitors at the transmitter shunt; inductors series; capacitors at the load shunt; ");
  CHECK(row(t, tuner_state(t, 15)) ==
        "capacitors at the transmitter series; inductors shunt; capacitors at the load series; ");

  l.inductor_rating.current_a_rms = 3.0;
  l.capacitor_rating.voltage_v_peak = 500.0;
  const std::vector<network::Element> elements = tuner_elements(l, tuner_state(l, 7));
  CHECK(elements[0].rating.voltage_v_peak == 500.0);
  CHECK(elements[1].rating.current_a_rms == 3.0);
  CHECK(std::abs(network::value_si(elements[1].part) - 3e-6) <= 1e-20);
}

TEST_CASE("an arm with nothing in it is left out unless contacts or strays remain") {
  Tuner t = small(TunerForm::l);
  CHECK(tuner_elements(t, tuner_state(t, 0)).empty());
  t.contact_ohm = 0.05;
  const std::vector<network::Element> by_passed = tuner_elements(t, tuner_state(t, 0));
  REQUIRE(by_passed.size() == 1);
  CHECK(std::abs(network::impedance(by_passed[0].part, 7e6) - cdouble{0.1}) <= 1e-15);
  t.contact_ohm = 0.0;
  t.capacitors.stray_f = 15e-12;
  t.inductors.stray_h = 0.1e-6;
  CHECK(tuner_elements(t, tuner_state(t, 0)).size() == 2);
}

TEST_CASE("a T through which nothing could pass has no elements") {
  Tuner t = small(TunerForm::t);
  const auto refused = [&](std::uint64_t index, const char* message) {
    CHECK_THROWS_MATCHES(tuner_elements(t, tuner_state(t, index)), DomainError, Catch::Matchers::Message(message));
  };
  refused(8 + 3, "capacitors at the transmitter: nothing is in; in this T nothing could pass the open series arm");
  refused(4 + 3, "capacitors at the load: nothing is in; in this T nothing could pass the open series arm");
  refused(12, "inductors: nothing is in; in this T nothing could pass the short circuit it makes");
  t.contact_ohm = 0.05;
  CHECK(tuner_elements(t, tuner_state(t, 12)).size() == 3);
}

TEST_CASE("values outside their range are refused by name value and range") {
  const auto with = [](auto change) {
    Tuner t = small(TunerForm::pi_network);
    change(t);
    return t;
  };
  check_refused(with([](Tuner& t) { t.contact_ohm = -0.1; }), "contact_ohm is -0.1 and must be >= 0 and finite");
  check_refused(with([](Tuner& t) { t.contact_ohm = not_a_number; }), "contact_ohm is nan and must be >= 0 and finite");
  check_refused(with([](Tuner& t) { t.inductors.values_h[1] = 0.0; }),
                "inductors.values_h[1] is 0 and must be > 0 and finite");
  check_refused(with([](Tuner& t) { t.inductors.values_h[0] = not_a_number; }),
                "inductors.values_h[0] is nan and must be > 0 and finite");
  check_refused(with([](Tuner& t) { t.inductors.stray_h = -1e-7; }),
                "inductors.stray_h is -1e-07 and must be >= 0 and finite");
  check_refused(with([](Tuner& t) { t.inductors.loss.q = 0.0; }), "inductors.loss.q is 0 and must be > 0");
  check_refused(with([](Tuner& t) { t.inductors.loss.q_at_hz = -1.0; }),
                "inductors.loss.q_at_hz is -1 and must be >= 0 and finite");
  check_refused(with([](Tuner& t) { t.inductors.loss.loss_tangent = 0.1; }),
                "inductors.loss.loss_tangent is 0.1 and must be 0: only capacitors have one");
  check_refused(with([](Tuner& t) { t.capacitors.values_f[0] = network::infinite; }),
                "capacitors.values_f[0] is inf and must be > 0 and finite");
  check_refused(with([](Tuner& t) { t.capacitors.loss.series_ohm = not_a_number; }),
                "capacitors.loss.series_ohm is nan and must be >= 0 and finite");
  check_refused(with([](Tuner& t) { t.load_capacitors.stray_f = not_a_number; }),
                "load_capacitors.stray_f is nan and must be >= 0 and finite");
  check_refused(with([](Tuner& t) { t.load_capacitors.loss.q = not_a_number; }),
                "load_capacitors.loss.q is nan and must be > 0");
  check_refused(with([](Tuner& t) { t.capacitor_rating.voltage_v_peak = 0.0; }),
                "capacitor_rating.voltage_v_peak is 0 and must be > 0");
  check_refused(with([](Tuner& t) { t.inductor_rating.current_a_rms = not_a_number; }),
                "inductor_rating.current_a_rms is nan and must be > 0");
  check_refused(with([](Tuner& t) { t.form = static_cast<TunerForm>(7); }), "form is 7 and must be l, t, pi or lcl");
}

TEST_CASE("tuners without the parts that their form needs are refused") {
  Tuner l = small(TunerForm::l);
  l.capacitor_at_load = l.capacitor_at_transmitter = false;
  check_refused(l, "capacitor_at_transmitter and capacitor_at_load are both false and an L needs one of them true");
  l = small(TunerForm::l);
  l.load_capacitors.values_f = {1e-10};
  check_refused(l, "load_capacitors must have no values and no stray: an L has one bank");
  Tuner strays;
  strays.inductors.stray_h = 1e-7;
  strays.capacitors.stray_f = 1e-11;
  check_refused(
      strays,
      "inductors, capacitors, load_capacitors and load_inductors are all empty and a tuner needs at least one part");
  Tuner t = small(TunerForm::t);
  t.load_capacitors.values_f.clear();
  check_refused(t, "load_capacitors has no values and no stray and a T needs one of them");
  t.load_capacitors.stray_f = 1e-11;
  CHECK(state_count(t) == 8);
  t.inductors.values_h.clear();
  check_refused(t, "inductors has no values and no stray and a T needs one of them");
}

TEST_CASE("too many states are refused and the most allowed are not") {
  Tuner l;
  l.inductors.values_h.assign(12, 1e-6);
  l.capacitors.values_f.assign(12, 1e-10);
  check_refused(l, "the number of states is 2^25 (24 parts) and must be at most 2^24");
  l.capacitor_at_load = false;
  CHECK(state_count(l) == most_tuner_states);
  CHECK(tuner_state(l, most_tuner_states - 1).capacitor_mask == 4095);
  l.inductors.values_h.assign(100, 1e-6);
  check_refused(l, "the number of states is 2^112 (112 parts) and must be at most 2^24");
}

TEST_CASE("states and frequencies outside the tuner's range are refused") {
  const Tuner t = small(TunerForm::l);
  CHECK_THROWS_MATCHES(tuner_state(t, 16), DomainError,
                       Catch::Matchers::Message("the state index is 16 and must be 0 to 15"));
  TunerState s = tuner_state(t, 0);
  s.inductor_mask = 4;
  CHECK_THROWS_MATCHES(tuner_elements(t, s), DomainError,
                       Catch::Matchers::Message("inductor_mask is 4 and must be 0 to 3: 2 parts"));
  Tuner one_sided = t;
  one_sided.capacitor_at_load = false;
  CHECK_THROWS_MATCHES(tuner_elements(one_sided, tuner_state(t, 15)), DomainError,
                       Catch::Matchers::Message("side is one to which the capacitors of this L cannot be switched"));
  CHECK_THROWS_MATCHES(tabulate(t, 0.0), DomainError,
                       Catch::Matchers::Message("frequency_hz is 0 and must be > 0 and finite"));
  CHECK_THROWS_AS(tabulate(t, not_a_number), DomainError);
}

TEST_CASE("the loss to delivered power is heat and mismatch together") {
  const Tuner t = []() {
    Tuner one;
    one.inductors.values_h = {3e-6};
    one.inductors.loss.q = 50.0;
    one.capacitors.values_f = {200e-12};
    return one;
  }();
  const TunerTable table = tabulate(t, 7.1e6);
  const TunerSetting best = choose_state(t, table, 50.0, {20.0, -90.0}, 2.0).least_swr;
  const network::Evaluation e =
      network::evaluate(network::Ladder{tuner_elements(t, best.state)}, {50.0, 1.0}, 7.1e6, {20.0, -90.0});
  CHECK(std::abs(transducer_db(best.swr, best.dissipation_db) - e.loss.transducer_db) <= 1e-9);
  CHECK(transducer_db(1.0, 0.5) == 0.5);
  CHECK(std::isinf(transducer_db(network::infinite, 0.5)));
  CHECK_THROWS_AS(transducer_db(0.9, 0.0), DomainError);
}

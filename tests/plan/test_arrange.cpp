#include <cmath>
#include <string>

#include <catch2/catch.hpp>

#include <plan/stations.hpp>
#include <stile/match/tolerance.hpp>
#include <stile/plan/detail/arrange.hpp>
#include <stile/plan/plan.hpp>
// Behind the others: gcc 12 takes the enumerators named pi for shadows of the constant when it comes first.
#include <stile/base/constants.hpp>

using namespace stile;
using namespace stile::plan;
using namespace stile::plan::test;

namespace {

const std::string example = std::string(STILE_TEST_DATA) + "/../../examples/moor/station.toml";
constexpr double f = 7.1e6;

double loss_of(const station::Station& s, const station::Arrangement& a, const std::vector<network::Element>& match,
               cdouble z) {
  return plan::detail::total_loss_db(
      s.transmitter, network::evaluate(plan::detail::whole_ladder(a, match), s.transmitter.source, f, z));
}

/// solve_match's L networks for the station's one load, least loss first.
std::vector<match::MatchSolution> l_networks(const station::Station& s, const station::Arrangement& a, cdouble z) {
  match::MatchRequest request;
  request.frequency_hz = f;
  request.source = s.transmitter.source;
  request.load = {"", "", load::ConstantLoad{z}, {}};
  request.stock = a.parts.stock;
  return match::solve_match(request);
}

std::vector<network::Element> chosen(const station::Station& s, const station::Arrangement& a) {
  const auto match = plan::detail::choose_fixed(a, s.transmitter, s.antennas[0], s.bands[0]);
  REQUIRE(match);
  return *match;
}

}  // namespace

TEST_CASE("a corner scales the ground's part of the resistance and no other") {
  const load::Load whip{"whip", "model", load::WhipModel{1.0, f, 25e-12, 0.0, 20.0, 0.5, f}, {}};
  const cdouble z = load::load_impedance(whip, f);
  for (const double factor : {0.6, 1.0, 1.4}) {
    const cdouble corner = plan::detail::corner_impedance(whip, f, {0.9, factor});
    CHECK(std::abs(corner.real() - (1.5 + 20.0 * factor)) <= 1e-12);
    CHECK(corner.imag() == z.imag());
  }
  CHECK(plan::detail::corner_impedance(constant("c", {14.0, -230.0}), f, {1.0, 1.4}) == cdouble(14.0, -230.0));
}

TEST_CASE("a corner scales the Q of coils and of nothing else") {
  const network::Ladder ladder{
      {{"L1", network::Place::series, network::Inductor{1e-6, {100.0, 7e6, 0.1, 0.0}, 1e-12}, {}},
       {"C2", network::Place::shunt, network::Capacitor{1e-10, {1000.0, 0.0, 0.0, 0.0}}, {}}}};
  const network::Ladder corner = plan::detail::corner_ladder(ladder, {0.8, 1.3});
  CHECK(std::get<network::Inductor>(corner.elements[0].part).loss.q == 80.0);
  CHECK(std::get<network::Inductor>(corner.elements[0].part).loss.q_at_hz == 7e6);
  CHECK(std::get<network::Inductor>(corner.elements[0].part).loss.series_ohm == 0.1);
  CHECK(std::get<network::Capacitor>(corner.elements[1].part).loss.q == 1000.0);
  const tuner::Tuner t = plan::detail::corner_tuner(with_tuner("t").tuner, {0.5, 1.3});
  CHECK(t.inductors.loss.q == 60.0);
  CHECK(t.capacitors.loss.q == 1000.0);
}

TEST_CASE("the whole ladder is cable then match then cable") {
  station::Arrangement a = arrangement("a", station::ArrangementKind::l_network);
  a.cable_before = line("lead", "RG-174", 1.0);
  a.cable_after = line("riser", "RG-58", 2.0);
  const network::Ladder whole =
      plan::detail::whole_ladder(a, {{"L1", network::Place::series, network::Inductor{1e-6}, {}}});
  REQUIRE(whole.elements.size() == 3);
  CHECK(whole.elements[0].label == "cable lead");
  CHECK(std::get<network::TransmissionLine>(whole.elements[0].part).length_m == 1.0);
  CHECK(whole.elements[1].label == "L1");
  CHECK(whole.elements[2].label == "cable riser");
  CHECK(plan::detail::whole_ladder(arrangement("b", station::ArrangementKind::straight), {}).elements.empty());
}

TEST_CASE("the total loss counts power that is held back") {
  station::Transmitter t;
  t.source.power_w = 5.0;
  const network::Evaluation e = network::evaluate({}, t.source, f, 150.0);  // SWR 3, 3/4 accepted
  CHECK(std::abs(plan::detail::total_loss_db(t, e) - 10.0 * std::log10(4.0 / 3.0)) <= 1e-12);
  t.foldback = {{2.0, 5.0}, {4.0, 1.0}};  // 3 W at SWR 3
  CHECK(std::abs(plan::detail::total_loss_db(t, e) - 10.0 * std::log10(5.0 / (3.0 * 0.75))) <= 1e-12);
  CHECK(std::isinf(plan::detail::total_loss_db(t, network::evaluate({}, t.source, f, cdouble(0.0, -100.0)))));
}

TEST_CASE("a fixed L network for one condition is the match of least loss") {
  for (const cdouble z : {cdouble{14.0, -230.0}, cdouble{14.0, 30.0}, cdouble{300.0, -40.0}}) {
    INFO(z);
    station::Station s = bare_station(z);
    const station::Arrangement a = arrangement("L", station::ArrangementKind::l_network);
    const std::vector<network::Element> match = chosen(s, a);
    const auto solutions = l_networks(s, a, z);
    REQUIRE(solutions.size() > 1);
    CHECK(std::abs(loss_of(s, a, match, z) - solutions.front().evaluation.loss.transducer_db) <= 1e-9);
    CHECK(network::evaluate({match}, s.transmitter.source, f, z).swr <= 1.0 + 1e-8);
  }
}

TEST_CASE("a fixed L network has preferred values and ratings when they are stated") {
  const cdouble z{14.0, -230.0};
  station::Station s = bare_station(z);
  station::Arrangement a = arrangement("L", station::ArrangementKind::l_network);
  a.parts.capacitor_series = match::ESeries::e24;
  a.parts.inductor_series = match::ESeries::e12;
  a.parts.inductor_rating.voltage_v_peak = 2000.0;
  a.parts.capacitor_rating.voltage_v_peak = 300.0;
  std::optional<match::Snapped> best;
  for (const match::MatchSolution& m : l_networks(s, a, z)) {
    const match::Snapped snapped =
        match::snap_to_series(m.ladder, s.transmitter.source, f, z, match::ESeries::e12, match::ESeries::e24);
    const auto rank = [&](const match::Snapped& x) {
      return std::pair{x.evaluation.swr > 2.0, x.evaluation.loss.transducer_db};
    };
    if (!best || rank(snapped) < rank(*best)) best = snapped;
  }
  REQUIRE(best);
  const std::vector<network::Element> match = chosen(s, a);
  CHECK(match::describe({match}) == match::describe(best->ladder));
  for (const network::Element& e : match) {
    const bool coil = std::holds_alternative<network::Inductor>(e.part);
    const double value = network::value_si(e.part);
    CHECK(match::e_series_nearest(coil ? match::ESeries::e12 : match::ESeries::e24, value) == value);
    CHECK(e.rating.voltage_v_peak == (coil ? 2000.0 : 300.0));
  }
}

TEST_CASE("a coil alone tunes out the reactance with its self-capacitance") {
  const cdouble z{60.0, -900.0};  // above 50 ohm: a part across the transmitter's side cannot help
  station::Station s = bare_station(z);
  station::Arrangement a = arrangement("coil", station::ArrangementKind::base_coil);
  a.parts.stock.inductor_self_capacitance_f = 3e-12;
  a.parts.stock.inductor_loss = {};
  std::vector<network::Element> match = chosen(s, a);
  REQUIRE(match.size() == 1);
  CHECK(match[0].place == network::Place::series);
  CHECK(std::abs((network::impedance(match[0].part, f) + z).imag()) <= 1e-9 * 900.0);
  CHECK(network::value_si(match[0].part) < 900.0 / (two_pi * f));  // less inductance than without the capacitance

  // The coil's own loss moves the reactance in second order: w C X/Q^2 of it.
  a.parts.stock.inductor_loss.q = 200.0;
  match = chosen(s, a);
  REQUIRE(match.size() == 1);
  CHECK(std::abs((network::impedance(match[0].part, f) + z).imag()) <=
        2.0 * two_pi * f * 3e-12 * 900.0 / (200.0 * 200.0) * 900.0);
}

TEST_CASE("a base coil takes a part across its transmitter's side where it helps") {
  const cdouble z{14.0, -230.0};
  station::Station s = bare_station(z);
  const station::Arrangement a = arrangement("coil", station::ArrangementKind::base_coil);
  const std::vector<network::Element> match = chosen(s, a);
  REQUIRE(match.size() == 2);
  CHECK(match[0].place == network::Place::shunt);
  CHECK(match[1].place == network::Place::series);
  CHECK(std::holds_alternative<network::Inductor>(match[1].part));
  CHECK(network::evaluate({match}, s.transmitter.source, f, z).swr <= 1.0 + 1e-8);
}

TEST_CASE("there is no base coil for an inductive antenna") {
  station::Station s = bare_station({14.0, 230.0});
  CHECK_FALSE(plan::detail::choose_fixed(arrangement("coil", station::ArrangementKind::base_coil), s.transmitter,
                                         s.antennas[0], s.bands[0]));
}

TEST_CASE("a fixed match is designed through the cable behind it") {
  const cdouble z{14.0, -230.0};
  station::Station s = bare_station(z);
  station::Arrangement a = arrangement("L", station::ArrangementKind::l_network);
  a.cable_after = line("riser", "RG-58", 1.5);
  const network::Evaluation e =
      network::evaluate(plan::detail::whole_ladder(a, chosen(s, a)), s.transmitter.source, f, z);
  CHECK(e.swr <= 1.0 + 1e-8);
}

TEST_CASE("a design condition is the one that a fixed match is made for") {
  station::Station s = bare_station({14.0, -230.0});
  add_load(s, constant("wet", {38.0, -170.0}));
  station::Arrangement a = arrangement("L", station::ArrangementKind::l_network);
  for (const load::Load& c : loads_of(s)) {
    a.design_condition = c.name;
    CHECK(network::evaluate({chosen(s, a)}, s.transmitter.source, f, load::load_impedance(c, f)).swr <= 1.0 + 1e-8);
  }
}

TEST_CASE("a match within the SWR limit goes before one that loses less") {
  station::Station s = bare_station({14.0, -230.0});
  add_load(s, constant("wet", {18.0, -225.0}));
  const station::Arrangement a = arrangement("L", station::ArrangementKind::l_network);
  const std::vector<network::Element> match = chosen(s, a);
  for (const load::Load& c : loads_of(s))
    CHECK(network::evaluate({match}, s.transmitter.source, f, load::load_impedance(c, f)).swr <= 2.0);
}

TEST_CASE("a tuner takes the state that delivers most through the cable behind it") {
  for (const bool riser : {false, true}) {
    for (const cdouble z : {cdouble{14.0, -230.0}, cdouble{60.0, 20.0}, cdouble{2.0, -1500.0}}) {
      INFO(z << (riser ? " behind a cable" : " at the base"));
      station::Arrangement a = with_tuner("t");
      if (riser) a.cable_after = line("riser", "RG-58", 3.0);
      const network::Source source{};
      const tuner::TunerTable table = tuner::tabulate(a.tuner, f);
      cdouble seen = z;
      if (riser) {
        const network::Chain c = network::line_chain(network::line_constants(a.cable_after->line, f), 3.0);
        seen = (c.a * z + c.b) / (c.c * z + c.d);
      }
      const tuner::TunerChoice choice = tuner::choose_state(a.tuner, table, source.z_ohm, seen, 2.0);
      const network::Ladder expected{tuner::tuner_elements(a.tuner, choice.most_delivered.state)},
          got{plan::detail::set_tuner(a, table, source, 2.0, z)};
      CHECK(match::describe(got) == match::describe(expected));
      const network::Evaluation x = network::evaluate(got, source, f, seen),
                                y = network::evaluate(expected, source, f, seen);
      CHECK(x.power.delivered_w == y.power.delivered_w);
    }
  }
}

TEST_CASE("a trimmed match is at least as good in each condition as one set once") {
  std::vector<station::Station> stations{station::load_station(example)};
  for (unsigned seed = 1; seed <= 40; ++seed) stations.push_back(random_station(seed));
  int compared = 0;
  for (station::Station& s : stations) {
    for (station::Band& band : s.bands) {
      band.use_low_hz = band.use_high_hz = band.design_hz;
      for (station::Arrangement a : s.arrangements) {
        if (a.kind != station::ArrangementKind::l_network && a.kind != station::ArrangementKind::base_coil) continue;
        a.trim = station::Trim::once;
        const auto once = plan::detail::choose_fixed(a, s.transmitter, s.antennas[0], band);
        a.trim = station::Trim::tap_and_trimmer;
        for (const load::Load& c : loads_of(s)) {
          INFO(s.name << ", " << band.name << ", " << a.name << ", " << c.name);
          a.design_condition = c.name;
          const auto trimmed = plan::detail::choose_fixed(a, s.transmitter, s.antennas[0], band);
          if (!once) continue;
          REQUIRE(trimmed);
          const auto rank = [&](const std::vector<network::Element>& match) {
            const network::Evaluation e = network::evaluate(plan::detail::whole_ladder(a, match), s.transmitter.source,
                                                            band.design_hz, load::load_impedance(c, band.design_hz));
            return std::pair{e.swr > s.transmitter.swr_limit, plan::detail::total_loss_db(s.transmitter, e)};
          };
          const auto [over, loss] = rank(*trimmed);
          const auto [once_over, once_loss] = rank(*once);
          CHECK(over <= once_over);
          if (over == once_over) CHECK(loss <= once_loss + 1e-9);
          ++compared;
        }
      }
    }
  }
  CHECK(compared > 100);
}

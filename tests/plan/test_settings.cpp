#include <cmath>
#include <string>

#include <catch2/catch.hpp>

#include <plan/stations.hpp>
#include <stile/base/errors.hpp>
#include <stile/plan/detail/judge.hpp>
#include <stile/plan/plan.hpp>
// Behind the others: gcc 12 takes the enumerators named pi for shadows of the constant when it comes first.
#include <stile/base/constants.hpp>

using namespace stile;
using namespace stile::plan;
using namespace stile::plan::test;

namespace {

constexpr double f = 7.1e6;

/// What is set in each condition at the one frequency of the band.
std::vector<std::vector<network::Element>> chosen(station::Station s, const station::Arrangement& a) {
  s.arrangements = {a};
  std::vector<std::vector<network::Element>> all;
  const Plan plan = make_plan(s);
  for (const ConditionResult& c : plan.bands[0].arrangements[0].conditions) all.push_back(c.setting.elements);
  return all;
}

/// solve_match's L networks for a load, least loss first.
std::vector<match::MatchSolution> l_networks(const station::Station& s, const station::Arrangement& a, cdouble z) {
  match::MatchRequest request;
  request.frequency_hz = f;
  request.source = s.transmitter.source;
  request.load = {"", "", load::ConstantLoad{z}, {}};
  request.stock = a.parts.stock;
  return match::solve_match(request);
}

}  // namespace

TEST_CASE("a corner scales the ground's part of the resistance and takes the load at another frequency") {
  const load::Load whip = modelled("whip", {1.0, f, 25e-12, 0.0, 20.0, 0.5, f});
  const plan::detail::LoadPoint point = plan::detail::load_point(whip, f);
  for (const double factor : {0.6, 1.0, 1.4}) {
    plan::detail::Corner corner;
    corner.ground = factor;
    const cdouble z = plan::detail::corner_impedance(point, corner);
    CHECK(std::abs(z.real() - (1.5 + 20.0 * factor)) <= 1e-12);
    CHECK(z.imag() == point.z_ohm.imag());
    // What is radiated stays: power into the antenna grows with its resistance, the share falls with it.
    CHECK(std::abs(plan::detail::corner_share(point, corner) * z.real() - 21.5) <= 1e-12);
  }
  plan::detail::Corner longer;
  longer.lengths = 1.01;
  const plan::detail::LoadPoint at = plan::detail::at_corner(point, longer);
  CHECK(at.z_ohm == load::load_impedance(whip, 1.01 * f));
  CHECK(at.shares->radiated == load::load_shares(whip, 1.01 * f)->radiated);
  CHECK(at.frequency_hz == f);
  const load::Load same = constant("c", {14.0, -230.0});
  CHECK(plan::detail::at_corner(plan::detail::load_point(same, f), longer).z_ohm == cdouble(14.0, -230.0));
}

TEST_CASE("where a load has no data its nearest data go on for other lengths") {
  // Invented: straight lines, so that going on along the slope is the line itself.
  const auto ohm = [](double hz) { return cdouble{20.0 + 5e-6 * (hz - 14e6), -300.0 + 1e-4 * (hz - 14e6)}; };
  const auto other_ohm = [](double hz) { return cdouble{60.0 - 5e-6 * (hz - 18e6), 80.0 + 2e-4 * (hz - 18e6)}; };
  const load::PowerShares half{0.5, 0.0, 0.5}, fifth{0.2, 0.0, 0.8};
  load::SampledLoad samples = load::make_sampled_load(
      {14e6, 14.1e6, 14.2e6, 18e6, 18.2e6}, {ohm(14e6), ohm(14.1e6), ohm(14.2e6), other_ohm(18e6), other_ohm(18.2e6)},
      {fifth, half, fifth, half, half});
  samples.path_gain = {2.0, 2.0, 2.0, 0.0, 0.0};
  const load::Load sampled{"two bands", "invented", samples, {}};
  const auto at = [&](double hz, double factor) {
    plan::detail::Corner corner;
    corner.lengths = factor;
    return plan::detail::at_corner(plan::detail::load_point(sampled, hz), corner);
  };
  const auto is = [](cdouble z, cdouble expected) { return std::abs(z - expected) <= 1e-9 * std::abs(expected); };
  CHECK(is(at(14.2e6, 1.02).z_ohm, ohm(1.02 * 14.2e6)));
  CHECK(is(at(14.0e6, 0.98).z_ohm, ohm(0.98 * 14.0e6)));
  // A band whose edge is that of the data but for rounding is covered, at other lengths too.
  for (const double edge_hz : {14.2e6 * (1.0 + 1e-13), 14.0e6 * (1.0 - 1e-13)}) {
    CHECK(is(at(edge_hz, 1.02).z_ohm, ohm(1.02 * edge_hz)));
    CHECK(is(at(edge_hz, 0.98).z_ohm, ohm(0.98 * edge_hz)));
  }
  CHECK(is(at(14.2e6, 1.24).z_ohm, other_ohm(1.24 * 14.2e6)));  // 17.6 MHz is nearer to 18 MHz
  CHECK(is(at(18.0e6, 0.85).z_ohm, ohm(0.85 * 18.0e6)));
  // The gain goes with what is radiated, whatever the data there say of a path.
  CHECK(*at(14.1e6, 14.0 / 14.1).path_gain == Approx(2.0 * 0.2 / 0.5).epsilon(1e-12));
  CHECK(*at(14.2e6, 18.0 / 14.2).path_gain == Approx(2.0 * 0.5 / 0.2).epsilon(1e-12));
  CHECK_FALSE(at(18.0e6, 0.8).path_gain);
  plan::detail::LoadPoint alone = plan::detail::load_point(sampled, 14.1e6);
  alone.load = nullptr;
  CHECK_THROWS_AS(plan::detail::at_lengths(alone, 1.01), DomainError);
}

TEST_CASE("a corner scales the Q of coils adds to contacts and leaves the rest") {
  const network::Ladder ladder{
      {{"L1", network::Place::series, network::Inductor{1e-6, {100.0, 7e6, 0.1, 0.0}, 1e-12}, {}},
       {"C2", network::Place::shunt, network::Capacitor{1e-10, {1000.0, 0.0, 0.0, 0.0}}, {}}}};
  plan::detail::Corner corner;
  corner.q = 0.8, corner.ground = 1.3, corner.contact_ohm = 0.5;
  const network::Ladder off = plan::detail::corner_ladder(ladder, corner);
  CHECK(std::get<network::Inductor>(off.elements[0].part).loss.q == 80.0);
  CHECK(std::get<network::Inductor>(off.elements[0].part).loss.q_at_hz == 7e6);
  CHECK(std::get<network::Inductor>(off.elements[0].part).loss.series_ohm == 0.6);
  CHECK(std::get<network::Capacitor>(off.elements[1].part).loss.q == 1000.0);
  const tuner::Tuner t = plan::detail::corner_tuner(with_tuner("t").tuner, corner);
  CHECK(t.inductors.loss.q == 96.0);
  CHECK(t.capacitors.loss.q == 1000.0);
  CHECK(std::abs(t.contact_ohm - 0.55) <= 1e-15);
  // Copper 40 K warmer has 1.157 times the resistivity and its root in a thick skin's resistance.
  corner = {};
  corner.temperature_c = 60.0;
  CHECK(std::abs(plan::detail::corner_loss({100.0, 0.0, 0.0, 0.0}, corner).q - 100.0 / std::sqrt(1.156)) <= 1e-9);
}

TEST_CASE("a grid of corners has all of two inputs and corners sides and middle of more") {
  station::Station s = bare_station(50.0);
  CHECK(plan::detail::corner_grid(s).size() == 1);
  s.uncertainty.q = 0.1, s.uncertainty.ground = 0.4;
  const plan::detail::CornerGrid two = plan::detail::corner_grid(s);
  CHECK(two.rows.size() == 3);
  CHECK(two.columns.size() == 3);
  CHECK(two.at(0, 0).q == 1.0);
  CHECK(two.at(0, 0).ground == 1.0);
  s.uncertainty.lengths = 0.01, s.uncertainty.temperature_c = {-10.0, 30.0}, s.uncertainty.contact_ohm = {0.0, 1.0};
  const plan::detail::CornerGrid all = plan::detail::corner_grid(s);
  CHECK(all.rows.size() == 15);
  CHECK(all.columns.size() == 9);
  CHECK(plan::detail::drawn_corners(s, 5, 1)[4].ground == plan::detail::drawn_corners(s, 5, 1)[4].ground);
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

TEST_CASE("the loss that counts has power held back and the share in it") {
  station::Transmitter t;
  t.source.power_w = 5.0;
  const network::Evaluation e = network::evaluate({}, t.source, f, 150.0);  // SWR 3, 3/4 accepted
  CHECK(std::abs(plan::detail::counted_loss_db(t, e, 1.0) - 10.0 * std::log10(4.0 / 3.0)) <= 1e-12);
  CHECK(std::abs(plan::detail::counted_loss_db(t, e, 0.1) - 10.0 * std::log10(40.0 / 3.0)) <= 1e-12);
  t.foldback = {{2.0, 5.0}, {4.0, 1.0}};  // 3 W at SWR 3
  CHECK(std::abs(plan::detail::counted_loss_db(t, e, 1.0) - 10.0 * std::log10(5.0 / (3.0 * 0.75))) <= 1e-12);
  CHECK(std::isinf(plan::detail::counted_loss_db(t, network::evaluate({}, t.source, f, cdouble(0.0, -100.0)), 1.0)));
}

TEST_CASE("a fixed L network for one condition loses no more than the matches of least loss") {
  for (const cdouble z : {cdouble{14.0, -230.0}, cdouble{14.0, 30.0}, cdouble{300.0, -40.0}}) {
    INFO(z);
    const station::Station s = bare_station(z);
    const station::Arrangement a = arrangement("L", station::ArrangementKind::l_network);
    const auto solutions = l_networks(s, a, z);
    REQUIRE(solutions.size() > 1);
    const network::Evaluation e = network::evaluate({chosen(s, a)[0]}, s.transmitter.source, f, z);
    CHECK(e.loss.transducer_db <= solutions.front().evaluation.loss.transducer_db + 0.021);  // the search's gap
    CHECK(e.swr <= 2.0);
  }
}

TEST_CASE("a fixed L network has preferred values and ratings when they are stated") {
  const station::Station s = bare_station({14.0, -230.0});
  station::Arrangement a = arrangement("L", station::ArrangementKind::l_network);
  a.parts.capacitor_series = match::ESeries::e24;
  a.parts.inductor_series = match::ESeries::e12;
  a.parts.inductor_rating.voltage_v_peak = 2000.0;
  a.parts.capacitor_rating.voltage_v_peak = 300.0;
  const std::vector<network::Element> match = chosen(s, a)[0];
  REQUIRE_FALSE(match.empty());
  for (const network::Element& e : match) {
    const bool coil = std::holds_alternative<network::Inductor>(e.part);
    const double value = network::value_si(e.part);
    CHECK(match::e_series_nearest(coil ? match::ESeries::e12 : match::ESeries::e24, value) == value);
    CHECK(e.rating.voltage_v_peak == (coil ? 2000.0 : 300.0));
    CHECK(e.label.front() == (coil ? 'L' : 'C'));
  }
}

TEST_CASE("no part is proposed that cannot be bought or wound") {
  // A whip that would want femtofarads across it, or a shunt coil far beyond what winds.
  for (const cdouble z : {cdouble{2.0, -4000.0}, cdouble{50.0, -1.0}, cdouble{49.0, 0.5}}) {
    const station::Station s = bare_station(z);
    for (const station::ArrangementKind kind :
         {station::ArrangementKind::l_network, station::ArrangementKind::base_coil}) {
      const auto match = chosen(s, arrangement("a", kind));
      for (const network::Element& e : match[0]) {
        const double value = network::value_si(e.part);
        const bool coil = std::holds_alternative<network::Inductor>(e.part);
        CHECK(value >= (coil ? 10e-9 : 2e-12));
        CHECK(value <= (coil ? 200e-6 : 20e-9));
      }
    }
  }
}

TEST_CASE("a base coil takes a part across its transmitter's side where it helps") {
  const station::Station s = bare_station({14.0, -230.0});
  const std::vector<network::Element> match = chosen(s, arrangement("coil", station::ArrangementKind::base_coil))[0];
  REQUIRE(match.size() == 2);
  CHECK(match[0].place == network::Place::shunt);
  CHECK(match[1].place == network::Place::series);
  CHECK(std::holds_alternative<network::Inductor>(match[1].part));
}

TEST_CASE("a fixed match is designed through the cable behind it") {
  station::Station s = bare_station({14.0, -230.0});
  station::Arrangement a = arrangement("L", station::ArrangementKind::l_network);
  a.cable_after = line("riser", "RG-58", 1.5);
  const network::Ladder whole = plan::detail::whole_ladder(a, chosen(s, a)[0]);
  CHECK(network::evaluate(whole, s.transmitter.source, f, {14.0, -230.0}).swr <= 2.0);
}

TEST_CASE("a design condition is the one that a fixed match is made for") {
  station::Station s = bare_station({14.0, -230.0});
  add_load(s, constant("wet", {38.0, -170.0}));
  station::Arrangement a = arrangement("L", station::ArrangementKind::l_network);
  for (const load::Load& c : loads_of(s)) {
    a.design_condition = c.name;
    CHECK(network::evaluate({chosen(s, a)[0]}, s.transmitter.source, f, load::load_impedance(c, f)).swr <= 2.0);
  }
}

TEST_CASE("set once one set of parts serves every condition and holds where any does") {
  station::Station s = bare_station({14.0, -230.0});
  add_load(s, constant("wet", {18.0, -225.0}));
  const auto match = chosen(s, arrangement("L", station::ArrangementKind::l_network));
  CHECK(match::describe({match[0]}) == match::describe({match[1]}));
  for (const load::Load& c : loads_of(s))
    CHECK(network::evaluate({match[0]}, s.transmitter.source, f, load::load_impedance(c, f)).swr <= 2.0);
}

TEST_CASE("a hand moves only what it moves") {
  station::Station s = bare_station({14.0, -230.0});
  add_load(s, constant("wet", {25.0, -190.0}));
  add_load(s, constant("lifted", {9.0, -280.0}));
  station::Arrangement a = arrangement("coil", station::ArrangementKind::base_coil);
  a.parts.capacitor_series = match::ESeries::e24;
  a.trim = station::Trim::tap;
  const auto tapped = chosen(s, a);
  REQUIRE(tapped[0].size() == 2);
  for (const auto& match : tapped) {
    REQUIRE(match.size() == 2);
    CHECK(network::value_si(match[0].part) == network::value_si(tapped[0][0].part));  // stays in its box
  }
  CHECK(network::value_si(tapped[0][1].part) != network::value_si(tapped[1][1].part));
  a.trim = station::Trim::trimmer;
  const auto trimmed = chosen(s, a);
  for (const auto& match : trimmed)
    CHECK(network::value_si(match.back().part) == network::value_si(trimmed[0].back().part));
}

TEST_CASE("stated settings are judged as they are") {
  station::Station s = bare_station({14.0, -230.0});
  add_load(s, constant("wet", {18.0, -225.0}));
  station::Arrangement a = arrangement("L", station::ArrangementKind::l_network);
  const network::Element coil{"L1", network::Place::series, network::Inductor{5e-6, {200.0, 0.0, 0.0, 0.0}, 0.0}, {}};
  a.settings = {{"band", "", {coil}}, {"band", "wet", {}}};
  s.arrangements = {a};
  const ArrangementResult r = make_plan(s).bands[0].arrangements[0];
  CHECK(r.hands == 1);
  CHECK_FALSE(r.proof);
  CHECK(network::value_si(r.conditions[0].setting.elements.at(0).part) == 5e-6);
  CHECK(r.conditions[1].setting.elements.empty());
  CHECK(r.conditions[0].swr == network::evaluate({{coil}}, s.transmitter.source, f, {14.0, -230.0}).swr);
}

TEST_CASE("a tuner takes the state that delivers most through the cable behind it") {
  for (const bool riser : {false, true}) {
    for (const cdouble z : {cdouble{14.0, -230.0}, cdouble{60.0, 20.0}, cdouble{2.0, -1500.0}}) {
      INFO(z << (riser ? " behind a cable" : " at the base"));
      const station::Station s = bare_station(z);
      station::Arrangement a = with_tuner("t");
      if (riser) a.cable_after = line("riser", "RG-58", 3.0);
      const tuner::TunerTable table = tuner::tabulate(a.tuner, f);
      cdouble seen = z;
      if (riser) {
        const network::Chain c = network::line_chain(network::line_constants(a.cable_after->line, f), 3.0);
        seen = (c.a * z + c.b) / (c.c * z + c.d);
      }
      const tuner::TunerChoice choice = tuner::choose_state(a.tuner, table, s.transmitter.source.z_ohm, seen, 2.0);
      CHECK(match::describe({chosen(s, a)[0]}) ==
            match::describe({tuner::tuner_elements(a.tuner, choice.most_delivered.state)}));
    }
  }
}

TEST_CASE("what a hand moves is at least as good in the worst condition as one setting for all") {
  int compared = 0;
  for (unsigned seed = 1; seed <= 12; ++seed) {
    station::Station s = random_station(seed);
    s.uncertainty.q = s.uncertainty.ground = 0.0;
    const Plan plan = make_plan(s);
    for (const BandResult& band : plan.bands) {
      for (std::size_t n = 0; n + 1 < band.arrangements.size(); ++n) {
        const ArrangementResult &once = band.arrangements[n], &by_hand = band.arrangements[n + 1];
        if (by_hand.hands == 0 || !std::isfinite(once.worst_swr)) continue;
        INFO("seed " << seed << ", " << by_hand.name);
        // Of equal standing: both hold, or neither does; by a hand more may hold.
        const bool both = (once.worst_swr <= s.transmitter.swr_limit) == (by_hand.worst_swr <= s.transmitter.swr_limit);
        if (once.worst_swr <= s.transmitter.swr_limit) CHECK(by_hand.worst_swr <= s.transmitter.swr_limit + 1e-9);
        if (both) CHECK(by_hand.counted_db <= once.counted_db + 0.15);  // places of a coil that is tapped anywhere
        ++compared;
      }
    }
  }
  CHECK(compared >= 15);
}

TEST_CASE("time untouched and resets an hour by hand") {
  std::vector<station::Condition> c{{"a", station::Role::normal, 0.5, 100.0},
                                    {"b", station::Role::normal, 0.3, 60.0},
                                    {"c", station::Role::normal, 0.2, 40.0}};
  // Comings an hour: 18 each. Each of its own: every one of the 54 needs a hand.
  const auto own = plan::detail::touches(c, {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}});
  REQUIRE(own);
  CHECK(std::abs(own->untouched - 0.5) <= 1e-12);
  CHECK(std::abs(*own->resets_per_hour - 54.0) <= 1e-9);
  // a and b share their settings: only c is entered and left by hand, 18 and 18 times.
  const auto two = plan::detail::touches(c, {{1, 1, 0}, {1, 1, 0}, {0, 0, 1}});
  CHECK(std::abs(two->untouched - 0.8) <= 1e-12);
  CHECK(std::abs(*two->resets_per_hour - 36.0) <= 1e-9);
  CHECK(*plan::detail::touches(c, {{1, 0, 0}, {1, 1, 1}, {0, 0, 1}})->resets_per_hour == 0.0);
  c[1].lasts_s.reset();
  CHECK_FALSE(plan::detail::touches(c, {{1, 0, 0}})->resets_per_hour);
  c[1].share = 0.0;  // never met: how long it would last does not matter
  CHECK(plan::detail::touches(c, {{1, 0, 0}})->resets_per_hour);
  for (station::Condition& one : c) one.share.reset();
  CHECK_FALSE(plan::detail::touches(c, {{1, 1, 1}}));
}

TEST_CASE("a transformer between the cables is part of the ladder and carries its loss") {
  station::Station s = bare_station({5.6, 0.0});
  station::Arrangement a = arrangement("transformer", station::ArrangementKind::transformer);
  a.transformer = station::StatedTransformer{3.0, 0.0, 20e-6, 50.0};
  s.arrangements = {a};
  const ConditionResult c = make_plan(s).bands[0].arrangements[0].conditions[0];
  // 9 times 5.6 ohm, with 892 ohm of magnetising reactance across it.
  const double x = 2.0 * std::acos(-1.0) * 7.1e6 * 20e-6;
  const cdouble across = cdouble{x / 50.0, x}, seen = across * 50.4 / (across + 50.4);
  CHECK(std::abs(c.evaluation.z_input_ohm - seen) <= 1e-9 * std::abs(seen));
  CHECK(c.worst_swr < 1.1);
  REQUIRE(c.setting.elements.size() == 2);
  CHECK(c.setting.elements[0].label == "transformer, magnetising");
  CHECK(std::abs(c.loss_db - 10.0 * std::log10(5.0 / c.evaluation.power.delivered_w)) <= 1e-9);
  CHECK(c.loss_db > 0.0);
}

TEST_CASE("a series capacitor brings an inductive whip to the transmitter") {
  station::Station s = bare_station({40.0, 300.0});
  s.arrangements = {arrangement("capacitor", station::ArrangementKind::series_capacitor),
                    arrangement("straight", station::ArrangementKind::straight)};
  const Plan plan = make_plan(s);
  const ConditionResult& c = plan.bands[0].arrangements[0].conditions[0];
  CHECK(c.worst_swr < 1.3);
  REQUIRE_FALSE(c.setting.elements.empty());
  const network::Element& last = c.setting.elements.back();
  CHECK(last.place == network::Place::series);
  REQUIRE(std::holds_alternative<network::Capacitor>(last.part));
  CHECK(plan.bands[0].arrangements[1].worst_swr > 10.0);
}

// A hand's contact as a range: what lies between its ends, and what a verdict makes of it. Stations are invented.

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

#include <stile/plan/detail/corner.hpp>
#include <stile/plan/detail/refine.hpp>
#include <stile/plan/plan.hpp>
#include <stile/station/solve_loads.hpp>

#include "plan/stations.hpp"

using namespace stile;
using namespace stile::plan;
using namespace stile::plan::test;
using station::ArrangementKind;

namespace {

constexpr double f = 7.1e6;

/// An antenna at which 1 A drives 1 A through a resistor elsewhere, less by its loop: exact by circuit theory.
load::Load through(double contact_ohm) {
  const cdouble self{20.0, -900.0}, mutual{15.0, 60.0}, loop{40.0, -120.0};
  const cdouble other = -mutual / (loop + contact_ohm);  // current of the second branch for 1 A
  const cdouble z = self + mutual * other;
  const double person_ohm = contact_ohm * std::norm(other);
  const double share = person_ohm / z.real();
  const load::PowerShares shares{0.6 * (1.0 - share), 0.1 * (1.0 - share), 0.3 * (1.0 - share), share};
  load::SampledLoad samples = load::make_sampled_load({0.98 * f, f, 1.02 * f}, {z, z, z}, {shares, shares, shares});
  return {"hand", "circuit", samples, {}};
}

/// A load whose contact is a range, from what it is at its least, middle and most.
station::AntennaLoad ranged(const load::Load& least, const load::Load& middle, const load::Load& most) {
  station::AntennaLoad load{middle};
  load.contact_ohm = Range{0.0, 1000.0};
  load.ends = {{least}, {most}};
  return load;
}

load::Load shared(cdouble z, const load::PowerShares& shares) {
  return {"hand", "samples", load::make_sampled_load({0.98 * f, f, 1.02 * f}, {z, z, z}, {shares, shares, shares}), {}};
}

load::Load radiating(double radiated) { return shared(50.0, {radiated, 0.0, 0.0, 1.0 - radiated}); }

/// Two antennas, straight on each.
void set_straight_pair(station::Station& s, const station::AntennaLoad& first, const station::AntennaLoad& second) {
  s.antennas = {{"first", std::nullopt, {first}}, {"second", std::nullopt, {second}}};
  s.arrangements = {arrangement("on the first", ArrangementKind::straight),
                    arrangement("on the second", ArrangementKind::straight)};
  s.arrangements[1].antenna = 1;
}

}  // namespace

TEST_CASE("between the ends of a contact at one place everything is exact") {
  const plan::detail::LoadPoint range =
      plan::detail::load_point(ranged(through(0.0), through(500.0), through(1000.0)), f);
  for (const double ohm : {0.0, 30.0, 220.0, 500.0, 810.0, 1000.0}) {
    const plan::detail::LoadPoint at = plan::detail::at_contact(range, ohm / 1000.0),
                                  expected = plan::detail::load_point(through(ohm), f);
    INFO(ohm << " ohm");
    CHECK(std::abs(at.z_ohm - expected.z_ohm) <= 1e-9 * std::abs(expected.z_ohm));
    CHECK(std::abs(at.shares->person - expected.shares->person) <= 1e-9);
    CHECK(std::abs(at.shares->radiated - expected.shares->radiated) <= 1e-9);
    const load::PowerShares& s = *at.shares;
    CHECK(std::abs(s.radiated + s.metal + s.ground + s.person + s.lumps - 1.0) <= 1e-9);
  }
}

TEST_CASE("between the ends of a hand's contact a carried antenna is near to solving it") {
  const auto text = [](const std::string& resistance) {
    return R"([station]
name = "bench"
[transmitter]
power = "5 W"
[[band]]
name = "40 m"
low = "7.1 MHz"
high = "7.11 MHz"
[[load]]
condition = "hand"
[load.wires]
ground = { relative_permittivity = 13, conductivity = "5 mS/m" }
feed = { gap = "20 mm" }
set = {}
person = {}
wire = [ { name = "whip", points = [[0, 0, 1.2], [0, 0, 4.2]], radius = "1.5 mm", metal = "stainless steel" },
         { name = "trail", points = [[0, 0, 1.2], [1.2, 0, 0.05], [4.2, 0, 0.05]], radius = "1 mm", metal = "copper" } ]
condition = [ { name = "touched", kind = "hand on set", contact = { resistance = )" +
           resistance + R"( } } ]
[[arrangement]]
name = "straight"
kind = "straight"
)";
  };
  const auto solved = [&](const std::string& resistance) {
    return station::solve_loads(station::read_station(text(resistance), "bench.toml", "."));
  };
  const station::Station range = solved(R"(["0 ohm", "1 kohm"])");
  const station::AntennaLoad& load = range.antennas[0].loads[0];
  REQUIRE(load.contact_ohm);
  CHECK(load.contact_ohm->low == 0.0);
  CHECK(load.contact_ohm->high == 1000.0);
  REQUIRE(load.ends.size() == 2);
  const plan::detail::LoadPoint point = plan::detail::load_point(load, f);
  for (const double ohm : {100.0, 300.0, 750.0}) {
    const station::Station one = solved(std::to_string(ohm));
    CHECK(one.antennas[0].loads[0].ends.empty());
    const plan::detail::LoadPoint at = plan::detail::at_contact(point, ohm / 1000.0),
                                  expected = plan::detail::load_point(one.antennas[0].loads[0], f);
    INFO(ohm << " ohm");
    CHECK(std::abs(at.z_ohm - expected.z_ohm) <= 0.01 * std::abs(expected.z_ohm));
    CHECK(std::abs(at.shares->radiated - expected.shares->radiated) <= 0.01);
    CHECK(std::abs(at.shares->person - expected.shares->person) <= 0.01);
  }
}

TEST_CASE("a contact inside whose range the rank turns leaves the band undecided and names where") {
  station::Station s = bare_station(50.0);
  s.conditions = {{"hand"}};
  s.decision.audible_db = 0.5;
  // The first radiates 10, 30 and 50 %, evenly along 0 to 1000 ohm; the second 20 %: they are equal at 250 ohm.
  set_straight_pair(s, ranged(radiating(0.1), radiating(0.3), radiating(0.5)), {radiating(0.2)});
  BandResult band = make_plan(s).bands.front();
  CHECK(band.choice == Choice::undecided);
  CHECK(band.taken == 0U);
  REQUIRE(band.turns.size() == 1);
  CHECK(band.turns[0] == "below about 250 ohm of hand and arm on the second, above it on the first");
  REQUIRE(band.measures.size() == 1);
  CHECK(band.measures[0].what == "the resistance of hand and arm on the set");
  CHECK(band.verdict.find("Measure the resistance of hand and arm on the set") != std::string::npos);
  CHECK(band.arrangements[0].counted_range_db.high == Approx(10.0));
  // Where the second is worse everywhere nothing is open.
  s.antennas[1].loads[0] = {radiating(0.05)};
  band = make_plan(s).bands.front();
  CHECK(band.choice == Choice::fixed);
  CHECK(band.turns.empty());
}

TEST_CASE("a contact at which an arrangement stops to hold is named") {
  station::Station s = bare_station(50.0);
  s.conditions = {{"hand"}};
  const load::PowerShares all{1.0, 0.0, 0.0};
  // SWR 1, 1.5 and 2.5: over the limit of 2 between 500 and 1000 ohm.
  s.antennas = {{"", std::nullopt, {ranged(shared(50.0, all), shared(75.0, all), shared(125.0, all))}}};
  s.arrangements = {arrangement("straight", ArrangementKind::straight)};
  const BandResult band = make_plan(s).bands.front();
  CHECK(band.choice == Choice::undecided);
  REQUIRE(band.turns.size() == 1);
  CHECK(band.turns[0] == "up to 750 ohm of hand and arm straight holds, at 875 ohm of hand and arm no longer");
}

TEST_CASE("a rank that turns inside a contact's range alone leaves the band undecided") {
  station::Station s = bare_station(50.0);
  s.conditions = {{"hand"}};
  s.decision.audible_db = 0.1;
  // The first radiates 50, 25 and 90 % at both ends and in the middle, and by the parabola through them 22.8 % at 375
  // ohm; the second 24 %: it is worse than the first wherever the corners are, and audibly better between them.
  set_straight_pair(s, ranged(radiating(0.5), radiating(0.25), radiating(0.9)), {radiating(0.24)});
  const BandResult band = make_plan(s).bands.front();
  CHECK(band.choice == Choice::undecided);
  CHECK(band.taken == 0U);
  REQUIRE(band.turns.size() == 1);
  INFO(band.turns[0]);
  CHECK(band.turns[0].find("below about ") == 0);
  CHECK(band.turns[0].find("of hand and arm on the second, above it on the first") != std::string::npos);
  REQUIRE(band.measures.size() == 1);
  CHECK(band.measures[0].what == "the resistance of hand and arm on the set");
  CHECK(band.measures[0].settles == Approx(8.0 / 9.0));  // the order is open at 375 ohm alone
}

TEST_CASE("what changes nothing settles nothing, and what the rank turns on is measured first") {
  const auto settles = [](const BandResult& band, const std::string& what) {
    for (const Measure& m : band.measures) {
      if (m.what.find(what) != std::string::npos) return m.settles;
    }
    return -1.0;
  };
  station::Station s = bare_station(50.0);
  s.conditions = {{"hand"}};
  s.decision.audible_db = 0.1;
  // The ground alone turns the rank: the contact's ends are its middle.
  s.uncertainty.ground = 0.5;
  const load::Load same = shared(50.0, {0.30, 0.0, 0.6, 0.1});
  set_straight_pair(s, ranged(same, same, same), {shared(50.0, {0.28, 0.72, 0.0})});
  BandResult band = make_plan(s).bands.front();
  REQUIRE(band.choice == Choice::undecided);
  CHECK(band.measures[0].what.find("ground loss") != std::string::npos);
  CHECK(settles(band, "ground loss") == Approx(3.0 / 5.0));
  CHECK(settles(band, "hand and arm") == 0.0);
  // The contact alone turns it, at 375 ohm; the ground takes nothing of either.
  s.uncertainty.ground = 0.1;
  const auto person = [](double radiated) { return shared(50.0, {radiated, 0.0, 0.0, 1.0 - radiated}); };
  set_straight_pair(s, ranged(person(0.5), person(0.25), person(0.9)), {person(0.24)});
  band = make_plan(s).bands.front();
  REQUIRE(band.choice == Choice::undecided);
  CHECK(band.measures[0].what == "the resistance of hand and arm on the set");
  CHECK(settles(band, "hand and arm") == Approx(8.0 / 9.0));
  CHECK(settles(band, "ground loss") == 0.0);
  // Nor where it is stated at an end of its range, which is then one value and not two.
  s.uncertainty.ground_factor = Range{1.0, 1.1};
  band = make_plan(s).bands.front();
  REQUIRE(band.choice == Choice::undecided);
  CHECK(band.measures[0].what == "the resistance of hand and arm on the set");
  CHECK(settles(band, "ground loss") == 0.0);
  s.uncertainty.ground_factor.reset();
  // Nor do the coils and contacts of what has none.
  s.uncertainty.ground = 0.0;
  s.uncertainty.q = 0.15;
  s.uncertainty.contact_ohm = Range{0.0, 2.0};
  band = make_plan(s).bands.front();
  REQUIRE(band.choice == Choice::undecided);
  CHECK(band.measures[0].what == "the resistance of hand and arm on the set");
  CHECK(band.measures.size() == 5);  // and Q and contacts of each of the two
  for (const char* which : {"first", "second"}) {
    CHECK(settles(band, fmt::format("the Q of the coils of \"on the {}\"", which)) == 0.0);
    CHECK(settles(band, fmt::format("the resistance of the contacts of \"on the {}\"", which)) == 0.0);
  }
}

TEST_CASE("of contacts that may add nothing, none and as stated are one value") {
  // What the relays of the tuner add turns the rank by itself: less than the first has to spare as stated, more at the
  // most.
  station::Station s = bare_station({12.0, -300.0});
  s.transmitter.swr_limit = 3.0;
  s.decision.audible_db = 0.0;
  s.arrangements = {with_tuner("tuner"), with_tuner("poor tuner")};
  s.arrangements[1].tuner.contact_ohm = 0.3;
  s.uncertainty.contact_ohm = Range{0.0, 1.0};
  const BandResult band = make_plan(s).bands.front();
  REQUIRE(band.choice == Choice::undecided);
  REQUIRE(band.measures.size() == 2);
  CHECK(band.measures[0].what == "the resistance of the contacts of \"tuner\"");
  CHECK(band.measures[0].settles == Approx(1.0 / 2.0));
}

TEST_CASE("an SWR that is over the limit inside a contact's range alone is a matter of the contact") {
  station::Station s = bare_station(50.0);
  s.conditions = {{"hand"}};
  s.uncertainty.q = 0.1;
  const load::PowerShares all{1.0, 0.0, 0.0};
  // On a circle about 42.1 ohm of radius 18.1: SWR 2.08 at 24 ohm, between the first two.
  s.antennas = {
      {"", std::nullopt, {ranged(shared({27.0, -10.0}, all), shared({27.0, 10.0}, all), shared({40.0, 18.0}, all))}}};
  s.arrangements = {arrangement("straight", ArrangementKind::straight)};
  const BandResult band = make_plan(s).bands.front();
  CHECK(band.arrangements[0].ok);
  CHECK(band.arrangements[0].conditions[0].swr_range.high == Approx(2.08).margin(0.01));
  CHECK(band.choice == Choice::undecided);
  REQUIRE(band.measures.size() == 2);
  CHECK(band.measures[0].what == "the resistance of hand and arm on the set");
  CHECK(band.measures[0].settles == 1.0);
  CHECK(band.measures[1].settles == 0.0);  // nothing is sure while the contact is not known
  CHECK(band.turns.size() == 2);           // it stops to hold and begins again
}

TEST_CASE("where a height may come above 0 is looked for beside its peaks alone") {
  using plan::detail::worth_looking;
  const std::vector<double> value{0.0, 1.0, 2.0, 3.0, 4.0};
  CHECK(worth_looking(value, {-5.0, -3.0, -1.0, -3.0, -5.0}) == std::vector<double>{1.5, 2.5});
  CHECK(worth_looking(value, {-5.0, -4.0, -3.0, -3.5, -5.0}).empty());  // no step leads to 0
  CHECK(worth_looking(value, {-5.0, -3.0, 1.0, -3.0, -5.0}).empty());   // it is above 0 already
  CHECK(worth_looking(value, {-9.0, -7.0, -5.0, -3.0, -1.0}) == std::vector<double>{3.5});
  CHECK(worth_looking(value, {-2.0, -2.0, -2.0, -2.0, -2.0}).empty());
  const double never = -network::infinite;
  CHECK(worth_looking(value, {never, never, never, never, never}).empty());
  CHECK(worth_looking(value, {never, -3.0, never, never, never}) == std::vector<double>{0.5, 1.5});
  CHECK(worth_looking({0.0, 1.999, 2.0, 2.001, 4.0}, {-5.0, -3.0, -1.0, -3.0, -5.0}).empty());  // nearer than a 512th
}

TEST_CASE("of more places than are looked at those next to the greatest heights are") {
  station::Station s = bare_station(50.0);
  std::vector<plan::detail::Along> along(1);
  for (int k = 0; k <= 80; ++k) {
    along[0].value.push_back(0.6 + 0.01 * k);
    along[0].level.emplace_back();
    along[0].between.push_back(char{0});
    along[0].corners.emplace_back();
  }
  const std::vector<double> stated = along[0].value;
  // Forty peaks, each higher than the one before it; beside them nothing.
  const auto heights = [&](std::size_t) {
    std::vector<double> height;
    for (const double value : along[0].value) {
      const auto known = std::find(stated.begin(), stated.end(), value) - stated.begin();
      height.push_back(known < 81 && known % 2 == 1 ? -1.0 + 0.005 * static_cast<double>(known) : -3.0);
    }
    return std::vector<std::vector<double>>{height};
  };
  std::vector<plan::detail::Judged> nobody;
  CHECK(plan::detail::look_between(s, along, nobody, heights));
  std::vector<double> looked;
  for (std::size_t k = 0; k < along[0].value.size(); ++k) {
    if (along[0].between[k] != 0) looked.push_back(along[0].value[k]);
  }
  REQUIRE(looked.size() == 24);
  CHECK(looked.front() == Approx(0.6 + 0.01 * 56.5));  // beside the twelve highest, the 57th to the 79th value
  CHECK(looked.back() == Approx(0.6 + 0.01 * 79.5));
}

TEST_CASE("a rank that turns between two of the values of a contact leaves the band undecided") {
  station::Station s = bare_station(50.0);
  s.conditions = {{"hand"}};
  s.decision.audible_db = 0.1;
  // The first radiates 0.1 + 2 (t - 0.4375)^2 along the range, the second 0.105: heard to be better by 0.21 dB at 437.5
  // ohm; at 375 and 500 ohm, which are neighbours, the first is better by 0.11 dB.
  const auto at = [](double t) { return radiating(0.1 + 2.0 * (t - 0.4375) * (t - 0.4375)); };
  set_straight_pair(s, ranged(at(0.0), at(0.5), at(1.0)), {radiating(0.105)});
  const BandResult band = make_plan(s).bands.front();
  INFO(band.verdict);
  CHECK(band.choice == Choice::undecided);
  CHECK(band.taken == 0U);
  REQUIRE(band.measures.size() == 1);
  CHECK(band.measures[0].what == "the resistance of hand and arm on the set");
  CHECK(band.measures[0].settles ==
        1.0);  // at each of the nine values the order is sure; those between are no fair sample
  CHECK(band.arrangements[0].counted_range_db.high == Approx(10.0).margin(1e-3));
  REQUIRE(band.turns.size() == 1);
  CHECK(band.turns[0].find("of hand and arm on the second, above it on the first") != std::string::npos);
}

TEST_CASE("an SWR that is over the limit between two of the values of a contact alone is seen") {
  station::Station s = bare_station(50.0);
  s.conditions = {{"hand"}};
  const load::PowerShares all{1.0, 0.0, 0.0};
  // By z(t) = (least + p t)/(1 + q t) through the three: at most 1.64 at the nine values, and 2.48 at 540 ohm.
  const cdouble least{50.4, 3.8}, middle{82.0, 1.0}, most{47.0, 7.3};
  const cdouble q = (2.0 * middle - least - most) / (most - middle), p = most * (1.0 + q) - least;
  const auto swr = [&](double t) {
    const cdouble z = (least + p * t) / (1.0 + q * t);
    const double reflection = std::abs((z - 50.0) / (z + 50.0));
    return (1.0 + reflection) / (1.0 - reflection);
  };
  CHECK(std::abs((least + 0.5 * p) / (1.0 + 0.5 * q) - middle) <= 1e-9);
  for (int k = 0; k <= 8; ++k) {
    INFO(k << " of 8");
    CHECK(swr(k / 8.0) < 2.0);
  }
  double peak = 0.0;
  for (int k = 0; k <= 10000; ++k) peak = std::max(peak, swr(k / 10000.0));
  CHECK(peak == Approx(2.48).margin(0.01));
  s.antennas = {{"", std::nullopt, {ranged(shared(least, all), shared(middle, all), shared(most, all))}}};
  s.arrangements = {arrangement("straight", ArrangementKind::straight)};
  const BandResult band = make_plan(s).bands.front();
  INFO(band.verdict);
  CHECK(band.arrangements[0].ok);
  CHECK_FALSE(band.arrangements[0].holds_throughout);
  const double seen = band.arrangements[0].conditions[0].swr_range.high;
  CHECK(seen > 2.0);
  CHECK(seen <= 1.005 * peak);
  // No further than to one place over the limit: of those beside the greatest of the nine, at 0.5, the one towards the
  // peak. Only a draw is nearer to it.
  double expected = swr(0.5625);
  for (const plan::detail::Corner& drawn : plan::detail::drawn_corners(s, 24, 1))
    expected = std::max(expected, swr(*drawn.hand));
  CHECK(seen == Approx(expected).epsilon(1e-6));
  CHECK(band.choice == Choice::undecided);
  REQUIRE(band.measures.size() == 1);
  CHECK(band.measures[0].what == "the resistance of hand and arm on the set");
  CHECK(band.turns.size() == 2);
}

TEST_CASE("a ground between two of whose values the rank turns leaves the band undecided") {
  station::Station s = bare_station(50.0);
  s.conditions = {{"dry"}};
  s.decision.audible_db = 0.0;
  s.transmitter.swr_limit = 5.0;
  s.transmitter.foldback = {{1.05, 5.0}, {1.12, 3.5}};
  s.uncertainty.ground_factor = Range{0.2, 1.8};
  // The ground takes half of both. The second shows 50 ohm at 0.8 times its loss, where alone the transmitter gives its
  // full power: it is 0.72 dB better there, and at the values 0.6 and 1 beside it 0.98 and 0.47 dB worse.
  const auto loss_db = [](double stated_ohm, double radiated, double factor) {
    const double more = 1.0 + 0.5 * (factor - 1.0), ohm = stated_ohm * more;
    const double swr = std::max(ohm, 50.0) / std::min(ohm, 50.0), reflection = (swr - 1.0) / (swr + 1.0);
    const double offered_w = 5.0 - 1.5 * std::clamp((swr - 1.05) / (1.12 - 1.05), 0.0, 1.0);
    return -10.0 * std::log10(offered_w / 5.0 * (1.0 - reflection * reflection) * radiated / more);
  };
  const auto ahead_db = [&](double factor) { return loss_db(100.0, 0.4, factor) - loss_db(55.56, 0.3034, factor); };
  CHECK(ahead_db(0.8) == Approx(0.72).margin(0.01));
  CHECK(ahead_db(0.6) == Approx(-0.98).margin(0.01));
  CHECK(ahead_db(1.0) == Approx(-0.47).margin(0.01));
  for (const double factor : {0.2, 0.6, 1.0, 1.4, 1.8}) {
    INFO(factor << " times the loss");
    CHECK(ahead_db(factor) < 0.0);
  }
  set_straight_pair(s, {shared(100.0, {0.4, 0.1, 0.5})}, {shared(55.56, {0.3034, 0.1966, 0.5})});
  BandResult band = make_plan(s).bands.front();
  INFO(band.verdict);
  CHECK(band.taken == 0U);
  CHECK(band.choice == Choice::undecided);
  REQUIRE(band.measures.size() == 1);
  CHECK(band.measures[0].what.find("ground loss") != std::string::npos);
  CHECK(band.measures[0].settles == 1.0);  // at each of the five values the order is sure
  s.transmitter.foldback.clear();          // without it nothing turns, and nothing is made up
  band = make_plan(s).bands.front();
  CHECK(band.taken == 0U);
  CHECK(band.choice == Choice::fixed);
}

TEST_CASE("of two that sound the same the simpler is not taken where the other is heard along a contact's range") {
  station::Station s = bare_station(50.0);
  s.conditions = {{"hand"}};
  // 28 and 30 % are 0.3 dB apart; at 1 kohm the first radiates 10 %.
  set_straight_pair(s, ranged(radiating(0.3), radiating(0.28), radiating(0.1)), {radiating(0.3)});
  s.arrangements[0].mass_kg = 0.1, s.arrangements[1].mass_kg = 0.2;
  s.antennas[0].mass_kg = s.antennas[1].mass_kg = 0.1;
  BandResult band = make_plan(s).bands.front();
  CHECK(band.choice == Choice::undecided);
  CHECK(band.taken == 0U);
  CHECK(band.verdict.find("as stated no ear tells them apart and on the second weighs 100 g more") !=
        std::string::npos);
  // Equal up to 1 dB: the parabola is through 23.8 % at about 0.63 of the range.
  REQUIRE(band.turns.size() == 1);
  INFO(band.turns[0]);
  CHECK(band.turns[0].find("ohm of hand and arm on the first, above it on the second") != std::string::npos);
  s.decision.audible_db = 6.0;  // nobody hears 10 against 30 %
  band = make_plan(s).bands.front();
  CHECK(band.choice == Choice::fixed);
  CHECK(band.taken == 0U);
}

TEST_CASE("the values of the ground between which an arrangement stops to hold are told apart") {
  station::Station s = bare_station(50.0);
  s.conditions = {{"dry"}};
  s.uncertainty.ground_factor = Range{0.9, 1.2};
  // 60 % heats the ground: over 100 ohm, the limit of SWR 2, from 1.11 times that loss on.
  s.antennas = {{"", std::nullopt, {{shared(94.0, {0.4, 0.0, 0.6})}}}};
  s.arrangements = {arrangement("straight", ArrangementKind::straight)};
  const BandResult band = make_plan(s).bands.front();
  REQUIRE(band.turns.size() == 1);
  INFO(band.turns[0]);
  const std::string up_to = "up to ", at = "straight holds, at ";
  REQUIRE(band.turns[0].find(up_to) == 0);
  REQUIRE(band.turns[0].find(at) != std::string::npos);
  const double last = std::stod(band.turns[0].substr(up_to.size())),
               next = std::stod(band.turns[0].substr(band.turns[0].find(at) + at.size()));
  // 94 (0.4 + 0.6 g) = 100 ohm at g = 1.1064: between the two, which are neighbours among the values looked at.
  constexpr double crossing = (100.0 / 94.0 - 0.4) / 0.6;
  CHECK(last < crossing);
  CHECK(crossing < next);
  CHECK(next - last <= 0.08);
}

TEST_CASE("a ground inside whose range the rank turns leaves the band undecided and names where") {
  station::Station s = bare_station(50.0);
  s.conditions = {{"dry"}};
  s.transmitter.swr_limit = 3.0;
  s.decision.audible_db = 0.5;
  s.uncertainty.ground_factor = Range{0.5, 3.0};
  // Of the first 60 % heats the ground, of the second 20 % the ground and 50 % itself: with g times the loss
  // 0.4/(0.4 + 0.6 g) = 0.3/(0.8 + 0.2 g) at g = 2, up to their mismatch.
  set_straight_pair(s, {shared(40.0, {0.4, 0.0, 0.6})}, {shared(40.0, {0.3, 0.5, 0.2})});
  const BandResult band = make_plan(s).bands.front();
  CHECK(band.choice == Choice::undecided);
  CHECK(band.taken == 0U);
  REQUIRE(band.turns.size() == 1);
  const std::string start = "below about ", end = " times the stated loss in the ground on the first, above it on the "
                                                  "second";
  REQUIRE(band.turns[0].find(start) == 0);
  CHECK(band.turns[0].find(end) != std::string::npos);
  CHECK(std::stod(band.turns[0].substr(start.size())) == Approx(2.0).margin(0.1));
  REQUIRE_FALSE(band.measures.empty());
  CHECK(band.measures[0].what.find("ground loss") != std::string::npos);
  s.uncertainty.ground_factor = Range{0.9, 1.2};
  CHECK(make_plan(s).bands.front().choice == Choice::fixed);
}

// The rules of the verdict: a station for each, in which it decides. All stations are invented.

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include <plan/stations.hpp>
#include <stile/plan/plan.hpp>

using namespace stile;
using namespace stile::plan;
using namespace stile::plan::test;
using station::ArrangementKind;

namespace {

constexpr double f = 7.1e6;
constexpr double resonant_f = 100e-12, resonant_h = 5.024855368e-6;  // resonant at 7.1 MHz within 1e-3 ohm

/// Resonant, so much radiated and so much lost in the ground.
load::Load resonant(const std::string& name, double radiation_ohm, double ground_ohm) {
  return modelled(name, {radiation_ohm, f, resonant_f, resonant_h, ground_ohm, 0.0, 0.0});
}

/// 50 ohm with a share that is radiated and a gain into the path.
load::Load patterned(const std::string& name, cdouble z, double radiated, double gain) {
  const load::PowerShares shares{radiated, 0.0, 1.0 - radiated};
  load::SampledLoad samples = load::make_sampled_load({0.98 * f, f, 1.02 * f}, {z, z, z}, {shares, shares, shares});
  if (gain > 0.0) samples.path_gain = {gain, gain, gain};
  return {name, "samples", samples, {}};
}

void two_antennas(station::Station& s, const load::Load& a, const load::Load& b) {
  s.conditions = {{a.name}};
  s.antennas = {{"first", std::nullopt, {{a}}}, {"second", std::nullopt, {{b}}}};
  s.arrangements = {arrangement("on the first", ArrangementKind::straight),
                    arrangement("on the second", ArrangementKind::straight)};
  s.arrangements[1].antenna = 1;
}

/// The ground alone turns this rank: straight is right as stated and wrong with another ground.
station::Station turned_by_ground() {
  station::Station s = bare_station(50.0);
  set_loads(s, {resonant("dry", 5.0, 45.0)});
  s.arrangements = {arrangement("straight", ArrangementKind::straight), with_tuner("tuner", 8, 200.0)};
  s.transmitter.swr_limit = 5.0;
  s.decision.audible_db = 0.0;
  s.uncertainty.ground = 0.8, s.uncertainty.q = 0.1;
  return s;
}

BandResult decided(const station::Station& s) { return make_plan(s).bands.front(); }
bool contains(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

struct Row {
  std::string rule;
  station::Station station;
  Choice choice;
  std::string taken;    ///< empty: nothing
  std::string verdict;  ///< a part of it
};

std::vector<Row> rows() {
  std::vector<Row> all;
  const auto add = [&](const std::string& rule, const station::Station& s, Choice choice, const std::string& taken,
                       const std::string& verdict) {
    all.push_back({rule, s, choice, taken, verdict});
  };

  station::Station s = bare_station(50.0);
  add_load(s, constant("torn off", {5.0, -2000.0}));
  s.arrangements = {arrangement("straight", ArrangementKind::straight)};
  add("normal conditions must hold", s, Choice::none, "", "nothing listed holds on this band");
  s.conditions[1].role = station::Role::accident;
  add("an accident decides nothing", s, Choice::fixed, "straight", "take straight");

  s = bare_station(50.0);
  set_loads(s, {resonant("dry", 0.1, 25.9)});
  s.uncertainty.ground = 0.4;
  s.decision.audible_db = 0.0;
  s.arrangements = {arrangement("straight", ArrangementKind::straight)};
  add("what holds only as stated leaves a band undecided", s, Choice::undecided, "straight",
      "straight holds only as stated: it loses");
  s.arrangements.push_back(with_tuner("tuner"));
  s.arrangements[1].cable_before = line("long", "RG-174", 10.0);
  add("what holds throughout beats what holds only as stated", s, Choice::tuner, "tuner", "straight would lose");

  s = bare_station({14.0, -230.0});
  station::Arrangement once = arrangement("once", ArrangementKind::base_coil), by_hand = once;
  by_hand.name = "by hand";
  by_hand.trim = station::Trim::tap_and_trimmer;
  s.arrangements = {by_hand, once};
  add("of what sounds the same fewer hands", s, Choice::fixed, "once",
      "no ear tells it from by hand, which needs a hand");
  once.cable_before = line("long", "RG-174", 25.0);
  s.arrangements = {by_hand, once};
  add("what is heard goes before hands", s, Choice::fixed, "by hand", "less than once");

  s = bare_station(50.0);
  station::Arrangement heavy = arrangement("heavy", ArrangementKind::straight), light = heavy;
  light.name = "light";
  heavy.mass_kg = 0.3, light.mass_kg = 0.1;
  s.arrangements = {heavy, light};
  add("then less mass", s, Choice::fixed, "light", "no ear tells it from heavy, which weighs 200 g more");
  station::Arrangement tuner = with_tuner("tuner");
  tuner.mass_kg = 0.1;
  s.arrangements = {tuner, light};
  add("then no supply", s, Choice::fixed, "light", "no ear tells it from tuner, which needs a supply");
  tuner.mass_kg = 0.05;
  s.arrangements = {tuner, light};
  add("mass goes before supply", s, Choice::tuner, "tuner", "no ear tells it from light, which weighs 50 g more");

  s = bare_station({14.0, -230.0});
  station::Arrangement coil = arrangement("coil", ArrangementKind::base_coil);
  coil.parts.stock.inductor_loss.q = 105.0;
  s.arrangements = {coil, with_tuner("tuner", 8, 120.0)};
  s.uncertainty.q = 0.15;
  s.decision.audible_db = 0.0;
  add("a Q that turns the rank leaves it undecided", s, Choice::undecided, "coil", "Measure the Q of the coils of");
  s.uncertainty.q = 0.0;
  s.uncertainty.contact_ohm = {0.0, 3.0};
  add("contacts that turn the rank leave it undecided", s, Choice::undecided, "coil",
      "Measure the resistance of the contacts of");
  s.decision.audible_db = 3.0;
  add("nobody hears that", s, Choice::fixed, "coil", "no ear tells it from tuner");

  s = bare_station({14.0, -230.0});
  coil.name = "thin coil";
  coil.parts.stock.inductor_loss.q = 60.0;
  station::Arrangement far = arrangement("good coil, long cable", ArrangementKind::base_coil);
  far.parts.stock.inductor_loss.q = 400.0;
  far.cable_before = line("long", "RG-174", 12.5);
  s.arrangements = {coil, far};
  s.decision.audible_db = 0.0;
  add("a rank that no temperature turns is decided", s, Choice::fixed, "thin coil", "take thin coil");
  s.uncertainty.temperature_c = {-20.0, 60.0};
  add("a temperature that turns the rank leaves it undecided", s, Choice::undecided, "thin coil",
      "Measure how warm the coil gets");

  s = bare_station(50.0);
  set_loads(s, {resonant("dry", 25.0, 25.0)});
  s.transmitter.swr_limit = 1.1;
  s.arrangements = {arrangement("straight", ArrangementKind::straight)};
  add("a length as stated holds", s, Choice::fixed, "straight", "take straight");
  s.uncertainty.lengths = 0.02;  // 9 ohm of reactance: SWR 1.2
  add("lengths that break the SWR limit leave it undecided", s, Choice::undecided, "straight",
      "Measure the lengths of whip and wire");

  s = bare_station(50.0);
  two_antennas(s, patterned("dry", 50.0, 0.1, 0.4), patterned("dry", 40.0, 0.5, 0.1));
  add("rank is towards the path where one is known", s, Choice::fixed, "on the first",
      "at worst towards the other station");
  two_antennas(s, patterned("dry", 50.0, 0.1, 0.0), patterned("dry", 40.0, 0.5, 0.0));
  add("rank is to the far field where shares are known", s, Choice::fixed, "on the second",
      "at worst on the way to the far field, 6.9 dB");
  two_antennas(s, constant("dry", 50.0), constant("dry", 30.0));
  s.decision.audible_db = 0.0;
  add("antennas are not compared where nothing is known", s, Choice::undecided, "on the first",
      "Of those on \"first\" take on the first: it loses 0.0 dB (0.0 S units) at worst on the way into the antenna. No "
      "tuner is listed on \"first\". Of those on \"second\" take on the second");
  s.antennas[1].loads[0].load = constant("dry", {5.0, -900.0});
  add("but where one alone holds it is taken", s, Choice::fixed, "on the first", "take on the first");
  s = bare_station(50.0);
  set_loads(s, {constant("dry", 50.0)});
  s.arrangements = {arrangement("straight", ArrangementKind::straight)};
  add("rank is into the antenna where nothing is known", s, Choice::fixed, "straight",
      "at worst on the way into the antenna");
  return all;
}

}  // namespace

TEST_CASE("each rule of the verdict decides its station") {
  for (const Row& row : rows()) {
    const BandResult band = decided(row.station);
    INFO(row.rule << "\n" << band.verdict);
    CHECK(band.choice == row.choice);
    CHECK((band.taken ? band.arrangements[*band.taken].name : "") == row.taken);
    CHECK(contains(band.verdict, row.verdict));
    CHECK(band.measures.empty() == (row.choice != Choice::undecided));
  }
}

TEST_CASE("each statement of an undecided band names whose it is, and the worst condition") {
  // "straight" holds as stated alone: with more ground SWR 2.1 when dry and 2.6 when wet. The tuner has no part and
  // does not hold.
  station::Station s = bare_station(50.0);
  set_loads(s, {resonant("dry", 0.1, 74.9), resonant("wet", 0.1, 92.9)});
  s.uncertainty.ground_factor = Range{1.0, 1.4};
  s.arrangements = {arrangement("straight", ArrangementKind::straight), with_tuner("tuner", 1, 5.0)};
  s.arrangements[1].tuner.inductors.values_h = {20e-6};
  s.arrangements[1].tuner.inductors.stray_h = 20e-6;
  const BandResult band = decided(s);
  INFO(band.verdict);
  REQUIRE(band.choice == Choice::undecided);
  REQUIRE(band.taken == 0U);
  const std::string& verdict = band.verdict;
  CHECK(contains(verdict, "straight: with inputs off as far as stated, SWR 2.6 in \"wet\"; up to "));
  CHECK(contains(verdict, " the stated loss in the ground straight holds, at "));
  CHECK_FALSE(contains(verdict, " it holds"));
  CHECK(contains(verdict, " no longer. tuner: SWR "));
  CHECK(contains(verdict, "is over the limit 2. Measure the antenna's feed resistance"));
  CHECK(contains(band.arrangements[0].why, "SWR 2.6 in \"wet\""));
}

TEST_CASE("what settles nothing by itself is not named where something else settles") {
  const BandResult band = decided(turned_by_ground());
  REQUIRE(band.measures.size() == 3);
  REQUIRE(band.measures[1].settles == 0.0);
  CHECK(contains(band.verdict, ". Measure the antenna's feed resistance where you walk (its ground loss)"));
  CHECK_FALSE(contains(band.verdict, "the Q of"));
}

TEST_CASE("of what sounds the same hands, mass, supply and loss decide in that order, whatever the order of the file") {
  struct Stated {
    const char* name;
    int hands;
    std::optional<double> mass_kg;
    bool supply;
    double cable_m;  ///< the longer the more is lost
  };
  struct Case {
    const char* rule;
    std::vector<Stated> stated;
    std::string taken;
  };
  const std::optional<double> unknown;
  const std::vector<Case> cases{
      {"fewer hands go before mass",
       {{"hand", 1, 0.1, false, 1}, {"once", 0, 0.9, false, 1}, {"box", 0, 1.0, false, 1}},
       "once"},
      {"mass goes before supply",
       {{"hand", 1, 0.1, false, 1}, {"once", 0, 0.9, false, 1}, {"tuner", 0, 0.5, true, 1}},
       "tuner"},
      {"of the same mass no supply",
       {{"hand", 1, 0.1, false, 1}, {"once", 0, 0.5, false, 1}, {"tuner", 0, 0.5, true, 1}},
       "once"},
      {"a mass that is not known of all decides nothing",
       {{"hand", 1, 0.1, false, 1}, {"once", 0, unknown, false, 9}, {"tuner", 0, 0.5, true, 1}},
       "once"},
      {"nor does one that hands ruled out keep others from it",
       {{"hand", 1, unknown, false, 1}, {"once", 0, 0.9, false, 1}, {"tuner", 0, 0.5, true, 1}},
       "tuner"},
      {"without masses of all the least loss",
       {{"a", 0, 0.3, false, 5}, {"b", 0, unknown, false, 1}, {"c", 0, 0.1, false, 9}},
       "b"},
      {"with them the least mass", {{"a", 0, 0.3, false, 1}, {"b", 0, 0.2, false, 5}, {"c", 0, 0.1, false, 9}}, "c"},
      {"then the least loss", {{"a", 0, 0.2, false, 5}, {"b", 0, 0.2, false, 1}, {"c", 0, 0.2, false, 9}}, "b"},
  };
  for (const Case& c : cases) {
    std::vector<std::size_t> order{0, 1, 2};
    do {
      station::Station s = bare_station({14.0, -230.0});
      s.decision.audible_db = 20.0;
      for (const std::size_t n : order) {
        const Stated& of = c.stated[n];
        station::Arrangement a = of.supply ? with_tuner(of.name) : arrangement(of.name, ArrangementKind::base_coil);
        if (of.hands > 0) a.trim = station::Trim::tap;
        a.mass_kg = of.mass_kg;
        a.cable_before = line("lead", "RG-174", of.cable_m);
        s.arrangements.push_back(std::move(a));
      }
      const BandResult band = decided(s);
      INFO(c.rule << ", first " << s.arrangements.front().name << "\n" << band.verdict);
      REQUIRE(band.taken);
      CHECK(band.arrangements[*band.taken].name == c.taken);
      CHECK(band.choice != Choice::undecided);
    } while (std::next_permutation(order.begin(), order.end()));
  }
}

TEST_CASE("an accident is told with its SWR voltage and what the transmitter does") {
  station::Station s = bare_station(50.0);
  add_load(s, constant("torn off", {5.0, -2000.0}));
  s.conditions[1].role = station::Role::accident;
  s.transmitter.foldback = {{2.0, 5.0}, {3.0, 1.0}};
  s.arrangements = {arrangement("straight", ArrangementKind::straight)};
  const ArrangementResult a = decided(s).arrangements[0];
  CHECK(a.ok);
  CHECK(a.worst_swr == Approx(1.0));
  REQUIRE(a.accidents.size() == 1);
  CHECK(a.accidents[0].rfind("in the accident \"torn off\" SWR over 100, ", 0) == 0);
  CHECK(contains(a.accidents[0], "the transmitter falls back to 1 W of 5 W"));
}

TEST_CASE("what settles more is measured first") {
  const BandResult band = decided(turned_by_ground());
  REQUIRE(band.choice == Choice::undecided);
  REQUIRE(band.measures.size() == 3);
  CHECK(contains(band.measures[0].what, "feed resistance"));
  CHECK(band.measures[0].settles == Approx(1.0 / 5.0));  // of the five values of the ground it is sure as stated alone
  CHECK(band.measures[1].settles == 0.0);
  CHECK(band.measures[2].settles == 0.0);
}

TEST_CASE("a difference is that of two arrangements in the same world, not of their ranges") {
  // Two resonant antennas of 50 ohm of which half and a fifth is radiated: with g times the loss in the ground both
  // lose more.
  station::Station s = bare_station(50.0);
  two_antennas(s, resonant("dry", 25.0, 25.0), resonant("dry", 10.0, 40.0));
  s.uncertainty.ground_factor = Range{0.6, 1.5};
  const BandResult band = decided(s);
  const auto lost_db = [](double radiation_ohm, double ground_ohm) {
    const double r = radiation_ohm + ground_ohm;
    return -10.0 * std::log10(4.0 * 50.0 * r / ((50.0 + r) * (50.0 + r)) * radiation_ohm / r);
  };
  const auto apart_db = [&](double g) { return lost_db(10.0, 40.0 * g) - lost_db(25.0, 25.0 * g); };
  const Difference& d = *band.arrangements[1].against_taken;
  REQUIRE(band.taken == 0U);
  CHECK(std::abs(d.db - apart_db(1.0)) <= 1e-6);
  CHECK(std::abs(d.range_db.low - apart_db(0.6)) <= 1e-6);
  CHECK(std::abs(d.range_db.high - apart_db(1.5)) <= 1e-6);
  CHECK(band.arrangements[1].against_best.range_db.high == d.range_db.high);
  const Range &first = band.arrangements[0].counted_range_db, &second = band.arrangements[1].counted_range_db;
  CHECK(second.high - first.low > d.range_db.high + 1.0);
  CHECK(contains(band.verdict, "4.0 dB (0.7 S units; "));
  CHECK(band.arrangements[0].against_taken->db == 0.0);
  // The SWR's band: 50 ohm as stated is the least.
  CHECK(band.arrangements[1].swr_range.low == Approx(1.0).margin(1e-4));
  CHECK(band.arrangements[1].swr_range.high == Approx(50.0 / 34.0).epsilon(1e-4));  // with 24 ohm of ground
  CHECK(band.arrangements[1].swr_range.high == band.arrangements[1].conditions[0].swr_range.high);
}

TEST_CASE("both figures of the far field are there whatever counts") {
  station::Station s = bare_station(50.0);
  set_loads(s, {patterned("dry", 50.0, 0.1, 0.4)});
  s.arrangements = {arrangement("straight", ArrangementKind::straight)};
  const BandResult band = decided(s);
  CHECK(band.counted == Counted::path);
  CHECK(*band.arrangements[0].radiated_db == Approx(10.0));
  CHECK(*band.arrangements[0].path_db == Approx(-10.0 * std::log10(0.4)));
  CHECK(band.arrangements[0].counted_db == *band.arrangements[0].path_db);
  // Half as much more loss in the ground of 90 %: 1.45 times the resistance, so the shares fall by 1.61 dB and 0.15 dB
  // are mismatched.
  station::Station uncertain = s;
  uncertain.uncertainty.ground_factor = Range{1.0, 1.5};
  const ArrangementResult a = decided(uncertain).arrangements[0];
  const double mismatch_db = -10.0 * std::log10(4.0 * 1.45 / (2.45 * 2.45)), share_db = 10.0 * std::log10(1.45);
  REQUIRE(a.radiated_range_db);
  REQUIRE(a.path_range_db);
  CHECK(a.radiated_range_db->low == Approx(10.0));
  CHECK(a.radiated_range_db->high == Approx(10.0 + mismatch_db + share_db));
  CHECK(a.path_range_db->high == Approx(*a.path_db + mismatch_db + share_db));
  // The budget, with 8 % of each width at both ends: of 4.83 W into 72.5 ohm a fourteenth and a half is radiated, of 5
  // W into 50 ohm a tenth; 18 W g/(1.1 + 0.9 g)^2 heats the ground with g times its loss, at most 4.545 W at 1.222.
  const double into_w = 5.0 * 4.0 * 1.45 / (2.45 * 2.45);
  const std::vector<BudgetItem>& budget = a.conditions[0].budget;
  REQUIRE(budget.size() == 5);
  const auto check_range = [&](std::size_t n, Spent spent, double low_w, double high_w) {
    INFO(spent_name(spent));
    const double step_w = 0.08 * (high_w - low_w);
    CHECK(budget[n].spent == spent);
    CHECK(budget[n].range_w.low == Approx(std::max(0.0, low_w - step_w)).margin(1e-4));
    CHECK(budget[n].range_w.high == Approx(high_w + step_w).margin(2e-4));
  };
  // What is radiated has its low end by decibels, of which there are 8 % more.
  CHECK(budget[0].spent == Spent::radiated);
  CHECK(budget[0].range_w.low ==
        Approx(into_w * 0.1 / 1.45 * std::pow(10.0, -0.008 * (a.radiated_range_db->high - a.radiated_range_db->low))));
  CHECK(budget[0].range_w.high == Approx(0.5 + 0.08 * (0.5 - into_w * 0.1 / 1.45)));
  check_range(1, Spent::ground, into_w * 0.9 * 1.5 / 1.45, 18.0 * (1.1 / 0.9) / (2.2 * 2.2));
  check_range(3, Spent::mismatch, 0.0, 5.0 - into_w);
  CHECK(a.path_range_db->high == a.counted_range_db.high);
  set_loads(s, {patterned("dry", 50.0, 0.1, 0.0)});
  CHECK_FALSE(decided(s).arrangements[0].path_db);
  CHECK_FALSE(decided(s).arrangements[0].path_range_db);
  CHECK(decided(s).arrangements[0].radiated_range_db);
}

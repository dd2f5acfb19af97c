#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <string>

#include <catch2/catch.hpp>

#include <plan/stations.hpp>
#include <stile/plan/detail/judge.hpp>
#include <stile/plan/plan.hpp>
#include <stile/plan/worst_figures.hpp>
// Behind the others: gcc 12 takes the enumerators named pi for shadows of the constant when it comes first.
#include <stile/base/constants.hpp>

using namespace stile;
using namespace stile::plan;
using namespace stile::plan::test;

namespace {

const std::string example = std::string(STILE_TEST_DATA) + "/plan/moor_from_files.toml";
constexpr double f = 7.1e6;

/// What holds for every result whatever the station.
void check_result(const station::Station& s, const station::Band& band, const load::Load& load,
                  const ConditionResult& c) {
  const double full = s.transmitter.source.power_w;
  double sum = 0.0;
  for (const BudgetItem& item : c.budget) {
    INFO(spent_name(item.spent) << " " << item.where);
    CHECK(item.power_w >= 0.0);
    sum += item.power_w;
  }
  CHECK(std::abs(sum - full) <= 1e-12 * full);
  CHECK(std::is_sorted(c.budget.begin(), c.budget.end(),
                       [](const BudgetItem& a, const BudgetItem& b) { return a.spent < b.spent; }));

  // The figures are those of the ladder that is reported.
  const cdouble z = load::load_impedance(load, band.design_hz);
  const network::Evaluation e =
      network::evaluate(c.ladder, {s.transmitter.source.z_ohm, c.offered_w}, band.design_hz, z);
  CHECK(c.evaluation.frequency_hz == band.design_hz);
  CHECK(c.swr == e.swr);
  CHECK(c.evaluation.power.delivered_w == e.power.delivered_w);
  CHECK(std::abs(c.offered_w - station::power_at_swr(s.transmitter, e.swr)) <= 1e-12 * full);
  CHECK(std::abs(c.loss_db - 10.0 * std::log10(full / e.power.delivered_w)) <= 1e-12 * (1.0 + c.loss_db));
  CHECK(c.worst_loss_db >= c.loss_db);
  CHECK(c.loss_range_db.low <= c.worst_loss_db);
  CHECK(c.loss_range_db.high >= c.worst_loss_db);
  CHECK(c.swr_range.high >= c.worst_swr);
  CHECK(c.load_voltage_high_v_peak >= c.load_voltage_v_peak);
  CHECK(c.worst_swr >= c.swr);

  const double into_antenna =
      spent_w(c, Spent::radiated) + spent_w(c, Spent::ground) + spent_w(c, Spent::metal) + spent_w(c, Spent::antenna);
  CHECK(std::abs(into_antenna - e.power.delivered_w) <= 1e-12 * full);
  const auto shares = load::load_shares(load, band.design_hz);
  CHECK(c.radiated_w.has_value() == shares.has_value());
  if (shares) {
    // The budget is drawn up at the design frequency, the power radiated is the least over the part in use.
    CHECK(std::abs(spent_w(c, Spent::radiated) - e.power.delivered_w * shares->radiated) <= 1e-12 * full);
    CHECK(*c.radiated_w <= spent_w(c, Spent::radiated));
  }
  if (s.transmitter.foldback.empty()) CHECK(spent_w(c, Spent::held_back) == 0.0);

  const match::Bandwidth b =
      match::swr_bandwidth(c.ladder, s.transmitter.source, load, band.design_hz, s.transmitter.swr_limit);
  CHECK(c.bandwidth.low_hz == b.low_hz);
  CHECK(c.bandwidth.high_hz == b.high_hz);

  REQUIRE(c.frequency_hz.size() == c.swr_along_band.size());
  CHECK(c.frequency_hz.front() == band.low_hz);
  CHECK(c.frequency_hz.back() == band.high_hz);
  double worst = 0.0;
  for (std::size_t n = 0; n < c.frequency_hz.size(); ++n) {
    if (c.frequency_hz[n] >= band.use_low_hz && c.frequency_hz[n] <= band.use_high_hz)
      worst = std::max(worst, c.swr_along_band[n]);
  }
  CHECK(c.worst_swr == worst);
}

int check_plan(const station::Station& s, const Plan& plan) {
  int checked = 0;
  REQUIRE(plan.bands.size() == s.bands.size());
  for (std::size_t b = 0; b < s.bands.size(); ++b) {
    REQUIRE(plan.bands[b].arrangements.size() == s.arrangements.size());
    CHECK(plan.bands[b].choice != Choice::not_run);
    CHECK(plan.bands[b].taken.has_value() == (plan.bands[b].choice != Choice::none));
    CHECK_FALSE(plan.bands[b].verdict.empty());
    for (const ArrangementResult& a : plan.bands[b].arrangements) {
      REQUIRE(a.conditions.size() == s.conditions.size());
      CHECK_FALSE(a.why.empty());
      for (std::size_t n = 0; n < s.conditions.size(); ++n) {
        INFO(s.name << ", " << s.bands[b].name << ", " << a.name << ", " << s.conditions[n].name);
        CHECK(a.conditions[n].condition == s.conditions[n].name);
        if (!a.conditions[n].possible) {
          CHECK(std::isinf(a.worst_swr));
          CHECK_FALSE(a.ok);
          continue;
        }
        check_result(s, s.bands[b], s.antennas[0].loads[n].load, a.conditions[n]);
        if (std::isfinite(a.worst_swr)) CHECK(a.conditions[n].counted_db <= a.counted_db);
        CHECK((a.ok || !a.holds_throughout));
        ++checked;
      }
    }
  }
  return checked;
}

/// The one band's result.
BandResult plan_band(const station::Station& s) { return make_plan(s).bands.front(); }

ConditionResult only(const BandResult& band) { return band.arrangements.front().conditions.front(); }

bool contains(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

void check_customary_cautions(const Plan& plan) {
  for (const char* hazard :
       {"RF burn", "exposure", "tune carrier", "touch by others", "overhead lines", "lightning", "local rules"}) {
    INFO(hazard);
    const auto found = std::find_if(plan.cautions.begin(), plan.cautions.end(),
                                    [&](const safety::Caution& c) { return c.hazard == hazard; });
    REQUIRE(found != plan.cautions.end());
    CHECK_FALSE(found->text.empty());
    CHECK_FALSE(found->basis.empty());
  }
}

/// The first caution carries the highest base voltage and names its place.
void check_highest_voltage(const Plan& plan) {
  double highest = 0.0;
  std::string where;
  for (const BandResult& b : plan.bands) {
    for (const ArrangementResult& a : b.arrangements) {
      for (const ConditionResult& c : a.conditions) {
        if (c.load_voltage_high_v_peak > highest)
          highest = c.load_voltage_high_v_peak, where = b.band.name + ", " + c.condition + ", " + a.name;
      }
    }
  }
  REQUIRE(highest > 0.0);
  REQUIRE(plan.cautions.front().hazard == "RF burn");
  CHECK(plan.cautions.front().text.rfind("Up to " + print_quantity(highest, Unit::volt, 3) +
                                             " peak with this transmitter of 5 W at the antenna's terminals: " + where +
                                             ". ",
                                         0) == 0);
}

}  // namespace

TEST_CASE("budgets and figures of the example add up and its cautions carry the highest base voltage") {
  const station::Station s = station::load_station(example);
  const Plan plan = make_plan(s);
  CHECK(check_plan(s, plan) >= 60);
  check_customary_cautions(plan);
  check_highest_voltage(plan);
}

TEST_CASE("budgets and figures of random stations add up and each has the customary cautions") {
  int checked = 0;
  for (unsigned seed = 1; seed <= 20; ++seed) {
    INFO("seed " << seed);
    const station::Station s = random_station(seed);
    const Plan plan = make_plan(s);
    checked += check_plan(s, plan);
    check_customary_cautions(plan);
  }
  CHECK(checked > 100);
}

TEST_CASE("straight into 50 ohm loses nothing and through a cable the cable's loss") {
  station::Station s = bare_station(50.0);
  s.arrangements = {arrangement("straight", station::ArrangementKind::straight)};
  const ConditionResult bare = only(plan_band(s));
  CHECK(std::abs(bare.loss_db) <= 1e-12);
  CHECK(std::abs(bare.swr - 1.0) <= 1e-12);
  CHECK(bare.ladder.elements.empty());
  CHECK(std::abs(bare.load_voltage_v_peak - std::sqrt(2.0 * 5.0 * 50.0)) <= 1e-9);

  s.arrangements[0].cable_before = line("lead", "RG-58", 10.0);
  const ConditionResult lead = only(plan_band(s));
  const network::Chain c = network::line_chain(network::line_constants(s.arrangements[0].cable_before->line, f), 10.0);
  const cdouble v = c.a * 50.0 + c.b, i = c.c * 50.0 + c.d;  // for 1 A into the load
  const double transducer_db = 10.0 * std::log10(std::norm(v + 50.0 * i) / (4.0 * 50.0 * 50.0));
  CHECK(std::abs(lead.loss_db - transducer_db) <= 1e-9);
  CHECK(std::abs(lead.loss_db - 10.0 * network::attenuation_db_per_m(network::cable("RG-58"), f)) <=
        0.01);  // nearly matched
  CHECK(spent_w(lead, Spent::cable) > 0.0);
}

TEST_CASE("power is held back only by a transmitter that folds back") {
  station::Station s = bare_station(150.0);
  s.arrangements = {arrangement("straight", station::ArrangementKind::straight)};
  CHECK(spent_w(only(plan_band(s)), Spent::held_back) == 0.0);
  s.transmitter.foldback = {{2.0, 5.0}, {4.0, 1.0}};
  const ConditionResult c = only(plan_band(s));
  CHECK(std::abs(c.offered_w - 3.0) <= 1e-12);
  CHECK(std::abs(spent_w(c, Spent::held_back) - 2.0) <= 1e-12);
  CHECK(std::abs(spent_w(c, Spent::mismatch) - 0.75) <= 1e-12);
  CHECK(std::abs(spent_w(c, Spent::antenna) - 2.25) <= 1e-12);
}

TEST_CASE("an arrangement that cannot be made says why") {
  station::Station s = bare_station({0.0, -230.0});
  s.arrangements = {arrangement("coil", station::ArrangementKind::base_coil)};
  const BandResult band = plan_band(s);
  const ArrangementResult& a = band.arrangements.front();
  CHECK_FALSE(a.conditions.front().possible);
  CHECK_FALSE(a.ok);
  CHECK(std::isinf(a.worst_swr));
  CHECK(a.why == "no base coil serves here: the antenna has no resistance");
  CHECK(std::isinf(a.against_best.db));  // the best of its band, and nobody hears it
  CHECK(std::isinf(a.against_best.range_db.low));
  CHECK(band.choice == Choice::none);
  CHECK_FALSE(band.taken);
  CHECK(band.verdict == "nothing listed holds on this band. No tuner is listed. coil: no base coil serves here: the "
                        "antenna has no resistance");
}

TEST_CASE("without resistance nothing matches and the reason is not another") {
  station::Station s = bare_station({0.0, -230.0});
  s.arrangements = {arrangement("L", station::ArrangementKind::l_network),
                    arrangement("coil", station::ArrangementKind::base_coil),
                    arrangement("straight", station::ArrangementKind::straight), with_tuner("tuner", 3)};
  const BandResult band = plan_band(s);
  CHECK(band.arrangements[0].why == "no L network matches here: the antenna has no resistance");
  CHECK(band.arrangements[1].why == "no base coil serves here: the antenna has no resistance");
  CHECK(band.choice == Choice::none);
  CHECK_FALSE(contains(band.verdict, "No tuner is listed"));
}

TEST_CASE("an arrangement through which nothing arrives is not taken") {
  station::Station s = bare_station({0.0, -230.0});
  station::Arrangement lossy = with_tuner("tuner", 4);
  lossy.tuner.contact_ohm = 15.0;  // its own resistance makes a fair SWR
  s.arrangements = {lossy};
  s.transmitter.swr_limit = 10.0;
  const BandResult band = plan_band(s);
  REQUIRE(band.arrangements[0].worst_swr < 10.0);
  CHECK_FALSE(band.arrangements[0].ok);
  CHECK(band.arrangements[0].why == "nothing reaches the antenna in \"dry\"");
  CHECK(band.choice == Choice::none);

  set_loads(s, {constant("dry", {50.0, 1e200})});  // overflows: there is no answer to rank
  s.arrangements = {arrangement("straight", station::ArrangementKind::straight)};
  CHECK_THROWS_WITH(plan_band(s), Catch::Matchers::Contains("is not finite: values too large or too small"));
}

TEST_CASE("uncertain Q and ground open a range around the loss") {
  station::Station s = bare_station(50.0);
  set_loads(s, {modelled("whip", {1.0, f, 25e-12, 0.0, 15.0, 0.0, 0.0})});
  s.arrangements = {arrangement("coil", station::ArrangementKind::base_coil), with_tuner("tuner")};
  for (const ArrangementResult& a : plan_band(s).arrangements) {
    CHECK(a.conditions[0].loss_range_db.low == a.conditions[0].loss_db);
    CHECK(a.conditions[0].loss_range_db.high == a.conditions[0].loss_db);
  }
  s.uncertainty.q = 0.2, s.uncertainty.ground = 0.0;
  const BandResult q_only = plan_band(s);
  for (const ArrangementResult& a : q_only.arrangements) {
    INFO(a.name);
    CHECK(a.conditions[0].loss_range_db.low < a.conditions[0].loss_db);
    CHECK(a.conditions[0].loss_range_db.high > a.conditions[0].loss_db);
  }
  // The fixed coil's range by hand.
  const ConditionResult& coil = q_only.arrangements[0].conditions[0];
  const cdouble z = load::load_impedance(s.antennas[0].loads[0].load, f);
  for (const double factor : {0.8, 1.2}) {
    const network::Ladder ladder = plan::detail::corner_ladder(coil.ladder, {factor, 1.0});
    const double loss = network::evaluate(ladder, s.transmitter.source, f, z).loss.transducer_db;
    CHECK(std::abs((factor < 1.0 ? coil.loss_range_db.high : coil.loss_range_db.low) - loss) <= 1e-12);
  }
  s.uncertainty.q = 0.0, s.uncertainty.ground = 0.5;
  for (const ArrangementResult& a : plan_band(s).arrangements) {
    INFO(a.name);
    CHECK(a.conditions[0].loss_range_db.high > a.conditions[0].loss_db);
  }
}

TEST_CASE("the band of Q is the same however the Q of a tuner's coils is stated") {
  station::Station s = bare_station({14.0, -230.0});
  s.uncertainty.q = 0.15, s.uncertainty.ground = 0.0;
  station::Arrangement each = with_tuner("each part");
  each.tuner.inductors.loss.q = network::infinite;
  each.tuner.inductors.losses.assign(8, network::Loss{.q = 120.0});
  s.arrangements = {with_tuner("all alike", 8, 120.0), each};
  const BandResult band = plan_band(s);
  const Range alike = band.arrangements[0].conditions[0].loss_range_db;
  const Range parts = band.arrangements[1].conditions[0].loss_range_db;
  CHECK(alike.high - alike.low > 0.1);
  CHECK(parts.low == alike.low);
  CHECK(parts.high == alike.high);
}

TEST_CASE("the band of Q holds the coils of a tuner's second bank") {
  station::Station s = bare_station({14.0, -230.0});
  s.uncertainty.q = 0.15, s.uncertainty.ground = 0.0;
  station::Arrangement lcl = with_tuner("two banks", 6);
  lcl.tuner.form = tuner::TunerForm::lcl;
  lcl.tuner.load_inductors = lcl.tuner.inductors;
  lcl.tuner.inductors.loss.q = network::infinite;  // only the second bank loses anything
  s.arrangements = {lcl};
  const ConditionResult c = only(plan_band(s));
  CHECK(c.loss_range_db.high > 1.1 * c.worst_loss_db);
  CHECK(c.loss_range_db.low < 0.95 * c.worst_loss_db);
}

TEST_CASE("what holds is tested at the same frequencies as stated and with Q and ground off") {
  // 50 ohm but for a bump between the end and the middle of the part in use; most of it in the ground.
  station::Station s = bare_station(50.0);
  s.bands = {{"band", 7.0e6, 7.2e6, 7.0e6, 7.2e6, 7.1e6}};
  const std::vector<double> at{7.0e6, 7.04e6, 7.05e6, 7.06e6, 7.1e6, 7.2e6};
  s.antennas[0].loads[0].load.model =
      load::make_sampled_load(at, {50.0, 50.0, 95.0, 50.0, 50.0, 50.0},
                              std::vector<load::PowerShares>(at.size(), load::PowerShares{0.1, 0.0, 0.9}));
  s.arrangements = {arrangement("straight", station::ArrangementKind::straight)};
  s.uncertainty.q = 0.0, s.uncertainty.ground = 0.4;
  const ArrangementResult a = plan_band(s).arrangements[0];
  CHECK(a.ok);
  CHECK(std::abs(a.worst_swr - 1.9) <= 1e-9);
  CHECK(std::abs(a.conditions[0].swr_range.high - 1.9 * (1.0 + 0.4 * 0.9)) <= 1e-9);  // 2.584, over the limit 2
  CHECK_FALSE(a.holds_throughout);
}

TEST_CASE("the power radiated is the least over the part in use and the budget stays at the design frequency") {
  station::Station s = bare_station(50.0);
  set_loads(s, {modelled("whip", {1.0, f, 25e-12, 0.0, 15.0, 0.0, 0.0}),
                modelled("wet", {1.0, f, 25e-12, 0.0, 30.0, 0.0, 0.0})});
  s.bands = {{"40 m", 7.0e6, 7.2e6, 7.05e6, 7.15e6, f}};
  s.arrangements = {arrangement("coil", station::ArrangementKind::base_coil)};
  const ArrangementResult a = plan_band(s).arrangements[0];
  double least_of_all = network::infinite;
  for (std::size_t n = 0; n < 2; ++n) {
    const ConditionResult& c = a.conditions[n];
    double least = network::infinite;
    for (const double at : c.frequency_hz) {
      if (at < 7.05e6 || at > 7.15e6) continue;
      const load::Load& load = s.antennas[0].loads[n].load;
      const network::Evaluation e =
          network::evaluate(c.ladder, s.transmitter.source, at, load::load_impedance(load, at));
      least = std::min(least, e.power.delivered_w * load::load_shares(load, at)->radiated);
    }
    REQUIRE(c.radiated_w);
    CHECK(std::abs(*c.radiated_w - least) <= 1e-12 * least);
    CHECK(spent_w(c, Spent::radiated) > 1.03 * least);  // the coil is narrow
    least_of_all = std::min(least_of_all, *c.radiated_w);
  }
  CHECK(a.radiated_w == least_of_all);
  add_load(s, constant("no shares", 20.0));
  CHECK_FALSE(plan_band(s).arrangements[0].radiated_w);
}

TEST_CASE("a plan does not depend on the number of threads") {
  const station::Station s = random_station(7);
  const Plan one = make_plan(s, {}, 1), three = make_plan(s, {}, 3);
  REQUIRE(one.bands.size() == three.bands.size());
  for (std::size_t b = 0; b < one.bands.size(); ++b) {
    CHECK(one.bands[b].verdict == three.bands[b].verdict);
    REQUIRE(one.bands[b].arrangements.size() == three.bands[b].arrangements.size());
    for (std::size_t n = 0; n < one.bands[b].arrangements.size(); ++n) {
      const ArrangementResult &x = one.bands[b].arrangements[n], &y = three.bands[b].arrangements[n];
      CHECK(x.name == y.name);
      CHECK(x.worst_swr == y.worst_swr);
      for (std::size_t c = 0; c < x.conditions.size(); ++c) {
        CHECK(x.conditions[c].loss_range_db.low == y.conditions[c].loss_range_db.low);
        CHECK(x.conditions[c].loss_range_db.high == y.conditions[c].loss_range_db.high);
      }
    }
  }
}

TEST_CASE("a plan of loads that are not solved is refused") {
  station::Station s = bare_station(50.0);
  s.arrangements = {arrangement("straight", station::ArrangementKind::straight)};
  s.antennas[0].loads[0].wires.emplace();
  CHECK_THROWS_WITH(make_plan(s), "the load \"dry\" is stated as wires and must be solved first");
}

TEST_CASE("a clear difference is decided either way") {
  station::Station s = bare_station(50.0);
  s.uncertainty.q = 0.15, s.uncertainty.ground = 0.4;
  s.arrangements = {arrangement("straight", station::ArrangementKind::straight), with_tuner("tuner")};
  BandResult band = plan_band(s);
  CHECK(band.choice == Choice::fixed);
  CHECK(band.taken == std::size_t{0});
  CHECK(band.verdict.rfind("take straight: it loses ", 0) == 0);
  CHECK(contains(band.verdict, "no ear tells it from tuner"));

  set_loads(s, {constant("dry", 100.0)});  // SWR 2: half a decibel lost straight
  s.transmitter.swr_limit = 2.5;
  band = plan_band(s);
  CHECK(band.choice == Choice::fixed);  // no ear hears it, and straight needs no supply
  CHECK(contains(band.verdict, "no ear tells it from tuner, which needs a supply"));
  s.decision.audible_db = 0.1;
  band = plan_band(s);
  CHECK(band.choice == Choice::tuner);
  CHECK(band.taken == std::size_t{1});
  CHECK(band.verdict.rfind("take tuner: it loses ", 0) == 0);
  CHECK(contains(band.verdict, "less than straight"));
}

TEST_CASE("a rank that flips with the coils' Q is undecided") {
  station::Station s = bare_station({14.0, -230.0});
  station::Arrangement coil = arrangement("coil", station::ArrangementKind::base_coil);
  coil.parts.stock.inductor_loss.q = 120.0;
  s.arrangements = {coil, with_tuner("tuner", 8, 120.0)};
  s.decision.audible_db = 0.0;
  s.uncertainty.q = 0.15, s.uncertainty.ground = 0.0;
  const BandResult band = plan_band(s);
  CHECK(band.choice == Choice::undecided);
  CHECK(band.taken == std::size_t{0});
  CHECK(band.verdict.rfind("undecided between coil and tuner: ", 0) == 0);
  REQUIRE(band.measures.size() == 2);
  CHECK(contains(band.verdict, ". Measure " + band.measures[0].what + ", then " + band.measures[1].what));
  s.arrangements[0].parts.stock.inductor_loss.q = 400.0;
  CHECK(plan_band(s).choice == Choice::fixed);
}

TEST_CASE("a rank that holds as stated and flips on both sides of the ground is undecided") {
  // 50 ohm as stated, of which 45 in the ground: straight loses nothing. With the ground off either way it is
  // mismatched, and the tuner with its small loss is the better.
  station::Station s = bare_station(50.0);
  const double inductance_h = 1e-6, w = two_pi * f;
  set_loads(s, {modelled("whip", {5.0, f, 1.0 / (w * w * inductance_h), inductance_h, 45.0, 0.0, 0.0})});
  s.arrangements = {arrangement("straight", station::ArrangementKind::straight), with_tuner("tuner")};
  s.uncertainty.q = 0.0, s.uncertainty.ground = 0.8;
  s.decision.audible_db = 0.0;
  s.transmitter.swr_limit = 5.0;
  const BandResult band = plan_band(s);
  const ConditionResult& straight = band.arrangements[0].conditions[0];
  const ConditionResult& tuned = band.arrangements[1].conditions[0];
  REQUIRE(straight.loss_db < tuned.loss_db);
  REQUIRE(straight.loss_range_db.high > tuned.loss_range_db.high);
  CHECK(band.choice == Choice::undecided);
}

TEST_CASE("with one kind of arrangement the other is not listed") {
  station::Station s = bare_station({14.0, -230.0});
  s.arrangements = {with_tuner("tuner")};
  BandResult band = plan_band(s);
  CHECK(band.choice == Choice::tuner);
  CHECK(band.taken == std::size_t{0});
  CHECK(contains(band.verdict, "No fixed match is listed"));
  s.arrangements = {arrangement("coil", station::ArrangementKind::base_coil)};
  band = plan_band(s);
  CHECK(band.choice == Choice::fixed);
  CHECK(contains(band.verdict, "No tuner is listed"));
}

TEST_CASE("when nothing holds the verdict gives the reason of both kinds") {
  station::Station s = bare_station({14.0, -2300.0});
  s.arrangements = {arrangement("straight", station::ArrangementKind::straight), with_tuner("tuner", 3)};
  const BandResult band = plan_band(s);
  CHECK(band.choice == Choice::none);
  CHECK_FALSE(band.taken);
  CHECK(contains(band.verdict, "nothing listed holds on this band. tuner: SWR "));
  CHECK(contains(band.verdict, ". straight: SWR over 100 in \"dry\" is over the limit 2"));
}

TEST_CASE("a rating just below the stress breaks the arrangement and just above does not") {
  station::Station s = bare_station({14.0, -230.0});
  add_load(s, constant("wet", {16.0, -228.0}));
  s.transmitter.swr_limit = 5.0;
  station::Arrangement coil = arrangement("coil", station::ArrangementKind::base_coil);
  s.arrangements = {coil};
  double volts = 0.0;
  std::string where;
  const BandResult unrated = plan_band(s);
  for (const ConditionResult& c : unrated.arrangements[0].conditions) {
    const double v = c.evaluation.elements[1].voltage_v_peak;
    if (v > volts) volts = v, where = c.condition;
  }
  s.arrangements[0].parts.inductor_rating.voltage_v_peak = volts * (1.0 + 1e-9);
  CHECK(plan_band(s).arrangements[0].ok);
  s.arrangements[0].parts.inductor_rating.voltage_v_peak = volts * (1.0 - 1e-9);
  const BandResult band = plan_band(s);
  CHECK_FALSE(band.arrangements[0].ok);
  const std::string shown = print_quantity(volts, Unit::volt);
  CHECK(band.arrangements[0].why == "a rating is broken in \"" + where + "\": L2: " + shown + " peak, rated " + shown);
  CHECK(band.choice == Choice::none);
  s.arrangements[0].parts.inductor_rating.voltage_v_peak = 0.5 * volts;
  const std::vector<network::Overload> broken =
      plan_band(s).arrangements[0].conditions[where == "dry" ? 0 : 1].overloads;
  REQUIRE(broken.size() == 1);
  CHECK(std::abs(broken[0].factor - 2.0) <= 1e-9);
}

TEST_CASE("only the part in use decides") {
  station::Station s = bare_station(50.0);
  set_loads(s, {modelled("whip", {1.0, f, 25e-12, 0.0, 15.0, 0.0, 0.0})});
  s.bands = {{"40 m", 6.8e6, 7.4e6, 7.09e6, 7.11e6, f}};
  station::Arrangement coil = arrangement("coil", station::ArrangementKind::base_coil);
  coil.parts.stock.inductor_loss.q = 300.0;
  s.arrangements = {coil};
  BandResult band = plan_band(s);
  const ConditionResult narrow = only(band);
  CHECK(band.arrangements[0].ok);
  CHECK(*std::max_element(narrow.swr_along_band.begin(), narrow.swr_along_band.end()) > 2.0);
  CHECK(narrow.bandwidth.low_hz > 6.8e6);
  CHECK(narrow.bandwidth.high_hz < 7.4e6);
  for (const double edge : {narrow.bandwidth.low_hz, narrow.bandwidth.high_hz}) {
    CHECK(std::abs(network::evaluate(narrow.ladder, s.transmitter.source, edge,
                                     load::load_impedance(s.antennas[0].loads[0].load, edge))
                       .swr -
                   2.0) <= 1e-6);
  }
  s.bands[0].use_low_hz = 6.8e6;
  band = plan_band(s);
  CHECK_FALSE(band.arrangements[0].ok);
  CHECK(contains(band.arrangements[0].why, "is over the limit 2"));
}

TEST_CASE("cautions follow the station") {
  station::Station s = bare_station(50.0);
  s.arrangements = {arrangement("straight", station::ArrangementKind::straight)};
  const auto text = [&](const std::string& hazard) {
    std::string found;
    for (const safety::Caution& c : make_plan(s).cautions) {
      if (c.hazard == hazard) found = c.text;
    }
    return found;
  };
  CHECK_FALSE(contains(text("tune carrier"), "Lock the tuner"));
  CHECK_FALSE(text("falls and wind").empty());
  CHECK(contains(text("exposure"), "6.7 m at 7.1 MHz"));  // wavelength/(2 pi)
  s.whip_on_body = false;
  s.arrangements.push_back(with_tuner("tuner", 2));
  CHECK(contains(text("tune carrier"), "Lock the tuner"));
  CHECK(text("falls and wind").empty());
}

TEST_CASE("a budget has every share of its load at its own place, and the places their names") {
  // 5 W into a load that is the transmitter's resistance, of which 0.1, 0.2, 0.3, 0.15 and 0.25 are shares (invented).
  station::Station s = test::bare_station(50.0);
  const load::PowerShares shares{0.1, 0.2, 0.3, 0.15, 0.25};  // radiated, metal, ground, person, lumps
  test::set_loads(s, {{"dry",
                       "samples",
                       load::make_sampled_load({0.98 * f, f, 1.02 * f}, {50.0, 50.0, 50.0}, {shares, shares, shares}),
                       {}}});
  s.arrangements = {test::arrangement("nothing", station::ArrangementKind::straight)};
  const ConditionResult c = make_plan(s).bands[0].arrangements[0].conditions[0];
  const std::vector<std::pair<Spent, double>> expected{
      {Spent::radiated, 0.5}, {Spent::ground, 1.5},   {Spent::metal, 1.0},    {Spent::person, 0.75},
      {Spent::lumps, 1.25},   {Spent::mismatch, 0.0}, {Spent::held_back, 0.0}};
  REQUIRE(c.budget.size() == expected.size());
  for (std::size_t n = 0; n < expected.size(); ++n) {
    INFO(spent_name(expected[n].first));
    CHECK(c.budget[n].spent == expected[n].first);
    CHECK(std::abs(c.budget[n].power_w - expected[n].second) <= 1e-9);
  }
  // At 100 ohm SWR 2 and (1/3)^2 of it comes back; folded back to 3 W, 2 W are held back and 1/3 W is not accepted.
  test::set_loads(s, {test::constant("dry", 100.0)});
  s.transmitter.swr_limit = 3.0;
  s.transmitter.foldback = {{1.5, 5.0}, {2.0, 3.0}};
  const ConditionResult back = make_plan(s).bands[0].arrangements[0].conditions[0];
  REQUIRE(back.budget.size() == 3);
  CHECK(back.budget[0].spent == Spent::antenna);
  CHECK(back.budget[0].power_w == Approx(3.0 * 8.0 / 9.0).epsilon(1e-9));
  CHECK(back.budget[1].power_w == Approx(3.0 / 9.0).epsilon(1e-9));
  CHECK(back.budget[2].power_w == Approx(2.0).epsilon(1e-9));
  const std::vector<std::pair<Spent, const char*>> names{{Spent::radiated, "radiated"},
                                                         {Spent::ground, "ground"},
                                                         {Spent::metal, "whip and wire"},
                                                         {Spent::person, "person"},
                                                         {Spent::lumps, "chokes and wet base"},
                                                         {Spent::antenna, "antenna, radiated and lost"},
                                                         {Spent::match, "match"},
                                                         {Spent::cable, "cable"},
                                                         {Spent::mismatch, "not accepted"},
                                                         {Spent::held_back, "held back"}};
  for (const auto& [spent, name] : names) CHECK(spent_name(spent) == name);
}

TEST_CASE("the cautions of a plan are of its power, its lowest frequency in use and its highest voltage") {
  // In an accident too: at a quarter of the resistance more current goes into the same reactance.
  station::Station s = test::bare_station({20.0, -300.0});
  test::add_load(s, test::constant("torn off", {5.0, -300.0}));
  s.conditions[1].role = station::Role::accident;
  s.bands = {{"40 m", 7.0e6, 7.2e6, 7.05e6, 7.15e6, 7.1e6}};
  s.arrangements = {test::arrangement("coil", station::ArrangementKind::base_coil)};
  const Plan plan = make_plan(s);
  const std::vector<ConditionResult>& of = plan.bands[0].arrangements[0].conditions;
  const double highest = std::max(of[0].load_voltage_high_v_peak, of[1].load_voltage_high_v_peak);
  REQUIRE(of[1].load_voltage_high_v_peak > of[0].load_voltage_high_v_peak);
  const auto text = [&](const std::string& hazard) {
    for (const safety::Caution& c : plan.cautions) {
      if (c.hazard == hazard) return c.text;
    }
    return std::string();
  };
  CHECK(text("RF burn").find("Up to " + print_quantity(highest, Unit::volt, 3) +
                             " peak with this transmitter of 5 W at the antenna's terminals: 40 m, torn off, coil. ") ==
        0);
  // 0.08 W/kg and 5 W: 62.5 kg. 2.99792e8/(2 pi 7.05e6) = 6.768 m.
  CHECK(text("exposure").find("5 W cannot heat a whole body above 0.08 W/kg when it has more than 62.5 kg") !=
        std::string::npos);
  CHECK(text("exposure").find("about 6.8 m at 7.05 MHz") != std::string::npos);
}

TEST_CASE("progress is told band by band") {
  station::Station s = bare_station(50.0);
  s.bands.push_back(one_frequency(14.1e6));
  s.bands[1].name = "other";
  s.arrangements = {arrangement("straight", station::ArrangementKind::straight)};
  std::vector<std::string> told;
  make_plan(
      s, [&](const std::string& line_of_text) { told.push_back(line_of_text); }, 1);
  CHECK(told == std::vector<std::string>{"band: straight, 1 conditions", "other: straight, 1 conditions"});
}

TEST_CASE("an S unit is 6 dB") {
  CHECK(s_units(6.0) == 1.0);
  CHECK(s_units(-3.0) == -0.5);
}

TEST_CASE("a whole case by hand in long double") {
  // Cable as a chain matrix, coil with self-capacitance as r + jX, capacitor across: walked from the load.
  using real = long double;
  using complex = std::complex<real>;
  station::Station s = bare_station({14.0, -230.0});
  s.transmitter.foldback = {{1.01, 5.0}, {1.2, 2.0}, {3.0, 1.0}};
  station::Arrangement a = arrangement("coil", station::ArrangementKind::base_coil);
  a.parts.stock.inductor_loss = {200.0, 7e6, 0.05, 0.0};
  a.parts.stock.inductor_self_capacitance_f = 1.5e-12;
  a.parts.stock.capacitor_loss = {1000.0, 0.0, 0.01, 0.0};
  a.settings = {
      {"band",
       "",
       {{"C1", network::Place::shunt, network::Capacitor{680e-12, a.parts.stock.capacitor_loss}, {}},
        {"L2", network::Place::series, network::Inductor{5.555e-6, a.parts.stock.inductor_loss, 1.5e-12}, {}}}}};
  a.cable_before = line("lead", "RG-58", 3.0);
  s.arrangements = {a};
  const ConditionResult c = only(plan_band(s));
  REQUIRE(c.ladder.elements.size() == 3);
  REQUIRE(std::holds_alternative<network::Capacitor>(c.ladder.elements[1].part));
  REQUIRE(std::holds_alternative<network::Inductor>(c.ladder.elements[2].part));
  const real henry = static_cast<real>(network::value_si(c.ladder.elements[2].part)),
             farad = static_cast<real>(network::value_si(c.ladder.elements[1].part));

  const real pi_l = 3.141592653589793238462643383279502884L, w = 2.0L * pi_l * 7.1e6L;
  const complex j{0.0L, 1.0L}, z_load{14.0L, -230.0L};
  const real q = 200.0L * std::sqrt(7.1e6L / 7.0e6L);
  const complex winding = w * henry / q + 0.05L + j * w * henry;
  const complex coil = winding / (1.0L + j * w * 1.5e-12L * winding);
  const complex capacitor = 1.0L / (w * farad) / 1000.0L + 0.01L - j / (w * farad);
  const network::Cable& rg58 = network::cable("RG-58");
  const real neper = 20.0L / std::log(10.0L), mhz = 7.1L;
  const auto wide = [](double x) { return static_cast<real>(x); };
  const real ac = wide(rg58.k1_db_per_m_at_1mhz) * std::sqrt(mhz) / neper,
             ad = wide(rg58.k2_db_per_m_at_1mhz) * mhz / neper;
  const real beta = w / (static_cast<real>(rg58.velocity_factor) * 299792458.0L);
  const complex gamma{ac + ad, beta + ac}, z0 = gamma / (complex{2.0L * ad, beta} / static_cast<real>(rg58.z0_ohm));

  complex v = z_load, i = 1.0L;  // for 1 A into the antenna
  const complex i_coil = i;
  v += coil * i;
  const complex v_capacitor = v;
  i += v / capacitor;
  const real into_cable_end = std::real(v * std::conj(i));
  const complex gl = gamma * 3.0L;
  const complex v1 = std::cosh(gl) * v + z0 * std::sinh(gl) * i, i1 = std::sinh(gl) / z0 * v + std::cosh(gl) * i;
  const complex z_in = v1 / i1;
  const real magnitude = std::abs((z_in - 50.0L) / (z_in + 50.0L)), swr = (1.0L + magnitude) / (1.0L - magnitude);
  REQUIRE(swr > 1.01L);  // the stated values leave some mismatch
  REQUIRE(swr < 1.2L);
  const real offered = 5.0L - 3.0L * (swr - 1.01L) / (1.2L - 1.01L);
  const real scale = 4.0L * 50.0L * offered / std::norm(v1 + 50.0L * i1);  // |true current / assumed current|^2
  const real delivered = 14.0L * scale;

  const auto near = [](double got, real expected) {
    return std::abs(static_cast<real>(got) - expected) <= 1e-9L * std::abs(expected);
  };
  CHECK(near(c.swr, swr));
  CHECK(near(c.offered_w, offered));
  CHECK(near(c.evaluation.power.delivered_w, delivered));
  CHECK(near(c.loss_db, 10.0L * std::log10(5.0L / delivered)));
  CHECK(near(c.load_voltage_v_peak, std::sqrt(2.0L * scale) * std::abs(z_load)));
  CHECK(near(spent_w(c, Spent::held_back), 5.0L - offered));
  CHECK(near(spent_w(c, Spent::cable), (std::real(v1 * std::conj(i1)) - into_cable_end) * scale));
  CHECK(near(spent_w(c, Spent::match), (into_cable_end - 14.0L) * scale));
  CHECK(near(spent_w(c, Spent::antenna), delivered));
  CHECK(std::abs(spent_w(c, Spent::mismatch) - static_cast<double>(offered - std::real(v1 * std::conj(i1)) * scale)) <=
        1e-12);
  CHECK(near(c.evaluation.elements[2].voltage_v_peak, std::sqrt(2.0L * scale) * std::abs(coil * i_coil)));
  CHECK(near(c.evaluation.elements[1].voltage_v_peak, std::sqrt(2.0L * scale) * std::abs(v_capacitor)));
}

TEST_CASE("what holds only as stated is not decided") {
  // A straight connection to a whip model whose SWR is just inside the limit: 26 ohm, of which 25.9 are ground. With
  // the ground 40 % lower the SWR is 50/15.6 = 3.2.
  station::Station s = bare_station(50.0);
  load::WhipModel whip;
  whip.radiation_ohm = 0.1;
  whip.radiation_at_hz = 7.1e6;
  whip.ground_ohm = 25.9;
  whip.capacitance_f = 100e-12;
  whip.inductance_h = 1.0 / (std::pow(2.0 * 3.14159265358979323846 * 7.1e6, 2) * 100e-12);  // resonant
  set_loads(s, {modelled("dry", whip)});
  s.uncertainty.q = 0.15, s.uncertainty.ground = 0.4;
  s.arrangements = {arrangement("straight", station::ArrangementKind::straight)};
  const BandResult band = plan_band(s);
  REQUIRE(band.arrangements[0].ok);
  CHECK_FALSE(band.arrangements[0].holds_throughout);
  CHECK(std::abs(band.arrangements[0].conditions[0].swr_range.high - 50.0 / (0.1 + 0.6 * 25.9)) <= 1e-6);
  CHECK(band.choice == Choice::undecided);
  CHECK(contains(band.verdict, "only as stated"));
  s.uncertainty.q = 0.15, s.uncertainty.ground = 0.01;
  const BandResult sure = plan_band(s);
  CHECK(sure.arrangements[0].holds_throughout);
  CHECK(sure.choice == Choice::fixed);
}

TEST_CASE("a rating that only a corner breaks leaves the band undecided") {
  station::Station s = bare_station({10.0, -400.0});
  station::Arrangement coil = arrangement("coil", station::ArrangementKind::l_network);
  s.arrangements = {coil};
  s.uncertainty.q = 0.3, s.uncertainty.ground = 0.0;
  const ConditionResult free = only(plan_band(s));
  double coil_w = 0.0;
  for (std::size_t n = 0; n < free.ladder.elements.size(); ++n) {
    if (std::holds_alternative<network::Inductor>(free.ladder.elements[n].part))
      coil_w = std::max(coil_w, free.evaluation.elements[n].dissipation_w);
  }
  s.arrangements[0].parts.inductor_rating.dissipation_w = 1.05 * coil_w;  // a Q 30 % lower heats it by more
  const BandResult band = plan_band(s);
  CHECK(band.arrangements[0].ok);
  CHECK_FALSE(band.arrangements[0].holds_throughout);
  CHECK(contains(band.arrangements[0].why, "a rating is broken"));
  CHECK(band.choice == Choice::undecided);
}

TEST_CASE("a band of which the parts are out of order is refused with its name and what would be legal") {
  station::Station s = bare_station(50.0);
  s.arrangements = {arrangement("straight", station::ArrangementKind::straight)};
  const auto refused = [&](const station::Band& band, const std::string& message) {
    s.bands = {band};
    CHECK_THROWS_AS(make_plan(s), DomainError);
    CHECK_THROWS_WITH(make_plan(s), message);
    CHECK_THROWS_AS(plan_as_stated(s), DomainError);
  };
  refused({"40 m", 7.0e6, 7.2e6, 6.9e6, 7.1e6, 7.05e6},
          "the band \"40 m\": the part in use begins at 6.9 MHz; legal: 7 MHz to 7.2 MHz");
  refused({"40 m", 7.0e6, 7.2e6, 7.1e6, 7.05e6, 7.1e6},
          "the band \"40 m\": the part in use ends at 7.05 MHz; legal: 7.1 MHz to 7.2 MHz");
  refused({"40 m", 7.0e6, 7.2e6, 7.0e6, 7.3e6, 7.1e6},
          "the band \"40 m\": the part in use ends at 7.3 MHz; legal: 7 MHz to 7.2 MHz");
  refused({"40 m", 7.0e6, 7.2e6, 7.05e6, 7.1e6, 7.15e6},
          "the band \"40 m\": the design frequency 7.15 MHz; legal: 7.05 MHz to 7.1 MHz");
}

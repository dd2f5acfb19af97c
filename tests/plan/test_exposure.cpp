// Fields at people in a plan: every band and arrangement, with the power that it delivers.
#include <catch2/catch.hpp>
#include <cmath>

#include <algorithm>
#include <map>
#include <string>

#include <stile/base/errors.hpp>
#include <stile/plan/antenna_wind.hpp>
#include <stile/plan/coil_prescription.hpp>
#include <stile/plan/exposure.hpp>
#include <stile/station/solve_loads.hpp>

using namespace stile;
using namespace stile::plan;

namespace {

const std::string folder = std::string(STILE_TEST_DATA) + "/../../examples/moor";

station::Station whip_station(const std::string& more = "", const std::string& power = "5 W") {
  return station::solve_loads(station::read_station("[station]\nname = \"one band\"\n[transmitter]\npower = \"" +
                                                        power +
                                                        "\"\n[[band]]\nname = \"40 m\"\nlow = \"7.09 "
                                                        "MHz\"\nhigh = "
                                                        "\"7.11 MHz\"\n[parts]\ninductor_q = 250\ncapacitor_q = "
                                                        "1000\n[[arrangement]]\nname = \"coil\"\nkind = \"base "
                                                        "coil\"\n"
                                                        "trim = \"each condition\"\n[[arrangement]]\nname = "
                                                        "\"nothing\"\nkind = \"straight\"\n[[load]]\ncondition = \"on "
                                                        "heather\"\nwires = \"whip.toml\"\nwires_condition = \"on "
                                                        "heather\"\n[[load]]\ncondition = \"lifted\"\nwires = "
                                                        "\"whip.toml\"\nwires_condition = \"lifted\"\n" +
                                                        more,
                                                    "one-band.toml", folder));
}

/// Reading this text ends with a message that has the part.
template <class Refusal, class Read>
void refused(const Read& read, const std::string& text, const std::string& part) {
  try {
    read(text);
    FAIL_CHECK("taken: " << text);
  } catch (const Refusal& error) {
    INFO(error.what());
    CHECK(std::string(error.what()).find(part) != std::string::npos);
  }
}

/// How many times the voltage of the first turns, which carry the current, stands along all turns of a coil at 2 mm, by
/// the flux they share: 1 + M/L_tap, with 2 M = L_all - L_tap - L_rest and L by Wheeler's formula (Proc. IRE 16, 1928,
/// p. 1398), mu0 pi r^2 N^2/(l + 0.9 r) to 1 %, of which the factor mu0 pi r^2 cancels. What the open turns'
/// capacitance adds is not in it.
double by_flux(double radius_m, double turns, double tap) {
  const auto wheeler = [&](double n) { return n * n / (2e-3 * n + 0.9 * radius_m); };
  return 1.0 + (wheeler(turns) - wheeler(tap) - wheeler(turns - tap)) / (2.0 * wheeler(tap));
}

/// By how much at most the capacitance of the open turns raises that further, in the coils here: it resonates above the
/// band with what is left of their inductance beside the turns in use, L = L_rest - M^2/L_tap, and 1/(1 - w^2 L C) is,
/// with Medhurst's 0.46 pF a centimetre of diameter (Wireless Engineer 24, 1947, as examples/book/coil.md quotes
/// it), 1.21 for the autotransformer's 31 uH and 2.8 pF and 1.08 for the base coil's 19 uH and 1.9 pF. 1.3 is that of a
/// third more capacitance: his is of a coil without turns in use.
constexpr double most_by_capacitance = 1.3;

}  // namespace

TEST_CASE("exposure of each arrangement follows the power that it delivers, the worst condition named") {
  const station::Station station = whip_station();
  const Plan plan = make_plan(station);
  REQUIRE(plan.exposures.size() == 2);
  for (std::size_t n = 0; n < 2; ++n) {
    const safety::UseExposure& u = plan.exposures[n];
    const ArrangementResult& a = plan.bands[0].arrangements[n];
    CHECK(u.band == "40 m");
    CHECK(u.arrangement == a.name);
    CHECK(u.rows.size() > 100);
    CHECK(u.verdicts.size() == 10);
    for (const safety::ExposureRow& r : u.rows) {
      const auto condition = std::find_if(a.conditions.begin(), a.conditions.end(),
                                          [&](const ConditionResult& c) { return c.condition == r.condition; });
      REQUIRE(condition != a.conditions.end());
      CHECK(r.power_w == condition->evaluation.power.delivered_w);
    }
  }
  // Without a match a thousandth of the power gets in, and its field falls with the root.
  const auto head = [&](std::size_t n) {
    for (const safety::ExposureRow& r : plan.exposures[n].rows) {
      if (r.field.where == "head" && r.level.standard == "ICNIRP 2020" && r.level.group == "general public" &&
          r.level.scope == "not averaged")
        return r;
    }
    throw Error("no head");
  };
  const safety::ExposureRow coil = head(0), nothing = head(1);
  CHECK(coil.field.e_v_m > 10.0 * nothing.field.e_v_m);
  // The caution carries the verdict on what is taken.
  const auto caution = std::find_if(plan.cautions.begin(), plan.cautions.end(),
                                    [](const safety::Caution& c) { return c.hazard == "exposure"; });
  REQUIRE(caution != plan.cautions.end());
  if (plan.bands[0].taken) CHECK(caution->text.find("Computed for this antenna: ") != std::string::npos);
  Plan other;
  other.bands.emplace_back();
  CHECK_THROWS_AS(plan_exposures(station, other), DomainError);
}

TEST_CASE("what a tuner is stated to tune counts in the exposure of its arrangement") {
  const std::string tuner =
      "[tuner]\nname = \"T1\"\nform = \"L\"\n[tuner.inductors]\nvalues = [\"4 uH\", \"8 uH\", \"16 "
      "uH\"]\n[tuner.capacitors]\n"
      "values = [\"100 pF\", \"200 pF\"]\n[[arrangement]]\nname = \"tuner\"\nkind = \"tuner\"\nsupply = { hold = \"0.1 "
      "A\", "
      "tune = \"0.2 A\", tune_time = \"6 s\", tunes_an_hour = 12 }\n[mode]\nname = \"SSB\"\ntalk = 0.2\n";
  const auto duties = [&](const std::string& mode) {
    std::map<std::string, safety::Duty> all;
    for (const safety::UseExposure& u : make_plan(whip_station(tuner + mode)).exposures) all[u.arrangement] = u.duty;
    return all;
  };
  const auto of = duties("tune = \"10 s\"\n");
  CHECK(of.at("coil").mode == "SSB");
  CHECK(of.at("coil").tune_s == 10.0);
  CHECK(of.at("coil").tuner_s == 0.0);
  CHECK(of.at("tuner").tune_s == 10.0);
  CHECK(of.at("tuner").tuner_s == 6.0);
  CHECK(of.at("tuner").tuner_every_s == 300.0);
}

TEST_CASE("what goes into a body and what is touched stand there for every arrangement and condition") {
  const auto read = [](const std::string& more) {
    return station::read_station(
        "[station]\nname = \"carried\"\n[transmitter]\npower = \"5 W\"\n[[band]]\nname = \"40 m\"\nlow = \"7.09 "
        "MHz\"\nhigh = \"7.11 MHz\"\n[parts]\ninductor_q = 250\ncapacitor_q = 1000\n[[arrangement]]\nname = "
        "\"coil\"\nkind = \"base coil\"\ntrim = \"each condition\"\n[[arrangement]]\nname = \"nothing\"\nkind = "
        "\"straight\"\n[[load]]\ncondition = \"on heather\"\nwires = \"carried.toml\"\nwires_condition = \"on "
        "heather\"\n[[load]]\ncondition = \"hand on the set\"\nwires = \"carried.toml\"\nwires_condition = \"hand on "
        "the set\"\n" +
            more,
        "carried-station.toml", folder);
  };
  const station::Station station =
      station::solve_loads(read("[body]\nmass = \"60 kg\"\nhand = \"500 ohm\"\naltitude = \"2000 m\"\n"));
  CHECK(station.exposure.body.mass_kg == 60.0);
  CHECK(station.exposure.body.hand_ohm == 500.0);
  CHECK(station.exposure.body.altitude_m == 2000.0);
  const Plan plan = make_plan(station);
  REQUIRE(plan.exposures.size() == 2);
  for (std::size_t n = 0; n < 2; ++n) {
    const safety::UseExposure& u = plan.exposures[n];
    const ArrangementResult& a = plan.bands[0].arrangements[n];
    INFO(u.arrangement);
    REQUIRE(u.conditions.size() == 2);
    for (std::size_t c = 0; c < 2; ++c) {
      const safety::UseCondition& in = u.conditions[c];
      const ConditionResult& r = a.conditions[c];
      CHECK(in.body.condition == r.condition);
      CHECK(in.body.in_model);
      CHECK(in.body.contact == (r.condition == "hand on the set"));
      CHECK(in.body.limbs.size() == (in.body.contact ? 3 : 2));
      CHECK(in.body.power_w == r.evaluation.power.delivered_w);
      CHECK(in.body.whole_body_w_kg == Approx(in.body.person_w / 60.0));
      // What the budget says of the person at the design frequency.
      double person_w = 0.0;
      for (const BudgetItem& item : r.budget) person_w += item.spent == Spent::person ? item.power_w : 0.0;
      CHECK(in.body.person_w == Approx(person_w).epsilon(0.03));
      CHECK(in.contacts.hand_ohm == 500.0);
      CHECK(in.contacts.places.size() >= 2);
      // The base's voltage of the plan is the worst over the part in use.
      CHECK(in.contacts.terminal_v_peak == Approx(r.load_voltage_v_peak).epsilon(0.1));
      CHECK(!in.tips.empty());
      CHECK((in.coil_v_peak > 0.0) == (u.arrangement == "coil"));
    }
    CHECK(u.conditions[1].body.person_w > 5.0 * u.conditions[0].body.person_w);
    bool hand = false, touched = false;
    for (const safety::BodyRow& r : u.body_rows) {
      hand = hand || (r.where == "hand and wrist" && r.scope == "10 g" && r.condition == "hand on the set");
      touched = touched || r.open_v_rms.has_value();
      CHECK(!r.condition.empty());
      CHECK(!r.scope.empty());
    }
    CHECK(hand);
    CHECK(touched);
  }
  const std::vector<std::string> findings = taken_findings(plan);
  if (plan.bands[0].taken) {
    REQUIRE(findings.size() == 1);
    CHECK(findings[0].find(" public level of ") != std::string::npos);
    const bool of_body = findings[0].find("; touching ") != std::string::npos ||
                         findings[0].find("; hand and wrist") != std::string::npos;
    CHECK(of_body);
  }
  refused<Error>(read, "[body]\nmass = \"5 kg\"\n", "10 kg to 300 kg");
  refused<Error>(read, "[body]\nhand = \"-1 ohm\"\n", "hand");
  refused<Error>(read, "[body]\naltitude = \"20 km\"\n", "-500 m to 11 km");
  refused<Error>(read, "[body]\nheight = \"1.8 m\"\n", "altitude");
  CHECK(read("[body]\naltitude = \"10 km\"\n").exposure.body.altitude_m == 10e3);
}

TEST_CASE(
    "the ends of a hand's contact, and two between, are conditions of their own, none less than that contact alone") {
  const auto of = [](const std::string& resistance) {
    const station::Station station = station::solve_loads(station::read_station(
        R"([station]
name = "bench"
[transmitter]
power = "5 W"
[[band]]
name = "40 m"
low = "7.09 MHz"
high = "7.11 MHz"
[parts]
inductor_q = 250
capacitor_q = 1000
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
[[arrangement]]
name = "coil"
kind = "base coil"
trim = "each condition"
)",
        "bench.toml", folder));
    return make_plan(station).exposures;
  };
  const auto hand_a = [](const safety::UseCondition& c) {
    for (const safety::LimbCurrent& l : c.body.limbs) {
      if (l.where == "hand and wrist") return l.current_a_rms;
    }
    throw Error("no hand");
  };
  const std::vector<safety::UseExposure> range = of("[\"1 ohm\", \"1 kohm\"]"), least = of("\"1 ohm\""),
                                         most = of("\"1 kohm\""), between = of("\"707.4602462329598 ohm\"");
  REQUIRE(range.size() == 2);
  for (std::size_t n = 0; n < 2; ++n) {
    INFO(range[n].arrangement);
    REQUIRE(range[n].conditions.size() == 5);
    // The middle is 500.5 ohm, those between 22.4 and 707 ohm.
    CHECK(range[n].conditions[3].body.condition == "hand, 22.4 ohm of hand and arm");
    CHECK(range[n].conditions[4].body.condition == "hand, 707 ohm of hand and arm");
    const safety::BodyExposure &found = range[n].conditions[4].body, &alone = between[n].conditions[0].body;
    CHECK(found.power_w >= alone.power_w * (1.0 - 1e-6));
    if (range[n].arrangement == "straight") {
      CHECK(found.power_w == Approx(alone.power_w).epsilon(1e-6));
      CHECK(found.person_w == Approx(alone.person_w).epsilon(1e-6));
      CHECK(hand_a(range[n].conditions[4]) == Approx(hand_a(between[n].conditions[0])).epsilon(1e-6));
    }
    CHECK(range[n].conditions[0].body.condition == "hand");
    CHECK(range[n].conditions[1].body.condition == "hand, 1 ohm of hand and arm");
    CHECK(range[n].conditions[2].body.condition == "hand, 1 kohm of hand and arm");
    const safety::UseCondition &at_least = range[n].conditions[1], &at_most = range[n].conditions[2];
    const bool as_set = range[n].arrangement == "straight";  // otherwise it may be set anew: the full power counts
    CHECK(at_least.body.power_w >= least[n].conditions[0].body.power_w * (1.0 - 1e-9));
    CHECK(at_most.body.power_w >= most[n].conditions[0].body.power_w * (1.0 - 1e-9));
    if (!as_set) CHECK(at_least.body.power_w == 5.0);
    if (as_set) CHECK(at_least.body.power_w == Approx(least[n].conditions[0].body.power_w));
    CHECK(hand_a(at_least) >= hand_a(least[n].conditions[0]) * (1.0 - 1e-9));
    CHECK(hand_a(at_most) >= hand_a(most[n].conditions[0]) * (1.0 - 1e-9));
    CHECK(hand_a(at_least) > 2.0 * hand_a(range[n].conditions[0]));
    // What is shown is the worst of them, with its contact named.
    for (const safety::BodyRow& r : range[n].body_rows) {
      if (r.where == "hand and wrist" && r.scope == "10 g") CHECK(r.condition == "hand, 1 ohm of hand and arm");
    }
  }
  CHECK(range[1].conditions[1].coil_v_peak > 0.9 * least[1].conditions[0].coil_v_peak);
}

TEST_CASE("between tap and ground of an autotransformer stands no less than across the antenna's terminals") {
  for (const bool open : {true, false}) {
    const station::Station station = whip_station(
        std::string("[coil.loading]\nformer = \"60 mm\"\nwire = \"1 mm\"\npitch = \"2 mm\"\nturns = 44\n") +
        (open ? "" : "unused = \"shorted\"\n") +
        "[[arrangement]]\nname = \"fed\"\nkind = \"autotransformer\"\ncoil = \"loading\"\ntrim = \"each condition\"\n");
    const Plan plan = make_plan(station);
    REQUIRE(plan.exposures.size() == 3);
    const safety::UseExposure& u = plan.exposures[2];
    const ArrangementResult& a = plan.bands[0].arrangements[2];
    const CoilPrescription coil = coil_prescription(station, plan, "loading", "fed", {}, {});
    REQUIRE(u.conditions.size() == 2);
    for (std::size_t c = 0; c < 2; ++c) {
      const Setting& set = a.conditions[c].setting;
      REQUIRE(set.feed_turns);
      REQUIRE(set.tap_turns);
      REQUIRE((set.unused == coil::Unused::open) == open);
      const network::Evaluation& e = a.conditions[c].evaluation;
      const double terminal_v = std::sqrt(2.0 * e.power.delivered_w / e.z_load_ohm.real()) * std::abs(e.z_load_ohm);
      const double coil_v = u.conditions[c].coil_v_peak, used_turns = std::max(*set.tap_turns, *set.feed_turns);
      INFO(used_turns << " turns, " << coil_v << " V, across the terminals " << terminal_v << " V");
      REQUIRE(used_turns < 44.0);
      // Nothing stands between the tap and the antenna but the coil's own leads, of which there are none.
      CHECK(coil_v >= terminal_v * (1.0 - 1e-9));
      if (!open) {
        CHECK(coil_v <= 1.15 * terminal_v);
        continue;
      }
      // The turns beyond the higher tap stand higher still. Wheeler's 1 % of each inductance is 2 % of their ratio.
      const double flux_v = by_flux(0.0305, 44.0, used_turns) * terminal_v;
      CHECK(coil_v >= 0.98 * flux_v);
      CHECK(coil_v <= most_by_capacitance * flux_v);
      // It agrees with the coil's page, which has the coil by itself with that tap's voltage: within 5 %, for the
      // current between the taps is not in that.
      REQUIRE(coil.settings[c].ratings);
      CHECK(coil_v == Approx(coil.settings[c].ratings->end_voltage_v_peak).epsilon(0.05));
    }
  }
}

TEST_CASE("turns left open beyond the tap of a base coil stand higher than it, and count in the coil's voltage") {
  const auto coil_station = [](const std::string& unused) {
    return whip_station(
        "[coil.loading]\nformer = \"40 mm\"\nwire = \"1 mm\"\npitch = \"2 mm\"\nturns = 60\ntaps = [{ band = "
        "\"40 m\", turns = 30, unused = \"" +
        unused + "\" }]\n[[arrangement]]\nname = \"tapped\"\nkind = \"switched coil\"\ncoil = \"loading\"\n");
  };
  const station::Station station = coil_station("open");
  const Plan plan = make_plan(station), shorted = make_plan(coil_station("shorted"));
  REQUIRE(plan.exposures.size() == 3);
  const CoilPrescription coil = coil_prescription(station, plan, "loading", "tapped", {}, {});
  const auto series_v_peak = [](const ConditionResult& c) {
    double most = 0.0;
    for (std::size_t n = 0; n < c.ladder.elements.size(); ++n) {
      if (c.ladder.elements[n].place == network::Place::series)
        most = std::max(most, c.evaluation.elements[n].voltage_v_peak);
    }
    return most;
  };
  for (std::size_t c = 0; c < 2; ++c) {
    const safety::UseCondition& in = plan.exposures[2].conditions[c];
    const double tap_v_peak = series_v_peak(plan.bands[0].arrangements[2].conditions[c]);
    REQUIRE(tap_v_peak > 0.0);
    // Second route: by the flux that turns in one row share; their capacitance raises it further.
    const double flux_v_peak = by_flux(0.0205, 60.0, 30.0) * tap_v_peak;
    CHECK(in.coil_v_peak > flux_v_peak);
    CHECK(in.coil_v_peak < most_by_capacitance * flux_v_peak);
    // It agrees with the coil's page.
    REQUIRE(coil.settings[c].ratings);
    CHECK(in.coil_v_peak == Approx(coil.settings[c].ratings->end_voltage_v_peak).epsilon(0.01));
    CHECK(in.gap_jumped_m == safety::hf_gap_jumped_m(std::max(safety::highest_v_peak(in.contacts), in.coil_v_peak),
                                                     safety::air_pressure_pa(0.0)));
    CHECK(shorted.exposures[2].conditions[c].coil_v_peak ==
          Approx(series_v_peak(shorted.bands[0].arrangements[2].conditions[c])).epsilon(1e-12));
  }
}

TEST_CASE("wind on the station's whips and poles, each with its own, in the worst condition") {
  const auto wind_station = [](const std::string& more, const std::string& head = "") {
    return station::solve_loads(station::read_station(
        "[station]\nname = \"two\"\n" + head +
            "[transmitter]\npower = \"5 W\"\n[[band]]\nname = \"40 m\"\nlow = \"7.09 MHz\"\nhigh = \"7.11 "
            "MHz\"\n[[antenna]]\nname = \"low\"\nwires = \"whip.toml\"\n[[antenna]]\nname = \"high\"\nwires = "
            "\"whip.toml\"\n[[arrangement]]\nname = \"a\"\nkind = \"straight\"\nantenna = "
            "\"low\"\n[[arrangement]]\nname = "
            "\"b\"\nkind = \"straight\"\nantenna = \"high\"\n" +
            more,
        "two.toml", folder));
  };
  const std::string wind = "[body]\nmass = \"60 kg\"\n[wind]\npack = \"15 kg\"\nhalf_width = \"20 cm\"\ngust = "
                           "1.4\n[[wind.pole]]\nantenna = "
                           "\"high\"\nlength = \"6 m\"\nbase = \"40 mm\"\ntip = \"6 mm\"\n";
  const station::Station station = wind_station(wind);
  const std::vector<safety::AntennaWind> winds = antenna_winds(station);
  REQUIRE(winds.size() == 2);
  CHECK(winds[0].antenna == "low");
  CHECK(!winds[0].pole);
  CHECK(winds[1].antenna == "high");
  REQUIRE(winds[1].pole);
  CHECK(winds[1].table.held_nm == Approx(75.0 * 9.80665 * 0.2));
  CHECK(winds[1].table.take_down == 5);
  for (std::size_t row = 0; row < 12; ++row) {
    const safety::WindRow &low = winds[0].table.rows[row], &high = winds[1].table.rows[row];
    // What the pole adds, by itself.
    const safety::WindLoad pole = safety::wind_on_pole({6.0, 0.04, 0.006}, high.speed_m_s);
    CHECK(high.pack_moment_nm - low.pack_moment_nm == Approx(pole.moment_nm));
    CHECK(high.force_n - low.force_n == Approx(pole.force_n));
    double most_nm = 0.0;  // of all conditions
    for (const station::AntennaLoad& load : station.antennas[0].loads) {
      wire::WireCase one;
      one.antenna = load.solved_from->antenna;
      most_nm = std::max(most_nm, safety::wind_table(one, {}, station.exposure.stand).rows[row].foot_moment_nm);
    }
    CHECK(low.foot_moment_nm == Approx(most_nm).epsilon(1e-12));
  }
  const auto named = [&](const safety::AntennaWind& w) {
    return std::any_of(station.conditions.begin(), station.conditions.end(),
                       [&](const station::Condition& c) { return c.name == w.table.condition; });
  };
  CHECK(named(winds[0]));
  // A pole of every antenna; nothing where nothing is carried.
  const station::Station all = wind_station("[wind]\npole = { length = \"3 m\", base = \"12 mm\", tip = \"3 mm\" }\n");
  const std::vector<safety::AntennaWind> with_poles = antenna_winds(all);
  REQUIRE(with_poles.size() == 2);
  for (const safety::AntennaWind& w : with_poles) CHECK(w.pole);
  CHECK(antenna_winds(wind_station(wind, "whip_on_body = false\n")).empty());
  const std::string size = "length = \"6 m\"\nbase = \"40 mm\"\ntip = \"6 mm\"\n";
  refused<ParseError>(wind_station, "[[wind.pole]]\nantenna = \"far\"\n" + size,
                      "no antenna is called \"far\"; there are: low, high");
  refused<ParseError>(wind_station, "[[wind.pole]]\n" + size + "[[wind.pole]]\nantenna = \"low\"\n" + size,
                      "the antenna \"low\" has a pole already; legal: one an antenna");
  refused<ParseError>(wind_station, "[[wind.pole]]\nlength = \"6 m\"\nbase = \"40 m\"\ntip = \"6 mm\"\n",
                      "the diameter of a pole");
  refused<ParseError>(wind_station, "[wind]\ngust = 0.5\n", "gusts over the mean wind");
  refused<ParseError>(wind_station, "[wind]\npack = \"8 kg\"\nmast = 1\n", "mast");
}

TEST_CASE("a base raised in a plan does bring the arrangement under the level") {
  const station::Station station = whip_station("", "1.2 W");
  const Plan plan = make_plan(station);
  int raised = 0;
  for (const safety::UseExposure& u : plan.exposures) {
    for (const safety::Verdict& v : u.verdicts) {
      INFO(u.arrangement << ": " << v.text);
      CHECK((v.text.find("to meet it ") != std::string::npos) == (*v.worst.ratio > 1.0));
      if (!v.raise_m) continue;
      ++raised;
      CHECK(v.text.find("move the base ") != std::string::npos);
      for (std::size_t c = 0; c < u.conditions.size(); ++c) {
        const auto& wires = *station.antennas[0].loads[c].solved_from;
        wire::WireCase one;
        one.antenna = wires.antenna;
        one.ground = wires.ground;
        const wire::WireCase higher = safety::with_raised_feed(one, *v.raise_m);
        const safety::ExposureCase changed{higher, wire::solve_antenna(higher.antenna, higher.ground, 7.1e6),
                                           u.conditions[c].body.power_w};
        safety::ExposureOptions options;
        options.levels = station.exposure.levels;
        for (const safety::ExposureRow& r :
             safety::exposure_rows(changed, safety::fields_at_people(changed, options), options)) {
          if (r.ratio && r.level.standard == v.worst.level.standard && r.level.group == v.worst.level.group)
            CHECK(*r.ratio <= 1.0);
        }
      }
    }
  }
  CHECK(raised >= 1);
}

TEST_CASE("a load without wires has no currents and no rows") {
  const station::Station station = station::read_station(
      "[station]\nname = \"x\"\n[transmitter]\npower = \"5 W\"\n[[band]]\nname = \"40 m\"\nlow = \"7.0 MHz\"\nhigh = "
      "\"7.2 "
      "MHz\"\n[parts]\ninductor_q = 250\ncapacitor_q = 1000\n[[arrangement]]\nname = \"coil\"\nkind = \"base coil\"\n"
      "[[load]]\ncondition = \"c\"\nimpedance = \"20-900j\"\n",
      "x.toml", folder);
  const Plan plan = make_plan(station);
  CHECK(plan.exposures.empty());
  CHECK(taken_findings(plan).empty());
}

TEST_CASE("the station names the standards that count, and how it transmits") {
  const Plan plan = make_plan(
      whip_station("[exposure]\nstandards = [\"ICNIRP 2020\"]\n[mode]\nname = \"SSB\"\ntalk = 0.5\nover = \"30 s\"\n"));
  REQUIRE(plan.exposures.size() == 2);
  for (const safety::ExposureRow& r : plan.exposures[0].rows) {
    CHECK(r.level.standard == "ICNIRP 2020");
    CHECK(r.power_share == Approx(r.averaged ? 0.1 : 1.0));
  }
  const auto read = [](const std::string& more) { return whip_station(more); };
  refused<Error>(read, "[exposure]\nstandards = [\"ICNIRP 1887\"]\n", "legal: 47 CFR 1.1310");
  refused<Error>(read, "[exposure]\nlevels = \"none.csv\"\n", "none.csv");
  refused<Error>(read, "[exposure]\nstandard = \"x\"\n", "standards");
}

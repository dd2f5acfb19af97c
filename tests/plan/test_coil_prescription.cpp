// The coil of a station as its plan sets it.

#include <catch2/catch.hpp>

#include <cmath>

#include <stile/base/errors.hpp>
#include <stile/plan/coil_prescription.hpp>
#include <stile/station/solve_loads.hpp>

#include "plan/stations.hpp"

using namespace stile;
using namespace stile::plan;
using namespace stile::plan::test;

namespace {

station::Station two_conditions() {
  station::Station s = bare_station({15.0, -900.0});
  s.bands = {{"40 m", 7.0e6, 7.2e6, 7.08e6, 7.12e6, 7.1e6}, {"20 m", 14.0e6, 14.35e6, 14.2e6, 14.2e6, 14.2e6}};
  set_loads(s, {modelled("dry", {2.0, 7.1e6, 25e-12, 0.0, 12.0, 0.0, 7.1e6}),
                modelled("wet", {2.0, 7.1e6, 28e-12, 0.0, 25.0, 0.0, 7.1e6})});
  station::Arrangement a = arrangement("by hand", station::ArrangementKind::switched_coil);
  a.coil.name = "loading";
  a.coil.winding = coil::plain_winding(1.0, 41e-3, 2e-3, 1e-3);
  a.coil.turns = 40.0;
  a.coil.trimmer_f = 15e-12;
  a.coil.contact_ohm = 0.05;
  a.trim = station::Trim::tap_and_trimmer;
  s.arrangements = {arrangement("straight", station::ArrangementKind::straight), a, a};
  s.arrangements[2].name = "once";
  s.arrangements[2].trim = station::Trim::once;
  return s;
}

}  // namespace

TEST_CASE("a coil's prescription is what the plan evaluated") {
  const station::Station s = two_conditions();
  const Plan plan = make_plan(s);
  const CoilPrescription p = coil_prescription(s, plan, "loading", "", {}, {});
  CHECK(coil::total_turns(p.winding) == 40.0);
  CHECK(p.arrangements == std::vector<std::string>{"by hand", "once"});
  REQUIRE(p.settings.size() == 8);
  for (const CoilSetting& setting : p.settings) {
    INFO(setting.band << ", " << setting.arrangement << ", " << setting.condition);
    const std::size_t band = setting.band == "40 m" ? 0 : 1, n = setting.arrangement == "by hand" ? 1 : 2,
                      condition = setting.condition == "dry" ? 0 : 1;
    const ConditionResult& c = plan.bands[band].arrangements[n].conditions[condition];
    CHECK(setting.possible == c.possible);
    if (!c.possible) continue;
    CHECK(setting.swr == c.worst_swr);
    CHECK(setting.loss_db == c.worst_loss_db);
    CHECK(setting.setting.elements.size() == c.ladder.elements.size());  // there are no cables
    CHECK(setting.setting.tap_turns == c.setting.tap_turns);
    REQUIRE(setting.wound.has_value() == (*setting.setting.tap_turns > 0.0));
    if (!setting.wound) continue;
    // The coil's impedance is that of the analysed tap with what stands round it: contacts, trimmer, loss of practice.
    REQUIRE(setting.point);
    const cdouble z = network::impedance(setting.setting.elements[*setting.wound].part, setting.frequency_hz);
    const cdouble turns{1.1 * setting.point->z_ohm.real(), setting.point->z_ohm.imag()};
    cdouble y = 1.0 / turns;
    if (setting.setting.trimmer_f > 0.0)
      y += 1.0 / network::impedance(
                     network::Capacitor{setting.setting.trimmer_f, s.arrangements[1].parts.stock.capacitor_loss},
                     setting.frequency_hz);
    CHECK(std::abs(z - (1.0 / y + 0.05)) <= 1e-6 * std::abs(z));
    // Its current is that of the load: they are in series.
    CHECK(std::abs(setting.current_a_rms / std::abs(c.evaluation.load_current_a) - 1.0) <= 1e-6);
    REQUIRE(setting.ratings);
    CHECK(setting.ratings->end_voltage_v_peak > 0.0);
  }
}

TEST_CASE("taps are named once with what they serve and a band without a setting that holds is told") {
  const station::Station s = two_conditions();
  const Plan plan = make_plan(s);
  const CoilPrescription p = coil_prescription(s, plan, "loading", "by hand", {}, {});
  REQUIRE_FALSE(p.taps.empty());
  for (std::size_t n = 1; n < p.taps.size(); ++n) CHECK(p.taps[n - 1].turns < p.taps[n].turns);
  for (const CoilSetting& setting : p.settings) {
    if (!setting.wound) continue;
    bool named = false;
    for (const CoilTap& tap : p.taps)
      named |= tap.turns == *setting.setting.tap_turns && tap.serves.find(setting.band) != std::string::npos;
    CHECK(named);
  }
  station::Station strict = s;
  strict.transmitter.swr_limit = 1.0001;
  const CoilPrescription none = coil_prescription(strict, make_plan(strict), "loading", "once", {"dry"}, {});
  REQUIRE(none.unserved.size() == 2);
  CHECK(none.unserved[0].find("40 m: no setting of the coil holds (once: SWR ") == 0);
  CHECK(none.unserved[0].find("in \"dry\"") != std::string::npos);
  CHECK(none.settings.size() == 2);
  // Of several conditions the one that is farthest from holding is named, as the plan does.
  const Plan all = make_plan(strict);
  const CoilPrescription both = coil_prescription(strict, all, "loading", "once", {}, {});
  for (std::size_t b = 0; b < 2; ++b) {
    const ArrangementResult& once = all.bands[b].arrangements[2];
    REQUIRE(once.name == "once");
    double worst = 0.0;
    std::string where;
    for (const ConditionResult& c : once.conditions) {
      if (c.worst_swr > worst) worst = c.worst_swr, where = c.condition;
    }
    INFO(both.unserved[b]);
    CHECK(both.unserved[b].find("in \"" + where + "\")") != std::string::npos);
  }
}

TEST_CASE("a coil that no arrangement uses has no prescription, nor one that is wound in two ways") {
  station::Station s = two_conditions();
  const Plan plan = make_plan(s);
  CHECK_THROWS_AS(coil_prescription(s, plan, "other", "", {}, {}), DomainError);
  s.arrangements[2].coil.turns = 35.0;
  const Plan differs = make_plan(s);
  CHECK_THROWS_AS(coil_prescription(s, differs, "loading", "", {}, {}), DomainError);
  CHECK(coil::total_turns(coil_prescription(s, differs, "loading", "once", {}, {}).winding) == 35.0);
}

TEST_CASE("a coil part-way up a whip is prescribed with the current that its antenna has there") {
  // Invented: a coil of 30 turns at half the height of a 2.4 m whip.
  const station::Station stated = station::read_station(R"([station]
name = "bench"
[transmitter]
power = "5 W"
[[band]]
name = "40 m"
low = "7.09 MHz"
high = "7.11 MHz"
[coil.loading]
former = "40 mm"
wire = "1 mm"
pitch = "2 mm"
turns = 30
[[load]]
condition = "drawn"
[load.wires]
ground = { relative_permittivity = 13, conductivity = "5 mS/m" }
feed = { gap = "10 mm" }
wire = [ { name = "whip", points = [[0, 0, 1.2], [0, 0, 3.6]], radius = "2 mm", metal = "stainless steel" },
         { name = "trail", points = [[0, 0, 1.2], [1.2, 0, 0.05], [4.2, 0, 0.05]], radius = "1 mm", metal = "copper" } ]
[[arrangement]]
name = "loaded"
kind = "base coil"
whip = { coil = "loading", distance = "1.2 m" }
)",
                                                        "bench.toml", ".");
  const station::Station s = station::solve_loads(stated);
  const Plan plan = make_plan(s);
  const CoilPrescription p = coil_prescription(s, plan, "loading", "", {}, {});
  CHECK(coil::total_turns(p.winding) == 30.0);
  CHECK(p.taps.empty());
  REQUIRE(p.settings.size() == 1);
  const CoilSetting& c = p.settings.front();
  CHECK(c.part_way);
  CHECK_FALSE(c.wound);
  CHECK(c.beside.size() == c.setting.elements.size());
  REQUIRE(c.ratings);
  // Half up a short whip the current is between half of the feed's and all of it.
  const double feed_a = std::abs(plan.bands[0].arrangements[0].conditions[0].evaluation.load_current_a);
  CHECK(c.current_a_rms > 0.5 * feed_a);
  CHECK(c.current_a_rms < 1.1 * feed_a);
}

TEST_CASE("a coil that the plan states by its inductance is wound to it, on the former given") {
  station::Station s = two_conditions();
  station::Arrangement once = arrangement("once", station::ArrangementKind::base_coil), by_hand = once;
  by_hand.name = "by hand";
  by_hand.trim = station::Trim::tap;
  s.arrangements = {arrangement("straight", station::ArrangementKind::straight), once, by_hand};
  const Plan plan = make_plan(s, {}, 0, false);
  CHECK(arrangements_of_parts(s) == std::vector<std::size_t>{1, 2});
  const std::optional<std::size_t> taken = arrangement_to_wind(s, plan);
  REQUIRE(taken);
  for (const std::size_t n : arrangements_of_parts(s)) {
    const std::vector<PartToWind> parts = parts_to_wind(s, plan, n, {});
    REQUIRE(parts.size() >= 2);
    coil::DesignRequest request;
    request.winding = coil::plain_winding(1.0, 51e-3, 2e-3, 1e-3);
    request.tap_step_turns = 0.25;
    for (const PartToWind& part : parts) request.bands.push_back(part.target);
    const coil::CoilDesign design = coil::design_coil(request);
    const CoilPrescription p = prescription_of_parts(s, plan, n, parts, design, 150.0, {}, {});
    CHECK(p.coil.empty());
    CHECK(p.arrangements == std::vector<std::string>{s.arrangements[n].name});
    REQUIRE(p.settings.size() == 4);
    std::size_t wound = 0;
    for (const CoilSetting& c : p.settings) {
      INFO(c.band << ", " << c.arrangement << ", " << c.condition);
      const ConditionResult& planned =
          plan.bands[c.band == "40 m" ? 0 : 1].arrangements[n].conditions[c.condition == "dry" ? 0 : 1];
      CHECK(c.swr == planned.worst_swr);
      REQUIRE(c.setting.elements.size() == planned.setting.elements.size());
      for (std::size_t e = 0; e < c.setting.elements.size(); ++e)
        CHECK(network::value_si(c.setting.elements[e].part) == network::value_si(planned.setting.elements[e].part));
      if (!c.wound) continue;
      ++wound;
      REQUIRE(c.planned_h);
      CHECK(*c.planned_h == network::value_si(c.setting.elements[*c.wound].part));
      // The turns in use show the plan's reactance, to what the far end's capacitance and half of a step, an eighth of
      // a turn, make of it: X goes with at most the square of the turns.
      REQUIRE(c.point);
      const double x_ohm = network::impedance(c.setting.elements[*c.wound].part, c.frequency_hz).imag();
      CHECK(std::abs(c.left_ohm) <= 0.25 * x_ohm / *c.setting.tap_turns);
      CHECK(c.point->z_ohm.imag() == Approx(x_ohm).epsilon(0.1));
      CHECK(c.current_a_rms > 0.0);
      for (const OwnWinding& own : c.windings)
        CHECK(own.inductance_h == Approx(network::value_si(c.setting.elements[own.element].part)).epsilon(0.15));
    }
    CHECK(wound == parts.size());
    CHECK_THROWS_AS(prescription_of_parts(s, plan, n, {}, design, 150.0, {}, {}), DomainError);
  }
}

TEST_CASE("what the winding cannot give does not hold, and a tap that is not reached is none") {
  station::Station s = two_conditions();
  s.transmitter.swr_limit = 10.0;  // the plan's own values hold everywhere
  s.arrangements = {arrangement("by hand", station::ArrangementKind::base_coil)};
  s.arrangements[0].trim = station::Trim::tap_and_trimmer;
  const Plan plan = make_plan(s, {}, 0, false);
  const std::vector<PartToWind> parts = parts_to_wind(s, plan, 0, {});
  REQUIRE(parts.size() == 4);
  const auto designed = [&](double turns, double step_turns) {
    coil::DesignRequest request;
    request.winding = coil::plain_winding(turns, 51e-3, 2e-3, 1e-3);
    request.turns_stated = true;
    request.tap_step_turns = step_turns;
    for (const PartToWind& part : parts) request.bands.push_back(part.target);
    return coil::design_coil(request);
  };
  const auto prescribed = [&](const coil::CoilDesign& design, double most_turns) {
    return prescription_of_parts(s, plan, 0, parts, design, most_turns, {}, {});
  };
  const CoilPrescription few = prescribed(designed(18.0, 0.25), 150.0);  // enough for 20 m alone
  for (const CoilSetting& c : few.settings) {
    INFO(c.band << ", " << c.condition);
    CHECK(c.reached == (c.band == "20 m"));
    CHECK(c.holds == c.reached);
    const std::string where = c.band + ", " + c.condition + ": ";
    if (!c.reached) CHECK(c.winding_warning.find(where + "no tap has ") == 0);
  }
  REQUIRE(few.unserved.size() == 1);
  CHECK(few.unserved[0].find("40 m: no setting of the coil holds (by hand: no tap has ") == 0);
  REQUIRE_FALSE(few.taps.empty());
  for (const CoilTap& tap : few.taps) CHECK(tap.serves.find("40 m") == std::string::npos);
  // A coil beside it that no turns of the former have.
  const coil::CoilDesign long_coil = designed(60.0, 0.25);
  const CoilPrescription enough = prescribed(long_coil, 150.0), none = prescribed(long_coil, 1.0);
  CHECK(enough.unserved.empty());
  std::size_t unwound = 0;
  for (std::size_t n = 0; n < none.settings.size(); ++n) {
    const CoilSetting &can = enough.settings[n], &cannot = none.settings[n];
    CHECK(can.holds);
    CHECK(cannot.holds == cannot.windings.empty());
    if (cannot.windings.empty()) continue;
    ++unwound;
    CHECK(cannot.winding_warning.find("no turns on the former have ") != std::string::npos);
  }
  CHECK(unwound > 0);
  // A tap that leaves much reactance says so, in the words of the design.
  const coil::CoilDesign coarse = designed(60.0, 1.0);
  const CoilPrescription left = prescribed(coarse, 150.0);
  REQUIRE(left.settings.size() == coarse.bands.size());
  std::size_t told = 0;
  for (std::size_t n = 0; n < left.settings.size(); ++n) {
    CHECK(left.settings[n].winding_warning == coarse.bands[n].residual_warning);
    told += !left.settings[n].winding_warning.empty();
  }
  CHECK(told > 0);
}

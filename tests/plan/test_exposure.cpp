// Fields at people in a plan: every band and arrangement, with the power that it delivers.
#include <catch2/catch.hpp>

#include <algorithm>
#include <string>

#include <stile/base/errors.hpp>
#include <stile/plan/exposure.hpp>
#include <stile/station/solve_loads.hpp>

using namespace stile;
using namespace stile::plan;

namespace {

const std::string folder = std::string(STILE_TEST_DATA) + "/../../examples/moor";

station::Station whip_station(const std::string& more = "") {
  return station::solve_loads(station::read_station(
      "[station]\nname = \"one band\"\n[transmitter]\npower = \"5 W\"\n[[band]]\nname = \"40 m\"\nlow = \"7.09 "
      "MHz\"\nhigh = "
      "\"7.11 MHz\"\n[parts]\ninductor_q = 250\ncapacitor_q = 1000\n[[arrangement]]\nname = \"coil\"\nkind = \"base "
      "coil\"\n"
      "trim = \"each condition\"\n[[arrangement]]\nname = \"nothing\"\nkind = \"straight\"\n[[load]]\ncondition = \"on "
      "heather\"\nwires = \"whip.toml\"\nwires_condition = \"on heather\"\n[[load]]\ncondition = \"lifted\"\nwires = "
      "\"whip.toml\"\nwires_condition = \"lifted\"\n" +
          more,
      "one-band.toml", folder));
}

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
  CHECK_THROWS_AS(plan_exposures(station, {BandResult{}}), DomainError);
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
  const auto refused = [](const std::string& more, const std::string& part) {
    try {
      whip_station("[exposure]\n" + more);
      FAIL_CHECK("taken: " << more);
    } catch (const Error& error) {
      INFO(error.what());
      CHECK(std::string(error.what()).find(part) != std::string::npos);
    }
  };
  refused("standards = [\"ICNIRP 1887\"]\n", "legal: 47 CFR 1.1310");
  refused("levels = \"none.csv\"\n", "none.csv");
  refused("standard = \"x\"\n", "standards");
}

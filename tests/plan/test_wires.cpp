// A station whose loads are wires, from the file to the verdict.

#include <algorithm>
#include <cmath>
#include <string>

#include <catch2/catch.hpp>

#include <plan/stations.hpp>
#include <stile/plan/plan.hpp>
#include <stile/station/solve_loads.hpp>

using namespace stile;
using namespace stile::plan;
using namespace stile::plan::test;

namespace {

const std::string folder = std::string(STILE_TEST_DATA) + "/../../examples/moor";

/// The 3.0 m whip of the examples on one band, with the same coil; `loads` are the [[load]] tables.
station::Station station_of(const std::string& loads) {
  return station::solve_loads(station::read_station(
      "[station]\nname = \"one band\"\n[transmitter]\npower = \"5 W\"\n[[band]]\nname = \"40 m\"\nlow "
      "= \"7.0 MHz\"\nhigh = \"7.2 MHz\"\n"
      "use = [\"7.08 MHz\", \"7.12 MHz\"]\n[parts]\ninductor_q = 250\ncapacitor_q = "
      "1000\n[[arrangement]]\nname = \"coil\"\n"
      "kind = \"base coil\"\ntrim = \"each condition\"\n" +
          loads,
      "one-band.toml", folder));
}

double spent(const ConditionResult& c, Spent what) {
  double sum = 0.0;
  for (const BudgetItem& item : c.budget) sum += item.spent == what ? item.power_w : 0.0;
  return sum;
}

}  // namespace

TEST_CASE("a plan from wires is the plan from the load files of the same antenna") {
  std::string wires, files;
  for (const auto& [condition, file] : {std::pair<std::string, std::string>{"on heather", "heather"},
                                        {"lifted", "lifted"},
                                        {"in wet peat", "wetpeat"}}) {
    const std::string head = "[[load]]\ncondition = \"" + condition + "\"\n";
    wires += head + "wires = \"../../tests/data/wire/whip_bare.toml\"\nwires_condition = \"" + condition + "\"\n";
    files += head + "file = \"../loads/whip3m_" + file + ".s1p\"\nshares = \"../loads/whip3m_" + file +
             "_efficiency.csv\"\n";
  }
  const ArrangementResult a = make_plan(station_of(wires)).bands.front().arrangements.front();
  const ArrangementResult b = make_plan(station_of(files)).bands.front().arrangements.front();
  REQUIRE(a.conditions.size() == 3);
  CHECK(a.ok == b.ok);
  CHECK(a.worst == b.worst);
  for (std::size_t n = 0; n < 3; ++n) {
    const ConditionResult &x = a.conditions[n], &y = b.conditions[n];
    INFO(x.condition);
    CHECK(x.condition == y.condition);
    // R within 1 % and X within 1 % of |Z| change the loss in the coil, and so the power radiated, by about as much.
    CHECK(std::abs(x.loss_db - y.loss_db) <= 0.05);
    REQUIRE(x.radiated_w);
    CHECK(std::abs(*x.radiated_w - *y.radiated_w) <= 0.02 * *y.radiated_w);
    CHECK(std::abs(spent(x, Spent::ground) - spent(y, Spent::ground)) <= 0.02 * spent(y, Spent::ground));
    CHECK(std::abs(spent(x, Spent::metal) - spent(y, Spent::metal)) <= 0.02 * spent(y, Spent::metal));
  }
}

TEST_CASE("a loading coil on the whip is spent in whip and wire") {
  const auto wires = [](const std::string& coil) {
    return "[[load]]\ncondition = \"perfect ground\"\n[load.wires]\nground = \"perfect\"\nwire = [{ name = \"whip\", "
           "points = [[0,0,0],[0,0,3]], radius = 0.0015, "
           "metal = \"perfect\" }]\nfeed = { gap = 0.01 }\n" +
           coil;
  };
  const auto result = [&](const std::string& coil) {
    return make_plan(station_of(wires(coil))).bands.front().arrangements.front().conditions.front();
  };
  const ConditionResult bare = result("");
  CHECK(spent(bare, Spent::ground) == 0.0);
  CHECK(spent(bare, Spent::metal) <= 1e-6);
  const ConditionResult loaded =
      result("coil = [{ on = \"whip\", distance = 1.5, length = 0.02, inductance = 30e-6, q = 250 }]\n");
  CHECK(spent(loaded, Spent::metal) > 0.5);
  CHECK(spent(loaded, Spent::match) < spent(bare, Spent::match));
  CHECK(*loaded.radiated_w > *bare.radiated_w);  // the better half of the current flows higher up
}

TEST_CASE("what heats the person and leaks over the base is not booked as whip and wire") {
  const auto result = [&](const std::string& condition) {
    return make_plan(station_of("[[load]]\ncondition = \"one\"\nwires = \"carried.toml\"\nwires_condition = \"" +
                                condition + "\"\n"))
        .bands.front()
        .arrangements.front()
        .conditions.front();
  };
  const ConditionResult held = result("hand on the set"), untouched = result("on heather");
  const double antenna_w = held.evaluation.power.delivered_w;
  INFO("of " << antenna_w << " W: person " << spent(held, Spent::person) << ", lumps " << spent(held, Spent::lumps)
             << ", metal " << spent(held, Spent::metal));
  CHECK(spent(held, Spent::person) > 0.05 * antenna_w);
  CHECK(spent(held, Spent::person) > 2.0 * spent(untouched, Spent::person));
  CHECK(spent(held, Spent::lumps) > 0.01 * antenna_w);  // the wet base leaks
  CHECK(spent(held, Spent::metal) < 0.1 * antenna_w);
  double sum = 0.0;
  for (const BudgetItem& item : held.budget) sum += item.power_w;
  CHECK(std::abs(sum - 5.0) <= 5e-9);
}

TEST_CASE("towards which elevations somebody listens turns the verdict between a long and a short trailing wire") {
  const auto antenna = [](const std::string& name, const std::string& points) {
    return "[[antenna]]\nname = \"" + name + R"("
[[antenna.load]]
condition = "on heather"
[antenna.load.wires]
)" + whip_and_trail(points);
  };
  const std::string head = R"([station]
name = "long or short"
[transmitter]
power = "5 W"
[[band]]
name = "80 m"
low = "3.64 MHz"
high = "3.66 MHz"
design = "3.65 MHz"
use = ["3.65 MHz", "3.65 MHz"]
[[band]]
name = "20 m"
low = "14.19 MHz"
high = "14.21 MHz"
design = "14.2 MHz"
use = ["14.2 MHz", "14.2 MHz"]
[parts]
inductor_q = 250
capacitor_q = 1000
[uncertainty]
q = 0
ground = 0
)";
  const std::string paths = R"([[path]]
band = "80 m"
elevation = ["60 deg", "80 deg"]
[[path]]
band = "20 m"
elevation = ["5 deg", "20 deg"]
)";
  // 7.5 m and 2 m in all: the one reaches the ground at 1.2 m and lies from there, the other ends where it reaches it.
  const std::string rest =
      antenna("7.5 m", "[1.2, 0, 0.1], [7.072, 0, 0.1]") + antenna("2 m", "[1.67, 0, 0.1]") + R"([[arrangement]]
name = "with 7.5 m"
kind = "L network"
trim = "each condition"
antenna = "7.5 m"
[[arrangement]]
name = "with 2 m"
kind = "L network"
trim = "each condition"
antenna = "2 m"
)";
  const station::Station s = station::solve_loads(station::read_station(head + paths + rest, "two.toml", "."));
  const Plan plan = make_plan(s, {}, 0, false);
  // Towards the path with a coil of Q 250 that takes the capacitive reactance away, and nothing else.
  const auto gain_dbi = [&](std::size_t band, std::size_t n) {
    const load::Load& load = s.antennas[n].loads[0].load;
    const double f = s.bands[band].design_hz;
    const cdouble z = load::load_impedance(load, f);
    const double coil_ohm = std::max(0.0, -z.imag()) / 250.0;
    return 10.0 * std::log10(load::load_path_gain(load, f).value() * z.real() / (z.real() + coil_ohm));
  };
  // -15.4 and -19.4 dBi, -9.0 and -4.0 dBi are stated for this antenna in the project's requirements: 3 m whip, wire on
  // heather; neither the coil's Q nor the sag is stated there. So 0.6 dB: with 2 m of wire on 80 m, which leaves most
  // open, the wire as here gives -19.94 dBi with Q 250 and -19.42 dBi with Q 300; bent down at 1.2 m, lying for the
  // rest, -20.13 dBi.
  struct Figure {
    std::size_t band, antenna;
    double specified_dbi;
    double here_dbi;  ///< computed here, to see changes
  };
  for (const Figure& f :
       {Figure{0, 0, -15.4, -15.50}, {0, 1, -19.4, -19.94}, {1, 0, -9.0, -9.08}, {1, 1, -4.0, -4.25}}) {
    INFO(plan.bands[f.band].band.name << ", " << s.antennas[f.antenna].name);
    CHECK(gain_dbi(f.band, f.antenna) == Approx(f.here_dbi).margin(0.02));
    CHECK(std::abs(gain_dbi(f.band, f.antenna) - f.specified_dbi) <= 0.6);
  }
  CHECK(gain_dbi(0, 0) - gain_dbi(0, 1) > 3.0);
  CHECK(gain_dbi(1, 1) - gain_dbi(1, 0) > 4.0);
  CHECK(plan.bands[0].taken == 0U);
  CHECK(plan.bands[1].taken == 1U);
  CHECK(plan.bands[0].verdict.find("towards the other station") != std::string::npos);
}

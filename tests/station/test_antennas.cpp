// Antennas, roles and times of their conditions, paths, and settings as a station file states them.
#include <cmath>
#include <string>

#include <station/bench_station.hpp>
#include <station/one_change.hpp>
#include <stile/station/station.hpp>

using namespace stile;
using namespace stile::station;
using namespace stile::station::test;

namespace {

const std::string start = std::string(bench_station).substr(0, std::string(bench_station).find("[[load]]"));
const std::string rest = std::string(bench_station).substr(std::string(bench_station).find("[cable.lead]"));

const std::string two_antennas = R"toml([[antenna]]
name = "whip"
mass = "350 g"
[[antenna.load]]
condition = "dry"
impedance = "14-230j"
[[antenna.load]]
condition = "wet"
impedance = "20-220j"

[[antenna]]
name = "long wire"
[[antenna.load]]
condition = "wet"
impedance = "60-20j"
[[antenna.load]]
condition = "dry"
impedance = "50-30j"

)toml";

std::string named(std::string text) {
  for (const char* name : {"tuner", "L", "coil"})
    text = changed(text, std::string("name = \"") + name + "\"\nkind",
                   std::string("name = \"") + name + "\"\nantenna = \"whip\"\nkind");
  return text;
}

Station read(const std::string& text) { return read_station(text, "s.toml", "."); }
std::string message(const std::string& text) {
  return parse_error([&] { read(text); });
}
bool contains(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

}  // namespace

TEST_CASE("antennas are joined by the names of their conditions in the first one's order") {
  const Station s = read(start + two_antennas +
                         changed(named(rest), "antenna = \"whip\"\nkind = \"base coil\"",
                                 "antenna = \"long wire\"\nmass = \"120 g\"\nkind = \"base coil\""));
  REQUIRE(s.antennas.size() == 2);
  CHECK(s.antennas[0].mass_kg == 0.35);
  CHECK_FALSE(s.antennas[1].mass_kg);
  REQUIRE(s.conditions.size() == 2);
  CHECK(s.conditions[0].name == "dry");
  CHECK(load::load_impedance(s.antennas[1].loads[0].load, 7e6) == cdouble(50.0, -30.0));
  CHECK(s.arrangements[0].antenna == 0);
  CHECK(s.arrangements[2].antenna == 1);
  CHECK(s.arrangements[2].mass_kg == 0.12);
  CHECK(load::load_impedance(load_of(s, s.arrangements[2], 1), 7e6) == cdouble(60.0, -20.0));
}

TEST_CASE("antennas that do not fit each other or their arrangements are refused") {
  CHECK(contains(message(start + two_antennas + rest), "the file has several antennas: \"antenna\" must name one"));
  CHECK(contains(message(start +
                         changed(two_antennas, "condition = \"wet\"\nimpedance = \"60-20j\"",
                                 "condition = \"damp\"\nimpedance = \"60-20j\"") +
                         named(rest)),
                 "the antenna \"long wire\" has the conditions damp, dry; legal: those of the first, dry, wet"));
  CHECK(contains(message(start + changed(two_antennas, "\"long wire\"", "\"whip\"") + named(rest)),
                 "the name \"whip\" is taken"));
  CHECK(contains(message(bench_station + two_antennas), "with [[antenna]] they are [[antenna.load]]"));
  CHECK(contains(message(start + two_antennas +
                         changed(named(rest), "antenna = \"whip\"\nkind = \"base coil\"",
                                 "antenna = \"kite\"\nkind = \"base coil\"")),
                 "nothing is called \"kite\"; there are: whip, long wire"));
}

TEST_CASE("a condition has a role a share of the time and a mean stay") {
  const std::string described = "[[condition]]\nname = \"dry\"\nshare = 0.75\nlasts = \"90 s\"\n[[condition]]\nname = "
                                "\"wet\"\nrole = \"accident\"\n";
  const Station s = read(bench_station + described);
  CHECK(s.conditions[0].role == Role::normal);
  CHECK(s.conditions[0].share == 0.75);
  CHECK(s.conditions[0].lasts_s == 90.0);
  CHECK(s.conditions[1].role == Role::accident);
  CHECK_FALSE(s.conditions[1].share);
  CHECK(contains(message(bench_station + changed(described, "\"accident\"", "\"rare\"")),
                 "\"role\" must be \"normal\" or \"accident\""));
  CHECK(contains(message(bench_station + changed(described, "name = \"wet\"", "name = \"snow\"")),
                 "no load is in a condition \"snow\"; there are: dry, wet"));
  CHECK(contains(message(bench_station + changed(described, "role = \"accident\"", "role = \"normal\"")),
                 "the condition \"wet\" needs its \"share\" of the time"));
  CHECK(contains(message(bench_station + changed(described, "share = 0.75", "role = \"accident\"")),
                 "every condition is an accident"));
  CHECK(contains(message(bench_station + changed(described, "share = 0.75", "share = 0")), "is 0 and must be > 0"));
}

TEST_CASE("one hop over a layer leaves at the angle of its triangle") {
  // By hand: 180 km, 300 km high: half angle 90/6371 = 0.01412651 rad; (0.99990022 - 6371/6671)/0.01412604 = 3.17647
  CHECK(std::abs(hop_elevation_deg(180e3, 300e3) - 72.5252) <= 5e-5);
  // Nearly flat: tan = 2 h/d.
  CHECK(std::abs(std::tan(hop_elevation_deg(1e3, 1e3) * 3.14159265358979323846 / 180.0) - 2.0) <= 1e-3);
  // The layer touches the horizon at d = 2 R acos(R/(R + h)): 300 km high 3836.2 km away.
  CHECK(std::abs(hop_elevation_deg(2.0 * 6371e3 * std::acos(6371.0 / 6671.0), 300e3)) <= 1e-9);
  CHECK_THROWS_AS(hop_elevation_deg(0.0, 300e3), DomainError);
  CHECK_THROWS_AS(hop_elevation_deg(180e3, -1.0), DomainError);
}

TEST_CASE("a path is stated by distance and layer or by elevation for all bands or for one") {
  const Station far =
      read(std::string(bench_station) + "[path]\ndistance = \"180 km\"\nlayer_height = [\"250 km\", \"400 km\"]\n");
  for (const Band& b : far.bands) {
    REQUIRE(b.path);
    CHECK(b.path->elevation_deg.low == hop_elevation_deg(180e3, 250e3));
    CHECK(b.path->elevation_deg.high == hop_elevation_deg(180e3, 400e3));
    CHECK(b.path->distance_m == 180e3);
  }
  const Station two =
      read(std::string(bench_station) + "[[path]]\nelevation = [\"60 deg\", \"80 deg\"]\n[[path]]\nband = \"20 m\"\n"
                                        "elevation = [5, 20]\n");
  CHECK(two.bands[0].path->elevation_deg.low == 60.0);
  CHECK(two.bands[1].path->elevation_deg.high == 20.0);
  CHECK_FALSE(read(bench_station).bands[0].path);
  // Without its own range of heights a layer lies 250 to 350 km high; a path narrower than 2 degrees is taken as 2
  // wide.
  const Path usual = *read(std::string(bench_station) + "[path]\ndistance = \"180 km\"\n").bands[0].path;
  CHECK(usual.layer_height_m.low == 250e3);
  CHECK(usual.layer_height_m.high == 350e3);
  CHECK(usual.elevation_deg.low == hop_elevation_deg(180e3, 250e3));
  CHECK(usual.elevation_deg.high == hop_elevation_deg(180e3, 350e3));
  const Path narrow = *read(std::string(bench_station) + "[path]\nelevation = \"45 deg\"\n").bands[0].path;
  CHECK(narrow.elevation_deg.low == 44.0);
  CHECK(narrow.elevation_deg.high == 46.0);
  // Neither below the horizon nor beyond the zenith.
  const auto path = [](const std::string& keys) {
    return read(std::string(bench_station) + "[path]\n" + keys + "\n").bands[0].path->elevation_deg;
  };
  CHECK(path("elevation = 0").low == 0.0);
  CHECK(path("elevation = 0").high == 2.0);
  CHECK(path("elevation = 90").low == 88.0);
  CHECK(path("elevation = 90").high == 90.0);
  CHECK(path("elevation = [45, 46]").low == 44.5);
  CHECK(path("elevation = [45, 46]").high == 46.5);
  CHECK(
      contains(message(std::string(bench_station) + "[path]\ndistance = \"5000 km\"\n"), "under the horizon halfway"));
  CHECK(contains(message(std::string(bench_station) + "[path]\nband = \"20 m\"\n"),
                 "either a \"distance\" or an \"elevation\""));
  CHECK(contains(message(std::string(bench_station) + "[path]\nelevation = [80, 60]\n"), "two in order"));
  CHECK(contains(message(std::string(bench_station) + "[path]\nband = \"2 m\"\nelevation = 5\n"),
                 "no [[band]] is called \"2 m\""));
}

TEST_CASE("what a hand moves is stated") {
  const auto trim = [](const std::string& word) {
    return read(changed(bench_station, "trim = \"each condition\"", "trim = \"" + word + "\"")).arrangements[2].trim;
  };
  CHECK(trim("once") == Trim::once);
  CHECK(trim("tap") == Trim::tap);
  CHECK(trim("trimmer") == Trim::trimmer);
  CHECK(trim("tap and trimmer") == Trim::tap_and_trimmer);
  CHECK(trim("each condition") == Trim::tap_and_trimmer);
}

TEST_CASE("settings are stated by band and condition") {
  const std::string settings = "settings = [{ band = \"40 m\", elements = [{ place = \"shunt\", kind = \"capacitor\", "
                               "value = \"300 pF\" }, { place "
                               "= \"series\", kind = \"inductor\", value = \"5 uH\", q = 90 }] }, { band = \"20 m\", "
                               "condition = \"dry\", elements = [] "
                               "}, { band = \"20 m\", condition = \"wet\", elements = [] }]";
  const std::string text = changed(bench_station, "trim = \"each condition\"", settings);
  const Arrangement a = read(text).arrangements[2];
  REQUIRE(a.settings.size() == 3);
  CHECK(a.settings[0].condition.empty());
  REQUIRE(a.settings[0].elements.size() == 2);
  const network::Element& coil = a.settings[0].elements[1];
  CHECK(coil.place == network::Place::series);
  CHECK(std::get<network::Inductor>(coil.part).inductance_h == 5e-6);
  CHECK(std::get<network::Inductor>(coil.part).loss.q == 90.0);
  CHECK(coil.rating.voltage_v_peak == 2e3);  // of [parts]
  CHECK(std::get<network::Capacitor>(a.settings[0].elements[0].part).loss.q == 1000.0);
  CHECK(a.settings[2].elements.empty());
  CHECK(contains(message(changed(text, "condition = \"wet\", elements", "condition = \"dry\", elements")),
                 "has this setting already"));
  CHECK(contains(message(changed(text, ", { band = \"20 m\", condition = \"wet\", elements = [] }", "")),
                 "\"settings\" says nothing about \"20 m\" in \"wet\""));
  CHECK(contains(message(changed(text, "kind = \"capacitor\"", "kind = \"varactor\"")),
                 "\"kind\" must be \"inductor\" or \"capacitor\""));
}

TEST_CASE("parts come in steps and between limits and have a self-capacitance when none is stated") {
  std::string text = changed(bench_station, "inductor_series = \"E12\"",
                             "inductor_step = \"0.5 uH\"\ninductor_range = [\"1 uH\", "
                             "\"30 uH\"]");
  text = changed(text, "inductor_self_capacitance = \"1 pF\"\n", "");
  const Parts p = read(text).arrangements[2].parts;
  CHECK(p.inductor_step_h == 0.5e-6);
  CHECK_FALSE(p.inductor_series);
  CHECK(p.stock.least_inductance_h == 1e-6);
  CHECK(p.stock.most_inductance_h == 30e-6);
  CHECK(p.stock.inductor_self_capacitance_f == match::usual_self_capacitance_f);
  CHECK(p.stock.most_capacitance_f == 20e-9);
  CHECK(contains(message(changed(bench_station, "inductor_series = \"E12\"",
                                 "inductor_series = \"E12\"\ninductor_step = \"0.5 uH\"")),
                 "parts come in a \"inductor_series\" or by a \"inductor_step\", not both"));
}

TEST_CASE("uncertain inputs are stated as parts or as ranges") {
  const Station s = read(changed(bench_station, "ground = \"0.5\"",
                                 "ground = \"0.5\"\ncontact = [\"0 ohm\", \"1 ohm\"]\n"
                                 "temperature = [-10, 35]\nlengths = 0.02") +
                         "[decision]\naudible = \"2 dB\"\n");
  CHECK(s.uncertainty.contact_ohm.high == 1.0);
  CHECK(s.uncertainty.temperature_c.low == -10.0);
  CHECK(s.uncertainty.lengths == 0.02);
  CHECK(s.decision.audible_db == 2.0);
  CHECK(contains(message(changed(bench_station, "ground = \"0.5\"", "contact = [1, 0]")), "two values in order"));
}

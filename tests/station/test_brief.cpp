// The brief of a station that is to be found: what it may say, and every fault at its place.

#include <algorithm>
#include <cmath>

#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/station/brief.hpp>
#include <stile/station/solve_loads.hpp>
#include <stile/station/wires_file.hpp>

#include "design/briefs.hpp"

using namespace stile;
using namespace stile::station;
using design::test::brief_text;
using design::test::BriefParts;

namespace {

std::string replaced(std::string text, const std::string& what, const std::string& by) {
  const std::size_t place = text.find(what);
  REQUIRE(place != std::string::npos);
  return text.replace(place, what.size(), by);
}

std::vector<ParseError> faults_of(const std::string& text) {
  try {
    read_brief(text, "b.toml");
  } catch (const ParseErrors& errors) {
    return errors.faults;
  } catch (const ParseError& error) {
    return {error};
  }
  return {};
}

}  // namespace

TEST_CASE("a brief gives what is stated") {
  BriefParts parts;
  parts.counterpoise = R"({ wires = [1, 3], length = "4 m", radius = "0.5 mm", metal = "copper" })";
  parts.kinds = R"(["L network", "transformer", "tuner", "straight"])";
  parts.more = R"([[choke]]
name = "choke"
on = "lead"
distance = "0.9 m"
inductance = "40 uH"
q = 3
mass = "30 g"
[set]
[person]
[[condition]]
name = "hand"
kind = "hand on set"
share = 0.5
[limits]
mass = "1.2 kg"
top_height = "6 m"
[mass]
"L network" = "0.2 kg"
transformer = "0.1 kg"
tuner = "0.4 kg"
whip_per_metre = "60 g"
)";
  const std::string text = replaced(replaced(brief_text(parts), "name = \"dry\"", "name = \"dry\"\nshare = 0.3"),
                                    "kind = \"lifted\"", "kind = \"lifted\"\nshare = 0.2");
  const Brief brief = read_brief(text, "b.toml");
  CHECK(brief.whip.range_m.low == 2.0);
  CHECK(brief.whip.range_m.high == 3.0);
  CHECK(brief.whip.step_m == 0.5);
  CHECK(brief.least_wires == 1);
  CHECK(brief.most_wires == 3);
  CHECK(brief.wire.range_m.low == brief.wire.range_m.high);
  CHECK(brief.conditions.size() == 7);  // a hand without contact is five
  CHECK(brief.conditions.back().share.value() == Approx(0.1));
  CHECK(brief.hand);
  CHECK(brief.chokes.size() == 2);
  CHECK(brief.networks.size() == 2 + 2 + 1 + 1);
  CHECK(brief.most_mass_kg == 1.2);
  const AntennaChoice antenna{2.5, {4.0, 4.0}, 1};
  CHECK(antenna_mass_kg(brief, antenna) == Approx(0.06 * 2.5 + 8.0 * brief.wire_kg_per_m + 0.03).epsilon(1e-12));
  const auto cases = wire_cases(brief, antenna);
  REQUIRE(cases.size() == 7);
  for (std::size_t n = 0; n < cases.size(); ++n) CHECK(cases[n].name == brief.conditions[n].name);
  CHECK(cases.front().antenna.wires[0].points.back().z_m == 1.3 + 2.5);
  CHECK(cases.front().antenna.lumps.size() == 3);  // the choke, and the soles
}

TEST_CASE("the station that is written is read again, with its settings to the last bit") {
  BriefParts parts;
  parts.kinds = R"(["base coil", "transformer", "tuner", "straight"])";
  const Brief brief = read_brief(brief_text(parts), "b.toml");
  StationChoice choice;
  choice.name = "written \"so\"";
  choice.antenna = {2.5, {4.5}, 0};
  const double value_h = 1.0 / 3.0 * 1e-5;
  network::Element coil{"L1", network::Place::series, network::Inductor{value_h, {}, 0.0}, {}};
  choice.networks.push_back({0, {{"40 m", "", {coil}}, {"20 m", "", {}}}});
  for (std::size_t n = 1; n < brief.networks.size(); ++n) choice.networks.push_back({n, {}});
  const Station station = read_station(station_text(brief, choice, "", {"a remark"}), "s.toml", ".");
  CHECK(station.name == choice.name);
  REQUIRE(station.arrangements.size() == brief.networks.size());
  REQUIRE(station.arrangements[0].settings.size() == 2);
  CHECK(network::value_si(station.arrangements[0].settings[0].elements[0].part) == value_h);
  CHECK(station.arrangements[1].trim == Trim::tap_and_trimmer);
  CHECK(station.antennas.front().loads.size() == 2);
  CHECK(station.antennas.front().mass_kg.value() == antenna_mass_kg(brief, choice.antenna));
}

TEST_CASE("conditions of a brief stand in the station that is written with role, share and stay") {
  const std::string text =
      replaced(replaced(brief_text(), "name = \"dry\"", "name = \"dry\"\nshare = 0.3\nlasts = \"70 s\""),
               "kind = \"lifted\"", "kind = \"lifted\"\nrole = \"accident\"");
  const Brief brief = read_brief(text, "b.toml");
  StationChoice choice;
  choice.name = "written";
  choice.antenna = {2.5, {4.5}, 0};
  choice.networks.push_back({brief.networks.size() - 1, {}});
  const Station station = read_station(station_text(brief, choice, "", {}), "s.toml", ".");
  REQUIRE(station.conditions.size() == 2);
  CHECK(station.conditions[0].role == Role::normal);
  CHECK(station.conditions[0].share == 0.3);
  CHECK(station.conditions[0].lasts_s == 70.0);
  CHECK(station.conditions[1].role == Role::accident);
  CHECK_FALSE((station.conditions[1].share || station.conditions[1].lasts_s));
}

TEST_CASE("what a brief leaves out: turns ratios, and the masses of solid metal") {
  // Copper of 8.89 g/cm3: a wire of 0.5 mm radius pi 0.25 mm2 x 8.89 = 6.98219 g/m; four spokes of 0.5 m and 1 mm
  // radius 2 m x 27.9288 g/m.
  BriefParts parts;
  parts.whip = R"({ length = "2 m", radius = "2 mm", metal = "copper" })";
  parts.more = "[[hat]]\nname = \"hat\"\nspokes = 4\nlength = \"0.5 m\"\nradius = \"1 mm\"\nmetal = \"copper\"\n";
  const Brief brief = read_brief(replaced(brief_text(parts), "turns_ratios = [0.333, 0.5]\n", ""), "b.toml");
  CHECK(brief.wire_kg_per_m == Approx(6.98219e-3).epsilon(1e-5));
  CHECK(brief.whip_kg_per_m == Approx(111.7150e-3).epsilon(1e-5));
  REQUIRE(brief.hats.size() == 2);
  CHECK(brief.hats[1].mass_kg == Approx(55.8575e-3).epsilon(1e-5));
  std::vector<double> ratios;
  for (const NetworkOption& n : brief.networks) {
    if (n.kind == ArrangementKind::transformer) ratios.push_back(n.turns_ratio);
  }
  CHECK(ratios == std::vector<double>{0.25, 1.0 / 3.0, 0.5, 2.0 / 3.0, 1.5, 2.0, 3.0, 4.0});
  // Wires that spread without a stated angle do so over 90 degrees, and so many spokes stand evenly around.
  parts.counterpoise = R"({ wires = 3, length = "4 m", radius = "0.5 mm", metal = "copper", layout = "spread" })";
  parts.more.replace(parts.more.find("spokes = 4"), 10, "spokes = 3");
  const Brief spread = read_brief(brief_text(parts), "b.toml");
  const wire::Antenna antenna = wire_cases(spread, {2.0, {4.0, 4.0, 4.0}, 0, 1}).front().antenna;
  std::vector<double> degrees;
  for (const wire::Wire& w : antenna.wires) {
    const wire::Vec3 from = w.points.front(), to = w.points.back();
    if (w.name != "whip") degrees.push_back(std::atan2(to.y_m - from.y_m, to.x_m - from.x_m) * 180.0 / std::acos(-1.0));
  }
  REQUIRE(degrees.size() == 6);
  const double expected[] = {-45.0, 0.0, 45.0, 0.0, 120.0, -120.0};
  for (std::size_t n = 0; n < 6; ++n) CHECK(std::abs(degrees[n] - expected[n]) <= 0.5);
}

TEST_CASE("every fault of a brief is told at once, with line and column") {
  const std::string text = R"([brief]
nam = "x"
[transmitter]
power = "5 kg"
[[band]]
name = "40 m"
low = "7.2 MHz"
high = "7.0 MHz"
weight = 2
[antenna]
whip = { length = ["3 m", "2 m"], radius = "1.5 mm", metal = "stainless steel" }
counterpoise = { wires = [1, 9], length = "3 m", radius = "0.5 mm", metal = "copper", layout = "heap" }
base_height = "1.3 m"
gap = "20 mm"
[[condition]]
name = "a"
kind = "afloat"
[network]
kinds = ["magic"]
[limits]
mass = "-1 kg"
)";
  const std::vector<ParseError> faults = faults_of(text);
  std::vector<std::size_t> lines;
  for (const ParseError& f : faults) {
    lines.push_back(f.where.line);
    CHECK(f.where.column > 0);
  }
  for (const std::size_t line : {2U, 4U, 8U, 11U, 12U, 17U, 19U, 21U}) {
    CAPTURE(line);
    CHECK(std::count(lines.begin(), lines.end(), line) >= 1);
  }
}

TEST_CASE("an empty brief, and one whose limits contradict each other") {
  CHECK(faults_of("").size() >= 4);
  BriefParts parts;
  parts.more = "[limits]\ntop_height = \"2 m\"\n";
  const std::vector<ParseError> faults = faults_of(brief_text(parts));
  REQUIRE(faults.size() == 1);
  CHECK(std::string(faults[0].what()).find("3.3 m") != std::string::npos);
}

TEST_CASE("the longest whip is its own limit, or what the limit of height leaves above the base") {
  BriefParts parts;  // 2 to 3 m on a base at 1.3 m
  CHECK(longest_whip_m(read_brief(brief_text(parts), "b.toml")) == 3.0);
  parts.more = "[limits]\ntop_height = \"6 m\"\n";
  CHECK(longest_whip_m(read_brief(brief_text(parts), "b.toml")) == 3.0);
  parts.more = "[limits]\ntop_height = \"3.8 m\"\n";
  CHECK(longest_whip_m(read_brief(brief_text(parts), "b.toml")) == Approx(2.5));
}

TEST_CASE("a hat is a table of its own and no key of the antenna") {
  const std::vector<ParseError> faults = faults_of(replaced(brief_text(), "gap =", "hat = 1\ngap ="));
  REQUIRE(faults.size() == 1);
  CHECK(std::string(faults[0].what()).find("unknown key \"hat\" in [antenna]") != std::string::npos);
}

TEST_CASE("a wound coil takes one of each of its lists") {
  BriefParts parts;
  parts.kinds = R"(["switched coil", "straight"])";
  const auto coil = [&](const std::string& table) {
    parts.more = table.empty() ? "" : "[coil]\n" + table;
    return brief_text(parts);
  };
  const std::string lists = "former = [\"40 mm\", \"60 mm\"]\nwire = \"1 mm\"\npitch = [\"2 mm\", \"3 mm\"]\n";
  const Brief brief =
      read_brief(coil(lists + "tap_step = 0.5\nmost_turns = 80\nstep = \"shunt capacitor\"\n"), "brief");
  REQUIRE(brief.coils.size() == 4);
  CHECK(brief.coils.back().said == "former 60 mm, wire 1 mm, pitch 3 mm");
  CHECK(brief.most_turns == 80.0);
  CHECK(brief.computed_coils);          // nothing bought beside it but capacitors
  REQUIRE(brief.networks.size() == 9);  // each set once a band and trimmed by hand, and straight
  CHECK(brief.networks[0].coil == "coil");
  CHECK(brief.networks[7].coil == "coil 4");
  CHECK(brief.networks[7].touch == Touch::condition);

  // As a station reads it.
  StationChoice choice{"s", {2.0, {3.0}, 0}, {}};
  choice.networks.push_back({7, {}, 31.0, {{"40 m", 20.5, coil::Unused::shorted, {}}}});
  const Station station = read_station(station_text(brief, choice, ""), "s", ".");
  REQUIRE(station.coils.size() == 1);
  const SwitchedCoil& wound = station.arrangements.front().coil;
  CHECK(wound.name == "coil 4");
  CHECK(wound.winding.diameter_m == Approx(0.061).epsilon(1e-12));  // between wire centres
  CHECK(wound.turns == 31.0);
  CHECK(wound.tap_step_turns == 0.5);
  REQUIRE(wound.taps.size() == 1);
  CHECK(wound.taps.front().turns == 20.5);
  CHECK(station.arrangements.front().trim == Trim::tap_and_trimmer);

  const auto told = [&](const std::string& table, const std::string& what) {
    const std::vector<ParseError> faults = faults_of(coil(table));
    CAPTURE(table, what);
    REQUIRE(faults.size() == 1);
    CHECK(std::string(faults.front().what()).find(what) != std::string::npos);
  };
  told("", "[coil]");
  told("former = 0.06\nwire = \"3 mm\"\npitch = [\"4 mm\", \"2 mm\"]\n", "pitch 2 mm");  // wire over wire
  told(lists + "turns = 20\nmost_turns = 30\n", "one of the two");
  told(lists + "most_turns = 500\n", "150");
  told("former = []\nwire = \"1 mm\"\npitch = \"2 mm\"\n", "must be an array of values, such as [\"1 m\", \"2 m\"]");
  told(lists + "turns = -5\n", "must be > 0");
  told(lists + "turns = [0, 20]\n", "must be > 0");
  told(lists + "turns = []\n", "such as [1, 2]");
  told(lists + "material = []\n", "one value or a list");
}

TEST_CASE("a limit of mass needs the masses") {
  BriefParts parts;
  parts.more = "[limits]\nmass = \"1 kg\"\n";
  const std::vector<ParseError> faults = faults_of(brief_text(parts));
  REQUIRE(faults.size() >= 1);
  CHECK(std::string(faults[0].what()).find("[mass]") != std::string::npos);
}

TEST_CASE("a geometry that cannot be is told at the antenna") {
  const std::vector<ParseError> faults = faults_of(replaced(brief_text(), "1.5 mm", "150 mm"));
  REQUIRE(faults.size() == 1);
  CHECK(faults[0].where.line > 0);
}

TEST_CASE("a brief without set and person says so, and a contact that is a range is refused at its place") {
  const std::string text = brief_text();
  const Brief bare = read_brief(text, "b.toml");
  const auto told = [](const Brief& b) {
    return std::find(b.assumed.begin(), b.assumed.end(), drawn_alone_warning) != b.assumed.end();
  };
  CHECK(!bare.carried);
  CHECK(told(bare));
  const Brief carried = read_brief(text + "\n[set]\n[person]\n", "b.toml");
  CHECK(carried.carried);
  CHECK(!told(carried));
  const std::vector<ParseError> faults =
      faults_of(text + "\n[set]\n[person]\n[[condition]]\nname = \"hand\"\nkind = \"hand on set\"\n"
                       "contact = { resistance = [\"0 ohm\", \"1 kohm\"] }\n");
  REQUIRE(faults.size() == 1);
  CHECK(static_cast<std::ptrdiff_t>(faults[0].where.line) == std::count(text.begin(), text.end(), '\n') + 7);
  CHECK(std::string(faults[0].what()).find("each end as a condition of its own") != std::string::npos);
}

TEST_CASE("hat, coil on the whip and layout are read, and stand in the wires file in every condition") {
  BriefParts parts;
  parts.counterpoise =
      R"({ wires = 2, length = "4 m", radius = "0.5 mm", metal = "copper", layout = ["bundle", "spread"], spread_degrees = 60 })";
  parts.more = R"([[hat]]
name = "four spokes"
spokes = 4
length = "0.25 m"
radius = "1 mm"
metal = "aluminium"
[[hat]]
name = "two spokes"
spokes = 2
length = "0.3 m"
radius = "1 mm"
conductivity = "3e7 S/m"
mass = "30 g"
[[loading_coil]]
name = "bought"
place = [0.3, 0.5]
inductance = ["10 uH", "20 uH"]
q = 150
mass = "50 g"
[[loading_coil]]
name = "own"
place = 0.6
turns = 40
diameter = "30 mm"
wire = "1 mm"
pitch = "1.5 mm"
)";
  const Brief brief = read_brief(brief_text(parts), "b.toml");
  CHECK(brief.layouts == std::vector<std::string>{"bundle", "spread"});
  REQUIRE(brief.hats.size() == 3);
  REQUIRE(brief.loading.size() == 1 + 4 + 1);
  CHECK(brief.loading[2].name == "bought, 10 uH at 0.5 of the whip");
  CHECK(brief.loading[5].name == "own, 40 turns at 0.6 of the whip");
  CHECK(brief.loading[5].wound);
  AntennaChoice a{2.5, {4.0, 4.0}, 0, 1, 4, 1};
  CHECK_FALSE(antenna_mass_known(brief, {2.5, {4.0, 4.0}, 0, 0, 5, 0}));
  CHECK(antenna_mass_known(brief, a));
  // Aluminium has 2700 kg/m3 (density of the element, 2.70 g/cm3, from memory).
  const double bare_kg = antenna_mass_kg(brief, {2.5, {4.0, 4.0}});
  CHECK(antenna_mass_kg(brief, a) == Approx(bare_kg + 0.05 + 4 * 0.25 * 2700.0 * 3.14159265 * 1e-6).epsilon(2e-3));
  CHECK(antenna_mass_kg(brief, {2.5, {4.0, 4.0}, 0, 2}) == Approx(bare_kg + 0.03).epsilon(1e-12));
  const auto cases = wire_cases(brief, a);
  REQUIRE(cases.size() == 2);
  for (const wire::WireCase& c : cases) {
    CAPTURE(c.name);
    REQUIRE(c.antenna.coils.size() == 1);
    CHECK(c.antenna.coils.front().distance_m == 0.5 * 2.5);
    CHECK(c.antenna.coils.front().inductance_h == 20e-6);
    std::size_t spokes = 0;
    std::vector<double> bearings;
    for (const wire::Wire& w : c.antenna.wires) {
      const wire::Vec3 first = w.points.front(), last = w.points.back();
      if (w.name.rfind("hat ", 0) == 0) {
        ++spokes;
        CHECK(first.z_m == 1.3 + 2.5);
        CHECK(last.z_m == first.z_m);
        CHECK(std::hypot(last.x_m, last.y_m) == Approx(0.25).epsilon(1e-12));
      }
      if (w.name.rfind("wire ", 0) == 0) bearings.push_back(std::atan2(last.y_m, last.x_m) * 180.0 / 3.14159265358979);
    }
    CHECK(spokes == 4);
    REQUIRE(bearings.size() == 2);
    CHECK(bearings[0] == Approx(-30.0).margin(1e-6));
    CHECK(bearings[1] == Approx(30.0).margin(1e-6));
  }
  a.loading = 5, a.layout = 0, a.hat = 0;
  const auto wound = wire_cases(brief, a);
  CHECK(wound.front().antenna.coils.front().values.size() > 4);  // a wound coil has a table over frequency
  int beside = 0;
  for (const wire::Wire& w : wound.front().antenna.wires) {
    if (w.name.rfind("wire ", 0) != 0) continue;
    ++beside;
    CHECK(std::abs(w.points.back().y_m) < 0.02);  // side by side
  }
  CHECK(beside == 2);
}

TEST_CASE("faults of hats, coils on the whip and layouts are told at their lines") {
  const auto with = [](const std::string& more, const std::string& layout = R"("bundle")") {
    BriefParts parts;
    parts.counterpoise =
        R"({ wires = 2, length = "4 m", radius = "0.5 mm", metal = "copper", layout = )" + layout + " }";
    parts.more = more;
    return brief_text(parts);
  };
  // One fault of that kind, of so many, in the line that holds `at`.
  const auto says = [](const std::string& text, const std::string& at, const std::string& what, std::size_t all = 1) {
    const std::vector<ParseError> faults = faults_of(text);
    CAPTURE(text);
    REQUIRE(faults.size() == all);
    const auto is = [&](const ParseError& fault) { return std::string(fault.what()).find(what) != std::string::npos; };
    REQUIRE(std::count_if(faults.begin(), faults.end(), is) == 1);
    const std::size_t place = text.rfind(at);
    REQUIRE(place != std::string::npos);
    CHECK(static_cast<std::ptrdiff_t>(std::find_if(faults.begin(), faults.end(), is)->where.line) ==
          1 + std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(place), '\n'));
  };
  const std::string hat = "[[hat]]\nname = \"h\"\nlength = \"0.3 m\"\nradius = \"1 mm\"\nmetal = \"copper\"\n";
  CHECK(faults_of(with(hat + "spokes = 4\n")).empty());
  says(with(hat + "spokes = 1\n"), "spokes = 1", "whole number, 2 to 8");
  says(with(hat + "spokes = 2.5\n"), "spokes = 2.5", "whole number, 2 to 8");
  says(with(hat + "spokes = 4\n" + hat + "spokes = 3\n"), "name = \"h\"", "the name \"h\" is taken");
  says(with(replaced(hat, "metal = \"copper\"", "metal = \"perfect\"") + "spokes = 4\n"), "metal = \"perfect\"",
       "legal: a \"mass\"");
  const std::string coil = "[[loading_coil]]\nname = \"c\"\nq = 200\n";
  CHECK(faults_of(with(coil + "inductance = \"20 uH\"\nplace = 0.5\n")).empty());
  says(with(coil + "inductance = \"20 uH\"\nplace = 1.5\n"), "place = 1.5", "0.02 to 0.98");
  says(with(coil + "place = 0.5\n"), "[[loading_coil]]", "either \"turns\"");
  says(with(coil + "inductance = \"20 uH\"\nplace = 0.5\n[limits]\nmass = \"2 kg\"\n"), "name = \"c\"",
       "[limits] has a \"mass\": the coil \"c\" on the whip needs its own", 2);  // and the match its own
  says(with(coil + "length = \"3 m\"\ninductance = \"20 uH\"\nplace = 0.5\n"), "[[loading_coil]]",
       "the length of a loading coil");
  // A place on the longest whip that the shortest does not have.
  says(with(coil + "length = \"20 cm\"\ninductance = \"20 uH\"\nplace = 0.96\n"), "[[loading_coil]]", "coil");
  says(with("", R"(["bundle", "bundle"])"), "counterpoise", "or both as a list");
  says(with("", R"("heap")"), "counterpoise", "or both as a list");
}

TEST_CASE("a condition is added to a brief whose conditions are tables or stand in one line") {
  const std::string tables = brief_text();
  const std::size_t from = tables.find("[[condition]]"), to = tables.find("[network]");
  std::string inline_text = "condition = [ { name = \"dry\", ground = \"medium dry\" }, { name = \"lifted\", kind = "
                            "\"lifted\" } ]\n" +
                            tables.substr(0, from) + tables.substr(to);
  for (const std::string& text : {tables, inline_text}) {
    const std::string next = text.front() == 'c' ? ", share = 0.25" : "\nshare = 0.25";
    const Brief brief = read_brief(text, "b.toml");
    REQUIRE(brief.conditions.size() == 2);
    const Brief with = read_brief(with_condition(brief, "a hand", "hand on set"), "b.toml");
    REQUIRE(with.conditions.size() == 2 + 5);
    CHECK(with.hand);
    CHECK(with.conditions[1].name == "lifted");
    CHECK_FALSE(with.conditions.back().share);
    const Brief shared = read_brief(with_condition(read_brief(replaced(replaced(text, "\"dry\"", "\"dry\"" + next),
                                                                       "\"lifted\"", "\"lifted\"" + next),
                                                              "b.toml"),
                                                   "a hand", "hand on set", 0.5),
                                    "b.toml");
    CHECK(shared.conditions.back().share.value() == Approx(0.5 / 5.0));
    CHECK(wires_text(with, {2.0, {3.0}}).find("medium dry") != std::string::npos);
  }
}

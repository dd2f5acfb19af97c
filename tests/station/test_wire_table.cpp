#include <cmath>
#include <fstream>
#include <numbers>
#include <string>

#include <station/bench_station.hpp>
#include <station/one_change.hpp>
#include <stile/base/errors.hpp>
#include <stile/station/detail/wire_table.hpp>
#include <stile/station/solve_loads.hpp>
#include <stile/station/station.hpp>
#include <stile/station/wires_file.hpp>
#include <stile/wire/lying_ground.hpp>
#include <stile/wire/solve.hpp>

#include "temporary_folder.hpp"

using namespace stile;
using namespace stile::station;
using namespace stile::station::test;

namespace {

const std::string drawn = R"toml([ground]
relative_permittivity = 15
conductivity = "1 mS/m"
[[wire]]
name = "whip"
points = [[0, 0, 1.2], [0, 0, "3.6 m"]]
radius = "2 mm"
metal = "stainless steel"
[[wire]]
name = "counterpoise"
points = [[0, 0, 1.2], [1.2, 0, 0.05], [6.2, 0, 0.05]]
radius = "1 mm"
conductivity = "58e6 S/m"
insulation = { thickness = "0.4 mm", relative_permittivity = 3 }
[feed]
gap = "10 mm"
base_capacitance = "3 pF"
[[coil]]
on = "whip"
distance = "1.2 m"
length = "20 mm"
inductance = "38 uH"
q = 250
self_capacitance = "1 pF"
)toml";

std::string message(const std::string& text) {
  return parse_error([&] { read_wires(text, "whip.toml"); });
}

/// Height of a point of a wire above ground.
double height_m(const wire::WireCase& c, std::size_t wire, std::size_t point) {
  return c.antenna.wires.at(wire).points.at(point).z_m;
}

}  // namespace

TEST_CASE("every value of a wires file arrives in SI at its place") {
  const std::vector<wire::WireCase> cases = read_wires(drawn, "whip.toml");
  REQUIRE(cases.size() == 1);
  const wire::WireCase& c = cases.front();
  CHECK(c.name == "as drawn");
  CHECK(c.ground.kind == wire::GroundKind::lossy);
  CHECK(c.ground.relative_permittivity == 15.0);
  CHECK(c.ground.conductivity_s_m == 1e-3);
  REQUIRE(c.antenna.wires.size() == 2);
  const wire::Wire &whip = c.antenna.wires[0], &wire = c.antenna.wires[1];
  CHECK(whip.name == "whip");
  REQUIRE(whip.points.size() == 2);
  CHECK(whip.points[1].z_m == 3.6);
  CHECK(whip.radius_m == 2e-3);
  CHECK(whip.conductivity_s_m == 1.4e6);
  CHECK(!whip.insulation);
  REQUIRE(wire.points.size() == 3);
  CHECK(wire.points[1].x_m == 1.2);
  CHECK(wire.points[2].x_m == 6.2);
  CHECK(wire.conductivity_s_m == 58e6);
  REQUIRE(wire.insulation);
  CHECK(wire.insulation->thickness_m == 0.4e-3);
  CHECK(wire.insulation->relative_permittivity == 3.0);
  CHECK(c.antenna.feed.wire == 0);
  CHECK(c.antenna.feed.gap_m == 10e-3);
  CHECK(c.antenna.feed.base_capacitance_f == 3e-12);
  REQUIRE(c.antenna.coils.size() == 1);
  const wire::WireCoil& coil = c.antenna.coils.front();
  CHECK(coil.wire == 0);
  CHECK(coil.distance_m == 1.2);
  CHECK(coil.length_m == 20e-3);
  CHECK(coil.inductance_h == 38e-6);
  CHECK(coil.q == 250.0);
  CHECK(coil.self_capacitance_f == 1e-12);
}

TEST_CASE("grounds metals and the feed may be stated in other ways") {
  const auto first = [](const std::string& text) { return read_wires(text, "whip.toml").front(); };
  const std::string numbers = "[ground]\nrelative_permittivity = 15\nconductivity = \"1 mS/m\"\n";
  CHECK(first(changed(drawn, numbers, "ground = \"wet\"\n")).ground.relative_permittivity == 30.0);
  CHECK(first(changed(drawn, numbers, "[ground]\nkind = \"sea\"\n")).ground.conductivity_s_m == 5.0);
  // What the library and --ground take, a file takes: wire::ground_permittivity_range.
  CHECK(first(changed(drawn, "relative_permittivity = 15", "relative_permittivity = 1000"))
            .ground.relative_permittivity == wire::ground_permittivity_range.high);
  CHECK(first(changed(drawn, numbers, "[ground]\nkind = \"free space\"\n")).ground.kind ==
        wire::GroundKind::free_space);
  CHECK(!first(changed(drawn, "metal = \"stainless steel\"", "metal = \"perfect\"")).antenna.wires[0].conductivity_s_m);
  CHECK(first(changed(drawn, "metal = \"stainless steel\"", "metal = \"steel\"\npermeability = 80"))
            .antenna.wires[0]
            .relative_permeability == 80.0);
  CHECK(first(changed(drawn, "[feed]\n", "[feed]\non = \"counterpoise\"\n")).antenna.feed.wire == 1);
  CHECK(first(changed(drawn, "length = \"20 mm\"\n", "")).antenna.coils.front().length_m == 0.0);
}

TEST_CASE("a lone whip stands on perfect ground") {
  const auto c =
      read_wires("ground = \"perfect\"\n[[wire]]\nname = \"whip\"\npoints = [[0,0,0],[0,0,2.4]]\nradius = 0.002\n"
                 "metal = \"perfect\"\n[feed]\ngap = 0.01\n",
                 "whip.toml")
          .front();
  // Row M3 of tests/data/wire/cases.csv.
  const wire::AntennaSolution s = wire::solve_antenna(c.antenna, c.ground, 14e6);
  CHECK(std::abs(s.feed_ohm.real() - 5.069) <= 0.203);
  CHECK(std::abs(s.feed_ohm.imag() + 418.474) <= 6.28);
}

TEST_CASE("each condition is an antenna and a ground of its own") {
  std::string text = drawn;
  for (const std::string& kind : detail::wire_condition_kinds())
    text += "[[condition]]\nname = \"" + kind + "!\"\nkind = \"" + kind + "\"\n";
  const std::vector<wire::WireCase> cases = read_wires(text, "whip.toml");
  REQUIRE(cases.size() == 15);
  std::vector<std::string> hands;
  for (const wire::WireCase& c : cases) {
    if (c.name.starts_with("hand on set!")) hands.push_back(c.name.substr(12));
  }
  CHECK(hands == std::vector<std::string>{": open", ": 60 pF", ": 0 ohm", ": 300 ohm", ": 1000 ohm"});
  const auto& named = [&](const std::string& kind) -> const wire::WireCase& {
    for (const wire::WireCase& c : cases) {
      if (c.name == kind + "!" || c.name == kind + "!: 300 ohm") return c;
    }
    throw std::runtime_error(kind);
  };
  CHECK(height_m(named("as drawn"), 1, 2) == 0.05);
  CHECK(height_m(named("lifted"), 1, 1) == 1.2);
  CHECK(named("lifted").antenna.wires[1].points[1].x_m == wire::wire_length_m(cases[0].antenna.wires[1]));
  CHECK(std::abs(height_m(named("trailing"), 1, 2) - 0.05) <= 1e-12);
  CHECK(std::abs(named("trailing").antenna.wires[1].points[2].x_m - 6.2) <= 1e-12);  // the drawing itself
  CHECK(named("trailing").ground.relative_permittivity == 15.0);
  CHECK(named("trailing dry").ground.relative_permittivity == 3.0);
  CHECK(named("lying wet").ground.relative_permittivity == 30.0);
  CHECK(named("on water").ground.relative_permittivity == 80.0);
  CHECK(height_m(named("on water"), 1, 2) < 0.01);
  CHECK(std::abs(height_m(named("leaning"), 0, 1) - (1.2 + 2.4 * std::cos(std::numbers::pi / 6.0))) <= 1e-12);
  CHECK(named("torn off").antenna.wires.size() == 3);  // whip, frame, lead
  const std::size_t person = 8;                        // trunk, head, two legs, two soles, two arms
  CHECK(named("operator near").antenna.wires.size() == 2 + person);
  CHECK(named("with set").antenna.wires.size() == 2 + 3 + person);
  CHECK(named("hand on set").antenna.wires.size() == 2 + 3 + person);
  REQUIRE(named("hand on set").hand);
  CHECK(named("hand on set").antenna.lumps[*named("hand on set").hand].resistance_ohm == 0.0);  // it is in the arm
  CHECK(!named("with set").hand);
  CHECK(named("lifted").changes == std::vector<std::string>{"wire \"counterpoise\" is level at 1.2 m"});
  CHECK(named("as drawn").changes.empty());
  CHECK(named("torn off").changes == std::vector<std::string>{"wire \"counterpoise\" is torn off",
                                                              "frame and lead of the usual size are the counterpoise"});
  CHECK(wire::has_lying_corner(named("as drawn"), 7e6));
  CHECK(!wire::has_lying_corner(named("lifted"), 7e6));
  for (const wire::WireCase& c : cases) {
    INFO(c.name);
    CHECK(c.antenna.coils.size() == 1);
    CHECK(c.antenna.feed.base_capacitance_f == 3e-12);
    CHECK(c.antenna.wires[0].conductivity_s_m == 1.4e6);
  }
}

TEST_CASE("a condition states what differs") {
  const std::vector<wire::WireCase> cases = read_wires(drawn + R"toml([set]
frame_length = "50 cm"
lead_length = 0
[person]
distance = "0.6 m"
height = "1.9 m"
[[condition]]
name = "wet"
kind = "trailing"
ground = { relative_permittivity = 40, conductivity = "20 mS/m" }
lying_height = "12 mm"
drop_distance = "2 m"
[[condition]]
name = "leaning far"
kind = "leaning"
lean_degrees = 60
ground = "very dry"
[[condition]]
name = "set alone"
kind = "torn off"
[[condition]]
name = "tall friend"
kind = "operator near"
)toml",
                                                       "whip.toml");
  REQUIRE(cases.size() == 4);
  CHECK(cases[0].ground.relative_permittivity == 40.0);
  CHECK(cases[0].ground.conductivity_s_m == 0.02);
  CHECK(height_m(cases[0], 1, 1) == 0.012);
  CHECK(cases[0].antenna.wires[1].points[1].x_m == 2.0);
  CHECK(cases[1].ground.relative_permittivity == 3.0);
  CHECK(std::abs(height_m(cases[1], 0, 1) - 2.4) <= 1e-12);
  REQUIRE(cases[2].antenna.wires.size() == 2 + 8);  // whip and frame, no lead; the person
  CHECK(std::abs(height_m(cases[2], 1, 1) - 0.7) <= 1e-12);
  const wire::Wire& trunk = cases[3].antenna.wires[3];  // behind whip, wire, frame
  CHECK(trunk.name == "person's trunk");
  CHECK(trunk.points[0].x_m == -0.6);
  CHECK(height_m(cases[3], 4, 1) == 1.9);  // the head's top
  CHECK(cases[3].carried);
}

TEST_CASE("wires are stated by their lengths and bundled by their direction") {
  const std::string bundle = R"toml(ground = "average"
[[wire]]
name = "whip"
points = [[1, 2, 1.2], [1, 2, 4.2]]
radius = "1.5 mm"
metal = "stainless steel"
[[wire]]
name = "long"
length = "8 m"
radius = "0.5 mm"
metal = "copper"
[[wire]]
name = "short"
length = "5 m"
drop = "1 m"
lying_height = "30 mm"
doubled_back = "1.5 m"
radius = "0.5 mm"
metal = "copper"
[[wire]]
name = "raised"
length = "3 m"
lying_height = "1.2 m"
direction_degrees = 120
coiled = "0.5 m"
radius = "0.5 mm"
metal = "copper"
[feed]
gap = "20 mm"
[[condition]]
name = "as it is"
[[condition]]
name = "one gone"
kind = "torn off"
without = ["long"]
[[condition]]
name = "wet"
kind = "lying wet"
[[condition]]
name = "up"
kind = "lifted"
[[condition]]
name = "over"
kind = "leaning"
[[condition]]
name = "without the hank"
without = ["raised"]
)toml";
  const std::vector<wire::WireCase> cases = read_wires(bundle, "whip.toml");
  REQUIRE(cases.size() == 6);
  CHECK(cases[5].antenna.wires.size() == 3);
  const auto wire = [&](std::size_t c, const std::string& name) -> const wire::Wire& {
    for (const wire::Wire& w : cases.at(c).antenna.wires) {
      if (w.name == name) return w;
    }
    throw std::runtime_error(name);
  };
  CHECK(std::abs(wire::wire_length_m(wire(0, "long")) - 8.0) <= 1e-9);
  CHECK(std::abs(wire::wire_length_m(wire(0, "short")) - 5.0) <= 1e-3);
  CHECK(std::abs(wire::wire_length_m(wire(0, "raised")) - 2.5) <= 1e-9);  // half a metre is a hank
  CHECK(wire(0, "raised, coiled end").points.size() == 2);
  CHECK(wire(0, "long").points.back().z_m == 0.02);
  CHECK(wire(0, "short").points[1].z_m == 0.03);
  CHECK(std::abs(wire(0, "raised").points.back().y_m - 2.0 - 2.5 * std::sin(120.0 * std::numbers::pi / 180.0)) <= 1e-9);
  // Side by side: 20 mm from the long one to the near side of the doubled one, which is 0.1 m wide.
  CHECK(std::abs(wire(0, "short").points[1].y_m - wire(0, "long").points[1].y_m - 0.02) <= 1e-9);
  CHECK(cases[1].antenna.wires.size() == 4);
  CHECK(cases[1].changes == std::vector<std::string>{"wire \"long\" is torn off"});
  CHECK(wire(1, "raised").points.back().z_m == 1.2);   // raised wires stay raised
  CHECK(wire(2, "raised").points.back().z_m == 0.02);  // unless the condition lays them
  CHECK(cases[2].changes == std::vector<std::string>{"the ground is wet", "wire \"raised\" lies at 0.02 m"});
  for (const char* name : {"long", "short", "raised"}) CHECK(wire(3, name).points.back().z_m == 1.2);
  CHECK(wire(4, "raised").points.back().z_m == 1.2);
  for (const wire::WireCase& c : cases) CHECK(wire::solve_antenna(c.antenna, c.ground, 7.1e6).feed_ohm.real() > 0.0);

  const auto refused = [&](const std::string& find, const std::string& replace, const std::string& expected) {
    CHECK(message(changed(bundle, find, replace)) == "whip.toml:" + expected);
  };
  refused("length = \"8 m\"\n", "", "7:1: [[wire]] 2 needs either \"points\" or a \"length\"");
  refused("points = [[1, 2, 1.2], [1, 2, 4.2]]", "length = 3",
          "4:10: the feed stands on this wire, which needs \"points\"; a wire of \"length\" hangs from it");
  refused("points = [[1, 2, 1.2], [1, 2, 4.2]]", "points = [[1, 2, 1.2], [1, 2, 4.2]]\ndrop = 1",
          "5:8: \"drop\" stands in place of \"points\", not beside them");
  refused(
      "doubled_back = \"1.5 m\"", "doubled_back = \"2.5 m\"",
      "14:10: wire \"short\": 2.5 m doubled back and 0 m coiled leave 2.4 m of its 5 m for the way out, which must be "
      "longer than the way back");
}

TEST_CASE("set and person are in every condition of a file that has them") {
  const std::string bodies =
      "[set]\n[person]\n[[condition]]\nname = \"a\"\n[[condition]]\nname = \"b\"\nkind = \"lifted\"\n"
      "[[condition]]\nname = \"c\"\nkind = \"torn off\"\n[[condition]]\nname = \"d\"\n"
      "kind = \"hand on set\"\ncontact = { resistance = \"1 kohm\", capacitance = \"60 pF\" }\n";
  const std::vector<wire::WireCase> cases = read_wires(drawn + bodies, "whip.toml");
  REQUIRE(cases.size() == 4);
  for (const wire::WireCase& c : cases) {
    CHECK(c.carried);
    CHECK(c.antenna.wires.size() == (c.name == "c" ? 12 : 13));
  }
  REQUIRE(cases[3].hand);
  const wire::Wire& arm = cases[3].antenna.wires[cases[3].antenna.lumps[*cases[3].hand].wire];
  const double area_m2 = std::numbers::pi * arm.radius_m * arm.radius_m;
  CHECK(std::abs(wire::wire_length_m(arm) / (area_m2 * *arm.conductivity_s_m) - 1000.0) <= 1e-9);
  CHECK(cases[3].antenna.lumps[*cases[3].hand].capacitance_f == 60e-12);
  CHECK(cases[3].changes ==
        std::vector<std::string>{"the right hand is on the set through 1000 ohm, 60 pF, the arm inside"});
  const wire::WireCase whole = read_wires(drawn + "[set]\nworn = \"on the frame\"\n", "whip.toml").front();
  CHECK(whole.antenna.wires.size() == 4);  // no box
  CHECK(!whole.carried);
  CHECK(!read_wires(drawn, "whip.toml").front().carried);
  CHECK(message(drawn + "[set]\nworn = \"on the head\"\n") ==
        "whip.toml:26:8: \"worn\" must be \"in front\" or \"on the frame\"");
  CHECK(message(drawn + "[set]\nframe_length = 2\n") ==
        "whip.toml:26:16: the frame's length of 2 m must be > 0 and below the base's height of 1.2 m");
  CHECK(message(drawn + "[person]\ndistance = 0.1\n").find("whip.toml:26:12: wire \"whip\" (piece 1) and wire") == 0);
  CHECK(message(drawn + "[set]\nlead_length = \"4 mm\"\n") ==
        "whip.toml:26:15: the lead's length of 0.004 m must be 0 or more than 20 of its radii of 0.001 m");
  CHECK(message(drawn + "[set]\nlead_radius = \"0.2 m\"\n") ==
        "whip.toml:26:15: the lead's length of 1 m must be 0 or more than 20 of its radii of 0.2 m");
  CHECK(message(changed(drawn, "relative_permittivity = 15\nconductivity = \"1 mS/m\"", "kind = \"free space\"") +
                "[person]\n") == "whip.toml:24:1: a person needs a lossy ground to stand on");
  CHECK(
      message(changed(changed(drawn, "name = \"counterpoise\"", "name = \"lead\""), "on = \"whip\"", "on = \"whip\"") +
              "[set]\n") == "whip.toml:10:8: the name \"lead\" is taken by [set]");
}

TEST_CASE("a contact that is a range stands in the middle of it, with both ends behind") {
  const std::vector<wire::WireCase> cases = read_wires(
      drawn + "[set]\n[person]\n[[condition]]\nname = \"d\"\nkind = \"hand on set\"\ncontact = { resistance = "
              "[\"200 ohm\", \"1000 ohm\"] }\n",
      "whip.toml");
  REQUIRE(cases.size() == 3);
  CHECK(cases[0].name == "d");
  CHECK(cases[0].corner_of.empty());
  CHECK(cases[0].contact_ohm == 600.0);  // by hand: half-way
  CHECK(cases[1].name == "d, contact 200 ohm");
  CHECK(cases[1].contact_ohm == 200.0);
  CHECK(cases[2].name == "d, contact 1 kohm");
  CHECK(cases[2].contact_ohm == 1000.0);
  for (std::size_t n = 1; n < 3; ++n) CHECK(cases[n].corner_of == "d");
}

TEST_CASE("a drawing may be used without some of its wires") {
  const std::string hat =
      "[[wire]]\nname = \"second\"\npoints = [[0, 0, 1.2], [0, 3, 1.2]]\nradius = 0.001\nmetal = \"copper\"\n"
      "[[condition]]\nname = \"both\"\n[[condition]]\nname = \"one\"\nwithout = [\"counterpoise\"]\n";
  const std::vector<wire::WireCase> cases = read_wires(drawn + hat, "whip.toml");
  REQUIRE(cases.size() == 2);
  CHECK(cases[0].antenna.wires.size() == 3);
  REQUIRE(cases[1].antenna.wires.size() == 2);
  CHECK(cases[1].antenna.wires[1].name == "second");
  const auto coil_moves = read_wires(
      changed(changed(drawn, "on = \"whip\"", "on = \"second\""), "[feed]\n", "[feed]\non = \"whip\"\n") + hat,
      "whip.toml");
  CHECK(coil_moves[1].antenna.coils.front().wire == 1);
}

TEST_CASE("what is wrong in a wires file is told at its place") {
  const std::vector<Change> changes = {
      {"[ground]", "[grund]",
       "1:1: the file needs the table [ground]\nwhip.toml:1:2: unknown key \"grund\" in the file; legal: ground, wire, "
       "feed, coil, lump, condition, set, person"},
      {"relative_permittivity = 15\n", "", "1:1: [ground] needs the key \"relative_permittivity\""},
      {"relative_permittivity = 15", "relative_permittivity = 0.5",
       "2:25: \"relative_permittivity\" in [ground] is 0.5; plausible for the relative permittivity of a ground: 1 to "
       "1000"},
      {"\"1 mS/m\"", "\"1 mS\"", "3:19: \"1 mS\": no such unit \"mS\"; legal: mS/m S/m"},
      {"\"1 mS/m\"", "\"-1 mS/m\"", "3:16: \"conductivity\" in [ground] is -1 mS/m and must be >= 0"},
      {"relative_permittivity = 15\nconductivity = \"1 mS/m\"", "kind = \"mud\"",
       "2:8: no ground \"mud\"; known are \"free space\", \"perfect\", \"sea\", \"wet\", \"average\", \"medium dry\", "
       "\"very dry\", \"fresh water\""},
      {"relative_permittivity = 15", "kind = \"wet\"",
       "2:8: [ground] needs either a \"kind\" or both \"relative_permittivity\" and \"conductivity\""},
      {"relative_permittivity = 15", "relative_permittivity = 1001",
       "2:25: \"relative_permittivity\" in [ground] is 1001; plausible for the relative permittivity of a ground: 1 to "
       "1000"},
      {"name = \"whip\"\n", "", "4:1: [[wire]] 1 needs the key \"name\""},
      {"name = \"whip\"", "name = \"counterpoise\"", "10:8: the name \"counterpoise\" is taken"},
      {"[0, 0, \"3.6 m\"]", "[0, 0]", "6:24: each item of \"points\" in [[wire]] 1 must be an array of 3 numbers"},
      {"[0, 0, \"3.6 m\"]", "[0, 0, \"3.6 kg\"]",
       "6:36: \"3.6 kg\": \"kg\" is not a unit of length; legal: um mm cm m km ft in"},
      {"points = [[0, 0, 1.2], [0, 0, \"3.6 m\"]]", "points = 3",
       "6:10: \"points\" in [[wire]] 1 must be an array of arrays of 3 numbers, not a number"},
      {"[0, 0, \"3.6 m\"]", "[0, 0, -3.6]", "6:10: wire \"whip\": point 2 lies 3.6 m below the ground"},
      {"[0, 0, \"3.6 m\"]", "[0, 0, 1.2]", "6:10: wire \"whip\": points 1 and 2 are the same"},
      {"radius = \"2 mm\"", "radius = \"0 mm\"", "7:10: \"radius\" in [[wire]] 1 is 0 m and must be > 0"},
      {"radius = \"2 mm\"", "radius = \"5 m\"",
       "7:10: \"radius\" in [[wire]] 1 is 5 m; plausible for the radius of a wire: 5 um to 200 mm; was a unit "
       "meant, "
       "such as \"5 mm\"? (a bare number is in m)"},
      {"[0, 0, \"3.6 m\"]", "[0, 0, 1.21]",
       "7:10: wire \"whip\": radius 0.002 m is above a tenth of the straight piece of 0.01 m from point 1"},
      {"metal = \"stainless steel\"", "metal = \"gold\"",
       "8:9: no metal \"gold\"; known are \"copper\", \"hard-drawn copper\", \"tinned copper\", \"silver\", "
       "\"aluminium\", "
       "\"aluminium 6063\", \"brass\", \"phosphor bronze\", \"beryllium copper\", \"tin\", \"stainless steel\", "
       "\"steel\", "
       "\"perfect\""},
      {"metal = \"stainless steel\"", "metal = \"steel\"\npermeability = 0.5",
       "9:16: \"permeability\" in [[wire]] 1 is 0.5; plausible for a relative permeability: 1 to 100000"},
      {"metal = \"stainless steel\"\n", "", "4:1: [[wire]] 1 needs either a \"metal\" by name or a \"conductivity\""},
      {"[6.2, 0, 0.05]", "[6.2, 0, 0.001]",
       "11:10: wire \"counterpoise\": point 3 is 0.001 m above lossy ground, but no wire may come nearer than 0.005 m "
       "(5 radii, and outside its insulation)"},
      {"relative_permittivity = 3 }", "relative_permittivity = 0.3 }",
       "14:62: \"relative_permittivity\" in [[wire]] 2 insulation is 0.3; plausible for the relative "
       "permittivity of an insulation: 1 to 20"},
      {"[1.2, 0, 0.05], [6.2, 0, 0.05]", "[1.2, 0, 2.0], [-1.2, 0, 2.0]",
       "6:10: wire \"whip\" (piece 1) and wire \"counterpoise\" (piece 2) cross or touch without joining: wires join "
       "only where points of both coincide"},
      {"gap = \"10 mm\"\n", "", "15:1: [feed] needs the key \"gap\""},
      {"gap = \"10 mm\"", "gap = \"8 m\"",
       "16:7: \"gap\" in [feed] is 8 m; plausible for a feed gap: 500 um to 500 mm; was a unit meant, such as \"8 "
       "mm\"? "
       "(a bare number is in m)"},
      {"[feed]", "[feed]\non = \"top\"", "16:6: no wire is called \"top\"; there are: whip, counterpoise"},
      {"on = \"whip\"", "on = \"mast\"", "19:6: no wire is called \"mast\"; there are: whip, counterpoise"},
      {"distance = \"1.2 m\"", "distance = \"3 m\"",
       "20:12: coil 1: 2.99 m to 3.01 m along wire \"whip\" is not within one straight piece of it"},
      {"inductance = \"38 uH\"", "inductance = \"38 uF\"",
       "22:18: \"38 uF\": \"uF\" is not a unit of inductance; legal: pH nH uH mH H"},
      {"q = 250", "q = 0", "23:5: \"q\" in [[coil]] 1 is 0 and must be > 0"},
  };
  for (const Change& c : changes) {
    INFO("instead of: " << c.find << "\nstands: " << c.replace);
    CHECK(message(changed(drawn, c.find, c.replace)) == "whip.toml:" + c.message);
  }
  CHECK(message("[ground]\nkind = \"wet\"\n") == "whip.toml:1:1: the file needs at least one [[wire]]\nwhip.toml:1:1: "
                                                 "the file needs the table [feed] with \"gap\"");
  CHECK(message(changed(drawn, "[feed]\ngap = \"10 mm\"\nbase_capacitance = \"3 pF\"\n", "")) ==
        "whip.toml:1:1: the file needs the table [feed] with \"gap\"");
  CHECK(message("wire = [\n").find("whip.toml:") == 0);
}

TEST_CASE("a value that no antenna has is refused at its place, with the question for its unit where it has one") {
  struct Row {
    const char *find, *replace, *place, *end;
  };
  const std::string everything =
      drawn + "[[wire]]\nname = \"trail\"\nlength = \"5 m\"\ndrop = \"1 m\"\nlying_height = \"30 mm\"\n"
              "doubled_back = \"0.5 m\"\ncoiled = \"0.3 m\"\ndirection_degrees = 90\nradius = \"0.7 mm\"\n"
              "metal = \"copper\"\n[[lump]]\non = \"counterpoise\"\ndistance = \"2 m\"\nresistance = \"30 ohm\"\n"
              "inductance = \"40 uH\"\nq = 3\ncapacitance = \"61 pF\"\n[set]\nframe_length = \"0.6 m\"\n"
              "frame_radius = \"4 mm\"\nlead_length = \"1 m\"\nlead_radius = \"1.1 mm\"\n[person]\n"
              "distance = \"0.4 m\"\nradius = \"0.1 m\"\nheight = \"1.75 m\"\nconductivity = \"0.6 S/m\"\n"
              "foot_capacitance = \"95 pF\"\n[[condition]]\nname = \"a\"\nkind = \"hand on set\"\n"
              "lying_height = \"12 mm\"\ndrop_distance = \"2 m\"\ncontact = { resistance = \"1 kohm\", capacitance = "
              "\"62 pF\" }\n[[condition]]\nname = \"b\"\nkind = \"leaning\"\nlean_degrees = 40\n";
  REQUIRE(read_wires(everything, "whip.toml").size() == 2);
  const std::vector<Row> rows = {
      {"[0, 0, \"3.6 m\"]", "[0, 0, 4200]", "\"points\" in [[wire]] 1 is 4.2 km;", "such as \"4.2 m\"? "},
      {"radius = \"2 mm\"", "radius = 0.5", "\"radius\" in [[wire]] 1 is 500 mm;", "such as \"500 um\"? "},
      {"\"58e6 S/m\"", "58", "\"conductivity\" in [[wire]] 2 is 58 S/m;", "such as \"58000 S/m\"? "},
      {"\"0.4 mm\"", "0.4", "\"thickness\" in", "such as \"400 um\"? "},
      {"base_capacitance = \"3 pF\"", "base_capacitance = 3", "\"base_capacitance\" in [feed]", "such as \"3 pF\"? "},
      {"gap = \"10 mm\"", "gap = \"10 mm\"\nbase_leakage = \"1 mohm\"", "\"base_leakage\" in [feed]", "? "},
      {"\"1.2 m\"", "1200", "\"distance\" in [[coil]] 1", "such as \"1.2 m\"? "},
      {"length = \"20 mm\"", "length = 20", "\"length\" in [[coil]] 1", "such as \"20 mm\"? "},
      {"\"38 uH\"", "38", "\"inductance\" in [[coil]] 1", "such as \"38 uH\"? "},
      {"q = 250", "q = 1e12", "\"q\" in [[coil]] 1", "1000000"},
      {"\"1 pF\"", "1", "\"self_capacitance\" in [[coil]] 1", "such as \"1 pF\"? "},
      {"length = \"5 m\"", "length = 5000", "\"length\" in [[wire]] 3", "such as \"5 m\"? "},
      {"drop = \"1 m\"", "drop = 1000", "\"drop\" in [[wire]] 3", "such as \"1 m\"? "},
      {"\"30 mm\"", "10", "\"lying_height\" in [[wire]] 3 is 10 m;", "such as \"10 mm\"? "},
      {"\"0.5 m\"", "500", "\"doubled_back\" in [[wire]] 3", "such as \"500 mm\"? "},
      {"\"0.3 m\"", "300", "\"coiled\" in [[wire]] 3", "such as \"300 mm\"? "},
      {"direction_degrees = 90", "direction_degrees = 900", "\"direction_degrees\" in [[wire]] 3", "-360 to 360"},
      {"distance = \"2 m\"\nres", "distance = 2000\nres", "\"distance\" in [[lump]] 1", "such as \"2 m\"? "},
      {"\"30 ohm\"", "3e9", "\"resistance\" in [[lump]] 1", "(a bare number is in ohm)"},
      {"\"40 uH\"", "40", "\"inductance\" in [[lump]] 1", "such as \"40 uH\"? "},
      {"q = 3\n", "q = 1e-3\n", "\"q\" in [[lump]] 1", "1000000"},
      {"\"61 pF\"", "61", "\"capacitance\" in [[lump]] 1", "such as \"61 pF\"? "},
      {"frame_length = \"0.6 m\"", "frame_length = 60", "\"frame_length\" in [set]", "such as \"60 mm\"? "},
      {"\"4 mm\"", "4", "\"frame_radius\" in [set]", "such as \"4 mm\"? "},
      {"lead_length = \"1 m\"", "lead_length = 1000", "\"lead_length\" in [set]", "such as \"1 m\"? "},
      {"\"1.1 mm\"", "1.1", "\"lead_radius\" in [set]", "such as \"1.1 mm\"? "},
      {"distance = \"0.4 m\"", "distance = 400", "\"distance\" in [person]", "such as \"400 mm\"? "},
      {"\"0.1 m\"", "100", "\"radius\" in [person]", "such as \"100 mm\"? "},
      {"\"1.75 m\"", "1750", "\"height\" in [person]", "such as \"1.75 m\"? "},
      {"\"0.6 S/m\"", "600", "\"conductivity\" in [person]", "such as \"600 mS/m\"? "},
      {"\"95 pF\"", "95", "\"foot_capacitance\" in [person]", "such as \"95 pF\"? "},
      {"\"12 mm\"", "12", "\"lying_height\" in [[condition]] 1", "such as \"12 mm\"? "},
      {"drop_distance = \"2 m\"", "drop_distance = 2000", "\"drop_distance\" in [[condition]] 1", "such as \"2 m\"? "},
      {"\"1 kohm\"", "1e9", "\"resistance\" in [[condition]] 1 contact", "(a bare number is in ohm)"},
      {"\"62 pF\"", "62", "\"capacitance\" in [[condition]] 1 contact", "such as \"62 pF\"? "},
      {"lean_degrees = 40", "lean_degrees = 400", "\"lean_degrees\" in [[condition]] 2", "0 to 80"},
  };
  for (const Row& row : rows) {
    const std::string error = message(changed(everything, row.find, row.replace));
    INFO("instead of: " << row.find << "\nstands: " << row.replace << "\n" << error);
    CHECK(error.find(std::string(": ") + row.place) != std::string::npos);
    CHECK(error.find("; plausible for ") != std::string::npos);
    CHECK(error.find(row.end) != std::string::npos);
    CHECK((error.find("meant") != std::string::npos) ==
          (std::string(row.end).find_first_of("?(") != std::string::npos));
  }
}

TEST_CASE("lumps and a leaking base of a wires file") {
  const std::string lumps =
      changed(drawn, "base_capacitance = \"3 pF\"\n", "base_capacitance = \"3 pF\"\nbase_leakage = \"100 kohm\"\n") +
      "[[lump]]\non = \"counterpoise\"\ndistance = \"2 m\"\ninductance = \"40 uH\"\nq = 3\n"
      "[[lump]]\non = \"whip\"\ndistance = 0\nresistance = \"300 ohm\"\ncapacitance = \"60 pF\"\n";
  const wire::WireCase c = read_wires(lumps, "whip.toml").front();
  CHECK(c.antenna.feed.base_leakage_ohm == 100e3);
  REQUIRE(c.antenna.lumps.size() == 2);
  CHECK(c.antenna.lumps[0].wire == 1);
  CHECK(c.antenna.lumps[0].distance_m == 2.0);
  CHECK(c.antenna.lumps[0].resistance_ohm == 0.0);
  CHECK(c.antenna.lumps[0].inductance_h == 40e-6);
  CHECK(c.antenna.lumps[0].q == 3.0);
  CHECK(std::isinf(c.antenna.lumps[0].capacitance_f));
  CHECK(c.antenna.lumps[1].wire == 0);
  CHECK(c.antenna.lumps[1].resistance_ohm == 300.0);
  CHECK(c.antenna.lumps[1].capacitance_f == 60e-12);
  const wire::WireCase gone =
      read_wires(lumps + "[[wire]]\nname = \"second\"\npoints = [[0, 0, 1.2], [0, 3, 1.2]]\nradius = "
                         "0.001\nmetal = \"copper\"\n[[condition]]\nname = \"a\"\n"
                         "without = [\"counterpoise\"]\n",
                 "whip.toml")
          .front();
  REQUIRE(gone.antenna.lumps.size() == 1);
  CHECK(gone.antenna.lumps[0].resistance_ohm == 300.0);

  const auto refused = [](const std::string& lines, const std::string& expected) {
    INFO(lines);
    CHECK(message(drawn + "[[lump]]\n" + lines) == "whip.toml:" + expected);
  };
  refused("on = \"mast\"\ndistance = 1\nresistance = 3\n",
          "26:6: no wire is called \"mast\"; there are: whip, counterpoise");
  refused("on = \"whip\"\nresistance = 3\n", "25:1: [[lump]] 1 needs the key \"distance\"");
  refused("on = \"whip\"\ndistance = 1\n",
          "25:1: [[lump]] 1 needs at least one of \"resistance\", \"inductance\" (with \"q\") and \"capacitance\"");
  refused("on = \"whip\"\ndistance = 1\nresistance = 1\nq = 3\n", "29:5: \"q\" is that of an \"inductance\"");
  refused("on = \"whip\"\ndistance = 7\nresistance = 1\n",
          "27:12: lump 1: 7 m is off wire \"whip\", which is 2.4 m long");
  refused("on = \"whip\"\ndistance = 1\nwidth = 1\nresistance = 3\n",
          "28:1: unknown key \"width\" in [[lump]] 1; legal: on, distance, resistance, inductance, capacitance, q");
}

TEST_CASE("a lump may be in the set and follows it into every condition") {
  const std::string lump = "[[lump]]\non = \"lead\"\ndistance = \"0.3 m\"\ninductance = \"40 uH\"\nq = 3\n";
  const std::vector<wire::WireCase> cases =
      read_wires(drawn + "[set]\n[person]\n" + lump +
                     "[[condition]]\nname = \"a\"\n[[condition]]\nname = \"b\"\nkind = \"torn off\"\n"
                     "[[condition]]\nname = \"c\"\nkind = \"hand on set\"\ncontact = { resistance = 0 }\n",
                 "whip.toml");
  REQUIRE(cases.size() == 3);
  for (const wire::WireCase& c : cases) {
    INFO(c.name);
    REQUIRE(c.antenna.lumps.size() == (c.hand ? 4 : 3));  // two soles, the hand
    CHECK(c.antenna.wires[c.antenna.lumps[0].wire].name == "lead");
    CHECK(c.antenna.lumps[0].inductance_h == 40e-6);
    CHECK(c.antenna.lumps[0].q == 3.0);
  }
  CHECK(message(drawn + lump) == "whip.toml:26:6: no wire is called \"lead\"; there are: whip, counterpoise");
  CHECK(message(drawn + "[set]\nlead_length = 0\n" + lump) ==
        "whip.toml:28:6: no wire is called \"lead\"; there are: whip, counterpoise, frame");
  CHECK(message(drawn + "[set]\n" + changed(lump, "0.3 m", "3 m")) ==
        "whip.toml:28:12: lump 1: 3 m is off wire \"lead\", which is 1 m long");
}

TEST_CASE("a base beside a set has a capacitance and a wet surface unless the file says otherwise") {
  const auto feed = [](const std::string& base, const std::string& more) {
    return read_wires(changed(drawn, "base_capacitance = \"3 pF\"\n", base) + more, "whip.toml").front().antenna.feed;
  };
  CHECK(feed("", "").base_capacitance_f == 0.0);
  CHECK(std::isinf(feed("", "").base_leakage_ohm));
  CHECK(feed("", "[set]\n").base_capacitance_f == 5e-12);
  CHECK(feed("", "[set]\n").base_leakage_ohm == 1e6);
  const wire::Feed stated = feed("base_capacitance = \"3 pF\"\nbase_leakage = \"50 kohm\"\n", "[set]\n");
  CHECK(stated.base_capacitance_f == 3e-12);
  CHECK(stated.base_leakage_ohm == 50e3);
  const wire::Feed none = feed("base_capacitance = \"none\"\nbase_leakage = \"none\"\n", "[set]\n");
  CHECK(none.base_capacitance_f == 0.0);
  CHECK(std::isinf(none.base_leakage_ohm));
}

TEST_CASE("the spread of a person is run as corners behind each condition") {
  const std::string text = drawn + "[set]\n[person]\nconductivity = \"0.5 S/m\"\n[[condition]]\nname = \"a\"\n"
                                   "[[condition]]\nname = \"b\"\nkind = \"hand on set\"\ncontact = \"open\"\n";
  const std::vector<wire::WireCase> cases = read_wires(text, "whip.toml", {true});
  std::vector<std::string> names;
  for (const wire::WireCase& c : cases) names.push_back(c.name);
  CHECK(names == std::vector<std::string>{"a", "a, person's conductivity -30 %", "a, person's conductivity +30 %",
                                          "a, person's height -0.15 m", "a, person's height +0.15 m", "b",
                                          "b, person's conductivity -30 %", "b, person's conductivity +30 %",
                                          "b, person's height -0.15 m", "b, person's height +0.15 m"});
  CHECK(cases[0].corner_of.empty());
  CHECK(cases[6].corner_of == "b");
  CHECK(cases[6].changes.back() == "person's conductivity -30 %");
  const auto trunk = [&](std::size_t n) { return cases[n].antenna.wires[5]; };
  REQUIRE(trunk(0).name == "person's trunk");
  CHECK(std::abs(*trunk(1).conductivity_s_m - 0.35) <= 1e-12);
  CHECK(std::abs(*trunk(2).conductivity_s_m - 0.65) <= 1e-12);
  CHECK(std::abs(trunk(3).points[1].z_m - 0.82 * 1.6) <= 1e-12);
  CHECK(std::abs(trunk(4).points[1].z_m - 0.82 * 1.9) <= 1e-12);
  CHECK(parse_error([&] { read_wires(drawn, "whip.toml", {true}); }) ==
        "whip.toml:1:1: the spread of a person needs the table [person]");
}

TEST_CASE("a condition with a ground of its own says so, and no more of another") {
  const std::vector<wire::WireCase> cases = read_wires(
      drawn + "[[condition]]\nname = \"a\"\nground = \"sea\"\n[[condition]]\nname = \"b\"\nkind = \"lying wet\"\n"
              "ground = { relative_permittivity = 40, conductivity = \"20 mS/m\" }\n",
      "whip.toml");
  CHECK(cases[0].changes == std::vector<std::string>{"the ground is sea"});
  CHECK(cases[1].changes == std::vector<std::string>{"the ground is relative permittivity 40, 20 mS/m"});
}

TEST_CASE("what is wrong in a condition is told at its place") {
  const auto refused = [](const std::string& lines, const std::string& expected) {
    INFO(lines);
    CHECK(message(drawn + "[[condition]]\n" + lines) == "whip.toml:" + expected);
  };
  refused("kind = \"lifted\"\n", "25:1: [[condition]] 1 needs the key \"name\"");
  refused("name = \"a\"\nkind = \"flying\"\n",
          "27:8: no condition is of the kind \"flying\"; legal: as drawn, lifted, trailing dry, trailing, lying wet, "
          "on water, leaning, torn off, operator near, with set, hand on set");
  refused("name = \"a\"\n[[condition]]\nname = \"a\"\n", "28:8: the name \"a\" is taken");
  refused("name = \"a\"\nlean_degrees = 3\n", "27:16: \"lean_degrees\" needs another \"kind\" than \"as drawn\"");
  refused("name = \"a\"\nkind = \"leaning\"\nlean_degrees = 89\n",
          "28:16: \"lean_degrees\" in [[condition]] 1 is 89; plausible for a lean in degrees: 0 to 80");
  refused("name = \"a\"\nkind = \"lifted\"\nground = \"perfect\"\n", "27:8: this \"kind\" needs a lossy ground");
  refused("name = \"a\"\nkind = \"lifted\"\nwithout = [\"mast\"]\n", "28:11: no trailing wire is called \"mast\"");
  refused("name = \"a\"\nkind = \"lifted\"\nwithout = [\"counterpoise\"]\n",
          "27:8: wire \"whip\" starts at the feed, but nothing else does: a counterpoise must start there, or the feed "
          "must "
          "lie on perfect ground");
  refused("name = \"a\"\nkind = \"torn off\"\nwithout = [\"mast\"]\n", "28:11: no trailing wire is called \"mast\"");
  refused("name = \"a\"\nkind = \"leaning\"\nlean_degrees = 85\n",
          "28:16: \"lean_degrees\" in [[condition]] 1 is 85; plausible for a lean in degrees: 0 to 80");
  refused(
      "name = \"a\"\nkind = \"trailing\"\nlying_height = \"1 mm\"\n",
      "28:16: wire \"counterpoise\": point 2 is 0.001 m above lossy ground, but no wire may come nearer than 0.005 m "
      "(5 radii, and outside its insulation)");
  refused("name = \"a\"\nkind = \"lifted\"\ncontact = \"open\"\n",
          "28:11: \"contact\" belongs to the \"kind\" \"hand on set\"");
  refused("name = \"a\"\ncontact = \"open\"\n", "27:11: \"contact\" needs another \"kind\" than \"as drawn\"");
  refused("name = \"a\"\nkind = \"hand on set\"\ncontact = \"shut\"\n",
          "28:11: \"contact\" must be \"open\" or { resistance, capacitance }");
  refused("name = \"a\"\nkind = \"hand on set\"\ncontact = {}\n",
          "28:11: \"contact\" needs a \"resistance\", a \"capacitance\" or both");
  refused("name = \"a\"\nwithout = [\"mast\"]\n", "27:11: no wire is called \"mast\"");
  refused("name = \"a\"\nwithout = [\"whip\"]\n", "27:11: \"whip\" has the feed on it and cannot be left out");
  CHECK(message(drawn + "[[condition]]\nname = \"a\"\nwithout = [\"counterpoise\"]\n")
            .find("whip.toml:26:8: wire \"whip\" starts at the feed, but nothing else does") == 0);
  CHECK(message(changed(drawn, "[0, 0, \"3.6 m\"]", "[1, 0, \"3.6 m\"]") +
                "[[condition]]\nname = \"a\"\nkind = \"lifted\"\n") ==
        "whip.toml:27:8: this \"kind\" needs a straight upright whip, which comes first, up to five trailing wires "
        "that start at the feed, and nothing else but a hat of wires that start at the whip's top; \"whip\" is not "
        "straight and "
        "upright");
  CHECK(message(drawn + "[set]\nheight = 1\n") == "whip.toml:26:1: unknown key \"height\" in [set]; legal: "
                                                  "frame_length, frame_radius, lead_length, lead_radius, worn");
}

namespace {

// The wires over perfect ground: quick to solve.
const std::string inline_wires =
    "wires = { ground = \"perfect\", wire = [ { name = \"whip\", points = [[0,0,0],[0,0,3]], radius = 0.002, "
    "metal = \"copper\" } ], feed = { gap = 0.01 } }";

}  // namespace

TEST_CASE("a load of a station may be given as wires") {
  const std::string text = changed(bench_station, "impedance = \"14-230j ohm\"", inline_wires);
  std::vector<std::string> lines;
  const Station stated = read_station(text, "bench.toml", ".");
  CHECK(stated.antennas.at(0).loads.at(0).wires);
  const Station s = solve_loads(stated, {}, [&](const std::string& line) { lines.push_back(line); });
  CHECK(load::load_warnings(s.antennas.at(0).loads.at(0).load).empty());  // this whip is not carried
  Station worn = stated;
  worn.whip_on_body = true;
  const std::vector<std::string> warnings = load::load_warnings(solve_loads(worn).antennas.at(0).loads.at(0).load);
  REQUIRE(warnings.size() == 1);
  CHECK(warnings[0].find("the whip is carried, but its wires are without [set] and [person]") == 0);
  CHECK_FALSE(s.antennas.at(0).loads.at(0).wires);
  const load::Load& load = s.antennas.at(0).loads.at(0).load;
  CHECK(load.origin == "computed from wires, condition \"as drawn\"");
  CHECK(load.name == s.conditions.at(0).name);
  REQUIRE(!lines.empty());
  CHECK(lines.back().find("antenna \"" + load.name + "\": ") == 0);
  const auto antenna = read_wires("ground = \"perfect\"\n[[wire]]\nname = \"whip\"\npoints = [[0,0,0],[0,0,3]]\nradius "
                                  "= 0.002\nmetal = \"copper\"\n[feed]\ngap = 0.01\n",
                                  "w")
                           .front();
  for (const Band& band : s.bands) {
    for (const double f : {band.low_hz, band.design_hz, band.high_hz}) {
      const cdouble expected = wire::solve_antenna(antenna.antenna, antenna.ground, f).feed_ohm;
      CHECK(std::abs(load::load_impedance(load, f) - expected) <= 1e-4 * std::abs(expected));
      const auto shares = load::load_shares(load, f);
      REQUIRE(shares);
      CHECK(shares->ground == 0.0);
      CHECK(shares->radiated > 0.9);
    }
  }
}

TEST_CASE("wires in a file are chosen by condition and ground") {
  const stile::temporary::Folder folder;
  std::ofstream(folder / "whip.toml")
      << drawn << "[[condition]]\nname = \"a\"\n[[condition]]\nname = \"b\"\nkind = \"lifted\"\n";
  const auto read = [&](const std::string& lines) {
    return solve_loads(read_station(changed(bench_station, "impedance = \"14-230j ohm\"", lines), "bench.toml",
                                    folder.path().string()));
  };
  const std::string file = "wires = \"whip.toml\"";
  const load::Load lifted = read(file + "\nwires_condition = \"b\"").antennas.at(0).loads.at(0).load;
  CHECK(lifted.origin == "computed from wires of whip.toml, condition \"b\"");
  const auto cases = load_wires(folder / "whip.toml");
  const double f = read(file + "\nwires_condition = \"b\"").bands.at(0).low_hz;
  CHECK(load::load_impedance(lifted, f) == wire::solve_antenna(cases[1].antenna, cases[1].ground, f).feed_ohm);
  const load::Load wet = read(file + "\nwires_condition = \"a\"\nground = \"wet\"").antennas.at(0).loads.at(0).load;
  CHECK(load::load_impedance(wet, f) == wire::solve_antenna(cases[0].antenna, wire::ground_by_name("wet"), f).feed_ohm);

  const auto message_of = [&](const std::string& lines) { return parse_error([&] { read(lines); }); };
  CHECK(message_of(file).find(
            "the wires have several conditions; [[load]] 1 needs the key \"wires_condition\", one of: a, b") !=
        std::string::npos);
  CHECK(message_of(file + "\nwires_condition = \"c\"").find("the wires have no condition \"c\"; there are: a, b") !=
        std::string::npos);
  CHECK(message_of(file + "\nwires_condition = \"a\"\nground = \"mud\"").find("no ground \"mud\"") !=
        std::string::npos);
  CHECK(message_of("wires = \"none.toml\"").find("cannot read \"") != std::string::npos);
  CHECK(message_of("impedance = \"14-230j ohm\"\nground = \"wet\"").find("\"ground\" belongs to \"wires\"") !=
        std::string::npos);
  std::ofstream(folder / "whip.toml") << "[ground]\nkind = 3\n";
  CHECK(message_of(file).find("/whip.toml:2:8: \"kind\" in [ground] must be a text, not a number") !=
        std::string::npos);
}

TEST_CASE("a wire that is folded back in its points is not drawn straight out by a condition") {
  const std::string folded = changed(drawn, "[1.2, 0, 0.05], [6.2, 0, 0.05]]",
                                     "[1.2, 0, 0.05], [4.2, 0, 0.05], [4.2, 0.1, 0.05], [2.2, 0.1, 0.05]]");
  const auto condition = [&](const std::string& text, const std::string& kind) {
    return message(text + "[[condition]]\nname = \"c\"\nkind = \"" + kind + "\"\n");
  };
  for (const char* kind : {"lifted", "on water"})
    CHECK(condition(folded, kind)
              .find("the wire \"counterpoise\" is folded back in its \"points\", and this \"kind\" would draw it "
                    "straight out; "
                    "legal: in place of the points its \"length\" with \"doubled_back\"") != std::string::npos);
  for (const char* kind : {"as drawn", "lying wet", "leaning", "torn off"})  // which leave it as it is, or away
    CHECK(condition(folded, kind) == "no error");
  CHECK(message(folded + "[[condition]]\nname = \"c\"\nkind = \"leaning\"\ndrop_distance = \"1 m\"\n")
            .find("folded back") != std::string::npos);
  CHECK(condition(drawn, "lifted") == "no error");
  // A bend is no fold, and what goes up and comes down is none either.
  CHECK(condition(changed(drawn, "[6.2, 0, 0.05]]", "[1.2, 5, 0.05]]"), "lifted") == "no error");
  CHECK(condition(
            changed(drawn, "[[0, 0, 1.2], [1.2, 0, 0.05], [6.2, 0, 0.05]]", "[[0, 0, 1.2], [0.5, 0, 6], [4, 0, 3]]"),
            "lying wet") == "no error");
}

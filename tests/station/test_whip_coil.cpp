// Coils wound part-way up a whip, and whips that arrangements change. All values are invented.

#include <catch2/catch.hpp>

#include <cmath>

#include <stile/coil/lump.hpp>
#include <stile/station/solve_loads.hpp>
#include <stile/station/whip_coil.hpp>
#include <stile/station/wires_file.hpp>
#include <stile/station/wound.hpp>
#include <stile/wire/solve.hpp>

#include "station/one_change.hpp"

using namespace stile;
using namespace stile::station;
using namespace stile::station::test;

namespace {

const std::string head = R"([station]
name = "bench"
[transmitter]
power = "5 W"
[[band]]
name = "40 m"
low = "7.08 MHz"
high = "7.12 MHz"
[coil.loading]
former = "40 mm"
wire = "1 mm"
pitch = "2 mm"
turns = 30
)";

const std::string wires = R"([[load]]
condition = "drawn"
[load.wires]
ground = { relative_permittivity = 13, conductivity = "5 mS/m" }
feed = { gap = "10 mm" }
wire = [ { name = "whip", points = [[0, 0, 1.2], [0, 0, 3.6]], radius = "2 mm", metal = "stainless steel" },
         { name = "trail", points = [[0, 0, 1.2], [1.2, 0, 0.05], [4.2, 0, 0.05]], radius = "1 mm", metal = "copper" } ]
)";

const std::string arrangements = R"([[arrangement]]
name = "as it is"
kind = "straight"
[[arrangement]]
name = "changed"
kind = "straight"
whip = { longer = "0.5 m", coil = "loading", distance = "1.2 m" }
)";

std::string message(const std::string& text) {
  return parse_error([&] { read_station(text, "bench.toml", "."); });
}

SwitchedCoil thirty_turns() {
  SwitchedCoil c;
  c.winding = coil::plain_winding(1.0, 41e-3, 2e-3, 1e-3);
  c.turns = 30.0;
  c.contact_ohm = 0.02;
  return c;
}

}  // namespace

TEST_CASE("a coil wound on a whip has the impedance of the ring model at every frequency") {
  const SwitchedCoil c = thirty_turns();
  const wire::WireCoil made = whip_coil(c, 0, 1.2);
  CHECK(std::abs(made.length_m - 30 * 2e-3) <= 2e-3);
  CHECK(made.outside_m == Approx(42e-3).epsilon(1e-12));  // 41 mm between centres, and a wire of 1 mm
  REQUIRE(made.values.size() >= 10);
  // Where one value is asked for it is that next to 7.1 MHz of 1, 1.25, 1.5625 ... MHz: 7.450581 MHz, and not 5.96.
  CHECK(made.values[9].frequency_hz == Approx(7.450581e6).epsilon(1e-6));
  CHECK(made.inductance_h == made.values[9].inductance_h);
  CHECK(made.q == made.values[9].q);
  CHECK(made.self_capacitance_f == made.values[9].self_capacitance_f);
  // A lone point coil in a wire: the difference of two drawings' feed impedances at the feed is the coil's impedance.
  const coil::CoilModel model = coil::coil_model(wound(c, 30.0));
  for (const double f : {1.9e6, 3.65e6, 7.1e6, 14.2e6}) {
    const auto lump = coil::lump(
        coil::analyse(model, coil::solve_turns(model, f), coil::whole(model.winding, coil::Grounded::neither)));
    REQUIRE(lump);
    wire::Antenna table;
    table.wires = {{"whip", {{0, 0, 1.2}, {0, 0, 3.6}}, 2e-3, {}, 1.0, {}},
                   {"trail", {{0, 0, 1.2}, {3.0, 0, 1.0}}, 1e-3, {}, 1.0, {}}};
    table.coils = {made};
    wire::Antenna stated = table;
    const double x = 2.0 * std::acos(-1.0) * f * lump->inductance_h;
    stated.coils.front().values.clear();
    stated.coils.front().inductance_h = lump->inductance_h;
    stated.coils.front().q = x / (x / lump->q + 0.02);
    stated.coils.front().self_capacitance_f = lump->self_capacitance_f;
    const wire::AntennaSolution a = wire::solve_antenna(table, wire::free_space(), f),
                                b = wire::solve_antenna(stated, wire::free_space(), f);
    INFO(f << " Hz");
    CHECK(std::abs(a.feed_ohm - b.feed_ohm) <= 1e-3 * std::abs(x));
    CHECK(std::abs(a.share.coil - b.share.coil) <= 1e-3);
  }
}

TEST_CASE("beyond its self-resonance a coil on a whip is refused with what is known") {
  SwitchedCoil c = thirty_turns();
  c.turns = 120.0;
  wire::Antenna antenna;
  antenna.wires = {{"whip", {{0, 0, 1.2}, {0, 0, 3.6}}, 2e-3, {}, 1.0, {}},
                   {"trail", {{0, 0, 1.2}, {3.0, 0, 1.0}}, 1e-3, {}, 1.0, {}}};
  antenna.coils = {whip_coil(c, 0, 1.2)};
  CHECK_NOTHROW(wire::solve_antenna(antenna, wire::free_space(), 7.1e6));
  CHECK_THROWS_WITH(wire::solve_antenna(antenna, wire::free_space(), 50e6),
                    Catch::Contains("the loading coil is known from 1 to ") &&
                        Catch::Contains("short of its self-resonance, and 50 MHz is asked for"));
  c.turns = 0.0;
  CHECK_THROWS_AS(whip_coil(c, 0, 1.2), DomainError);
}

TEST_CASE("a wires file takes the winding of a coil") {
  const std::string file = R"(ground = "free space"
feed = { gap = "10 mm" }
[[wire]]
name = "whip"
points = [[0, 0, 1.2], [0, 0, 3.6]]
radius = "2 mm"
metal = "perfect"
[[wire]]
name = "trail"
points = [[0, 0, 1.2], [3, 0, 1]]
radius = "1 mm"
metal = "perfect"
[[coil]]
on = "whip"
distance = "1.2 m"
turns = 30
former = "40 mm"
pitch = "2 mm"
wire = "1 mm"
)";
  const std::vector<wire::WireCase> cases = read_wires(file, "w.toml");
  REQUIRE(cases.front().antenna.coils.size() == 1);
  SwitchedCoil c = thirty_turns();
  c.contact_ohm = 0.0;
  const wire::WireCoil expected = whip_coil(c, 0, 1.2), &made = cases.front().antenna.coils.front();
  REQUIRE(made.values.size() == expected.values.size());
  CHECK(std::abs(made.values[5].q / expected.values[5].q - 1.0) <= 1e-9);
  CHECK(std::abs(made.values[5].inductance_h / expected.values[5].inductance_h - 1.0) <= 1e-9);
  CHECK(made.length_m == expected.length_m);
  CHECK(made.outside_m == Approx(42e-3));  // former and both sides of the wire
  const auto refused = [&](const std::string& find, const std::string& replace) {
    return parse_error([&] { read_wires(changed(file, find, replace), "w.toml"); });
  };
  CHECK(refused("turns = 30", "turns = 30\nq = 200") ==
        "w.toml:17:5: \"q\" follows from the winding; legal: without it beside \"turns\"");
  CHECK(refused("turns = 30\n", "").find("\"former\" is of a winding; legal: beside its \"turns\"") !=
        std::string::npos);
  CHECK(refused("pitch = \"2 mm\"", "pitch = \"0.5 mm\"").find("turns overlap") != std::string::npos);
}

TEST_CASE("an arrangement changes the whip and the antenna is solved anew") {
  const Station s = read_station(head + wires + arrangements, "bench.toml", ".");
  REQUIRE(s.antennas.size() == 2);
  CHECK(s.antennas[0].stated);
  CHECK_FALSE(s.antennas[1].stated);
  CHECK(s.antennas[1].name == "whip 500 mm longer with the coil \"loading\" 1.2 m up");
  CHECK(s.arrangements[0].antenna == 0);
  CHECK(s.arrangements[1].antenna == 1);
  CHECK(winds_coil(s.arrangements[1], "loading"));
  CHECK_FALSE(winds_coil(s.arrangements[0], "loading"));
  const wire::Antenna& changed_one = s.antennas[1].loads[0].wires->antenna;
  CHECK(std::abs(changed_one.wires[0].points.back().z_m - 4.1) <= 1e-12);
  REQUIRE(changed_one.coils.size() == 1);
  CHECK(changed_one.coils[0].distance_m == 1.2);
  CHECK(s.antennas[0].loads[0].wires->antenna.coils.empty());
  // Second route: that antenna by itself.
  const Station solved = solve_loads(s);
  const cdouble z = wire::solve_antenna(changed_one, s.antennas[1].loads[0].wires->ground, 7.1e6).feed_ohm;
  CHECK(std::abs(load::load_impedance(load_of(solved, solved.arrangements[1], 0), 7.1e6) - z) <= 2e-4 * std::abs(z));
  CHECK(std::abs(load::load_impedance(load_of(solved, solved.arrangements[0], 0), 7.1e6) - z) > 100.0);
}

TEST_CASE("equal changes of a whip share one antenna and shorter is the other way") {
  std::string text = head + wires + arrangements;
  text +=
      "[[arrangement]]\nname = \"again\"\nkind = \"straight\"\nwhip = { longer = \"0.5 m\", coil = \"loading\", "
      "distance = \"1.2 m\" }\n[[arrangement]]\nname = \"short\"\nkind = \"straight\"\nwhip = { shorter = \"40 cm\" "
      "}\n";
  const Station s = read_station(text, "bench.toml", ".");
  REQUIRE(s.antennas.size() == 3);
  CHECK(s.arrangements[2].antenna == 1);
  CHECK(s.arrangements[3].antenna == 2);
  CHECK(std::abs(s.antennas[2].loads[0].wires->antenna.wires[0].points.back().z_m - 3.2) <= 1e-12);
}

TEST_CASE("a whip that cannot be changed so is refused at its key") {
  const std::string all = head + wires + arrangements;
  const std::string whip = "whip = { longer = \"0.5 m\", coil = \"loading\", distance = \"1.2 m\" }";
  const auto refused = [&](const std::string& replace) { return message(changed(all, whip, replace)); };
  const auto has = [&](const std::string& replace, const std::string& part) {
    INFO(refused(replace));
    CHECK(refused(replace).find(part) != std::string::npos);
  };
  has("whip = {}", "\"whip\" changes nothing; legal: \"longer\", \"shorter\" or a \"coil\" at a \"distance\"");
  has("whip = { longer = \"1 m\", shorter = \"1 m\" }", "a whip is \"longer\" or \"shorter\", not both");
  has("whip = { shorter = \"2.4 m\" }", "the whip's last straight piece is 2.4 m long; legal: shorter by less");
  has("whip = { coil = \"loading\" }", "needs \"coil\" and its \"distance\" from the feed");
  has("whip = { coil = \"other\", distance = \"1 m\" }", "nothing is called \"other\"; there are: loading");
  has("whip = { coil = \"loading\", distance = \"2.39 m\" }", "is not within one straight piece of it");
  CHECK(message(changed(all, "turns = 30\n", "")).find("legal: with its \"turns\" stated") != std::string::npos);
  CHECK(message(changed(all, "turns = 30\n", "turns = 30\ntrimmer = \"10 pF\"\n")).find("without \"taps\"") !=
        std::string::npos);
  for (const char* key : {"rating = { voltage = \"1 V\" }", "unused = \"shorted\"", "switch_resistance = \"1 ohm\"",
                          "lead_inductance = \"30 nH\"", "tap_step = 0.5", "step = \"none\""}) {
    INFO(key);
    const std::string name = std::string(key).substr(0, std::string(key).find(' '));
    CHECK(message(changed(all, "turns = 30\n", "turns = 30\n" + std::string(key) + "\n"))
              .find("the coil \"loading\" is part-way up the whip, where \"" + name +
                    "\" says nothing; legal: without it") != std::string::npos);
  }
  CHECK(
      message(head + "[[load]]\ncondition = \"drawn\"\nimpedance = \"20-900j ohm\"\n" + arrangements)
          .find(
              "another whip is solved anew, and the load \"drawn\" is not stated as wires; legal: \"wires\" for every "
              "load of the antenna") != std::string::npos);
}

#include <catch2/catch.hpp>

#include <stile/coil/former_share.hpp>
#include <stile/station/station.hpp>
#include <stile/station/wound.hpp>

#include "station/one_change.hpp"

using namespace stile;
using namespace stile::station;
using namespace stile::station::test;

namespace {

const std::string bench = R"([station]
name = "bench"
[transmitter]
power = "5 W"
[[band]]
name = "40 m"
low = "7 MHz"
high = "7.2 MHz"
[[load]]
condition = "dry"
impedance = "15-900j"
[coil.loading]
former = "40 mm"
wire = "1 mm"
pitch = "2 mm"
metal = "silver"
material = "PETG"
field_share = 0.2
turns = 32
tap_step = 0.5
unused = "shorted"
taps = [{ band = "40 m", turns = 21.5, unused = "open" }]
contact_resistance = "0.05 ohm"
switch_resistance = "0.02 ohm"
lead_inductance = "30 nH"
trimmer = "15 pF"
step = "shunt coil"
rating = { voltage = "3 kV" }
[[arrangement]]
name = "coil"
kind = "switched coil"
coil = "loading"
parts = { inductor_q = 150 }
)";

std::string message(const std::string& text) {
  return parse_error([&] { read_station(text, "bench.toml", "."); });
}

}  // namespace

TEST_CASE("a switched coil is read with all that it states") {
  const Station s = read_station(bench, "bench.toml", ".");
  REQUIRE(s.coils.size() == 1);
  const SwitchedCoil& c = s.coils[0];
  CHECK(c.name == "loading");
  CHECK(std::abs(c.winding.diameter_m - 41e-3) <= 1e-15);  // former and one wire
  CHECK(c.winding.wire.diameter_m == 1e-3);
  CHECK(c.winding.sections[0].pitch_m == 2e-3);
  CHECK(c.winding.wire.metal.name == "silver");
  CHECK(c.winding.former.name == "PETG");
  CHECK(c.winding.former.field_share == 0.2);
  CHECK(c.turns == 32.0);
  CHECK(c.tap_step_turns == 0.5);
  CHECK(c.unused == coil::Unused::shorted);
  REQUIRE(c.taps.size() == 1);
  CHECK(c.taps[0].band == "40 m");
  CHECK(c.taps[0].turns == 21.5);
  CHECK(c.taps[0].unused == coil::Unused::open);
  CHECK(c.contact_ohm == 0.05);
  CHECK(c.switch_ohm == 0.02);
  CHECK(c.lead_inductance_h == 30e-9);
  CHECK(c.trimmer_f == 15e-12);
  CHECK(c.shunt_coil);
  CHECK_FALSE(c.shunt_capacitor);
  CHECK(c.rating.voltage_v_peak == 3000.0);
  REQUIRE(s.arrangements[0].kind == ArrangementKind::switched_coil);
  CHECK(s.arrangements[0].coil.name == "loading");
  CHECK(s.arrangements[0].parts.stock.inductor_loss.q == 150.0);
  CHECK(c.winding.wire.wall_m == 0.0);  // solid
  std::string tube = bench;
  tube.replace(tube.find("pitch = "), 0, "wall = \"0.2 mm\"\ntemperature = 35\n");
  const coil::Winding of_tube = read_station(tube, "bench.toml", ".").coils[0].winding;
  CHECK(of_tube.wire.wall_m == 0.2e-3);
  CHECK(of_tube.wire.temperature_c == 35.0);
}

TEST_CASE("an autotransformer is read with the taps of transmitter and antenna") {
  std::string text = changed(bench, "rating = { voltage = \"3 kV\" }\n", "");
  text = changed(text, "turns = 21.5,", "turns = 21.5, feed = 2.25,");
  text = changed(text, "kind = \"switched coil\"", "kind = \"autotransformer\"\ntrim = \"tap\"");
  const Station s = read_station(text, "bench.toml", ".");
  REQUIRE(s.arrangements[0].kind == ArrangementKind::autotransformer);
  CHECK(s.arrangements[0].trim == Trim::tap);
  CHECK(s.arrangements[0].coil.taps[0].turns == 21.5);
  CHECK(s.arrangements[0].coil.taps[0].feed_turns == 2.25);
  CHECK(message(changed(text, "turns = 21.5,", "turns = 0,"))
            .find("the coil \"loading\" is bypassed on a band (a tap at 0 turns)") != std::string::npos);
}

TEST_CASE("a tap's feed is refused where no autotransformer uses the coil") {
  const std::string fed = changed(bench, "turns = 21.5,", "turns = 21.5, feed = 2.25,");
  CHECK(message(fed) ==
        "bench.toml:32:8: the coil \"loading\" has a \"feed\" in its taps, which a switched coil does not have; legal: "
        "without it, or in an arrangement of kind \"autotransformer\"");
  const std::string both = changed(fed, "rating = { voltage = \"3 kV\" }\n", "") +
                           "\n[[arrangement]]\nname = \"fed\"\nkind = \"autotransformer\"\ncoil = \"loading\"\n";
  CHECK_NOTHROW(read_station(both, "bench.toml", "."));
}

TEST_CASE("what a switched coil leaves out has its default") {
  const std::string all = "former = \"40 mm\"\nwire = \"1 mm\"\npitch = \"2 mm\"\n";
  const std::size_t from = bench.find("former ="), to = bench.find("[[arrangement]]");
  const Station s = read_station(bench.substr(0, from) + all + bench.substr(to), "bench.toml", ".");
  const SwitchedCoil& c = s.coils[0];
  CHECK(c.turns == 0.0);
  CHECK(c.tap_step_turns == 1.0);
  CHECK_FALSE(c.unused);
  CHECK(c.taps.empty());
  CHECK(c.winding.wire.metal.name == "copper");
  CHECK(c.trimmer_f == 0.0);
  CHECK((c.shunt_coil && c.shunt_capacitor));
}

TEST_CASE("a former's share of the field is computed from its material and wall unless it is stated") {
  const auto coil = [](const std::string& share) {
    return read_station(changed(bench, "field_share = 0.2\n", share), "bench.toml", ".").coils[0];
  };
  CHECK_FALSE(coil("field_share = 0.2\n").former_wall_m);
  CHECK(wound(coil("field_share = 0.2\n"), 32.0).former.field_share == 0.2);
  const coil::Winding tube = wound(coil("former_wall = \"2 mm\"\n"), 32.0), rod = wound(coil(""), 32.0);
  CHECK(tube.sections[0].turns == 32.0);
  CHECK(tube.former.field_share == coil::former_share_bound(tube, 2e-3));
  CHECK(rod.former.field_share == coil::former_share_bound(rod, 0.0));
  CHECK(tube.former.field_share < rod.former.field_share);
  // Turns not known yet: a coil as long as it is wide.
  CHECK(wound(coil(""), 0.0).former.field_share == wound(coil(""), 22.0).former.field_share);
}

TEST_CASE("metal near a switched coil is read") {
  const auto coil = [](const std::string& near) {
    return read_station(changed(bench, "turns = 32\n", "turns = 32\n" + near), "bench.toml", ".").coils[0].winding;
  };
  CHECK(coil("plane = \"30 mm\"\n").plane->z_m == -30e-3);
  CHECK(coil("beside = \"40 mm\"\n").beside->axis_m == 40e-3);
  const coil::Winding can = coil("can = \"80 mm\"\ncan_length = \"120 mm\"\nnear_metal = \"aluminium\"\n");
  CHECK(can.can->diameter_m == 80e-3);
  CHECK(can.can->length_m == 120e-3);
  CHECK(can.near_metal->name == "aluminium");
}

TEST_CASE("a switched coil that cannot be is refused at its key") {
  const std::vector<Change> rows{
      {"pitch = \"2 mm\"", "pitch = \"1 mm\"",
       "15:9: turns overlap: wire of 0.001 m at a pitch of 0.001 m; the pitch must exceed the wire"},
      {"former = \"40 mm\"", "former = 40",
       "13:10: \"former\" in [coil.loading] is 40 m; plausible for a coil's diameter: 300 um to 1 m; was a unit meant, "
       "such as \"40 mm\"? (a bare number is in m)"},
      {"former = \"40 mm\"", "former = \"0.5 mm\"",
       "15:9: a former of 0.0005 m is thinner than the wire of 0.001 m wound on it"},
      {"former = \"40 mm\"", "former = \"40 mm\"\ndiameter = \"41 mm\"",
       "13:10: a coil has either a \"former\" (its outside) or a \"diameter\" (between wire centres)"},
      {"tap_step = 0.5", "tap_step = 0.3", "20:12: \"tap_step\" must be 1, 0.5 or 0.25"},
      {"unused = \"shorted\"", "unused = \"loose\"", "21:10: \"unused\" must be \"open\", \"shorted\" or \"better\""},
      {"band = \"40 m\", turns", "band = \"20 m\", turns", "22:18: no [[band]] is called \"20 m\""},
      {"turns = 21.5", "turns = 33", "22:34: a tap must lie within the coil's \"turns\""},
      {"step = \"shunt coil\"", "step = \"shunt\"",
       "27:8: \"step\" must be \"any\", \"none\", \"shunt coil\" or \"shunt capacitor\""},
      {"field_share = 0.2", "field_share = 0.2\nformer_wall = \"2 mm\"",
       "19:15: \"former_wall\" gives the \"field_share\"; legal: one of the two"},
      {"field_share = 0.2", "former_wall = \"20 mm\"",
       "18:15: a \"former_wall\" must be below half of the former's outside of 40 mm; legal: less, or without it for a "
       "rod"},
      {"material = \"PETG\"\nfield_share = 0.2", "former_wall = \"2 mm\"",
       "17:15: \"former_wall\" says nothing in air; legal: beside a \"material\" other than air"},
      {"turns = 32", "turns = 32\ncan_length = \"80 mm\"",
       "20:14: \"can_length\" says nothing alone; legal: beside \"can\""},
      {"turns = 32", "turns = 32\nbeside = \"20 mm\"",
       "15:9: a plane 0.02 m beside the axis: legal is above 0.021 m, the outside of the wire"},
      {"turns = 32", "turns = 500", "19:9: \"turns\" must be at most 400"},
      {"coil = \"loading\"", "coil = \"other\"", "32:8: nothing is called \"other\"; there are: loading"},
      {"kind = \"switched coil\"", "kind = \"base coil\"",
       "32:8: \"coil\" belongs to arrangements of kind \"switched coil\" or \"autotransformer\""},
      {"kind = \"switched coil\"", "kind = \"autotransformer\"",
       "32:8: the coil \"loading\" has a \"rating\", and the turns of an autotransformer carry different currents, so "
       "that it cannot be judged; legal: a coil without \"rating\""},
      {"turns = 21.5,", "turns = 21.5, feed = 40,",
       "22:47: a tap must lie within the coil's \"turns\"\nbench.toml:32:8: the coil \"loading\" has a \"feed\" in its "
       "taps, "
       "which a switched coil does not have; legal: without it, or in an arrangement of kind \"autotransformer\""},
  };
  for (const Change& row : rows) {
    INFO(row.replace);
    CHECK(message(changed(bench, row.find, row.replace)) == "bench.toml:" + row.message);
  }
  CHECK(message(changed(bench, "metal = \"silver\"", "metal = \"gold\""))
            .find("bench.toml:16:9: no metal \"gold\"; known are \"copper\"") == 0);
  CHECK(message(changed(bench, "material = \"PETG\"", "material = \"wood\""))
            .find("bench.toml:17:12: no former is named \"wood\"") == 0);
}

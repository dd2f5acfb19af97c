// Numbers of a station file by their paths: found, and put to another value.
#include <catch2/catch.hpp>

#include <string>

#include <stile/station/number_in_file.hpp>
#include <stile/wire/geometry.hpp>

#include <station/one_change.hpp>

using namespace stile;
using namespace stile::station;

namespace {

const std::string example = std::string(STILE_TEST_DATA) + "/../../examples/moor/station.toml";

/// Letters of several bytes stand in front of values, and a comment with quotes and brackets between points.
const std::string text = R"([station]
name = "Moor ä"
[transmitter]
power = "5 W"   # "rated" [5]
foldback = [ { swr = 2.0, power = '5 W' }, { swr = 3.0, power = "2.5 W" } ]
[[band]]
name = "40 m"
low = "7.0 MHz"
high = "7.2 MHz"
use = ["7.08 MHz", "7.12 MHz"]
[[load]]
condition = "dürr"
note = "ö"
wires.ground = { relative_permittivity = 15, conductivity = "1 mS/m" }
wires.feed = { gap = "20 mm" }
[[load.wires.wire]]
name = "whip"
points = [[0, 0, 1.2], [0, 0, 4.2]]
radius = "1.5 mm"
metal = "copper"
[[load.wires.wire]]
name = "tail"
points = [[0, 0, 1.2], # up ] "there"
          ["1.2 m", 0, 0.1], [7.2, 0, 0.1]]
radius = "0.5 mm"
metal = "copper"
[parts]
inductor_q = 200
capacitor_q = 1_000
[[arrangement]]
name = "coil 2.5"
kind = "base coil"
parts = { inductor_q = 250 }
)";
const StationText stated{text, "s.toml", "."};

std::string changed_to(const std::string& path, const std::string& value) {
  return with_number(stated, path, value).text;
}

std::string refused(const std::string& path, const std::string& value = "1") {
  return test::parse_error([&] { with_number(stated, path, value); });
}

}  // namespace

TEST_CASE("a path finds the number as it is written") {
  CHECK(number_at(stated, "transmitter.power") == "5 W");
  CHECK(number_at(stated, "band.40 m.low") == "7.0 MHz");
  CHECK(number_at(stated, "band.1.use.2") == "7.12 MHz");
  CHECK(number_at(stated, "transmitter.foldback.2.power") == "2.5 W");
  CHECK(number_at(stated, "load.dürr.wires.ground.conductivity") == "1 mS/m");
  CHECK(number_at(stated, "load.dürr.ground.conductivity") == "1 mS/m");  // on into the wires
  CHECK(number_at(stated, "parts.capacitor_q") == "1000");
  CHECK(number_at(stated, "arrangement.\"coil 2.5\".parts.inductor_q") == "250");
  // (1.2^2 + 1.1^2)^(1/2) + 6 = 7.62788 m
  CHECK(number_at(stated, "load.dürr.wire.tail.length") == "7.62788 m");
}

TEST_CASE("a changed number is the only thing that changes") {
  using test::changed;
  CHECK(changed_to("transmitter.power", "8 W") == changed(text, "\"5 W\"   #", "\"8 W\"   #"));
  CHECK(changed_to("transmitter.foldback.1.power", "4 W") == changed(text, "'5 W'", "\"4 W\""));
  CHECK(changed_to("band.40 m.use.1", "7090 kHz") == changed(text, "\"7.08 MHz\"", "\"7090 kHz\""));
  CHECK(changed_to("load.dürr.ground.conductivity", "3 mS/m") == changed(text, "\"1 mS/m\"", "\"3 mS/m\""));
  CHECK(changed_to("parts.capacitor_q", "500") == changed(text, "1_000", "500"));
  CHECK(changed_to("arrangement.\"coil 2.5\".parts.inductor_q", "99") == changed(text, "= 250", "= 99"));
  CHECK(changed_to("load.dürr.ground.relative_permittivity", "30") == changed(text, "= 15,", "= 30,"));
  // 5.62788 m, 4 m of them along the last piece
  CHECK(number_at({changed_to("load.dürr.wire.tail.length", "5.62788 m"), "s.toml", "."},
                  "load.dürr.wire.tail.length") == "5.62788 m");
  const Station s = read_station(with_number(stated, "load.dürr.wire.tail.length", "5.62788 m"));
  const auto& points = s.antennas.front().loads.front().wires->antenna.wires[1].points;
  CHECK(points.size() == 3);
  CHECK(points.back().x_m == Approx(5.2).epsilon(2e-6));
  CHECK(points.back().z_m == 0.1);
  CHECK(changed_to("load.dürr.wire.whip.length", "2.5 m") ==
        changed(text, "[[0, 0, 1.2], [0, 0, 4.2]]", "[[0, 0, 1.2], [0, 0, 3.7]]"));
}

TEST_CASE("a number in a wires file is changed for every load that names the file") {
  const StationText moor = load_station_text(example);
  CHECK(number_at(moor, "load.lifted.wires.wire.whip.length") == "3 m");
  CHECK(number_at(moor, "load.lifted.ground.conductivity") == "1 mS/m");
  const StationText longer = with_number(moor, "load.lifted.wire.whip.length", "4 m");
  CHECK(longer.text == moor.text);
  CHECK(longer.replaced.size() == 1);
  CHECK(number_at(longer, "load.on heather.wire.whip.length") == "4 m");
  const Station s = read_station(longer);
  for (const AntennaLoad& l : s.antennas.front().loads)
    CHECK(wire::wire_length_m(l.wires->antenna.wires.front()) == Approx(4.0).epsilon(1e-12));
  // and a second change does not undo the first
  const StationText both = with_number(longer, "load.lifted.wire.counterpoise.length", "5 m");
  CHECK(number_at(both, "load.lifted.wire.whip.length") == "4 m");
  CHECK(number_at(both, "load.in wet peat.wire.counterpoise.length") == "5 m");
}

TEST_CASE("a path that leads nowhere says what is there") {
  CHECK(refused("transmitter.powr") == "transmitter.powr: \"powr\" is not stated; there are: foldback, power");
  CHECK(refused("band.20 m.low") ==
        "band.20 m.low: nothing is called \"20 m\"; there are: 40 m, or a number from 1 to 1");
  CHECK(refused("band.2.low").find("a number from 1 to 1") != std::string::npos);
  CHECK(refused("station.name") == "station.name: it is \"Moor ä\" and no number");
  CHECK(refused("transmitter") == "transmitter: it is no number; legal: the path of a number");
  CHECK(refused("transmitter.power.x").find("nothing is called \"x\" there") != std::string::npos);
  CHECK(refused("transmitter..power").find("a path is keys") != std::string::npos);
  CHECK(refused("arrangement.\"coil").find("a path is keys") != std::string::npos);
  CHECK(refused("transmitter.power", "much") == "transmitter.power: \"much\" is no number");
  CHECK(refused("load.dürr.wire.tail.length", "1.5 m").find("which begins at 1.62788 m; legal: more") !=
        std::string::npos);
}

TEST_CASE("what is to be varied is read with its steps and its unit") {
  const Vary v = read_vary("load.lifted.wire.counterpoise.length = 2:8 m:13");
  CHECK(v.what == "load.lifted.wire.counterpoise.length");
  CHECK(v.unit == "m");
  REQUIRE(v.values.size() == 13);
  CHECK(v.values[3] == 3.5);
  CHECK(v.texts[3] == "3.5 m");
  CHECK(v.texts.back() == "8 m");
  CHECK(v.shown == v.texts);
  const Vary down = read_vary("parts.inductor_q=0.3:0.1:3");
  CHECK(down.unit.empty());
  CHECK(down.texts == std::vector<std::string>{"0.3", "0.2", "0.1"});
  // People read four digits, or as many as tell neighbours apart; the file gets all.
  const Vary thirds = read_vary("load.lifted.wire.counterpoise.length=5m:7m:4");
  CHECK(thirds.texts[1] == "5.66666666667 m");
  CHECK(thirds.shown == std::vector<std::string>{"5 m", "5.667 m", "6.333 m", "7 m"});
  CHECK(read_vary("a.b=7.1 MHz:7.1001 MHz:3").shown ==
        std::vector<std::string>{"7.1 MHz", "7.10005 MHz", "7.1001 MHz"});
  CHECK(read_vary("a.b=9999.6:1234567:2").shown == std::vector<std::string>{"10000", "1234567"});
  const auto wrong = [](const std::string& words) { return test::parse_error([&] { read_vary(words); }); };
  CHECK(wrong("a.b").rfind("--vary: \"a.b\" has no \"=\"; legal: WHAT=FROM:TO:N", 0) == 0);
  CHECK(wrong("a.b=1:2").find("\"1:2\" is not FROM:TO:N") != std::string::npos);
  CHECK(wrong("a.b=1 m:2 ft:3").find("\"m\" and \"ft\" are two units") != std::string::npos);
  CHECK(wrong("a.b=1:1:3").find("both ends are the same") != std::string::npos);
  CHECK(wrong("a.b=x:1:3").find("\"x\" is no number") != std::string::npos);
  for (const char* steps : {"1", "1001", "2.5", "x", "3 m"})
    CHECK(wrong(std::string("a.b=1:2:") + steps).find("is not a number of values, 2 to 1000") != std::string::npos);
}

// Battery, mode and what tuners draw, as a station file states them.
#include <catch2/catch.hpp>

#include <string>

#include <stile/station/station.hpp>

using namespace stile;
using namespace stile::station;

namespace {

const std::string start = R"([station]
name = "bench"
[transmitter]
power = "10 W"
receive_current = "0.3 A"
transmit_current = "2.5 A"
[[band]]
name = "40 m"
low = "7.0 MHz"
high = "7.2 MHz"
[[load]]
condition = "dry"
impedance = "20-300j"
[tuner]
form = "L"
capacitor_side = "either"
[tuner.inductors]
values = ["1 uH"]
[tuner.capacitors]
values = ["100 pF"]
[[arrangement]]
name = "no match"
kind = "straight"
[[arrangement]]
name = "tuner"
kind = "tuner"
supply = { hold = "0.15 A", tune = "0.2 A", tune_time = "6 s", tunes_an_hour = 12, carrier = 0.5 }
)";
const std::string mode = "[mode]\nname = \"SSB\"\ntalk = 0.2\nover = \"30 s\"\n";
const std::string battery =
    "[battery]\nchemistry = \"sealed lead-acid\"\ncapacity_ah = 7\ntemperature = 0\nmass = \"2.6 kg\"\n";

std::string message(const std::string& text) {
  try {
    read_station(text, "b.toml", ".");
  } catch (const Error& error) {
    return error.what();
  }
  return "read";
}

}  // namespace

TEST_CASE("battery, mode and tuner are read with what is usual for what they leave out") {
  const Station s = read_station(start + mode + battery, "b.toml", ".");
  REQUIRE(s.supply);
  CHECK(s.supply->battery.chemistry == energy::Chemistry::lead_acid_agm);
  CHECK(s.supply->battery.capacity_ah == 7.0);
  CHECK(s.supply->battery.rate_h == 20.0);
  CHECK(s.supply->battery.peukert_exponent.low == 1.05);
  CHECK(s.supply->battery.peukert_exponent.high == 1.15);
  CHECK(s.supply->battery.capacity_share.low == Approx(0.80));
  CHECK(s.supply->battery.capacity_share.high == Approx(0.87));
  CHECK(s.supply->mass_kg == 2.6);
  CHECK(s.supply->set.receive_a == 0.3);
  CHECK(s.supply->set.transmit_a == 2.5);
  CHECK(s.supply->set.talk_share == 0.2);
  CHECK(s.supply->set.current_factor.low == 0.35);
  REQUIRE(s.mode);
  CHECK(s.mode->mode == "SSB");
  CHECK(s.mode->over_s == 30.0);
  CHECK(s.mode->tune_s == 0.0);
  CHECK(read_station(start + mode + "tune = \"5 s\"\n" + battery, "b.toml", ".").mode->tune_s == 5.0);
  CHECK(s.mode->tune_every_s == 360.0);
  CHECK(read_station(start + mode + "tune = \"5 s\"\ntune_every = \"600 s\"\n" + battery, "b.toml", ".")
            .mode->tune_every_s == 600.0);
  CHECK(message(start + mode + "tune_every = \"600 s\"\n" + battery).find("legal: beside \"tune\"") !=
        std::string::npos);
  CHECK(message(start + mode + "tune = \"5 s\"\ntune_every = \"4 s\"\n" + battery)
            .find("a tune carrier of 5 s every 4 s; legal: no longer than \"tune_every\"") != std::string::npos);
  CHECK(s.arrangements[0].draw.hold_a == 0.0);
  CHECK(s.arrangements[1].draw.hold_a == 0.15);
  CHECK(s.arrangements[1].draw.tune_a == 0.2);
  CHECK(s.arrangements[1].draw.tune_time_s == 6.0);
  CHECK(s.arrangements[1].draw.tunes_per_h == 12.0);
  CHECK(s.arrangements[1].draw.carrier_share == 0.5);
  CHECK(s.arrangements[0].draw.carrier_share == 1.0);
  CHECK(s.supply->temperature_c == 0.0);
  CHECK(s.supply->set.current_factor.high == 0.60);
  CHECK_FALSE(s.arrangements[1].tune_power_w);
  CHECK_FALSE(s.arrangements[1].least_tune_power_w);

  const Station stated = read_station(start + mode + battery + "exponent = [1.1, 1.2]\nrate_h = 10\n", "b.toml", ".");
  CHECK(stated.supply->battery.peukert_exponent.high == 1.2);
  CHECK(stated.supply->battery.rate_h == 10.0);
  // One exponent is both ends of its range; without a temperature it is 20 degrees C, at which a lead battery has
  // 0.96 to 0.974 of its capacity by straight lines from 0.80 to 0.87 at 0 to 1 at 25.
  const Station one = read_station(
      start + mode + "[battery]\nchemistry = \"gel lead-acid\"\ncapacity_ah = 7\nexponent = 1.17\n", "b.toml", ".");
  CHECK(one.supply->battery.peukert_exponent.low == 1.17);
  CHECK(one.supply->battery.peukert_exponent.high == 1.17);
  CHECK(one.supply->temperature_c == 20.0);
  CHECK(one.supply->battery.capacity_share.low == Approx(0.96).epsilon(1e-12));
  CHECK(one.supply->battery.capacity_share.high == Approx(0.974).epsilon(1e-12));
  // The set's current goes with the mode, a tuner's carrier is the set's full current where nothing is said.
  const Station key = read_station(start + "[mode]\nname = \"CW\"\ntalk = 0.5\n" + battery, "b.toml", ".");
  CHECK(key.supply->set.current_factor.low == 0.45);
  CHECK(key.supply->set.current_factor.high == 0.55);
  std::string carrier = start;
  carrier.replace(carrier.find(", carrier = 0.5"), 15, "");
  CHECK(read_station(carrier, "b.toml", ".").arrangements[1].draw.carrier_share == 1.0);
  const Station bare = read_station(start, "b.toml", ".");
  CHECK(!bare.supply);
  CHECK(!bare.mode);
}

TEST_CASE("a cut-off leaves less of a battery, and relays that latch need no current") {
  const Station s = read_station(start + mode + battery + "cut_off = \"11.5 V\"\n", "b.toml", ".");
  CHECK(s.supply->cut_off_v == 11.5);
  // What the cold leaves, 0.80 to 0.87, of which the cut-off leaves 0.5 to 0.87.
  CHECK(s.supply->battery.capacity_share.low == Approx(0.80 * 0.5));
  CHECK(s.supply->battery.capacity_share.high == Approx(0.87 * 0.87));
  CHECK_FALSE(read_station(start + mode + battery, "b.toml", ".").supply->cut_off_v);
  CHECK(message(start + mode + battery + "cut_off = \"12.2 V\"\n")
            .find("b.toml:37:11: what a sealed lead-acid battery holds above 12 V under load is not known; legal: a "
                  "cut-off of at most 12 V") == 0);
  CHECK(message(start + mode + battery + "cut_off = \"115 V\"\n").find("b.toml:37:11: ") == 0);
  const auto with = [&](const std::string& what) {
    std::string text = start;
    return text.replace(text.find("hold = \"0.15 A\""), 15, what);
  };
  CHECK_FALSE(read_station(start, "b.toml", ".").arrangements[1].latching);
  CHECK(read_station(with("latching = true"), "b.toml", ".").arrangements[1].latching == true);
  CHECK(read_station(with("hold = \"0.15 A\", latching = false"), "b.toml", ".").arrangements[1].latching == false);
  CHECK(message(with("latching = false")).find("held by a current; legal: beside a \"hold\" above 0") !=
        std::string::npos);
}

TEST_CASE("what a battery or a mode cannot be is refused at its place") {
  CHECK(message(start + "[mode]\nname = \"shouting\"\n") == "b.toml:29:8: no mode \"shouting\"; legal: \"SSB\", \"SSB "
                                                            "processed\", \"FM\", \"RTTY\", \"FSK\", \"AFSK\", \"CW\", "
                                                            "\"carrier\", \"slotted digital\"");
  CHECK(message(start + mode + "[battery]\nchemistry = \"coal\"\ncapacity_ah = 7\n") ==
        "b.toml:33:13: no chemistry \"coal\"; legal: \"sealed lead-acid\", \"gel lead-acid\", \"flooded lead-acid\", "
        "\"lithium "
        "iron phosphate\"");
  CHECK(
      message(start + mode + "[battery]\nchemistry = \"gel lead-acid\"\ncapacity_ah = 7000\n").find("b.toml:34:15: ") ==
      0);
  CHECK(message(start + mode + "tune = \"4000 s\"\n").find("b.toml:32:8: ") == 0);
  const std::string needs_mode = "an operating time needs a [mode] with a \"name\" and a \"talk\" share of the time";
  CHECK(message(start + battery) == "b.toml:28:1: " + needs_mode);
  // A mode in the wrong table is told, and that the right one is missing.
  const std::string inside = message(start + battery + "mode = \"SSB\"\n");
  CHECK(inside.find("unknown key \"mode\" in [battery]") != std::string::npos);
  CHECK(inside.find(needs_mode) != std::string::npos);
  std::string without = start + mode + battery;
  without.erase(without.find("receive_current"), std::string("receive_current = \"0.3 A\"\n").size());
  CHECK(message(without).find("receive_current") != std::string::npos);
  std::string often = start;
  often.replace(often.find("tunes_an_hour = 12"), 18, "tunes_an_hour = 700");
  CHECK(message(often).find("do not fit into an hour") != std::string::npos);
  std::string straight = start;
  straight.replace(straight.find("kind = \"straight\""), 17, "kind = \"straight\"\nsupply = { hold = \"1 A\" }");
  CHECK(message(straight).find("\"supply\" belongs to arrangements of kind \"tuner\"") != std::string::npos);
}

TEST_CASE("contacts, times of a hand and what is carried are read, and refused where they cannot be") {
  const std::string more = "[contacts]\nmargin = \"10 dB\"\n[hands]\ntap = \"12 s\"\n";
  const std::string with =
      start + more +
      "[[arrangement]]\nname = \"box\"\nkind = \"straight\"\ncarried = [{ name = \"box\", count = 2, mass = \"80 g\", "
      "size = [\"10 cm\", \"6 cm\", \"4 cm\"] }, { name = \"knob\", mass = \"5 g\" }]\n";
  const Station s = read_station(with, "b.toml", ".");
  REQUIRE(s.contacts);
  CHECK(s.contacts->margin_db == 10.0);
  CHECK(s.contacts->sigma_db == 8.0);
  CHECK(s.hands.tap_s == 12.0);
  CHECK_FALSE(s.hands.part_s);
  REQUIRE(s.arrangements.back().carried.size() == 2);
  const StatedPart& box = s.arrangements.back().carried.front();
  CHECK(box.count == 2);
  CHECK(box.mass_kg == 0.08);
  CHECK(*box.volume_m3 == Approx(240e-6).epsilon(1e-12));
  CHECK_FALSE(s.arrangements.back().carried.back().volume_m3);
  CHECK(*s.arrangements.back().mass_kg == Approx(0.165).epsilon(1e-12));
  CHECK(message(with + "mass = \"1 kg\"\n").find("\"carried\" is what the \"mass\" is made of") != std::string::npos);
  CHECK_FALSE(read_station(start, "b.toml", ".").contacts);
  CHECK(message(start + "[contacts]\nsigma = \"8 dB\"\n").find("needs the key \"margin\"") != std::string::npos);
  CHECK(message(start + "[contacts]\nmargin = \"10 dB\"\nsigma = \"0 dB\"\n").find("is 0 dB and must be > 0") !=
        std::string::npos);
  CHECK(message(start + "[hands]\ntap = \"-1 s\"\n").find("tap") != std::string::npos);
  const auto part = [&](const std::string& keys) {
    return message(start + "[[arrangement]]\nname = \"b\"\nkind = \"straight\"\ncarried = [{ name = \"x\", " + keys +
                   " }]\n");
  };
  CHECK(part("count = 1.5, mass = \"80 g\"").find("must be a whole number") != std::string::npos);
  CHECK(part("mass = \"80 g\", size = [\"1 cm\"]").find("length, width and height") != std::string::npos);
  CHECK(part("size = [\"1 cm\", \"1 cm\", \"1 cm\"]").find("needs the key \"mass\"") != std::string::npos);
}

TEST_CASE("with what power a tuner tunes, and what it needs, is read from its supply") {
  std::string text = start;
  text.replace(text.find("carrier = 0.5"), 13, "power = \"2 W\", least_power = \"500 mW\"");
  const Station s = read_station(text, "b.toml", ".");
  CHECK(s.arrangements[1].tune_power_w == 2.0);
  CHECK(s.arrangements[1].least_tune_power_w == 0.5);
  text.replace(text.find("500 mW"), 6, "1 uW");
  CHECK(message(text).find("a power to tune with") != std::string::npos);
}

TEST_CASE("the room that antenna, battery and match take is read beside their mass") {
  const std::string box = "size = [\"10 cm\", \"6 cm\", \"4 cm\"]\n";
  std::string text = start + mode + battery + box;
  const std::string straight = "kind = \"straight\"\n";
  text.replace(text.find(straight), straight.size(), straight + "mass = \"100 g\"\n" + box);
  const Station s = read_station(text, "b.toml", ".");
  CHECK(*s.supply->volume_m3 == Approx(240e-6).epsilon(1e-12));
  CHECK(*s.arrangements[0].volume_m3 == Approx(240e-6).epsilon(1e-12));
  CHECK_FALSE(s.arrangements[1].volume_m3);
  const auto with_antenna = [&](const std::string& keys) {
    std::string other = start;
    const std::string load = "[[load]]\ncondition = \"dry\"\nimpedance = \"20-300j\"\n";
    return other.replace(other.find(load), load.size(),
                         "[[antenna]]\nname = \"whip\"\n" + keys +
                             "[[antenna.load]]\ncondition = \"dry\"\nimpedance = \"20-300j\"\n");
  };
  CHECK(*read_station(with_antenna("mass = \"100 g\"\n" + box), "b.toml", ".").antennas[0].volume_m3 ==
        Approx(240e-6).epsilon(1e-12));
  CHECK(message(with_antenna(box)).find("legal: beside \"mass\"") != std::string::npos);
  text.erase(text.find("mass = \"100 g\"\n"), 15);
  CHECK(message(text).find("\"size\" is that of what has the \"mass\"") != std::string::npos);
  std::string unweighed = start + mode + battery + box;
  unweighed.erase(unweighed.find("mass = \"2.6 kg\"\n"), 16);
  CHECK(message(unweighed).find("legal: beside \"mass\"") != std::string::npos);
}

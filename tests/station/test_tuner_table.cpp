#include <cmath>
#include <string>

#include <station/one_change.hpp>
#include <stile/base/errors.hpp>
#include <stile/station/station.hpp>

using namespace stile;
using namespace stile::station;
using namespace stile::station::test;

namespace {

constexpr const char* box = R"toml([tuner]
name = "pi in a box"
form = "pi"
contact_resistance = "0.05 ohm"
[tuner.inductors]
values = ["0.2 uH", "0.8 uH"]
q = 100
q_at = "7 MHz"
stray = "0.1 uH"
rating = { voltage = "1 kV", current = "2 A" }
[tuner.capacitors]
values = ["40 pF", "160 pF"]
q = 900
stray = "10 pF"
rating = { voltage = "500 V", power = "1 W" }
[tuner.load_capacitors]
values = ["20 pF"]
q = 800
stray = "5 pF"
)toml";

}  // namespace

TEST_CASE("every value of a tuner file arrives in SI at its place") {
  const tuner::Tuner t = read_tuner(box, "tuner.toml");
  CHECK(t.name == "pi in a box");
  CHECK(t.form == tuner::TunerForm::pi_network);
  CHECK(t.contact_ohm == 0.05);
  CHECK(t.inductors.values_h == std::vector{0.2e-6, 0.8e-6});
  CHECK(t.inductors.loss.q == 100.0);
  CHECK(t.inductors.loss.q_at_hz == 7e6);
  CHECK(t.inductors.stray_h == 0.1e-6);
  CHECK(t.inductor_rating.voltage_v_peak == 1000.0);
  CHECK(t.inductor_rating.current_a_rms == 2.0);
  CHECK(std::isinf(t.inductor_rating.dissipation_w));
  CHECK(t.capacitors.values_f == std::vector{40e-12, 160e-12});
  CHECK(t.capacitors.loss.q == 900.0);
  CHECK(t.capacitors.stray_f == 10e-12);
  CHECK(t.capacitor_rating.voltage_v_peak == 500.0);
  CHECK(std::isinf(t.capacitor_rating.current_a_rms));
  CHECK(t.capacitor_rating.dissipation_w == 1.0);
  CHECK(t.load_capacitors.values_f == std::vector{20e-12});
  CHECK(t.load_capacitors.loss.q == 800.0);
  CHECK(t.load_capacitors.stray_f == 5e-12);
}

TEST_CASE("a tuner's second bank is like the first unless it is stated") {
  const std::string text(box);
  const tuner::Tuner t = read_tuner(text.substr(0, text.find("[tuner.load_capacitors]")), "tuner.toml");
  CHECK(t.load_capacitors.values_f == t.capacitors.values_f);
  CHECK(t.load_capacitors.loss.q == 900.0);
  CHECK(t.load_capacitors.stray_f == 10e-12);
}

TEST_CASE("an L tuner takes its capacitors on the stated side") {
  const std::string text = changed(std::string(box).substr(0, std::string(box).find("[tuner.load_capacitors]")),
                                   "form = \"pi\"", "form = \"L\"\nside");
  const auto sides = [&](const std::string& key) {
    const tuner::Tuner t = read_tuner(changed(text, "side\n", key), "tuner.toml");
    CHECK(t.form == tuner::TunerForm::l);
    CHECK(t.load_capacitors.values_f.empty());
    return std::pair{t.capacitor_at_transmitter, t.capacitor_at_load};
  };
  CHECK(sides("") == std::pair{true, true});
  CHECK(sides("capacitor_side = \"either\"\n") == std::pair{true, true});
  CHECK(sides("capacitor_side = \"transmitter\"\n") == std::pair{true, false});
  CHECK(sides("capacitor_side = \"load\"\n") == std::pair{false, true});
  CHECK(parse_error([&] { sides("capacitor_side = \"both\"\n"); }) ==
        "tuner.toml:4:18: \"capacitor_side\" must be \"transmitter\", \"load\" or \"either\"");
}

TEST_CASE("a mistake in a tuner file is told with its place") {
  const std::vector<Change> changes = {
      {"form = \"pi\"", "form = \"Pi\"", "3:8: \"form\" must be \"L\", \"T\", \"pi\" or \"LCL\""},
      {"form = \"pi\"\n", "", "1:1: [tuner] needs the key \"form\""},
      {"form = \"pi\"", "form = 3", "3:8: \"form\" in [tuner] must be a text, not a number"},
      {"form = \"pi\"", "form = \"L\"", "16:1: only forms \"T\" and \"pi\" have a second bank of capacitors"},
      {"form = \"pi\"", "form = \"pi\"\ncapacitor_side = \"load\"",
       "4:18: only a tuner of form \"L\" has a \"capacitor_side\""},
      {"form = \"pi\"", "form = \"T\"\ncapacitor_side = \"load\"",
       "4:18: only a tuner of form \"L\" has a \"capacitor_side\""},
      {"name = \"pi in a box\"", "name = \"\"", "2:8: \"name\" in [tuner] must not be empty"},
      {"contact_resistance = \"0.05 ohm\"", "contact_resistance = \"-0.05 ohm\"",
       "4:22: \"contact_resistance\" in [tuner] is -50 mohm and must be >= 0"},
      {"contact_resistance = \"0.05 ohm\"", "contact_resistance = nan",
       "4:22: \"contact_resistance\" in [tuner] must be a finite number or a text with a unit such as \"1 ohm\", not "
       "nan, inf or a whole number that no double holds"},
      {"contact_resistance = \"0.05 ohm\"", "relay = \"0.05 ohm\"",
       "4:1: unknown key \"relay\" in [tuner]; legal: name, form, capacitor_side, contact_resistance, inductors, "
       "capacitors, load_capacitors, load_inductors"},
      {"[tuner.inductors]\n", "[tuner.coils]\n",
       "1:1: [tuner] needs the table [tuner.inductors]\ntuner.toml:5:8: unknown key \"coils\" in [tuner]; legal: name, "
       "form, capacitor_side, contact_resistance, inductors, "
       "capacitors, load_capacitors, load_inductors"},
      {"[tuner.capacitors]\n", "[tuner.condensers]\n",
       "1:1: [tuner] needs the table [tuner.capacitors]\ntuner.toml:11:8: unknown key \"condensers\" in [tuner]; "
       "legal: name, form, capacitor_side, contact_resistance, inductors, "
       "capacitors, load_capacitors, load_inductors"},
      {"values = [\"0.2 uH\", \"0.8 uH\"]", "values = [\"0.2 uH\", \"0.8 pF\"]",
       "6:26: \"0.8 pF\": \"pF\" is not a unit of inductance; legal: pH nH uH mH H"},
      {"values = [\"0.2 uH\", \"0.8 uH\"]", "values = [\"0.2 uH\", -1]",
       "6:21: \"values\" in [tuner.inductors] is -1 H and must be > 0"},
      {"values = [\"0.2 uH\", \"0.8 uH\"]", "values = [\"0.2 uH\", inf]",
       "6:21: \"values\" in [tuner.inductors] must be a finite number or a text with a unit such as \"1 H\", not nan, "
       "inf or a whole number that no double holds"},
      {"values = [\"0.2 uH\", \"0.8 uH\"]", "values = []",
       "6:10: \"values\" in [tuner.inductors] must be an array of values, such as [\"1 H\", \"2 H\"]"},
      {"values = [\"0.2 uH\", \"0.8 uH\"]\n", "", "5:1: [tuner.inductors] needs the key \"values\""},
      {"q = 100\n", "q = 0\n", "7:5: \"q\" in [tuner.inductors] is 0 and must be > 0"},
      {"q = 100\n", "q = -100\n", "7:5: \"q\" in [tuner.inductors] is -100 and must be > 0"},
      {"q = 100\n", "q = \"high\"\n", "7:6: \"high\": not a number; legal: a number without unit"},
      {"q_at = \"7 MHz\"", "q_at = \"7 m\"", "8:11: \"7 m\": \"m\" is not a unit of frequency; legal: Hz kHz MHz GHz"},
      {"stray = \"0.1 uH\"", "stray = \"-0.1 uH\"", "9:9: \"stray\" in [tuner.inductors] is -100 nH and must be >= 0"},
      {"stray = \"0.1 uH\"", "straye = \"0.1 uH\"",
       "9:1: unknown key \"straye\" in [tuner.inductors]; legal: values, q, q_at, stray, open_contact, part_q, "
       "part_voltage, part_current, part_power, rating"},
      {"stray = \"10 pF\"", "stray = -1e-12", "14:9: \"stray\" in [tuner.capacitors] is -1 pF and must be >= 0"},
      {"stray = \"10 pF\"", "loss = 0",
       "14:1: unknown key \"loss\" in [tuner.capacitors]; legal: values, q, q_at, stray, open_contact, part_q, "
       "part_voltage, part_current, part_power, rating"},
      {"voltage = \"1 kV\"", "voltage = 0", "10:22: \"voltage\" in [tuner.inductors.rating] is 0 V and must be > 0"},
      {"current = \"2 A\"", "current = \"2 V\"", "10:43: \"2 V\": \"V\" is not a unit of current; legal: uA mA A"},
      {"power = \"1 W\"", "heat = \"1 W\"",
       "15:31: unknown key \"heat\" in [tuner.capacitors.rating]; legal: voltage, current, power"},
      {"rating = { voltage = \"500 V\", power = \"1 W\" }", "rating = 500",
       "15:10: \"rating\" must be a table, not a number"},
      {"stray = \"5 pF\"", "rating = { voltage = \"500 V\" }",
       "19:1: unknown key \"rating\" in [tuner.load_capacitors]; legal: values, q, q_at, stray, open_contact, part_q, "
       "part_voltage, part_current, part_power"},
      {"stray = \"5 pF\"", "stray = \"5 uF",
       "19:14: Error while parsing string: unescaped control characters other than TAB (U+0009) are explicitly "
       "prohibited"},
      {"values = [\"20 pF\"]", "values = \"20 pF\"",
       "17:10: \"values\" in [tuner.load_capacitors] must be an array of values, such as [\"1 F\", \"2 F\"]"},
      {"values = [\"20 pF\"]",
       "values = [1e-12, 2e-12, 3e-12, 4e-12, 5e-12, 6e-12, 7e-12, 8e-12, 9e-12, 1e-11, 1e-11, 1e-11, 1e-11, 1e-11, "
       "1e-11, 1e-11, 1e-11, 1e-11, 1e-11, 1e-11, 1e-11]",
       "3:8: the number of states is 2^25 (25 parts) and must be at most 2^24"},
      {"[tuner]\n", "[other]\n[tuner]\n", "1:2: unknown key \"other\" in the file; legal: tuner"},
      {"[tuner]\n", "[[tuner]]\n", "1:1: \"tuner\" must be a table, not an array"},
      {"[tuner]\n", "[tuners]\n",
       "1:2: unknown key \"tuners\" in the file; legal: tuner\ntuner.toml:5:1: [tuner] needs the key \"form\""},
  };
  for (const Change& c : changes) {
    INFO("instead of: " << c.find << "\nstands: " << c.replace);
    CHECK(parse_error([&] { read_tuner(changed(box, c.find, c.replace), "tuner.toml"); }) == "tuner.toml:" + c.message);
  }
}

TEST_CASE("an empty tuner file or table is refused") {
  CHECK(parse_error([] { read_tuner("", "tuner.toml"); }) == "tuner.toml:1:1: the file needs the table [tuner]");
  CHECK(parse_error([] { read_tuner("[tuner]\n", "tuner.toml"); }) ==
        "tuner.toml:1:1: [tuner] needs the key \"form\"\n"
        "tuner.toml:1:1: [tuner] needs the table [tuner.inductors]\n"
        "tuner.toml:1:1: [tuner] needs the table [tuner.capacitors]");
  CHECK(parse_error([] { read_tuner("\n[tuner]\nform = \"L\"\n", "tuner.toml"); }) ==
        "tuner.toml:2:1: [tuner] needs the table [tuner.inductors]\n"
        "tuner.toml:2:1: [tuner] needs the table [tuner.capacitors]");
}

TEST_CASE("an L-C-L file has two banks of inductors with losses and ratings of each part") {
  const tuner::Tuner t = read_tuner(R"toml([tuner]
form = "LCL"
[tuner.inductors]
values = ["0.2 uH", "0.8 uH"]
q = 100
q_at = "7 MHz"
part_q = [120, 80]
part_current = ["2 A", "3 A"]
open_contact = "1 pF"
[tuner.capacitors]
values = ["40 pF", "160 pF"]
part_voltage = ["500 V", "1 kV"]
part_power = ["1 W", "2 W"]
open_contact = "0.5 pF"
[tuner.load_inductors]
values = ["0.4 uH"]
)toml",
                                    "tuner.toml");
  CHECK(t.form == tuner::TunerForm::lcl);
  REQUIRE(t.inductors.losses.size() == 2);
  CHECK(t.inductors.losses[1].q == 80.0);
  CHECK(t.inductors.losses[1].q_at_hz == 7e6);
  CHECK(t.inductors.ratings[1].current_a_rms == 3.0);
  CHECK(std::isinf(t.inductors.ratings[1].voltage_v_peak));
  CHECK(t.inductors.open_contact_f == 1e-12);
  CHECK(t.capacitors.open_contact_f == 0.5e-12);
  CHECK(t.capacitors.losses.empty());
  CHECK(t.capacitors.ratings[1].voltage_v_peak == 1000.0);
  CHECK(t.capacitors.ratings[0].dissipation_w == 1.0);
  CHECK(t.load_inductors.values_h == std::vector{0.4e-6});
  CHECK(t.load_inductors.losses.empty());
  CHECK(t.load_capacitors.values_f.empty());
  CHECK(tuner::state_count(t) == 32);
}

TEST_CASE("mistakes in what a tuner file says of each part are told with their place") {
  const std::vector<Change> changes = {
      {"q = 100\n", "part_q = [100]\n", "7:10: \"part_q\" has 1 entries and must have one for each of the 2 values"},
      {"q = 100\n", "part_current = [\"1 A\", \"1 V\"]\n",
       "7:27: \"1 V\": \"V\" is not a unit of current; legal: uA mA A"},
      {"q = 100\n", "open_contact = \"-1 pF\"\n",
       "7:16: \"open_contact\" in [tuner.inductors] is -1 pF and must be >= 0"},
      {"[tuner.load_capacitors]\nvalues = [\"20 pF\"]", "[tuner.load_inductors]\nvalues = [\"20 uH\"]",
       "16:1: only form \"LCL\" has a second bank of inductors\n"
       "tuner.toml:19:12: \"5 pF\": \"pF\" is not a unit of inductance; legal: pH nH uH mH H"},
      {"form = \"pi\"", "form = \"LCL\"", "16:1: only forms \"T\" and \"pi\" have a second bank of capacitors"},
  };
  for (const Change& c : changes) {
    INFO("instead of: " << c.find << "\nstands: " << c.replace);
    CHECK(parse_error([&] { read_tuner(changed(box, c.find, c.replace), "tuner.toml"); }) == "tuner.toml:" + c.message);
  }
}

TEST_CASE("values that no tuner has are refused with the question whether their unit was meant, if they have one") {
  struct Case {
    std::string find, replace, place;
  };
  const std::vector<Case> cases = {
      {"stray = \"5 pF\"", "stray = \"1e200 pF\"", "19:9: \"stray\" in [tuner.load_capacitors]"},
      {"q = 100\n", "q = 1e12\n", "7:5: \"q\" in [tuner.inductors]"},
      {"q = 100\n", "part_q = [1e12, 100]\n", "7:10: \"part_q\" in [tuner.inductors]"},
      {"q = 100\n", "part_voltage = [1e12, 100]\n", "7:16: \"part_voltage\" in [tuner.inductors]"},
      {"q = 100\n", "open_contact = 3\n", "7:16: \"open_contact\" in [tuner.inductors]"},
      {"values = [\"20 pF\"]", "values = [20]", "17:10: \"values\" in [tuner.load_capacitors]"},
      {"voltage = \"1 kV\"", "voltage = 1e12", "10:22: \"voltage\" in [tuner.inductors.rating]"},
  };
  for (const Case& c : cases) {
    INFO("instead of: " << c.find << "\nstands: " << c.replace);
    const std::string error = parse_error([&] { read_tuner(changed(box, c.find, c.replace), "tuner.toml"); });
    INFO(error);
    CHECK(error.find("tuner.toml:" + c.place + " is ") == 0);
    CHECK(error.find("; plausible for ") != std::string::npos);
    const bool has_unit = c.place.find("q\" in") == std::string::npos;  // a Q has none
    CHECK((error.find("meant") != std::string::npos) == has_unit);
  }
}

#include <string>

#include <station/one_change.hpp>
#include <stile/station/any_tuner.hpp>

using namespace stile;
using namespace stile::station;
using namespace stile::station::test;

namespace {

constexpr const char* roller = R"toml([tuner]
name = "roller T"
form = "T"
[tuner.inductors]
range = ["0.3 uH", "28 uH"]
q = 200
resistance = "0.05 ohm"
rating = { current = "5 A" }
[tuner.capacitors]
range = ["12 pF", "250 pF"]
q = 2000
[tuner.load_capacitors]
range = ["15 pF", "500 pF"]
rating = { voltage = "2 kV" }
)toml";

}  // namespace

TEST_CASE("a file with ranges is a continuous tuner and one with values a bank") {
  const auto read = read_any_tuner(roller, "tuner.toml");
  REQUIRE(std::holds_alternative<tuner::ContinuousTuner>(read));
  const tuner::ContinuousTuner& t = std::get<tuner::ContinuousTuner>(read);
  CHECK(t.name == "roller T");
  CHECK(t.form == tuner::TunerForm::t);
  CHECK(t.inductor.range_h.low == 0.3e-6);
  CHECK(t.inductor.range_h.high == 28e-6);
  CHECK(t.inductor.loss.q == 200.0);
  CHECK(t.inductor.loss.series_ohm == 0.05);
  CHECK(t.inductor.rating.current_a_rms == 5.0);
  CHECK(t.capacitor.range_f.low == 12e-12);
  CHECK(t.load_capacitor.range_f.high == 500e-12);
  CHECK(t.load_capacitor.rating.voltage_v_peak == 2000.0);
  CHECK_FALSE(t.differential);

  const auto bank = read_any_tuner(
      "[tuner]\nform = \"L\"\n[tuner.inductors]\nvalues = [1e-6]\n[tuner.capacitors]\nvalues = [1e-10]\n", "b.toml");
  REQUIRE(std::holds_alternative<tuner::Tuner>(bank));
  CHECK(std::get<tuner::Tuner>(bank).inductors.values_h.size() == 1);
}

TEST_CASE("the second part of a tuner that turns is like the first unless it is stated") {
  const auto read = [](const std::string& form, const std::string& more) {
    return std::get<tuner::ContinuousTuner>(read_any_tuner(
        "[tuner]\nform = \"" + form +
            "\"\n[tuner.inductors]\nrange = [\"0.3 uH\", \"28 uH\"]\nq = 190\n[tuner.capacitors]\nrange = [\"12 pF\", "
            "\"250 pF\"]\nq = 1900\n" +
            more,
        "t.toml"));
  };
  const tuner::ContinuousTuner lcl = read("LCL", ""),
                               other = read("LCL", "[tuner.load_inductors]\nrange = [1e-6, 2e-6]\n");
  CHECK(lcl.load_inductor.range_h.low == 0.3e-6);
  CHECK(lcl.load_inductor.range_h.high == 28e-6);
  CHECK(lcl.load_inductor.loss.q == 190.0);
  CHECK(other.inductor.range_h.high == 28e-6);
  CHECK(other.load_inductor.range_h.high == 2e-6);
  for (const char* form : {"T", "pi"}) {
    const tuner::ContinuousTuner two = read(form, "");
    CHECK(two.load_capacitor.range_f.low == 12e-12);
    CHECK(two.load_capacitor.range_f.high == 250e-12);
    CHECK(two.load_capacitor.loss.q == 1900.0);
  }
}

TEST_CASE("taps and a differential capacitor are read") {
  const std::string text = changed(changed(roller, "range = [\"0.3 uH\", \"28 uH\"]", "taps = [\"1 uH\", \"4 uH\"]"),
                                   "form = \"T\"", "form = \"T\"\ndifferential = true");
  const auto read = read_any_tuner(text.substr(0, text.find("[tuner.load_capacitors]")), "tuner.toml");
  const tuner::ContinuousTuner& t = std::get<tuner::ContinuousTuner>(read);
  CHECK(t.inductor.taps_h == std::vector{1e-6, 4e-6});
  CHECK(t.differential);
}

TEST_CASE("a mistake in a continuous tuner's file is told with its place") {
  const std::vector<Change> changes = {
      {"range = [\"12 pF\", \"250 pF\"]", "range = [\"250 pF\", \"12 pF\"]",
       "10:9: \"range\" must be two values, the least and the most"},
      {"range = [\"12 pF\", \"250 pF\"]", "range = [\"250 pF\"]",
       "10:9: \"range\" must be two values, the least and the most"},
      {"range = [\"12 pF\", \"250 pF\"]", "range = [\"-1 pF\", \"250 pF\"]",
       "10:10: \"range\" in [tuner.capacitors] is -1 pF and must be > 0"},
      {"range = [\"0.3 uH\", \"28 uH\"]", "range = [\"0.3 uH\", \"28 uH\"]\ntaps = [\"1 uH\"]",
       "5:9: an inductor has \"range\" or \"taps\", not both"},
      {"form = \"T\"", "form = \"T\"\ndifferential = true",
       "13:1: only forms \"T\" and \"pi\" have a second capacitor, and no differential one"},
      {"form = \"T\"", "form = \"pi\"\ndifferential = true",
       "4:16: only a tuner of form \"T\" has a differential capacitor"},
      {"q = 2000", "values = [1e-12]",
       "11:1: unknown key \"values\" in [tuner.capacitors]; legal: range, q, q_at, resistance, rating"},
  };
  for (const Change& c : changes) {
    INFO("instead of: " << c.find << "\nstands: " << c.replace);
    CHECK(parse_error([&] { read_any_tuner(changed(roller, c.find, c.replace), "tuner.toml"); }) ==
          "tuner.toml:" + c.message);
  }
}

TEST_CASE("values that no part has are refused with the question whether their unit was meant") {
  const auto error = [](const std::string& find, const std::string& replace) {
    return parse_error([&] { read_any_tuner(changed(roller, find, replace), "tuner.toml"); });
  };
  CHECK(error("range = [\"12 pF\", \"250 pF\"]", "range = [12, 250]")
            .find("tuner.toml:10:9: \"range\" in [tuner.capacitors] is 12 F; plausible for a capacitor: ") == 0);
  CHECK(error("range = [\"0.3 uH\", \"28 uH\"]", "taps = [1, 4]")
            .find("tuner.toml:5:8: \"taps\" in [tuner.inductors] is 1 H; plausible for an inductor: ") == 0);
}

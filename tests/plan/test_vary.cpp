// A number of a station put to many values: the answers are those of the plans, and each change is between its two
// values.

#include <cmath>
#include <string>

#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/plan/vary.hpp>
#include <stile/station/solve_loads.hpp>

using namespace stile;
using namespace stile::plan;

namespace {

const station::StationText stated{R"([station]
name = "two ways"
[transmitter]
power = "5 W"
[[band]]
name = "40 m"
low = "7.0 MHz"
high = "7.2 MHz"
use = ["7.1 MHz", "7.1 MHz"]
[[load]]
condition = "dry"
impedance = "30-400j"
[parts]
inductor_q = 200
capacitor_q = 1000
[[arrangement]]
name = "coil"
kind = "base coil"
parts = { inductor_q = 200 }
[[arrangement]]
name = "other coil"
kind = "base coil"
parts = { inductor_q = 120 }
[uncertainty]
q = 0
[decision]
audible = "0 dB"
)",
                                  "two.toml", "."};

}  // namespace

TEST_CASE("a change of the answer is found to its step, with both sides named") {
  // Two equal coils but for their Q: the one with the greater Q loses less. 200 lies between 190 and 210.
  const station::Vary vary = station::read_vary("arrangement.other coil.parts.inductor_q=90:290:11");
  const Study s = study(stated, vary);
  CHECK(s.stated == "120");
  REQUIRE(s.values.size() == 11);
  REQUIRE(s.crossings.size() == 1);
  const Crossing& c = s.crossings.front();
  CHECK(s.vary.texts[c.step] == "190");
  CHECK(s.vary.texts[c.step + 1] == "210");
  CHECK(c.before == "take coil");
  CHECK(c.after == "take other coil");
  REQUIRE(s.best.size() == 1);  // the greatest Q of all
  REQUIRE(s.best.front().size() == 1);
  const BestValue& best = s.best.front().front();
  CHECK(s.values_compared.front());
  CHECK_FALSE(best.antenna);
  CHECK(best.value == 10);
  CHECK(best.arrangement == 1);
  CHECK(best.holds_throughout);
  for (const std::vector<VariedBand>& value : s.values) {
    for (const VariedArrangement& a : value.front().arrangements) CHECK(best.counted_db <= a.counted_db);
  }
  const Study down = study(stated, station::read_vary("arrangement.other coil.parts.inductor_q=290:90:11"));
  REQUIRE(down.crossings.size() == 1);
  CHECK(down.vary.texts[down.crossings.front().step] == "210");
  CHECK(down.crossings.front().before == "take other coil");
  CHECK(study(stated, station::read_vary("arrangement.other coil.parts.inductor_q=90:190:3")).crossings.empty());
}

TEST_CASE("each value of a study is the plan of the file that states it") {
  const station::Vary vary = station::read_vary("transmitter.swr_limit=1.5:3:3");
  const station::StationText with_limit{[&] {
                                          std::string text = stated.text;
                                          return text.replace(text.find("power = \"5 W\""), 13,
                                                              "power = \"5 W\"\nswr_limit = 2.0");
                                        }(),
                                        "two.toml", "."};
  const Study s = study(with_limit, vary, {}, 1);
  for (std::size_t n = 0; n < vary.texts.size(); ++n) {
    const Plan plan = make_plan(
        station::solve_loads(station::read_station(station::with_number(with_limit, vary.what, vary.texts[n]))));
    const BandResult& band = plan.bands.front();
    const VariedBand& varied = s.values[n].front();
    CHECK(varied.choice == band.choice);
    CHECK(varied.taken == band.taken);
    CHECK(varied.answer == answer_words(band));
    REQUIRE(varied.arrangements.size() == band.arrangements.size());
    for (std::size_t a = 0; a < band.arrangements.size(); ++a) {
      CHECK(varied.arrangements[a].counted_db == band.arrangements[a].counted_db);
      CHECK(varied.arrangements[a].ok == band.arrangements[a].ok);
      CHECK(varied.arrangements[a].worst_swr == band.arrangements[a].worst_swr);
    }
  }
}

TEST_CASE("a study of what changes the antenna solves it anew, and of what does not once") {
  const std::string file = std::string(STILE_TEST_DATA) + "/../../examples/moor/station.toml";
  station::StationText moor = station::load_station_text(file);
  const std::size_t first = moor.text.find("[[band]]"), second = moor.text.find("[[band]]", first + 1),
                    behind = moor.text.find("[mode]");
  moor.text.erase(second, moor.text.find("[[band]]", moor.text.find("name = \"10 m\"") - 12) - second);
  REQUIRE(behind != std::string::npos);
  int lines = 0;
  const auto tell = [&](const std::string& line) { lines += line.find("antenna ") != std::string::npos; };
  const Study q = study(moor, station::read_vary("parts.inductor_q=190:200:2"), tell);
  const int once = lines;
  CHECK(once > 0);
  const Study length = study(moor, station::read_vary("load.lifted.wire.counterpoise.length=6m:7.49988m:2"), tell);
  CHECK(lines > 2 * once);  // once for the first study, twice more for the second
  // the last value is the file's own, to the digits printed: the same figures from the same wires
  for (std::size_t a = 0; a < q.values[1][0].arrangements.size(); ++a) {
    const double own = q.values[1][0].arrangements[a].counted_db,
                 varied = length.values[1][0].arrangements[a].counted_db;
    INFO(q.station.arrangements[a].name);
    CHECK(std::abs(own - varied) <= 0.02);
    CHECK(std::abs(own - length.values[0][0].arrangements[a].counted_db) > 0.1);
  }
}

TEST_CASE("a value that the station cannot have is told before anything is computed") {
  CHECK_THROWS_AS(study(stated, station::read_vary("parts.inductor_q=100:-100:3")), ParseError);
  CHECK_THROWS_AS(study(stated, station::read_vary("parts.inductor_p=100:200:3")), ParseError);
}

TEST_CASE("a study of a whip that an arrangement changes is that of the changed whip at every value") {
  const station::StationText whip{
      R"([station]
name = "changed whip"
[transmitter]
power = "5 W"
[[band]]
name = "40 m"
low = "7.0 MHz"
high = "7.2 MHz"
use = ["7.1 MHz", "7.1 MHz"]
[[load]]
condition = "drawn"
[load.wires]
ground = { relative_permittivity = 13, conductivity = "5 mS/m" }
feed = { gap = "10 mm" }
wire = [ { name = "whip", points = [[0, 0, 1.2], [0, 0, 3.6]], radius = "2 mm", metal = "stainless steel" },
         { name = "trail", points = [[0, 0, 1.2], [1.2, 0, 0.05], [4.2, 0, 0.05]], radius = "1 mm", metal = "copper" } ]
[parts]
inductor_q = 200
capacitor_q = 1000
[coil.loading]
former = "40 mm"
wire = "1 mm"
pitch = "2 mm"
turns = 20
[[arrangement]]
name = "with coil"
kind = "base coil"
whip = { longer = "20 cm", coil = "loading", distance = "1 m" }
)",
      "whip.toml", "."};
  const std::string path = GENERATE("arrangement.with coil.whip.longer=10cm:60cm:2",
                                    "arrangement.with coil.whip.distance=0.6m:1.6m:2", "coil.loading.turns=10:20:2");
  const station::Vary vary = station::read_vary(path);
  const Study s = study(whip, vary);
  for (std::size_t n = 0; n < vary.texts.size(); ++n) {
    const Plan plan =
        make_plan(station::solve_loads(station::read_station(station::with_number(whip, vary.what, vary.texts[n]))));
    INFO(path << ", value " << n);
    CHECK(s.values[n][0].arrangements[0].counted_db == Approx(plan.bands[0].arrangements[0].counted_db).epsilon(1e-9));
  }
  CHECK(std::abs(s.values[0][0].arrangements[0].counted_db - s.values[1][0].arrangements[0].counted_db) > 1e-3);
}

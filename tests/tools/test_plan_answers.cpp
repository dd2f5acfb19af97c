// What stile-plan says beside the comparison: the other end, reach, studies; in text, JSON and CSV alike.
#include "programs.hpp"

#include <cmath>
#include <map>

using namespace programs;

namespace {

const std::string station = R"([station]
name = "test"
[transmitter]
power = "5 W"
[[band]]
name = "40 m"
low = "7.0 MHz"
high = "7.2 MHz"
use = ["7.09 MHz", "7.11 MHz"]
[[load]]
condition = "dry"
impedance = "20-300j"
[[load]]
condition = "wet"
impedance = "30-250j"
[parts]
inductor_q = 200
capacitor_q = 1000
[contacts]
margin = "6 dB"
[[arrangement]]
name = "coil"
kind = "base coil"
trim = "each condition"
[[arrangement]]
name = "poor coil"
kind = "base coil"
trim = "each condition"
parts = { inductor_q = 40 }
)";

std::string replaced(std::string text, const std::string& what, const std::string& by) {
  const std::size_t place = text.find(what);
  REQUIRE(place != std::string::npos);
  return text.replace(place, what.size(), by);
}

/// The rows of a CSV text by heading; comment lines left out. No cell of these has a comma inside.
std::vector<std::map<std::string, std::string>> rows_of(const std::string& text) {
  std::vector<std::string> heading;
  std::vector<std::map<std::string, std::string>> rows;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    if (line.empty() || line[0] == '#') continue;
    std::vector<std::string> cells(1);
    for (const char c : line) {
      if (c == ',')
        cells.emplace_back();
      else
        cells.back() += c;
    }
    if (heading.empty()) {
      heading = cells;
      continue;
    }
    REQUIRE(cells.size() == heading.size());
    rows.emplace_back();
    for (std::size_t n = 0; n < cells.size(); ++n) rows.back()[heading[n]] = cells[n];
  }
  return rows;
}

}  // namespace

TEST_CASE("what the other end notices stands in text, JSON and CSV alike") {
  const Folder folder;
  folder.write("s.toml", station);
  const Run text = folder.run("stile-plan s.toml"), csv = folder.run("stile-plan s.toml --csv");
  const auto j = folder.run("stile-plan s.toml --json").json();
  CHECK(j["contacts"]["margin_db"] == 6.0);
  CHECK(j["contacts"]["sigma_db"] == 8.0);
  const auto& poor = j["bands"][0]["arrangements"][1];
  const double weaker = poor["against_best_db"], lost = poor["contacts_lost_share"],
               failed = poor["contacts_failed_share"];
  CHECK(weaker > 1.0);
  CHECK(std::abs(failed - 0.5 * std::erfc(-(weaker - 6.0) / 8.0 / std::sqrt(2.0))) <= 1e-12);
  CHECK(poor["against_best_s_units"].get<double>() == Approx(weaker / 6.0));
  CHECK(poor["against_quarter_wave_db"].is_null());
  CHECK(poor["reach"].is_null());
  const auto rows = rows_of(csv.out);
  REQUIRE(rows.size() == 4);
  CHECK(std::stod(rows[2].at("against_best_db")) == weaker);
  CHECK(std::stod(rows[2].at("contacts_lost_share")) == lost);
  CHECK(rows[2].at("against_quarter_wave_db").empty());
  CHECK(rows[2].at("share_inside").empty());
  char shown[64];
  std::snprintf(shown, sizeof shown, "%.1f dB, %.1f S", weaker, weaker / 6.0);
  CHECK(text.out.find(shown) != std::string::npos);
  std::snprintf(shown, sizeof shown, "%.0f %%", 100.0 * lost);
  CHECK(text.out.find(shown) != std::string::npos);
}

TEST_CASE("what is carried and touched stands in text, JSON and CSV alike") {
  const Folder folder;
  folder.write("s.toml", replaced(station, "parts = { inductor_q = 40 }",
                                  "parts = { inductor_q = 40 }\ncarried = [{ name = \"box\", mass = \"321 g\", size = "
                                  "[\"10 cm\", \"6 cm\", \"4 cm\"] }]"));
  const Run text = folder.run("stile-plan s.toml --report out"), csv = folder.run("stile-plan s.toml --csv");
  REQUIRE(text.status == 0);
  const auto j = folder.run("stile-plan s.toml --json").json()["carrying"];
  REQUIRE(j["parts"].size() == 2);
  CHECK(j["parts"][0]["typical"] == true);
  CHECK(j["parts"][1]["typical"] == false);
  CHECK(j["parts"][1]["mass_kg"] == 0.321);
  CHECK(j["parts"][1]["parts"][0]["known"] == "stated");
  CHECK(text.out.find("poor coil: box 321 g.") != std::string::npos);
  CHECK(csv.out.find("# part, poor coil: 1 x box, 0.321 kg, 0.00024 m3, stated\n") != std::string::npos);
  CHECK(j["orders"][0]["between_conditions"]["taps"] == 1);
  CHECK(j["orders"][0]["order"].size() == 1);
  CHECK(text.out.find("tap and trimmer, 25 s") != std::string::npos);
  CHECK(csv.out.find("# hands, coil: 25 s between conditions") != std::string::npos);
  REQUIRE(j["resets"].size() == 1);
  CHECK(j["resets"][0]["broad"].is_null());
  CHECK(text.out.find("40 m: coil must be set anew: nothing that is left alone holds.") != std::string::npos);
  CHECK(csv.out.find("# resets, 40 m: coil against nothing") != std::string::npos);
  REQUIRE(j["frontiers"][0]["points"].size() == 2);
  CHECK(j["frontiers"][0]["points"][0]["by_mass"] == true);
  CHECK(j["frontiers"][0]["points"][1]["by_mass"] == false);
  CHECK(text.out.find("40 m, hands: coil (2 moved, ") != std::string::npos);
  CHECK(csv.out.find("# frontier, 40 m, coil: ") != std::string::npos);
  for (const char* chart : {"mass-power.png", "hands-power.svg", "bands-power.svg"})
    CHECK(fs::exists(folder.file("out") / chart));
  // The same chart alone; another name is refused with those that there are.
  REQUIRE(folder.run("stile-plan s.toml --chart one.svg --show bands-power").status == 0);
  CHECK(programs::content(folder.file("one.svg")) == programs::content(folder.file("out") / "bands-power.svg"));
  CHECK(programs::content(folder.file("one.svg")).find("poor coil") != std::string::npos);
  const Run none = folder.run("stile-plan s.toml --chart two.svg --show everything");
  CHECK(none.status == 2);
  CHECK(none.err.find("--show \"everything\": there is no such chart; legal: budget-") != std::string::npos);
  CHECK(!fs::exists(folder.file("two.svg")));
}

TEST_CASE("how far a load may wander stands in text, JSON and CSV alike, when it is asked for") {
  const Folder folder;
  folder.write("s.toml", station);
  const Run text = folder.run("stile-plan s.toml --reach");
  REQUIRE(text.status == 0);
  const auto j = folder.run("stile-plan s.toml --reach --json").json();
  const auto rows = rows_of(folder.run("stile-plan s.toml --reach --csv").out);
  REQUIRE(rows.size() == 4);
  for (std::size_t n = 0; n < 4; ++n) {
    const auto& reach = j["bands"][0]["arrangements"][n / 2]["reach"];
    const auto& c = reach["conditions"][n % 2];
    CHECK(c["inside"] == true);
    CHECK(rows[n].at("condition") == c["condition"]);
    CHECK(std::stod(rows[n].at("way_out_ohm")) == c["way_out_ohm"]);
    CHECK(std::stod(rows[n].at("share_inside")) == reach["share_inside"]);
    CHECK(rows[n].at("towards") == c["towards"]);
    CHECK(std::stod(rows[n].at("towards_share")) == c["towards_share"]);
    CHECK(rows[n].at("move").empty());
    CHECK(text.out.find("  " + c["condition"].get<std::string>() + ": out after ") != std::string::npos);
    CHECK(reach["edges_ohm"].size() > 0);
  }
}

TEST_CASE("a study names both sides of a change in every format and draws it") {
  const Folder folder;
  folder.write("s.toml", station);
  const std::string vary = "stile-plan s.toml --vary 'arrangement.poor coil.parts.inductor_q=100:500:5' ";
  const Run text = folder.run(vary + "--chart study.svg");
  INFO(text.err);
  REQUIRE(text.status == 0);
  CHECK(text.err.empty());
  CHECK(folder.names() == std::vector<std::string>{"s.toml", "study.svg"});
  const auto j = folder.run(vary + "--json").json();
  REQUIRE(j["bands"].size() == 1);
  REQUIRE(j["bands"][0]["points"].size() == 5);
  const Run csv = folder.run(vary + "--csv");
  REQUIRE(rows_of(csv.out).size() == 10);
  CHECK(std::stod(rows_of(csv.out)[9].at("counted_db")) ==
        j["bands"][0]["points"][4]["arrangements"][1]["counted_db"].get<double>());
  REQUIRE(j["bands"][0]["crossings"].size() >= 1);
  for (const auto& c : j["bands"][0]["crossings"]) {
    const std::string sides = c["before"].get<std::string>() + ", then " + c["after"].get<std::string>();
    CHECK(csv.out.find(sides) != std::string::npos);
    CHECK(text.out.find("-> between " + std::to_string(c["between"][0].get<int>())) != std::string::npos);
  }
  CHECK(text.out.find("the file states 40") != std::string::npos);
}

TEST_CASE("a study that cannot be made is status 2 and says what would be legal") {
  const Folder folder;
  folder.write("s.toml", station);
  const auto refused = [&](const std::string& options, const std::string& part) {
    const Run run = folder.run("stile-plan s.toml " + options);
    INFO(options << "\n" << run.err);
    CHECK(run.status == 2);
    CHECK(run.out.empty());
    CHECK(lines(run.err) == 1);
    CHECK(run.err.find(part) != std::string::npos);
  };
  refused("--vary transmitter.power=1W:5W", "legal: WHAT=FROM:TO:N");
  refused("--vary transmitter.pwr=1W:5W:3", "transmitter.pwr: \"pwr\" is not stated; there are: power");
  refused("--vary transmitter.power=1W:-5W:3", "s.toml:4:");
  refused("--vary transmitter.power=1W:5W:3 --reach", "--reach");
  refused("--vary transmitter.power=1W:5W:3 --report out", "--report");
}

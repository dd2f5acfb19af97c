// stile-design as a user runs it.
#include <cmath>

#include "plots/chart_measure.hpp"
#include "programs.hpp"

#include "../design/briefs.hpp"

using namespace programs;
using stile::design::test::brief_text;
using stile::design::test::BriefParts;

namespace {

/// The only word about the small briefs of these tests, which draw no set and no person.
const std::string drawn_alone =
    "stile-design: warning: brief.toml: the whip is carried, but its wires are without [set] and [person]: the wander "
    "between conditions is overstated\n";

}  // namespace

TEST_CASE("stile-design writes the fixed JSON keys, and files that stile-plan and stile-whip take as they are") {
  Folder folder;
  BriefParts parts;
  parts.kinds = R"(["base coil", "tuner"])";
  folder.write("brief.toml", brief_text(parts));
  const Run run = folder.run("stile-design brief.toml --objective mean --walks 3 --write 'new folder' --json");
  CHECK(run.err == drawn_alone);
  REQUIRE(run.status == 0);
  const auto j = run.json();
  REQUIRE(j["stations"].size() == 3);
  for (const auto& s : j["stations"]) {
    for (const char* key : {"touch", "objective_db", "held_bands", "whip_m", "counterpoise_m", "mass_kg",
                            "station_file", "wires_file", "bands"})
      CHECK(s.contains(key));
    for (const auto& b : s["bands"]) {
      for (const char* key : {"band", "radiated_db", "worst_condition", "worst_swr", "holds", "settings", "bound_db"})
        CHECK(b.contains(key));
      CHECK(b["settings"].size() == 2);
      CHECK(b["settings"][0].contains("condition"));
      CHECK(b["settings"][0].contains("elements"));
    }
    const std::string station = s["station_file"], wires = s["wires_file"];
    const Run plan = folder.run("stile-plan 'new folder/" + station + "' --json");
    CHECK(plan.status <= 1);
    const auto bands = plan.json()["bands"];
    for (std::size_t b = 0; b < bands.size(); ++b) {
      const double there = bands[b]["arrangements"][0]["radiated_db"], here = s["bands"][b]["radiated_db"];
      CHECK(there == Approx(here).margin(1e-6).epsilon(0.0));
    }
    CHECK(folder.run("stile-whip 'new folder/" + wires + "' --frequency 7.1MHz").status == 0);
  }
  for (const char* key : {"antennas", "solves", "settings"}) CHECK(j["searched"][key].get<int>() > 0);
  REQUIRE_FALSE(j["sensitivity"].empty());
  for (const char* key : {"what", "db_per_unit", "unit"}) CHECK(j["sensitivity"][0].contains(key));
  CHECK_FALSE(j["cautions"].empty());
}

TEST_CASE("stile-coil takes the station of a designed switched coil as it is, with the taps and parts of the design") {
  Folder folder;
  BriefParts parts;
  parts.whip = R"({ length = ["2 m", "3 m"], step = "1 m", radius = "1.5 mm", metal = "stainless steel" })";
  parts.kinds = R"(["switched coil"])";
  parts.more = "[coil]\nformer = \"50 mm\"\nwire = \"1 mm\"\npitch = \"2 mm\"\n";
  folder.write("brief.toml", brief_text(parts));
  const Run run = folder.run("stile-design brief.toml --walks 0 --write designed --json");
  REQUIRE(run.status == 0);
  const auto stations = run.json()["stations"];
  REQUIRE(stations.size() == 2);  // one setting a band, and trimmed by hand
  for (const auto& s : stations) {
    const std::string file = s["station_file"];
    CAPTURE(file);
    const Run coil = folder.run("stile-coil --station designed/" + file + " --json");
    CHECK(coil.status == (s["held_bands"] == 2 ? 0 : 1));
    std::size_t compared = 0;
    const auto bands = coil.json()["bands"];
    for (const auto& there : bands) {
      for (const auto& band : s["bands"]) {
        if (band["band"] != there["band"]) continue;
        for (const auto& here : band["settings"]) {
          if (here["condition"] != there["condition"]) continue;
          REQUIRE(there["settings"].size() == 1);
          const auto& wound = there["settings"][0];
          CHECK(wound["tap_turns"] == here["tap_turns"]);
          CHECK(wound["elements"] == here["elements"]);
          ++compared;
        }
      }
    }
    CHECK(compared == 4);
  }
}

TEST_CASE("stile-design solves what it found at every frequency when it is told to, within 0.01 dB") {
  Folder folder;
  BriefParts parts;
  parts.whip = R"({ length = "3 m", radius = "1.5 mm", metal = "stainless steel" })";
  parts.counterpoise = R"({ wires = 1, length = "4.5 m", radius = "0.5 mm", metal = "copper" })";
  parts.kinds = R"(["straight"])";
  parts.bands = "[[band]]\nname = \"40 m\"\nlow = \"7.0 MHz\"\nhigh = \"7.2 MHz\"\n"
                "use = [\"7.03 MHz\", \"7.17 MHz\"]\n";
  folder.write("brief.toml", brief_text(parts));
  const std::string command = "stile-design brief.toml --objective mean --walks 0 --json";
  const Run few = folder.run(command), each = folder.run(command + " --every-point");
  REQUIRE(few.status == 0);
  REQUIRE(each.status == 0);
  const auto radiated_db = [](const Run& run) {
    return run.json()["stations"][0]["bands"][0]["radiated_db"].get<double>();
  };
  CHECK(std::abs(radiated_db(few) - radiated_db(each)) <= 0.01);
  CHECK(few.out != each.out);  // the worst frequency, an end of the part in use, is among those that are interpolated
}

TEST_CASE("stile-design says how it searched, what it did not vary and the cautions, in text and CSV") {
  Folder folder;
  folder.write("brief.toml", brief_text());
  const Run text = folder.run("stile-design brief.toml --touch band");
  REQUIRE(text.status == 0);
  CHECK(text.out.find("Touch \"band\"") != std::string::npos);
  CHECK(text.out.find("Touch \"nothing\"") == std::string::npos);
  CHECK(text.out.find("every antenna of the stated steps was solved") != std::string::npos);
  CHECK(text.out.find("Not varied") != std::string::npos);
  CHECK(text.out.find("Q assumed") != std::string::npos);
  CHECK(text.out.find("Cautions") != std::string::npos);
  CHECK(text.out.find(" safe") == std::string::npos);
  // Of every match whether it was proven or searched, and among how many settings.
  const Run nothing = folder.run("stile-design brief.toml --touch nothing --walks 0");
  for (const char* word : {"proven", "1 setting"}) CHECK(nothing.out.find(word) != std::string::npos);
  const Run csv = folder.run("stile-design brief.toml --touch nothing --csv");
  REQUIRE(csv.status == 0);
  CHECK(csv.out.rfind("touch,network,whip_m", 0) == 0);
  CHECK(csv.out.find("# caution") != std::string::npos);
  // The first on 50 walks where nothing else is said.
  CHECK(text.out.find("On 50 walks") != std::string::npos);
  CHECK(text.out.find("in the world as stated") != std::string::npos);
}

TEST_CASE("stile-design: a brief that nothing can meet is status 1, one with faults is status 2") {
  Folder folder;
  BriefParts parts;
  parts.kinds = R"(["base coil"])";
  parts.more = "[limits]\nmass = \"100 g\"\n[mass]\n\"base coil\" = \"250 g\"\n";
  folder.write("heavy.toml", brief_text(parts));
  const Run heavy = folder.run("stile-design heavy.toml");
  CHECK(heavy.status == 1);
  CHECK(heavy.err.find("relax the limit of mass") != std::string::npos);
  CHECK(heavy.out.find("Nothing is within the limits") != std::string::npos);
  folder.write("faults.toml", "[brief]\nname = 3\n[limits]\nmass = \"4 m\"\n");
  const Run faults = folder.run("stile-design faults.toml");
  CHECK(faults.status == 2);
  CHECK(faults.err.find("faults.toml:2:") != std::string::npos);
  CHECK(faults.err.find("faults.toml:4:") != std::string::npos);
  CHECK(folder.run("stile-design heavy.toml --touch hardly").status == 2);
  CHECK(folder.run("stile-design heavy.toml --objective best").status == 2);
}

TEST_CASE("stile-design takes its stations and the present one on walks") {
  Folder folder;
  BriefParts parts;
  parts.kinds = R"(["base coil", "transformer"])";
  parts.whip = R"({ length = "2.5 m", radius = "1.5 mm", metal = "stainless steel" })";
  parts.counterpoise = R"({ wires = 1, length = "4 m", radius = "0.5 mm", metal = "copper" })";
  folder.write("brief.toml", brief_text(parts));
  const Run first = folder.run("stile-design brief.toml --touch band --walks 0 --write out --json");
  REQUIRE(first.status == 0);
  CHECK(first.json()["walks"]["count"] == 0);
  CHECK(first.json()["stations"][0]["walks"].is_null());
  const Run run =
      folder.run("stile-design brief.toml --touch band --against out/touch-band-station.toml --walks 12 --json");
  CHECK(run.err == drawn_alone);
  REQUIRE(run.status == 0);
  const auto j = run.json();
  CHECK(j["walks"]["count"] == 12);
  CHECK_FALSE(j["walks"]["assumptions"].empty());
  REQUIRE(j["present"].size() == 1);
  // The present station is the one that is found: the same figures, as stated and on each walk.
  const double found = j["stations"][0]["objective_db"], present = j["present"][0]["objective_db"];
  CHECK(present == Approx(found).margin(1e-6).epsilon(0.0));
  const double walked = j["stations"][0]["walks"]["mean_db"]["median"],
               carried = j["present"][0]["walks"]["mean_db"]["median"];
  CHECK(carried == Approx(walked).margin(1e-6).epsilon(0.0));
  REQUIRE(j["stations"][0]["walks"]["bands"].size() == 2);
  CHECK(j["stations"][0]["walks"]["bands"][0]["held_share"].contains("tenth"));
  CHECK(j["walks"]["verdicts"].size() == 1);
  const Run all =
      folder.run("stile-design brief.toml --touch band --against out/touch-band-station.toml --json --quiet");
  CHECK(all.json()["walks"]["count"] == 200);
}

namespace {

/// A small brief with masses, without a hand.
std::string whole_brief() {
  BriefParts parts;
  parts.kinds = R"(["base coil", "transformer"])";
  parts.whip = R"({ length = ["2 m", "3 m"], step = "1 m", radius = "1.5 mm", metal = "stainless steel" })";
  parts.counterpoise = R"({ wires = 1, length = ["3 m", "6 m"], step = "3 m", radius = "0.5 mm", metal = "copper" })";
  parts.more = "[mass]\n\"base coil\" = \"250 g\"\ntransformer = \"90 g\"\n";
  return brief_text(parts);
}

}  // namespace

TEST_CASE(
    "stile-design answers what mass, hands, bands, wires, lengths and a hand on the set do, in text, JSON and CSV") {
  Folder folder;
  folder.write("brief.toml", whole_brief());
  const Run run = folder.run("stile-design brief.toml --walks 0 --write 'a b' --json");
  REQUIRE(run.status == 0);
  const auto j = run.json();
  const auto& f = j["frontiers"];
  REQUIRE(f["mass"].size() >= 2);
  REQUIRE(f["hands"].size() >= 2);
  for (const char* which : {"mass", "hands"}) {
    for (const auto& point : f[which]) {
      const std::string file = point["station_file"];
      const Run plan = folder.run("stile-plan 'a b/" + file + "' --json");
      CAPTURE(file);
      REQUIRE(plan.status <= 1);
      double sum = 0.0;
      const auto planned = plan.json();
      for (const auto& band : planned["bands"]) sum += band["arrangements"][0]["radiated_db"].get<double>();
      CHECK(point["objective_db"].get<double>() == Approx(sum / 2.0).margin(1e-6).epsilon(0.0));
      CHECK(point["power_w"].get<double>() == Approx(5.0 * std::pow(10.0, -sum / 20.0)).epsilon(1e-9));
    }
  }
  CHECK(j["band_costs"].size() == 2);
  CHECK(j["wire_uses"].size() == 1);
  CHECK(j["length_scans"].size() == 2);
  REQUIRE(j["with_hand"].is_object());
  CHECK(folder.run("stile-plan 'a b/with-hand-station.toml' --json").status <= 1);
  const Run text = folder.run("stile-design brief.toml --walks 0");
  for (const char* heading : {"What mass buys", "What hands buy", "Which band pays", "What each wire is for",
                              "Lengths to avoid", "With a hand on the set", "Not taken on walks"})
    CHECK(text.out.find(heading) != std::string::npos);
  const Run csv = folder.run("stile-design brief.toml --walks 2 --csv");
  for (const char* table :
       {"# frontier of mass", "# frontier of hands", "# what each band costs the others", "# what each wire is for",
        "# lengths to avoid", "# with a hand on the set", "# on 2 walks"})
    CHECK(csv.out.find(table) != std::string::npos);
  // The same figures: each objective of a frontier stands in the CSV with all its digits.
  for (const auto& point : f["mass"]) CHECK(csv.out.find(point["objective_db"].dump()) != std::string::npos);
}

TEST_CASE("stile-design draws bands, lengths, mass and hands") {
  Folder folder;
  folder.write("brief.toml", whole_brief());
  const std::vector<std::pair<std::string, std::string>> charts{{"bands", "power that is radiated, W"},
                                                                {"lengths", ""},
                                                                {"mass", "mass of antenna and match, kg"},
                                                                {"hands", "things touched"}};
  for (const auto& [show, axis] : charts) {
    const Run run =
        folder.run("stile-design brief.toml --touch band --walks 2 --chart a.svg --show " + show + " -o a.txt");
    INFO(show << run.err);
    CHECK(run.status == 0);
    const std::string svg = content(folder.file("a.svg"));
    chart_measure::check_chart(folder.file("a.svg"));
    if (show == "lengths")  // the second where a length between those of the stations is better
      CHECK((svg.find(">dB more than the best<") != std::string::npos ||
             svg.find(">dB more than the least of this map<") != std::string::npos));
    else
      CHECK(svg.find(axis) != std::string::npos);
    // more than power and cost decide what is beaten
    if (show == "mass" || show == "hands") CHECK(svg.find("holds as many bands") != std::string::npos);
  }
  CHECK(folder.run("stile-design brief.toml --chart a.svg --show all").status == 2);
}

TEST_CASE("stile-design: power towards the other station is told as an isotropic radiator's") {
  Folder folder;
  BriefParts parts;
  parts.kinds = R"(["base coil"])";
  const std::string path = R"(elevation = ["60 deg", "80 deg"])", axis = "power that goes towards the other station "
                                                                         "(as an isotropic radiator's)";
  for (const auto& [table, unit] : {std::pair{"[path]\n" + path, ", W"},
                                    std::pair{"[[path]]\nband = \"40 m\"\n" + path, " on the bands that have a "
                                                                                    "[path], is radiated on the "
                                                                                    "others, W"}}) {
    parts.more = table + "\n";
    folder.write("brief.toml", brief_text(parts));
    const Run run = folder.run("stile-design brief.toml --touch band --walks 0 --chart a.svg -o a.txt");
    INFO(run.err);
    REQUIRE(run.status == 0);
    CHECK(content(folder.file("a.svg")).find(axis + unit) != std::string::npos);
  }
}

TEST_CASE("stile-design: a chart that cannot be drawn leaves the result, says why and ends with status 1") {
  Folder folder;
  BriefParts parts;
  parts.kinds = R"(["base coil"])";
  folder.write("brief.toml", brief_text(parts));  // without [mass]
  const Run run =
      folder.run("stile-design brief.toml --touch band --walks 0 --json -o a.json --chart a.svg --show mass");
  CHECK(run.status == 1);
  CHECK(run.err.find("stile-design: --show mass: no station radiates of which [mass] states the match; legal: bands "
                     "lengths hands\n") != std::string::npos);
  CHECK(nlohmann::json::parse(content(folder.file("a.json")))["status"] == "found");
  CHECK(!fs::exists(folder.file("a.svg")));
}

namespace {

/// Thousands of antennas.
std::string long_brief() {
  BriefParts parts;
  parts.kinds = R"(["L network", "base coil"])";
  parts.whip = R"({ length = ["1 m", "6 m"], step = "10 cm", radius = "1.5 mm", metal = "stainless steel" })";
  parts.counterpoise = R"({ wires = 1, length = ["1 m", "9 m"], step = "10 cm", radius = "0.5 mm", metal = "copper" })";
  return brief_text(parts);
}

}  // namespace

TEST_CASE("stile-design: lengths that leave no map are refused before the work") {
  Folder folder;
  BriefParts parts;
  const auto refused = [&](const std::string& left) {
    folder.write("brief.toml", brief_text(parts));
    const Run run = folder.run("stile-design brief.toml -o a.txt --chart a.svg --show lengths");
    CHECK(run.status == 2);
    // Before the work there is a warning of this brief.
    CHECK(run.err == "stile-design: --show lengths: the brief leaves " + left + "; legal: bands mass hands\n");
    CHECK(folder.names() == std::vector<std::string>{"brief.toml"});
  };
  parts.whip = R"({ length = "2.5 m", radius = "1.5 mm", metal = "stainless steel" })";
  refused("one length of whip");
  parts.whip = R"({ length = ["2 m", "3 m"], radius = "1.5 mm", metal = "stainless steel" })";
  parts.more = "[limits]\ntop_height = \"3.3 m\"\n";  // on a base at 1.3 m
  refused("one length of whip");
  parts.more.clear();
  parts.counterpoise = R"({ wires = 1, length = "5 m", radius = "0.5 mm", metal = "copper" })";
  refused("one length of wire, or none");
}

TEST_CASE("stile-design: Ctrl-C in the map of lengths leaves the result without a chart, with status 1") {
  Folder folder;
  BriefParts parts;  // four antennas to search, 165 in the map
  parts.kinds = R"(["base coil"])";
  parts.whip = R"({ length = ["2 m", "3 m"], step = "1 m", radius = "1.5 mm", metal = "stainless steel" })";
  parts.counterpoise = R"({ wires = 1, length = ["3 m", "6 m"], step = "3 m", radius = "0.5 mm", metal = "copper" })";
  parts.bands.clear();
  for (int n = 0; n < 6; ++n)
    parts.bands += fmt::format("[[band]]\nname = \"b{}\"\nlow = \"{} MHz\"\nhigh = \"{} MHz\"\n", n, 5 + n, 5.4 + n);
  folder.write("brief.toml", brief_text(parts));
  const Run run =
      folder.run("set -m; script -qefc 'echo $$ >pid; exec stile-design brief.toml --touch band --walks 0 --json -o "
                 "a.json --chart "
                 "a.svg --show lengths' terminal >/dev/null & shell=$!\n"
                 "for n in {1..2000}; do grep -qs 'the map of lengths' terminal && break; sleep 0.05; done\n"
                 "kill -INT $(cat pid); wait $shell; echo $?");
  INFO(run.err << content(folder.file("terminal")));
  CHECK(run.out == "1\n");
  CHECK(content(folder.file("terminal")).find("stopped: the result is the best so far") != std::string::npos);
  CHECK_FALSE(nlohmann::json::parse(content(folder.file("a.json")))["stations"].empty());
  CHECK(!fs::exists(folder.file("a.svg")));
}

TEST_CASE("stile-design: Ctrl-C gives the best so far, marked unfinished, in the file and the folder asked for") {
  Folder folder;
  folder.write("brief.toml", long_brief());
  // Job control, so that what runs behind is not born with SIGINT ignored.
  const Run run =
      folder.run("set -m; stile-design brief.toml --json -o a.json --write found --chart a.svg --show mass & tool=$!\n"
                 "sleep 3; kill -INT $tool; wait $tool; echo $?");
  INFO(run.err);
  CHECK(run.out == "1\n");
  const auto j = nlohmann::json::parse(content(folder.file("a.json")));
  CHECK(j["status"] == "unfinished");
  REQUIRE_FALSE(j["stations"].empty());
  for (const auto& s : j["stations"]) {
    const std::string file = s["station_file"];
    CHECK(folder.run("stile-plan found/" + file + " --json").status <= 1);
  }
  // The brief states no [mass]: that there is no chart is told as well.
  CHECK(run.err.find("stile-design: stopped: the result is the best so far; --show mass: no station radiates of which "
                     "[mass] states the match; legal: ") != std::string::npos);
  CHECK(!fs::exists(folder.file("a.svg")));
}

TEST_CASE("stile-design tells on a terminal how long what it does will take") {
  Folder folder;
  folder.write("brief.toml", long_brief());
  const Run run = folder.run(
      "timeout 60 script -qefc 'echo $$ >pid; exec stile-design brief.toml >result.txt' terminal >/dev/null & "
      "for n in {1..500}; do grep -qs ' s left of this' terminal && break; sleep 0.1; done; kill $(cat pid); wait");
  INFO(run.err);
  const std::string shown = content(folder.file("terminal"));
  CHECK(shown.find("stile-design: 1 wire: ") != std::string::npos);
  CHECK(shown.find(" s left of this") != std::string::npos);
}

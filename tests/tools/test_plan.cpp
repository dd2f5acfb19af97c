// stile-plan as a user runs it.
#include <complex>
#include <regex>

#include "programs.hpp"

using Catch::Matchers::Contains;
using namespace programs;

namespace {

// Constant loads need no files: 20-300j ohm "dry" and 30-250j ohm "wet" on one band.
const std::string station = R"([station]
name = "test"
whip_on_body = true
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
[[arrangement]]
name = "coil"
kind = "base coil"
trim = "each condition"
[[arrangement]]
name = "nothing"
kind = "straight"
)";

}  // namespace

TEST_CASE("stile-plan writes the fixed JSON keys and a budget that sums to the power") {
  Folder folder;
  folder.write("station.toml", station);
  const Run run = folder.run("stile-plan station.toml --json");
  REQUIRE(run.status == 0);
  CHECK(run.err.empty());
  const auto j = run.json();
  REQUIRE(j["bands"].size() == 1);
  const auto& band = j["bands"][0];
  CHECK(band["band"] == "40 m");
  CHECK(band["conditions"].size() == 2);
  CHECK(band["verdict"].get<std::string>().find("coil") != std::string::npos);
  REQUIRE(band["arrangements"].size() == 2);
  for (const auto& a : band["arrangements"]) {
    for (const char* key : {"name", "antenna", "worst_swr", "worst_loss_db", "radiated_w", "radiated_db", "path_db",
                            "loss_db", "loss_range_db", "budget_at_hz", "budget", "ok", "why", "settings", "proof"}) {
      INFO(key);
      CHECK(a.contains(key));
    }
    double sum = 0.0;
    for (const auto& item : a["budget"]) {
      const double power_w = item["power_w"].get<double>();
      sum += power_w;
      CHECK(item["power_range_w"][0].get<double>() <= power_w);
      CHECK(item["power_range_w"][1].get<double>() >= power_w);
    }
    CHECK(std::abs(sum - 5.0) <= 1e-12 * 5.0);
  }
  const auto& settings = band["arrangements"][0]["settings"];
  REQUIRE(settings.size() == 2);
  CHECK(settings[1]["band"] == "40 m");
  CHECK(settings[1]["condition"] == "wet");
  REQUIRE_FALSE(settings[1]["elements"].empty());
  for (const char* key : {"place", "kind", "value"}) CHECK(settings[1]["elements"][0].contains(key));
  CHECK(settings[1]["tap_turns"].is_null());
  for (const char* key : {"tried", "bound_db", "how"}) CHECK(band["arrangements"][0]["proof"].contains(key));
  CHECK(band["arrangements"][0]["radiated_db"].is_null());  // nobody knows where these loads' power goes
  CHECK(band["counted"] == "delivered");
  CHECK(band["arrangements"][0]["ok"] == true);
  CHECK(band["arrangements"][1]["ok"] == false);
  CHECK(j["cautions"].size() >= 6);
}

TEST_CASE("stile-plan CSV has a row for each arrangement and condition and the cautions") {
  Folder folder;
  folder.write("station.toml", station);
  const Run run = folder.run("stile-plan station.toml --csv");
  REQUIRE(run.status == 0);
  const auto lines = std::count(run.out.begin(), run.out.end(), '\n');
  const auto comments = std::count(run.out.begin(), run.out.end(), '#');
  CHECK(lines - comments == 1 + 2 * 2);
  CHECK(run.out.find("band,arrangement,condition,frequency_hz,swr,worst_swr,loss_db") == 0);
  CHECK(run.out.find("# caution: RF burn") != std::string::npos);
  CHECK(run.out.find("# verdict: 40 m: take coil") != std::string::npos);
}

TEST_CASE("stile-plan ends with status 1 and the reason when nothing holds") {
  Folder folder;
  folder.write("station.toml", replaced(replaced(station, "kind = \"base coil\"", "kind = \"straight\""),
                                        "trim = \"each condition\"\n", ""));
  const Run run = folder.run("stile-plan station.toml");
  CHECK(run.status == 1);
  CHECK(std::count(run.err.begin(), run.err.end(), '\n') == 1);
  CHECK(run.err.find("stile-plan: 40 m: nothing listed holds") == 0);
  CHECK(run.out.find("Cautions") != std::string::npos);
}

TEST_CASE("stile-plan reads standard input and writes a report") {
  Folder folder;
  folder.write("station.toml", station);
  const Run run = folder.run("stile-plan - --report out -o result.txt < station.toml");
  REQUIRE(run.status == 0);
  CHECK(run.out.empty());
  const fs::path out = folder.file("out");
  for (const char* name : {"comparison.txt", "plan.json", "plan.csv", "budget-dry.png", "budget-wet.svg", "swr-dry.pdf",
                           "swr-wet.png", "match-40-m.png"}) {
    INFO(name);
    CHECK(fs::file_size(out / name) > 200);
  }
  // The card: A6, then the size of a bank card, its types in the file.
  const Run card = folder.run("pdfinfo -f 1 -l 2 out/card.pdf && pdffonts out/card.pdf && pdftotext out/card.pdf -");
  REQUIRE(card.status == 0);
  CHECK(card.out.find("297.638 x 419.528") != std::string::npos);
  CHECK(card.out.find("242.646 x 153.071") != std::string::npos);
  CHECK(card.out.find(" yes yes ") != std::string::npos);
  CHECK(card.out.find(" no no ") == std::string::npos);
  CHECK(card.out.find("40 m") != std::string::npos);
  CHECK(card.out.find("touch nothing") != std::string::npos);
  CHECK(card.out.find("lengths of the wires are not stated") != std::string::npos);
  const std::string svg = content(out / "card.svg");
  CHECK(svg.find("width=\"105.000mm\" height=\"148.000mm\"") != std::string::npos);
  CHECK(svg.find(">40 m</text>") != std::string::npos);
  CHECK(content(folder.file("result.txt")).find("40 m: 7.09 MHz to 7.11 MHz, matched at 7.1 MHz") != std::string::npos);
}

TEST_CASE("stile-plan refuses bad input in one line with its place and leaves nothing behind") {
  struct Case {
    std::string text, arguments, message;
  };
  const std::vector<Case> cases = {
      {replaced(station, "power = \"5 W\"", "power = \"5 m\""), "station.toml", "station.toml:5:"},
      {replaced(station, "power = \"5 W\"", "power = nan"), "station.toml", "station.toml:5:9: "},
      {replaced(station, "inductor_q = 200", "inductor_q = -200"), "station.toml", "station.toml:18:14: "},
      {replaced(station, "use = ", "used = "), "station.toml",
       "station.toml:10:1: unknown key \"used\" in [[band]] 1; legal: name, low"},
      {replaced(station, "impedance = \"20-300j\"", "file = \"none.s1p\""), "station.toml",
       "station.toml:13:8: cannot read \"none.s1p\""},
      {station, "missing.toml", "missing.toml: "},
      {station, "station.toml --chart x.bmp", "--chart \"x.bmp\""},
      {station, "station.toml --wat", "--wat"},
      {station, "", "no station file"},
      {station, "station.toml -o /dev/full", "/dev/full"},
      {station, "station.toml --report station.toml/report", "station.toml/report: cannot be made"},
      {station, "station.toml --report station.toml",
       "--report would replace \"station.toml\", which is read; legal: another file"},
  };
  for (const Case& c : cases) {
    Folder folder;
    folder.write("station.toml", c.text);
    const Run run = folder.run("stile-plan " + c.arguments);
    INFO(c.arguments << ": " << run.err);
    CHECK(run.status == 2);
    CHECK(run.out.empty());
    CHECK(run.err.find("stile-plan: ") == 0);
    CHECK(run.err.find(c.message) != std::string::npos);
    CHECK(std::count(run.err.begin(), run.err.end(), '\n') == 1);
    CHECK(folder.names() == std::vector<std::string>{"station.toml"});
  }
}

TEST_CASE("stile-plan refuses a band outside the data of a load") {
  Folder folder;
  folder.write("load.csv", "frequency_hz,r_ohm,x_ohm\n7050000,20,-300\n7100000,20,-290\n7150000,20,-280\n");
  folder.write("station.toml", replaced(station, "impedance = \"20-300j\"", "file = \"load.csv\""));
  const Run run = folder.run("stile-plan station.toml");
  CHECK(run.status == 2);
  CHECK(run.err.find("station.toml:8:7: the load \"dry\" does not cover this band") != std::string::npos);
}

TEST_CASE("stile-plan tells every fault of a station in a line of its own") {
  Folder folder;
  folder.write("station.toml",
               replaced(replaced(replaced(station, "power = \"5 W\"", "power = \"5 m\""), "low = ", "lowest = "),
                        "kind = \"straight\"", "kind = \"strait\""));
  const Run run = folder.run("stile-plan station.toml");
  CHECK(run.status == 2);
  CHECK(run.out.empty());
  CHECK(std::count(run.err.begin(), run.err.end(), '\n') == 4);  // "low" is missing as well
  for (const char* place :
       {"stile-plan: station.toml:5:12: ", "stile-plan: station.toml:8:1: ", "stile-plan: station.toml:26:8: "}) {
    INFO(run.err);
    CHECK(run.err.find(place) != std::string::npos);
  }
}

TEST_CASE("stile-plan gives a station to begin with that runs as it is") {
  Folder folder;
  const Run starter = folder.run("stile-plan --starter");
  REQUIRE(starter.status == 0);
  CHECK(starter.err.empty());
  CHECK(starter.out.find("# <--") != std::string::npos);
  folder.write("my.toml", starter.out);
  const Run run = folder.run("stile-plan my.toml --json");
  INFO(run.err);
  REQUIRE((run.status == 0 || run.status == 1));
  const auto j = run.json();
  REQUIRE(j["bands"].size() == 2);
  for (const auto& band : j["bands"]) {
    CHECK(band["counted"] == "path");
    for (const auto& a : band["arrangements"]) {
      CHECK(a["path_db"].is_number());
      CHECK(a["radiated_db"].is_number());
      CHECK(a["accidents"].size() == 1);
      CHECK(a["untouched_share"].is_number());
    }
  }
  CHECK(folder.run("stile-plan --starter my.toml").status == 2);

  // Its options run too.
  std::string all = starter.out;
  for (std::size_t at = all.find("#~ ["); at != std::string::npos; at = all.find("\n#~ ", at)) {
    if (all[at] == '\n') ++at;
    all.erase(at, 3);
  }
  folder.write("all.toml", all);
  const Run options = folder.run("stile-plan all.toml --json");
  INFO(options.err);
  REQUIRE((options.status == 0 || options.status == 1));
  const auto o = options.json();
  CHECK(o["bands"][0]["arrangements"].size() == 6);
  bool fed = false;
  for (const auto& setting : o["bands"][0]["arrangements"][4]["settings"]) fed = fed || setting.contains("feed_turns");
  CHECK(fed);
}

TEST_CASE("stile-plan compares antennas and shows the accident of one") {
  Folder folder;
  std::string text = station;
  text = replaced(text,
                  "[[load]]\ncondition = \"dry\"\nimpedance = \"20-300j\"\n[[load]]\ncondition = \"wet\"\nimpedance = "
                  "\"30-250j\"\n",
                  "[[antenna]]\nname = \"short\"\n[[antenna.load]]\ncondition = \"dry\"\nimpedance = "
                  "\"20-300j\"\n[[antenna.load]]\n"
                  "condition = \"wet\"\nimpedance = \"4-900j\"\n[[antenna]]\nname = "
                  "\"long\"\n[[antenna.load]]\ncondition = \"dry\"\n"
                  "impedance = \"45-5j\"\n[[antenna.load]]\ncondition = \"wet\"\nimpedance = "
                  "\"5-700j\"\n[[condition]]\nname = \"wet\"\n"
                  "role = \"accident\"\n");
  text = replaced(text, "kind = \"base coil\"", "kind = \"base coil\"\nantenna = \"short\"");
  text = replaced(text, "kind = \"straight\"", "kind = \"straight\"\nantenna = \"long\"");
  folder.write("station.toml", text);
  const Run run = folder.run("stile-plan station.toml");
  CHECK(run.status == 0);
  CHECK(run.out.find("take nothing") != std::string::npos);
  CHECK(run.out.find("in the accident \"wet\" SWR ") != std::string::npos);
  CHECK(run.out.find("antennas cannot be compared") != std::string::npos);
  CHECK(run.out.find("-> undecided between antennas: ") != std::string::npos);
  CHECK_THAT(std::regex_replace(run.out, std::regex("\n"), " "), Contains("Of those on \"long\" take nothing: "));
}

TEST_CASE("stile-plan solves every frequency when it is told to, and says where short wires lie") {
  Folder folder;
  const std::string wires = R"([load.wires]
ground = "medium dry"
feed = { gap = "20 mm" }
wire = [ { name = "whip", points = [[0, 0, 1.2], [0, 0, 4.2]], radius = "1.5 mm", metal = "stainless steel" },
         { name = "trail", points = [[0, 0, 1.2], [1.2, 0, 0.05], )";
  std::string text = replaced(station, "impedance = \"20-300j\"\n",
                              wires + "[5, 0, 0.05]], radius = \"0.5 mm\", metal = \"copper\" } ]\n");
  text =
      replaced(text, "impedance = \"30-250j\"\n", wires + "[5, 0, 1]], radius = \"0.5 mm\", metal = \"copper\" } ]\n");
  folder.write("station.toml", text);
  const Run few = folder.run("stile-plan station.toml --json"),
            each = folder.run("stile-plan station.toml --every-point --json");
  REQUIRE(few.status <= 1);
  REQUIRE(each.status == few.status);
  CHECK(few.out != each.out);
  const auto a = few.json().at("bands").at(0), b = each.json().at("bands").at(0);
  for (std::size_t n = 0; n < 2; ++n) {
    const auto z = [&](const nlohmann::json& band) {
      const auto ohm = band.at("conditions").at(n).at("load_ohm");
      return std::complex<double>(ohm.at(0), ohm.at(1));
    };
    CHECK(std::abs(z(a) - z(b)) <= 1e-4 * std::abs(z(b)));
    CHECK(std::abs(a.at("arrangements").at(n).at("radiated_db").get<double>() -
                   b.at("arrangements").at(n).at("radiated_db").get<double>()) <= 0.01);
  }
  CHECK(a.at("taken") == b.at("taken"));
  // The wire on the soil has the corner, the one that ends 1 m up has not.
  CHECK(a.at("conditions").at(0).at("ground_factor") == std::vector<double>{0.6, 5.0});
  CHECK(a.at("conditions").at(1).at("ground_factor") == std::vector<double>{0.6, 1.4});
  const std::string said = folder.run("stile-plan station.toml").out;
  CHECK_THAT(said,
             Contains("the ground is taken up to 5 times as lossy as the flat-soil\nmodel says (measured under one "
                      "radial): 40 m, dry.\n"));
}

TEST_CASE(
    "a band on which nothing can be set is left out of the charts and named, and where none is left the result stays") {
  const Folder folder;
  const std::string antenna = "impedance = \"20-300j\"", wet = "impedance = \"30-250j\"";
  // Without resistance no part brings power into it.
  folder.write("none.toml",
               replaced(replaced(replaced(station, antenna, "impedance = \"0-300j\""), wet, "impedance = \"0-250j\""),
                        "[[arrangement]]\nname = \"nothing\"\nkind = \"straight\"\n", ""));
  const Run none = folder.run("stile-plan none.toml --chart none.svg -o none.txt");
  INFO(none.err);
  CHECK(none.status == 1);
  CHECK(none.err.find("nothing can be drawn: in \"dry\" no arrangement can be set on any band; 40 m: ") !=
        std::string::npos);
  CHECK_FALSE(fs::exists(folder.file("none.svg")));
  CHECK(programs::content(folder.file("none.txt")).find("40 m, mass: nothing can be set.") != std::string::npos);
  CHECK(folder.run("stile-plan none.toml --report report").status == 1);
  CHECK(fs::exists(folder.file("report/report.html")));
  folder.write("a.csv", "frequency_hz,r_ohm,x_ohm\n7e6,20,-300\n7.2e6,20,-300\n13.9e6,0,-100\n14.3e6,0,-100\n");
  std::string some = replaced(replaced(station, antenna, "file = \"a.csv\""), wet, "file = \"a.csv\"");
  some = replaced(some, "[[arrangement]]\nname = \"nothing\"\nkind = \"straight\"\n", "");
  folder.write("some.toml", replaced(some, "[[load]]",
                                     "[[band]]\nname = \"20 m\"\nlow = \"14.0 MHz\"\nhigh = \"14.2 MHz\"\n[[load]]"));
  for (const char* chart : {"budget-dry", "swr-dry"}) {
    const Run run = folder.run(std::string("stile-plan some.toml --chart some.svg --show ") + chart);
    INFO(chart << run.err);
    CHECK(run.status == 1);
    REQUIRE(fs::exists(folder.file("some.svg")));
    CHECK(programs::content(folder.file("some.svg")).find("Nothing can be set on 20 m") != std::string::npos);
    fs::remove(folder.file("some.svg"));
  }
}

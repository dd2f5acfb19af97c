// stile-coil as a user runs it.

#include <cctype>
#include <cmath>
#include <regex>

#include <fmt/core.h>

#include <stile/coil/analysis.hpp>
#include <stile/coil/build.hpp>

#include "pdf.hpp"
#include "plots/chart_measure.hpp"

using programs::Folder;
using programs::Run;

namespace {

const std::string coil_40 = "--turns 40 --diameter 40mm --pitch 2mm --wire 1mm ";

double relative(double value, double expected) { return std::abs(value / expected - 1.0); }

std::string
station(const std::string& coil = "[coil.loading]\nformer = \"40 mm\"\nwire = \"1 mm\"\npitch = \"2 mm\"\n") {
  return R"([station]
name = "bench"
[transmitter]
power = "5 W"
[[band]]
name = "40 m"
low = "7 MHz"
high = "7.2 MHz"
design = "7.1 MHz"
[[band]]
name = "20 m"
low = "14 MHz"
high = "14.35 MHz"
design = "14.2 MHz"
[[load]]
condition = "dry"
whip = { radiation = "2 ohm", radiation_at = "7.1 MHz", capacitance = "25 pF", ground = "15 ohm" }
[[load]]
condition = "wet"
whip = { radiation = "2 ohm", radiation_at = "7.1 MHz", capacitance = "28 pF", ground = "25 ohm" }
)" + coil +
         "[[arrangement]]\nname = \"straight\"\nkind = \"straight\"\n";
}

}  // namespace

TEST_CASE("stile-coil gives the fixed keys with the library's numbers") {
  const Folder folder;
  const Run run = folder.run("stile-coil " + coil_40 + "--frequency 7.1MHz --json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  CHECK(run.err.empty());
  const auto json = run.json();
  CHECK(json.at("tool") == "stile-coil");
  CHECK(json.at("version").is_string());
  REQUIRE(json.at("points").size() == 1);
  const auto& p = json.at("points").at(0);

  const stile::coil::Winding w = stile::coil::plain_winding(40.0, 40e-3, 2e-3, 1e-3);
  const stile::coil::CoilPoint expected =
      stile::coil::analyse(w, stile::coil::whole(w, stile::coil::Grounded::from), 7.1e6);
  CHECK(p.at("frequency_hz") == 7.1e6);
  CHECK(relative(p.at("inductance_h"), expected.inductance_h) <= 1e-9);
  CHECK(relative(p.at("resistance_ohm"), expected.resistance_ohm) <= 1e-9);
  CHECK(relative(p.at("q"), expected.q) <= 1e-9);
  CHECK(relative(p.at("apparent_inductance_h"), expected.apparent_inductance_h) <= 1e-9);
  CHECK(relative(json.at("self_resonance_hz"), expected.self_resonance_hz) <= 1e-9);
  // A helix of 40 turns: 40 sqrt((pi 40 mm)^2 + (2 mm)^2); copper of 8890 kg/m3.
  const double wire_m = 40.0 * std::hypot(std::acos(-1.0) * 40e-3, 2e-3);
  CHECK(relative(json.at("wire_length_m"), wire_m) <= 1e-12);
  CHECK(relative(json.at("mass_kg"), wire_m * 0.25 * std::acos(-1.0) * 1e-6 * 8890.0) <= 1e-12);

  // Q is a band: 15 and 5 % more resistance than the model's.
  const double low = p.at("q_practice").at(0), high = p.at("q_practice").at(1);
  CHECK(relative(low, expected.q / 1.15) <= 1e-9);
  CHECK(relative(high, expected.q / 1.05) <= 1e-9);
  CHECK(json.at("accuracy").get<std::string>().find("no measured Q") != std::string::npos);
  CHECK(json.at("cautions").size() >= 3);
}

TEST_CASE("text and CSV of stile-coil show Q as a band") {
  const Folder folder;
  const Run text = folder.run("stile-coil " + coil_40 + "--frequency 7.1MHz");
  CHECK(text.status == 0);
  CHECK(std::regex_search(text.out, std::regex("\nQ +[0-9]+\\.\\.[0-9]+ in practice")));
  CHECK(text.out.find("How far to trust it.") != std::string::npos);
  CHECK(
      std::regex_search(folder.run("stile-coil --help").out, std::regex("so\\s+Q\\s+is\\s+shown\\s+as\\s+a\\s+band")));
  const Run swept = folder.run("stile-coil " + coil_40 + "--sweep 3MHz:6MHz:3 --current 1A --json");
  CHECK(nlohmann::ordered_json::parse(swept.out).dump(2) + "\n" == swept.out);  // though written point by point
  CHECK(swept.json().at("points").size() == 3);
  CHECK(swept.json()["points"][1].count("ratings") == 1);
  const Run csv = folder.run("stile-coil " + coil_40 + "--sweep 3MHz:6MHz:3 --csv");
  CHECK(csv.out.find("frequency_hz,inductance_h,resistance_ohm,q,q_low,q_high,apparent_inductance_h,") == 0);
  CHECK(csv.out.find("\n# accuracy: ") != std::string::npos);
  CHECK(csv.out.find("\n4500000,") != std::string::npos);
}

TEST_CASE("a tap and its unused turns reach the model") {
  const Folder folder;
  const auto inductance = [&](const std::string& more) {
    return folder.run("stile-coil " + coil_40 + "--frequency 3MHz --json " + more)
        .json()
        .at("points")
        .at(0)
        .at("inductance_h")
        .get<double>();
  };
  const double open = inductance("--tap 20"), shorted = inductance("--tap 20 --unused shorted"), all = inductance("");
  CHECK(shorted < open);
  CHECK(open < all);
  const stile::coil::Winding w = stile::coil::plain_winding(40.0, 40e-3, 2e-3, 1e-3);
  CHECK(relative(shorted,
                 stile::coil::analyse(
                     w, stile::coil::tapped(w, 20.0, stile::coil::Unused::shorted, stile::coil::Grounded::from), 3e6)
                     .inductance_h) <= 1e-9);
}

TEST_CASE("turns are found for an inductance") {
  const Folder folder;
  for (const double wanted : {2e-6, 21.7e-6}) {
    const Run run = folder.run("stile-coil --inductance " + std::to_string(wanted * 1e6) +
                               "uH --diameter 41mm --pitch 2mm --wire 1mm --frequency 7.1MHz --json");
    INFO(run.err);
    REQUIRE(run.status == 0);
    const auto json = run.json();
    const double turns = json.at("coil").at("turns");
    CHECK(std::fmod(turns, 0.25) == 0.0);
    const auto of = [](double n) {
      const stile::coil::Winding w = stile::coil::plain_winding(n, 41e-3, 2e-3, 1e-3);
      return stile::coil::analyse(w, stile::coil::whole(w, stile::coil::Grounded::from), 7.1e6).inductance_h;
    };
    const double off = std::abs(of(turns) - wanted);
    CHECK(off <= std::abs(of(turns + 0.25) - wanted));
    CHECK(off <= std::abs(of(turns - 0.25) - wanted));
    CHECK(std::abs(json.at("continuous_turns").get<double>() - turns) <= 0.3);
  }
  CHECK(
      folder
          .run("stile-coil --inductance 9mH --diameter 41mm --pitch 2mm --wire 1mm --frequency 7.1MHz --most-turns 20")
          .err.find("needs more than 20 turns") != std::string::npos);
  // More turns than the eddy currents of each can be computed for at this spacing (187).
  const Run even = folder.run(
      "stile-coil --inductance 170uH --diameter 42mm --pitch 2mm --wire 1.9mm --frequency 1MHz --even-current "
      "--most-turns 400 --json");
  INFO(even.err);
  REQUIRE(even.status == 0);
  CHECK(even.json().at("coil").at("turns").get<double>() > 187.0);
}

TEST_CASE("what cannot be wound is told and gives no numbers") {
  const Folder folder;
  const auto refused = [&](const std::string& arguments, const char* part) {
    const Run run = folder.run("stile-coil " + arguments);
    INFO(arguments << "\n" << run.err);
    CHECK(run.status == 2);
    CHECK(run.out.empty());
    CHECK(programs::lines(run.err) == 1);
    CHECK(run.err.find(part) != std::string::npos);
  };
  const std::string f = " --frequency 7MHz";
  refused("--turns 10 --diameter 40mm --pitch 1mm --wire 1mm" + f, "turns overlap");
  refused("--turns 10 --diameter 40mm --pitch 1mm --wire 2mm" + f, "turns overlap");
  refused("--turns 10 --former 0.5mm --pitch 2mm --wire 1mm" + f, "thinner than the wire");
  refused("--turns 0 --diameter 40mm --pitch 2mm --wire 1mm" + f, "must be > 0");
  refused("--turns -3 --diameter 40mm --pitch 2mm --wire 1mm" + f, "must be > 0");
  refused("--turns 10 --diameter 40mm --pitch 2mm --wire 0" + f, "must be > 0");
  refused("--diameter 40mm --pitch 2mm --wire 1mm" + f, "no turns are given");
  refused("--turns 10 --pitch 2mm --wire 1mm" + f, "no diameter is given");
  refused("--turns 10 --diameter 40mm --wire 1mm" + f, "--pitch is missing");
  refused("--turns 10 --diameter 40mm --former 39mm --pitch 2mm --wire 1mm" + f, "exclude each other");
  refused("--turns 10 --diameter 40mm --pitch 2mm --wire 1mm", "no frequency is given");
  refused("--turns 10 --diameter 40mm --pitch 2mm --wire 1mm --frequency 0", "must be > 0");
  refused(coil_40 + f + " --tap 41", "a tap at 41 turns: legal is above 0 to 40");
  refused(coil_40 + f + " --tap 20 --unused loose", "legal: open shorted");
  refused(coil_40 + f + " --metal gold", "no metal \"gold\"; known are \"copper\"");
  refused(coil_40 + f + " --material wood", "no former is named \"wood\"");
  refused(coil_40 + f + " --temperature 500", "legal is -60 to 300");
  refused(coil_40 + f + " --wall 0.6mm", "a tube's wall");
  refused(coil_40 + f + " --plane 0.2mm", "a plane at");
  refused(coil_40 + f + " --beside 15mm", "beside the axis: legal is above");
  refused(coil_40 + f + " --can 41mm", "a can of 0.041 m inside");
  refused(coil_40 + f + " --can-length 80mm", "--can-length says nothing alone; legal: beside --can");
  refused(coil_40 + f + " --near-metal aluminium", "--near-metal says nothing alone; legal: beside --plane");
  refused(coil_40 + f + " --can 80mm --near-metal steel", "no magnetic metal");
  refused(coil_40 + f + " --can 80mm --beside 80mm", "exclude each other");
  refused(coil_40 + f + " --soil", "--soil says nothing alone; legal: beside --plane");
  refused("--turns 1000 --diameter 40mm --pitch 2mm --wire 1mm" + f,
          "legal: up to 750 with wire of 0.5 of the pitch, or with --even-current");
  refused(coil_40 + f + " --last-pitch 0.5mm", "turns overlap");
  refused(coil_40 + f + " --material PETG --former-wall 30mm", "below half of its 0.039 m");
  refused(coil_40 + f + " --mode morse --current 1A", "no mode is named \"morse\"");
  refused(coil_40 + f + " --chart a.png", "--chart of L and Q needs --sweep");
  refused(coil_40 + f + " --build-sheet a.doc", "legal: FILE.txt FILE.pdf");
  refused(coil_40 + f + " --template a.png", "legal: FILE.pdf FILE.svg");
  refused("--station none.toml", "none.toml");
  folder.write("s.toml", station());
  refused("--station s.toml --condition damp", "legal: \"dry\" \"wet\"");
  refused("--station s.toml --coil other", "legal: loading");
  refused("--station s.toml --turns 3", "--station and --turns exclude each other");
  refused("--station s.toml --tap-step 0.3", "legal: 1, 0.5 or 0.25");
  CHECK(folder.names() == std::vector<std::string>{"s.toml"});
}

TEST_CASE("absurd values end with what is legal") {
  // 1e-10 turns crashed, 10.01 were refused as standing too close.
  const Folder folder;
  const auto refused = [&](const std::string& arguments, const char* part) {
    const Run run = folder.run("stile-coil " + arguments);
    INFO(arguments << "\n" << run.err);
    CHECK(run.status == 2);
    CHECK(run.out.empty());
    CHECK(programs::lines(run.err) == 1);
    CHECK(run.err.find(part) != std::string::npos);
    CHECK(run.err.find("::") == std::string::npos);
  };
  const std::string rest = " --diameter 40mm --pitch 2mm --wire 1mm --frequency 7MHz";
  refused("--turns 1e-10" + rest, "a coil of 1e-10 turns: legal is 0.01 to 2000");
  refused("--turns 1e9" + rest, "legal is 0.01 to 2000");
  refused("--turns 1e9 --even-current" + rest, "legal is 0.01 to 2000");
  refused("--turns 10 --diameter 40mm --pitch 2e-15 --wire 1e-15 --frequency 7MHz", "1e-08 to 0.5 times");
  refused("--turns 10 --diameter 40mm --pitch 0.002um --wire 0.001um --frequency 7MHz", "1e-06 to 1000 times");
  refused("--turns 10 --diameter 1e9 --pitch 2mm --wire 1mm --frequency 7MHz", "1e-05 to 10000 m");
  refused("--turns 10 --diameter 40mm --pitch 2mm --wire 1mm --frequency 1e30", "legal is 0.001 to 1e12");
  refused("--turns 300 --diameter 40mm --pitch 1.06mm --wire 1mm --frequency 7MHz",
          "legal: up to 187 with wire of 0.943 of the pitch, or with --even-current");
  refused("--inductance 5uH --most-turns 1e9" + rest, "legal: 1 to 400");
  refused("--turns 10 --diameter 40mm --pitch 2mm --wire 'AWG 99' --frequency 7MHz", "legal are AWG 4/0 to 56");
  const auto inductance = [&](const std::string& turns) {
    const Run run = folder.run("stile-coil --turns " + turns + rest + " --json");
    INFO(run.err);
    REQUIRE(run.status == 0);
    return run.json().at("points").at(0).at("inductance_h").get<double>();
  };
  CHECK(relative(inductance("10.01"), inductance("10")) <= 0.004);
  CHECK(inductance("10.01") < inductance("10.1"));
}

TEST_CASE("options that would be ignored are refused with what is legal") {
  const Folder folder;
  folder.write("s.toml", station());
  const auto refused = [&](const std::string& arguments, const char* part) {
    const Run run = folder.run("stile-coil " + arguments);
    INFO(arguments << "\n" << run.err);
    CHECK(run.status == 2);
    CHECK(run.out.empty());
    CHECK(run.err.find(part) != std::string::npos);
    CHECK(run.err.find("legal") != std::string::npos);
  };
  const std::string f = coil_40 + "--frequency 7MHz ";
  for (const char* option :
       {"--coil x", "--condition dry", "--spacing 0.5", "--longest 100mm", "--heaviest 100g", "--contact-resistance 1",
        "--lead-inductance 1uH", "--step none", "--whip-length 2m", "--every-point"}) {
    refused(f + option, "says nothing alone; legal: beside --station");
  }
  for (const char* option : {"--most-turns 30", "--tap-step 0.5"})
    refused(f + option, "legal: beside --station or --inductance");
  refused(f + "--unused open", "--unused says nothing alone; legal: beside --tap");
  refused(f + "--tap 20 --switch-resistance 1", "legal: beside --station or --unused shorted");
  refused(f + "--field-share 0.2", "legal: beside --material or --station");
  refused(f + "--former-wall 2mm", "legal: beside --material");
  refused(f + "--material PLA --field-share 0.2 --former-wall 2mm", "exclude each other");
  refused(f + "--material air --former-wall 2mm", "exclude each other");
  for (const char* option : {"--mode CW", "--duty 0.5", "--ambient 30", "--altitude 100", "--wire-limit 90"})
    refused(f + option, "legal: beside --station or --current");
  refused(f + "--current 1A --mode CW --duty 0.5", "exclude each other");
  refused(f + "--show voltage", "legal: beside --chart");
  refused(f + "--lead 50mm", "legal: beside --build-sheet");
  refused(f + "--inductance 1uH", "exclude each other");
  const std::string s = "--station s.toml ";
  for (const char* option : {"--inductance 1uH", "--frequency 7MHz", "--sweep 1MHz:2MHz:3", "--tap 3", "--unused open",
                             "--grounded end", "--current 1A", "--even-current"}) {
    refused(s + option, "exclude each other");
  }
  refused(s + "--coil loading --field-share 0.3", "--field-share says nothing in air");
  refused(f + "--current 1A --wire-limit -5", "legal: 0 to 600");
  folder.write("air.toml", station("[coil.loading]\nformer = \"40 mm\"\nwire = \"1 mm\"\npitch = \"2 mm\"\n"
                                   "field_share = 0.3\n"));
  refused("--station air.toml", "\"field_share\" says nothing in air");
  refused(s + "--coil loading --former-wall 2mm", "--former-wall says nothing alone");
  for (const char* option : {"--longest 100mm", "--heaviest 50g"})
    refused(s + "--coil loading " + option, "limits a search, and one coil is given");
  for (const char* option : {"--pitch 2mm", "--diameter 41mm", "--last-pitch 3mm", "--wall 0.1mm", "--material PLA",
                             "--material PLA --former-wall 2mm", "--plane 50mm", "--coil loading"}) {
    refused(s + "--spacing 0.5 " + option, "a search varies former, wire and spacing");
  }
}

TEST_CASE("a wire may be named by its gauge") {
  const Folder folder;
  const auto wire = [&](const std::string& text) {
    return folder.run("stile-coil --turns 10 --diameter 40mm --pitch 3mm --frequency 7MHz --json --wire " + text)
        .json()
        .at("coil")
        .at("wire_diameter_m")
        .get<double>();
  };
  CHECK(relative(wire("'AWG 18'"), 1.023696e-3) <= 1e-5);  // ASTM B258: 0.040303 in
  CHECK(relative(wire("SWG20"), 0.9144e-3) <= 1e-9);       // 0.036 in
}

TEST_CASE("above its resonance a coil never goes without its caveat") {
  const Folder folder;
  const std::string at = "stile-coil " + coil_40 + "--frequency 60MHz";
  const Run text = folder.run(at);
  CHECK(text.status == 0);
  CHECK(text.err.find("stile-coil: warning: 60 MHz lies above the lowest self-resonance") == 0);
  CHECK(text.out.find("Warning: 60 MHz lies above the lowest self-resonance") != std::string::npos);
  const auto json = folder.run(at + " --json --quiet").json();
  CHECK(json.at("points").at(0).at("above_self_resonance") == true);
  CHECK(json.at("warnings").size() == 1);
  CHECK(folder.run(at + " --csv").out.find("# warning: 60 MHz lies above") != std::string::npos);
  CHECK(folder.run("stile-coil " + coil_40 + "--sweep 10MHz:60MHz:3 --quiet")
            .out.find("above resonance: no inductance") != std::string::npos);
}

TEST_CASE("what the model leaves out is told beside the numbers") {
  const Folder folder;
  CHECK(folder.run("stile-coil --turns 3 --diameter 1m --pitch 10mm --wire 2mm --frequency 14MHz --csv")
            .out.find("# warning: a turn of 3.14 m is more than a tenth of the wavelength") != std::string::npos);
  CHECK(folder.run("stile-coil " + coil_40 + "--frequency 7MHz --even-current --csv")
            .out.find("# warning: proximity effect is left out") != std::string::npos);
  CHECK(folder.run("stile-coil " + coil_40 + "--frequency 7MHz --csv").out.find("# warning") == std::string::npos);
  CHECK(folder.run("stile-coil --turns 10 --diameter 40mm --pitch 1.2mm --wire 1mm --frequency 7MHz --csv")
            .out.find("# warning: wire 0.833 of the pitch: so close, one per cent of pitch") != std::string::npos);
}

TEST_CASE("metal near the coil is said and lowers inductance and Q") {
  const Folder folder;
  const auto run = [&](const std::string& more) {
    return folder.run("stile-coil " + coil_40 + "--frequency 7MHz --quiet " + more);
  };
  const auto free = run("--json").json().at("points").at(0);
  for (const char* metal :
       {"--beside 30mm --near-metal aluminium", "--can 60mm --can-length 120mm --near-metal brass"}) {
    const auto near = run(std::string(metal) + " --json").json();
    INFO(metal);
    CHECK(near.at("coil").contains("near_metal"));
    for (const char* key : {"inductance_h", "q"})
      CHECK(near.at("points").at(0).at(key).get<double>() < free.at(key).get<double>());
  }
  CHECK(run("--beside 30mm --near-metal aluminium").out.find("30 mm beside sheet metal (aluminium)") !=
        std::string::npos);
  CHECK(run("--can 60mm --can-length 120mm").out.find("in a can of 60 mm inside, 120 mm long") != std::string::npos);
}

TEST_CASE("a coil part-way up a whip is given as its wires file states it") {
  const Folder folder;
  const std::string floating = "stile-coil " + coil_40 + "--frequency 7MHz --grounded neither --quiet ";
  const auto lump = folder.run(floating + "--json").json().at("points").at(0).at("lump");
  CHECK(lump.at("q").get<double>() > 100.0);
  const std::string out = folder.run(floating).out;
  CHECK(std::regex_search(
      out, std::regex("On a whip +inductance = \"[0-9.]+ uH\", q = [0-9]+, self_capacitance = \"[0-9.]+ [pf]F\"")));
  CHECK(folder.run("stile-coil " + coil_40 + "--frequency 7MHz").out.find("On a whip") == std::string::npos);
}

TEST_CASE("a pitch that grows lowers the inductance") {
  const Folder folder;
  const auto of = [&](const std::string& more) {
    return folder.run("stile-coil " + coil_40 + "--frequency 3MHz --json " + more).json();
  };
  const auto even = of(""), growing = of("--last-pitch 4mm");
  CHECK(growing.at("points").at(0).at("inductance_h").get<double>() <
        even.at("points").at(0).at("inductance_h").get<double>());
  CHECK(relative(growing.at("coil").at("winding_length_m"), 40.0 * 3e-3) <= 1e-9);
}

TEST_CASE("a coil that is asked too much ends with status 1") {
  const Folder folder;
  const Run run = folder.run("stile-coil " + coil_40 + "--frequency 7.1MHz --current 20A --material PLA");
  CHECK(run.status == 1);
  CHECK(run.err.find("above the PLA former's limit of 50") != std::string::npos);
  CHECK(run.out.find("Margin") != std::string::npos);
  CHECK(folder.run("stile-coil " + coil_40 + "--frequency 7.1MHz --current 0.1A --material PLA").status == 0);
}

TEST_CASE("a band-switched coil is designed from a station") {
  const Folder folder;
  folder.write("s.toml", station());
  const Run run = folder.run("stile-coil --station s.toml --json --whip-length 2.5m");
  INFO(run.err);
  REQUIRE(run.status == 0);
  const auto json = run.json();
  CHECK(json.at("status") == "found");
  REQUIRE(json.at("bands").size() == 4);
  const double all = json.at("coil").at("turns");
  int trims = 0;
  for (const auto& band : json.at("bands")) {
    const double turns = band.at("turns");
    CHECK((turns > 0.0 && turns <= all && turns == std::floor(turns)));
    CHECK(band.at("steps").size() == 4);
    CHECK(band.at("coil").at("q_practice").at(0).get<double>() < band.at("coil").at("q_practice").at(1).get<double>());
    CHECK(band.at("ratings").at("breakdown_margin").get<double>() > 2.0);
    const auto& chosen = band.at(band.at("unused").get<std::string>());
    // The neighbouring turn leaves more: a turn of this coil has more than twice the residual reactance here.
    CHECK(std::abs(chosen.at("residual_ohm").get<double>()) <
          0.5 * std::abs(band.at("load_ohm").at(1).get<double>()) / turns * 2.5);
    const double trim_f =
        chosen.at(chosen.at("residual_ohm").get<double>() > 0.0 ? "series_trim_f" : "shunt_trim_f").get<double>();
    CHECK((trim_f == 0.0 || (trim_f >= 2e-12 && trim_f <= 20e-9)));  // what can be bought, or none
    trims += trim_f > 0.0 ? 1 : 0;
    // Too much reactance asks for a shorter whip.
    CHECK(chosen.at("residual_ohm").get<double>() * chosen.at("whip_trim_m").get<double>() < 0.0);
  }
  CHECK(trims > 0);
  CHECK(json.at("bands").at(0).at("turns") == all);  // 40 m dry needs most
  CHECK(folder.run("stile-coil --station s.toml --condition wet --json").json().at("bands").size() == 2);
  const Run csv = folder.run("stile-coil --station s.toml --csv");
  CHECK(csv.out.find("band,condition,frequency_hz,") == 0);
  CHECK(csv.out.find("q_low,q_high") != std::string::npos);
  const Run text = folder.run("stile-coil --station s.toml");
  CHECK(text.out.find("Unused turns open or shorted, both computed") != std::string::npos);
  CHECK(text.out.find("autotransformer") != std::string::npos);
}

TEST_CASE("a search keeps to its limits and a coil that cannot serve ends with status 1") {
  const Folder folder;
  folder.write("s.toml", station(""));
  const std::string search =
      "stile-coil --station s.toml --former 30mm,40mm --wire 1mm --spacing 0.5 --condition dry --json ";
  const Run run = folder.run(search + "--longest 120mm --heaviest 100g");
  INFO(run.err);
  REQUIRE(run.status == 0);
  CHECK(run.json().at("search").at("tried") == 2);
  CHECK(run.json().at("coil").at("winding_length_m").get<double>() <= 0.12);
  CHECK(run.json().at("mass_kg").get<double>() <= 0.1);
  const Run none = folder.run(search + "--longest 10mm");
  CHECK(none.status == 1);
  CHECK(none.err.find("none of 2 coils is within 10 mm") != std::string::npos);
  CHECK(none.json().at("status") == "no coil found");
  CHECK(none.json().at("search").at("tried") == 2);
  CHECK(none.json().at("search").at("refused") == 2);
  CHECK(none.json().at("bands").empty());
  CHECK(folder.run(search + "--longest 10mm -o none.json").status == 1);
  CHECK(folder.names() == std::vector<std::string>{"none.json", "s.toml"});
  const std::string plain = "stile-coil --station s.toml --former 30mm,40mm --wire 1mm --spacing 0.5 --longest 10mm ";
  CHECK(folder.run(plain).out.find("no coil found; 2 tried, 2 refused") != std::string::npos);
  const std::string csv = folder.run(plain + "--csv").out;
  CHECK(programs::lines(csv) == 3);  // the columns, how far to trust them, and that there is none
  CHECK(csv.find("\n# warning: no coil found; 2 tried, 2 refused\n") != std::string::npos);
  const Run few = folder.run("stile-coil --station s.toml --former 40mm --wire 1mm --pitch 2mm --most-turns 5");
  CHECK(few.status == 1);
  CHECK(few.err.find("no tap brings the load to resonance") != std::string::npos);
}

TEST_CASE("the winding template is at true scale in SVG and PDF") {
  const Folder folder;
  const Run run = folder.run("stile-coil --turns 20 --former 39mm --pitch 3mm --wire 1mm --tap 12.25 --frequency 7MHz "
                             "--template t.svg -o a && "
                             "stile-coil --turns 20 --former 39mm --pitch 3mm --wire 1mm --tap 12.25 --frequency 7MHz "
                             "--template t.pdf -o a && pdfinfo t.pdf && pdftotext t.pdf -");
  INFO(run.err);
  REQUIRE(run.status == 0);
  // SVG: the page says its size in mm, and the user unit is a millimetre.
  const std::string svg = programs::content(folder.file("t.svg"));
  CHECK(svg.find("width=\"210.000mm\" height=\"297.000mm\" viewBox=\"0 0 210.000 297.000\"") != std::string::npos);
  CHECK(svg.find("<line x1=\"24.0000\" y1=\"44.0000\" x2=\"124.0000\" y2=\"44.0000\"") !=
        std::string::npos);  // ruler across, 100 mm
  CHECK(svg.find("<line x1=\"6.0000\" y1=\"66.0000\" x2=\"6.0000\" y2=\"166.0000\"") != std::string::npos);  // and down
  // The first turn: once round a former of 39 mm is pi 39 = 122.5221 mm, one pitch down.
  CHECK(svg.find("<line x1=\"24.0000\" y1=\"66.0000\" x2=\"146.5221\" y2=\"69.0000\"") != std::string::npos);
  // The tap at 12.25 turns: a quarter round, 36.75 mm down.
  CHECK(svg.find("<circle cx=\"54.6305\" cy=\"102.7500\"") != std::string::npos);
  // PDF: A4, the page of the SVG in points.
  CHECK(run.out.find("595.276 x 841.89 pts (A4)") != std::string::npos);
  CHECK(run.out.find("Winding template") != std::string::npos);
  CHECK(run.out.find("high voltage while the transmitter is keyed") != std::string::npos);
  const auto lines = programs::pdf_lines_mm(folder, "t.pdf");
  CHECK(programs::has_line(lines, 24.0, 44.0, 124.0, 44.0, 0.01));     // ruler across, 100 mm
  CHECK(programs::has_line(lines, 6.0, 66.0, 6.0, 166.0, 0.01));       // and down
  CHECK(programs::has_line(lines, 24.0, 66.0, 146.5221, 69.0, 0.01));  // the first turn
}

TEST_CASE("a template larger than A4 gets a larger page and not a smaller scale") {
  const Folder folder;
  REQUIRE(
      folder.run("stile-coil --turns 100 --former 90mm --pitch 4mm --wire 2mm --frequency 1MHz --template t.svg -o a")
          .status == 0);
  const std::string svg = programs::content(folder.file("t.svg"));
  std::smatch size;
  REQUIRE(std::regex_search(
      svg, size, std::regex("width=\"([0-9.]+)mm\" height=\"([0-9.]+)mm\" viewBox=\"0 0 ([0-9.]+) ([0-9.]+)\"")));
  CHECK(size[1] == size[3]);
  CHECK(size[2] == size[4]);
  CHECK(std::stod(size[1]) >= 24.0 + 282.7 + 5.0 + 18.0);
  CHECK(std::stod(size[2]) >= 66.0 + 400.0);
}

TEST_CASE("the build sheet says what to drill and where to tap") {
  const Folder folder;
  folder.write("s.toml", station());
  REQUIRE(folder
              .run("stile-coil --station s.toml --build-sheet b.txt --template t.pdf --lead 80mm -o a && stile-coil "
                   "--station s.toml --build-sheet b.pdf --lead 80mm -o a && pdftotext -layout b.pdf pages && pdffonts "
                   "b.pdf >fonts")
              .status == 0);
  const std::string text = programs::content(folder.file("b.txt"));
  for (const char* part : {"BUILD SHEET", "Drill plan", "Taps, from the transmitter's end", "40 m, dry", "20 m, wet",
                           "80 mm at each end", "Q in practice", "Cautions", "1.2"}) {
    INFO(part);
    CHECK(text.find(part) != std::string::npos);
  }
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    INFO(line);
    CHECK(line.size() <= 98);  // what fits a page
  }
  // The pages say the same as the text.
  const std::string pages = programs::content(folder.file("pages"));
  for (const char* part : {"Build sheet: ", "Drill plan", "Taps, from the transmitter's end", "80 mm at each end",
                           "Q in practice", "Cautions", "over the wire", "drawn at", "tapped at turn", "page 1 of"}) {
    INFO(part);
    CHECK(pages.find(part) != std::string::npos);
  }
  std::istringstream fonts(programs::content(folder.file("fonts")));
  std::size_t embedded = 0;
  for (std::string line; std::getline(fonts, line);) {
    if (line.find("DejaVu") == std::string::npos) continue;
    INFO(line);
    CHECK(line.find(" yes yes ") != std::string::npos);
    ++embedded;
  }
  CHECK(embedded >= 2);
}

TEST_CASE("charts of a coil are drawn in every format") {
  const Folder folder;
  folder.write("s.toml", station());
  for (const std::string& command :
       std::vector<std::string>{"stile-coil " + coil_40 + "--sweep 3MHz:60MHz:20 --quiet",
                                "stile-coil " + coil_40 + "--frequency 7MHz --tap 30 --show voltage",
                                "stile-coil --station s.toml", "stile-coil --station s.toml --show voltage"}) {
    const Run run = folder.run(command + " --chart a.png --chart a.svg --chart a.pdf");
    INFO(command << "\n" << run.err);
    CHECK(run.status == 0);
    CHECK(folder.names() == std::vector<std::string>{"a.pdf", "a.png", "a.svg", "s.toml"});
    chart_measure::check_chart(folder.file("a.svg"));
    for (const char* name : {"a.png", "a.svg", "a.pdf"}) programs::fs::remove(folder.file(name));
  }
}

TEST_CASE("stile-plan compares the coil that is wound and says where it is tapped") {
  const Folder folder;
  folder.write("s.toml", station() +
                             "[[arrangement]]\nname = \"wound\"\nkind = \"switched coil\"\ntrim = \"each condition\"\n"
                             "parts = { inductor_q = 150, capacitor_q = 1000 }\n");
  const Run run = folder.run("stile-plan s.toml --json --quiet");
  INFO(run.err);
  REQUIRE(run.status <= 1);
  const auto json = run.json();
  const auto& wound = json.at("bands").at(0).at("arrangements").at(1);
  CHECK(wound.at("name") == "wound");
  bool coil = false;
  for (const auto& item : wound.at("budget"))
    coil |= item.at("where").get<std::string>().find("coil (turn ") != std::string::npos;
  CHECK(coil);
  CHECK(wound.at("worst_swr").get<double>() <
        json.at("bands").at(0).at("arrangements").at(0).at("worst_swr").get<double>());
}

namespace {

/// Everything of an element but a cable: "series inductor 8.786e-05".
std::vector<std::string> parts_of(const nlohmann::json& elements) {
  std::vector<std::string> parts;
  for (const auto& e : elements) {
    if (e.at("place") == "cascade") continue;
    parts.push_back(e.at("place").get<std::string>() + " " + e.at("kind").get<std::string>() + " " +
                    e.at("value").dump());
  }
  return parts;
}

const char* const stated_coil = R"([coil.loading]
former = "50 mm"
material = "PVC-U"
former_wall = "3 mm"
wire = "1.2 mm"
pitch = "2.5 mm"
turns = 40
tap_step = 0.5
contact_resistance = "0.05 ohm"
taps = [{ band = "20 m", turns = 8.5, unused = "shorted" }]
)";

const char* const uses_coil = R"([parts]
inductor_q = 150
capacitor_series = "E12"
[[arrangement]]
name = "once"
kind = "switched coil"
coil = "loading"
[[arrangement]]
name = "by hand"
kind = "switched coil"
coil = "loading"
trim = "each condition"
)";

}  // namespace

TEST_CASE("plan, coil tool, build sheet and template name the same turns, taps and parts") {
  const Folder folder;
  programs::fs::copy(STILE_EXAMPLES_FOLDER, folder.file("examples"), programs::fs::copy_options::recursive);
  folder.write("found.toml", station() + uses_coil);
  folder.write("stated.toml", station(stated_coil) + uses_coil);
  for (const std::string file :
       {"examples/moor/coil.toml", "examples/moor/station.toml", "found.toml", "stated.toml"}) {
    INFO(file);
    const bool of_parts =
        file == "examples/moor/station.toml";  // which states no coil, so that a former is given: no search
    const Run planned = folder.run("stile-plan " + file + " --json --quiet"),
              wound = folder.run("stile-coil --station " + file +
                                 (of_parts ? " --former 50mm --wire 1mm --pitch 2mm" : "") +
                                 " --json --quiet --build-sheet sheet.txt --template template.svg");
    REQUIRE(planned.status <= 1);
    REQUIRE(wound.status <= 1);
    const std::string sheet = programs::content(folder.file("sheet.txt")),
                      drawn = programs::content(folder.file("template.svg"));
    const auto plan = planned.json(), coil = wound.json();
    const double all = coil.at("coil").at("turns");
    CHECK(sheet.find(fmt::format("Turns        {:g}\n", all)) != std::string::npos);
    CHECK(drawn.find(fmt::format("outside, {:g} turns,", all)) != std::string::npos);
    std::size_t compared = 0;
    for (const auto& band : coil.at("bands")) {
      for (const auto& setting : band.at("settings")) {
        if (!setting.at("possible").get<bool>()) continue;
        const std::string condition = setting.at("condition"), name = setting.at("arrangement");
        CHECK(condition == band.at("condition"));
        const double turns = setting.at("tap_turns");
        std::vector<std::string> beside_coil;
        INFO(band.at("band") << ", " << condition << ", " << name);
        for (const auto& planned_band : plan.at("bands")) {
          if (planned_band.at("band") != band.at("band")) continue;
          for (const auto& a : planned_band.at("arrangements")) {
            if (a.at("name") != name) continue;
            for (const auto& c : a.at("conditions")) {
              if (c.at("condition") != condition) continue;
              ++compared;
              CHECK(parts_of(c.at("elements")) == parts_of(setting.at("elements")));
              for (const auto& e : c.at("elements")) {
                const std::string label = e.at("label");
                if (label.size() > 1 && (label[0] == 'C' || label[0] == 'L') && std::isdigit(label[1]) != 0)
                  beside_coil.push_back(e.at("value_text"));
              }
              CHECK(c.at("worst_swr") == setting.at("swr"));
              if (turns == 0.0) continue;
              if (!setting.contains("planned_inductance_h")) {  // the station's coil
                CHECK(c.at("elements").dump().find(fmt::format("coil (turn {:g}", turns)) != std::string::npos);
                continue;
              }
              // The plan's inductance, and turns that show its reactance to half a step.
              const double planned_h = setting.at("planned_inductance_h");
              CHECK(c.at("elements").dump().find(fmt::format("\"value\":{}", nlohmann::json(planned_h).dump())) !=
                    std::string::npos);
              const double x_ohm = 2.0 * std::acos(-1.0) * band.at("frequency_hz").get<double>() * planned_h;
              CHECK(std::abs(setting.at("left_ohm").get<double>()) <= 0.5 * x_ohm);
            }
          }
        }
        if (turns == 0.0) continue;
        // The sheet has the tap in the row of the band under the arrangement's name, and both mark it on the former.
        const std::string section = sheet.substr(sheet.find("\n" + name + "\n") + 1);
        const std::regex row("\n" + band.at("band").get<std::string>() + "(:[^\n]*" + condition + "[^\n]*?)? +" +
                             fmt::format("{:g}", turns) + " +[a-z]");
        const std::string rows = section.substr(0, section.find("\n\n"));
        std::smatch found;
        REQUIRE(std::regex_search(rows, found, row));
        const std::size_t start = static_cast<std::size_t>(found.position()) + 1;
        const std::string line = rows.substr(start, rows.find('\n', start) - start);
        INFO(line);
        const std::string unused = turns == all ? "all used" : setting.at("unused").get<std::string>();
        CHECK(line.find(unused) != std::string::npos);
        for (const std::string& part : beside_coil) CHECK(line.find(part) != std::string::npos);
        bool marked = false;
        for (const auto& tap : coil.at("taps"))
          marked |= tap.at("turns") == turns &&
                    tap.at("serves").get<std::string>().find(band.at("band").get<std::string>()) != std::string::npos;
        CHECK(marked);
        CHECK(drawn.find(fmt::format(">{:g}: ", turns)) != std::string::npos);
      }
    }
    CHECK(compared >= 8);
  }
  CHECK(folder.run("stile-coil --station stated.toml --json --quiet").json().at("coil").at("turns") == 40.0);
}

TEST_CASE("the coil tool winds the inductances of the plan and says which arrangement it winds") {
  const Folder folder;
  folder.write("s.toml", station("") + R"([parts]
capacitor_series = "E12"
[[arrangement]]
name = "once"
kind = "base coil"
[[arrangement]]
name = "by hand"
kind = "base coil"
trim = "tap"
)");
  const std::string former = "stile-coil --station s.toml --quiet --former 50mm --wire 1mm --pitch 2mm ";
  const Run text = folder.run(former + "--arrangement once --build-sheet sheet.txt");
  INFO(text.err << text.out);
  REQUIRE(text.status <= 1);
  const std::string sheet = programs::content(folder.file("sheet.txt"));
  for (const std::string& said : {text.out, sheet}) {
    const std::string line = std::regex_replace(said, std::regex("\\s+"), " ");
    CHECK(line.find("This winds the plan's arrangement \"once\"") != std::string::npos);
    CHECK(line.find("Alternatives of the plan, not wound here: \"by hand\"") != std::string::npos);
    CHECK(line.find("Plan's coil") != std::string::npos);
  }
  const auto coil = folder.run(former + "--arrangement once --json").json();
  CHECK(coil.at("arrangement") == "once");
  CHECK(coil.at("alternatives").at(0) == "by hand");
  const auto plan = folder.run("stile-plan s.toml --json --quiet").json();
  std::size_t coils = 0;
  for (const auto& band : coil.at("bands")) {
    for (const auto& e : band.at("settings").at(0).at("elements")) {
      if (e.at("kind") != "inductor") continue;
      ++coils;
      INFO(band.at("band") << " " << e.dump());
      CHECK(e.at("turns").get<double>() > 0.0);
      const double h = e.at("value");
      CHECK(plan.dump().find(nlohmann::json(h).dump()) != std::string::npos);
    }
  }
  CHECK(coils >= 4);
  CHECK(folder.run(former + "--arrangement none").err.find("legal: \"once\" \"by hand\"") != std::string::npos);
  CHECK(folder.run(former + "--step any").out.find("Unused turns open or shorted, both computed") != std::string::npos);
}

TEST_CASE("a design of its own proposes no part that the plan would not") {
  const Folder folder;
  const auto limited = [&](const std::string& parts) {
    folder.write("s.toml", station() + parts + "[[arrangement]]\nname = \"l\"\nkind = \"L network\"\n");
    std::vector<double> capacitors, coils;
    const auto design = folder.run("stile-coil --station s.toml --step any --json").json();
    for (const auto& band : design.at("bands")) {
      for (const char* way : {"open", "shorted"}) {
        for (const char* trim : {"series_trim_f", "shunt_trim_f"}) {
          if (band.at(way).at(trim).get<double>() != 0.0) capacitors.push_back(band.at(way).at(trim));
        }
      }
      for (const auto& step : band.at("steps")) {
        if (!step.at("possible").get<bool>()) continue;
        if (step.at("kind") == "shunt capacitor") capacitors.push_back(step.at("capacitance_f"));
        if (step.at("kind") == "shunt coil") coils.push_back(step.at("inductance_h"));
      }
    }
    return std::pair{capacitors, coils};
  };
  const auto [capacitors, coils] = limited("");
  CHECK(capacitors.size() >= 4);
  CHECK(coils.size() >= 2);
  for (const double c : capacitors) CHECK((c >= 2e-12 && c <= 20e-9));
  for (const double l : coils) CHECK((l >= 10e-9 && l <= 200e-6));
  const auto [narrow, none] =
      limited("[parts]\ncapacitor_range = [\"100 pF\", \"1 nF\"]\ninductor_range = [\"100 uH\", \"110 uH\"]\n");
  for (const double c : narrow) CHECK((c >= 100e-12 && c <= 1e-9));
  CHECK(none.empty());
}

TEST_CASE("the sheet's circuit gives a tap the inductance of its table for the meter") {
  const Folder folder;
  folder.write("s.toml", station(stated_coil) + uses_coil);
  REQUIRE(folder.run("stile-coil --station s.toml --quiet --build-sheet b.pdf -o a; pdftotext -layout b.pdf pages")
              .status <= 1);
  const std::string pages = programs::content(folder.file("pages"));
  REQUIRE(pages.find("Circuit of") != std::string::npos);
  REQUIRE(pages.find("To check with a meter") != std::string::npos);
  const std::string from_circuit = pages.substr(pages.find("Circuit of")),
                    from_meter = pages.substr(pages.find("To check with a meter"));
  std::smatch circuit, meter;
  REQUIRE(std::regex_search(from_circuit, circuit, std::regex("([0-9.]+) uH")));
  REQUIRE(std::regex_search(from_meter, meter,
                            std::regex("[0-9]+ m +[0-9.]+ +[0-9.]+ +(?:open|shorted|all used) +([0-9.]+)")));
  CHECK(circuit[1] == meter[1]);
}

TEST_CASE("plan, coil tool, build sheet and template name the same taps of an autotransformer") {
  const Folder folder;
  folder.write("s.toml", station(stated_coil) + R"([[arrangement]]
name = "fed"
kind = "autotransformer"
coil = "loading"
trim = "tap"
)");
  const Run planned = folder.run("stile-plan s.toml --json --quiet"),
            wound = folder.run("stile-coil --station s.toml --json --quiet --build-sheet sheet.txt --template t.svg");
  INFO(planned.err << wound.err);
  REQUIRE(planned.status <= 1);
  REQUIRE(wound.status <= 1);
  const std::string sheet = programs::content(folder.file("sheet.txt")),
                    drawn = programs::content(folder.file("t.svg"));
  const auto plan = planned.json(), coil = wound.json();
  std::size_t compared = 0;
  for (std::size_t b = 0; b < coil.at("bands").size(); ++b) {
    const auto& setting = coil.at("bands")[b].at("settings").at(0);
    CHECK(coil.at("bands")[b].at("best_step") == "autotransformer");
    for (const auto& band : plan.at("bands")) {
      if (band.at("band") != coil.at("bands")[b].at("band")) continue;
      for (const auto& s : band.at("arrangements").back().at("settings")) {
        if (s.at("condition") != setting.at("condition")) continue;
        ++compared;
        CHECK(s.at("tap_turns") == setting.at("tap_turns"));
        CHECK(s.at("feed_turns") == setting.at("feed_turns"));
        CHECK(s.at("unused") == setting.at("unused"));
      }
    }
    const double tap = setting.at("tap_turns"), feed = setting.at("feed_turns");
    CHECK(sheet.find(fmt::format("{:g}, fed at {:g} ", tap, feed)) != std::string::npos);
    for (const double turns : {tap, feed}) CHECK(drawn.find(fmt::format(">{:g}: ", turns)) != std::string::npos);
    // A meter is put between turn 0 and the higher of the two taps.
    const std::string meter = sheet.substr(sheet.find("To check with a meter"));
    CHECK(meter.substr(0, meter.find("\n\n")).find("fed at") == std::string::npos);
    CHECK(std::regex_search(meter, std::regex("\n" + coil.at("bands")[b].at("band").get<std::string>() + " +[0-9.]+ +" +
                                              fmt::format("{:g}", std::max(tap, feed)) + " ")));
  }
  CHECK(compared >= 2);
}

TEST_CASE("a coil that an arrangement uses is shown as the plan sets it and options make a design of its own") {
  const Folder folder;
  folder.write("s.toml", station(stated_coil) + uses_coil);
  const Run run = folder.run("stile-coil --station s.toml --arrangement once --condition dry");
  INFO(run.err);
  REQUIRE(run.status <= 1);
  CHECK(run.out.find("coil \"loading\" as the plan sets it") != std::string::npos);
  CHECK(run.out.find("\nonce\n") != std::string::npos);
  CHECK(run.out.find("by hand") == std::string::npos);
  CHECK(run.out.find("wet") == std::string::npos);
  const Run csv = folder.run("stile-coil --station s.toml --csv");
  CHECK(csv.out.find("arrangement,band,condition,frequency_hz,") == 0);
  const Run other = folder.run("stile-coil --station s.toml --step autotransformer");
  CHECK(other.out.find("A design of its own: options change the coil") != std::string::npos);
  CHECK(folder.run("stile-coil --station s.toml --arrangement none").err.find("legal: \"once\" \"by hand\"") !=
        std::string::npos);
  CHECK(folder.run("stile-coil --station s.toml --arrangement once --step none").err.find("says nothing here") !=
        std::string::npos);
  for (const char* show : {"taps", "voltage"}) {
    CHECK(folder.run(std::string("stile-coil --station s.toml --quiet --chart a.svg --show ") + show).status <= 1);
    chart_measure::check_chart(folder.file("a.svg"));
  }
}

TEST_CASE("a coil that is bypassed on every band has no chart of its voltage: the result is there, the status is 1") {
  const Folder folder;
  const std::string told =
      "stile-coil: --show voltage: the coil is bypassed on every band: there is no voltage along it; "
      "legal: --show taps";
  std::string inductive =
      station(programs::replaced(stated_coil, "taps = [{ band = \"20 m\", turns = 8.5, unused = \"shorted\" }]\n", ""));
  for (std::size_t at = inductive.find("whip = {"); at != inductive.npos; at = inductive.find("whip = {"))
    inductive.replace(at, inductive.find('}', at) + 1 - at, "impedance = \"40+20j\"");
  const std::string plain = inductive + uses_coil;
  for (const std::string options : {"", "--step none"}) {  // as the plan sets it, and a design of its own
    folder.write("s.toml", plain);
    const std::string command = "stile-coil --station s.toml --json " + options;
    const Run run = folder.run(command + " --build-sheet sheet.pdf --chart a.svg --show voltage");
    INFO(run.err);
    CHECK(run.status == 1);
    CHECK(run.err.find(told) == 0);
    CHECK(programs::lines(run.err) == 1);
    CHECK(run.out == folder.run(command).out);
    CHECK(folder.names() == std::vector<std::string>{"s.toml", "sheet.pdf"});
    programs::fs::remove(folder.file("sheet.pdf"));
  }
}

TEST_CASE("a band on which no setting of the coil holds ends with status 1") {
  const Folder folder;
  std::string few = stated_coil;
  few.replace(few.find("turns = 40"), 10, "turns = 9");
  folder.write("s.toml", station(few) + uses_coil);
  const Run run = folder.run("stile-coil --station s.toml --json");
  CHECK(run.status == 1);
  CHECK(run.err.find("40 m: no setting of the coil holds (once: ") != std::string::npos);
  CHECK(run.json().at("status") == "does not serve every band");
  CHECK(run.json().at("unserved").size() >= 1);
}

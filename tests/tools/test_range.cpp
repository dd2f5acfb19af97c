// stile-range as a user runs it.

#include <cmath>
#include <complex>
#include <map>

#include <sys/resource.h>

#include <stile/base/table.hpp>
#include <stile/network/ladder.hpp>
#include <stile/station/station.hpp>
#include <stile/tuner/tuner.hpp>

#include "plots/chart_measure.hpp"
#include "programs.hpp"

using namespace programs;

namespace {

// 2 x 16 x 16 states; invented.
const std::string small = R"([tuner]
name = "small L"
form = "L"
capacitor_side = "either"
contact_resistance = "0.05 ohm"
[tuner.inductors]
values = ["0.2 uH", "0.4 uH", "0.8 uH", "1.6 uH"]
q = 120
stray = "0.1 uH"
rating = { voltage = "100 V" }
[tuner.capacitors]
values = ["50 pF", "100 pF", "200 pF", "400 pF"]
q = 1000
stray = "15 pF"
rating = { voltage = "80 V" }
)";

const std::string roller = R"([tuner]
name = "roller L"
form = "L"
[tuner.inductors]
range = ["0.1 uH", "20 uH"]
[tuner.capacitors]
range = ["10 pF", "2 nF"]
)";

const std::string station = R"([station]
name = "test"
whip_on_body = true
[transmitter]
power = "20 W"
swr_limit = 1.7
[[band]]
name = "40 m"
low = "7.0 MHz"
high = "7.2 MHz"
design = "7.05 MHz"
[[band]]
name = "20 m"
low = "14.0 MHz"
high = "14.35 MHz"
[[load]]
condition = "dry"
impedance = "30-20j"
[[load]]
condition = "wet"
impedance = "40-90j"
[[arrangement]]
name = "tuner"
kind = "tuner"
)" + small;

bool close(double a, double b) { return std::abs(a - b) <= 1e-9 * (1.0 + std::abs(b)); }

void write_files(const Folder& folder) {
  folder.write("small.toml", small);
  folder.write("roller.toml", roller);
  folder.write("station.toml", station);
}

}  // namespace

TEST_CASE("stile-range gives the fixed keys and states that a ladder evaluates to the same figures") {
  const Folder folder;
  write_files(folder);
  const Run run =
      folder.run("stile-range --tuner small.toml --frequency 7.1MHz --load 30-20j --load 100+60j --swr 2 --json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  CHECK(run.err.empty());
  const auto j = run.json();
  CHECK(j["tool"] == "stile-range");
  CHECK(j["states"] == 512);
  REQUIRE(j["loads"].size() == 2);
  CHECK(j["loads"][1]["load_ohm"] == nlohmann::json({100.0, 60.0}));
  const stile::tuner::Tuner tuner = stile::station::read_tuner(small, "small.toml");
  for (const auto& load : j["loads"]) {
    const stile::cdouble z(load["load_ohm"][0], load["load_ohm"][1]);
    for (const char* best : {"most_delivered", "least_swr", "least_loss", "least_stress"}) {
      INFO(best);
      const auto& answer = load[best];
      const auto& state = answer["state"];
      const stile::tuner::TunerState s = stile::tuner::tuner_state(tuner, state["index"].get<std::uint64_t>());
      CHECK(state["inductance_h"] == s.inductance_h);
      CHECK(state["capacitance_f"] == s.capacitance_f);
      CHECK(state["capacitor_side"] == (s.side == stile::tuner::CapacitorSide::load ? "load" : "transmitter"));
      const stile::network::Evaluation e =
          stile::network::evaluate({stile::tuner::tuner_elements(tuner, s)}, {50.0, 5.0}, 7.1e6, z);
      CHECK(close(answer["swr"], e.swr));
      CHECK(close(answer["dissipation_db"], e.loss.dissipation_db));
      CHECK(close(answer["transducer_db"], e.loss.transducer_db));
      CHECK(close(answer["load_voltage_v_peak"], std::sqrt(2.0) * std::abs(e.load_current_a * z)));
      CHECK(answer["transducer_db"] >= load["most_delivered"]["transducer_db"]);
      CHECK(answer["swr"].get<double>() <= 2.0);
    }
    CHECK(load["least_swr"]["swr"] <= load["least_loss"]["swr"]);
    CHECK(load["least_loss"]["dissipation_db"] <= load["least_swr"]["dissipation_db"]);
    CHECK(load["least_stress"]["stress"]["factor"] <= load["least_loss"]["stress"]["factor"]);
    const auto& setting = load["least_loss"];
    const auto best = stile::tuner::tuner_state(tuner, setting["state"]["index"].get<std::uint64_t>());
    const stile::network::Evaluation e =
        stile::network::evaluate({stile::tuner::tuner_elements(tuner, best)}, {50.0, 5.0}, 7.1e6, z);
    CHECK(close(load["load_voltage_v_peak"], std::sqrt(2.0) * std::abs(e.load_current_a * z)));
  }
  CHECK(j["coverage"].size() == 12);
  for (const auto& share : j["coverage"]) {
    CHECK(share["fraction"] >= 0.0);
    CHECK(share["fraction"] <= 1.0);
    for (const char* key : {"load_swr", "swr_limit"}) CHECK(share.contains(key));
  }
  CHECK(j["cautions"].size() >= 3);
}

TEST_CASE("the state that delivers most stands first and each answer is named for what it is") {
  // A poor coil: the state that burns least reflects more than it saves.
  const Folder folder;
  folder.write("t.toml", replaced(small, "q = 120", "q = 30"));
  const std::string command = "stile-range --tuner t.toml --frequency 7.1MHz --load 12-60j ";
  const Run text = folder.run(command);
  INFO(text.out);
  const std::size_t most = text.out.find("most delivered"), swr = text.out.find("least SWR"),
                    heat = text.out.find("least heat"), stress = text.out.find("least stress");
  REQUIRE(stress != std::string::npos);
  CHECK(most < swr);
  CHECK(swr < heat);
  CHECK(heat < stress);
  CHECK(text.out.find("least loss") == std::string::npos);
  const auto load = folder.run(command + "--json").json()["loads"][0];
  CHECK(load["least_loss"]["dissipation_db"] < load["most_delivered"]["dissipation_db"]);
  CHECK(load["least_loss"]["transducer_db"] > load["most_delivered"]["transducer_db"]);
  CHECK(folder.run(command + "--csv").out.find(",delivered,found,") <
        folder.run(command + "--csv").out.find(",swr,found,"));
}

TEST_CASE("the R-X map lies about its loads, and those outside sides that are stated are told") {
  const Folder folder;
  write_files(folder);
  const std::string command = "stile-range --tuner small.toml --frequency 7.1MHz --load 26-1975j --load 700+20j "
                              "--map swr --plane rx --cells 20 --quiet --json ";
  const auto map = folder.run(command).json()["maps"][0];
  CHECK(map["x_scale"] == "logarithmic");
  CHECK(map["x"][0].get<double>() == Approx(26.0 / 3.0));
  CHECK(map["x"][1].get<double>() == Approx(2100.0));
  CHECK(map["y"][0].get<double>() < -1975.0);
  CHECK(map["y"][1].get<double>() > 20.0);
  const std::string narrow =
      "stile-range --tuner small.toml --frequency 7.1MHz --load 26-1975j --load 30-20j --map swr "
      "--plane rx --x-most 500ohm --cells 20 --chart a.svg";
  const Run run = folder.run(narrow);
  CHECK(run.err.find("stile-range: warning: outside the map: 26-1975j ohm at 7.1 MHz") != std::string::npos);
  CHECK(run.err.find("30-20j") == std::string::npos);
  CHECK(content(folder.file("a.svg")).find("Outside this map: 26-1975j ohm") != std::string::npos);
  CHECK(run.err.find("legal: --x-most and --r-most") != std::string::npos);
  CHECK(run.err.find("R = 0") == std::string::npos);
  // No side of the map can hold a load without resistance: only the other plane.
  const Run lossless = folder.run("stile-range --tuner small.toml --frequency 7.1MHz --load -975j --map swr --plane rx "
                                  "--cells 20 --chart a.svg");
  CHECK(lossless.err.find("; R = 0 has no place where R is logarithmic: --plane reflection has one") !=
        std::string::npos);
  CHECK(lossless.err.find("legal: --x-most") == std::string::npos);
  const Run round = folder.run("stile-range --tuner small.toml --frequency 7.1MHz --load 0 --load 26-1975j --load "
                               "1000000 --map swr --cells 20 --chart b.svg");
  CHECK(round.err.find("warning") == std::string::npos);
  CHECK(content(folder.file("b.svg")).find("Outside") == std::string::npos);
}

TEST_CASE("a map of reflections is for a reference near loads at the rim, and its caption says so") {
  const Folder folder;
  write_files(folder);
  const std::string command = "stile-range --tuner small.toml --frequency 7.1MHz --map swr --cells 20 --chart a.svg ";
  const std::string other = "The plane is for ";
  const auto caption = [&](const std::string& loads) {
    folder.run(command + loads);
    return content(folder.file("a.svg"));
  };
  CHECK(caption("--load 26-975j").find(other + "1000 ohm, not for the transmitter") != std::string::npos);
  CHECK(caption("--load 20-30j").find(other) == std::string::npos);
  CHECK(caption("--load 26-975j --reference 50").find(other) == std::string::npos);
}

TEST_CASE("sizing takes as many parts as its help says") {
  const Folder folder;
  write_files(folder);
  const Run run =
      folder.run("stile-range --tuner small.toml --frequency 7.1MHz --load 50 --sizing --bits 10 --quiet --json");
  INFO(run.err);
  CHECK(run.status == 0);
  CHECK(run.json()["sizing"]["trade_off"].size() == 19);
}

TEST_CASE("points are even steps also of a load that is a sweep") {
  const Folder folder;
  write_files(folder);
  folder.write("sweep.csv", "frequency_hz,r_ohm,x_ohm\n7e6,30,-20\n7.1e6,31,-10\n7.2e6,32,5\n");
  const std::string command = "stile-range --tuner small.toml --load-file sweep.csv --quiet --json ";
  CHECK(folder.run(command).json()["sweeps"][0]["points"].size() == 3);
  CHECK(folder.run(command + "--points 5").json()["sweeps"][0]["points"].size() == 5);
}

TEST_CASE("a load out of reach is status 1 with its reason and null in place of a state") {
  const Folder folder;
  write_files(folder);
  const Run run = folder.run("stile-range --tuner small.toml --frequency 3.65MHz --load 6-2400j --json");
  CHECK(run.status == 1);
  CHECK(run.err.find("stile-range: 6-2400j ohm at 3.65 MHz: least SWR ") == 0);
  CHECK(lines(run.err) == 1);
  const auto load = run.json()["loads"][0];
  CHECK(load["least_swr"]["swr"].get<double>() > 2.0);
  CHECK(load["most_delivered"]["status"] == "found");
  CHECK(load["most_delivered"]["swr"].get<double>() >= load["least_swr"]["swr"].get<double>());
  CHECK(load["least_loss"]["status"] == "out_of_reach");
  for (const char* key : {"state", "swr", "dissipation_db"}) CHECK(load["least_loss"][key].is_null());
}

TEST_CASE("a state over its rating is told and is status 1 when no state within the limit keeps it") {
  const Folder folder;
  write_files(folder);
  const std::string command = "stile-range --tuner small.toml --frequency 7.1MHz --load 300-100j ";
  CHECK(folder.run(command + "--power 5W").status == 0);
  const Run run = folder.run(command + "--power 100W");
  CHECK(run.status == 1);
  CHECK(run.err.find("over a rating in every state within the limit, at least capacitors: ") != std::string::npos);
  CHECK(run.out.find("OVER") != std::string::npos);
}

TEST_CASE("a station file gives tuner, bands, loads, power and SWR limit, and options win over it") {
  const Folder folder;
  write_files(folder);
  const Run run = folder.run("stile-range --tuner station.toml --points 5 --json");
  INFO(run.err);
  const auto j = run.json();
  CHECK(j["tuner"] == "small L");
  CHECK(j["swr_limit"] == 1.7);
  CHECK(j["source"]["power_w"] == 20.0);
  REQUIRE(j["loads"].size() == 4);
  CHECK(j["loads"][0]["load"] == "dry");
  CHECK(j["loads"][0]["frequency_hz"] == 7.05e6);
  CHECK(j["sweeps"].size() == 4);
  CHECK(j["sweeps"][0]["points"].size() == 5);
  CHECK(run.out.find("\"whip\"") == std::string::npos);
  const auto other = folder
                         .run("stile-range --tuner station.toml --bands '20 m,7MHz:7.3MHz' --points 3 --load 50 "
                              "--power 1W --swr 3 --json")
                         .json();
  CHECK(other["swr_limit"] == 3.0);
  CHECK(other["source"]["power_w"] == 1.0);
  REQUIRE(other["loads"].size() == 2);
  CHECK(other["loads"][1]["frequency_hz"] == 7.15e6);
  CHECK(other["loads"][1]["band"] == "7 MHz to 7.3 MHz");
}

TEST_CASE("holes in the range are the frequencies that no state brings under the limit") {
  // 40 ohm in series with 25 pF: out of reach of 3.1 uH low in the band, within it high up.
  std::string sweep = "frequency_hz,r_ohm,x_ohm\n";
  for (int n = 0; n <= 20; ++n) {
    const double f = 7e6 + 0.7e6 * n, x = -1.0 / (2.0 * std::acos(-1.0) * f * 40e-12);
    sweep += std::to_string(f) + ",40," + std::to_string(x) + "\n";
  }
  const Folder folder;
  write_files(folder);
  folder.write("sweep.csv", sweep);
  const Run run = folder.run("stile-range --tuner small.toml --load-file sweep.csv --json");
  CHECK(run.status == 1);
  CHECK(run.err.find("1 hole in the range") != std::string::npos);
  const auto j = run.json();
  const auto& points = j["sweeps"][0]["points"];
  REQUIRE(points.size() == 21);
  REQUIRE(j["sweeps"][0]["holes"].size() == 1);
  const auto& hole = j["sweeps"][0]["holes"][0];
  CHECK(hole["low_hz"] == 7e6);
  double worst = 0.0;
  for (const auto& p : points) {
    const bool inside = p["frequency_hz"] <= hole["high_hz"];
    CHECK((p["swr"].get<double>() > 2.0) == inside);
    CHECK((p["status"] == "out_of_reach") == inside);
    if (inside) worst = std::max(worst, p["swr"].get<double>());
  }
  CHECK(hole["worst_swr"] == worst);
  CHECK(folder.run("stile-range --tuner small.toml --load-file sweep.csv --csv --quiet").out.find("# hole: ") !=
        std::string::npos);
}

TEST_CASE("the coordinates of a map's cells are those of their loads in its plane") {
  const Folder folder;
  write_files(folder);
  const std::string command = "stile-range --tuner small.toml --frequency 7.1MHz --map loss --cells 11 --csv --quiet ";
  const auto load = [](const stile::Table& t, std::size_t n) {
    return std::complex<double>(t.number(n, "load_r_ohm"), t.number(n, "load_x_ohm"));
  };
  const stile::Table rx =
      stile::read_table(folder.run(command + "--plane rx --r-most 100ohm --x-most 100ohm").out, "-");
  REQUIRE(rx.rows.size() == 121);
  double least_x = 1e9, most_x = -1e9;
  for (std::size_t n = 0; n < rx.rows.size(); ++n) {
    CHECK(rx.number(n, "frequency_hz") == 7.1e6);
    CHECK(close(rx.number(n, "x"), load(rx, n).real()));
    CHECK(close(rx.number(n, "y"), load(rx, n).imag()));
    least_x = std::min(least_x, rx.number(n, "y")), most_x = std::max(most_x, rx.number(n, "y"));
  }
  // Eleven cells from -100 to 100 ohm are centred 200/22 = 9.0909 ohm inside.
  CHECK(std::abs(least_x + 100.0 - 200.0 / 22.0) <= 1e-9);
  CHECK(std::abs(most_x - 100.0 + 200.0 / 22.0) <= 1e-9);
  for (const double reference : {50.0, 200.0}) {
    const stile::Table round = stile::read_table(
        folder.run(command + "--plane reflection --reference " + std::to_string(reference) + "ohm").out, "-");
    REQUIRE(round.rows.size() > 60);
    for (std::size_t n = 0; n < round.rows.size(); ++n) {
      const std::complex<double> z = load(round, n), at(round.number(n, "x"), round.number(n, "y"));
      CHECK(std::abs(at - (z - reference) / (z + reference)) <= 1e-9);
    }
  }
}

TEST_CASE("every column of a range's CSV is the figure of its name in the JSON") {
  const Folder folder;
  write_files(folder);
  const auto both = [&](const std::string& arguments) {
    const std::string command = "stile-range --tuner small.toml --frequency 7.1MHz --quiet " + arguments;
    return std::pair(folder.run(command + " --json").json(),
                     stile::read_table(folder.run(command + " --csv").out, "-"));
  };
  const auto same = [](const stile::Table& t, std::size_t row, const nlohmann::json& j,
                       const std::map<std::string, std::string>& places) {
    for (const auto& [column, place] : places) {
      INFO(column << ", row " << row);
      CHECK(close(t.number(row, column), j.at(nlohmann::json::json_pointer(place)).get<double>()));
    }
  };
  const std::map<std::string, std::string> load{
      {"frequency_hz", "/frequency_hz"}, {"load_r_ohm", "/load_ohm/0"}, {"load_x_ohm", "/load_ohm/1"}};
  const std::map<std::string, std::string> state{{"state_index", "/state/index"},
                                                 {"inductance_h", "/state/inductance_h"},
                                                 {"capacitance_f", "/state/capacitance_f"},
                                                 {"swr", "/swr"},
                                                 {"dissipation_db", "/dissipation_db"}};
  {
    const auto [json, table] = both("--load 12-60j --load 300+90j");
    const std::pair<const char*, const char*> kinds[] = {
        {"delivered", "most_delivered"}, {"swr", "least_swr"}, {"loss", "least_loss"}, {"stress", "least_stress"}};
    REQUIRE(table.rows.size() == 8);
    for (std::size_t n = 0; n < 8; ++n) {
      const auto& of = json.at("loads").at(n / 4);
      const auto& answer = of.at(kinds[n % 4].second);
      CHECK(table.text(n, "best") == kinds[n % 4].first);
      same(table, n, of, load);
      same(table, n, answer, state);
      same(table, n, answer, {{"transducer_db", "/transducer_db"}, {"stress_factor", "/stress/factor"}});
      CHECK(table.text(n, "capacitor_side") == answer.at("state").at("capacitor_side"));
      CHECK(table.text(n, "worst_part") == answer.at("stress").at("what"));
    }
  }
  {
    const auto [json, table] = both("--greedy --load 60-15j");
    const auto& walk = json.at("greedy").at(0);
    REQUIRE(walk.at("dissipation_db") != walk.at("best").at("dissipation_db"));  // the walk ends elsewhere
    REQUIRE(walk.at("swr") != walk.at("true_least_swr"));
    same(table, 0, walk, load);
    same(table, 0, walk, state);
    same(table, 0, walk,
         {{"measurements", "/measurements"},
          {"true_least_swr", "/true_least_swr"},
          {"best_dissipation_db", "/best/dissipation_db"},
          {"local_minima", "/local_minima_count"}});
    CHECK((table.text(0, "false_minimum") == "1") == walk.at("false_minimum").get<bool>());
  }
  {
    const auto [json, table] = both("--sizing --bits 2 --load 12-60j");
    const auto& curve = json.at("sizing").at("trade_off");
    REQUIRE(table.rows.size() == curve.size());
    for (std::size_t n = 0; n < curve.size(); ++n) {
      same(table, n, curve.at(n),
           {{"relays", "/relays"},
            {"inductor_bits", "/inductor_bits"},
            {"capacitor_bits", "/capacitor_bits"},
            {"step_h", "/step_h"},
            {"step_f", "/step_f"},
            {"worst_swr", "/worst_swr"}});
      CHECK(table.number(n, "step_h") > 1e-9);  // a coil of nanohenries and a capacitor of picofarads
      CHECK(table.number(n, "step_f") < 1e-9);
      CHECK((table.text(n, "within_limit") == "1") == (curve.at(n).at("worst_swr").get<double>() <= 2.0));
    }
  }
}

TEST_CASE("a map as CSV has the cells of the plane and agrees with the answer for the same load") {
  const Folder folder;
  write_files(folder);
  const Run run = folder.run("stile-range --tuner small.toml --frequency 7.1MHz --map loss --plane rx --r-most 100ohm "
                             "--x-most 100ohm --cells 10 --csv");
  INFO(run.err);
  REQUIRE(run.status == 0);
  const stile::Table table = stile::read_table(run.out, "-");
  REQUIRE(table.rows.size() == 100);
  std::size_t unmatched = 0;
  for (std::size_t n = 0; n < table.rows.size(); n += 17) {
    const std::string z = table.text(n, "load_r_ohm") + (table.number(n, "load_x_ohm") < 0.0 ? "" : "+") +
                          table.text(n, "load_x_ohm") + "j";
    const auto answer =
        folder.run("stile-range --tuner small.toml --frequency 7.1MHz --quiet --json --load " + z).json()["loads"][0];
    INFO(z);
    const bool matched = table.text(n, "matched") == "1";
    CHECK(matched == (answer["least_loss"]["status"] == "found"));
    const auto& expected = answer[matched ? "least_loss" : "least_swr"];
    CHECK(close(table.number(n, "swr"), expected["swr"]));
    CHECK(close(table.number(n, "dissipation_db"), expected["dissipation_db"]));
    CHECK(close(table.number(n, "stress_factor"), expected["stress"]["factor"]));
  }
  for (std::size_t n = 0; n < table.rows.size(); ++n) unmatched += table.text(n, "matched") == "0" ? 1U : 0U;
  CHECK(unmatched < 50);
  CHECK(run.out.find("# caution: RF burn") != std::string::npos);
  const auto j = folder.run("stile-range --tuner small.toml --frequency 7.1MHz --map swr --cells 12 --json").json();
  REQUIRE(j["maps"].size() == 1);
  CHECK(j["maps"][0]["cells"].size() == 144);
  CHECK(j["maps"][0]["cells"][0].is_null());  // the corner of the square is no passive load
}

TEST_CASE("JSON of maps and sweeps is written as it comes, in the bytes of one document") {
  const Folder folder;
  write_files(folder);
  const std::string tool = "stile-range --tuner small.toml --quiet --json ";
  const auto one_document = [](const Run& run) {
    CHECK(nlohmann::ordered_json::parse(run.out).dump(2) + "\n" == run.out);
    return run.json();
  };
  const auto both = one_document(
      folder.run(tool + "--bands 7MHz:7.2MHz,14MHz:14.1MHz --points 5 --load 20-100j --map loss --cells 12"));
  CHECK(both["maps"].size() == 2);
  CHECK(both["maps"][1]["cells"].size() == 144);
  CHECK(both["sweeps"].size() == 2);
  CHECK(both["sweeps"][0]["points"].size() >= 5);
  CHECK(one_document(folder.run(tool + "--frequency 7.1MHz")).count("maps") == 0);
#ifndef STILE_SANITIZED
  // Held as a tree, 160 000 cells take 190 MB.
  CHECK(folder.run(tool + "--frequency 7.1MHz --map loss --cells 400 -o /dev/null").status == 0);
  rusage used{};
  REQUIRE(getrusage(RUSAGE_CHILDREN, &used) == 0);
  CHECK(used.ru_maxrss < 80000);  // kB, of the largest program so far
#endif
}

TEST_CASE("the walk of a tuner is never better than the best state and false minima are named") {
  const Folder folder;
  write_files(folder);
  std::string loads;
  for (const char* z : {"12-60j", "300+200j", "8+20j", "500-400j", "30-150j", "900", "20+120j"})
    loads += std::string(" --load ") + z;
  const Run run = folder.run("stile-range --tuner small.toml --frequency 7.1MHz --greedy --quiet --json" + loads);
  const auto j = run.json();
  REQUIRE(j["greedy"].size() == 7);
  bool all = true;
  for (const auto& g : j["greedy"]) {
    CHECK(g["swr"].get<double>() >= g["true_least_swr"].get<double>() * (1.0 - 1e-12));
    CHECK(close(g["best"]["swr"], g["true_least_swr"]));
    CHECK(g["false_minimum"] == (g["swr"].get<double>() > 2.0 && g["true_least_swr"].get<double>() <= 2.0));
    CHECK(g["local_minima"].size() >= 1);
    CHECK(close(g["local_minima"][0]["swr"], g["true_least_swr"]));
    all = all && g["swr"].get<double>() <= 2.0;
  }
  CHECK(run.status == (all ? 0 : 1));
  CHECK(folder.run("stile-range --tuner small.toml --frequency 7.1MHz --greedy --load 12-60j --csv --quiet")
            .out.find("load,frequency_hz,") == 0);
}

TEST_CASE("sizing gives the fewest relays within the limit and a falling trade-off") {
  const Folder folder;
  write_files(folder);
  const Run run = folder.run(
      "stile-range --tuner small.toml --frequency 7.1MHz --load 30-100j --load 100+20j --sizing --bits 5 --json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  const auto sizing = run.json()["sizing"];
  CHECK(sizing["status"] == "found");
  double last = 1e300;
  for (const auto& point : sizing["trade_off"]) {
    CHECK(point["worst_swr"].get<double>() <= last);
    last = point["worst_swr"];
    CHECK((point["worst_swr"].get<double>() <= 2.0) == (point["relays"] >= sizing["fewest"]["relays"]));
  }
  const Run none = folder.run("stile-range --tuner small.toml --frequency 3.6MHz --load 5-2400j --sizing --bits 2");
  CHECK(none.status == 1);
  CHECK(none.err.find("no bank of up to 2 parts brings every load to SWR 2") != std::string::npos);
}

TEST_CASE("the whip study solves its antennas and its break-even is where both lose alike") {
  const Folder folder;
  write_files(folder);
  const Run run =
      folder.run("stile-range --tuner small.toml --whip-study --bands 5MHz:28MHz --lengths 0.5m:8m --coil-q 60 --json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  const auto study = run.json()["whip_study"];
  CHECK(study["cells"].size() > 300);
  for (const auto& cell : study["cells"]) {
    CHECK(cell["radiated_share"].get<double>() > 0.0);
    CHECK(cell["radiated_share"].get<double>() < 1.0);
    CHECK(cell["transducer_db"].get<double>() >= cell["dissipation_db"].get<double>() - 1e-9);
  }
  for (const auto& even : study["break_even"]) {
    if (even["length_m"].is_null()) continue;
    for (const auto& cell : study["cells"]) {
      if (cell["frequency_hz"] != even["frequency_hz"] || cell["length_m"] > even["length_m"]) continue;
      CHECK(cell["coil_db"].get<double>() <= cell["transducer_db"].get<double>());
    }
  }
  CHECK(folder.run("stile-range --tuner small.toml --whip-study").out.find("a base coil loses less") !=
        std::string::npos);
}

TEST_CASE("parts that turn are matched exactly and their outline is traced") {
  const Folder folder;
  write_files(folder);
  const Run run = folder.run("stile-range --tuner roller.toml --frequency 7.1MHz --load 200+50j --json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  const auto j = run.json();
  CHECK(j["states"].is_null());
  const auto& state = j["loads"][0]["least_loss"]["state"];
  const std::string l = std::to_string(state["inductance_h"].get<double>() * 1e9),
                    c = std::to_string(state["capacitance_f"].get<double>() * 1e12);
  const std::string coil = " --series L=" + l + "nH", capacitor = " --shunt C=" + c + "pF";
  const bool at_load = state["capacitor_side"] == "load";
  const auto net =
      folder.run("stile-net --frequency 7.1MHz --load 200+50j --json" + (at_load ? coil + capacitor : capacitor + coil))
          .json();
  CHECK(std::abs(net["points"][0]["swr"].get<double>() - 1.0) <= 1e-5);  // values passed on with 6 decimals
  std::size_t outline = 0;
  for (const auto& curve : j["boundaries"][0]["curves"]) {
    for (const auto& point : curve["points"]) outline += point["outline"].get<bool>() ? 1U : 0U;
  }
  CHECK(outline > 20);
  const Run out = folder.run("stile-range --tuner roller.toml --frequency 1MHz --load 2-3000j --csv");
  CHECK(out.status == 1);
  CHECK(out.err.find("no setting within the limits") != std::string::npos);
  CHECK(out.out.find("\noutline,") != std::string::npos);
}

TEST_CASE("every chart of stile-range is drawn in every format and leaves nothing else") {
  const std::vector<std::string> commands = {
      "--tuner small.toml --frequency 7.1MHz --map matchable",
      "--tuner small.toml --frequency 7.1MHz --load 20-30j --map swr --plane rx",
      "--tuner station.toml --map loss --cells 40",
      "--tuner small.toml --frequency 7.1MHz --map stress --cells 40",
      "--tuner small.toml --frequency 7.1MHz --map delivered --cells 40",
      "--tuner small.toml --frequency 7.1MHz --map limiting-part --cells 40",
      "--tuner station.toml --points 4",
      "--tuner small.toml --frequency 7.1MHz --greedy --cells 20",
      "--tuner station.toml --sizing --bits 3",
      "--tuner small.toml --whip-study --bands 7MHz:20MHz --lengths 1m:4m",
      "--tuner roller.toml --frequency 7.1MHz --map loss --plane rx --cells 40",
      "--tuner roller.toml --bands 7MHz:8MHz,14MHz:15MHz --cells 30",
  };
  for (const std::string& command : commands) {
    const Folder folder;
    write_files(folder);
    const Run run =
        folder.run("stile-range " + command + " --quiet -o result --chart a.png --chart a.svg --chart a.pdf");
    INFO(command << "\n" << run.err);
    CHECK((run.status == 0 || run.status == 1));
    CHECK(run.err.empty());
    CHECK(folder.names() ==
          std::vector<std::string>{"a.pdf", "a.png", "a.svg", "result", "roller.toml", "small.toml", "station.toml"});
    CHECK(content(folder.file("a.png")).find("\x89PNG") == 0);
    chart_measure::check_chart(folder.file("a.svg"));
    CHECK(content(folder.file("result")).find("\nCaution, RF burn: ") != std::string::npos);
  }
}

TEST_CASE("stile-range refuses bad input in one line that says what is legal and leaves nothing behind") {
  std::string many = "values = [";
  for (int n = 0; n < 13; ++n) many += "\"" + std::to_string(n + 1) + " uH\", ";
  std::string many_f = "values = [";
  for (int n = 0; n < 12; ++n) many_f += "\"" + std::to_string(n + 1) + " pF\", ";
  const std::string inductors = R"(values = ["0.2 uH", "0.4 uH", "0.8 uH", "1.6 uH"])",
                    capacitors = R"(values = ["50 pF", "100 pF", "200 pF", "400 pF"])";
  struct Case {
    std::string tuner, arguments, message;
  };
  const std::string at = "--frequency 7.1MHz --load 50 ";
  const std::vector<Case> cases = {
      {replaced(small, inductors, "values = []"), at,
       "t.toml:7:10: \"values\" in [tuner.inductors] must be an array of values"},
      {replaced(small, "\"0.4 uH\"", "\"-0.4 uH\""), at,
       "t.toml:7:21: \"values\" in [tuner.inductors] is -400 nH and must be > 0"},
      {replaced(small, "q = 1000", "q = -1000"), at, "t.toml:13:5: "},
      {replaced(replaced(small, inductors, many + "]"), capacitors, many_f + "]"), at, "2^24"},
      {replaced(small, "form = \"L\"", "form = \"X\""), at,
       "t.toml:3:8: \"form\" must be \"L\", \"T\", \"pi\" or \"LCL\""},
      {replaced(small, "stray", "strai"), at, "unknown key \"strai\""},
      {"not toml", at, "t.toml:1:"},
      {small, "--load 50", "no frequency is given; legal: "},
      {small, at + "--bands 7MHz:8MHz", "--frequency and --bands exclude each other"},
      {small, "--bands 40m", "--bands \"40m\": no such band; legal: "},
      {small, "--bands 8MHz:7MHz", "--bands"},
      {small, "--frequency 0 --load 50", "--frequency: column 1: \"0\": must be > 0"},
      {small, "--frequency 7.1MHz --load=-5", "--load: column 1: \"-5\": its real part must be >= 0"},
      {small, at + "--swr 1", "--swr: column 1: \"1\": must be > 1"},
      {small, at + "--map heat --csv",
       "--map \"heat\": no such map; legal: matchable swr delivered loss stress limiting-part"},
      {small, at + "--map loss", "--map needs somewhere to go; legal: --chart FILE.png, --csv or --json"},
      {small, at + "--map loss --csv --plane xy", "--plane \"xy\": no such plane; legal: reflection rx"},
      {small, at + "--map loss --csv --r-most 100ohm", "--r-most says nothing alone; legal: beside --plane rx"},
      {small, at + "--map loss --csv --plane rx --reference 75", "--reference says nothing of the rx plane"},
      {small, at + "--map loss --csv --reference 0", "--reference: column 1: "},
      {small, at + "--map loss --csv --cells 5000", "legal: a whole number, 10..2000"},
      {small, at + "--map loss --csv --cells 5", "legal: a whole number, 10..2000"},
      {replaced(replaced(small, "rating = { voltage = \"100 V\" }", ""), "rating = { voltage = \"80 V\" }", ""),
       at + "--map stress --csv", "no part has a rating"},
      {small, at + "--greedy --sizing", "--greedy and --sizing exclude each other; legal: one of them"},
      {small, "--frequency 7.1MHz --greedy", "no load is given"},
      {small, "--frequency 7.1MHz --sizing", "no load is given"},
      {small, at + "--sizing --bits 11", "\"11\": out of range; legal: a whole number, 1..10"},
      {replaced(replaced(small, "form = \"L\"", "form = \"pi\""), "capacitor_side = \"either\"", ""),
       at + "--sizing --bits 9", "\"9\": out of range; legal: a whole number, 1..8"},
      {station, "--whip-study --load 50", "--load and --whip-study exclude each other; legal: one of them"},
      {small, at + "--bits 3 --coil-q 5", "--bits says nothing alone; legal: beside --sizing"},
      {small, at + "--coil-q 5", "--coil-q says nothing alone; legal: beside --whip-study"},
      {small, at + "--inductor-steps 1uH:2uH", "--inductor-steps says nothing alone; legal: beside --sizing"},
      {small, at + "--capacitor-steps 1pF:2pF --greedy",
       "--capacitor-steps says nothing alone; legal: beside --sizing"},
      {small, at + "--lengths 1m:2m", "--lengths says nothing alone; legal: beside --whip-study"},
      {small, at + "--whip-radius 1mm", "--whip-radius says nothing alone; legal: beside --whip-study"},
      {small, at + "--ground 10 --sizing", "--ground says nothing alone; legal: beside --whip-study"},
      {small, at + "--plane rx", "--plane says nothing alone; legal: beside --map or --chart"},
      {small, at + "--cells 30 --json", "--cells says nothing alone; legal: beside --map or --chart"},
      {small, at + "--cells 30 --sizing --chart x.png", "--cells and --sizing exclude each other"},
      {small, "--plane rx --whip-study --chart x.png", "--plane and --whip-study exclude each other"},
      {small, "--bands 7MHz:8MHz --load 50 --cells 30 --chart x.png",
       "--cells belongs to a map, and the chart of loads across bands is none; legal: --map KIND"},
      {small, at + "--points 5", "--frequency and --points exclude each other"},
      {small, "--bands 7MHz:8MHz --load 50 --points 5 --sizing", "--points and --sizing exclude each other"},
      {small, "--bands 7MHz:8MHz --load 50 --points 5 --greedy", "--points and --greedy exclude each other"},
      {small, "--whip-study --points 5", "--points and --whip-study exclude each other"},
      {small, "--whip-study --frequency 7MHz", "--frequency and --whip-study exclude each other"},
      {roller, at + "--swr 3", "--swr is of no use with parts that turn"},
      {roller, at + "--name other", "--name \"other\": no such tuner in t.toml; legal: \"roller L\""},
      {roller, at + "--cells 30", "--cells says nothing alone; legal: beside --map or --chart"},
      {small, "--whip-study --whip-radius 10cm", "at least ten times --whip-radius"},
      {replaced(small, "stray = \"0.1 uH\"", "stray = \"1e200 uH\""), at,
       "t.toml:9:9: \"stray\" in [tuner.inductors] is "},
      {small, "--whip-study --ground=-1", "--ground: column 1: \"-1\": "},
      {small, "--whip-study --base-height 0.5m", "frame"},
      {small, "--bands 7MHz:8MHz --points 5000", "--points: column 1: "},
      {small, at + "--name other", "--name \"other\": no such tuner in t.toml; legal: \"small L\""},
      {small, at + "--chart x.gif", "--chart \"x.gif\""},
      {small, at + "--chart none/x.png", "none/x.png: cannot be written: "},
      {small, at + "-o /dev/full", "/dev/full: cannot be written"},
      {small, at + "--json --csv", "--json and --csv exclude each other"},
      {roller, at + "--greedy", "the parts of roller L turn; legal: a tuner of switched parts"},
      {roller, at + "--map stress --chart x.png", "legal: matchable loss"},
      {roller, "--frequency 7.1MHz --load 0+5j", "has no resistance at 7.1 MHz"},
      {station, "--name other", "--name \"other\": no such tuner in t.toml; legal: \"small L\""},
      {replaced(station, "kind = \"tuner\"", "kind = \"straight\""), "", "t.toml has no tuner"},
  };
  for (const Case& c : cases) {
    const Folder folder;
    folder.write("t.toml", c.tuner);
    const Run run = folder.run("stile-range --tuner t.toml " + c.arguments);
    INFO(c.arguments << ": " << run.err);
    CHECK(run.status == 2);
    CHECK(run.out.empty());
    CHECK(run.err.find("stile-range: ") == 0);
    CHECK(run.err.find(c.message) != std::string::npos);
    CHECK(lines(run.err) == 1);
    CHECK(folder.names() == std::vector<std::string>{"t.toml"});
  }
  const Folder folder;
  CHECK(folder.run("stile-range --frequency 7MHz").err == "stile-range: no tuner is given; legal: --tuner FILE.toml\n");
  CHECK(folder.run("stile-range --tuner none.toml --frequency 7MHz").status == 2);
}

TEST_CASE("an interrupt at any time leaves whole files or none") {
  const Folder folder;
  write_files(folder);
  const std::string command = "stile-range --tuner station.toml --points 40 --map loss --cells 200 --json -o "
                              "result.json --chart a.png --chart a.pdf";
  std::size_t ended_early = 0;
  for (const char* after : {"0.02", "0.1", "0.2", "0.4", "0.7", "1.1", "1.6", "2.5"}) {
    const Run run = folder.run(std::string("timeout -s INT ") + after + " " + command);
    INFO(after << "\n" << run.err);
    if (run.status == 124) ++ended_early;
    for (const std::string& name : folder.names()) {
      INFO(name);
      if (name == "result.json") {
        CHECK_NOTHROW(nlohmann::json::parse(content(folder.file(name))).at("cautions"));
      } else if (name == "a.png") {
        CHECK(content(folder.file(name)).find("IEND") != std::string::npos);
      } else if (name == "a.pdf") {
        CHECK(content(folder.file(name)).find("%%EOF") != std::string::npos);
      } else {
        CHECK(name.find(".toml") != std::string::npos);
      }
      if (name.find(".toml") == std::string::npos) fs::remove(folder.file(name));
    }
  }
  CHECK(ended_early > 0);
}

TEST_CASE("progress is shown on a terminal alone and only after a second") {
  const Folder folder;
  write_files(folder);
  const std::string slow = "stile-range --tuner small.toml --frequency 7.1MHz --greedy --cells 2000 --chart a.png";
  // On a terminal until the line is there; beside it without one, for longer than it takes a line to appear.
  const Run run = folder.run("timeout -s INT 1.5 " + slow + " 2>file & timeout 60 script -qefc 'echo $$ >pid; exec " +
                             slow + " >result.txt' terminal >/dev/null & for n in {1..500}; do " +
                             "grep -qs ' walks, row ' terminal && break; sleep 0.1; done; kill $(cat pid); wait");
  INFO(run.err);
  CHECK(content(folder.file("terminal")).find("stile-range: walks, row ") != std::string::npos);
  REQUIRE(fs::exists(folder.file("file")));
  CHECK(content(folder.file("file")).empty());
  const Run quick =
      folder.run("script -qec 'stile-range --tuner small.toml --frequency 7.1MHz --load 50 >result.txt' /dev/null");
  CHECK(quick.out.empty());
}

TEST_CASE("stile-range solves no antenna that it does not use") {
  const Folder folder;
  // Far longer than the solver takes: a run that solves it ends with status 2.
  const std::string wires =
      "wires = { ground = \"perfect\", wire = [ { name = \"whip\", points = [[0,0,0],[0,0,450],[9,0,1],[18,0,450],"
      "[27,0,1],[36,0,450]], radius = 0.002, metal = \"copper\" } ], feed = { gap = 0.01 } }\n";
  const std::size_t from = station.find("[[load]]"), to = station.find("[", from + 10);
  folder.write("s.toml", station.substr(0, from) + "[[load]]\ncondition = \"dry\"\n" + wires + station.substr(to));
  const Run given = folder.run("stile-range --tuner s.toml --load 20-100j --json");
  INFO(given.err);
  CHECK(given.status <= 1);
  CHECK(given.json().at("loads").size() == 2);  // one a band
  const Run own = folder.run("stile-range --tuner s.toml --json");
  CHECK(own.status == 2);
  CHECK(own.err.find("more than 2000 unknowns") != std::string::npos);
}

TEST_CASE("stile-range solves a station's antennas at every frequency when it is told to, within 1e-4 of |Z|") {
  const Folder folder;
  const std::string wires =
      "wires = { ground = \"wet\", feed = { gap = 0.01 }, wire = [ { name = \"whip\", points = [[0,0,1.2],[0,0,4.2]], "
      "radius = 0.002, metal = \"copper\" }, { name = \"trail\", points = [[0,0,1.2],[1.2,0,0.05],[5,0,0.05]], "
      "radius = 0.001, metal = \"copper\" } ] }\n";
  const std::size_t from = station.find("[[load]]"), to = station.find("[", from + 10);
  folder.write("s.toml", station.substr(0, from) + "[[load]]\ncondition = \"dry\"\n" + wires + station.substr(to));
  const std::string command = "stile-range --tuner s.toml --bands 7MHz:7.2MHz --json";
  const Run few = folder.run(command), each = folder.run(command + " --every-point");
  REQUIRE(few.status <= 1);
  CHECK(few.out != each.out);
  const auto a = few.json().at("loads"), b = each.json().at("loads");
  REQUIRE(a.size() == b.size());
  REQUIRE_FALSE(a.empty());
  for (std::size_t n = 0; n < a.size(); ++n) {
    const auto z = [](const nlohmann::json& load) {
      return std::complex<double>(load.at("load_ohm").at(0), load.at("load_ohm").at(1));
    };
    CHECK(std::abs(z(a[n]) - z(b[n])) <= 1e-4 * std::abs(z(b[n])));
  }
}

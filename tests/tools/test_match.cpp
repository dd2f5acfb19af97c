// stile-match as a user runs it.

#include <algorithm>
#include <cmath>
#include <map>
#include <regex>

#include <fmt/format.h>

#include <stile/base/table.hpp>

#include "programs.hpp"

using programs::Folder;

TEST_CASE("stile-match gives the fixed keys least loss first and stile-net confirms them") {
  const Folder folder;
  const auto run = folder.run(
      "stile-match --form l --frequency 14.2MHz --source 50 --load 12-230j --inductor-q 200 --capacitor-q 1000 --json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  const auto json = run.json();
  REQUIRE(json.at("solutions").size() == 4);
  double before = 0.0;
  for (const auto& solution : json.at("solutions")) {
    CHECK(solution.at("form") == "l");
    CHECK(solution.at("dissipation_db").get<double>() >= before);
    before = solution.at("dissipation_db");
    CHECK(std::abs(solution.at("swr").get<double>() - 1.0) <= 1e-8);
    CHECK(solution.at("bandwidth_hz").get<double>() > 0.0);
    CHECK(solution.at("share_of_widest_band").is_null());  // a load at one frequency has no slope
    std::string command = "stile-net --frequency 14.2MHz --load 12-230j --json";
    for (const auto& element : solution.at("elements")) {
      const bool coil = element.at("kind") == "inductor";
      command += " --" + element.at("place").get<std::string>() + (coil ? " L=" : " C=") + element.at("value").dump() +
                 (coil ? ",Q=200" : ",Q=1000");
    }
    const auto point = folder.run(command).json().at("points").at(0);
    CHECK(std::abs(point.at("swr").get<double>() - 1.0) <= 1e-8);
    CHECK(std::abs(point.at("loss").at("dissipation_db").get<double>() - before) <= 1e-9);
  }
  CHECK(json.at("cautions").size() >= 3);
  CHECK(json.at("why") == "");
}

TEST_CASE("a free choice holds in every solution") {
  const Folder folder;
  for (const char* form : {"pi", "t"}) {
    const auto run =
        folder.run(std::string("stile-match --frequency 7.1MHz --load 200+50j --loaded-q 4 --json --form ") + form);
    INFO(run.err);
    REQUIRE(run.status == 0);
    const auto solutions = run.json().at("solutions");
    REQUIRE(!solutions.empty());
    for (const auto& solution : solutions) {
      CHECK(std::abs(solution.at("loaded_q").get<double>() - 4.0) <= 1e-6);
      CHECK(solution.at("elements").size() == 3);
      CHECK(solution.at("elements").at(0).at("place") == (std::string(form) == "pi" ? "shunt" : "series"));
    }
  }
  const auto phase = folder.run("stile-match --form t --frequency 7.1MHz --load 60 --phase 60 --json");
  REQUIRE(phase.status == 0);
  const auto json = phase.json();
  CHECK(!json.at("solutions").empty());
  for (const auto& solution : json.at("solutions"))
    CHECK(std::abs(solution.at("phase_deg").get<double>() - 60.0) <= 1e-6);
}

TEST_CASE("the band is at least as wide as the data and its share is of the limit") {
  const Folder folder;
  folder.write("load.csv",
               "frequency_hz,r_ohm,x_ohm\n7e6,20,-310\n7.05e6,20,-305\n7.1e6,20,-300\n7.15e6,20,-295\n7.2e6,20,-290\n");
  const auto run = folder.run("stile-match --frequency 7.1MHz --load-file load.csv --json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  const auto json = run.json();
  // Series reactance with slope 1e-4 ohm/Hz: Q = f/(2R) (dX/df + |X|/f) = 7.1e6/40 (1e-4 + 300/7.1e6) = 25.25, and the
  // widest band pi f/(Q ln 3).
  CHECK(std::abs(json.at("load_q").get<double>() / 25.25 - 1.0) <= 1e-6);
  const double widest = std::acos(-1.0) * 7.1e6 / (25.25 * std::log(3.0));
  CHECK(std::abs(json.at("widest_lossless_band_hz").get<double>() / widest - 1.0) <= 1e-6);
  for (const auto& solution : json.at("solutions")) {
    CHECK(std::abs(solution.at("share_of_widest_band").get<double>() -
                   solution.at("bandwidth_hz").get<double>() / widest) <= 1e-6);
    CHECK(solution.at("share_of_widest_band").get<double>() < 1.0);
  }
  const auto all = json.at("solutions");
  CHECK(std::any_of(all.begin(), all.end(),
                    [](const auto& solution) { return solution.at("band").at("low_is_data_edge") == true; }));
  CHECK(std::any_of(all.begin(), all.end(),
                    [](const auto& solution) { return solution.at("band").at("low_is_data_edge") == false; }));
  const auto text = folder.run("stile-match --frequency 7.1MHz --load-file load.csv");
  CHECK(text.out.find("Load Q 25.25: no network without loss keeps SWR 2 over more than ") != std::string::npos);
  CHECK(text.out.find("at least 200 kHz") != std::string::npos);
}

TEST_CASE("preferred values and tolerances are those asked for") {
  const Folder folder;
  const std::string command = "stile-match --form pi --frequency 7.1MHz --load 200+50j --series e24 --inductor-series "
                              "e12 --tolerance 5% --swr 3 --samples 500 ";
  const auto run = folder.run(command + "--json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  const std::vector<double> e12{1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2};
  const auto json = run.json();
  for (const auto& solution : json.at("solutions")) {
    for (const auto& element : solution.at("preferred").at("elements")) {
      if (element.at("kind") != "inductor") continue;
      const double value = element.at("value"), digits = value / std::pow(10.0, std::floor(std::log10(value * 1.0001)));
      CHECK(std::any_of(e12.begin(), e12.end(), [&](double e) { return std::abs(e - digits) <= 1e-6; }));
    }
    const auto& spread = solution.at("tolerance");
    CHECK(spread.at("worst_swr").get<double>() >= spread.at("swr_95").get<double>());
    CHECK(spread.at("swr_95").get<double>() >= spread.at("median_swr").get<double>());
    CHECK(spread.at("yield").get<double>() >= 0.0);
    CHECK(spread.at("yield").get<double>() <= 1.0);
  }
  CHECK(folder.run(command + "--json").out == run.out);
  CHECK(folder.run(command).out.find("With real parts\n") != std::string::npos);
}

TEST_CASE("no match is status 1 with the reason and an empty list") {
  const Folder folder;
  const auto lossy =
      folder.run("stile-match --frequency 7.1MHz --load 20-300j --inductor-esr 100 --capacitor-q 10 --json");
  CHECK(lossy.status == 1);
  CHECK(lossy.json().at("solutions").empty());
  CHECK(lossy.json().at("cautions").size() >= 3);
  CHECK(lossy.err.find("stile-match: nothing matches: the coils' losses exclude all of the ") == 0);
  CHECK(programs::lines(lossy.err) == 1);
  const auto reactance = folder.run("stile-match --frequency 14.2MHz --load -230j --csv");
  CHECK(reactance.status == 1);
  CHECK(reactance.err == "stile-match: nothing matches: the load has no resistance, so no power can reach it\n");
  CHECK(reactance.out.find("solution,form,") == 0);
  const auto narrow =
      folder.run("stile-match --form pi --frequency 7MHz --load 20-300j --inductance-limits 1nH:2nH --json");
  CHECK(narrow.status == 1);
  CHECK(programs::lines(narrow.err) == 1);
}

TEST_CASE("preferred values that miss the SWR limit are status 1") {
  const Folder folder;
  const auto run = folder.run("stile-match --frequency 7.1MHz --load 2-900j --series e3 --swr 1.01 --json");
  CHECK(run.status == 1);
  CHECK(run.err.find("stile-match: with preferred values no solution keeps SWR 1.01; the least is ") == 0);
  CHECK(!run.json().at("solutions").empty());
}

TEST_CASE("stile-match writes one CSV row a solution") {
  const Folder folder;
  const std::string command = "stile-match --form l --frequency 14.2MHz --load 12-230j --inductor-q 200 --series e24 ";
  const stile::Table table = stile::read_table(folder.run(command + "--csv").out, "out.csv");
  const auto solutions = folder.run(command + "--json").json().at("solutions");
  REQUIRE(table.rows.size() == solutions.size());
  for (std::size_t n = 0; n < solutions.size(); ++n) {
    CHECK(table.number(n, "dissipation_db") == solutions.at(n).at("dissipation_db"));
    CHECK(table.number(n, "bandwidth_hz") == solutions.at(n).at("bandwidth_hz"));
    CHECK(table.number(n, "part2_value") == solutions.at(n).at("elements").at(1).at("value"));
    CHECK(table.number(n, "preferred_swr") == solutions.at(n).at("preferred").at("swr"));
    CHECK(table.text(n, "part1_place") == solutions.at(n).at("elements").at(0).at("place"));
  }
}

TEST_CASE(
    "every column of a match's CSV is the figure of its name in the JSON, and stresses are the highest of the parts") {
  const Folder folder;
  const std::string command =
      "stile-match --form l --frequency 14.2MHz --load 12-230j --inductor-q 200 --series e24 --tolerance 5% ";
  const stile::Table table = stile::read_table(folder.run(command + "--csv").out, "out.csv");
  const auto solutions = folder.run(command + "--json").json().at("solutions");
  REQUIRE(table.rows.size() == solutions.size());
  REQUIRE(table.rows.size() > 1);
  const std::map<std::string, std::string> places{{"swr", "/swr"},
                                                  {"dissipation_db", "/dissipation_db"},
                                                  {"bandwidth_hz", "/bandwidth_hz"},
                                                  {"band_low_hz", "/band/low_hz"},
                                                  {"band_high_hz", "/band/high_hz"},
                                                  {"loaded_q", "/loaded_q"},
                                                  {"phase_deg", "/phase_deg"},
                                                  {"preferred_swr", "/preferred/swr"},
                                                  {"yield", "/tolerance/yield"},
                                                  {"part1_value", "/elements/0/value"},
                                                  {"part2_value", "/elements/1/value"},
                                                  {"part1_preferred_value", "/preferred/elements/0/value"},
                                                  {"part2_preferred_value", "/preferred/elements/1/value"}};
  for (std::size_t n = 0; n < solutions.size(); ++n) {
    const auto& s = solutions.at(n);
    for (const auto& [column, place] : places) {
      INFO(column);
      CHECK(table.number(n, column) == s.at(nlohmann::json::json_pointer(place)).get<double>());
    }
    CHECK(table.number(n, "solution") == static_cast<double>(n + 1));
    CHECK(table.number(n, "bandwidth_hz") ==
          Approx(table.number(n, "band_high_hz") - table.number(n, "band_low_hz")).epsilon(1e-12));
    CHECK(table.number(n, "band_low_hz") < 14.2e6);
    CHECK(table.number(n, "band_high_hz") > 14.2e6);
    double v_peak = 0.0, a_rms = 0.0, swr = 1.0;
    for (const auto& element : s.at("elements")) {
      v_peak = std::max(v_peak, element.at("voltage_v_peak").get<double>());
      a_rms = std::max(a_rms, element.at("current_a_rms").get<double>());
      swr = std::max(swr, element.at("swr_at_one_percent").get<double>());
    }
    CHECK(table.number(n, "highest_voltage_v_peak") == v_peak);
    CHECK(table.number(n, "highest_current_a_rms") == a_rms);
    CHECK(table.number(n, "worst_swr_at_one_percent") == swr);
    for (const char* key : {"low_is_data_edge", "high_is_data_edge"})
      CHECK((table.text(n, key) == "true") == s.at("band").at(key).get<bool>());
    for (const std::size_t k : {std::size_t{0}, std::size_t{1}}) {
      const std::string part = "part" + std::to_string(k + 1);
      CHECK(table.text(n, part + "_kind") == s.at("elements").at(k).at("kind"));
      CHECK(table.text(n, part + "_place") == s.at("elements").at(k).at("place"));
    }
  }
}

TEST_CASE("the chart of a match says at which side the load's data end before the SWR limit is met") {
  const Folder folder;
  const auto load = [&](const std::string& name, double low_mhz, double high_mhz) {
    std::string text = "# MHz Z RI R 1\n";
    for (int n = 0; n <= 200; ++n) {  // a reactance that rises by 600 ohm a megahertz: the SWR limit is near
      const double mhz = low_mhz + n * (high_mhz - low_mhz) / 200.0;
      text += fmt::format("{} 30 {}\n", mhz, 20.0 + 600.0 * (mhz - 7.1));
    }
    folder.write(name, text);
  };
  load("wide.s1p", 3.0, 20.0);
  load("above.s1p", 3.0, 7.11);
  load("below.s1p", 7.09, 20.0);
  load("beyond.s1p", 7.09, 7.11);
  for (const std::string side : {"wide", "above", "below", "beyond"}) {
    const auto run = folder.run("stile-match --form l --frequency 7.1MHz --load-file " + side +
                                ".s1p --swr 2 --chart " + side + ".svg --show band");
    INFO(side << run.err);
    REQUIRE(run.status == 0);
    const std::string marked =
                          std::regex_replace(programs::content(folder.file(side + ".svg")), std::regex("<[^>]*>"), " "),
                      svg = std::regex_replace(marked, std::regex("\\s+"), " ");  // a title in two lines
    CHECK(svg.find("within SWR 2 from ") != std::string::npos);
    for (const std::string word : {"above", "below", "beyond"})
      CHECK((svg.find(", and perhaps " + word + ": the load's data end there") != std::string::npos) == (side == word));
  }
}

TEST_CASE("a load that needs one part or none gets it") {
  const Folder folder;
  const auto none =
      folder.run("stile-match --frequency 7.1MHz --load 50 --json --tolerance 5% --series e12 --chart a.png");
  INFO(none.err);
  REQUIRE(none.status == 0);
  const auto first = none.json().at("solutions").at(0);
  CHECK(first.at("elements").empty());
  CHECK(first.at("description") == "straight through");
  CHECK(first.at("tolerance").at("yield") == 1.0);
  CHECK(folder.names() == std::vector<std::string>{"a.png"});
  CHECK(folder.run("stile-match --frequency 7.1MHz --load 50").out.find("straight through") != std::string::npos);
  const stile::Table csv =
      stile::read_table(folder.run("stile-match --frequency 7.1MHz --load 50 --csv").out, "out.csv");
  CHECK(csv.text(0, "part1_place").empty());

  const auto one = folder.run("stile-match --frequency 7.1MHz --load 50-100j --json").json().at("solutions");
  bool found = false;
  for (const auto& solution : one) {
    if (solution.at("elements").size() != 1) continue;
    found = true;
    CHECK(solution.at("elements").at(0).at("place") == "series");
    CHECK(std::abs(solution.at("elements").at(0).at("value").get<double>() * 2.0 * std::acos(-1.0) * 7.1e6 / 100.0 -
                   1.0) <= 1e-9);
  }
  CHECK(found);
}

TEST_CASE("one setting has the fixed keys, and stile-net confirms it for every load") {
  const Folder folder;
  const std::string loads = "--load 26-375j --load 38-343j --load 30-360j ";
  const auto run =
      folder.run("stile-match --frequency 7.1MHz " + loads +
                 "--radiated-share 10% --radiated-share 0.2 --radiated-share 1 --one-setting --inductor-q 200 "
                 "--capacitor-q 1000 --json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  const auto json = run.json();
  const auto& one = json.at("one_setting");
  CHECK(one.at("holds") == true);
  CHECK(one.at("loss_is") == "to the far field");
  std::string parts;
  for (const auto& element : one.at("elements")) {
    const bool coil = element.at("kind") == "inductor";
    if (coil) CHECK(element.at("self_capacitance_f") == 2e-12);  // as the help says
    parts += " --" + element.at("place").get<std::string>() + (coil ? " L=" : " C=") + element.at("value").dump() +
             (coil ? ",Q=200,Cself=2pF" : ",Q=1000");
  }
  const double shares[] = {0.1, 0.2, 1.0};
  double swr = 1.0, loss = 0.0;
  REQUIRE(one.at("loads").size() == 3);
  for (std::size_t n = 0; n < 3; ++n) {
    const auto& load = one.at("loads").at(n);
    const auto& point = load.at("points").at(0);
    const auto net =
        folder
            .run("stile-net --frequency 7.1MHz --json --load=" + load.at("load").get<std::string>().substr(0, 7) +
                 parts)
            .json()
            .at("points")
            .at(0);
    CHECK(std::abs(net.at("swr").get<double>() / point.at("swr").get<double>() - 1.0) <= 1e-9);
    const double expected = net.at("loss").at("transducer_db").get<double>() - 10.0 * std::log10(shares[n]);
    CHECK(std::abs(expected - point.at("loss_db").get<double>()) <= 1e-9);
    swr = std::max(swr, point.at("swr").get<double>());
    loss = std::max(loss, point.at("loss_db").get<double>());
  }
  CHECK(one.at("worst_swr") == swr);
  CHECK(one.at("worst_loss_db") == loss);
  CHECK(swr <= 2.0);
  CHECK(one.at("proof").at("tried").get<int>() > 0);
  CHECK(one.at("proof").at("bound_db").get<double>() <= loss);
  CHECK(loss - one.at("proof").at("bound_db").get<double>() <= 0.01 + 1e-9);  // as the help says
  CHECK(json.at("cautions").size() >= 3);
}

TEST_CASE("one setting of preferred values and steps has only those, and the bound is the loss itself") {
  const Folder folder;
  const auto run =
      folder.run("stile-match --frequency 7.1MHz --load 26-375j --load 38-343j --one-setting --inductor-step 0.5uH "
                 "--capacitor-series e12 --inductor-q 200 --json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  const auto one = run.json().at("one_setting");
  CHECK(one.at("loss_is") == "into the load");
  CHECK(one.at("proof").at("bound_db") == one.at("worst_loss_db"));
  REQUIRE(!one.at("elements").empty());
  for (const auto& element : one.at("elements")) {
    if (element.at("kind") != "inductor") continue;
    const double steps = element.at("value").get<double>() / 0.5e-6;
    CHECK(std::abs(steps - std::round(steps)) <= 1e-9);
  }
}

TEST_CASE("one setting that does not hold is status 1 with the least bad one") {
  const Folder folder;
  const std::string command =
      "stile-match --frequency 7.1MHz --load 14-1058j --load 38-843j --one-setting --inductor-q 200 ";
  const auto run = folder.run(command + "--json");
  CHECK(run.status == 1);
  CHECK(run.err.find("stile-match: no setting keeps SWR 2 at every load; this one loses least at worst, with SWR ") ==
        0);
  const auto one = run.json().at("one_setting");
  CHECK(one.at("holds") == false);
  CHECK(one.at("worst_swr").get<double>() > 2.0);
  CHECK(one.at("proof").at("proven") == true);
  const auto text = folder.run(command);
  CHECK(text.status == 1);
  CHECK(text.out.find("From transmitter to load: ") != std::string::npos);
  CHECK(text.out.find("no setting keeps SWR 2 at every load") != std::string::npos);
  CHECK(text.out.find("RF burn") != std::string::npos);
}

TEST_CASE("one setting over several frequencies from files, with the shares that they have") {
  const Folder folder;
  folder.write("a.csv", "frequency_hz,r_ohm,x_ohm,radiated_share,metal_share\n7e6,20,-310,0.2,0.1\n7.1e6,21,-300,0.25,"
                        "0.1\n7.2e6,22,-290,0.3,0.1\n");
  folder.write("b.csv", "frequency_hz,r_ohm,x_ohm,radiated_share,metal_share\n7e6,30,-290,0.1,0.1\n7.1e6,31,-280,0.1,0."
                        "1\n7.2e6,32,-270,0.1,0.1\n");
  const std::string command = "stile-match --frequency 7.05MHz --frequency 7.1MHz --load-file a.csv --load-file b.csv "
                              "--one-setting --series e24 --swr 3 ";
  const auto run = folder.run(command + "--json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  const auto one = run.json().at("one_setting");
  CHECK(one.at("loss_is") == "to the far field");
  CHECK(one.at("loads").at(0).at("points").at(1).at("radiated_share") == 0.25);
  CHECK(one.at("worst_loss_db").get<double>() >= 10.0);
  const stile::Table table = stile::read_table(folder.run(command + "--csv").out, "out.csv");
  REQUIRE(table.rows.size() == 4);
  for (std::size_t n = 0; n < 4; ++n) {
    const auto& point = one.at("loads").at(n / 2).at("points").at(n % 2);
    CHECK(table.number(n, "swr") == point.at("swr"));
    CHECK(table.number(n, "loss_db") == point.at("loss_db"));
    CHECK(table.number(n, "part1_value") == one.at("elements").at(0).at("value"));
    CHECK(table.text(n, "holds") == "true");
  }
}

TEST_CASE("one setting refuses what would be ignored") {
  const Folder folder;
  const auto refused = [&](const std::string& options, const std::string& part) {
    const auto run = folder.run("stile-match --frequency 7.1MHz --load 26-375j " + options);
    INFO(options << "\n" << run.err);
    CHECK(run.status == 2);
    CHECK(run.out.empty());
    CHECK(programs::lines(run.err) == 1);
    CHECK(run.err.find(part) != std::string::npos);
  };
  refused("--load 30-300j", "--load is given more than once; legal: once, or with --one-setting");
  refused("--frequency 7MHz", "--frequency is given more than once; legal: once, or with --one-setting");
  refused("--radiated-share 0.1", "--radiated-share says nothing alone; legal: beside --one-setting");
  refused("--one-setting --radiated-share 0", "--radiated-share: column 1: \"0\": out of range");
  refused("--one-setting --radiated-share 0.1 --radiated-share 0.2",
          "--radiated-share is given 2 times beside 1 loads");
  refused("--one-setting --form l", "--one-setting");
  refused("--one-setting --tolerance 5%", "--one-setting");
  refused("--one-setting --load -20j", "--load: column 1: \"-20j\": its real part must be > 0");
  refused("--one-setting --series e12 --inductor-step 1uH", "exclude each other");
}

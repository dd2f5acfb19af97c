// stile-whip --exposure as a user runs it.

#include <algorithm>
#include <cmath>
#include <map>
#include <regex>
#include <set>
#include <sstream>

#include "plots/chart_measure.hpp"
#include "programs.hpp"

using programs::Folder;
using programs::Run;

namespace {

const std::string carried = STILE_EXAMPLES_FOLDER "/moor/carried.toml";
const std::string command =
    "stile-whip '" + carried + "' --condition 'on heather' --frequency 7.1MHz --power 5W --exposure ";

}  // namespace

TEST_CASE("stile-whip --exposure gives the fixed keys, a row a place and level") {
  const Folder folder;
  const Run run = folder.run(command + "--mode SSB --talk 0.5 --json");
  INFO(run.err);
  CHECK(run.status == 0);
  const auto json = run.json();
  const auto& rows = json.at("points").at(0).at("exposure");
  CHECK(rows.size() > 100);
  std::set<std::string> standards, groups, scopes, places;
  for (const auto& row : rows) {
    for (const char* key : {"where", "point_m", "condition", "e_v_m", "h_a_m", "standard", "group", "scope", "averaged",
                            "level_e_v_m", "level_h_a_m", "ratio"}) {
      INFO(key);
      REQUIRE(row.contains(key));
    }
    standards.insert(row.at("standard"));
    groups.insert(row.at("group"));
    scopes.insert(row.at("scope"));
    places.insert(row.at("where"));
    CHECK(row.at("condition") == "on heather");
    CHECK(row.at("averaged").get<bool>() == (row.at("scope") != "not averaged"));
    if (row.at("ratio").is_null()) {
      CHECK(row.at("standard") == "47 CFR 1.1310");
      CHECK(row.at("clearance_m").get<double>() < 0.2);
      continue;
    }
    double expected = 0.0;
    for (const auto& [field, level] : {std::pair{"e_v_m", "level_e_v_m"}, std::pair{"h_a_m", "level_h_a_m"}}) {
      if (!row.at(level).is_null())
        expected = std::max(expected, row.at(field).get<double>() / row.at(level).get<double>());
    }
    // Conversational SSB 0.2, half of the time, in overs of 60 s; not where the level is not averaged.
    if (row.at("averaged").get<bool>()) expected *= std::sqrt(0.2 * 0.5);
    CHECK(std::abs(row.at("ratio").get<double>() / expected - 1.0) <= 1e-9);
  }
  CHECK(standards == std::set<std::string>{"47 CFR 1.1310", "ICNIRP 1998", "ICNIRP 2020", "IEEE C95.1-2019",
                                           "Safety Code 6 (2015)"});
  CHECK(groups == std::set<std::string>{"general public", "occupational", "unrestricted", "restricted"});
  CHECK(scopes == std::set<std::string>{"whole body", "local", "not averaged"});
  for (const char* place :
       {"head", "eyes", "chest", "back", "left hand", "right foot", "whole body", "bystander at 1 m",
        "bystander at 2 m", "bystander at 5 m", "0.2 m beyond the end of \"long wire\""}) {
    INFO(place);
    CHECK(places.count(place) == 1);
  }
  CHECK(json.at("exposure").at("verdicts").size() == 10);
  const auto& body = json.at("points").at(0).at("body");
  CHECK(body.at("enough_mass_kg") == 62.5);
  CHECK(body.at("in_model") == true);
  CHECK(json.at("points").at(0).at("contact").at("places").size() >= 2);
  CHECK(json.at("points").at(0).at("exposure_distances").size() > 18);
  CHECK(json.at("exposure").at("wind").at("rows").size() == 12);
}

TEST_CASE("the fields with the person are those of --field") {
  const Folder folder;
  const auto json = folder.run(command + "--standard 'ICNIRP 2020' --json").json();
  int compared = 0;
  for (const auto& row : json.at("points").at(0).at("exposure")) {
    if (row.at("where") != "head" && row.at("where") != "back") continue;
    if (compared++ > 1) continue;
    const auto& p = row.at("point_m");
    std::string at;
    for (const auto& x : p) at += (at.empty() ? "" : ",") + std::to_string(x.get<double>()) + "m";
    const auto field = folder
                           .run("stile-whip '" + carried +
                                "' --condition 'on heather' --frequency 7.1MHz --power 5W --json --field=" + at)
                           .json()
                           .at("points")
                           .at(0)
                           .at("field")
                           .at(0);
    CHECK(std::abs(field.at("e_v_m").get<double>() / row.at("e_with_person_v_m").get<double>() - 1.0) <= 1e-4);
  }
  CHECK(compared >= 2);
}

TEST_CASE("exposure alone never changes the exit status, and no output says it is harmless") {
  const Folder folder;
  for (const char* power : {"1mW", "5W", "100W"}) {  // far below the levels, near them, far above
    for (const char* format : {"", "--json", "--csv"}) {
      const Run run = folder.run("stile-whip '" + carried + "' --condition 'on heather' --frequency 7.1MHz --power " +
                                 power + " --exposure --standard 'ICNIRP 2020' --record record.txt " + format);
      INFO(power << format << run.err);
      CHECK(run.status == 0);
      std::string all = run.out + programs::content(folder.file("record.txt"));
      std::transform(all.begin(), all.end(), all.begin(), [](unsigned char c) { return std::tolower(c); });
      // Nowhere but in the name of a standard.
      for (std::size_t at = 0; (at = all.find("safety code", at)) != std::string::npos;) all.erase(at, 11);
      CHECK(all.find("safe") == std::string::npos);
      CHECK(all.find("not a basic restriction exceeded") != std::string::npos);
      CHECK(all.find("local codes and licensed practice decide") != std::string::npos);
    }
  }
}

TEST_CASE("verdict, fields, distances, body, contact and wind are told to people") {
  const Folder folder;
  const Run run = folder.run("stile-whip '" + carried +
                             "' --condition 'hand on the set' --frequency 7.1MHz --power 5W "
                             "--exposure --mode SSB --tune 10s --pole 6m,40mm,6mm");
  const std::string flowing = std::regex_replace(run.out, std::regex("\n +"), " ");
  INFO(flowing);
  for (const char* words : {"Exposure: SSB (factor 0.2",
                            ", with a tune carrier",
                            "5 W SSB into the antenna: ",
                            " times the public level of ICNIRP 2020 that is not",
                            "; to meet it turn the set down to ",
                            "Strongest fields",
                            "bystander at 1 m",
                            "Where each level is met",
                            "above 62.5 kg cannot exceed",
                            "hand and wrist: touch contact current",
                            "Touched by somebody",
                            "Touched, beside a level",
                            "in the least direction",
                            "Keep head and back",
                            "Take it down from Beaufort 5 on",
                            "Computed for",
                            "; hand and wrist: ",
                            "times the public level of contact current of ICNIRP 2010",
                            "75 kg and a pack of 8 kg hold 122.1 N m at 0.15 m beside the feet; gusts 1.5 ",
                            "47 CFR 1.1310, contact current: the text names no level",
                            "Corona (indicative): the tip of \"whip\""}) {
    INFO(words);
    CHECK(flowing.find(words) != std::string::npos);
  }
  const Run csv = folder.run(command + "--csv");
  CHECK(csv.out.find("condition,frequency_hz,power_w,where,x_m,y_m,z_m,e_v_m,h_a_m,") == 0);
}

TEST_CASE("a record is dated, a local code is a file, wrong options are refused") {
  const Folder folder;
  folder.write("local.csv",
               "standard,group,scope,low_mhz,high_mhz,e_v_m,h_a_m,s_w_m2,averaging_min,status,source,note\n"
               "Local code (invented),general public,local,1,30,50/f^0.5,,,6,invented,a test,\n");
  const Run run = folder.run("SOURCE_DATE_EPOCH=1798761599 " + command +
                             "--levels local.csv --standard 'Local code (invented)' --pack-mass 12 --half-width 20cm "
                             "--gust 1.2 --record record.txt --json");
  INFO(run.err);
  REQUIRE(run.status == 0);
  const auto json = run.json();
  CHECK(!json.at("points").at(0).at("exposure").empty());
  for (const auto& row : json.at("points").at(0).at("exposure"))
    CHECK(std::abs(row.at("level_e_v_m").get<double>() - 50.0 / std::sqrt(7.1)) <= 1e-9);
  const auto& wind = json.at("exposure").at("wind");
  CHECK(wind.at("pack_kg") == 12.0);
  CHECK(wind.at("half_width_m") == 0.2);
  CHECK(wind.at("gust") == 1.2);
  CHECK(std::abs(wind.at("held_nm").get<double>() - 87.0 * 9.80665 * 0.2) <= 1e-9);
  const std::string record = programs::content(folder.file("record.txt"));
  for (const char* words : {"date: 2026-12-31T23:59:59Z", "program: stile-whip ", "--levels 'local.csv'", "[[wire]]",
                            "Local code (invented), general public, local: E 18.7647 V/m",
                            "pack 12 kg, half of the stand 0.2 m, gusts 1.2 times the mean"}) {
    INFO(words);
    CHECK(record.find(words) != std::string::npos);
  }
  const auto refused = [&](const std::string& arguments, const std::string& part) {
    const Run bad = folder.run("stile-whip '" + carried + "' --frequency 7.1MHz " + arguments);
    INFO(arguments << "\n" << bad.err);
    CHECK(bad.status == 2);
    CHECK(bad.out.empty());
    CHECK(bad.err.find(part) != std::string::npos);
  };
  refused("--mode SSB", "--exposure");
  refused("--exposure --mode semaphore", "legal: SSB");
  refused("--exposure --tune-every 60s", "legal: beside --tune");
  refused("--exposure --tune 10s --tune-every 5s",
          "a tune carrier of 10 s every 5 s; legal: no longer than --tune-every");
  refused("--exposure --standard 'ICNIRP 1887'", "legal: 47 CFR 1.1310");
  refused("--exposure --pole 6m", "legal: LENGTH,BASE,TIP");
  refused("--exposure --levels none.csv", "none.csv");
  // Told before anything is solved.
  const Run undated =
      folder.run("SOURCE_DATE_EPOCH=yesterday " + command + "--standard 'ICNIRP 2020' --record bad.txt");
  CHECK(undated.status == 2);
  CHECK(undated.err.find("SOURCE_DATE_EPOCH \"yesterday\"") != std::string::npos);
  // What is read from standard input stands in the record too, and the command can be given to a shell again.
  folder.write("it's.csv", programs::content(folder.file("local.csv")));
  const Run piped = folder.run("cat '" + carried +
                               "' | stile-whip - --condition 'on heather' --frequency 7.1MHz --exposure --levels "
                               "\"it's.csv\" --standard 'ICNIRP 2020' --record piped.txt -o none.txt");
  INFO(piped.err);
  CHECK(piped.status == 0);
  const std::string of_pipe = programs::content(folder.file("piped.txt"));
  CHECK(of_pipe.find("[[wire]]") != std::string::npos);
  CHECK(of_pipe.find("--levels 'it'\\''s.csv'") != std::string::npos);
  refused("--show side --sweep 7MHz:7.2MHz:3 --chart a.png", "one frequency");
}

TEST_CASE("stile-plan writes a dated record of every arrangement, and the wind on its whips and poles") {
  const Folder folder;
  folder.write("my whip.toml", programs::content(carried));
  folder.write(
      "station.toml",
      "[station]\nname = \"carried\"\n[transmitter]\npower = \"5 W\"\n[[band]]\nname = \"40 m\"\nlow = \"7.09 "
      "MHz\"\nhigh = \"7.11 MHz\"\n[mode]\nname = \"SSB\"\ntalk = 0.2\n[exposure]\nstandards = [\"ICNIRP 2020\"]\n"
      "[body]\nmass = \"80 kg\"\n[wind]\npack = \"12 kg\"\n[[wind.pole]]\nlength = \"6 m\"\nbase = \"40 mm\"\ntip = "
      "\"6 mm\"\n[[arrangement]]\nname = \"coil\"\nkind = \"base coil\"\ntrim = \"each condition\"\n[[arrangement]]\n"
      "name = \"nothing\"\nkind = \"straight\"\n[[load]]\n"
      "condition = \"hand on the set\"\nwires = \"my whip.toml\"\nwires_condition = \"hand on the set\"\n");
  const Run run = folder.run("SOURCE_DATE_EPOCH=1798761599 stile-plan station.toml --record 'my record.txt' --json");
  INFO(run.err);
  REQUIRE((run.status == 0 || run.status == 1));
  const auto json = run.json();
  REQUIRE(json.at("wind").size() == 1);
  const auto& wind = json.at("wind").at(0);
  CHECK(wind.at("antenna") == "");
  CHECK(wind.at("pole").at("length_m") == 6.0);
  CHECK(wind.at("pack_kg") == 12.0);
  CHECK(wind.at("person_kg") == 80.0);
  CHECK(wind.at("take_down_beaufort") == 5);
  CHECK(wind.at("condition") == "hand on the set");
  const double strong_nm = wind.at("rows").at(5).at("pack_moment_nm");
  // The pole's 43.67 N m (test_body.cpp of safety: the published row of 6 m), and the whip's, less than a tenth of
  // that.
  CHECK(strong_nm > 43.67);
  CHECK(strong_nm < 48.0);
  const std::string record = programs::content(folder.file("my record.txt"));
  INFO(record);
  for (const char* words : {"date: 2026-12-31T23:59:59Z",
                            "program: stile-plan ",
                            "command: stile-plan 'station.toml' --record 'my record.txt' --json",
                            "file: station.toml",
                            "  | [[arrangement]]",
                            "my whip.toml\n  | ",
                            "  | [[wire]]",
                            "mode: SSB, factor 0.2 (",
                            "share of talk: 0.2",
                            "mass of the person: 80 kg",
                            "40 m, coil: ",
                            "40 m, nothing: ",
                            " into the antenna, key down; the person is in the model",
                            "ICNIRP 2020, general public, not averaged: E 83 V/m",
                            "seen second-hand",
                            "ICNIRP, Health Physics 118(5):483-524, 2020",
                            "in \"hand on the set\": head (",
                            "along the coil at the base: ",
                            "pack 12 kg",
                            "pole of 6 m, 0.04 to 0.006 m thick",
                            "take it down from Beaufort 5 on",
                            "not a basic restriction exceeded"}) {
    INFO(words);
    CHECK(record.find(words) != std::string::npos);
  }
  CHECK(record.find("safe") == std::string::npos);
  REQUIRE(json.at("exposure_verdicts").size() >= 4);  // two groups of people, two arrangements
  for (const auto& v : json.at("exposure_verdicts"))
    CHECK(record.find(v.at("text").get<std::string>() + "\n") != std::string::npos);
  for (const char* format : {"", "--csv"}) {
    const Run told = folder.run(std::string("stile-plan station.toml ") + format);
    CHECK(told.out.find("take it down from") != std::string::npos);
    CHECK(told.out.find("80 kg and a pack of 12 kg hold") != std::string::npos);
  }
  const auto refused = [&](const std::string& call, const std::string& part) {
    const Run bad = folder.run(call);
    INFO(call << "\n" << bad.err);
    CHECK(bad.status == 2);
    CHECK(bad.out.empty());
    CHECK(bad.err.find(part) != std::string::npos);
  };
  refused("SOURCE_DATE_EPOCH=yesterday stile-plan station.toml --record r.txt", "SOURCE_DATE_EPOCH \"yesterday\"");
  refused("stile-plan --starter --record r.txt", "--record");
  refused("stile-plan station.toml --vary transmitter.power=1:5:3 --record r.txt", "--record");
  refused("stile-plan station.toml --record out/r.txt --report out", "--record \"out/r.txt\"");
}

TEST_CASE("charts of the field against distance and from the side") {
  const Folder folder;
  for (const std::string show : {"exposure", "side"}) {
    const Run run = folder.run("stile-whip '" + carried + "' --condition 'on heather' --frequency 7.1MHz --show " +
                               show + " --chart " + show + ".svg -o /dev/null");
    INFO(run.err);
    CHECK(run.status == 0);
    const std::string svg = programs::content(folder.file(show + ".svg"));
    CHECK(svg.find("E, V/m rms") != std::string::npos);
    CHECK(svg.find("head") != std::string::npos);
    chart_measure::check_chart(folder.file(show + ".svg"));
  }
}

namespace {

/// Cells of the lines of a CSV text that begin with "# SUBJECT,".
std::vector<std::vector<std::string>> table_of(const std::string& csv, const std::string& subject) {
  std::vector<std::vector<std::string>> table;
  std::istringstream lines(csv);
  for (std::string line; std::getline(lines, line);) {
    if (line.rfind("# " + subject + ",", 0) != 0) continue;
    table.emplace_back(1);
    bool quoted = false;
    for (const char c : line) {
      if (c == '"') {
        quoted = !quoted;
      } else if (c == ',' && !quoted) {
        table.back().emplace_back();
      } else {
        table.back().back() += c;
      }
    }
  }
  return table;
}

/// Numbers of a JSON value outside of the rows within it, by the names of their columns.
void numbers_by_column(const std::string& column, const nlohmann::json& value, std::map<std::string, double>& numbers) {
  if (value.is_number()) numbers[column] = value.get<double>();
  if (value.is_object()) {
    for (const auto& [key, member] : value.items())
      numbers_by_column(column.empty() ? key : column + "." + key, member, numbers);
  }
  if (!value.is_array()) return;
  const std::string parts = value.size() == 2 ? "low  high" : "x    y    z";
  for (std::size_t n = 0; n < value.size() && value[n].is_number(); ++n) {
    const std::string part = parts.substr(5 * n, 4);
    numbers[column + "." + part.substr(0, part.find(' '))] = value[n].get<double>();
  }
}

/// Each number of JSON rows stands in the same row of the CSV's table, in the column of its name, with the same value.
/// @return  how many there are
std::size_t compare_rows(const std::string& csv, const std::string& subject, const nlohmann::json& rows) {
  if (rows.empty()) return 0;
  const auto table = table_of(csv, subject);
  INFO(subject);
  REQUIRE(table.size() == rows.size() + 1);
  std::size_t compared = 0;
  std::map<std::string, nlohmann::json> within;
  for (std::size_t n = 0; n < rows.size(); ++n) {
    std::map<std::string, double> numbers;
    for (const auto& [key, value] : rows[n].items()) {
      const bool inner = value.is_array() && !value.empty() && value[0].is_object();
      if (!inner) numbers_by_column(key, value, numbers);
      for (std::size_t k = 0; inner && k < value.size(); ++k) within[key].push_back(value[k]);
    }
    REQUIRE(table[n + 1].size() == table[0].size());
    for (const auto& [column, number] : numbers) {
      INFO(column << " of row " << n);
      const auto at = std::find(table[0].begin(), table[0].end(), column);
      REQUIRE(at != table[0].end());
      CHECK(std::stod(table[n + 1][static_cast<std::size_t>(at - table[0].begin())]) == number);
      ++compared;
    }
  }
  for (const auto& [key, inner] : within) compared += compare_rows(csv, subject + " " + key, inner);
  return compared;
}

}  // namespace

TEST_CASE("stile-plan has body and contact in text, JSON and CSV, each row with its band and arrangement") {
  const Folder folder;
  folder.write("station.toml",
               "[station]\nname = \"carried\"\n[transmitter]\npower = \"5 W\"\n[[band]]\nname = \"40 m\"\nlow = \"7.09 "
               "MHz\"\nhigh = \"7.11 MHz\"\n[parts]\ninductor_q = 250\ncapacitor_q = 1000\n[body]\nmass = \"80 "
               "kg\"\n[[arrangement]]\nname = \"coil\"\nkind = \"base coil\"\ntrim = \"each condition\"\n[[load]]\n"
               "condition = \"hand on the set\"\nwires = \"" +
                   carried + "\"\nwires_condition = \"hand on the set\"\n");
  const Run run = folder.run("stile-plan station.toml --json");
  INFO(run.err);
  const auto json = run.json();
  for (const char* key : {"exposure", "exposure_verdicts", "body", "contact", "body_rows"}) {
    INFO(key);
    REQUIRE(json.contains(key));
    CHECK(!json.at(key).empty());
    for (const auto& row : json.at(key)) {
      CHECK(row.at("band") == "40 m");
      CHECK(row.at("arrangement") == "coil");
      CHECK(row.at("condition") == "hand on the set");
    }
  }
  CHECK(json.at("exposure_no_level").empty());
  const auto& body = json.at("body").at(0);
  CHECK(body.at("mass_kg") == 80.0);
  CHECK(body.at("contact") == true);
  CHECK(body.at("limbs").size() == 3);
  CHECK(body.at("limbs").at(0).at("where") == "hand and wrist");
  CHECK(body.at("limbs").at(0).at("indicative_sar_10g_range_w_kg").at(0) <
        body.at("limbs").at(0).at("indicative_sar_10g_range_w_kg").at(1));
  for (const auto& row : json.at("body_rows")) {
    for (const char* key : {"where", "condition", "scope", "averaged", "value", "level", "ratio", "status", "source"}) {
      INFO(key);
      CHECK(row.contains(key));
    }
  }
  const std::string csv = folder.run("stile-plan station.toml --csv").out;
  std::size_t compared = 0;
  for (const char* section : {"exposure_duty", "exposure", "exposure_verdicts", "body", "contact", "body_rows", "wind"})
    compared += compare_rows(csv, section, json.at(section));
  CHECK(compared > 500);
  const auto& contact = json.at("contact").at(0);
  CHECK(contact.at("coil_v_peak").get<double>() > 10.0);
  CHECK(contact.at("terminal_v_peak").get<double>() > 10.0);
  CHECK(contact.at("places").size() >= 2);
  CHECK(contact.at("tips").size() >= 2);
  for (const char* format : {"", "--csv"}) {
    const Run told = folder.run(std::string("stile-plan station.toml ") + format);
    INFO(told.out);
    CHECK(told.status == run.status);
    const std::string flat = std::regex_replace(told.out, std::regex("\n(# )? *"), " ");
    for (const char* words :
         {"whole body of 80 kg", "spread over conductivity", "Corona (indicative): the tip of \"whip\""}) {
      INFO(words);
      CHECK(flat.find(words) != std::string::npos);
    }
    for (const char* words : {"In the body, and touched", "hand, mA", "foot, mA", "V rms open", "This is a digest",
                              "Fields without the person, key down  head, V/m"}) {
      INFO(words);
      CHECK((flat.find(words) != std::string::npos) == (*format == '\0'));
    }
    std::string all = told.out;
    std::transform(all.begin(), all.end(), all.begin(), [](unsigned char c) { return std::tolower(c); });
    for (std::size_t at = 0; (at = all.find("safety code", at)) != std::string::npos;) all.erase(at, 11);
    CHECK(all.find("safe") == std::string::npos);
  }
}

TEST_CASE("a standard that says nothing at the frequency is named, and the fields stand there all the same") {
  const Folder folder;
  const std::string at = "stile-whip '" + carried +
                         "' --condition 'on heather' --frequency 50MHz --exposure --standard 'Safety Code 6 (2015)' ";
  const Run text = folder.run(at);
  INFO(text.out << text.err);
  CHECK(text.status == 0);
  CHECK(text.out.find("Safety Code 6 (2015), general public: says nothing of fields at 50 MHz") != std::string::npos);
  CHECK(text.out.find("bystander at 1 m") != std::string::npos);
  const auto point = folder.run(at + "--json").json().at("points").at(0);
  CHECK(point.at("exposure").empty());
  CHECK(point.at("exposure_no_level").size() == 2);
  CHECK(point.at("exposure_fields").size() > 10);
}

TEST_CASE("published limits on SAR stand beside the figures only where their standard counts") {
  const Folder folder;
  folder.write("mine.csv", "standard,group,scope,low_mhz,high_mhz,e_v_m,h_a_m,s_w_m2,averaging_min,status,source,note\n"
                           "mine,general public,whole body,1,30,28,,,6,common practice,invented,\n");
  const std::string all = "[station]\nname = \"carried\"\n[transmitter]\npower = \"5 W\"\n[[band]]\nname = \"40 m\"\n"
                          "low = \"7.09 MHz\"\nhigh = \"7.11 MHz\"\n[[arrangement]]\nname = \"nothing\"\nkind = "
                          "\"straight\"\n[[load]]\ncondition = \"hand on the set\"\nwires = \"" +
                          carried + "\"\nwires_condition = \"hand on the set\"\n";
  folder.write("all.toml", all);
  folder.write("mine.toml", all + "[exposure]\nlevels = \"mine.csv\"\nstandards = [\"mine\"]\n");
  const auto words = [&](const std::string& file) {
    std::string text = folder.run("stile-plan " + file).out;
    std::replace(text.begin(), text.end(), '\n', ' ');
    return text;
  };
  const std::string every = words("all.toml"), local = words("mine.toml");
  INFO(every << local);
  CHECK(
      every.find("Published beside them: 0.08 (public) and 0.4 W/kg (occupational) for the whole body; 4 (public) and "
                 "20 W/kg (occupational) over 10 g in hand, wrist, foot, ankle.") != std::string::npos);
  CHECK(local.find("In the body, and touched") != std::string::npos);
  CHECK(local.find("Published beside them") == std::string::npos);
}

TEST_CASE("stile-plan says what is not varied of a coil part-way up a whip") {
  const Folder folder;
  const std::string station =
      "[station]\nname = \"up\"\n[transmitter]\npower = \"5 W\"\n[[band]]\nname = \"40 m\"\nlow = \"7.09 MHz\"\n"
      "high = \"7.11 MHz\"\n[coil.loading]\nformer = \"40 mm\"\nwire = \"1 mm\"\npitch = \"2 mm\"\nturns = 20\n"
      "[[load]]\ncondition = \"hand on the set\"\nwires = \"" +
      carried + "\"\nwires_condition = \"hand on the set\"\n[[arrangement]]\nname = \"up\"\nkind = \"straight\"\n";
  folder.write("with.toml", station + "whip = { coil = \"loading\", distance = \"1.2 m\" }\n");
  folder.write("without.toml", station);
  const std::string note = "Contacts and temperature of the coil part-way up the whip are not varied for: ";
  for (const char* format : {"", "--csv", "--json"}) {
    const auto words = [&](const std::string& file) {
      std::string text = folder.run("stile-plan " + file + " " + format).out;
      std::replace(text.begin(), text.end(), '\n', ' ');
      return text;
    };
    INFO(format);
    CHECK(words("with.toml").find(note) != std::string::npos);
    CHECK(words("without.toml").find(note) == std::string::npos);
  }
}

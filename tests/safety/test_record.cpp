// The record: dated, whole, and free of comfort.
#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

#include <stile/safety/record.hpp>

#include "safety/carried.hpp"

using namespace stile;
using namespace stile::safety;
using namespace stile::safety::test;

TEST_CASE("dates of a record") {
  CHECK(utc_text(0) == "1970-01-01T00:00:00Z");
  CHECK(utc_text(951782400) == "2000-02-29T00:00:00Z");
  CHECK(utc_text(1798761599) == "2026-12-31T23:59:59Z");
  CHECK(utc_text(4107542400) == "2100-03-01T00:00:00Z");
  CHECK(utc_text(-1) == "1969-12-31T23:59:59Z");
}

TEST_CASE("a record holds inputs, versions, levels with their status, and results") {
  const wire::SolveOptions solve = wire::with_tables({});
  const std::vector<ExposureCase> cases{solved(carried_case(wire::WhipCondition::hand_on_set), 7.1e6, 5.0, solve)};
  AssessOptions options;
  options.exposure.duty = {"SSB", 0.5, 60.0};
  options.exposure.solve = solve;
  const Assessment a = assess(cases, options);
  const RecordHead head{1798761599,
                        "program 1.2.3",
                        "program file --exposure",
                        {{"file", "first\nsecond\n"}, {"levels", "one more input"}}};
  const std::string text = exposure_record(head, a);
  for (const char* words : {"date: 2026-12-31T23:59:59Z",
                            "program: program 1.2.3",
                            "command: program file --exposure",
                            "  | first",
                            "  | second",
                            "one more input",
                            "mode: SSB, factor 0.2 (official text seen; FCC OET Bulletin 65 Supplement B",
                            "share of talk: 0.5",
                            "\"hand on the set\" at 7.1 MHz: 5 W into the antenna",
                            "the person is in the model",
                            "official text seen",
                            "seen second-hand",
                            "from memory",
                            "ICNIRP, Health Physics 118(5):483-524, 2020, Table 8",
                            "head (",
                            "bystander at 1 m (",
                            "no ratio: portable",
                            "not averaged: ratio",
                            "averaged, 0.1 of the power counts",
                            "is met beyond",
                            "hand and wrist:",
                            "above 62.5 kg the whole-body restriction",
                            "across the terminals:",
                            "touched at",
                            ": touch contact current ",
                            "Beaufort 6, up to 13.8 m/s: ",
                            "take it down from Beaufort ",
                            "smooth plates",
                            "both feet:",
                            "SAR over 1 g no value beside 1.6 of 47 CFR 1.1310, general public, averaged",
                            "47 CFR 1.1310, contact current: the text names no level",
                            "the tip of \"whip\": ",
                            "(contact): contact current ",
                            " times the public level of ",
                            "Facts about contact",
                            "dry high-resistance contact heats the skin",
                            "SAR over 1 g in head and trunk",
                            "not a basic restriction exceeded"}) {
    INFO(words);
    CHECK(text.find(words) != std::string::npos);
  }
  CHECK(text.find("safe") == std::string::npos);
  CHECK(text == exposure_record(head, assess(cases, options)));
}

TEST_CASE("a record of uses holds each one's powers, worst rows, verdicts, contacts, and the wind") {
  const wire::SolveOptions solve = wire::with_tables({});
  ExposureOptions options;
  options.duty = {"SSB", 0.5, 60.0};
  options.solve = solve;
  options.levels =
      levels_of(published_levels(), std::vector<std::string>{"ICNIRP 2020", "47 CFR 1.1310", "Safety Code 6 (2015)"});
  const std::vector<ExposureCase> cases{solved(carried_case(wire::WhipCondition::trailing_usual), 7.1e6, 5.0, solve),
                                        solved(carried_case(wire::WhipCondition::hand_on_set), 7.1e6, 5.0, solve)};
  const std::vector<PoweredUse> fed{
      {"40 m", "coil", 0, 4.0, 321.0}, {"40 m", "coil", 1, 3.0, 0.0}, {"40 m", "bare", 0, 0.5, 0.0}};
  const std::vector<UseExposure> uses = use_exposures(cases, fed, options);
  const std::vector<AntennaWind> winds{
      {"high", Pole{6.0, 0.04, 0.006}, wind_table(cases[0].wires, Pole{6.0, 0.04, 0.006}, {})}};
  const RecordHead head{
      1798761599, "program 1.2.3", "program station", {{"station", "first\n"}, {"wires", "second\n"}}};
  const UsesRecord record{options, {}, {}, uses, winds};
  const std::string text = exposure_record(head, record);
  for (const char* words :
       {"date: 2026-12-31T23:59:59Z",
        "file: station\n  | first\nfile: wires\n  | second\n",
        "mode: SSB, factor 0.2 (official text seen; FCC OET Bulletin 65 Supplement B",
        "40 m, coil: SSB (factor 0.2, official text seen), transmitting 0.5 of the time in overs of 60 s\n",
        "at 7.1 MHz: 4 W into the antenna, key down; the person is in the model",
        "at 7.1 MHz: 3 W into the antenna, key down",
        "40 m, bare: SSB (factor 0.2, official text seen), transmitting 0.5 of the time in overs of 60 s\n",
        "at 7.1 MHz: 500 mW into the antenna, key down",
        "\nat 7.1 MHz: ICNIRP 2020, general public, not averaged: E 83 V/m",
        "from memory",
        "seen second-hand",
        "\n\n40 m, coil\n",
        "\n\n40 m, bare\n",
        "in \"hand on the set\": hand and wrist (10 g): SAR over 10 g, indicative ",
        ": head and trunk (1 g): SAR over 1 g no value beside 1.6 of 47 CFR 1.1310",
        "47 CFR 1.1310, contact current: the text names no level",
        "along the coil at the base: 321 V peak",
        "touched at \"whip\", 10 cm from the feed: ",
        "the tip of \"whip\": ",
        "person 75 kg, pack 8 kg, half of the stand 0.15 m, gusts 1.5 times the mean",
        "\nhigh, \"",
        "pole of 6 m, 0.04 to 0.006 m thick: held 122.1 N m",
        "Beaufort 6, up to 13.8 m/s: ",
        "take it down from Beaufort 5 on",
        "Facts about contact",
        "not a basic restriction exceeded"}) {
    INFO(words);
    CHECK(text.find(words) != std::string::npos);
  }
  for (const UseExposure& u : uses) {
    for (const Verdict& v : u.verdicts) CHECK(text.find(v.text + "\n") != std::string::npos);
    for (const ExposureRow& r : u.rows) {
      INFO(r.field.where);
      CHECK(text.find(fmt::format("in \"{}\": {} (", r.condition, r.field.where)) != std::string::npos);
    }
  }
  CHECK(text.find("safe") == std::string::npos);
  // No wires: nothing was computed, and that is said.
  const UsesRecord empty{options, {}, {}, {}, {}};
  const std::string nothing = exposure_record(head, empty);
  CHECK(nothing.find("no field was computed, which says nothing about fields") != std::string::npos);
  CHECK(nothing.find("no wires that are carried were solved: no moment of the wind was computed") != std::string::npos);
}

TEST_CASE("a standard without a level at a frequency is named, and the fields are told all the same") {
  // Safety Code 6 (2015) has its levels of this table up to 48 MHz.
  const std::vector<ExposureCase> cases{solved(carried_case(wire::WhipCondition::trailing_usual, false), 50e6, 5.0)};
  AssessOptions options;
  options.exposure.levels = levels_of(published_levels(), std::vector<std::string>{"Safety Code 6 (2015)"});
  const Assessment a = assess(cases, options);
  CHECK(a.cases[0].rows.empty());
  CHECK(a.verdicts.empty());
  REQUIRE(a.cases[0].no_level.size() == 2);
  CHECK(a.cases[0].no_level[0].standard == "Safety Code 6 (2015)");
  CHECK(a.cases[0].no_level[0].group != a.cases[0].no_level[1].group);
  CHECK(worst_fields(a).size() > 10);
  const std::string text = exposure_record({}, a);
  CHECK(text.find("Safety Code 6 (2015), general public: no level of fields at this frequency") != std::string::npos);
  CHECK(text.find("field, at the place: head (") != std::string::npos);
  CHECK(without_level(options.exposure.levels, 7.1e6).empty());
}

TEST_CASE("the gap told is the one that 1/0.8 of the highest voltage jumps, and contacts stand beside their levels") {
  const std::vector<ExposureCase> cases{solved(carried_case(wire::WhipCondition::trailing_usual, false), 7.1e6, 5.0)};
  AssessOptions options;
  options.exposure.levels = levels_of(published_levels(), std::vector<std::string>{"ICNIRP 2020"});
  const CaseAssessment c = assess(cases, options).cases[0];
  double v_peak = c.contacts.terminal_v_peak;
  for (const Contact& k : c.contacts.places) v_peak = std::max(v_peak, std::sqrt(2.0) * k.open_v_rms);
  CHECK(c.gap_jumped_m == gap_jumped_m(v_peak / 0.8, air_pressure_pa(0.0)));
  REQUIRE(!c.contacts.places.empty());
  for (const Contact& k : c.contacts.places) {
    INFO(k.where);
    int found = 0;
    for (const BodyRow& r : c.contact_rows) {
      if (r.where != k.where) continue;
      CHECK(r.value == k.contact_a_rms);  // key down
      CHECK(*r.ratio == *r.value / r.level);
      CHECK(*r.open_v_rms == k.open_v_rms);
      CHECK(r.condition == c.condition);
      CHECK(!r.status.empty());
      found += r.standard == "ICNIRP 2010" && r.group == "general public" && r.level == 0.020 ? 1 : 0;
    }
    CHECK(found == 1);
  }
}

TEST_CASE("worst fields and distances are the worst of the cases") {
  const wire::SolveOptions solve = wire::with_tables({});
  std::vector<ExposureCase> cases{solved(carried_case(wire::WhipCondition::trailing_usual, false), 7.1e6, 5.0, solve),
                                  solved(carried_case(wire::WhipCondition::lifted, false), 7.1e6, 5.0, solve)};
  AssessOptions options;
  options.exposure.solve = solve;
  options.exposure.levels = levels_of(published_levels(), std::vector<std::string>{"ICNIRP 2020"});
  std::size_t told = 0;
  const Assessment a = assess(cases, options, [&](std::size_t done, std::size_t total) {
    CHECK(done == told++);
    CHECK(total == 2);
  });
  for (const WorstField& w : worst_fields(a)) {
    INFO(w.where);
    bool reached = false;
    for (const CaseAssessment& c : a.cases) {
      for (const ExposureRow& r : c.rows) {
        if (r.field.where != w.where || r.field.whole_body != w.whole_body) continue;
        CHECK(r.field.e_v_m <= w.e_v_m);
        reached = reached || (r.field.e_v_m == w.e_v_m && c.condition == w.e_condition);
      }
    }
    CHECK(reached);
  }
  // Lifted the whip has the stronger field: a chart of one condition draws that one.
  const std::vector<std::size_t> order = worst_first(a);
  REQUIRE(order.size() == 2);
  const auto worst_ratio = [&](std::size_t n) {
    double worst = 0.0;
    for (const ExposureRow& r : a.cases[n].rows) {
      if (is_public(r.level.group) && r.ratio) worst = std::max(worst, *r.ratio);
    }
    return worst;
  };
  CHECK(worst_ratio(order[0]) > worst_ratio(order[1]));
  CHECK(worst_reaches(a).size() == 6);
  // Met beyond the farthest of all directions, not of the one where it reaches least far.
  int unlike = 0;
  for (const WorstReach& w : worst_reaches(a)) {
    double farthest_m = 0.0, least_m = 0.0;
    for (const CaseAssessment& c : a.cases) {
      for (const LevelReach& r : c.reaches) {
        if (r.wire_end || r.level.group != w.level.group || r.level.scope != w.level.scope) continue;
        double least_of_case_m = r.directions.front().distance_m;
        for (const Reach& d : r.directions) {
          farthest_m = std::max(farthest_m, d.distance_m);
          least_of_case_m = std::min(least_of_case_m, d.distance_m);
        }
        least_m = std::max(least_m, least_of_case_m);
      }
    }
    CHECK(w.farthest_m == farthest_m);
    CHECK(w.least_direction_m == least_m);
    unlike += w.farthest_m > 1.2 * w.least_direction_m ? 1 : 0;
  }
  CHECK(unlike > 0);
  const std::vector<std::string> findings = public_findings(a.verdicts, all_body_rows(a));
  REQUIRE(findings.size() == 1);
  CHECK(findings[0].find("public level of ICNIRP 2020") != std::string::npos);
  // In the same line what is touched, with its voltage open.
  CHECK(findings[0].find("; touching ") != std::string::npos);
  CHECK(findings[0].find(" rms open)") != std::string::npos);
  CHECK(findings[0].find('\n') == std::string::npos);
}

// The record: dated, whole, and free of comfort.
#include <catch2/catch.hpp>

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
  const RecordHead head{1798761599, "program 1.2.3",   "program file --exposure",
                        "file",     "first\nsecond\n", {"one more input"}};
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
                            "not a basic restriction exceeded"}) {
    INFO(words);
    CHECK(text.find(words) != std::string::npos);
  }
  CHECK(text.find("safe") == std::string::npos);
  CHECK(text == exposure_record(head, assess(cases, options)));
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
  CHECK(worst_reaches(a).size() == 6);
  for (const WorstReach& w : worst_reaches(a)) CHECK(w.farthest_m >= w.least_direction_m);
  const std::vector<std::string> findings = public_findings(a.verdicts);
  REQUIRE(findings.size() == 1);
  CHECK(findings[0].find("public level of ICNIRP 2020") != std::string::npos);
}

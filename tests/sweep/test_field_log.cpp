#include <catch2/catch.hpp>

#include <stile/sweep/field_log.hpp>

#include "sweep/synthetic.hpp"

using namespace stile;
using namespace stile::sweep;
using namespace stile::sweep::test;
using Catch::Matchers::Contains;

TEST_CASE("a log reads row by row, empty cells are not known") {
  const auto log =
      read_log("# invented\ntime,place,ground,wetness,condition,state,frequency_mhz,swr,power_w,current_a,report_s\n"
               "2026-11-20T10:00,moor,peat,wet,lying,tap 7,7.1,1.8,5,0.3,\n"
               "2026-11-20T10:02,moor,peat,wet,lying,tap 8,7.1,,,,7\n",
               "log.csv");
  REQUIRE(log.size() == 2);
  CHECK(log[0].frequency_hz == 7.1e6);
  CHECK(log[0].swr == 1.8);
  CHECK(log[0].state == "tap 7");
  CHECK_FALSE(log[0].report_db);
  CHECK_FALSE(log[1].swr);
  CHECK(log[1].report_db == 42.0);
  CHECK(log[1].line == 4);
  CHECK_THROWS_WITH(read_log("frequency_hz,swr\n7e6,0.5\n", "log.csv"),
                    Contains("log.csv:2:5: an SWR must be at least 1"));
  CHECK_THROWS_WITH(read_log("frequency_hz,foo\n", "log.csv"), Contains("\"foo\" is not a column of a log"));
  CHECK_THROWS_WITH(read_log("swr\n2\n", "log.csv"), Contains("one of frequency_hz and frequency_mhz is needed"));
}

TEST_CASE("SWR noted against SWR foretold, by condition") {
  const auto log =
      read_log("frequency_mhz,condition,swr\n7.1,lying,2.0\n7.1,lifted,1.5\n7.1,elsewhere,1.5\n", "log.csv");
  const std::vector<load::Load> loads{{"lying", "", load::ConstantLoad{100.0}, {}},
                                      {"lifted", "", load::ConstantLoad{50.0}, {}}};
  const auto all = compare_log(log, loads, {}, 50.0);
  REQUIRE(all.size() == 2);
  CHECK(all[0].predicted_swr == Approx(2.0).epsilon(1e-12));
  CHECK(std::abs(all[0].mismatch_db) <= 1e-12);
  CHECK(all[1].entry == 1);
  CHECK(all[1].predicted_swr == Approx(1.0).epsilon(1e-12));
  CHECK(all[1].mismatch_db == Approx(-10.0 * std::log10(1.0 - 0.04)).epsilon(1e-9));
}

TEST_CASE("the base current noted stands beside the one foretold") {
  const auto log = read_log("frequency_mhz,power_w,current_a\n7.1,5,0.2\n7.1,,0.2\n", "log.csv");
  const auto all = compare_log(log, {{"any", "", load::ConstantLoad{200.0}, {}}}, {}, 50.0);
  REQUIRE(all.size() == 1);
  // |S11| = 0.6: 64 % of 5 W in 200 ohm.
  CHECK(all[0].predicted_current_a == Approx(std::sqrt(0.64 * 5.0 / 200.0)).epsilon(1e-12));
  CHECK(all[0].current_a == 0.2);
  CHECK(all[0].swr == 0.0);
}

TEST_CASE("of series as long as said 80 +- 3 % detect the step, and 5 +- 2 % one that is not there") {
  std::mt19937_64 source(8);
  std::normal_distribution<double> normal;
  for (const auto& [step, fading] : {std::pair{2.0, 3.0}, std::pair{1.0, 1.0}, std::pair{3.0, 8.0}}) {
    const Alternations needed = alternations_needed(step, fading);
    int detected = 0, called = 0;
    constexpr int trials = 3000;
    for (int trial = 0; trial < trials; ++trial) {
      for (const bool there : {true, false}) {
        std::vector<LogEntry> log;
        for (std::size_t i = 0; i < needed.pairs; ++i) {
          LogEntry a, b;
          a.state = "A";
          b.state = "B";
          a.report_db = (there ? step : 0.0) + fading * normal(source);
          b.report_db = 0.0;
          log.push_back(a);
          log.push_back(b);
        }
        const AlternationResult r = judge_alternations(log);
        (there ? detected : called) += r.chance <= 0.05 && (!there || r.difference_db.value > 0.0);
      }
    }
    INFO(step << " dB through " << fading << " dB: " << needed.pairs);
    // Whole pairs: a little more than asked for.
    CHECK(detected >= 0.77 * trials);
    CHECK(detected <= (needed.pairs < 15 ? 0.86 : 0.83) * trials);
    CHECK(called >= 0.03 * trials);
    CHECK(called <= 0.07 * trials);
    CHECK_THAT(needed.text, Contains(std::to_string(needed.pairs) + " alternations"));
  }
  CHECK(alternations_needed(100.0, 1.0).pairs == 2);
  CHECK_THROWS_AS(alternations_needed(0.0, 1.0), DomainError);
}

TEST_CASE("alternations are by default asked for 80 of 100 found and 5 of 100 called wrongly") {
  for (const double step : {1.0, 2.5}) {
    const Alternations usual = alternations_needed(step, 3.0), stated = alternations_needed(step, 3.0, 0.05, 0.2);
    CHECK(usual.pairs == stated.pairs);
    CHECK_THAT(usual.text, Contains("in 80 of 100 such series") && Contains("in 5 of 100"));
    CHECK(alternations_needed(step, 3.0, 0.01, 0.2).pairs > usual.pairs);
    CHECK(alternations_needed(step, 3.0, 0.05, 0.1).pairs > usual.pairs);
  }
}

TEST_CASE("a pair is of one band up to a tenth apart") {
  const auto pairs = [](const std::string& mhz) {
    std::string text = "frequency_mhz,state,report_db\n";
    for (int n = 0; n < 3; ++n) text += "7,a,10\n" + mhz + ",b,0\n";
    return judge_alternations(read_log(text, "log.csv")).pairs;
  };
  CHECK(pairs("7.69") == 3);
  CHECK(pairs("7.71") == 0);
}

TEST_CASE("a series of alternations is judged in words") {
  const auto log = read_log("frequency_mhz,state,report_db\n7.1,coil,-10\n7.1,tuner,-13\n7.1,coil,-11\n7.1,tuner,-14."
                            "5\n7.1,coil,-9\n7.1,tuner,-11.5\n"
                            "7.1,tuner,-12\n",
                            "log.csv");
  const AlternationResult r = judge_alternations(log);
  CHECK(r.pairs == 3);
  CHECK(r.difference_db.value == Approx(3.0).epsilon(1e-12));
  CHECK(r.fading_db == Approx(0.5).epsilon(1e-12));
  // t = 3 / (0.5 / sqrt 3) with 2 degrees of freedom: P = 1 - t / sqrt(t^2 + 2)
  const double t = 3.0 / (0.5 / std::sqrt(3.0));
  CHECK(r.chance == Approx(1.0 - t / std::sqrt(t * t + 2.0)).epsilon(1e-9));
  CHECK_THAT(r.text, Contains("\"coil\" is stronger by 3 dB"));
  const auto even = read_log("frequency_mhz,state,report_db\n7,a,1\n7,b,0\n7,a,0\n7,b,1.5\n7,a,2\n7,b,0\n", "log.csv");
  CHECK_THAT(judge_alternations(even).text, Contains("no difference is shown") && Contains("would take some"));
  const auto said = [](const std::string& rows) {
    const AlternationResult result =
        judge_alternations(read_log("frequency_mhz,place,condition,state,report_db\n" + rows, "log.csv"));
    CHECK_FALSE(result.judged);
    return result.text;
  };
  CHECK(said("7,,,a,1\n7,,,a,0\n") == "not judged, the reports are of 1 state \"a\"; alternate between two");
  CHECK(said("7,,,a,1\n7,,,b,0\n7,,,c,0\n") ==
        "not judged, the reports are of 3 states \"a\", \"b\", \"c\"; alternate between two");
  // What is foretold of the same pairs stands beside it; a field strength counts as 20 log.
  const auto foretold = [](const std::string& heading, const std::string& rows) {
    return judge_alternations(read_log("frequency_mhz,state," + heading + "\n" + rows, "log.csv"));
  };
  const AlternationResult near = foretold(
      "report_db,foretold_db", "7,a,-10,-1\n7,b,-13,-3.8\n7,a,-11,-1\n7,b,-14.5,-3.8\n7,a,-9,-1\n7,b,-11.5,-3.8\n");
  REQUIRE(near.foretold_db);
  CHECK(*near.foretold_db == Approx(2.8).epsilon(1e-12));
  CHECK(near.agrees);
  CHECK_THAT(near.text, Contains("foretold is 2.8 dB for \"a\" over \"b\" and 3 measured, which agree"));
  const AlternationResult far =
      foretold("field_v_m,foretold_v_m", "7,a,2e-3,1e-3\n7,b,1e-3,1e-3\n7,a,2.1e-3,1e-3\n7,b,1e-3,1e-3\n7,a,1.9e-3,1e-"
                                         "3\n7,b,1e-3,1e-3\n");
  CHECK(far.difference_db.value == Approx(20.0 * std::log10(2.0 * 2.1 * 1.9) / 3.0).epsilon(1e-12));
  CHECK(std::abs(*far.foretold_db) <= 1e-12);
  CHECK_FALSE(far.agrees);
  CHECK_THAT(far.text, Contains("differ by more than the uncertainty"));
  CHECK_THROWS_WITH(read_log("frequency_hz,report_db,field_v_m\n", "log.csv"), Contains("exclude each other"));
  // Another band, place or condition is not the other half of a pair.
  for (const std::string& rows :
       {std::string("7.1,,,a,10\n14.2,,,b,0\n7.1,,,a,10.5\n14.2,,,b,0\n7.1,,,a,10\n14.2,,,b,0.5\n"),
        std::string("7,moor,,a,10\n7,hill,,b,0\n7,moor,,a,10.5\n7,hill,,b,0\n7,moor,,a,10\n7,hill,,b,0.5\n"),
        std::string("7,,wet,a,10\n7,,dry,b,0\n7,,wet,a,10.5\n7,,dry,b,0\n7,,wet,a,10\n7,,dry,b,0.5\n")})
    CHECK(said(rows) == "not judged, 0 alternations between \"a\" and \"b\" within one band, condition and place; two "
                        "or more are needed");
  CHECK(r.judged);
}

#include <catch2/catch.hpp>

#include <limits>

#include <stile/base/errors.hpp>
#include <stile/plots/frontier.hpp>
#include <stile/plots/study.hpp>

#include "plots/samples.hpp"

using namespace stile;
using namespace stile::plots;
using Catch::Matchers::Contains;

TEST_CASE("a study's chart names its axis, its lines and where the answer changes, and leaves out what is infinite") {
  const double infinite = std::numeric_limits<double>::infinity();
  const std::vector<StudyPanel> panels{
      {"40 m; between 4 m and 5 m: take coil, then take tuner",
       {{"coil", {4.0, 5.0, 6.0}, {10.0, infinite, 12.0}}, {"tuner", {4.0, 5.0, 6.0}, {11.0, 9.0, 8.0}}}},
      {"80 m", {{"nothing", {4.0, 5.0, 6.0}, {infinite, infinite, infinite}}}}};
  const samples::Folder folder;
  REQUIRE(samples::draw(study_chart(panels, "length, m", samples::text), {folder / "a.svg"}));
  const std::string svg = samples::content(folder / "a.svg");
  for (const char* part : {"length, m", "coil", "tuner", "then take tuner", "dB against full power", "sample source"})
    CHECK_THAT(svg, Contains(part));
  CHECK(svg.find("nothing") == std::string::npos);
  CHECK_THROWS_AS(study_chart({panels[1]}, "x", samples::text), DomainError);
  CHECK_THROWS_AS(study_chart({{"", {{"a", {1.0, 2.0}, {1.0}}}}}, "x", samples::text), DomainError);
}

TEST_CASE("a chart of costs names its axes and every arrangement, and joins what no other beats") {
  const std::vector<TradePanel> panels{
      {"40 m", {{"tuner", 0.2, 0.5, true}, {"coil", 0.3, 1.2, true}, {"both", 0.5, 0.4}}}};
  const samples::Folder folder;
  REQUIRE(samples::draw(trade_chart(panels, "mass, kg", "radiated, W", samples::text), {folder / "a.svg"}));
  const std::string svg = samples::content(folder / "a.svg");
  for (const char* part : {"40 m", "mass, kg", "radiated, W", "tuner", "coil", "both", "not beaten by any other"})
    CHECK_THAT(svg, Contains(part));
  const std::string script = trade_chart(panels, "mass, kg", "radiated, W", samples::text).script;
  CHECK_THAT(script, Contains("circle at first 0.2,0.5") && Contains("circle at first 0.3,1.2"));
  CHECK(script.find("circle at first 0.5,0.4") == std::string::npos);
  CHECK_THAT(script, Contains("set arrow from 0.2,0.5 to 0.3,0.5") && Contains("set arrow from 0.3,0.5 to 0.3,1.2"));
  // what is counted has whole ticks, from one to another and where all are equal
  for (const double most : {0.0, 2.0}) {
    const std::string counted =
        trade_chart({{"40 m", {{"tuner", 0.0, 0.5, true}, {"coil", most, 1.2}}}}, "moved", "W", samples::text).script;
    CHECK_THAT(counted, Contains("set xtics 1 "));
  }
  // one arrangement alone has no width
  REQUIRE(samples::draw(trade_chart({{"", {{"a", 0.0, 1.0, true}}}}, "x", "y", samples::text), {folder / "b.svg"}));
  CHECK_THROWS_AS(trade_chart({}, "x", "y", samples::text), DomainError);
  CHECK_THROWS_AS(trade_chart({{"", {}}}, "x", "y", samples::text), DomainError);
  CHECK_THROWS_AS(trade_chart({{"", {{"a", 0.0, 0.0}}}}, "x", "y", samples::text), DomainError);
}

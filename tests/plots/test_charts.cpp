#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/plots/page.hpp>

#include "plots/chart_measure.hpp"
#include "plots/samples.hpp"

using namespace stile;
using namespace stile::plots;
using Catch::Matchers::Contains;

namespace {

std::string svg_of(const Chart& chart) {
  const samples::Folder folder;
  const std::string file = folder / "chart.svg";
  REQUIRE(samples::draw(chart, {file}));
  return samples::content(file);
}

std::size_t count(const std::string& text, const std::string& part) {
  std::size_t n = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++n;
  return n;
}

}  // namespace

TEST_CASE("the reflection plane carries title, source, elements, loads and inputs") {
  const std::string svg = svg_of(samples::smith());
  for (const char* part :
       {"A whip at 7.1 MHz &amp; more &lt;sample", "sample source, version 1.2.3", "L1, series 22.4 uH",
        "C1, shunt 400 pF", "load, lifted / heather / wet", "input, lifted", "input, heather", "input, wet",
        "load 13.8-1058j ohm", "SWR 2 on 50 ohm", "+250j", "-1000j", "all in ohm"}) {
    CHECK_THAT(svg, Contains(part));
  }
}

TEST_CASE("loads whose marks lie on each other are magnified below the plane, each with its name") {
  const samples::Folder folder;
  const std::string file = folder / "chart.svg";
  REQUIRE(samples::draw(samples::smith(), {file}));
  chart_measure::check_chart(file);
  const std::string svg = samples::content(file);
  // In the whole plane they share a name; in the square each has its own, and the figures are those of its lines.
  for (const char* part :
       {">load, lifted / heather / wet<", ">load, lifted<", ">load, heather<", ">load, wet<", ">-900j<", ">20<"}) {
    INFO(part);
    CHECK(count(svg, part) == 1);
  }
  // 230 points show 1.2 times 0.0232, by which the reflections differ; in the plane 205 points show 1.
  CHECK_THAT(svg, Contains("magnified 40 times"));
  CHECK(count(svg, "input, lifted") == 1);  // not in the square

  const auto magnified = [](std::vector<cdouble> loads) {
    std::vector<SmithPath> paths;
    for (const cdouble z : loads) paths.push_back({std::to_string(paths.size()), z, {}});
    return svg_of(smith_chart(paths, {}, samples::text)).find("magnified") != std::string::npos;
  };
  CHECK_FALSE(magnified({{26.0, -975.0}}));                             // nothing to tell it from
  CHECK_FALSE(magnified({{26.0, -975.0}, {26.0, -975.0}}));             // no magnifier tells them apart
  CHECK_FALSE(magnified({{26.0, -975.0}, {50.0, 0.0}, {20.0, 30.0}}));  // told apart as they are
  CHECK(magnified({{26.0, -975.0}, {38.0, -843.0}, {50.0, 0.0}}));      // one elsewhere does not hinder
}

TEST_CASE("values that differ from condition to condition stand beside each other in the legend") {
  std::vector<SmithPath> paths;
  for (const double c : {300e-12, 390e-12}) {
    const network::Ladder ladder{{{"C1", network::Place::shunt, network::Capacitor{c}, {}}}};
    paths.push_back({c < 350e-12 ? "dry" : "wet", {30.0, 40.0}, match_path(ladder, 7.1e6, {30.0, 40.0})});
  }
  const std::string svg = svg_of(smith_chart(paths, {75.0, 1.5}, samples::text));
  CHECK_THAT(svg, Contains("C1, shunt 300 pF / 390 pF"));
  CHECK_THAT(svg, Contains("SWR 1.5 on 75 ohm"));
  CHECK_THAT(svg, Contains("+375j"));  // five times the reference
}

TEST_CASE("many conditions go by letters that the list explains") {
  std::vector<SmithPath> paths;
  for (int i = 0; i < 5; ++i) paths.push_back({"state " + std::to_string(i), {20.0 + 40.0 * i, 10.0}, {}});
  const std::string svg = svg_of(smith_chart(paths, {}, samples::text));
  CHECK_THAT(svg, Contains("load, E") && Contains("E  state 4: load 180+10j ohm, SWR") && !Contains("load, state 4"));
  CHECK_THROWS_AS(smith_chart(std::vector<SmithPath>(27, paths[0]), {}, samples::text), DomainError);
}

TEST_CASE("a load alone and one on the rim can be drawn") {
  CHECK_THAT(svg_of(smith_chart({{"", {0.0, -300.0}, {}}}, {}, samples::text)), Contains("SWR infinite"));
  // An exact match, but for the rounding of the sums that lead to it.
  CHECK_THAT(svg_of(smith_chart({{"", {20.0, -100.0}, {{"L", {{20.0, -100.0}, {50.0, -5e-15}}}}}}, {}, samples::text)),
             Contains("input 50 ohm"));
}

TEST_CASE("figures of the reflection plane give way to marks and lines") {
  const samples::Folder folder;
  const std::string file = folder / "chart.svg";
  // Inputs around the middle, and one below the middle line's figures of 10 and 25 ohm.
  std::vector<SmithPath> paths;
  const std::vector<cdouble> inputs{{50.0, 0.0}, {47.0, -4.0}, {53.0, 4.0}, {47.0, 4.0}, {24.0, -2.0}, {9.6, -1.0}};
  for (std::size_t n = 0; n < inputs.size(); ++n)
    paths.push_back({"state", {20.0, -100.0}, {{"L", {{20.0, -100.0}, inputs[n]}}}});
  REQUIRE(samples::draw(smith_chart(paths, {}, samples::text), {file}));
  chart_measure::check_strikes(file);
  chart_measure::check_labels(file);
  CHECK_THAT(samples::content(file), Contains(">50<") && Contains(">25<") && Contains(">10<"));
}

TEST_CASE("a path is named on its line where neither its load nor its input tells it") {
  const auto named = [](cdouble dry_input, const std::string& name) {
    const std::vector<SmithPath> paths{{"dry", {20.0, -100.0}, {{"L", {{20.0, -100.0}, {30.0, 0.0}, dry_input}}}},
                                       {"wet", {20.0, -100.0}, {{"L", {{20.0, -100.0}, {30.0, -60.0}, {50.0, 0.0}}}}}};
    return count(svg_of(smith_chart(paths, {}, samples::text)), ">" + name + "<");
  };
  CHECK(named({50.0, 0.0}, "dry") == 1);
  CHECK(named({50.0, 0.0}, "wet") == 1);
  CHECK(named({80.0, 0.0}, "dry") == 0);  // "input, dry"
  CHECK(named({80.0, 0.0}, "wet") == 0);
}

TEST_CASE("the budget prints what is radiated in watts and decibels") {
  const std::string svg = svg_of(samples::budget(2));
  // 0.42 W of 5 W: 10 log10(0.084) = -10.757 dB.
  CHECK(count(svg, "0.42 W, -10.8 dB") == 2);
  CHECK(count(svg, ">0 W<") == 2);
  for (const char* part :
       {"coil at the base", "tuner behind a cable", "band 0", "band 1", "power, W", "radiated", "ground",
        "network: coils", "held back by the transmitter", "sample source, version 1.2.3"}) {
    CHECK_THAT(svg, Contains(part));
  }
  CHECK_THAT(svg, !Contains("whip and wire metal"));  // nobody loses there, so the legend does not ask to look for it
}

TEST_CASE("a person and what is put into the wires have places of their own in the budget") {
  const std::string svg = svg_of(budget_chart(
      {{"band", {{"bar", {{"radiated", 1.0}, {"person", 0.5}, {"chokes and wet base", 0.25}}}}}}, samples::text));
  CHECK_THAT(svg, Contains(">person<") && Contains("chokes in the wires, wet base"));
}

TEST_CASE("shares of one place add and the order given does not matter") {
  const auto chart = [](std::vector<BudgetShare> shares) {
    return budget_chart({{"band", {{"bar", std::move(shares)}}}}, samples::text).script;
  };
  CHECK(chart({{"network", 1.0}, {"radiated", 3.0}, {"network", 1.0}}) == chart({{"radiated", 3.0}, {"network", 2.0}}));
}

TEST_CASE("SWR panels carry the limit and say what arrows mean") {
  const std::string svg = svg_of(samples::swr(2));
  CHECK(count(svg, "limit 2<") == 2);
  for (const char* part :
       {"heather", "wet", "frequency, MHz", "band 1",
        "Arrows at the top edge: SWR above 10; in each group, from left to right, in the order of the list."}) {
    CHECK_THAT(svg, Contains(part));
  }
  const std::string low = svg_of(swr_chart({{"band", {{"heather", {7e6, 7.2e6}, {1.0, 10.0}}}}}, 12.0, samples::text));
  CHECK_THAT(low, !Contains("Arrows"));
  CHECK_THAT(low, Contains("SWR 12, lies above the scale"));
}

TEST_CASE("one frequency and one panel are enough") {
  CHECK_THAT(svg_of(swr_chart({{"", {{"", {7.1e6}, {1.5}}}}}, 2.0, {})), Contains("limit 2"));
}

TEST_CASE("texts cannot break out of the script") {
  const std::string bad = "a'b\nset output \"x\" `date` %s {/Bold x} _^\\n";
  const std::string svg = svg_of(budget_chart({{bad, {{bad, {{"radiated", 1.0}}}}}}, {bad, bad}));
  CHECK(count(svg, "set output") == 4);
  CHECK_THAT(svg, Contains("`date` %s {/Bold x} _^\\n"));
}

TEST_CASE("values outside their range are refused") {
  const ChartText& t = samples::text;
  CHECK_THROWS_AS(smith_chart({}, {}, t), DomainError);
  CHECK_THROWS_AS(smith_chart({{"", {-1.0, 0.0}, {}}}, {}, t), DomainError);
  CHECK_THROWS_AS(smith_chart({{"", 50.0, {}}}, {0.0, 2.0}, t), DomainError);
  CHECK_THROWS_AS(smith_chart({{"", 50.0, {}}}, {50.0, 1.0}, t), DomainError);
  CHECK_THROWS_AS(smith_chart({{"", 50.0, {{"L", {50.0}}}}}, {}, t), DomainError);
  CHECK_THROWS_AS(budget_chart({}, t), DomainError);
  CHECK_THROWS_AS(budget_chart({{"", {}}}, t), DomainError);
  CHECK_THROWS_AS(budget_chart({{"", {{"", {{"radiated", 0.0}}}}}}, t), DomainError);
  CHECK_THROWS_AS(budget_chart({{"", {{"", {{"radiated", -1.0}}}}}}, t), DomainError);
  CHECK_THROWS_WITH(budget_chart({{"", {{"", {{"heat", 1.0}}}}}}, t), Contains("\"heat\"") && Contains("whip metal"));
  CHECK_THROWS_AS(swr_chart({}, 2.0, t), DomainError);
  CHECK_THROWS_AS(swr_chart({{"", {{"", {7e6}, {1.0}}}}}, 1.0, t), DomainError);
  CHECK_THROWS_AS(swr_chart({{"", {{"", {7e6}, {0.9}}}}}, 2.0, t), DomainError);
  CHECK_THROWS_AS(swr_chart({{"", {{"", {7e6, 6e6}, {1.0, 1.0}}}}}, 2.0, t), DomainError);
  CHECK_THROWS_AS(swr_chart({{"", {{"", {7e6, 8e6}, {1.0}}}}}, 2.0, t), DomainError);
}

TEST_CASE("wrapped text keeps its words and its width") {
  using detail::text_width_pt;
  using detail::wrapped;
  const std::string words = "an arrangement with a long name of many words";
  std::string joined;
  for (const std::string& line : wrapped(words, 7.0, 60.0)) {
    CHECK(text_width_pt(line, 7.0) <= 60.0);
    joined += (joined.empty() ? "" : " ") + line;
  }
  CHECK(joined == words);
  std::string long_word;
  for (int i = 0; i < 60; ++i) long_word += "ä";
  std::string rejoined;
  for (const std::string& line : wrapped(long_word, 7.0, 60.0)) {
    CHECK(line.size() % 2 == 0);  // never in the middle of a character
    rejoined += line;
  }
  CHECK(rejoined == long_word);
  const double room = text_width_pt("ab cd ef 64", 7.0);
  CHECK(wrapped("ab cd ef 64 mm long", 7.0, room) == std::vector<std::string>{"ab cd ef", "64 mm", "long"});
  CHECK(wrapped("ab cd ef 64 turns", 7.0, room) == std::vector<std::string>{"ab cd ef 64", "turns"});
  CHECK(wrapped("", 7.0, 60.0) == std::vector<std::string>{""});
}

TEST_CASE("steps of an axis are even and shown with the decimals they need") {
  CHECK(detail::even_step(0.08) == Approx(0.05));
  CHECK(detail::even_step(0.02) == Approx(0.02));
  CHECK(detail::even_step(1.9) == Approx(1.0));
  CHECK(detail::even_step(600.0) == Approx(500.0));
  CHECK(detail::step_decimals(0.05) == 2);
  CHECK(detail::step_decimals(0.1) == 1);
  CHECK(detail::step_decimals(1.0) == 0);
  CHECK(detail::step_decimals(20.0) == 0);
}

TEST_CASE("sixteen lines differ in colour or dash or mark") {
  for (std::size_t i = 0; i < 16; ++i) {
    for (std::size_t k = 0; k < i; ++k) {
      CHECK(detail::line_options(detail::line_style(i)) != detail::line_options(detail::line_style(k)));
    }
  }
  // Blue, vermilion and green are of one grey: where a dash comes twice, one of the two is black.
  for (std::size_t i = 0; i < 8; ++i) {
    for (std::size_t k = 0; k < i; ++k) {
      const detail::LineStyle one = detail::line_style(i), two = detail::line_style(k);
      if (std::string(one.dash) != two.dash) continue;
      INFO(k << " and " << i);
      CHECK((std::string(one.colour) == "#000000") != (std::string(two.colour) == "#000000"));
    }
  }
}

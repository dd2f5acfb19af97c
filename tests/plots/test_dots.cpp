#include <algorithm>
#include <catch2/catch.hpp>
#include <regex>

#include <stile/base/errors.hpp>
#include <stile/plots/dots.hpp>

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

const std::vector<DotSeries> two{{"tuner", {{0, -20.0, {-22.0, -19.0}}, {1, -10.0, {-11.0, -10.0}}}},
                                 {"coil", {{1, -5.0, {-5.0, -5.0}}}}};

}  // namespace

TEST_CASE("dots stand in their categories with the axis that fits them") {
  const std::string svg =
      svg_of(dots_chart({"80 m", "40 m"}, two, {"radiated, dB", false, true}, samples::text, {"Bars."}));
  for (const char* part :
       {">80 m<", ">40 m<", ">tuner<", ">coil<", ">-20<", ">0<", "radiated, dB", "Bars.", "sample source"})
    CHECK_THAT(svg, Contains(part));
  const std::string ratios =
      svg_of(dots_chart({"head"}, {{"", {{0, 3.0, {3.0, 3.0}}}}}, {"ratio", true, false, {1.0}}, samples::text, {}));
  CHECK_THAT(ratios, Contains(">1<") && Contains(">10<") && !Contains(">0<"));
}

TEST_CASE("dots of one value have an axis all the same") {
  for (const double value : {0.0, 3.0, -12.5}) {
    for (const bool from_zero : {false, true}) {
      const std::string svg = svg_of(dots_chart({"40 m"}, {{"straight", {{0, value, {value, value}}}}},
                                                {"dB", false, from_zero}, samples::text, {}));
      // Texts of the vertical axis: they end where they stand, and are numbers.
      const std::regex tick(R"(text-anchor="end"[^>]*>\s*<text>(-?[0-9.]+)</text>)");
      std::vector<double> ticks;
      for (std::sregex_iterator at(svg.begin(), svg.end(), tick), end; at != end; ++at)
        ticks.push_back(std::stod((*at)[1]));
      INFO(value << (from_zero ? " from zero: " : ": ") << ticks.size() << " ticks");
      REQUIRE(ticks.size() >= 2);
      const auto [low, high] = std::minmax_element(ticks.begin(), ticks.end());
      CHECK(*low < *high);
      CHECK(*low <= value);
      CHECK(*high >= value);
      if (from_zero) CHECK(*low * *high <= 0.0);
    }
  }
}

TEST_CASE("a chart of dots refuses what cannot be drawn") {
  const DotAxis axis{"y"}, logarithmic{"y", true};
  CHECK_THROWS_AS(dots_chart({}, two, axis, samples::text, {}), DomainError);
  CHECK_THROWS_AS(dots_chart({"one"}, two, axis, samples::text, {}), DomainError);
  CHECK_THROWS_AS(dots_chart({"a", "b"}, two, logarithmic, samples::text, {}), DomainError);
  CHECK_THROWS_AS(dots_chart({"a"}, {{"", {}}}, axis, samples::text, {}), DomainError);
  CHECK_THROWS_AS(dots_chart({"a"}, {{"", {{0, 1.0, {2.0, 3.0}}}}}, axis, samples::text, {}), DomainError);
}

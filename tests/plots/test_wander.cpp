#include <catch2/catch.hpp>

#include <cmath>
#include <limits>
#include <regex>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/plots/wander.hpp>

#include "plots/samples.hpp"

using namespace stile;
using namespace stile::plots;
using Catch::Matchers::Contains;

namespace {

std::vector<cdouble> circle(cdouble centre_ohm, double radius_ohm) {
  std::vector<cdouble> points;
  for (int n = 0; n <= 60; ++n) points.push_back(centre_ohm + std::polar(radius_ohm, two_pi * n / 60.0));
  return points;
}

const std::vector<WanderPanel> panels{
    {"40 m",
     {{"lifted", {14.0, -1058.0}}, {"in wet peat", {38.0, -843.0}}},
     {{"coil", {circle({20.0, -1050.0}, 15.0)}},
      {"tuner", {circle({20.0, -1050.0}, 9.0), circle({40.0, -840.0}, 30.0)}}},
     {{14.0, -1064.0}}},
    {"20 m", {{"lifted", {20.0, -100.0}}}, {{"tuner", {circle({30.0, -100.0}, 40.0)}}}, {}}};

}  // namespace

TEST_CASE("a chart of loads names every condition, arrangement and band") {
  const samples::Folder folder;
  REQUIRE(samples::draw(wander_chart(panels, samples::text), {folder / "a.svg"}));
  const std::string svg = samples::content(folder / "a.svg");
  for (const char* part : {"40 m", "20 m", "lifted", "in wet peat", "edge of coil", "edge of tuner",
                           "load in a condition", "resistance, ohm", "reactance, ohm", "sample source"})
    CHECK_THAT(svg, Contains(part));
}

TEST_CASE("an ohm is as long upwards as to the right, all loads are in the frame and no R below 0") {
  const std::string script = wander_chart(panels, samples::text).script;
  const std::regex ranges("set xrange \\[(.*):(.*)\\]\\nset yrange \\[(.*):(.*)\\]");
  const std::vector<std::vector<cdouble>> in_sight{{{14.0, -1058.0}, {38.0, -843.0}, {14.0, -1064.0}},
                                                   {{20.0, -100.0}}};
  double shape = 0.0;
  std::size_t found = 0;
  for (std::sregex_iterator m(script.begin(), script.end(), ranges); found < 2 && m != std::sregex_iterator(); ++m) {
    const double r_low = std::stod((*m)[1]), r_high = std::stod((*m)[2]), x_low = std::stod((*m)[3]),
                 x_high = std::stod((*m)[4]);
    const double own = (r_high - r_low) / (x_high - x_low);
    if (found > 0) CHECK(own == Approx(shape).epsilon(1e-6));  // frames are equal, so are their shapes in ohms
    shape = own;
    CHECK(r_low >= -1e-9);
    for (const cdouble z : in_sight[found]) {
      CHECK(z.real() > r_low);
      CHECK(z.real() < r_high);
      CHECK(z.imag() > x_low);
      CHECK(z.imag() < x_high);
    }
    ++found;
  }
  CHECK(found == 2);
}

TEST_CASE("a chart of loads refuses what it cannot draw") {
  const double infinite = std::numeric_limits<double>::infinity();
  CHECK_THROWS_AS(wander_chart({}, samples::text), DomainError);
  CHECK_THROWS_AS(wander_chart({{"40 m", {}, {}, {}}}, samples::text), DomainError);
  CHECK_THROWS_AS(wander_chart({{"40 m", {{"a", {1.0, infinite}}}, {}, {}}}, samples::text), DomainError);
  CHECK_THROWS_AS(wander_chart({{"40 m", {{"a", 1.0}}, {{"b", {{{infinite, 0.0}}}}}, {}}}, samples::text), DomainError);
}

// One-port files written and read back.

#include <cmath>
#include <limits>
#include <random>
#include <string>
#include <vector>

#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/load/touchstone_write.hpp>

using namespace stile;
using namespace stile::load;

TEST_CASE("written impedances come back to the last bit") {
  std::mt19937_64 random(20240701);
  const auto unit = [&] { return static_cast<double>(random() >> 11U) * 0x1p-53; };
  const auto any = [&] { return (random() & 1U ? 1.0 : -1.0) * std::pow(10.0, 12.0 * unit() - 6.0); };
  std::size_t checked = 0;
  for (const double reference : {50.0, 75.0, 1.0, 33.3, 0.1, 1234.5678, 3e-7}) {
    std::vector<OnePortPoint> points;
    double f = 0.0;
    for (int i = 0; i < 3000; ++i) points.push_back({f += unit() * 1e5 + 1e-3, {std::abs(any()), any()}});
    points.push_back({f + 1.0, {0.0, -0.0}});
    const std::string text = write_touchstone_1port(points, {TouchstoneKind::z, reference}, {"computed", "a\tb"});
    CHECK(text.starts_with("! computed\n! a\tb\n# Hz Z RI R "));
    const auto file = read_touchstone(text, "a.s1p");
    REQUIRE(file.points.size() == points.size());
    CHECK(file.warnings.empty());
    CHECK(file.reference_ohm == std::vector<double>{reference});
    for (std::size_t i = 0; i < points.size(); ++i)
      if (file.points[i].frequency_hz == points[i].frequency_hz && file.points[i].matrix[0] == points[i].z_ohm)
        ++checked;
  }
  CHECK(checked == 7 * 3001);
}

TEST_CASE("written reflection coefficients come back to the last bit") {
  const std::vector<OnePortPoint> points{{1.8e6, {8.0, -900.0}}, {7.1e6, {50.0, 0.0}}, {14.2e6, {0.0, 0.0}}};
  const std::string text = write_touchstone_1port(points, {TouchstoneKind::s, 50.0});
  const auto file = read_touchstone(text, "a.s1p");
  REQUIRE(file.points.size() == 3);
  CHECK(file.points[0].matrix[0] == (points[0].z_ohm - 50.0) / (points[0].z_ohm + 50.0));
  CHECK(file.points[1].matrix[0] == 0.0);
  CHECK(file.points[2].matrix[0] == -1.0);
  CHECK(text.find("7100000 0 0\n") != std::string::npos);
}

TEST_CASE("the writer refuses what its reader would") {
  const std::vector<OnePortPoint> good{{1.0, 50.0}};
  CHECK_THROWS_AS(write_touchstone_1port({}, {}), DomainError);
  CHECK_THROWS_AS(write_touchstone_1port({{1.0, 50.0}, {1.0, 50.0}}, {}), DomainError);
  CHECK_THROWS_AS(write_touchstone_1port({{-1.0, 50.0}}, {}), DomainError);
  CHECK_THROWS_AS(write_touchstone_1port({{1.0, std::numeric_limits<double>::quiet_NaN()}}, {}), DomainError);
  CHECK_THROWS_AS(write_touchstone_1port({{1.0, -50.0}}, {TouchstoneKind::s, 50.0}), DomainError);
  CHECK_THROWS_AS(write_touchstone_1port(good, {TouchstoneKind::y, 50.0}), DomainError);
  CHECK_THROWS_AS(write_touchstone_1port(good, {TouchstoneKind::z, 0.0}), DomainError);
  CHECK_THROWS_AS(write_touchstone_1port(good, {}, {"two\nlines"}), DomainError);
  CHECK_THROWS_AS(write_touchstone_1port(good, {}, {"50 \xCE\xA9"}), DomainError);
}

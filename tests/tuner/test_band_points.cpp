#include <cmath>

#include <catch2/catch.hpp>

#include <stile/tuner/band_points.hpp>

#include <stile/base/errors.hpp>

using namespace stile;
using namespace stile::tuner;

TEST_CASE("a band has even steps with both ends, and a name of its own where none is given") {
  const BandPoints band = band_points("", 7e6, 7.2e6, 5);
  CHECK(band.name == "7 MHz to 7.2 MHz");
  CHECK(band.middle_hz == 7.1e6);
  REQUIRE(band.frequency_hz.size() == 5);
  CHECK(band.frequency_hz.front() == 7e6);
  CHECK(band.frequency_hz[1] == 7.05e6);
  CHECK(band.frequency_hz.back() == 7.2e6);
  CHECK(band_points("40 m", 7e6, 7.2e6, 2).name == "40 m");
  CHECK(one_frequency(7.1e6).name == "7.1 MHz");
  CHECK(one_frequency(7.123456e6).name == "7.123456 MHz");  // to the Hz
  CHECK(one_frequency(7.1e6).frequency_hz == std::vector{7.1e6});
  CHECK_THROWS_AS(band_points("", 7e6, 7e6, 5), DomainError);
  CHECK_THROWS_AS(band_points("", 7e6, 7.2e6, 1), DomainError);
  CHECK_THROWS_AS(one_frequency(0.0), DomainError);
}

TEST_CASE("a sweep gives its own samples as long as they are not too many") {
  std::vector<double> frequency_hz;
  std::vector<cdouble> z_ohm;
  for (int n = 0; n < 6; ++n) {
    frequency_hz.push_back(7e6 + 1e4 * n * n);
    z_ohm.push_back({20.0, -30.0});
  }
  const load::Load load{"", "", load::make_sampled_load(frequency_hz, z_ohm), {}};
  const auto own = sampled_bands(load, 6, 3);
  REQUIRE(own.size() == 1);
  CHECK(own[0].frequency_hz == frequency_hz);
  CHECK(own[0].middle_hz == 7.125e6);
  CHECK(sampled_bands(load, 5, 3)[0].frequency_hz == std::vector{7e6, 7.125e6, 7.25e6});
  CHECK(sampled_bands({"", "", load::ConstantLoad{50.0}, {}}, 6, 3).empty());
}

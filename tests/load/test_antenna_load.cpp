#include <algorithm>
#include <cmath>

#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/load/antenna_load.hpp>
#include <stile/wire/far_field.hpp>

using namespace stile;
using namespace stile::load;

namespace {

/// The whip of examples/moor/whip.toml with its wire lifted, and trailing 0.1 m above medium dry ground.
wire::Antenna whip(bool lifted) {
  wire::Antenna a;
  a.wires.push_back({"whip", {{0, 0, 1.2}, {0, 0, 4.2}}, 0.0015, 1.4e6, 1.0, {}});
  a.wires.push_back({"wire", {{0, 0, 1.2}, {1.2, 0, 0.1}, {7.072, 0, 0.1}}, 0.0005, 5.8e7, 1.0, {}});
  if (lifted) a.wires[1].points = {{0, 0, 1.2}, {7.5, 0, 1.2}};
  a.feed.gap_m = 0.02;
  return a;
}

const wire::Ground ground = wire::lossy_ground(15.0, 1e-3);
const std::vector<Range> bands{{3.5e6, 3.8e6},    {7.0e6, 7.2e6},    {10.1e6, 10.15e6},
                               {14.0e6, 14.35e6}, {21.0e6, 21.45e6}, {28.0e6, 28.7e6}};

}  // namespace

TEST_CASE("each range is sampled from end to end in steps of at most a quarter of a percent and at least five points") {
  const std::vector<double> all = antenna_frequencies({{3.5e6, 3.8e6}, {10.1e6, 10.15e6}});
  REQUIRE(all.size() == 36 + 5);  // 8.6 % in 35 steps; 0.5 % in four
  CHECK(all.front() == 3.5e6);
  CHECK(all[35] == 3.8e6);
  CHECK(all[36] == 10.1e6);
  CHECK(all.back() == 10.15e6);
  for (std::size_t n = 1; n < 36; ++n) CHECK(all[n] / all[n - 1] <= 1.0025);
  CHECK(antenna_frequencies({{7e6, 7.2e6}, {7e6, 7.2e6}}).size() == 13);
  CHECK(antenna_frequencies({{7.1e6, 7.1e6}, {3.6e6, 3.6e6}}) == std::vector<double>{3.6e6, 7.1e6});
  CHECK_THROWS_WITH(
      antenna_frequencies({{1.0, 300e6}}),
      "1 Hz to 300 MHz in steps of 0.25 % of the lower end takes an antenna to more than 8000 frequencies; "
      "legal: narrower bands");
  CHECK(antenna_frequencies({{1e6, 20.98e6}}).size() == 7993);
  CHECK_THROWS_AS(antenna_frequencies({{1e6, 21e6}}), DomainError);
}

TEST_CASE("a sampled antenna is within what is stated of solving every frequency") {
  for (const bool lifted : {false, true}) {
    const wire::Antenna antenna = whip(lifted);
    wire::SolveOptions options = wire::with_tables({});
    const Load load = antenna_load("whip", "test", antenna, ground, bands, options);
    CHECK(options.tables->size() <= 12 * bands.size());  // solves: a table each
    options.every_point = true;
    double worst = 0.0, worst_share = 0.0;
    for (const Range& band_hz : bands) {  // the lifted wire is half a wave near the fifth
      const std::vector<double> samples = antenna_frequencies({band_hz});
      std::vector<double> all{band_hz.high};  // the highest sets the cells
      for (std::size_t n = 1; n < samples.size(); ++n) {
        for (const double share : {0.3, 0.5, 1.0}) all.push_back(std::lerp(samples[n - 1], samples[n], share));
      }
      for (const wire::AntennaSolution& s : wire::sweep_antenna(antenna, ground, all, options)) {
        const cdouble z_ohm = load_impedance(load, s.frequency_hz);
        worst = std::max(worst, std::abs(z_ohm - s.feed_ohm) / std::abs(s.feed_ohm));
        const auto shares = load_shares(load, s.frequency_hz);
        REQUIRE(shares);
        worst_share = std::max(
            {worst_share, std::abs(shares->radiated - s.share.radiated), std::abs(shares->metal - s.share.metal)});
      }
    }
    INFO("lifted " << lifted << ": impedance " << worst << ", shares " << worst_share);
    CHECK(worst <= 1e-4);
    CHECK(worst_share <= 1e-4);
  }
}

TEST_CASE("samples are the solver's own and gaps between bands stay gaps") {
  const wire::Antenna antenna = whip(false);
  const Load load = antenna_load("whip", "test", antenna, ground, {{7.0e6, 7.2e6}, {7.8e6, 7.9e6}});
  const wire::AntennaSolution s = wire::solve_antenna(antenna, ground, 7.0e6);
  CHECK(load_impedance(load, 7.0e6) == s.feed_ohm);
  const auto shares = load_shares(load, 7.0e6);
  REQUIRE(shares);
  CHECK(std::abs(shares->radiated - s.share.radiated) <= 1e-12);
  CHECK(std::abs(shares->ground - s.share.ground) <= 1e-12);
  CHECK(load_covers(load, 7.2e6));
  CHECK(!load_covers(load, 7.5e6));
  CHECK(load_ranges(load).size() == 2);
  CHECK(load.reading_warnings.empty());
}

TEST_CASE("the heat of a loading coil counts as metal") {
  wire::Antenna antenna = whip(false);
  antenna.coils.push_back({0, 1.5, 0.02, 20e-6, 200.0, 0.0});
  const wire::AntennaSolution s = wire::solve_antenna(antenna, ground, 7.0e6);
  const auto shares = load_shares(antenna_load("whip", "test", antenna, ground, {{7.0e6, 7.2e6}}), 7.0e6);
  REQUIRE(s.share.coil > 0.01);
  CHECK(std::abs(shares->metal - (s.share.metal + s.share.coil)) <= 1e-12);
  CHECK(std::abs(shares->coils - s.share.coil) <= 1e-12);
}

TEST_CASE("a path's gain is the mean gain into its elevations, in the ranges that state one") {
  const wire::Antenna antenna = whip(false);
  const std::vector<Range> ranges{{7.0e6, 7.2e6}, {14.0e6, 14.2e6}, {14.1e6, 14.35e6}};
  const Load load =
      antenna_load("whip", "test", antenna, ground, ranges, {}, 1, {}, {{}, Range{5.0, 20.0}, Range{60.0, 80.0}});
  CHECK_FALSE(load_path_gain(load, 7.1e6));
  const auto expected = [&](double f, double low_deg, double high_deg) {
    constexpr double degree = 3.14159265358979323846 / 180.0;
    return wire::mean_gain(wire::solve_antenna(antenna, ground, f), low_deg * degree, high_deg * degree);
  };
  // At an end of a range the solver's own; where two ranges hold a frequency the first counts.
  CHECK(std::abs(load_path_gain(load, 14.0e6).value() / expected(14.0e6, 5.0, 20.0) - 1.0) <= 1e-3);
  CHECK(std::abs(load_path_gain(load, 14.2e6).value() / expected(14.2e6, 5.0, 20.0) - 1.0) <= 1e-3);
  CHECK(std::abs(load_path_gain(load, 14.35e6).value() / expected(14.35e6, 60.0, 80.0) - 1.0) <= 1e-3);
  CHECK_THROWS_AS(antenna_load("whip", "test", antenna, ground, ranges, {}, 1, {}, {Range{5.0, 20.0}}), DomainError);
}

TEST_CASE("a person and lumps have their own shares of a load") {
  wire::Antenna antenna = whip(false);
  antenna.lumps.push_back({1, 0.5, 20.0, 0.0});  // 20 ohm in the trailing wire
  antenna.wires.push_back({"by-stander", {{0, 1, 0.4}, {0, 1, 1.8}}, 0.1, 0.6, 1.0, {}, true});
  const wire::AntennaSolution s = wire::solve_antenna(antenna, ground, 7.0e6);
  const auto shares = load_shares(antenna_load("whip", "test", antenna, ground, {{7.0e6, 7.2e6}}), 7.0e6);
  REQUIRE(shares);
  REQUIRE(s.share.person > 1e-4);
  REQUIRE(s.share.lump > 0.01);
  CHECK(std::abs(shares->person - s.share.person) <= 1e-12);
  CHECK(std::abs(shares->lumps - s.share.lump) <= 1e-12);
  CHECK(std::abs(shares->metal - s.share.metal) <= 1e-12);
  CHECK(std::abs(shares->radiated + shares->metal + shares->ground + shares->person + shares->lumps - 1.0) <= 1e-15);
}

TEST_CASE("the load does not depend on the number of threads and reports each solution") {
  const wire::Antenna antenna = whip(false);
  std::size_t calls = 0;
  const Load one =
      antenna_load("whip", "test", antenna, ground, {{7.0e6, 7.2e6}}, {}, 1, [&](std::size_t, std::size_t total) {
        CHECK(total == 13);
        ++calls;
      });
  const Load three = antenna_load("whip", "test", antenna, ground, {{7.0e6, 7.2e6}}, {}, 3);
  CHECK(calls == 13);
  for (const double f : antenna_frequencies({{7.0e6, 7.2e6}}))
    CHECK(load_impedance(one, f) == load_impedance(three, f));
}

TEST_CASE("cautions of the solver become warnings of the load and wrong ranges are refused") {
  wire::Antenna thick = whip(false);
  thick.wires[0].radius_m = 0.12;
  thick.feed.gap_m = 0.3;
  thick.wires[1].points = {{0, 0, 1.2}, {7.5, 0, 1.2}};
  const Load load = antenna_load("whip", "test", thick, ground, {{28.0e6, 28.7e6}});
  REQUIRE(load.reading_warnings.size() >= 1);
  CHECK(load.reading_warnings.front().find("whip") != std::string::npos);
  CHECK_THROWS_AS(antenna_frequencies({}), DomainError);
  CHECK_THROWS_AS(antenna_frequencies({{7.2e6, 7.0e6}}), DomainError);
  CHECK_THROWS_AS(antenna_frequencies({{0.0, 7.0e6}}), DomainError);
}

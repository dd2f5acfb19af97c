#include <catch2/catch.hpp>

#include <limits>

#include <stile/base/errors.hpp>
#include <stile/plots/design.hpp>

#include "plots/samples.hpp"

using namespace stile;
using namespace stile::plots;
using Catch::Matchers::Contains;

TEST_CASE("a map of lengths marks the best, 0.5 dB around it and where fewer bands hold") {
  design::LengthMap map;
  map.whip_m = {2.0, 3.0, 4.0};
  map.wire_m = {1.0, 3.0, 5.0};
  map.objective_db = {14.0, 13.0, 12.0, 12.0, 10.0, 12.0, 13.0, 12.5, std::numeric_limits<double>::infinity()};
  map.held_bands = {1, 1, 2, 2, 2, 2, 2, 2, 0};
  map.best_whip_m = 3.0, map.best_wire_m = 3.0, map.best_db = 10.0, map.best_held = 2;
  const samples::Folder folder;
  REQUIRE(samples::draw(lengths_map_chart(map, true, samples::text), {folder / "a.svg"}));
  const std::string svg = samples::content(folder / "a.svg");
  for (const char* part : {"whip, m", "trailing wire, m", "dB more than the best", "best: 10.00 dB, whip 3 m, wire 3 m",
                           "0.5 dB more than the best", "as many bands hold", "every 1 m of whip and 2 m of wire"})
    CHECK_THAT(svg, Contains(part));
  REQUIRE(samples::draw(lengths_map_chart(map, false, samples::text), {folder / "b.svg"}));
  CHECK_THAT(samples::content(folder / "b.svg"), !Contains("as many bands hold"));
  design::LengthMap bad = map;
  bad.objective_db.pop_back();
  CHECK_THROWS_AS(lengths_map_chart(bad, true, samples::text), DomainError);
  bad = map;
  bad.whip_m = {2.0, 3.5, 4.0};
  CHECK_THROWS_AS(lengths_map_chart(bad, true, samples::text), DomainError);
}

TEST_CASE("power on bands has a mark for each station and a bar for its walks") {
  const std::vector<BandPower> stations{{"coil", {0.5, 0.1}, {Range{0.1, 0.3}, std::nullopt}},
                                        {"today: tuner", {0.2, 0.0}, {}}};
  const samples::Folder folder;
  REQUIRE(samples::draw(band_power_chart({"40 m", "20 m"}, stations, "radiated power, W", samples::text),
                        {folder / "a.svg"}));
  const std::string svg = samples::content(folder / "a.svg");
  for (const char* part : {"40 m", "20 m", "radiated power, W", "coil", "today: tuner", "what nine of ten reach"})
    CHECK_THAT(svg, Contains(part));
  REQUIRE(samples::draw(band_power_chart({"40 m", "20 m"}, {stations[1]}, "radiated power, W", samples::text),
                        {folder / "b.svg"}));
  CHECK_THAT(samples::content(folder / "b.svg"), !Contains("what nine of ten reach"));
  CHECK_THROWS_AS(band_power_chart({"40 m"}, stations, "W", samples::text), DomainError);
  CHECK_THROWS_AS(band_power_chart({"40 m"}, {{"a", {0.0}, {}}}, "W", samples::text), DomainError);
}

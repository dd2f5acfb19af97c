#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/match/setting_space.hpp>

using namespace stile;
using namespace stile::match;
using network::Place;

TEST_CASE("L networks are the straight connection, one part and two parts in both orientations, of one list") {
  const SettingSpace space = l_network_space({7e6, 7.1e6}, {}, Moves::tap);
  CHECK(space.frequency_hz == std::vector<double>{7e6, 7.1e6});
  CHECK(space.moves == Moves::tap);
  REQUIRE(space.lists.size() == 1);
  CHECK(space.lists[0].ranges.size() == 2);  // coils and capacitors of any value
  REQUIRE(space.circuits.size() == 5);
  CHECK(space.circuits[0].empty());
  CHECK(space.circuits[1].size() == 1);
  CHECK(space.circuits[2].size() == 1);
  CHECK(space.circuits[1][0].place != space.circuits[2][0].place);
  REQUIRE(space.circuits[3].size() == 2);
  REQUIRE(space.circuits[4].size() == 2);
  CHECK(space.circuits[3][0].place == space.circuits[4][1].place);
  CHECK(space.circuits[3][1].place == space.circuits[4][0].place);
}

TEST_CASE("a space of settings refuses what is out of range") {
  const SettingSpace good = l_network_space({7.1e6}, {});
  CHECK(prepare_space(good).tables != nullptr);
  SettingSpace space = good;
  space.circuits = {{{Place::cascade, 0}}};
  CHECK_THROWS_WITH(prepare_space(space), Catch::Contains("in series or in shunt"));
  space.circuits = {{{Place::series, 3}}};
  CHECK_THROWS_WITH(prepare_space(space), Catch::Contains("not there"));
  space.circuits.clear();
  CHECK_THROWS_AS(prepare_space(space), DomainError);
  space = good;
  space.frequency_hz = {0.0};
  CHECK_THROWS_AS(prepare_space(space), DomainError);
  space.frequency_hz.clear();
  CHECK_THROWS_AS(prepare_space(space), DomainError);
  space = good;
  space.lists[0].choices.push_back({std::nullopt, {cdouble{1.0, 2.0}, cdouble{1.0, 2.0}}});
  CHECK_THROWS_WITH(prepare_space(space), Catch::Contains("one impedance for each frequency"));
  space.lists[0].choices = {{std::nullopt, {cdouble{-1.0, 2.0}}}};
  CHECK_THROWS_WITH(prepare_space(space), Catch::Contains("real part >= 0"));
  space = good;
  space.lists[0].ranges[0].high = 1e-9;  // below its low end
  CHECK_THROWS_WITH(prepare_space(space), Catch::Contains("must be > 0 and rising"));
}

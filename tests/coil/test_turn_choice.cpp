#include <limits>

#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/coil/turn_choice.hpp>

using namespace stile;
using namespace stile::coil;

TEST_CASE("the number of turns that holds is found beyond the first that resonates") {
  // 38 resonates and fails on a band; 41 holds with the least loss; 43 holds with more.
  const TurnChoice c = choose_turns(38.0, 150.0, 4, [](double n) {
    return n < 41.0 ? TurnsJudged{1, 0.8} : TurnsJudged{0, 1.0 + 0.01 * (n - 41.0)};
  });
  CHECK(c.turns == 41.0);
  CHECK(c.judged.failing == 0);
  REQUIRE(c.tried.size() == 8);
  CHECK(c.tried.front().turns == 38.0);
  CHECK(c.tried.back().turns == 45.0);
}

TEST_CASE("when nothing holds the fewest failures are taken, then the least loss, then the fewest turns") {
  const TurnChoice fewest = choose_turns(5.0, 9.0, 9, [](double n) { return TurnsJudged{n == 7.0 ? 1 : 2, n}; });
  CHECK(fewest.turns == 7.0);
  CHECK(fewest.judged.failing == 1);
  CHECK(choose_turns(5.0, 9.0, 9, [](double n) { return TurnsJudged{2, 10.0 - n}; }).turns == 9.0);
  const double infinite = std::numeric_limits<double>::infinity();
  // Everything fails up to six turns beyond the first, twice the patience of three; not beyond.
  const auto late = [](double turns) { return [turns](double n) { return TurnsJudged{n < turns ? 1 : 0, 1.0}; }; };
  CHECK(choose_turns(31.0, 150.0, 3, late(35.0)).turns == 35.0);
  CHECK(choose_turns(31.0, 150.0, 3, late(37.0)).turns == 37.0);
  CHECK(choose_turns(31.0, 150.0, 3, late(38.0)).turns == 31.0);
  CHECK(choose_turns(5.0, 9.0, 2, [&](double) { return TurnsJudged{3, infinite}; }).turns == 5.0);
}

TEST_CASE("a search for turns outside its range is refused") {
  const auto judge = [](double) { return TurnsJudged{}; };
  CHECK_THROWS_AS(choose_turns(0.0, 10.0, 3, judge), DomainError);
  CHECK_THROWS_AS(choose_turns(2.5, 10.0, 3, judge), DomainError);
  CHECK_THROWS_AS(choose_turns(11.0, 10.0, 3, judge), DomainError);
  CHECK_THROWS_AS(choose_turns(1.0, 401.0, 3, judge), DomainError);
  CHECK_THROWS_AS(choose_turns(1.0, 10.0, 0, judge), DomainError);
}

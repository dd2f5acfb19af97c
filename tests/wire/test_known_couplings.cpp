#include <catch2/catch.hpp>

#include <stile/wire/conditions.hpp>
#include <stile/wire/known_couplings.hpp>
#include <stile/wire/solve.hpp>

#include "wire/reference.hpp"

using namespace stile;
using namespace stile::wire;
using namespace stile::wire::test;

TEST_CASE("what wires do to each other is kept up to its limit, and every antenna has the bits that it has by itself") {
  WhipSet w;
  w.ground = ground_by_name("average");
  std::vector<WireCase> cases;
  for (const double length_m : {2.0, 2.5, 2.0}) {
    w.whip_length_m = length_m;
    cases.push_back(whip_condition(w, WhipCondition::trailing_usual));
    cases.push_back(whip_condition(w, WhipCondition::lifted));
  }
  const WireCase first = cases.front();
  for (const char* soil : {"wet", "perfect", "free space"}) {  // the same wires over other grounds
    cases.push_back(first);
    cases.back().ground = ground_by_name(soil);
  }
  constexpr std::size_t little = 100000;  // less than those of one antenna
  for (const std::size_t most_bytes : {most_known_bytes, little, std::size_t{0}}) {
    SolveOptions options;
    options.known = std::make_shared<KnownCouplings>(most_bytes);
    std::size_t most = 0;
    for (const double f : {7.1e6, 14.2e6}) {
      for (const GroundMethod method : {GroundMethod::rigorous, GroundMethod::complex_image}) {
        for (const WireCase& c : cases) {
          SolveOptions own;
          own.method = options.method = method;
          const AntennaSolution known = solve_antenna(c.antenna, c.ground, f, options),
                                alone = solve_antenna(c.antenna, c.ground, f, own);
          CHECK(known.feed_ohm == alone.feed_ohm);
          CHECK(known.share.radiated == alone.share.radiated);
          most = std::max(most, options.known->bytes());
        }
      }
    }
    CHECK(most <= most_bytes);
    CHECK((most > 0) == (most_bytes > 0));
    const std::size_t before = options.known->bytes();
    solve_antenna(first.antenna, first.ground, 14.2e6, options);
    if (most_bytes == most_known_bytes) CHECK(options.known->bytes() == before);  // all of it was there
  }
}

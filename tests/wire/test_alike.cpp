#include <algorithm>
#include <catch2/catch.hpp>
#include <limits>

#include <stile/wire/alike.hpp>
#include <stile/wire/conditions.hpp>

#include "wire/reference.hpp"

using namespace stile;
using namespace stile::wire;
using namespace stile::wire::test;

TEST_CASE("antennas alike are solved with the bits of each by itself") {
  WhipSet w;
  w.ground = ground_by_name("average");
  w.set = SetBody{};
  w.person = PersonBody{};
  w.lumps = {{"lead", {0, 0.3, 0.0, 40e-6, std::numeric_limits<double>::infinity(), 3.0}}};
  const WireCase first = whip_condition(w, WhipCondition::with_set);
  const double f = 7.1e6;
  const AlikeAntennas alike(first.antenna, first.ground, f);
  const auto same = [&](const Antenna& a) {
    const AntennaSolution mine = alike.solve(a), own = solve_antenna(a, first.ground, f);
    CHECK(mine.feed_ohm == own.feed_ohm);
    CHECK(mine.share.person == own.share.person);
    CHECK(alike.feed_ohm(a) == own.feed_ohm);
    return own.feed_ohm;
  };
  const cdouble still = same(first.antenna);
  Antenna shorter = first.antenna, drier = first.antenna, parted = first.antenna;
  for (Wire& wire : shorter.wires) {
    if (!wire.person && !wire.set && &wire != &shorter.wires[shorter.feed.wire]) wire.points.back().x_m *= 0.9;
  }
  CHECK(same(shorter) != still);
  for (Wire& wire : drier.wires) {
    if (wire.person) *wire.conductivity_s_m *= 0.5;
  }
  CHECK(same(drier) != still);
  parted.lumps.front().resistance_ohm += 100.0;
  CHECK(same(parted) != still);
  std::reverse(parted.lumps.begin(), parted.lumps.end());
  same(parted);
  CHECK(same(whip_condition(w, WhipCondition::torn_off).antenna) != still);
}

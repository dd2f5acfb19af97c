#include <catch2/catch.hpp>

#include <array>
#include <thread>
#include <vector>

#include <stile/wire/conditions.hpp>
#include <stile/wire/detail/coupling_store.hpp>
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

namespace {

detail::WireCells piece_at(double x_m) {
  std::vector<detail::LineCell> cells;
  for (int n = 0; n < 20; ++n) cells.push_back({{x_m, 0.0, 1.0 + 0.1 * n}, {0.0, 0.0, 1.0}, 0.1, 1e-3});
  return detail::wire_cells(std::move(cells));
}

}  // namespace

TEST_CASE("a pair of wires that was computed is there again, and what was asked for longest ago is forgotten first") {
  const detail::GroundModel nothing;
  const detail::WireCells a = piece_at(0.0), b = piece_at(1.0), c = piece_at(2.0), d = piece_at(3.0);
  const std::size_t one = detail::CouplingBlock(a, b, nothing, 0.15).bytes();
  detail::CouplingStore store(2 * one);
  const auto ab = store.block(a, b, nothing, 0.15), ac = store.block(a, c, nothing, 0.15);
  CHECK(store.block(a, b, nothing, 0.15) == ab);
  CHECK(store.block(b, a, nothing, 0.15) != ab);  // the other way round: ac is forgotten
  CHECK(store.block(a, b, nothing, 0.15) == ab);
  CHECK(store.block(a, c, nothing, 0.15) != ac);
  CHECK(store.block(a, d, nothing, 0.15)->at(3, 7).scalar == store.block(a, d, nothing, 0.15)->at(3, 7).scalar);
  CHECK(store.block(a, b, nothing, 0.15) != ab);  // forgotten since
  CHECK(store.bytes() == 2 * one);
}

TEST_CASE("several threads over the same couplings get the bits of one") {
  WhipSet w;
  w.ground = ground_by_name("average");
  const WireCase one = whip_condition(w, WhipCondition::trailing_usual);
  const cdouble alone_ohm = solve_antenna(one.antenna, one.ground, 7.1e6).feed_ohm;
  SolveOptions options = with_tables({});
  options.known = std::make_shared<KnownCouplings>();
  std::array<cdouble, 4> feed_ohm{};
  std::vector<std::thread> threads;
  for (cdouble& ohm : feed_ohm) {
    threads.emplace_back([&] { ohm = solve_antenna(one.antenna, one.ground, 7.1e6, options).feed_ohm; });
  }
  for (std::thread& t : threads) t.join();
  for (const cdouble ohm : feed_ohm) CHECK(ohm == alone_ohm);
}

#include <catch2/catch.hpp>
#include <random>

#include <stile/wire/far_field.hpp>
#include <stile/wire/solve.hpp>

#include "wire/reference.hpp"

using namespace stile;
using namespace stile::wire;
using namespace stile::wire::test;

TEST_CASE("random whips over random soils lose no more than they take in") {
  std::mt19937_64 engine(7100);
  const auto uniform = [&](double low, double high) {
    return low + (high - low) * (static_cast<double>(engine() >> 11) * 0x1p-53);
  };
  for (int i = 0; i < 30; ++i) {
    const double base = uniform(0.3, 2.0), height = uniform(1.0, 6.0), lean = uniform(0.0, 1.0);
    const double low = std::exp(uniform(std::log(0.006), std::log(0.25))), out = uniform(0.5, 2.0),
                 far = uniform(1.0, 12.0);
    const double turn = uniform(-2.0, 2.0);
    Antenna a;
    a.wires.push_back(bare({{0, 0, base}, {-height * std::sin(lean), 0, base + height * std::cos(lean)}},
                           uniform(5e-4, 5e-3), 1.4e6));
    a.wires.push_back(bare({{0, 0, base}, {out, 0, low}, {out + far * std::cos(turn), far * std::sin(turn), low}},
                           uniform(2e-4, 1.1e-3), 5.8e7));
    a.wires[1].insulation = Insulation{0.0005, uniform(1.0, 4.0)};
    if (i % 2 == 0)
      a.coils.push_back({0, uniform(0.1, 0.9) * height, 0.02, uniform(1e-6, 50e-6), uniform(50, 400), 0.0});
    const double f = std::exp(uniform(std::log(1.8e6), std::log(30e6)));
    const Ground g = lossy_ground(std::exp(uniform(std::log(2.0), std::log(80.0))),
                                  std::exp(uniform(std::log(1e-5), std::log(5.0))));
    const AntennaSolution s = solve_antenna(a, g, f);
    INFO("antenna " << i << " frequency " << f << " soil " << g.relative_permittivity << " " << g.conductivity_s_m
                    << " base " << base << " low " << low << " feed " << s.feed_ohm << " radiated " << s.share.radiated
                    << " ground " << s.share.ground << " metal " << s.share.metal << " coil " << s.share.coil);
    CHECK(s.feed_ohm.real() > 0.0);
    CHECK(s.share.radiated > 0.0);
    CHECK(s.share.ground > 0.0);
    CHECK(s.share.metal > 0.0);
    CHECK(s.share.coil >= 0.0);
    const AntennaSolution finer = solve_antenna(a, g, f, {2.0, GroundMethod::rigorous, 2000});
    CHECK(std::abs(s.feed_ohm - finer.feed_ohm) <= 0.03 * std::abs(finer.feed_ohm));
    CHECK(std::abs(s.share.radiated - finer.share.radiated) <= 0.02 * finer.share.radiated);
  }
}

TEST_CASE("random whips over random dielectrics keep their energy") {
  std::mt19937_64 engine(28400);
  const auto uniform = [&](double low, double high) {
    return low + (high - low) * (static_cast<double>(engine() >> 11) * 0x1p-53);
  };
  for (int i = 0; i < 12; ++i) {
    const double base = uniform(0.3, 2.0), low = std::exp(uniform(std::log(0.01), std::log(0.25))),
                 far = uniform(1.0, 8.0);
    Antenna a;
    a.wires.push_back(bare({{0, 0, base}, {0, 0.3, base + uniform(1.0, 4.0)}}, 0.002));
    a.wires.push_back(bare({{0, 0, base}, {1.0, 0, low}, {1.0, far, low}}, 0.001));
    const double f = uniform(3e6, 30e6), permittivity = std::exp(uniform(std::log(1.5), std::log(80.0)));
    const AntennaSolution s = solve_antenna(a, lossy_ground(permittivity, 0.0), f);
    const double balance = s.share.radiated + down_power_w(s) / s.antenna_ohm.real();
    INFO("antenna " << i << " frequency " << f << " permittivity " << permittivity << " base " << base << " low " << low
                    << " balance " << balance);
    CHECK(std::abs(balance - 1.0) <= 1e-4);
  }
}

#include <catch2/catch.hpp>
#include <limits>

#include <stile/base/errors.hpp>
#include <stile/wire/far_field.hpp>
#include <stile/wire/lump_port.hpp>
#include <stile/wire/near_field.hpp>
#include <stile/wire/solve.hpp>

#include "wire/reference.hpp"

using namespace stile;
using namespace stile::wire;
using namespace stile::wire::test;

namespace {

constexpr double none = std::numeric_limits<double>::infinity();

/// R + j w L + w L/Q + 1/(j w C) in plain circuit theory.
cdouble series_ohm(const WireLump& lump, double frequency_hz) {
  const double w = two_pi * frequency_hz;
  return cdouble(lump.resistance_ohm, 0.0) + cdouble(0.0, 1.0) * w * lump.inductance_h +
         w * lump.inductance_h / lump.q + 1.0 / (cdouble(0.0, 1.0) * w * lump.capacitance_f);
}

AntennaSolution with(Antenna a, const WireLump& lump, double frequency_hz, const Ground& ground) {
  a.lumps.push_back(lump);
  return solve_antenna(a, ground, frequency_hz);
}

void refused(const Antenna& a, const Ground& g, const char* why) {
  try {
    check_antenna(a, g);
    FAIL("accepted, but should be refused for: " << why);
  } catch (const DomainError& e) {
    INFO(e.what());
    CHECK(std::string(e.what()).find(why) != std::string::npos);
  }
}

}  // namespace

TEST_CASE("a lump at the feed is the same part in series by circuit theory") {
  const Ground ground = ground_by_name("wet");
  for (const double f : {3.6e6, 7.1e6, 14.2e6, 28.4e6}) {
    const AntennaSolution alone = solve_antenna(whip_with_wire(), ground, f);
    for (const WireLump& lump :
         {WireLump{0, 0.0, 40.0}, WireLump{0, 0.0, 0.0, 20e-6, none, 120.0}, WireLump{0, 0.01, 0.0, 0.0, 60e-12},
          WireLump{1, 0.0, 300.0}, WireLump{1, 0.007, 3.0, 40e-6, none, 3.0},
          WireLump{0, 0.004, 5.0, 3e-6, 100e-12, 50.0}}) {
      const AntennaSolution s = with(whip_with_wire(), lump, f, ground);
      const cdouble expected = alone.feed_ohm + series_ohm(lump, f);
      INFO(f << " " << s.feed_ohm << " " << expected);
      CHECK(std::abs(s.feed_ohm - expected) <= 1e-6 * std::abs(expected));
      CHECK(std::abs(s.share.lump - series_ohm(lump, f).real() / expected.real()) <= 1e-6);
      CHECK(std::abs(s.share.radiated / alone.share.radiated - alone.feed_ohm.real() / expected.real()) <= 1e-6);
      CHECK(std::abs(s.lump_a.at(0) - (lump.wire == 0 ? 1.0 : -1.0)) <=
            1e-9);  // the other wire runs away from the feed
    }
  }
}

TEST_CASE("a lump anywhere is a part across the second port of feed and place") {
  // Z = Z11 - Z12^2/(Z22 + Z_lump): three solutions give the three constants, a fourth must obey them.
  const Ground ground = ground_by_name("average");
  const double f = 7.1e6;
  Antenna a = whip_with_wire();
  a.wires.push_back(bare({{1.2, 0, 0.05}, {1.2, 2, 0.05}}, 0.001, {}, "branch"));
  struct Place {
    std::size_t wire;
    double distance_m;
  };
  for (const Place& p : {Place{0, 1.1}, Place{1, 3.0}, Place{2, 0.0}, Place{2, 0.7}}) {
    const auto z = [&](cdouble value) {
      WireLump lump{p.wire, p.distance_m, value.real()};
      lump.inductance_h = std::max(value.imag(), 0.0) / (two_pi * f);
      if (value.imag() < 0.0) lump.capacitance_f = -1.0 / (two_pi * f * value.imag());
      return with(a, lump, f, ground).feed_ohm;
    };
    // From loads 0, t, 2t: with u = Z22, k = Z12^2: z0 = Z11 - k/u ...
    const cdouble t{100.0, 300.0}, z0 = z(0.0), z1 = z(t), z2 = z(2.0 * t);
    const cdouble d1 = z1 - z0, d2 = z2 - z0;  // d_n = k n t/(u (u + n t))
    const cdouble u = 2.0 * t * (d1 - d2) / (d2 - 2.0 * d1);
    const cdouble k = d1 * u * (u + t) / t;
    for (const cdouble load : {cdouble(1000.0, 0.0), cdouble(30.0, -800.0), cdouble(5.0, 2000.0)}) {
      const cdouble expected = z0 + k / u - k / (u + load);
      INFO(p.wire << " at " << p.distance_m << " load " << load << " " << z(load) << " " << expected);
      CHECK(std::abs(z(load) - expected) <= 1e-6 * std::abs(expected));
    }
  }
}

TEST_CASE("a lump of nothing changes only the mesh and an open one cuts the wire") {
  const Ground ground = ground_by_name("wet");
  const cdouble whole = solve_antenna(whip_with_wire(), ground, 7.1e6).feed_ohm;
  const cdouble nothing = with(whip_with_wire(), {1, 3.0}, 7.1e6, ground).feed_ohm;
  CHECK(std::abs(nothing - whole) <= 2e-3 * std::abs(whole));
  Antenna cut = whip_with_wire();
  cut.wires[1].points = {{0, 0, 1.2}, {1.2, 0, 0.05}, {1.2 + 3.0 - std::hypot(1.2, 1.15), 0, 0.05}};
  const cdouble stump = solve_antenna(cut, ground, 7.1e6).feed_ohm;
  const cdouble open = with(whip_with_wire(), {1, 3.0, 1e9}, 7.1e6, ground).feed_ohm;
  INFO(whole << " cut " << stump << " open " << open);
  CHECK(std::abs(stump - whole) > 0.1 * std::abs(whole));
  CHECK(std::abs(open - stump) <= 0.02 * std::abs(stump));  // the piece beyond is still there
}

TEST_CASE("energy is kept with lumps and a leaking base") {
  Antenna a = dipole(4.0, 0.002, 0.02);
  a.wires[0].conductivity_s_m = a.wires[1].conductivity_s_m = 1.4e6;
  a.lumps = {{0, 1.5, 20.0, 4e-6, none, 30.0}, {1, 2.0, 300.0, 0.0, 60e-12}};
  a.feed.base_leakage_ohm = 30e3;
  for (const double f : {7.1e6, 14.2e6, 28.4e6}) {
    const AntennaSolution s = solve_antenna(a, free_space(), f);
    CHECK(std::abs(s.power_balance - 1.0) <= 1e-4);
    CHECK(s.share.lump > 0.1);
    CHECK(std::abs(s.share.radiated + s.share.metal + s.share.coil + s.share.lump + s.share.person + s.share.ground -
                   1.0) <= 1e-12);
  }
  Antenna carried = whip_with_wire();
  carried.lumps = {{1, 1.0, 50.0, 5e-6, none, 3.0}};
  for (const double f : {7e6, 14e6}) {
    const AntennaSolution s = solve_antenna(carried, lossy_ground(15.0, 0.0), f);
    CHECK(std::abs(s.share.ground - down_power_w(s) / s.antenna_ohm.real()) <= 1e-4);
  }
}

TEST_CASE("leakage of the base stands across the terminals") {
  Antenna a = whip_with_wire();
  const Ground ground = ground_by_name("wet");
  const AntennaSolution dry = solve_antenna(a, ground, 7.1e6);
  a.feed.base_leakage_ohm = 50e3;
  a.feed.base_capacitance_f = 5e-12;
  const AntennaSolution wet = solve_antenna(a, ground, 7.1e6);
  const cdouble y = 1.0 / dry.feed_ohm + cdouble(1.0 / 50e3, two_pi * 7.1e6 * 5e-12);
  CHECK(std::abs(wet.feed_ohm - 1.0 / y) <= 1e-12 * std::abs(wet.feed_ohm));
  const double share = (1.0 / 50e3) / y.real();
  CHECK(std::abs(wet.share.lump - share) <= 1e-12);
  CHECK(std::abs(wet.share.radiated - dry.share.radiated * (1.0 - share)) <= 1e-12);
  CHECK(antenna_gain(wet, 1.0, 0.0) == Approx(antenna_gain(dry, 1.0, 0.0) * (1.0 - share)).epsilon(1e-9));
  CHECK(mean_gain(wet, 0.1, 0.5) == Approx(mean_gain(dry, 0.1, 0.5) * (1.0 - share)).epsilon(1e-9));
  Antenna choked = a;
  choked.lumps.push_back({1, 2.0, 10.0, 0.0});
  const AntennaSolution leaking = solve_antenna(choked, ground, 7.1e6);
  choked.feed.base_leakage_ohm = std::numeric_limits<double>::infinity();
  const AntennaSolution sealed = solve_antenna(choked, ground, 7.1e6);
  CHECK(leaking.leakage_share > 0.005);
  CHECK(lump_current_a_rms(leaking, 0, 5.0) ==
        Approx(lump_current_a_rms(sealed, 0, 5.0) * std::sqrt(1.0 - leaking.leakage_share)).epsilon(1e-9));
  // What heats the lump is that current's square times its resistance.
  CHECK(10.0 * std::pow(lump_current_a_rms(sealed, 0, 5.0), 2) == Approx(5.0 * sealed.share.lump).epsilon(1e-9));
  const std::vector<Vec3> at{{0.5, 0.0, 1.0}};
  CHECK(near_field(wet, at, 5.0)[0].e_v_m() ==
        Approx(near_field(dry, at, 5.0)[0].e_v_m() * std::sqrt(1.0 - share)).epsilon(1e-9));
}

TEST_CASE("lumps that are refused") {
  const Ground ground = ground_by_name("wet");
  const auto a = [](const WireLump& lump) {
    Antenna b = whip_with_wire();
    b.lumps.push_back(lump);
    return b;
  };
  CHECK_NOTHROW(check_antenna(a({1, 3.0, 300.0}), ground));
  CHECK_NOTHROW(check_antenna(a({1, 0.0, 300.0}), ground));
  refused(a({2, 1.0}), ground, "does not exist");
  refused(a({0, -0.1}), ground, "is off wire \"whip\", which is 2.4 m long");
  refused(a({0, 2.5}), ground, "is off wire \"whip\"");
  refused(a({0, 2.4}), ground, "free end");
  refused(a({0, 1.0, -1.0}), ground, "resistance -1 ohm must be >= 0");
  refused(a({0, 1.0, 0.0, -1e-6}), ground, "inductance -1e-06 H must be >= 0");
  refused(a({0, 1.0, 0.0, 0.0, 0.0}), ground, "capacitance 0 F must be > 0");
  refused(a({0, 1.0, 0.0, 0.0, none, 0.0}), ground, "Q 0 must be > 0");
  CHECK_NOTHROW(check_antenna(a({1, 0.005}), ground));
  Antenna b = a({1, 0.005});
  b.wires.push_back(bare({{0, 0, 1.2}, {0, 2, 1.2}}, 0.001));  // with a third wire it carries a part of the current
  refused(b, ground, "lump 1 lies within the feed gap of wire \"wire\"");
  b = a({0, 1.0});
  b.lumps.push_back({0, 1.0});
  refused(b, ground, "same place as lump 1");
  b = a({0, 1.0});
  b.coils.push_back({0, 1.005, 0.02, 1e-6, 200.0, 0.0});
  refused(b, ground, "inside a coil");
  b = a({1, std::hypot(1.2, 1.15)});
  CHECK_NOTHROW(check_antenna(b, ground));  // at a bend
  b.wires.push_back(bare({{1.2, 0, 0.05}, {1.2, 2, 0.05}}, 0.001));
  refused(b, ground, "where wires join");
  b = whip_with_wire();
  b.feed.base_leakage_ohm = 0.0;
  refused(b, ground, "leakage");
}

TEST_CASE(
    "seen from the terminals and from a lump's place, an antenna has the currents that it has with any lump there") {
  const Ground ground = ground_by_name("wet");
  Antenna a = whip_with_wire();
  a.feed.base_leakage_ohm = 20e3;
  a.feed.base_capacitance_f = 4e-12;
  a.lumps.push_back({1, 3.0, 5.0, 2e-6, none, 40.0});
  a.lumps.push_back({0, 1.1, 70.0, 1e-6, 300e-12, 90.0});
  for (const double f : {3.6e6, 14.2e6}) {
    for (const std::size_t lump : {std::size_t{0}, std::size_t{1}}) {
      const network::AdmittanceMatrix y = lump_port(a, lump, ground, f);
      CHECK(std::abs(y.y12 - y.y21) <= 1e-9 * std::abs(y.y21));
      const WireLump stated = a.lumps[lump];
      for (const double ohm : {0.0, 70.0, 300.0, 1e8}) {
        a.lumps[lump].resistance_ohm = ohm;
        const AntennaSolution solved = solve_antenna(a, ground, f);
        const cdouble z_ohm = series_ohm(a.lumps[lump], f);
        const cdouble of_1v_a = y.y21 / (1.0 + y.y22 * z_ohm), feed_a = y.y11 - y.y12 * z_ohm * of_1v_a;
        INFO(f << " lump " << lump << " " << ohm << " ohm");
        CHECK(std::abs(feed_a * solved.feed_ohm - 1.0) <= 1e-12);
        CHECK(std::abs(of_1v_a * solved.antenna_ohm / solved.lump_a[lump] - 1.0) <= 1e-12);
      }
      a.lumps[lump] = stated;
    }
  }
  CHECK_THROWS_AS(lump_port(a, 2, ground, 7.1e6), DomainError);
}

#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <vector>

#include <stile/base/range.hpp>
#include <stile/wire/conditions.hpp>
#include <stile/wire/sweep.hpp>

#include "wire/reference.hpp"

using namespace stile;
using namespace stile::wire;
using namespace stile::wire::test;

namespace {

struct Difference {
  double z = 0.0, r = 0.0, share = 0.0, current = 0.0;
};

/// Largest differences of two sweeps, of |Z|, of R, of a share and of the largest current.
Difference difference(const std::vector<AntennaSolution>& a, const std::vector<AntennaSolution>& b) {
  Difference d;
  for (std::size_t i = 0; i < a.size(); ++i) {
    const cdouble za = a[i].feed_ohm, zb = b[i].feed_ohm;
    d.z = std::max(d.z, std::abs(za - zb) / std::abs(zb));
    d.r = std::max(d.r, std::abs(za.real() / zb.real() - 1.0));
    for (const auto share : {&AntennaShares::radiated, &AntennaShares::ground, &AntennaShares::metal,
                             &AntennaShares::coil, &AntennaShares::lump, &AntennaShares::person})
      d.share = std::max(d.share, std::abs(a[i].share.*share - b[i].share.*share));
    double largest = 0.0, apart = 0.0;
    for (std::size_t c = 0; c < a[i].cells.size(); ++c) {
      largest = std::max(largest, std::abs(b[i].cells[c].start_a));
      apart = std::max(apart, std::abs(a[i].cells[c].start_a - b[i].cells[c].start_a));
    }
    d.current = std::max(d.current, apart / largest);
  }
  return d;
}

std::vector<double> even(double low_hz, double high_hz, int count) {
  std::vector<double> f;
  for (int i = 0; i < count; ++i) f.push_back(low_hz + (high_hz - low_hz) * i / (count - 1));
  return f;
}

SolveOptions every_point() {
  SolveOptions o;
  o.every_point = true;
  return o;
}

/// How many frequencies a sweep solves: each asks for a table of its own.
std::size_t solves(const Antenna& a, const Ground& g, const std::vector<double>& f,
                   std::vector<AntennaSolution>& swept) {
  SolveOptions o = with_tables({});
  swept = sweep_antenna(a, g, f, o);
  return o.tables->size();
}

constexpr std::array<Range, 10> bands_hz{Range{1.8e6, 2.0e6},       Range{3.5e6, 4.0e6},    Range{5.35e6, 5.37e6},
                                         Range{7.0e6, 7.3e6},       Range{10.1e6, 10.15e6}, Range{14.0e6, 14.35e6},
                                         Range{18.068e6, 18.168e6}, Range{21.0e6, 21.45e6}, Range{24.89e6, 24.99e6},
                                         Range{28.0e6, 29.7e6}};

}  // namespace

TEST_CASE("61 points over any amateur band from a fifth of the solves") {
  WhipSet w;
  for (const auto& [soil, condition] :
       {std::pair{"medium dry", WhipCondition::lifted}, std::pair{"wet", WhipCondition::lying_wet},
        std::pair{"very dry", WhipCondition::torn_off}}) {
    w.ground = ground_by_name(soil);
    const WireCase one = whip_condition(w, condition);
    for (const Range& b : bands_hz) {
      const std::vector<double> f = even(b.low, b.high, 61);
      std::vector<AntennaSolution> swept;
      const std::size_t count = solves(one.antenna, one.ground, f, swept);
      const Difference d = difference(swept, sweep_antenna(one.antenna, one.ground, f, every_point()));
      INFO(one.name << " " << soil << " " << b.low << ": " << count << " solves, Z " << d.z << " R " << d.r
                    << " shares " << d.share << " currents " << d.current);
      CHECK(count <= 12);
      CHECK(d.z <= 1e-4);
      CHECK(d.r <= 1e-3);
      CHECK(d.share <= 1e-4);
      CHECK(d.current <= 1e-3);
    }
  }
}

TEST_CASE("contacts of a hand are solved together as each by itself") {
  WhipSet w;
  w.ground = ground_by_name("medium dry");
  w.set = SetBody{};
  w.person = PersonBody{};
  w.coils = {{0, 1.0, 0.0, 8e-6, 250.0, 0.0}};
  std::vector<WireCase> cases{whip_condition(w, WhipCondition::lifted)};
  for (const NamedContact& usual : hand_contacts()) {
    w.contact = usual.contact;
    cases.push_back(whip_condition(w, WhipCondition::hand_on_set));
  }
  cases.push_back(cases[2]);
  put_on_ground(cases.back(), ground_by_name("wet"));
  cases.push_back(cases[3]);
  cases.back().antenna.coils.front() = {0, 1.0, 0.0, 2e-6, 100.0, 1e-12};
  cases.back().antenna.feed.base_capacitance_f = 8e-12;
  const std::vector<double> f{3.65e6, 7.1e6, 28.4e6};
  std::vector<std::size_t> told;
  const std::vector<std::vector<AntennaSolution>> all =
      sweep_cases(cases, f, {}, 1, [&](std::size_t done, std::size_t total) {
        CHECK(total == cases.size() * f.size());
        told.push_back(done);
      });
  REQUIRE(told.size() == cases.size() * f.size());
  for (std::size_t n = 0; n < told.size(); ++n) CHECK(told[n] == n + 1);
  REQUIRE(all.size() == cases.size());
  for (std::size_t c = 0; c < cases.size(); ++c) {
    const std::vector<AntennaSolution> alone = sweep_antenna(cases[c].antenna, cases[c].ground, f);
    const Difference d = difference(all[c], alone);
    INFO(cases[c].name << " " << c << ": Z " << d.z << ", shares " << d.share << ", currents " << d.current);
    CHECK(d.z <= 1e-9);
    CHECK(d.share <= 1e-9);
    CHECK(d.current <= 1e-9);
  }
  // Nothing of one antenna is told of another.
  for (std::size_t c = 1; c < cases.size(); ++c) {
    for (std::size_t other = 0; other < c; ++other)
      CHECK(std::abs(all[c][1].feed_ohm - all[other][1].feed_ohm) > 1e-6 * std::abs(all[c][1].feed_ohm));
  }
  const std::vector<std::vector<AntennaSolution>> threaded = sweep_cases(cases, f, {}, 3);
  for (std::size_t c = 0; c < cases.size(); ++c) {
    for (std::size_t n = 0; n < f.size(); ++n) CHECK(threaded[c][n].feed_ohm == all[c][n].feed_ohm);
  }
}

TEST_CASE("a case that is wrong is told before any is solved") {
  WhipSet w;
  w.ground = ground_by_name("wet");
  const WireCase right = whip_condition(w, WhipCondition::torn_off);
  WireCase nowhere = right, thin = right;
  nowhere.antenna.wires.front().points.back().z_m = std::numeric_limits<double>::quiet_NaN();
  thin.antenna.wires.front().radius_m = -1e-3;
  for (const WireCase& wrong : {nowhere, thin}) {
    std::size_t solved = 0;
    CHECK_THROWS_AS(
        sweep_cases(std::vector{right, wrong}, std::vector{7.1e6}, {}, 1, [&](std::size_t, std::size_t) { ++solved; }),
        DomainError);
    CHECK(solved == 0);
  }
  CHECK(sweep_cases({}, std::vector{7.1e6}).empty());
}

TEST_CASE("contacts of a hand are interpolated together as well as each by itself") {
  WhipSet w;
  w.ground = ground_by_name("average");
  w.set = SetBody{};
  w.person = PersonBody{};
  std::vector<WireCase> cases;
  for (const double ohm : {0.0, 300.0, std::numeric_limits<double>::infinity()}) {
    w.contact = {ohm};
    cases.push_back(whip_condition(w, WhipCondition::hand_on_set));
  }
  const std::vector<double> f = even(7.0e6, 7.3e6, 61);
  const SolveOptions o = with_tables({});
  const std::vector<std::vector<AntennaSolution>> all = sweep_cases(cases, f, o);
  CHECK(o.tables->size() <= 12);
  for (std::size_t c = 0; c < cases.size(); ++c) {
    const Difference d = difference(all[c], sweep_antenna(cases[c].antenna, cases[c].ground, f, every_point()));
    INFO(c << ": Z " << d.z << " R " << d.r << " shares " << d.share);
    CHECK(d.z <= 1e-4);
    CHECK(d.r <= 1e-3);
    CHECK(d.share <= 1e-4);
  }
}

TEST_CASE("a hand on the set with a choke in its lead is interpolated as well as the rest") {
  WhipSet w;
  w.ground = ground_by_name("average");
  w.set = SetBody{};
  w.person = PersonBody{};
  w.coils = {{0, 1.0, 0.05, 8e-6, 250.0, 0.0}};
  w.lumps = {{"lead", {0, 0.3, 0.0, 40e-6, std::numeric_limits<double>::infinity(), 3.0}}};
  const WireCase one = whip_condition(w, WhipCondition::hand_on_set);
  for (const Range& b : {bands_hz[1], bands_hz[3], bands_hz[7]}) {
    const std::vector<double> f = even(b.low, b.high, 61);
    std::vector<AntennaSolution> swept;
    const std::size_t count = solves(one.antenna, one.ground, f, swept);
    const std::vector<AntennaSolution> each = sweep_antenna(one.antenna, one.ground, f, every_point());
    const Difference d = difference(swept, each);
    double hand = 0.0;
    for (std::size_t i = 0; i < f.size(); ++i)
      hand = std::max(
          hand,
          std::abs(lump_current_a_rms(swept[i], *one.hand, 1.0) / lump_current_a_rms(each[i], *one.hand, 1.0) - 1.0));
    INFO(b.low << ": " << count << " solves, Z " << d.z << " R " << d.r << " shares " << d.share << " hand " << hand);
    CHECK(count <= 12);
    CHECK(d.z <= 1e-4);
    CHECK(d.r <= 1e-3);
    CHECK(d.share <= 1e-4);
    CHECK(hand <= 1e-3);
    for (const auto share : {&AntennaShares::coil, &AntennaShares::lump, &AntennaShares::person})
      CHECK(each[0].share.*share > 5e-4);
  }
}

TEST_CASE("200 points from 3 to 30 MHz through every resonance from a quarter of the solves") {
  WhipSet w;
  for (const char* soil : {"medium dry", "sea"}) {
    w.ground = ground_by_name(soil);
    for (const WhipCondition c : {WhipCondition::lifted, WhipCondition::lying_wet}) {
      w.wires.front().length_m = 10.0;
      const WireCase one = whip_condition(w, c);
      const std::vector<double> f = even(3e6, 30e6, 200);
      std::vector<AntennaSolution> swept;
      const std::size_t count = solves(one.antenna, one.ground, f, swept);
      const Difference d = difference(swept, sweep_antenna(one.antenna, one.ground, f, every_point()));
      INFO(one.name << " " << soil << ": " << count << " solves, Z " << d.z << " R " << d.r << " shares " << d.share
                    << " currents " << d.current);
      CHECK(count <= 50);
      CHECK(d.z <= 1e-4);
      CHECK(d.r <= 1e-3);
      CHECK(d.share <= 1e-4);
      for (const AntennaSolution& s : swept) CHECK(s.feed_ohm.real() > 0.0);
    }
  }
}

TEST_CASE("200 points from 3 to 30 MHz with set, person and a hand on the set from a quarter of the solves") {
  // Cells half as fine keep it short: the count follows the curve, not the cells.
  WhipSet w;
  w.ground = ground_by_name("medium dry");
  w.set = SetBody{};
  w.person = PersonBody{};
  w.wires.front().length_m = 10.0;
  const std::vector<double> f = even(3e6, 30e6, 200);
  const WireCase one = whip_condition(w, WhipCondition::hand_on_set);
  SolveOptions few = with_tables({0.5, GroundMethod::rigorous, 2000, {}});
  const std::vector<AntennaSolution> swept = sweep_antenna(one.antenna, one.ground, f, few);
  const std::size_t count = few.tables->size();
  few.every_point = true;
  const Difference d = difference(swept, sweep_antenna(one.antenna, one.ground, f, few));
  INFO(count << " solves, Z " << d.z << " R " << d.r << " shares " << d.share << " currents " << d.current);
  CHECK(count <= 50);
  CHECK(d.z <= 1e-4);
  CHECK(d.r <= 1e-3);
  CHECK(d.share <= 1e-4);
  CHECK(d.current <= 1e-3);
}

TEST_CASE("sharp resonances in free space are not missed by a sweep") {
  // Lossless, a parasitic wire beside a dipole: a notch of half a percent.
  Antenna a = dipole(5.0, 0.001, 0.02, 0.0, false);
  a.wires.push_back(bare({{-4.6, 0.6, 0}, {4.6, 0.6, 0}}, 0.001));
  const std::vector<double> f = even(10e6, 20e6, 201);
  const Difference d = difference(sweep_antenna(a, free_space(), f), sweep_antenna(a, free_space(), f, every_point()));
  INFO("Z " << d.z << " R " << d.r << " shares " << d.share);
  CHECK(d.z <= 1e-4);
  CHECK(d.share <= 1e-4);
}

TEST_CASE("an interpolated sweep does not depend on threads nor on order, and reports each frequency once") {
  WhipSet w;
  w.ground = ground_by_name("average");
  const WireCase one = whip_condition(w, WhipCondition::trailing_usual);
  std::vector<double> f = even(7.0e6, 7.3e6, 25);
  const std::vector<double> other_band = even(14.0e6, 14.35e6, 15);
  f.insert(f.end(), other_band.begin(), other_band.end());
  f.push_back(10e6);
  std::size_t calls = 0;
  const auto count = [&](std::size_t done, std::size_t total) {
    CHECK(done == ++calls);
    CHECK(total == f.size());
  };
  const std::vector<AntennaSolution> single = sweep_antenna(one.antenna, one.ground, f, {}, 1, count);
  CHECK(calls == f.size());
  const std::vector<AntennaSolution> many = sweep_antenna(one.antenna, one.ground, f, {}, 5);
  const std::vector<double> backwards(f.rbegin(), f.rend());
  const std::vector<AntennaSolution> turned = sweep_antenna(one.antenna, one.ground, backwards, {}, 2);
  for (std::size_t i = 0; i < f.size(); ++i) {
    CHECK(single[i].frequency_hz == f[i]);
    CHECK(many[i].feed_ohm == single[i].feed_ohm);
    CHECK(many[i].share.radiated == single[i].share.radiated);
    CHECK(turned[f.size() - 1 - i].feed_ohm == single[i].feed_ohm);
  }
  CHECK(single.back().feed_ohm == solve_antenna(one.antenna, one.ground, 10e6).feed_ohm);
}

#include <algorithm>
#include <catch2/catch.hpp>
#include <set>

#include <stile/wire/resonance.hpp>
#include <stile/wire/solve.hpp>

#include "wire/reference.hpp"

using namespace stile;
using namespace stile::wire;
using namespace stile::wire::test;

namespace {

std::size_t row_of(const Table& t, const std::string& id) {
  for (std::size_t r = 0; r < t.rows.size(); ++r) {
    if (t.text(r, "id") == id) return r;
  }
  FAIL("no row " << id);
  return 0;
}

/// Two joined vertical wires 21.3 m long and 0.61 m apart over one radial of 30.5 m (row V4).
Antenna one_radial(double height_m) {
  Antenna a;
  const double foot = height_m + 0.2, top = height_m + 21.3;
  a.wires.push_back(bare({{0, 0, height_m}, {0, 0, foot}}, 0.001, 5.8e7, "stub"));
  for (const double y : {-0.305, 0.305})
    a.wires.push_back(bare({{0, 0, foot}, {0, y, foot + 0.1}, {0, y, top}}, 0.001, 5.8e7, "upright"));
  a.wires.push_back(bare({{0, 0, height_m}, {30.5, 0, height_m}}, 0.001, 5.8e7, "radial"));
  return a;
}

}  // namespace

TEST_CASE("one radial on wet ground resonates where it was measured") {
  const Table t = reference("measured.csv");
  const double measured_hz = 1e6 * t.number(row_of(t, "V4"), "measured");
  const auto resonance = [&](double height, const Ground& g) {
    const Root f = resonant_frequency(one_radial(height), g, 1.8e6, 2.8e6);
    REQUIRE(f.status == RootStatus::found);
    return f.x;
  };
  double low = 1e9, high = 0.0;
  for (const Ground& g : {lossy_ground(30.0, 1e-2), lossy_ground(40.0, 3e-2)}) {
    for (const double height : {0.01, 0.03}) {
      const double f = resonance(height, g);
      INFO("height " << height << " " << f);
      low = std::min(low, f);
      high = std::max(high, f);
    }
  }
  INFO("range " << low << " " << high);
  CHECK(low <= measured_hz);
  CHECK(high >= measured_hz);
  CHECK(std::abs(low - 2.16e6) <= 0.04e6);  // range of the independent solver
  CHECK(std::abs(high - 2.38e6) <= 0.04e6);
}

TEST_CASE("dipole on the ground stays inside its measured ranges") {
  // WG1, WG2: 46 m at ten sites, velocity factor 0.45 to 0.85 and 80 to 200 ohm at X = 0; height and soil not known.
  struct Site {
    double permittivity, conductivity_s_m, height_m;
  };
  std::vector<double> factors;
  for (const Site& s :
       {Site{5, 1e-3, 0.03}, Site{13, 5e-3, 0.01}, Site{13, 5e-3, 0.03}, Site{30, 1e-2, 0.005}, Site{5, 1e-3, 0.1}}) {
    const Antenna a = dipole(23.0, 0.001, 0.02, s.height_m, false);
    const Root f = resonant_frequency(a, lossy_ground(s.permittivity, s.conductivity_s_m), 1.0e6, 3.2e6);
    REQUIRE(f.status == RootStatus::found);
    const double factor = f.x / (0.5 * speed_of_light_m_s / 46.0);
    const double r = solve_antenna(a, lossy_ground(s.permittivity, s.conductivity_s_m), f.x).feed_ohm.real();
    INFO("height " << s.height_m << " soil " << s.permittivity << " factor " << factor << " R " << r);
    CHECK(factor >= 0.39);
    CHECK(factor <= 0.85);
    CHECK(r >= 53.0);
    CHECK(r <= 238.0);
    factors.push_back(factor);
  }
  CHECK(*std::min_element(factors.begin(), factors.end()) < 0.65);  // height and soil decide
  CHECK(*std::max_element(factors.begin(), factors.end()) > 0.70);
}

TEST_CASE("ground resistance of one radial is computed too low by a documented factor") {
  // Web page "Ground resistance measurements", undated: short vertical with hat, one radial of 15.2 m on clay
  // pasture, 1.9 MHz: 77 to 80 ohm. An independent solver with flat soil, radial at 2 cm: 37 medium dry, 29 average, 20
  // wet. The vertical is not stated; 10 m with a hat of four 2 m spokes stands for it. Real loss is 2 to 5 times the
  // model's.
  Antenna a;
  const double h = 0.02;
  a.wires.push_back(bare({{0, 0, h}, {0, 0, h + 10.0}}, 0.01, {}, "vertical"));
  for (const double angle : {0.3, 0.3 + 0.5 * pi, 0.3 + pi, 0.3 + 1.5 * pi})
    a.wires.push_back(bare({{0, 0, h + 10.0}, {2.0 * std::cos(angle), 2.0 * std::sin(angle), h + 10.0}}, 0.001));
  a.feed.gap_m = 0.1;
  Antenna ideal = a;
  for (Wire& w : ideal.wires) {
    for (Vec3& p : w.points) p.z_m -= h;
  }
  a.wires[0].radius_m = ideal.wires[0].radius_m = 0.004;
  const double radiation = solve_antenna(ideal, perfect_ground(), 1.9e6).feed_ohm.real();
  a.wires.push_back(bare({{0, 0, h}, {15.2, 0, h}}, 0.001, 5.8e7, "radial"));
  struct Soil {
    const char* name;
    double computed_ohm;
  };
  for (const Soil& s : {Soil{"medium dry", 37.0}, Soil{"average", 29.0}, Soil{"wet", 20.0}}) {
    const double loss = solve_antenna(a, ground_by_name(s.name), 1.9e6).feed_ohm.real() - radiation;
    INFO(s.name << " " << loss);
    CHECK(std::abs(loss / s.computed_ohm - 1.0) <= 0.25);  // the vertical is not the same
    CHECK(78.5 / loss >= 2.0);
    CHECK(78.5 / loss <= 5.0);
  }
}

TEST_CASE("fifteen radials lose what was measured in 1937 within the soil's bracket") {
  // Brown, Lewis and Epstein, Proc. IRE 25, 1937, Fig. 30 as quoted in a list posting: -2.0 dB; row BLE15.
  const Table t = reference("measured.csv");
  const std::size_t row = row_of(t, "BLE15");
  const double f = 3e6, wavelength = speed_of_light_m_s / f, height = 0.01;
  const double perfect = solve_antenna(monopole(0.25 * wavelength, 0.002, 0.1), perfect_ground(), f).feed_ohm.real();
  std::vector<double> loss_db;
  for (const Ground& g : {lossy_ground(15.0, 2e-3), lossy_ground(20.0, 1e-2)}) {
    Antenna a;
    a.wires.push_back(bare({{0, 0, height}, {0, 0, height + 0.25 * wavelength}}, 0.002, {}, "mast"));
    for (int i = 0; i < 15; ++i) {
      const double angle = two_pi * i / 15.0;
      a.wires.push_back(bare(
          {{0, 0, height}, {0.41 * wavelength * std::cos(angle), 0.41 * wavelength * std::sin(angle), height}}, 0.001));
    }
    a.feed.gap_m = 0.1;
    const double r = solve_antenna(a, g, f, {0.4, GroundMethod::rigorous, 2000}).feed_ohm.real();
    loss_db.push_back(10.0 * std::log10(perfect / r));
  }
  // Radials 1 mm in radius: with 0.5 mm the computed loss is 0.5 dB larger, with 1.6 mm 0.3 dB smaller.
  const auto [worst, best] = std::minmax_element(loss_db.begin(), loss_db.end());
  INFO("loss " << *worst << " to " << *best << " measured " << t.number(row, "measured"));
  CHECK(*worst <= t.number(row, "measured"));
  CHECK(*best >= t.number(row, "measured"));
  CHECK(std::abs(*worst + 2.78) <= 0.15);  // predicted_range of the row
  CHECK(std::abs(*best + 1.83) <= 0.15);
}

TEST_CASE("the portable set without set and person shifts the right way and too far") {
  // P1: 5.2 m counterpoise raised 0.9 m, then laid on dry sand: measured -120 kHz at 7.2 MHz, independent solver -350
  // to -220. Reported as a misfit, not as agreement: the set, its leads and the person are left out.
  const auto set = [](double wire_height, double coil_h) {
    Antenna a;
    a.wires.push_back(bare({{0, 0, 0.71}, {0, 0, 2.71}}, 0.002, 1.4e6, "whip"));
    a.wires.push_back(bare({{0, 0, 0.71}, {0.5, 0, wire_height}, {5.2, 0, wire_height}}, 0.001, 5.8e7, "wire"));
    a.coils.push_back({0, 0.03, 0.02, coil_h, 200.0, 0.0});
    return a;
  };
  const Ground sand = ground_by_name("very dry");
  const Root coil = resonant_coil(set(0.9, 1e-6), 0, sand, 7.2e6, 5e-6, 100e-6);
  REQUIRE(coil.status == RootStatus::found);
  const Root laid = resonant_frequency(set(0.01, coil.x), sand, 6.5e6, 7.2e6);
  REQUIRE(laid.status == RootStatus::found);
  const double shift_khz = 1e-3 * (laid.x - 7.2e6);
  INFO("shift " << shift_khz << " kHz, measured -120");
  CHECK(shift_khz < -120.0);
  CHECK(shift_khz > -450.0);
}

#include <algorithm>
#include <utility>

#include <catch2/catch.hpp>

#include <stile/base/range.hpp>
#include <stile/base/roots.hpp>
#include <stile/wire/conditions.hpp>
#include <stile/wire/resonance.hpp>
#include <stile/wire/solve.hpp>

#include "wire/reference.hpp"

using namespace stile;
using namespace stile::wire;
using namespace stile::wire::test;

namespace {

/// "6.90-7.08" or "7.200", MHz.
Range range_of(const std::string& text) {
  const std::size_t dash = text.find('-', 1);
  const double low = std::stod(text);
  return {low, dash == std::string::npos ? low : std::stod(text.substr(dash + 1))};
}

/// Portable set at 0.71 m on dry sand, 1.5 m whip, 5.2 m of wire (wire_doubled_back_*.toml and wire_5.2m_*.toml).
Antenna portable(bool laid, bool doubled) {
  Antenna a;
  a.wires.push_back(bare({{0, 0, 0.71}, {0, 0, 2.21}}, 0.002, 1.4e6, "whip"));
  TrailingWire t;
  t.name = "cp";
  t.length_m = 5.2;
  t.radius_m = 0.0007;
  t.drop_distance_m = laid ? 1.0 : 2.7;
  t.lying_height_m = laid ? 0.02 : 0.9;
  t.doubled_back_m = doubled ? (laid ? 2.4 : 2.395) : 0.0;
  for (Wire& w : trailing_wires({t}, {0, 0, 0.71}, 0.02)) a.wires.push_back(std::move(w));
  a.feed.gap_m = 0.01;
  return a;
}

/// Where the antenna resonates with the coil at its base that tunes the raised straight wire at `set_hz`.
double resonance_hz(const Antenna& a, double set_hz) {
  const Ground sand = lossy_ground(5.0, 1e-3);
  const double set_x = solve_antenna(portable(false, false), sand, set_hz).feed_ohm.imag();
  const auto x = [&](double f) { return solve_antenna(a, sand, f).feed_ohm.imag() - set_x * f / set_hz; };
  const Root root = find_root(x, 0.9 * set_hz, 1.15 * set_hz, {0.05, 60});
  REQUIRE(root.status == RootStatus::found);
  return root.x;
}

Antenna ring(const std::vector<Vec3>& directions) {
  Antenna a;
  const double radius = 0.00081, foot = 0.21, top = 21.04;
  a.wires.push_back(bare({{0, 0, 0.01}, {0, 0, foot}}, radius, 5.8e7, "stem"));
  for (const double x : {-0.305, 0.305})
    a.wires.push_back(bare({{0, 0, foot}, {x, 0, foot}, {x, 0, top}, {0, 0, top}}, radius, 5.8e7, x < 0 ? "a" : "b"));
  for (const Vec3& d : directions)
    a.wires.push_back(bare({{0, 0, 0.01}, {0.457 * d.x_m, 0.457 * d.y_m, 0.01}, {30.5 * d.x_m, 30.5 * d.y_m, 0.01}},
                           radius, 5.8e7, "radial"));
  return a;
}

const Ground garden_soil = lossy_ground(10.0, 2e-3);

/// The dipole of dipole_80m_at_1m.csv.
Antenna garden_dipole(double leg_m) {
  Antenna a = dipole(leg_m, 0.00113, 0.02, 1.0, false);
  for (Wire& w : a.wires) {
    w.conductivity_s_m = 5.8e7;
    w.insulation = Insulation{0.0008, 4.0};
  }
  return a;
}

double garden_swr(const Antenna& a, double frequency_hz) {
  const cdouble z = solve_antenna(a, garden_soil, frequency_hz).feed_ohm;
  const double mirror = std::abs((z - 50.0) / (z + 50.0));
  return (1.0 + mirror) / (1.0 - mirror);
}

/// Where the SWR is least in steps of 10 kHz, and how much it is there.
std::pair<double, double> least_swr(const Antenna& a, double from_hz) {
  std::pair<double, double> best{0.0, 100.0};
  for (int n = 0; n <= 12; ++n) {
    const double f = from_hz + 0.01e6 * n, swr = garden_swr(a, f);
    if (swr < best.second) best = {f, swr};
  }
  return best;
}

}  // namespace

TEST_CASE("a wire doubled back on the ground resonates within 1 percent of the measurement, misfits of 1 to 14 percent "
          "kept in sight") {
  // Whip length, spacing and bodies are not stated: the computed range holds 1.5 and 2.3 m, 3 and 10 cm; this is one
  // corner of it, so half a percent beside is allowed. The raised doubled wire on 20 m and the laid straight one there
  // are misfits.
  const Table t = reference("wire_doubled_back.csv");
  REQUIRE(t.rows.size() == 8);
  for (std::size_t r = 0; r < t.rows.size(); ++r) {
    const std::string arrangement = t.text(r, "arrangement");
    const bool laid = arrangement.find("laid") == 0, doubled = arrangement.find("doubled") != std::string::npos;
    if (!laid && !doubled) continue;  // the reference itself
    const double measured = t.number(r, "resonance_measured_mhz"),
                 set_hz = t.number(r, "band_m") == 40 ? 7.2e6 : 13.73e6;
    const double mhz = 1e-6 * resonance_hz(portable(laid, doubled), set_hz);
    const Range computed_mhz = range_of(t.text(r, "computed_as_stated_mhz"));
    const double error = 100.0 * (mhz / measured - 1.0);
    INFO(t.number(r, "band_m") << " m, " << arrangement << ": " << mhz << " MHz, measured " << measured << ", error "
                               << error << " %");
    CHECK(mhz >= computed_mhz.low * 0.995);
    CHECK(mhz <= computed_mhz.high * 1.005);
    // The error seen, percent: of 40 m and of 20 m, laid, laid and doubled, raised and doubled.
    const double seen = t.number(r, "band_m") == 40 ? (!doubled ? -1.17
                                                       : laid   ? 0.88
                                                                : 2.60)
                                                    : (!doubled ? -13.58
                                                       : laid   ? 0.25
                                                                : 4.42);
    CHECK(std::abs(error - seen) <= 0.3);
  }
}

TEST_CASE("a dragged wire of 20 m practice is as long as computed on dry soil") {
  const Table t = reference("dragged_wire_20m.csv");
  const double f = 1e6 * t.number(0, "frequency_mhz"), quarter = 0.25 * speed_of_light_m_s / f;
  const auto share = [&](const Ground& soil) {
    const Root root = resonant_length([](double l) { return dipole(l, 0.0008, 0.01, 0.02, false); }, soil, f,
                                      0.6 * quarter, 1.1 * quarter);
    REQUIRE(root.status == RootStatus::found);
    return root.x / quarter;
  };
  const double dry = share(lossy_ground(5.0, 1e-3)), average = share(lossy_ground(13.0, 5e-3));
  INFO("dry " << dry << " average " << average << " dragged " << t.number(0, "length_over_quarter_wave_measured"));
  CHECK(std::abs(dry - t.number(0, "computed_5_1")) <= 0.003);
  CHECK(std::abs(average - t.number(0, "computed_13_5")) <= 0.003);
  CHECK(std::abs(dry / t.number(0, "length_over_quarter_wave_measured") - 1.0) <= 0.01);
}

TEST_CASE("a dipole a metre above a garden has its least SWR 3 percent below the measured frequency") {
  const Table t = reference("dipole_80m_at_1m.csv");
  const auto [at, best] = least_swr(garden_dipole(19.0), 3.50e6);
  INFO(at << " " << best << ", measured " << t.number(0, "measured") << " and " << t.number(1, "measured"));
  CHECK(std::abs(1e-6 * at - t.number(0, "computed_soil_10_2")) <= 0.011);
  CHECK(std::abs(best - t.number(1, "computed_soil_10_2")) <= 0.02);
  CHECK(std::abs(best - t.number(1, "measured")) <= 0.05);
  CHECK(std::abs(1e-6 * at / t.number(0, "measured") - 1.0 + 0.031) <= 0.003);  // the error seen: -3.1 percent
  // With legs of 20 m the page says "slightly below 3.5": 3.38 with the same shift is 3.49.
  const double longer = least_swr(garden_dipole(20.0), 3.32e6).first;
  CHECK(std::abs(1e-6 * longer - t.number(6, "computed_soil_10_2")) <= 0.011);
  CHECK(std::abs(1e-6 * longer / (1.0 - 0.031) - 3.49) <= 0.015);
}

TEST_CASE(
    "beside its least SWR the dipole above a garden shows the shifted curve, its reactance 22 percent steeper, as "
    "misfits kept in sight") {
  // The measured curve stands 3.1 percent higher, and is wider: feed cable and trees are not modelled. So the three SWR
  // meet what was computed, and not what was measured; the error seen is asserted.
  const Table t = reference("dipole_80m_at_1m.csv");
  const Antenna a = garden_dipole(19.0);
  for (const auto& [row, seen] : {std::pair{2U, -0.27}, std::pair{3U, 0.48}, std::pair{4U, 0.72}}) {
    const double swr = garden_swr(a, 1e6 * t.number(row, "frequency_mhz"));
    INFO(t.number(row, "frequency_mhz") << " MHz: " << swr << ", measured " << t.number(row, "measured"));
    CHECK(std::abs(swr - t.number(row, "computed_soil_10_2")) <= 0.02);
    CHECK(std::abs(swr / t.number(row, "measured") - 1.0 - seen) <= 0.02);
    // 3.1 percent higher it is the measured one to 14 percent, narrower as it is.
    const double shifted = garden_swr(a, 1e6 * t.number(row, "frequency_mhz") / 1.031);
    CHECK(std::abs(shifted / t.number(row, "measured") - 1.0) <= 0.14);
  }
  const auto x_ohm = [&](double f) { return solve_antenna(a, garden_soil, f).feed_ohm.imag(); };
  const double slope = x_ohm(3.575e6) - x_ohm(3.565e6);  // over 10 kHz about X = 0, ohm
  INFO("slope " << 100.0 * slope << " ohm/MHz, derived from the measurement " << t.number(5, "measured"));
  CHECK(std::abs(100.0 * slope - t.number(5, "computed_soil_10_2")) <= 4.0);
  CHECK(std::abs(100.0 * slope / t.number(5, "measured") - 1.22) <= 0.01);
}

TEST_CASE("thirty-two radials of a ring resonate 7 percent above the measurement") {
  // Row V2: 24 of 30.5 m, 8 of 21 to 24 m (22.5 here), bare, at 1 cm on 30/10 mS/m; X = 0 between two frequencies,
  // along which X is straight to 1 ohm. Cells 0.3 times as fine as by default keep it short: 0.5 moves it by 0.15
  // percent.
  const Table t = reference("ring_radials_1997.csv");
  std::vector<Vec3> directions;
  for (int n = 0; n < 32; ++n)
    directions.push_back({std::cos(two_pi * (n + 0.5) / 32.0), std::sin(two_pi * (n + 0.5) / 32.0), 0.0});
  Antenna a = ring(directions);
  for (std::size_t n = 0; n < 32; n += 4) {
    Vec3& end = a.wires[3 + n].points.back();
    end = {end.x_m * 22.5 / 30.5, end.y_m * 22.5 / 30.5, end.z_m};
  }
  const auto x_ohm = [&](double f) {
    return solve_antenna(a, lossy_ground(30.0, 1e-2), f, {0.3, GroundMethod::rigorous, 2000}).feed_ohm.imag();
  };
  const double low = 3.2e6, high = 3.4e6, x_low = x_ohm(low), x_high = x_ohm(high);
  REQUIRE(x_low < 0.0);
  REQUIRE(x_high > 0.0);
  const double f = low - x_low * (high - low) / (x_high - x_low);
  const Range computed_mhz = range_of(t.text(0, "computed_bare_mhz"));
  const double error = f * 1e-6 / t.number(0, "resonance_measured_mhz") - 1.0;
  INFO(f << ", error " << error);
  CHECK(1e-6 * f >= computed_mhz.low * 0.99);
  CHECK(1e-6 * f <= computed_mhz.high * 1.01);
  CHECK(std::abs(error - 0.073) <= 0.003);
}

TEST_CASE("one radial on a ring resonates 1 percent below the measurement, two 10 and four 22 percent above") {
  // "Resonance" was read as least SWR and R, here X = 0; bare radials at 1 cm on 30/10 mS/m. A misfit that is kept in
  // sight.
  const Table t = reference("ring_radials_1997.csv");
  const Ground wet = lossy_ground(30.0, 1e-2);
  const std::vector<Vec3> north{{0, 1, 0}}, two{{0, 1, 0}, {0, -1, 0}},
      four{{0, 1, 0}, {0, -1, 0}, {1, 0, 0}, {-1, 0, 0}};
  for (const std::size_t r : {1U, 2U, 3U}) {
    const Antenna a = ring(r == 1 ? north : r == 2 ? two : four);
    const Root f = resonant_frequency(a, wet, 2.1e6, 2.8e6, {0.5, GroundMethod::rigorous, 2000});
    REQUIRE(f.status == RootStatus::found);
    const Range computed_mhz = range_of(t.text(r, "computed_bare_mhz"));
    INFO(t.text(r, "id") << " " << f.x << " measured " << t.number(r, "resonance_measured_mhz"));
    CHECK(1e-6 * f.x >= computed_mhz.low * 0.99);
    CHECK(1e-6 * f.x <= computed_mhz.high * 1.01);
    const double error = 1e-6 * f.x / t.number(r, "resonance_measured_mhz") - 1.0;
    CHECK(std::abs(error - (r == 1 ? -0.0115 : r == 2 ? 0.1029 : 0.2169)) <= 0.003);
  }
}

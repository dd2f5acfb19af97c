#include <catch2/catch.hpp>

#include <stile/coil/analysis.hpp>
#include <stile/sweep/compare.hpp>

#include "sweep/synthetic.hpp"

using namespace stile;
using namespace stile::sweep;
using namespace stile::sweep::test;
using Catch::Matchers::Contains;

namespace {

cdouble at_resonance(double resonance_hz, double r, double f) {
  const double l = 20e-6;
  return series_rlc(r, l, 1.0 / (std::pow(two_pi * resonance_hz, 2) * l), f);
}

}  // namespace

TEST_CASE("a resonance is found to 1e-4 of its width") {
  // f/Q = R/(2 pi L) = 119 kHz for 15 ohm and 20 uH: twenty points in it are 6 kHz steps.
  const OnePort port =
      port_of(measured(steps(6.8e6, 7.4e6, 101), [](double f) { return at_resonance(7.0913e6, 15.0, f); }));
  const auto all = resonances(port.frequency_hz, port.z_ohm);
  REQUIRE(all.size() == 1);
  CHECK(std::abs(all[0].frequency_hz - 7.0913e6) <= 1e-4 * 119e3);
  CHECK(all[0].resistance_ohm == Approx(15.0).epsilon(1e-9));
  CHECK(all[0].q == Approx(7.0913e6 * two_pi * 20e-6 / 15.0).epsilon(1e-4));
}

TEST_CASE("a parallel resonance is found to 1e-4 of its width, and compared with its own kind") {
  // 1/(2 pi R C) = 398 kHz for 1 kohm and 400 pF.
  const auto circuit = [](double resonance_hz, double f) {
    const double c = 400e-12, l = 1.0 / (std::pow(two_pi * resonance_hz, 2) * c);
    return 1.0 / cdouble(1e-3, two_pi * f * c - 1.0 / (two_pi * f * l));
  };
  const auto f = steps(6.3e6, 7.9e6, 81);
  const OnePort port = port_of(measured(f, [&](double hz) { return circuit(7.0913e6, hz); }));
  const auto all = resonances(port.frequency_hz, port.z_ohm);
  REQUIRE(all.size() == 1);
  CHECK(all[0].parallel);
  CHECK(std::abs(all[0].frequency_hz - 7.0913e6) <= 1e-4 * 398e3);
  CHECK(all[0].resistance_ohm == Approx(1000.0).epsilon(1e-9));
  const double q = two_pi * 7.0913e6 * 400e-12 * 1000.0;
  CHECK(all[0].q == Approx(q).epsilon(3e-4));
  CHECK(all[0].slope_ohm_per_hz == Approx(-2.0 * 1000.0 * q / 7.0913e6).epsilon(1e-3));
  const OnePort moved = port_of(measured(f, [&](double hz) { return circuit(7.05e6, hz); }));
  const Comparison c = compare(port, moved);
  REQUIRE(c.resonances.size() == 1);
  CHECK(c.resonances[0].moved_hz == Approx(-41.3e3).epsilon(1e-3));
  const OnePort series = port_of(measured(f, [](double hz) { return at_resonance(7.09e6, 15.0, hz); }));
  CHECK(compare(port, series).resonances.empty());
}

TEST_CASE("the turns of a coil from its geometry are those of the coil wound so, within 2 percent") {
  const coil::Winding winding = coil::plain_winding(40.0, 0.05, 1.5e-3, 1e-3);
  const auto inductance = [&](double n) {
    return coil::analyse(winding, coil::tapped(winding, n, coil::Unused::open), 7.1e6).inductance_h;
  };
  for (const double turns : {8.0, 22.0}) {
    const CoilTap tap = tap_of(winding, turns, 7.1e6);
    CHECK(tap.inductance_h == Approx(inductance(turns)).epsilon(1e-12));
    CHECK(tap.exponent > 1.0);
    CHECK(tap.exponent < 2.0);
    const double step = 0.05 * tap.inductance_h;  // a tenth about the tap
    const double said = 2.0 * step * turns / (tap.exponent * tap.inductance_h);
    const auto turns_of = [&](double l, double a, double b) {
      for (int i = 0; i < 40; ++i) (inductance(0.5 * (a + b)) < l ? a : b) = 0.5 * (a + b);
      return 0.5 * (a + b);
    };
    const double wound =
        turns_of(tap.inductance_h + step, turns, 1.5 * turns) - turns_of(tap.inductance_h - step, 0.5 * turns, turns);
    CHECK(said == Approx(wound).epsilon(0.02));
  }
  CHECK_THROWS_AS(tap_of(winding, 39.8, 7.1e6), DomainError);
  CHECK_THROWS_AS(tap_of(winding, 0.5, 7.1e6), DomainError);
}

TEST_CASE("two conditions: ohm, kilohertz and turns that moved") {
  const auto f = steps(6.8e6, 7.4e6, 101);
  const OnePort dry = port_of(measured(f, [](double hz) { return at_resonance(7.10e6, 15.0, hz); }));
  const OnePort wet = port_of(measured(f, [](double hz) { return at_resonance(7.05e6, 21.0, hz); }));
  const Comparison c = compare(dry, wet, CoilTap{20.0, 20e-6, 0.0});
  REQUIRE(c.resonances.size() == 1);
  CHECK(c.resonances[0].moved_hz == Approx(-50e3).epsilon(1e-3));
  REQUIRE(c.points.size() == 101);
  const ComparedPoint& p = c.points[50];
  CHECK(p.moved_ohm.real() == Approx(6.0).epsilon(1e-9));
  CHECK(p.moved_ohm.imag() > 0.0);
  // X rose by dX: L must fall by dX / w, which is N dL/L turns of a long coil and half of that where all turns couple.
  const double turns = -p.moved_ohm.imag() / (two_pi * p.frequency_hz) / 20e-6 * 20.0;
  CHECK(p.turns_low == Approx(turns).epsilon(1e-12));
  CHECK(p.turns_high == Approx(0.5 * turns).epsilon(1e-12));
  CHECK(c.largest_moved_ohm >= c.rms_moved_ohm);
  CHECK_FALSE(c.plane_delay_s);
  CHECK_THROWS_AS(compare(dry, wet, CoilTap{0.0, 20e-6, 0.0}), DomainError);
  CHECK_THROWS_WITH(compare(dry, port_of(measured({1e6, 2e6}, [](double) { return cdouble(50.0); }))),
                    Contains("no frequency in common"));
}

TEST_CASE("the uncertainty of a difference is that of both, between points the larger neighbour's") {
  OnePort first, second;
  first.frequency_hz = {7.0e6, 7.05e6, 7.1e6};
  first.z_ohm = {{10.0, -50.0}, {11.0, -40.0}, {12.0, -30.0}};
  first.uncertainty_ohm = {3.0, 3.0, 3.0};
  second.frequency_hz = {7.0e6, 7.1e6};
  second.z_ohm = {{20.0, -60.0}, {40.0, -20.0}};
  second.uncertainty_ohm = {1.0, 4.0};
  const Comparison c = compare(first, second);
  REQUIRE(c.points.size() == 3);
  CHECK(c.points[0].uncertainty_ohm == Approx(std::sqrt(10.0)).epsilon(1e-12));
  CHECK(c.points[1].uncertainty_ohm == Approx(5.0).epsilon(1e-12));
  CHECK(c.points[2].uncertainty_ohm == Approx(5.0).epsilon(1e-12));
  // Moved by 10-10j, 19+0j and 28+10j ohm: squares 200, 361 and 884.
  CHECK(c.points[1].second_ohm == cdouble(30.0, -40.0));
  CHECK(c.points[1].moved_ohm == cdouble(19.0, 0.0));
  CHECK(c.rms_moved_ohm == Approx(std::sqrt(1445.0 / 3.0)).epsilon(1e-12));
  CHECK(c.largest_moved_ohm == Approx(std::sqrt(884.0)).epsilon(1e-12));
  CHECK(c.largest_at_hz == 7.1e6);
}

TEST_CASE("resonances are the same up to a tenth of their frequency apart") {
  const auto port = [](double resonance_hz) {
    return port_of(measured(steps(5e6, 10e6, 501), [=](double f) { return at_resonance(resonance_hz, 15.0, f); }));
  };
  CHECK(compare(port(7e6), port(7.65e6)).resonances.size() == 1);
  CHECK(compare(port(7e6), port(7.75e6)).resonances.empty());
  CHECK(compare(port(7e6), port(6.25e6)).resonances.empty());
}

TEST_CASE("a computed load compares as a sweep does") {
  const OnePort port =
      port_of(measured(steps(6.8e6, 7.4e6, 11), [](double f) { return at_resonance(7.1e6, 15.0, f); }));
  const load::Load computed{"computed", "", load::ConstantLoad{{20.0, -30.0}}, {}};
  const Comparison c = compare(port, computed);
  REQUIRE(c.points.size() == 11);
  CHECK(c.points[3].second_ohm == cdouble(20.0, -30.0));
  CHECK(c.second == "computed");
}

TEST_CASE("a calibration plane that moved is told by its delay") {
  const auto f = steps(5e6, 60e6, 111);
  const auto z = [](double hz) { return at_resonance(27e6, 120.0, hz); };
  const OnePort before = port_of(measured(f, z, 2e-4, 1));
  Sweep moved = measured(f, z, 2e-4, 2);
  for (std::size_t i = 0; i < f.size(); ++i) moved.values[i] *= std::polar(1.0, -4.0 * pi * f[i] * 0.3e-9);
  const Comparison c = compare(before, port_of(moved));
  REQUIRE(c.plane_delay_s);
  CHECK(*c.plane_delay_s == Approx(0.3e-9).epsilon(0.01));
  CHECK_THAT(found(c.findings, FindingKind::plane).text, Contains("calibration plane moved"));
}

#include <catch2/catch.hpp>

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
  const auto all = resonances(port);
  REQUIRE(all.size() == 1);
  CHECK(std::abs(all[0].frequency_hz - 7.0913e6) <= 1e-4 * 119e3);
  CHECK(all[0].resistance_ohm == Approx(15.0).epsilon(1e-9));
  CHECK(all[0].q == Approx(7.0913e6 * two_pi * 20e-6 / 15.0).epsilon(1e-4));
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

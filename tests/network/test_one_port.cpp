#include <catch2/catch.hpp>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/network/one_port.hpp>

using namespace stile;
using namespace stile::network;

TEST_CASE("Q of a series circuit from its slope") {
  // Identity: R = 5 ohm, Q = 100 at 7 MHz; and away from resonance, where the tuning reactance adds.
  const double f = 7e6, w = two_pi * f, r = 5.0, l = 500.0 / w, c = 1.0 / (500.0 * w);
  const cdouble slope{0.0, two_pi * (l + 1.0 / (w * w * c))};
  CHECK(std::abs(q_from_impedance({r, w * l - 1.0 / (w * c)}, slope, f) - 100.0) <= 1e-12 * 100.0);
  const cdouble inductive{0.0, two_pi * l};
  CHECK(std::abs(q_from_impedance({r, w * l}, inductive, f) - 100.0) <= 1e-12 * 100.0);
  // From two neighbours: of a reactance that is straight in frequency the slope by difference is exact.
  CHECK(std::abs(q_from_impedance({r, 0.99 * w * l}, 0.99 * f, {r, 1.01 * w * l}, 1.01 * f) - 100.0) <= 1e-10);
  CHECK_THROWS_AS(q_from_impedance({0.0, 1.0}, slope, f), DomainError);
  CHECK_THROWS_AS(q_from_impedance({r, 1.0}, slope, 0.0), DomainError);
  CHECK_THROWS_AS(q_from_impedance({r, 1.0}, {infinite, 0.0}, f), DomainError);
  CHECK_THROWS_AS(q_from_impedance({r, 1.0}, f, {r, 1.0}, f), DomainError);
}

TEST_CASE("voltage across a load") {
  // 50 ohm and 5 W: sqrt(2 * 5 * 50) = 22.36 V; the reactance in series sees the same current.
  CHECK(std::abs(load_voltage_v_peak(50.0, 5.0) - std::sqrt(500.0)) <= 1e-14 * 22.4);
  CHECK(std::abs(load_voltage_v_peak({3.0, -4.0}, 6.0) - 10.0) <= 1e-14 * 10.0);
  CHECK(load_voltage_v_peak({3.0, -4.0}, 0.0) == 0.0);
  CHECK_THROWS_AS(load_voltage_v_peak({0.0, 1.0}, 5.0), DomainError);
  CHECK_THROWS_AS(load_voltage_v_peak(50.0, -1.0), DomainError);
  CHECK_THROWS_AS(load_voltage_v_peak(50.0, infinite), DomainError);
}

TEST_CASE("voltage across the load of a network that loses nothing is that of the power") {
  const cdouble load{20.0, -30.0};
  const Evaluation e = evaluate({}, {20.0, 5.0}, 7.1e6, load);
  const double expected = load_voltage_v_peak(load, e.power.delivered_w);
  CHECK(std::abs(load_voltage_v_peak(e) - expected) <= 1e-12 * expected);
}

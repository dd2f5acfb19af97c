// A second route: random L, pi and T networks solved by a general circuit simulator (ngspice) from a netlist in which
// every loss is a resistor, computed here from the definitions and not by the library.

#include <cmath>
#include <complex>
#include <map>
#include <string>
#include <vector>

#include <catch2/catch.hpp>
#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/network/ladder.hpp>

#include "network/circuit_simulator.hpp"
#include "network/random_ladder.hpp"

using namespace stile;
using namespace stile::network;
using namespace stile::network::test;

namespace {

struct Network {
  Ladder ladder;
  Source source;
  double frequency_hz = 0.0;
  cdouble z_load{};
};

/// A coil or capacitor of 20 to 1500 ohm with losses of every kind.
Component random_part(RandomLadders& random, double frequency_hz) {
  const double x = random.log_uniform(20.0, 1500.0), w = two_pi * frequency_hz;
  Loss loss{.q = random.log_uniform(20.0, 1000.0)};
  if (random.chance(0.3)) loss.q_at_hz = random.frequency_hz();
  if (random.chance(0.3)) loss.series_ohm = random.log_uniform(0.01, 3.0);
  if (random.chance(0.5)) {
    const double own_resonance = random.log_uniform(2.0, 10.0) * w;
    return Inductor{x / w, loss, random.chance(0.5) ? w / (x * own_resonance * own_resonance) : 0.0};
  }
  if (random.chance(0.5)) loss.loss_tangent = random.log_uniform(1e-4, 0.1);
  return Capacitor{1.0 / (w * x), loss};
}

Network random_network(RandomLadders& random, int form, double frequency_hz) {
  const std::vector<Place> forms[] = {{Place::series, Place::shunt},
                                      {Place::shunt, Place::series},
                                      {Place::shunt, Place::series, Place::shunt},
                                      {Place::series, Place::shunt, Place::series}};
  Network network{{}, random.source(), frequency_hz, random.load()};
  for (const Place place : forms[form])
    network.ladder.elements.push_back({"", place, random_part(random, frequency_hz), {}});
  return network;
}

/// Reactance as a coil or capacitor between two nodes; 0 is not drawn.
std::string reactive(const std::string& name, const std::string& a, const std::string& b, double x, double w) {
  return x > 0.0 ? fmt::format("L{} {} {} {:.17g}\n", name, a, b, x / w)
                 : fmt::format("C{} {} {} {:.17g}\n", name, a, b, -1.0 / (w * x));
}

/// Loss resistances of a part, ohm, from the definitions.
struct LossResistors {
  double series_ohm = 0.0;
  double parallel_ohm = 0.0;  ///< across the capacitance; 0: none
};

LossResistors loss_resistors(const Component& part, double f) {
  const auto series_ohm = [&](const Loss& loss, auto reactance_at) {
    if (loss.q_at_hz == 0.0) return reactance_at(f) / loss.q + loss.series_ohm;
    return reactance_at(loss.q_at_hz) / loss.q * std::sqrt(f / loss.q_at_hz) + loss.series_ohm;
  };
  if (const auto* coil = std::get_if<Inductor>(&part)) {
    return {series_ohm(coil->loss, [&](double f1) { return two_pi * f1 * coil->inductance_h; }), 0.0};
  }
  const auto& c = std::get<Capacitor>(part);
  const auto x = [&](double f1) { return 1.0 / (two_pi * f1 * c.capacitance_f); };
  return {series_ohm(c.loss, x), c.loss.loss_tangent > 0.0 ? x(f) / c.loss.loss_tangent : 0.0};
}

/// One network: source s<n>, element k between n<n>_<k> and the next node (or 0), its current in v<n>_<k>, the
/// junction of loss resistor and reactance j<n>_<k>, the load's current in vl<n>.
std::string netlist(const Network& network, int n) {
  const double f = network.frequency_hz, w = two_pi * f;
  const cdouble zs = network.source.z_ohm, zl = network.z_load;
  std::string text = fmt::format("Vs{0} s{0} 0 dc 0 ac {1:.17g}\nRs{0} s{0} x{0} {2:.17g}\n", n,
                                 std::sqrt(4.0 * zs.real() * network.source.power_w), zs.real());
  text += reactive(fmt::format("s{}", n), fmt::format("x{}", n), fmt::format("n{}_0", n), zs.imag(), w);
  int at = 0;
  for (std::size_t k = 0; k < network.ladder.elements.size(); ++k) {
    const Element& e = network.ladder.elements[k];
    const std::string a = fmt::format("n{}_{}", n, at), id = fmt::format("{}_{}", n, k);
    const std::string b = e.place == Place::shunt ? "0" : fmt::format("n{}_{}", n, ++at);
    const LossResistors loss = loss_resistors(e.part, f);
    text += fmt::format("V{0} {1} i{0} 0\nR{0} i{0} j{0} {2:.17g}\n", id, a, loss.series_ohm);
    if (const auto* coil = std::get_if<Inductor>(&e.part)) {
      text += fmt::format("L{0} j{0} {1} {2:.17g}\n", id, b, coil->inductance_h);
      if (coil->self_capacitance_f > 0.0)
        text += fmt::format("Cp{0} {1} {2} {3:.17g}\n", id, a, b, coil->self_capacitance_f);
    } else {
      text += fmt::format("C{0} j{0} {1} {2:.17g}\n", id, b, std::get<Capacitor>(e.part).capacitance_f);
      if (loss.parallel_ohm > 0.0) text += fmt::format("Rp{0} j{0} {1} {2:.17g}\n", id, b, loss.parallel_ohm);
    }
  }
  text += fmt::format("Vl{0} n{0}_{1} y{0} 0\nRl{0} y{0} z{0} {2:.17g}\n", n, at, zl.real());
  return text + reactive(fmt::format("l{}", n), fmt::format("z{}", n), "0", zl.imag(), w);
}

}  // namespace

TEST_CASE("random L pi and T networks agree with a circuit simulator") {
  constexpr int count = 96;
  const std::vector<double> frequencies{1.85e6, 3.6e6, 7.1e6, 10.1e6, 14.2e6, 28.5e6};
  RandomLadders random(20240614);
  std::vector<Network> networks;
  for (int n = 0; n < count; ++n) {
    networks.push_back(
        random_network(random, n % 4, frequencies[static_cast<std::size_t>(n / 4) % frequencies.size()]));
  }

  std::string circuit;
  for (int n = 0; n < count; ++n) circuit += netlist(networks[static_cast<std::size_t>(n)], n);
  const std::vector<std::map<std::string, cdouble>> solved = simulated(circuit, frequencies);

  double worst = 0.0;
  const auto check = [&](const char* what, double value, double expected) {
    INFO(what << " " << value << ", simulator " << expected);
    const double error = std::abs(value - expected) / std::abs(expected);
    CHECK(error <= 1e-9);
    worst = std::max(worst, error);
  };
  for (int n = 0; n < count; ++n) {
    const Network& network = networks[static_cast<std::size_t>(n)];
    const auto& vectors = solved[static_cast<std::size_t>(n / 4) % frequencies.size()];
    INFO("network " << n << ":\n" << netlist(network, n));
    const auto voltage = [&](const std::string& node) {
      return node == "0" ? cdouble{} : vectors.at("v(" + node + ")");
    };
    const auto current = [&](const std::string& source) { return vectors.at("i(" + source + ")"); };
    const Evaluation e = evaluate(network.ladder, network.source, network.frequency_hz, network.z_load);

    const cdouble z = voltage(fmt::format("n{}_0", n)) / -current(fmt::format("vs{}", n));
    check("input impedance", std::abs(e.z_input_ohm - z) + std::abs(z), std::abs(z));
    const cdouble i_load = current(fmt::format("vl{}", n));
    check("load current", std::abs(e.load_current_a - i_load) + std::abs(i_load), std::abs(i_load));
    check("delivered power", e.power.delivered_w, network.z_load.real() * std::norm(i_load));
    int at = 0;
    for (std::size_t k = 0; k < network.ladder.elements.size(); ++k) {
      const Element& element = network.ladder.elements[k];
      const std::string a = fmt::format("n{}_{}", n, at), id = fmt::format("{}_{}", n, k);
      const std::string b = element.place == Place::shunt ? "0" : fmt::format("n{}_{}", n, ++at);
      const LossResistors loss = loss_resistors(element.part, network.frequency_hz);
      const double i2 = std::norm(current("v" + id));
      const double parallel_w =
          loss.parallel_ohm > 0.0 ? std::norm(voltage("j" + id) - voltage(b)) / loss.parallel_ohm : 0.0;
      INFO("element " << k);
      check("current", e.elements[k].current_a_rms, std::sqrt(i2));
      check("voltage", e.elements[k].voltage_v_peak, std::sqrt(2.0) * std::abs(voltage(a) - voltage(b)));
      check("loss", e.elements[k].dissipation_w, loss.series_ohm * i2 + parallel_w);
    }
  }
  INFO("largest difference " << worst);
  CHECK(worst >
        0.0);  // two routes never agree in every bit: an exact zero would mean that one was compared with itself
}

#include <cmath>

#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/coil/autotransformer.hpp>
#include <stile/network/ladder.hpp>

#include "reference.hpp"

using namespace stile;
using namespace stile::coil;
using namespace stile::coil::test;

namespace {

/// The largest difference of entries, each over the larger of the two matrices' entry.
double apart(const network::Chain& x, const network::Chain& y) {
  double most = 0.0;
  for (const auto& [a, b] : {std::pair(x.a, y.a), std::pair(x.b, y.b), std::pair(x.c, y.c), std::pair(x.d, y.d)})
    most = std::max(most, std::abs(a - b) / std::max(std::abs(a), std::abs(b)));
  return most;
}

}  // namespace

TEST_CASE("an autotransformer with a resistor at its tap is what analyse makes of it") {
  // Second route: the resistor as a strap between two places of the winding.
  const Winding winding = plain_winding(24, 0.04, 0.002, 0.001);
  const CoilModel model = coil_model(winding);
  const double f = 7.1e6;
  const TurnSolution turns = solve_turns(model, f);
  for (const double feed : {3.0, 8.5, 20.0}) {
    for (const double load : {12.0, 24.0}) {
      for (const Unused unused : {Unused::open, Unused::shorted}) {
        const network::ImpedanceMatrix z = autotransformer(model, turns, {feed, load, unused, 0.02});
        Connection c{{0, feed}, {0, 0.0}, Grounded::to, {{{0, load}, {0, 0.0}, 900.0}}};
        const double used = std::max(feed, load);
        if (unused == Unused::shorted && used < 24.0) c.straps.push_back({{0, used}, {0, 24.0}, 0.02});
        const cdouble expected = analyse(model, turns, c).z_ohm;
        INFO("fed at " << feed << ", loaded at " << load);
        CHECK(std::abs(z.z11 - z.z12 * z.z21 / (z.z22 + 900.0) - expected) <= 1e-9 * std::abs(expected));
      }
    }
  }
}

TEST_CASE("a tapped coil's parts are its two-port") {
  const Winding winding = plain_winding(24, 0.04, 0.002, 0.001);
  const CoilModel model = coil_model(winding);
  for (const double f : {3.65e6, 7.1e6, 14.2e6}) {
    const TurnSolution turns = solve_turns(model, f);
    for (const auto& [feed, load] :
         {std::pair(3.0, 24.0), std::pair(10.0, 15.5), std::pair(15.0, 4.0), std::pair(8.0, 8.0)}) {
      const network::ImpedanceMatrix z = autotransformer(model, turns, {feed, load});
      const std::vector<network::Element> parts = two_port_elements("coil", z, f);
      std::vector<network::Chain> chains;
      for (const network::Element& e : parts) chains.push_back(network::chain(e, f));
      INFO(f << " Hz, fed at " << feed << ", loaded at " << load);
      CHECK(apart(network::cascade(chains), network::to_chain(z)) <= 1e-9);
      // What the parts dissipate is what the two-port does.
      const cdouble whip{12.0, -700.0};
      const network::Evaluation e = network::evaluate({parts}, {50.0, 5.0}, f, whip);
      const cdouble i2 = -e.load_current_a, i1 = -(z.z22 + whip) * i2 / z.z12;
      const double lost = z.z11.real() * std::norm(i1) + 2.0 * z.z12.real() * (i1 * std::conj(i2)).real() +
                          z.z22.real() * std::norm(i2);
      double parts_lost = 0.0;
      for (const network::Stress& s : e.elements) parts_lost += s.dissipation_w;
      CHECK(off(parts_lost, lost) <= 1e-8);
      CHECK(off(e.power.accepted_w, e.power.delivered_w + parts_lost) <= 1e-9);
    }
  }
}

TEST_CASE("a tapped coil's parts are coils and stay near to it across a band") {
  const CoilModel model = coil_model(plain_winding(40, 0.041, 0.002, 0.001));
  const TurnSolution turns = solve_turns(model, 7.1e6), above = shifted(turns, 7.2e6);
  for (const auto& [feed, load] : {std::pair(1.0, 38.0), std::pair(3.0, 38.0), std::pair(10.0, 25.0)}) {
    const std::vector<network::Element> parts =
        two_port_elements("coil", autotransformer(model, turns, {feed, load}), 7.1e6);
    INFO("fed at " << feed << ", loaded at " << load);
    for (const network::Element& e : parts) {
      if (e.place != network::Place::cascade) CHECK(std::holds_alternative<network::Inductor>(e.part));
    }
    std::vector<network::Chain> chains;
    for (const network::Element& e : parts) chains.push_back(network::chain(e, 7.2e6));
    CHECK(apart(network::cascade(chains), network::to_chain(autotransformer(model, above, {feed, load}))) <= 0.01);
  }
}

TEST_CASE("closely coupled turns transform by the square of their ratio") {
  // A coil far wider than long couples its turns all but fully; a load small against its reactance then shows
  // (n1/n2)^2.
  const Winding winding = plain_winding(8, 0.5, 0.0011, 0.001);
  const CoilModel model = coil_model(winding, {CurrentModel::even, 0});
  const double f = 2e5;
  const network::ImpedanceMatrix z = autotransformer(model, solve_turns(model, f), {4.0, 8.0});
  CHECK(off(std::sqrt(z.z22.imag() / z.z11.imag()), 2.0) <= 0.1);
  const cdouble seen = z.z11 - z.z12 * z.z21 / (z.z22 + 10.0);
  CHECK(off(seen.real(), 2.5) <= 0.1);
}

TEST_CASE("an autotransformer that cannot be is refused") {
  const CoilModel model = coil_model(plain_winding(8, 0.04, 0.002, 0.001));
  const TurnSolution turns = solve_turns(model, 7e6);
  CHECK_THROWS_AS(autotransformer(model, turns, {0.0, 4.0}), DomainError);
  CHECK_THROWS_AS(autotransformer(model, turns, {3.0, 8.5}), DomainError);
  CHECK_THROWS_AS(autotransformer(model, turns, {3.0, 4.0, Unused::shorted, -1.0}), DomainError);
  CHECK_THROWS_AS(two_port_elements("", {1.0, 2.0, 2.0, 1.0}, 7e6), DomainError);
  CHECK_THROWS_AS(two_port_elements("", {1.0, 0.1, 0.2, 1.0}, 7e6), DomainError);
  CHECK_THROWS_AS(two_port_elements("", {1.0, 0.0, 0.0, 1.0}, 7e6), DomainError);
  CHECK_THROWS_AS(two_port_elements("", {1.0, 0.5, 0.5, 1.0}, 0.0), DomainError);
}

#include <catch2/catch.hpp>

#include <cmath>
#include <random>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/network/chain.hpp>
#include <stile/plots/smith.hpp>

using namespace stile;
using plots::match_path;
using plots::MatchStep;

namespace {

constexpr double f = 7.1e6;

cdouble gamma(cdouble z, double z0 = 50.0) { return (z - z0) / (z + z0); }

double largest_gap(const std::vector<cdouble>& path) {
  double most = 0.0;
  for (std::size_t i = 1; i < path.size(); ++i) most = std::max(most, std::abs(gamma(path[i]) - gamma(path[i - 1])));
  return most;
}

cdouble input_of(const network::Ladder& ladder, cdouble z_load) {
  std::vector<network::Chain> chains;
  for (const network::Element& element : ladder.elements) chains.push_back(network::chain(element, f));
  return network::input_impedance(chains, z_load);
}

network::Element random_element(std::mt19937& random) {
  const auto in = [&](double low, double high) {
    return std::exp(std::uniform_real_distribution(std::log(low), std::log(high))(random));
  };
  const network::Place place = random() % 2 ? network::Place::series : network::Place::shunt;
  switch (random() % 5) {
  case 0:
    return {"L", place, network::Inductor{in(1e-7, 4e-5), {.q = in(30.0, 400.0)}, 1e-12}, {}};
  case 1:
    return {"C", place, network::Capacitor{in(1e-11, 3e-9), {.q = 1000.0}}, {}};
  case 2:
    return {"R", place, network::Resistor{in(0.1, 1e4)}, {}};
  case 3:
    return {"T", network::Place::cascade, network::Transformer{in(0.3, 3.0)}, {}};
  default:
    return {"cable", network::Place::cascade, network::TransmissionLine{network::cable("RG-58"), in(0.1, 40.0)}, {}};
  }
}

}  // namespace

TEST_CASE("a match path ends at the input impedance and stays passive and fine") {
  std::mt19937 random(20240611);
  for (int round = 0; round < 300; ++round) {
    network::Ladder ladder;
    for (auto n = 1 + random() % 5; n > 0; --n) ladder.elements.push_back(random_element(random));
    const cdouble load(std::uniform_real_distribution(1.0, 80.0)(random),
                       std::uniform_real_distribution(-2000.0, 500.0)(random));
    const std::vector<MatchStep> steps = match_path(ladder, f, load);
    INFO("round " << round);
    REQUIRE(steps.size() == ladder.elements.size());
    cdouble at = load;
    for (std::size_t i = 0; i < steps.size(); ++i) {
      const network::Element& element = ladder.elements[ladder.elements.size() - 1 - i];
      INFO("step " << i << " " << steps[i].label);
      REQUIRE(steps[i].path_ohm.size() >= 2);
      CHECK(std::abs(steps[i].path_ohm.front() - at) <= 1e-12 * std::abs(at));
      at = steps[i].path_ohm.back();
      for (const cdouble z : steps[i].path_ohm) CHECK(z.real() >= -1e-12 * std::abs(z));
      if (network::kind_name(element.part) != "transformer") CHECK(largest_gap(steps[i].path_ohm) <= 0.03);
    }
    const cdouble expected = input_of(ladder, load);
    CHECK(std::abs(at - expected) <= 1e-9 * std::abs(expected));
  }
}

TEST_CASE("a lossless series element keeps the resistance and moves by equal steps") {
  const network::Ladder ladder{{{"L1", network::Place::series, network::Inductor{40e-6}, {}}}};
  const auto path = match_path(ladder, f, {13.8, -1058.0})[0].path_ohm;
  double least = 1.0;
  for (std::size_t i = 0; i < path.size(); ++i) {
    CHECK(std::abs(path[i].real() - 13.8) <= 1e-12);
    if (i > 0) {
      CHECK(path[i].imag() > path[i - 1].imag());
      least = std::min(least, std::abs(gamma(path[i]) - gamma(path[i - 1])));
    }
  }
  CHECK(largest_gap(path) <= 0.0201);
  CHECK(largest_gap(path) <= 1.001 * least);
}

TEST_CASE("a path through a narrow resonance is not cut short") {
  const double x = 1000.0;
  const network::Ladder ladder{{{"L1", network::Place::series, network::Inductor{1.7 * x / (two_pi * f)}, {}}}};
  const auto path = match_path(ladder, f, {0.001, -x})[0].path_ohm;
  CHECK(largest_gap(path) <= 0.0201);
  double leftmost = 1.0;
  for (const cdouble z : path) leftmost = std::min(leftmost, gamma(z).real());
  CHECK(leftmost < -0.999);
}

TEST_CASE("a lossless shunt element keeps the conductance") {
  const network::Ladder ladder{{{"C1", network::Place::shunt, network::Capacitor{600e-12}, {}}}};
  const auto path = match_path(ladder, f, {20.0, 35.0})[0].path_ohm;
  const double g = (1.0 / cdouble(20.0, 35.0)).real();
  for (const cdouble z : path) CHECK(std::abs((1.0 / z).real() - g) <= 1e-14);
  CHECK(path.size() > 10);
}

TEST_CASE("a lossless line of the reference impedance keeps the size of the reflection") {
  const double c = 1.0 / (50.0 * 2e8), l = 50.0 / 2e8;  // 50 ohm, 2e8 m/s
  const double length = 0.2 * 2e8 / f;                  // 0.2 wavelengths
  const network::Ladder ladder{
      {{"", network::Place::cascade, network::TransmissionLine{network::Rlgc{0.0, l, 0.0, c}, length}, {}}}};
  const cdouble load(20.0, -80.0);
  const auto path = match_path(ladder, f, load)[0].path_ohm;
  for (const cdouble z : path) CHECK(std::abs(std::abs(gamma(z)) - std::abs(gamma(load))) <= 1e-12);
  const double turned = std::arg(gamma(path.back()) / gamma(load));  // -2 beta l = -0.8 pi
  CHECK(std::abs(turned + 0.8 * pi) <= 1e-9);
}

TEST_CASE("a transformer jumps and a shunt across a short circuit changes nothing") {
  const network::Ladder ladder{{{"T1", network::Place::cascade, network::Transformer{2.0}, {}}}};
  const auto jump = match_path(ladder, f, {12.0, 3.0})[0];
  REQUIRE(jump.path_ohm.size() == 2);
  CHECK(std::abs(jump.path_ohm[1] - cdouble(48.0, 12.0)) <= 1e-12);
  CHECK(jump.label == "T1, 2:1");

  const network::Ladder shunt{{{"", network::Place::shunt, network::Capacitor{1e-9}, {}}}};
  const auto still = match_path(shunt, f, 0.0)[0];
  CHECK(still.path_ohm == std::vector<cdouble>{0.0, 0.0});
  CHECK(still.label == "shunt 1 nF");
  CHECK(match_path({}, f, 50.0).empty());
}

TEST_CASE("a match path refuses what has no picture") {
  const network::Ladder coil{{{"L1", network::Place::series, network::Inductor{1e-6}, {}}}};
  CHECK_THROWS_AS(match_path(coil, f, {-1.0, 0.0}), DomainError);
  CHECK_THROWS_AS(match_path(coil, f, {network::infinite, 0.0}), DomainError);
  CHECK_THROWS_AS(match_path(coil, 0.0, 50.0), DomainError);
  CHECK_THROWS_AS(match_path(coil, f, 50.0, 0.0), DomainError);
  const network::Ladder trap{{{"", network::Place::shunt, network::FixedImpedance{{0.0, -16.0}}, {}}}};
  CHECK_THROWS_AS(match_path(trap, f, {0.0, 16.0}), DomainError);  // an open circuit
  const network::Ladder shorted{{{"", network::Place::shunt, network::Resistor{0.0}, {}}}};
  CHECK_THROWS_AS(match_path(shorted, f, 50.0), DomainError);
}

#include <array>
#include <catch2/catch.hpp>
#include <map>
#include <utility>

#include <stile/base/errors.hpp>
#include <stile/network/two_port.hpp>

#include "network/reference.hpp"

using namespace stile;
using namespace stile::network;
using namespace stile::network::test;

namespace {

constexpr std::array definitions{WaveDefinition::power, WaveDefinition::pseudo, WaveDefinition::travelling};

using Entries = std::array<cdouble, 4>;
Entries entries(const ImpedanceMatrix& m) { return {m.z11, m.z12, m.z21, m.z22}; }
Entries entries(const AdmittanceMatrix& m) { return {m.y11, m.y12, m.y21, m.y22}; }
Entries entries(const ScatteringMatrix& m) { return {m.s11, m.s12, m.s21, m.s22}; }
Entries entries(const TransferMatrix& m) { return {m.t11, m.t12, m.t21, m.t22}; }

// Largest difference over the largest entry. A chain is compared entry by entry in ohm and siemens after scaling to
// 50 ohm, as its entries have different units.
double distance(const Entries& p, const Entries& q) {
  double difference = 0.0, size = 0.0;
  for (std::size_t k = 0; k < 4; ++k) {
    difference = std::max(difference, std::abs(p[k] - q[k]));
    size = std::max(size, std::abs(q[k]));
  }
  return difference / size;
}
template <class M>
double distance(const M& p, const M& q) {
  return distance(entries(p), entries(q));
}
double distance(const Chain& p, const Chain& q) {
  return distance(Entries{p.a, p.b / 50.0, p.c * 50.0, p.d}, Entries{q.a, q.b / 50.0, q.c * 50.0, q.d});
}

// "(50.0 + 10.0j)" as the reference file writes it.
cdouble bracketed(const std::string& text) {
  std::string plain;
  for (char ch : text) {
    if (ch != '(' && ch != ')' && ch != ' ') plain += ch;
  }
  return read_impedance(plain);
}

// A general two-port, active or not, that has every matrix with room to spare: no determinant within a factor of 50
// of 0, so that what is compared is the formulas and not the condition of the network.
ImpedanceMatrix random_impedance(Random& random, cdouble z_ref1, cdouble z_ref2) {
  for (;;) {
    const ImpedanceMatrix z{random.in_square(50.0), random.in_square(50.0), random.in_square(50.0),
                            random.in_square(50.0)};
    const double scale = 50.0 * 50.0;
    const cdouble det = z.z11 * z.z22 - z.z12 * z.z21;
    const cdouble det_ref = (z.z11 + z_ref1) * (z.z22 + z_ref2) - z.z12 * z.z21;
    if (std::abs(det) > 0.02 * scale && std::abs(det_ref) > 0.02 * scale && std::abs(z.z21) > 1.0 &&
        std::abs(z.z12) > 1.0) {
      return z;
    }
  }
}

}  // namespace

TEST_CASE("published definitions of S with complex references agree with an independent solution") {
  const Table t = reference("waves_vectors.csv");
  std::map<std::string, Chain> chains;
  for (std::size_t r = 0; r < t.rows.size(); ++r) {
    if (t.text(r, "param").size() != 1) continue;
    Chain& chain = chains[t.text(r, "network")];
    const cdouble value{t.number(r, "real"), t.number(r, "imag")};
    const char name = t.text(r, "param")[0];
    (name == 'A' ? chain.a : name == 'B' ? chain.b : name == 'C' ? chain.c : chain.d) = value;
  }
  const std::map<std::string, WaveDefinition> named{
      {"power", WaveDefinition::power}, {"pseudo", WaveDefinition::pseudo}, {"travelling", WaveDefinition::travelling}};
  std::map<std::pair<std::string, WaveDefinition>, ScatteringMatrix> matrices;
  std::size_t handled = 0;
  for (std::size_t r = 0; r < t.rows.size(); ++r) {
    const std::string network = t.text(r, "network"), param = t.text(r, "param");
    const cdouble expected{t.number(r, "real"), t.number(r, "imag")};
    INFO(network << " " << t.text(r, "definition") << " " << param);
    if (param.size() == 1) {  // the chain itself, from the description
      const Chain built =
          network == "W1" ? cascade(series_chain({0.5, 22.0}), shunt_chain(1.0 / cdouble{2.0, -70.0}))
                          : to_chain(AdmittanceMatrix{{4e-3, 3e-3}, {-0.2e-3, -1e-3}, {50e-3, -8e-3}, {1.5e-3, 2e-3}});
      const cdouble value = param == "A" ? built.a : param == "B" ? built.b : param == "C" ? built.c : built.d;
      REQUIRE((network == "W1" || network == "W3"));
      CHECK(std::abs(value - expected) <= 2e-15 * std::abs(expected));
      ++handled;
      continue;
    }
    const WaveDefinition definition = named.at(t.text(r, "definition"));
    const cdouble z1 = bracketed(t.text(r, "z1")), z2 = bracketed(t.text(r, "z2"));
    const ScatteringMatrix s = to_scattering(chains.at(network), definition, z1, z2);
    REQUIRE((param == "S11" || param == "S12" || param == "S21" || param == "S22"));
    const cdouble value = param == "S11" ? s.s11 : param == "S12" ? s.s12 : param == "S21" ? s.s21 : s.s22;
    CHECK(std::abs(value - expected) <= 2e-15 * (1.0 + std::abs(expected)));
    ScatteringMatrix& from_file = matrices[{network, definition}];
    from_file.definition = definition;
    from_file.z_ref1 = z1;
    from_file.z_ref2 = z2;
    (param == "S11"   ? from_file.s11
     : param == "S12" ? from_file.s12
     : param == "S21" ? from_file.s21
                      : from_file.s22) = expected;
    ++handled;
  }
  CHECK(handled == t.rows.size());
  CHECK(handled == 32);
  CHECK(matrices.size() == 6);
  for (const auto& [key, s] : matrices) {  // and back, and from each definition to each other
    INFO(key.first << " " << static_cast<int>(key.second));
    CHECK(distance(to_chain(s), chains.at(key.first)) <= 1e-14);
    CHECK(distance(to_chain(to_transfer(s)), chains.at(key.first)) <= 1e-14);
    for (const auto& [other_key, other] : matrices) {
      if (other_key.first != key.first) continue;
      CHECK(distance(renormalise(s, other.definition, other.z_ref1, other.z_ref2), other) <= 1e-14);
    }
  }
}

TEST_CASE("conversions of random networks return the original") {
  Random random(42);
  double worst = 0.0;
  const auto note = [&](double d) { worst = std::max(worst, d); };
  for (int k = 0; k < 10000; ++k) {
    const cdouble r1 = reference_impedance(random), r2 = reference_impedance(random);
    const ImpedanceMatrix z = random_impedance(random, r1, r2);
    const AdmittanceMatrix y = to_admittance(z);
    const Chain chain = to_chain(z);
    note(distance(to_impedance(y), z));
    note(distance(to_impedance(chain), z));
    note(distance(to_admittance(chain), y));
    note(distance(to_chain(y), chain));
    for (WaveDefinition definition : definitions) {
      const ScatteringMatrix s = to_scattering(z, definition, r1, r2);
      note(distance(to_scattering(y, definition, r1, r2), s));
      note(distance(to_scattering(chain, definition, r1, r2), s));
      note(distance(to_impedance(s), z));
      note(distance(to_admittance(s), y));
      note(distance(to_chain(s), chain));
      const TransferMatrix t = to_transfer(s);
      note(distance(to_scattering(t), s));
      note(distance(to_transfer(z, definition, r1, r2), t));
      note(distance(to_transfer(y, definition, r1, r2), t));
      note(distance(to_transfer(chain, definition, r1, r2), t));
      note(distance(to_impedance(t), z));
      note(distance(to_admittance(t), y));
      note(distance(to_chain(t), chain));
    }
  }
  INFO(worst);
  CHECK(worst <= 1e-12);
}

TEST_CASE("S of the definition itself: waves of a network in operation") {
  // Two excitations through arbitrary source impedances, waves from V and I at the ports, b = S a.
  Random random(5);
  double worst = 0.0;
  for (int k = 0; k < 10000; ++k) {
    const cdouble r1 = reference_impedance(random), r2 = reference_impedance(random);
    const ImpedanceMatrix z = random_impedance(random, r1, r2);
    for (WaveDefinition definition : definitions) {
      const ScatteringMatrix s = to_scattering(z, definition, r1, r2);
      const cdouble i1 = random.in_square(1.0), i2 = random.in_square(1.0);
      const cdouble v1 = z.z11 * i1 + z.z12 * i2, v2 = z.z21 * i1 + z.z22 * i2;
      const auto incident = [&](cdouble v, cdouble i, cdouble ref) {
        const cdouble sum = v + ref * i;
        switch (definition) {
        case WaveDefinition::power:
          return sum / (2.0 * std::sqrt(ref.real()));
        case WaveDefinition::pseudo:
          return std::sqrt(ref.real()) * sum / (2.0 * std::abs(ref));
        default:
          return sum / (2.0 * std::sqrt(ref));
        }
      };
      const auto emergent = [&](cdouble v, cdouble i, cdouble ref) {
        switch (definition) {
        case WaveDefinition::power:
          return (v - std::conj(ref) * i) / (2.0 * std::sqrt(ref.real()));
        case WaveDefinition::pseudo:
          return std::sqrt(ref.real()) * (v - ref * i) / (2.0 * std::abs(ref));
        default:
          return (v - ref * i) / (2.0 * std::sqrt(ref));
        }
      };
      const cdouble a1 = incident(v1, i1, r1), a2 = incident(v2, i2, r2);
      const cdouble b1 = emergent(v1, i1, r1), b2 = emergent(v2, i2, r2);
      worst = std::max(worst, std::abs(b1 - s.s11 * a1 - s.s12 * a2) / (1.0 + std::abs(b1) + std::abs(s.s11 * a1)));
      worst = std::max(worst, std::abs(b2 - s.s21 * a1 - s.s22 * a2) / (1.0 + std::abs(b2) + std::abs(s.s21 * a1)));
      // T in its stated sense: b1, a1 from a2, b2.
      const TransferMatrix t = to_transfer(s);
      worst =
          std::max(worst, std::abs(b1 - t.t11 * a2 - t.t12 * b2) / (1.0 + std::abs(t.t11 * a2) + std::abs(t.t12 * b2)));
      worst =
          std::max(worst, std::abs(a1 - t.t21 * a2 - t.t22 * b2) / (1.0 + std::abs(t.t21 * a2) + std::abs(t.t22 * b2)));
    }
  }
  INFO(worst);
  CHECK(worst <= 5e-14);
}

TEST_CASE("renormalising equals converting anew") {
  Random random(6);
  double worst = 0.0;
  for (int k = 0; k < 10000; ++k) {
    const cdouble r1 = reference_impedance(random), r2 = reference_impedance(random);
    const cdouble n1 = reference_impedance(random), n2 = reference_impedance(random);
    const std::vector<Chain> parts = random_row(random, 30.0);
    const Chain chain = cascade(parts);
    for (WaveDefinition from : definitions) {
      for (WaveDefinition to : definitions) {
        const ScatteringMatrix s = renormalise(to_scattering(chain, from, r1, r2), to, n1, n2);
        const ScatteringMatrix direct = to_scattering(chain, to, n1, n2);
        worst = std::max(worst, distance(s, direct));
        REQUIRE((s.definition == to && s.z_ref1 == n1 && s.z_ref2 == n2));
      }
    }
  }
  INFO(worst);
  CHECK(worst <= 1e-13);
}

TEST_CASE("lossless networks have unitary power-wave S and passive ones reflect no more than they get") {
  Random random(8);
  double worst = 0.0, largest = 0.0;
  for (int k = 0; k < 10000; ++k) {
    const cdouble r1 = reference_impedance(random), r2 = reference_impedance(random);
    const ScatteringMatrix s = to_scattering(cascade(random_row(random, 0.0)), WaveDefinition::power, r1, r2);
    worst = std::max({worst, std::abs(std::norm(s.s11) + std::norm(s.s21) - 1.0),
                      std::abs(std::norm(s.s12) + std::norm(s.s22) - 1.0),
                      std::abs(std::conj(s.s11) * s.s12 + std::conj(s.s21) * s.s22)});
    const ScatteringMatrix lossy = to_scattering(cascade(random_row(random, 20.0)), WaveDefinition::power, r1, r2);
    largest =
        std::max({largest, std::norm(lossy.s11) + std::norm(lossy.s21), std::norm(lossy.s22) + std::norm(lossy.s12)});
  }
  INFO(worst << " " << largest - 1.0);
  CHECK(worst <= 1e-13);
  CHECK(largest <= 1.0 + 1e-13);
}

TEST_CASE("reciprocal networks have equal S12 and S21 except for pseudo-waves") {
  Random random(9);
  double worst = 0.0;
  for (int k = 0; k < 10000; ++k) {
    const cdouble r1 = reference_impedance(random), r2 = reference_impedance(random);
    const Chain chain = cascade(random_row(random, 30.0));
    for (WaveDefinition definition : definitions) {
      const ScatteringMatrix s = to_scattering(chain, definition, r1, r2);
      cdouble ratio = 1.0;  // S12 / S21
      if (definition == WaveDefinition::pseudo) {
        const double factor = std::sqrt(r2.real() / r1.real()) * std::abs(r1) / std::abs(r2);
        ratio = r1 / r2 / (factor * factor);
      }
      // det of a row is 1 up to the rounding of a d and b c, which may be large against 1.
      const double doubt = 1.0 + std::abs(chain.a * chain.d) + std::abs(chain.b * chain.c);
      worst = std::max(worst, std::abs(s.s12 - ratio * s.s21) / std::abs(s.s21) / doubt);
    }
  }
  INFO(worst);
  CHECK(worst <= 1e-14);
}

TEST_CASE("a row of T matrices is the T matrix of the row") {
  Random random(10);
  double worst = 0.0;
  for (int k = 0; k < 10000; ++k) {
    const Chain first = cascade(random_row(random, 30.0)), second = cascade(random_row(random, 30.0));
    const cdouble r1 = reference_impedance(random), joint = reference_impedance(random),
                  r2 = reference_impedance(random);
    for (WaveDefinition definition : definitions) {
      const cdouble other_side = definition == WaveDefinition::power ? std::conj(joint) : joint;
      const TransferMatrix p = to_transfer(first, definition, r1, joint),
                           q = to_transfer(second, definition, other_side, r2);
      const TransferMatrix row = cascade(p, q), whole = to_transfer(cascade(first, second), definition, r1, r2);
      const auto size = [](const TransferMatrix& t) {
        return std::max({std::abs(t.t11), std::abs(t.t12), std::abs(t.t21), std::abs(t.t22)});
      };
      const double gain = size(p) * size(q) / size(whole);  // what cancels in the product
      worst = std::max(worst, distance(row, whole) / (1.0 + gain));
      REQUIRE((row.definition == definition && row.z_ref1 == r1 && row.z_ref2 == r2));
    }
  }
  INFO(worst);
  CHECK(worst <= 1e-14);
  const TransferMatrix t = to_transfer(series_chain(5.0), WaveDefinition::power, 50.0, {50.0, 10.0});
  CHECK_THROWS_AS(cascade(t, to_transfer(series_chain(5.0), WaveDefinition::power, {50.0, 10.0}, 50.0)), DomainError);
  CHECK_THROWS_AS(cascade(t, to_transfer(series_chain(5.0), WaveDefinition::pseudo, {50.0, -10.0}, 50.0)), DomainError);
  const TransferMatrix u = to_transfer(series_chain(5.0), WaveDefinition::travelling, 50.0, {50.0, 10.0});
  CHECK_THROWS_AS(cascade(u, to_transfer(series_chain(5.0), WaveDefinition::travelling, {50.0, -10.0}, 50.0)),
                  DomainError);
}

TEST_CASE("what does not exist is refused and S describes it all the same") {
  Random random(12);
  for (int k = 0; k < 1000; ++k) {
    const cdouble r1 = reference_impedance(random), r2 = reference_impedance(random);
    const cdouble z{random.log_uniform(0.1, 100.0), random.sign() * random.log_uniform(1.0, 1000.0)};
    const Chain series = series_chain(z), shunt = shunt_chain(1.0 / z);
    CHECK_THROWS_AS(to_impedance(series), DomainError);
    CHECK_THROWS_AS(to_admittance(shunt), DomainError);
    CHECK(distance(to_admittance(series), AdmittanceMatrix{1.0 / z, -1.0 / z, -1.0 / z, 1.0 / z}) <= 1e-14);
    CHECK(distance(to_impedance(shunt), ImpedanceMatrix{z, z, z, z}) <= 1e-14);
    CHECK_THROWS_AS(to_impedance(to_admittance(series)), DomainError);
    CHECK_THROWS_AS(to_admittance(to_impedance(shunt)), DomainError);
    for (WaveDefinition definition : definitions) {
      const ScatteringMatrix s = to_scattering(series, definition, r1, r2),
                             p = to_scattering(shunt, definition, r1, r2);
      CHECK_THROWS_AS(to_impedance(s), DomainError);
      CHECK_THROWS_AS(to_impedance(to_transfer(s)), DomainError);
      CHECK_THROWS_AS(to_admittance(p), DomainError);
      CHECK(distance(to_chain(s), series) <= 1e-12);
      CHECK(distance(to_chain(p), shunt) <= 1e-12);
      CHECK(distance(to_admittance(s), to_admittance(series)) <= 1e-11);
      CHECK(distance(to_impedance(p), to_impedance(shunt)) <= 1e-11);
      CHECK(distance(to_scattering(to_admittance(series), definition, r1, r2), s) <= 1e-13);
      CHECK(distance(to_scattering(to_impedance(shunt), definition, r1, r2), p) <= 1e-12);
    }
  }
  // Ports that have nothing to do with each other: no chain, no T, but Z, Y, S.
  const ImpedanceMatrix apart{30.0, 0.0, 0.0, {10.0, -5.0}};
  CHECK_THROWS_AS(to_chain(apart), DomainError);
  CHECK_THROWS_AS(to_chain(to_admittance(apart)), DomainError);
  for (WaveDefinition definition : definitions) {
    const ScatteringMatrix s = to_scattering(apart, definition, {50.0, 10.0}, 75.0);
    CHECK(std::abs(s.s11 - reflection(30.0, {50.0, 10.0}, definition)) <= 1e-15);
    CHECK(std::abs(s.s22 - reflection({10.0, -5.0}, 75.0, definition)) <= 1e-15);
    CHECK_THROWS_AS(to_chain(s), DomainError);
    CHECK_THROWS_AS(to_transfer(s), DomainError);
    CHECK(distance(to_impedance(s), apart) <= 1e-14);
    const ScatteringMatrix other = renormalise(s, WaveDefinition::power, 20.0, {5.0, 5.0});
    CHECK(std::abs(other.s11 - 0.2) <= 1e-15);
    CHECK(std::abs(other.s22 - reflection({10.0, -5.0}, {5.0, 5.0}, WaveDefinition::power)) <= 1e-15);
  }
  // A straight connection has neither Z nor Y.
  CHECK_THROWS_AS(to_impedance(Chain{}), DomainError);
  CHECK_THROWS_AS(to_admittance(Chain{}), DomainError);
  CHECK_THROWS_AS(to_impedance(to_scattering(Chain{}, WaveDefinition::power, 50.0, 50.0)), DomainError);
  CHECK_THROWS_AS(to_admittance(to_scattering(Chain{}, WaveDefinition::power, 50.0, 50.0)), DomainError);
  // An active network that oscillates with the references has no S: -50 ohm at port 1.
  CHECK_THROWS_AS(to_scattering(ImpedanceMatrix{-50.0, 0.0, 0.0, 50.0}, WaveDefinition::power, 50.0, 50.0),
                  DomainError);
  CHECK_THROWS_AS(renormalise(ScatteringMatrix{3.0, 0.0, 0.0, 0.0, WaveDefinition::power, 50.0, 50.0},
                              WaveDefinition::power, 100.0, 50.0),
                  DomainError);
}

TEST_CASE("two-ports refuse values out of range and a definition left out") {
  const Chain chain = series_chain({1.0, 20.0});
  CHECK_THROWS_AS(to_scattering(chain, WaveDefinition::power, {0.0, 50.0}, 50.0), DomainError);
  CHECK_THROWS_AS(to_scattering(chain, WaveDefinition::power, 50.0, {not_a_number, 0.0}), DomainError);
  CHECK_THROWS_AS(to_scattering(chain, WaveDefinition{}, 50.0, 50.0), DomainError);
  CHECK_THROWS_AS(to_scattering(Chain{not_a_number, 0.0, 0.0, 1.0}, WaveDefinition::power, 50.0, 50.0), DomainError);
  const ScatteringMatrix forgotten{0.1, 0.9, 0.9, 0.1, {}, 50.0, 50.0};
  CHECK_THROWS_AS(to_chain(forgotten), DomainError);
  CHECK_THROWS_AS(to_impedance(forgotten), DomainError);
  CHECK_THROWS_AS(to_transfer(forgotten), DomainError);
  CHECK_THROWS_AS(renormalise(forgotten, WaveDefinition::power, 50.0, 50.0), DomainError);
  CHECK_THROWS_AS(to_scattering(TransferMatrix{1.0, 0.0, 0.0, 1.0, {}, 50.0, 50.0}), DomainError);
  CHECK_THROWS_AS(to_scattering(TransferMatrix{1.0, 0.0, 1.0, 0.0, WaveDefinition::power, 50.0, 50.0}), DomainError);
  CHECK_THROWS_AS(to_impedance(ScatteringMatrix{not_a_number, 0.0, 0.0, 0.0, WaveDefinition::power, 50.0, 50.0}),
                  DomainError);
  CHECK_THROWS_AS(to_chain(ImpedanceMatrix{not_a_number, 1.0, 1.0, 1.0}), DomainError);
  CHECK_THROWS_AS(to_admittance(ImpedanceMatrix{1.0, not_a_number, 1.0, 1.0}), DomainError);
  CHECK_THROWS_AS(to_impedance(AdmittanceMatrix{1.0, 1.0, not_a_number, 1.0}), DomainError);
}

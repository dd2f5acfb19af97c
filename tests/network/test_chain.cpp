#include <array>
#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/network/chain.hpp>

#include "network/reference.hpp"

using namespace stile;
using namespace stile::network;
using namespace stile::network::test;

namespace {

constexpr double w = two_pi * 7.1e6;

using cwide = std::complex<long double>;

struct WideRow {  // the same row by matrix products in long double, another order of operations
  cwide a{1}, b{0}, c{0}, d{1};
  void append(const Chain& p) {
    const cwide pa(p.a), pb(p.b), pc(p.c), pd(p.d);
    *this = {a * pa + b * pc, a * pb + b * pd, c * pa + d * pc, c * pb + d * pd};
  }
};

}  // namespace

TEST_CASE("the example of an L network into a short whip") {
  // 2.2 uH with Q 200 in series, then 470 pF with Q 1000 across 20-300j ohm at 7.1 MHz. The loss of the capacitor is
  // a conductance wC/Q across it; as a resistance 1/(wCQ) in series it would change the result in the seventh digit.
  const double xl = w * 2.2e-6, bc = w * 470e-12;
  const std::array parts{series_chain({xl / 200.0, xl}), shunt_chain({bc / 1000.0, bc})};
  const cdouble z = input_impedance(parts, {20.0, -300.0});
  CHECK(std::abs(z.real() - 0.901341261765) <= 0.5e-12);
  CHECK(std::abs(z.imag() - 56.9707403637) <= 0.5e-10);
}

TEST_CASE("input and output impedance against long double") {
  Random random(20250101);
  double worst_in = 0.0, worst_out = 0.0;
  for (int k = 0; k < 20000; ++k) {
    const std::vector<Chain> parts = random_row(random, 100.0);
    const cdouble z{random.log_uniform(1.0, 1000.0), random.sign() * random.log_uniform(1.0, 1000.0)};
    WideRow row;
    for (const Chain& part : parts) row.append(part);
    const cwide wide(z);
    const cdouble in((row.a * wide + row.b) / (row.c * wide + row.d)),
        out((row.d * wide + row.b) / (row.c * wide + row.a));
    // What cancels on the way multiplies rounding; it is counted here as the docstring says.
    const auto magnified = [](cwide x, cwide y, cwide sum) {
      return static_cast<double>((std::abs(x) + std::abs(y)) / std::abs(sum));
    };
    const double in_gain = std::max(magnified(row.a * wide, row.b, row.a * wide + row.b),
                                    magnified(row.c * wide, row.d, row.c * wide + row.d));
    const double out_gain = std::max(magnified(row.d * wide, row.b, row.d * wide + row.b),
                                     magnified(row.c * wide, row.a, row.c * wide + row.a));
    const double n = static_cast<double>(parts.size());
    worst_in = std::max(worst_in, relative(input_impedance(parts, z), in) / (n * in_gain));
    worst_out = std::max(worst_out, relative(output_impedance(parts, z), out) / (n * out_gain));
  }
  INFO(worst_in << " " << worst_out);
  CHECK(worst_in <= 1e-14);
  CHECK(worst_out <= 1e-14);
}

TEST_CASE("the product of two two-ports against long double") {
  Random random(20261128);
  double worst = 0.0;
  for (int k = 0; k < 20000; ++k) {
    const auto entry = [&] { return std::polar(random.log_uniform(1e-3, 1e3), random.uniform(-pi, pi)); };
    const Chain p{entry(), entry(), entry(), entry()}, q{entry(), entry(), entry(), entry()};
    const Chain product = cascade(p, q);
    const auto take = [&](cdouble computed, cdouble x1, cdouble y1, cdouble x2, cdouble y2) {
      const cwide one = cwide(x1) * cwide(y1), two = cwide(x2) * cwide(y2);
      worst = std::max(
          worst, static_cast<double>(std::abs(cwide(computed) - (one + two)) / std::max(std::abs(one), std::abs(two))));
    };
    take(product.a, p.a, q.a, p.b, q.c);
    take(product.b, p.a, q.b, p.b, q.d);
    take(product.c, p.c, q.a, p.d, q.c);
    take(product.d, p.c, q.b, p.d, q.d);
  }
  INFO(worst);
  CHECK(worst <= 1e-15);
  CHECK(worst > 1e-16);  // the comparison itself is alive
}

TEST_CASE("a row equals its product and a reciprocal row has determinant one") {
  Random random(7);
  double worst_z = 0.0, worst_det = 0.0;
  for (int k = 0; k < 10000; ++k) {
    const std::vector<Chain> parts = random_row(random, 50.0);
    const Chain all = cascade(parts);
    const cdouble z{random.log_uniform(1.0, 1000.0), random.uniform(-1000.0, 1000.0)};
    worst_det = std::max(worst_det,
                         std::abs(determinant(all) - 1.0) / (1.0 + std::abs(all.a * all.d) + std::abs(all.b * all.c)));
    const double gain = (std::abs(all.a * z) + std::abs(all.b)) / std::abs(all.a * z + all.b) +
                        (std::abs(all.c * z) + std::abs(all.d)) / std::abs(all.c * z + all.d);
    worst_z = std::max(worst_z, relative(input_impedance(std::array{all}, z), input_impedance(parts, z)) / gain);
  }
  INFO(worst_z << " " << worst_det);
  CHECK(worst_z <= 1e-14);
  CHECK(worst_det <= 1e-14);
}

TEST_CASE("the load comes back from the input impedance") {
  Random random(11);
  double worst = 0.0;
  for (int k = 0; k < 10000; ++k) {
    const std::vector<Chain> parts = random_row(random, 50.0);
    const Chain all = cascade(parts);
    const cdouble z{random.log_uniform(1.0, 1000.0), random.uniform(-1000.0, 1000.0)};
    const cdouble z_in = input_impedance(parts, z);
    // Sensitivity of the load to the input: dz/z = (c z + d)^2 z_in/z dz_in/z_in for determinant 1.
    const cdouble den = all.c * z + all.d;
    const double gain =
        1.0 + (std::abs(all.a * z) + std::abs(all.b)) * (std::abs(all.c * z) + std::abs(all.d)) / std::abs(z) +
        std::norm(den) * std::abs(z_in / z);
    worst = std::max(worst, relative(far_end_impedance(parts, z_in), z) / gain);
  }
  INFO(worst);
  CHECK(worst <= 1e-14);
}

TEST_CASE("dissipation is the sum of the losses of the parts") {
  // 3 ohm in series, then 200 ohm across 50+20j ohm: by hand, power = |I|^2 R and |V|^2 G.
  const std::array parts{series_chain(3.0), shunt_chain(1.0 / 200.0)};
  const cdouble load{50.0, 20.0};
  const double p_load = 50.0, p_shunt = std::norm(load) / 200.0, p_series = 3.0 * std::norm(1.0 + load / 200.0);
  CHECK(std::abs(dissipation_loss_db(parts, load) - 10.0 * std::log10((p_load + p_shunt + p_series) / p_load)) <=
        1e-13);

  Random random(13);
  double least = infinite, largest_lossless = 0.0;
  for (int k = 0; k < 10000; ++k) {
    const cdouble z{random.log_uniform(1.0, 1000.0), random.uniform(-300.0, 300.0)};
    least = std::min(least, dissipation_loss_db(random_row(random, 100.0), z));
    const std::vector<Chain> lossless = random_row(random, 0.0);
    const cdouble z_in = input_impedance(lossless, z);
    largest_lossless =
        std::max(largest_lossless, std::abs(dissipation_loss_db(lossless, z)) * z_in.real() / std::abs(z_in));
  }
  INFO(least << " " << largest_lossless);
  CHECK(least >= -1e-14);  // a row may consist of transformers alone
  CHECK(largest_lossless <= 1e-13);
}

TEST_CASE("single parts of a chain do what they are named for") {
  CHECK(input_impedance({}, {12.0, -230.0}) == cdouble{12.0, -230.0});
  CHECK(output_impedance({}, {12.0, -230.0}) == cdouble{12.0, -230.0});
  CHECK(far_end_impedance({}, {-1.0, 3.0}) == cdouble{-1.0, 3.0});
  CHECK(input_impedance(std::array{series_chain({1.0, 2.0})}, 0.0) == cdouble{1.0, 2.0});
  CHECK(std::abs(input_impedance(std::array{ideal_transformer_chain(-2.0)}, 50.0) - 200.0) <= 1e-12);
  CHECK(std::abs(output_impedance(std::array{ideal_transformer_chain(2.0)}, 200.0) - 50.0) <= 1e-12);
  CHECK(std::abs(input_impedance(std::array{shunt_chain(0.02)}, 50.0) - 25.0) <= 1e-12);
  // The order counts: 50 ohm in series before and behind 50 ohm across the line.
  CHECK(std::abs(input_impedance(std::array{series_chain(50.0), shunt_chain(0.02)}, 50.0) - 75.0) <= 1e-12);
  CHECK(std::abs(input_impedance(std::array{shunt_chain(0.02), series_chain(50.0)}, 50.0) - 100.0 / 3.0) <= 1e-12);
  CHECK(std::abs(output_impedance(std::array{shunt_chain(0.02), series_chain(50.0)}, 50.0) - 75.0) <= 1e-12);
}

TEST_CASE("a chain refuses what has no answer") {
  CHECK_THROWS_AS(series_chain({not_a_number, 0.0}), DomainError);
  CHECK_THROWS_AS(shunt_chain({0.0, infinite}), DomainError);
  CHECK_THROWS_AS(ideal_transformer_chain(0.0), DomainError);
  CHECK_THROWS_AS(ideal_transformer_chain(not_a_number), DomainError);
  CHECK_THROWS_AS(input_impedance({}, {-1e-9, 0.0}), DomainError);
  CHECK_THROWS_AS(input_impedance({}, {infinite, 0.0}), DomainError);
  CHECK_THROWS_AS(output_impedance({}, {-1.0, 0.0}), DomainError);
  CHECK_THROWS_AS(far_end_impedance({}, {not_a_number, 0.0}), DomainError);
  // A resonant trap across a short: exactly open. 2j ohm across -2j ohm.
  CHECK_THROWS_AS(input_impedance(std::array{shunt_chain({0.0, -0.5})}, {0.0, -2.0}), DomainError);
  CHECK_THROWS_AS(output_impedance(std::array{shunt_chain({0.0, -0.5})}, {0.0, -2.0}), DomainError);
  CHECK_THROWS_AS(far_end_impedance(std::array{shunt_chain(0.02)}, 50.0), DomainError);
  CHECK_THROWS_AS(far_end_impedance(std::array{Chain{1.0, 1.0, 1.0, 1.0}}, 50.0), DomainError);
  CHECK_THROWS_AS(input_impedance(std::array{Chain{not_a_number, 0.0, 0.0, 1.0}}, 50.0), DomainError);
  CHECK_THROWS_AS(input_impedance(std::array{series_chain(1e308), series_chain(1e308)}, 1e308), DomainError);
  CHECK_THROWS_AS(dissipation_loss_db({}, {0.0, 5.0}), DomainError);
  CHECK_THROWS_AS(dissipation_loss_db(std::array{series_chain(-60.0)}, 50.0), DomainError);
}

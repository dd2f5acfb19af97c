#include <array>
#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/network/waves.hpp>

#include "network/reference.hpp"

using namespace stile;
using namespace stile::network;
using namespace stile::network::test;

namespace {
constexpr std::array definitions{WaveDefinition::power, WaveDefinition::pseudo, WaveDefinition::travelling};
}  // namespace

TEST_CASE("one-port reflection in every definition") {
  const Table t = reference("waves_one_port.csv");
  std::size_t handled = 0;
  for (std::size_t r = 0; r < t.rows.size(); ++r, ++handled) {
    const auto pair = [&](const char* re, const char* im) { return cdouble{t.number(r, re), t.number(r, im)}; };
    const cdouble z = pair("z_re", "z_im"), z_ref = pair("zref_re", "zref_im");
    INFO("row " << r << " z " << z);
    const cdouble power = reflection(z, z_ref, WaveDefinition::power), expected_power = pair("power_re", "power_im");
    CHECK(std::abs(power - expected_power) <= 1e-15);
    CHECK(std::abs(std::abs(power) - t.number(r, "power_abs")) <= 1e-15);
    const cdouble expected_pseudo = pair("pseudo_re", "pseudo_im");
    for (WaveDefinition definition : {WaveDefinition::pseudo, WaveDefinition::travelling}) {
      const cdouble gamma = reflection(z, z_ref, definition);
      CHECK(std::abs(gamma.real() - expected_pseudo.real()) <= 1e-15 * (1.0 + std::abs(expected_pseudo)));
      CHECK(std::abs(gamma.imag() - expected_pseudo.imag()) <= 1e-15 * std::abs(expected_pseudo.imag()));
      CHECK(std::abs(std::abs(gamma) - t.number(r, "pseudo_abs")) <= 5e-15 * (1.0 + std::abs(expected_pseudo)));
    }
    if (std::abs(z) < 1e9) {  // the row that stands for an open circuit does not come back
      CHECK(std::abs(impedance_from_reflection(expected_power, z_ref, WaveDefinition::power) - z) <=
            1e-12 * (1.0 + std::abs(z)));
      CHECK(std::abs(impedance_from_reflection(expected_pseudo, z_ref, WaveDefinition::travelling) - z) <=
            1e-12 * (1.0 + std::abs(z)));
    }
  }
  CHECK(handled == 7);
}

TEST_CASE("facts that tell the wave definitions apart") {
  const cdouble z_ref{50.0, 10.0};
  for (WaveDefinition definition : definitions) {  // real reference: all the same
    CHECK(std::abs(reflection({25.0, 40.0}, 50.0, definition) - cdouble{-25.0, 40.0} / cdouble{75.0, 40.0}) <= 1e-15);
  }
  CHECK(reflection(std::conj(z_ref), z_ref, WaveDefinition::power) == 0.0);
  CHECK(reflection(z_ref, z_ref, WaveDefinition::pseudo) == 0.0);
  CHECK(reflection(z_ref, z_ref, WaveDefinition::travelling) == 0.0);
  CHECK(std::abs(reflection(0.0, z_ref, WaveDefinition::power) + std::conj(z_ref) / z_ref) <= 1e-15);
  CHECK(std::abs(reflection(0.0, z_ref, WaveDefinition::pseudo) + 1.0) <= 1e-15);
  // Bird, Electrical Circuit Theory and Technology, ch. 44 example 14 (transcribed): 500+40j on a line of 500-40j.
  CHECK(std::abs(std::abs(reflection({500.0, 40.0}, {500.0, -40.0}, WaveDefinition::travelling)) - 0.08) <= 1e-15);
  CHECK(reflection({500.0, 40.0}, {500.0, -40.0}, WaveDefinition::power) == 0.0);
}

TEST_CASE("absorbed power is one minus reflected power for power waves") {
  // A source of emf 1 V behind Z delivers Re(z)/|z + Z|^2; available are 1/(4 Re Z).
  Random random(3);
  double worst_power = 0.0, largest = 0.0, worst_back = 0.0;
  for (int k = 0; k < 10000; ++k) {
    const cdouble z_ref = reference_impedance(random);
    const cdouble z{random.log_uniform(0.1, 1000.0), random.uniform(-1000.0, 1000.0)};
    const double r = std::abs(reflection(z, z_ref, WaveDefinition::power));
    const double share = 4.0 * z_ref.real() * z.real() / std::norm(z + z_ref);
    largest = std::max(largest, r);
    worst_power = std::max(worst_power, std::abs(1.0 - r * r - share));
    for (WaveDefinition definition : definitions) {
      const cdouble gamma = reflection(z, z_ref, definition),
                    back = impedance_from_reflection(gamma, z_ref, definition);
      worst_back = std::max(worst_back, std::abs(back - z) * std::abs(1.0 - gamma) / (std::abs(z) + std::abs(z_ref)));
    }
  }
  INFO(worst_power << " " << worst_back << " " << largest);
  CHECK(worst_power <= 2e-15);
  CHECK(worst_back <= 5e-15);
  CHECK(largest < 1.0);
}

TEST_CASE("SWR and losses of a reflection") {
  CHECK(swr(0.0) == 1.0);
  CHECK(swr(0.5) == 3.0);
  CHECK(swr(1.0) == infinite);
  CHECK(swr(1.0 + 4e-16) == infinite);  // rounding of total reflection
  CHECK(reflection_abs_from_swr(3.0) == 0.5);
  CHECK(reflection_abs_from_swr(infinite) == 1.0);
  CHECK(return_loss_db(0.0) == infinite);
  CHECK(std::abs(return_loss_db(0.1) - 20.0) <= 1e-14);
  CHECK(std::signbit(return_loss_db(1.0)) == false);
  CHECK(std::abs(mismatch_loss_db(std::sqrt(0.5)) - 10.0 * std::log10(2.0)) <= 1e-14);
  CHECK(mismatch_loss_db(1.0) == infinite);
  CHECK(std::signbit(mismatch_loss_db(0.0)) == false);
  CHECK(std::abs(mismatch_loss_db(1e-9) / (1e-18 * 10.0 / std::log(10.0)) - 1.0) <= 1e-14);
  CHECK(std::abs(mismatch_loss_db(0.499999999999) - mismatch_loss_db(0.500000000001)) <= 2e-11);
  CHECK(reflection_abs_from_powers(100.0, 25.0) == 0.5);
}

TEST_CASE("the angle of a reflection is told in degrees") {
  CHECK(std::abs(reflection_angle_deg({0.5, 0.5}) - 45.0) <= 1e-13);
  CHECK(std::abs(reflection_angle_deg({0.0, -0.2}) + 90.0) <= 1e-13);
  CHECK(reflection_angle_deg({-0.3, 0.0}) == 180.0);
  CHECK(reflection_angle_deg({-0.3, -0.0}) == -180.0);
  CHECK(reflection_angle_deg({0.0, 0.0}) == 0.0);
  CHECK_THROWS_AS(reflection_angle_deg({std::nan(""), 0.0}), DomainError);
}

TEST_CASE("waves refuse values out of range") {
  for (double bad : {-1e-9, 1.0 + 1e-14, 2.0, infinite, not_a_number}) {
    CHECK_THROWS_AS(swr(bad), DomainError);
    CHECK_THROWS_AS(return_loss_db(bad), DomainError);
    CHECK_THROWS_AS(mismatch_loss_db(bad), DomainError);
  }
  CHECK_THROWS_AS(reflection_abs_from_swr(0.999), DomainError);
  CHECK_THROWS_AS(reflection_abs_from_swr(not_a_number), DomainError);
  CHECK_THROWS_AS(reflection_abs_from_powers(0.0, 0.0), DomainError);
  CHECK_THROWS_AS(reflection_abs_from_powers(10.0, 11.0), DomainError);
  CHECK_THROWS_AS(reflection_abs_from_powers(10.0, not_a_number), DomainError);
  for (WaveDefinition definition : definitions) {
    CHECK_THROWS_AS(reflection(50.0, {0.0, 50.0}, definition), DomainError);
    CHECK_THROWS_AS(reflection(50.0, {not_a_number, 0.0}, definition), DomainError);
    CHECK_THROWS_AS(reflection({infinite, 0.0}, 50.0, definition), DomainError);
    CHECK_THROWS_AS(reflection(-50.0, 50.0, definition), DomainError);
    CHECK_THROWS_AS(impedance_from_reflection(1.0, 50.0, definition), DomainError);
    CHECK_THROWS_AS(impedance_from_reflection(not_a_number, 50.0, definition), DomainError);
  }
  CHECK_THROWS_AS(reflection(25.0, 50.0, WaveDefinition{}), DomainError);  // a definition left out
  CHECK_THROWS_AS(impedance_from_reflection(0.5, 50.0, WaveDefinition{}), DomainError);
}

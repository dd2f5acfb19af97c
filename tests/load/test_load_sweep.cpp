#include <catch2/catch.hpp>

#include <cmath>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/load/load_sweep.hpp>

using namespace stile;
using namespace stile::load;

namespace {

const network::Source source{50.0, 5.0};

/// A coil of 50 ohm at 7 MHz.
network::Ladder coil_in_series() {
  network::Ladder ladder;
  ladder.elements = {{"L1", network::Place::series, network::Inductor{50.0 / (two_pi * 7e6), {}}, {}}};
  return ladder;
}

/// Transducer loss of 50 ohm through j x ohm into r ohm: (|50 + r + j x|^2) / (4 * 50 r).
double loss_db(double x, double r) { return 10.0 * std::log10(((50.0 + r) * (50.0 + r) + x * x) / (200.0 * r)); }

/// Invented: 50 ohm to 8 MHz, 20 ohm from 14 to 15 MHz, nothing between.
Load with_gap() {
  return {
      "invented", "made here", make_sampled_load({7e6, 7.5e6, 8e6, 14e6, 15e6}, {50.0, 50.0, 50.0, 20.0, 20.0}), {}};
}

}  // namespace

TEST_CASE("harmonics of a constant load are those of the network alone") {
  // The coil has 50, 100 and 150 ohm: 0.969, 3.010 and 5.119 dB from 50 into 50 ohm.
  const Load load{"dummy", "given", ConstantLoad{50.0}, {}};
  const auto points = evaluate_into_load(coil_in_series(), source, load, std::vector{7e6});
  REQUIRE(points.size() == 1);
  CHECK(std::abs(points[0].loss.transducer_db - loss_db(50.0, 50.0)) <= 1e-12);
  REQUIRE(points[0].second_harmonic_db.has_value());
  REQUIRE(points[0].third_harmonic_db.has_value());
  CHECK(std::abs(*points[0].second_harmonic_db - (loss_db(100.0, 50.0) - loss_db(50.0, 50.0))) <= 1e-12);
  CHECK(std::abs(*points[0].second_harmonic_db - 2.0411998265592484) <= 1e-12);  // 10 log10(2/1.25)
  CHECK(std::abs(*points[0].third_harmonic_db - 4.149733479708179) <= 1e-12);    // 10 log10(3.25/1.25)
}

TEST_CASE("harmonics are given only where the load's data reach them") {
  const std::vector<double> f{7e6, 7.5e6, 8e6};  // 14 and 15 MHz are known, 16 MHz and all triples are not
  const auto points = evaluate_into_load(coil_in_series(), source, with_gap(), f);
  REQUIRE(points.size() == 3);
  REQUIRE(points[0].second_harmonic_db.has_value());
  CHECK(std::abs(*points[0].second_harmonic_db - (loss_db(100.0, 20.0) - loss_db(50.0, 50.0))) <= 1e-12);
  CHECK(points[1].second_harmonic_db.has_value());
  CHECK(!points[2].second_harmonic_db.has_value());
  for (std::size_t n = 0; n < f.size(); ++n) {
    CHECK(!points[n].third_harmonic_db.has_value());
    // The rest is what each frequency gives alone.
    const network::Evaluation alone =
        network::evaluate(coil_in_series(), source, f[n], load_impedance(with_gap(), f[n]));
    CHECK(points[n].frequency_hz == f[n]);
    CHECK(points[n].z_input_ohm == alone.z_input_ohm);
    CHECK(points[n].power.delivered_w == alone.power.delivered_w);
  }
}

TEST_CASE("each harmonic is known where its own frequency has data") {
  // Invented: 50 ohm to 8 MHz, 20 ohm from 14 to 15 MHz, 30 ohm from 21 to 21.6 MHz.
  const Load load{
      "invented",
      "made here",
      make_sampled_load({7e6, 7.5e6, 8e6, 14e6, 15e6, 21e6, 21.6e6}, {50.0, 50.0, 50.0, 20.0, 20.0, 30.0, 30.0}),
      {}};
  const auto points = evaluate_into_load(coil_in_series(), source, load, std::vector{7e6, 7.2e6, 7.4e6, 7.9e6});
  REQUIRE(points.size() == 4);
  const std::vector<std::pair<bool, bool>> known{{true, true}, {true, true}, {true, false}, {false, false}};
  for (std::size_t n = 0; n < 4; ++n) {
    INFO(points[n].frequency_hz);
    CHECK(points[n].second_harmonic_db.has_value() == known[n].first);
    CHECK(points[n].third_harmonic_db.has_value() == known[n].second);
  }
  CHECK(std::abs(*points[0].third_harmonic_db - (loss_db(150.0, 30.0) - loss_db(50.0, 50.0))) <= 1e-12);
  CHECK(std::abs(*points[1].second_harmonic_db -
                 (loss_db(100.0 * 7.2 / 7.0, 20.0) - loss_db(50.0 * 7.2 / 7.0, 50.0))) <= 1e-12);
}

TEST_CASE("a frequency outside the load's data is refused and no frequency gives nothing") {
  CHECK_THROWS_AS(evaluate_into_load({}, source, with_gap(), std::vector{7e6, 10e6}), DomainError);
  CHECK(evaluate_into_load({}, source, with_gap(), {}).empty());
}

// The textbook's loss of a line with standing waves against its table, the power balance and long double.

#include <array>
#include <cmath>

#include <catch2/catch.hpp>

#include <stile/network/line.hpp>
#include <stile/network/swr_loss.hpp>
#include <stile/network/waves.hpp>

#include "network/reference.hpp"

using namespace stile;
using namespace stile::network;
using namespace stile::network::test;

TEST_CASE("standing waves: textbook loss and SWR at the input") {
  const Table t = reference("swr_loss.csv");
  std::size_t handled = 0;
  for (std::size_t r = 0; r < t.rows.size(); ++r, ++handled) {
    const double matched = t.number(r, "matched_loss_db"), s = t.number(r, "swr_at_load");
    INFO("row " << r << " " << matched << " dB " << s);
    const double total = total_loss_db(matched, s), additional = t.number(r, "additional_loss_db");
    const auto half_unit = [](double printed) {
      return 0.5 * std::pow(10.0, std::floor(std::log10(std::abs(printed))) - 9.0);
    };
    CHECK(std::abs(total - t.number(r, "total_loss_db")) <= half_unit(t.number(r, "total_loss_db")));
    CHECK(std::abs(total - matched - additional) <= (s == 1.0 ? 1e-40 : half_unit(additional) + 1e-15));
    CHECK(std::abs(swr_at_input(matched, s) - t.number(r, "swr_at_input")) <= half_unit(t.number(r, "swr_at_input")));
  }
  CHECK(handled == 42);
}

TEST_CASE("textbook loss equals the power balance of a line with real z0") {
  // A distortionless line, any phase: with real z0 the power at each end is that of the two waves exactly.
  Random random(21);
  double worst = 0.0, worst_swr = 0.0;
  for (int k = 0; k < 10000; ++k) {
    const double z0 = random.log_uniform(25.0, 300.0), length = random.log_uniform(0.1, 50.0);
    const LineConstants line{z0, {random.log_uniform(1e-4, 2e-2), random.uniform(0.05, 3.0)}};
    const cdouble load{random.log_uniform(1.0, 1000.0), random.uniform(-300.0, 300.0)};
    const Chain chain = line_chain(line, length);
    const double s = swr(std::abs(reflection(load, z0, WaveDefinition::travelling)));
    const double matched = attenuation_db_per_m(line) * length;
    const cdouble zin = input_impedance(std::array{chain}, load);
    const double q = std::abs(zin) / zin.real();
    worst =
        std::max(worst, std::abs(total_loss_db(matched, s) - dissipation_loss_db(std::array{chain}, load)) / (q * s));
    const double s_in = swr(std::abs(reflection(zin, z0, WaveDefinition::travelling)));
    worst_swr = std::max(worst_swr, std::abs(swr_at_input(matched, s) - s_in) / (s_in * s));
  }
  INFO(worst << " " << worst_swr);
  CHECK(worst <= 1e-14);
  CHECK(worst_swr <= 1e-14);
}

TEST_CASE("textbook loss against long double") {
  Random random(24);
  double worst = 0.0, worst_swr = 0.0;
  for (int k = 0; k < 10000; ++k) {
    const double matched = random.log_uniform(1e-2, 20.0), s = random.log_uniform(1.0, 100.0);
    const long double a = std::pow(10.0L, static_cast<long double>(matched) / 10.0L);
    const long double r = (static_cast<long double>(s) - 1.0L) / (static_cast<long double>(s) + 1.0L);
    const long double total = 10.0L * std::log10((a * a - r * r) / (a * (1.0L - r * r)));
    worst = std::max(worst,
                     std::abs(static_cast<double>(static_cast<long double>(total_loss_db(matched, s)) / total - 1.0L)));
    worst_swr = std::max(
        worst_swr,
        std::abs(static_cast<double>(static_cast<long double>(swr_at_input(matched, s)) / ((a + r) / (a - r)) - 1.0L)));
  }
  INFO(worst << " " << worst_swr);
  CHECK(worst <= 2e-15);
  CHECK(worst_swr <= 2e-15);
  CHECK(total_loss_db(0.0, 30.0) == 0.0);
  CHECK(swr_at_input(0.0, 1e6) == 1e6);
}

TEST_CASE("additional loss may be negative where z0 is complex") {
  // Rows LN5 and LN4 of line_vectors.csv: the textbook formula cannot see it.
  const LineConstants line = line_from_rlgc({0.22, 0.2525e-6, 0.5e-6, 101e-12}, 1.85e6);
  const double matched = attenuation_db_per_m(line) * 3.0;
  const std::array piece{line_chain(line, 3.0)};
  CHECK(std::abs(matched - 0.058) <= 0.0005);
  CHECK(std::abs(dissipation_loss_db(piece, 2000.0) - 0.038) <= 0.0005);
  CHECK(std::abs(dissipation_loss_db(piece, 2.0) - 1.23) <= 0.005);
  CHECK(std::abs(total_loss_db(matched, 25.0) - 0.67) <= 0.005);
  CHECK(std::abs(total_loss_db(matched, 40.0) - 1.02) <= 0.005);
}

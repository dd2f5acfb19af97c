// What the other end notices, on the recommendation's rows and on tables of the normal distribution.
#include <catch2/catch.hpp>

#include <cmath>
#include <limits>

#include <stile/base/errors.hpp>
#include <stile/base/table.hpp>
#include <stile/plan/far_end.hpp>

using namespace stile;
using namespace stile::plan;

TEST_CASE("S readings are those of the recommendation") {
  const std::string path = STILE_TEST_DATA "/plan/s_units.csv";
  const Table table = read_table(read_text_file(path), path);
  REQUIRE(table.rows.size() == 12);
  for (std::size_t n = 0; n < table.rows.size(); ++n) {
    const std::string& reading = table.text(n, "reading");
    const double dbm = table.number(n, "level_dbm");
    const double expected = (reading[1] - '0') + (reading.size() > 3 ? std::stod(reading.substr(3)) / 6.0 : 0.0);
    INFO(reading);
    CHECK(std::abs(s_reading(dbm) - expected) <= 1e-12);
    const double microvolt = 1e6 * std::sqrt(50.0 * 1e-3 * std::pow(10.0, dbm / 10.0));
    CHECK(std::abs(microvolt - table.number(n, "microvolt_computed")) <= 3e-4 * microvolt);
    if (reading != "S9+10" && !table.text(n, "microvolt_printed").empty()) {
      CHECK(std::abs(microvolt - table.number(n, "microvolt_printed")) <= 0.01 * microvolt);
    }
  }
  CHECK_THROWS_AS(s_reading(std::nan("")), DomainError);
}

TEST_CASE("contacts that fail follow the normal distribution's table") {
  // Abramowitz and Stegun, Handbook of Mathematical Functions, 1964, Table 26.1: P(0) 0.5, P(0.5) 0.69146 24613,
  // P(1) 0.84134 47461, P(2) 0.97724 98681 (from memory, to ten digits).
  const ContactMargin contacts{10.0, 5.0};
  CHECK(std::abs(contacts_failed(10.0, contacts) - 0.5) <= 1e-15);
  CHECK(std::abs(contacts_failed(12.5, contacts) - 0.6914624613) <= 5e-11);
  CHECK(std::abs(contacts_failed(15.0, contacts) - 0.8413447461) <= 5e-11);
  CHECK(std::abs(contacts_failed(0.0, contacts) - (1.0 - 0.9772498681)) <= 5e-11);
  // Of those made with the reference: (0.5 - 0.0227501319)/0.9772498681 at 10 dB.
  CHECK(std::abs(contacts_lost(10.0, contacts) - (0.5 - 0.0227501319) / 0.9772498681) <= 2e-10);
  CHECK(contacts_lost(0.0, contacts) == 0.0);
  CHECK(contacts_lost(std::numeric_limits<double>::infinity(), contacts) == Approx(1.0).epsilon(1e-12));
}

TEST_CASE("more loss loses more contacts, and a small one loses what the density says") {
  const ContactMargin contacts{6.0, 8.0};
  double last = 0.0;
  for (double loss_db = 0.5; loss_db < 60.0; loss_db += 0.5) {
    const double lost = contacts_lost(loss_db, contacts);
    CHECK(lost > last);
    CHECK(lost < 1.0);
    last = lost;
  }
  // 1e-6 dB: density at -margin/sigma times 1e-6/sigma over Phi(margin/sigma), which cancellation would spoil.
  const double x = 6.0 / 8.0, density = std::exp(-0.5 * x * x) / std::sqrt(2.0 * 3.14159265358979323846);
  const double expected = density * 1e-6 / 8.0 / (0.5 * std::erfc(-x / std::sqrt(2.0)));
  CHECK(std::abs(contacts_lost(1e-6, contacts) - expected) <= 1e-7 * expected);
}

TEST_CASE("what is no loss and no spread is refused") {
  CHECK_THROWS_AS(contacts_lost(-1.0, ContactMargin{}), DomainError);
  CHECK_THROWS_AS(contacts_lost(std::nan(""), ContactMargin{}), DomainError);
  CHECK_THROWS_AS(contacts_failed(1.0, {10.0, 0.0}), DomainError);
  CHECK_THROWS_AS(contacts_failed(1.0, {std::nan(""), 1.0}), DomainError);
}

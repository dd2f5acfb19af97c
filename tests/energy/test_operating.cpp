// Operating hours of stations with and without a tuner.
#include <catch2/catch.hpp>

#include <cmath>

#include <stile/base/errors.hpp>
#include <stile/base/table.hpp>
#include <stile/energy/operating.hpp>
#include <stile/safety/duty.hpp>

using namespace stile;
using namespace stile::energy;

TEST_CASE("mean current and operating time are those of the derived rows") {
  const std::string path = STILE_TEST_DATA "/energy/operating.csv";
  const Table table = read_table(read_text_file(path), path);
  REQUIRE(table.rows.size() == 5);
  for (std::size_t n = 0; n < table.rows.size(); ++n) {
    const auto value = [&](const char* name) { return table.number(n, name); };
    const Battery battery{Chemistry::lead_acid_agm,
                          value("capacity_ah"),
                          value("rate_h"),
                          {value("exponent"), value("exponent")},
                          {value("capacity_share"), value("capacity_share")}};
    const SetDraw set{
        value("receive_a"), value("transmit_a"), {value("mode_factor"), value("mode_factor")}, value("talk_share")};
    TunerDraw tuner;
    tuner.hold_a = value("hold_a");
    const OperatingTime time = operating_time(battery, set, tuner);
    INFO(table.text(n, "case"));
    CHECK(std::abs(time.mean_current_a - value("mean_a")) <= 1e-12);
    CHECK(time.mean_current_range_a.high == time.mean_current_range_a.low);
    CHECK(std::abs(time.tuner_a - value("hold_a")) <= 1e-12);
    CHECK(std::abs(time.time_h - value("time_h")) <= 6e-5);  // six digits are printed
    CHECK(std::abs(time.time_range_h.high - time.time_h) <= 1e-12 * time.time_h);
    CHECK(time.time_range_h.low < time.time_h);
    CHECK((time.time_lost_h > 0.0) == (value("hold_a") > 0.0));
    CHECK(time.tuner_hold_a == value("hold_a"));
    CHECK(std::abs(charge_ah(time.mean_current_a, value("hours")) - value("charge_ah")) <= 1e-12);
  }
}

TEST_CASE("tuning costs its carrier: by hand") {
  // 30 tunings an hour of 6 s are 0.05 of it: 0.05 (2 + 0.1) + 0.95 (0.2 x 0.5 x 2 + 0.8 x 0.1) = 0.371 A; without a
  // tuner 0.2 + 0.08 = 0.28 A.
  const Battery battery{Chemistry::lithium_iron_phosphate, 3.0, 1.0, {1.0, 1.0}, {1.0, 1.0}};
  const SetDraw set{0.1, 2.0, {0.5, 0.5}, 0.2};
  TunerDraw tuner{0.0, 0.1, 6.0, 30.0, 1.0};
  const OperatingTime time = operating_time(battery, set, tuner);
  CHECK(time.mean_current_a == Approx(0.371).epsilon(1e-12));
  CHECK(time.tuner_a == Approx(0.091).epsilon(1e-12));
  CHECK(time.tuner_hold_a == 0.0);  // all of it is tuning
  CHECK(time.tuner_tuning_a == Approx(0.091).epsilon(1e-12));
  CHECK(time.tuner_charge_ah == Approx(0.091 * 3.0 / 0.371).epsilon(1e-12));
  CHECK(time.time_h == Approx(3.0 / 0.371).epsilon(1e-12));
  CHECK(time.time_range_h.low == Approx(3.0 / 0.371).epsilon(1e-12));  // exponent 1: no penalty, one time
  CHECK(time.time_range_h.high == Approx(3.0 / 0.371).epsilon(1e-12));
  CHECK(time.time_lost_h == Approx(3.0 / 0.28 - 3.0 / 0.371).epsilon(1e-12));
  // An hour of pure tuning is the most there is.
  tuner.tunes_per_h = 600.0;
  CHECK(operating_time(battery, set, tuner).mean_current_a == Approx(2.1).epsilon(1e-12));
  tuner.tunes_per_h = 601.0;
  CHECK_THROWS_AS(operating_time(battery, set, tuner), DomainError);
}

TEST_CASE("every mode of the duty table has a current factor, and the stated ones are those of the trade") {
  // Common practice: SSB 0.35 to 0.6 in class AB with its idling current, CW 0.45 to 0.55.
  const auto is = [](const char* mode, double low, double high) {
    INFO(mode);
    const Range factor = current_factor(mode);
    CHECK(std::abs(factor.low - low) <= 0.005);
    CHECK(std::abs(factor.high - high) <= 0.005);
  };
  is("SSB", 0.35, 0.60);
  is("SSB processed", 0.55, 0.95);
  is("CW", 0.45, 0.55);
  is("slotted digital", 0.5, 0.5);
  for (const char* carrier : {"FM", "RTTY", "FSK", "AFSK", "carrier"}) is(carrier, 1.0, 1.0);
  for (const safety::ModeDuty& mode : safety::mode_duties()) {
    INFO(mode.name);
    const Range factor = current_factor(mode.name);
    CHECK(factor.low > 0.0);
    CHECK(factor.low <= factor.high);
    CHECK(factor.high <= 1.0);
  }
  CHECK_THROWS_AS(current_factor("whistling"), DomainError);
}

TEST_CASE("what no station draws is refused") {
  const Battery battery{Chemistry::lead_acid_agm, 7.0, 20.0, {1.1, 1.1}, {1.0, 1.0}};
  CHECK_THROWS_AS(operating_time(battery, {1.0, 0.5, {1, 1}, 0.2}), DomainError);
  CHECK_THROWS_AS(operating_time(battery, {0.1, 1.0, {0.6, 0.5}, 0.2}), DomainError);
  CHECK_THROWS_AS(operating_time(battery, {0.1, 1.0, {0.5, 1.1}, 0.2}), DomainError);
  CHECK_THROWS_AS(charge_ah(-0.1, 6.0), DomainError);
  CHECK_THROWS_AS(charge_ah(0.1, std::nan("")), DomainError);
  CHECK_THROWS_WITH(operating_time(battery, {0.1, 1.0, {1, 1}, 1.2}), Catch::Contains("talk share must be 0 to 1"));
}

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

TEST_CASE("every figure of a station with a spread in all that it states is the one worked by hand") {
  // 36 tunings of 10 s are 0.1 of the hour, talking 0.5 of the rest. Receiving 0.2 + 0.1 = 0.3 A for 0.45, tuning
  // 0.5 x 2 + 0.1 + 0.3 = 1.4 A for 0.1, talking 0.4 x 2 + 0.1 = 0.9 A to 0.6 x 2 + 0.1 = 1.3 A for 0.45: in the mean
  // 0.135 + 0.14 + 0.405 = 0.68 A to 0.135 + 0.14 + 0.585 = 0.86 A. Without the tuner 0.1 + 0.4 = 0.5 A to 0.1 + 0.6 =
  // 0.7 A.
  const Battery battery{Chemistry::lead_acid_gel, 10.0, 20.0, {1.0, 2.0}, {0.8, 1.0}};
  const SetDraw set{0.2, 2.0, {0.4, 0.6}, 0.5};
  const OperatingTime time = operating_time(battery, set, {0.1, 0.3, 10.0, 36.0, 0.5});
  const auto is = [](double value, double expected) { CHECK(value == Approx(expected).epsilon(1e-12)); };
  is(time.mean_current_range_a.low, 0.68);
  is(time.mean_current_range_a.high, 0.86);
  is(time.mean_current_a, 0.77);
  is(time.tuner_a, 0.17);
  is(time.tuner_hold_a, 0.1);
  is(time.tuner_tuning_a, 0.07);
  // Of the middle exponent 1.5 and share 0.9: 20 h (0.9 x 0.5/0.77)^1.5, and without the tuner 20 h (0.9 x
  // 0.5/0.6)^1.5.
  const double middle_h = 20.0 * std::pow(0.45 / 0.77, 1.5);
  is(time.time_h, middle_h);
  is(time.time_lost_h, 20.0 * std::pow(0.75, 1.5) - middle_h);
  is(time.tuner_charge_ah, 0.17 * middle_h);
  // At worst the greater currents with exponent 2 and share 0.8, 20 h (0.4/I)^2 each: 3.2 h over the mean square of
  // 0.45 x 0.3^2 + 0.45 x 1.3^2 + 0.1 x 1.4^2 = 0.997. At best exponent 1 and all of 10 Ah at 0.68 A.
  is(time.time_range_h.low, 3.2 / 0.997);
  is(time.time_range_h.high, 10.0 / 0.68);
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

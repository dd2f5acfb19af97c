// Operating hours of stations with and without a tuner.
#include <catch2/catch.hpp>

#include <cmath>

#include <stile/base/errors.hpp>
#include <stile/base/table.hpp>
#include <stile/energy/operating.hpp>

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
    CHECK(std::abs(time.mean_current_a.low - value("mean_a")) <= 1e-12);
    CHECK(time.mean_current_a.high == time.mean_current_a.low);
    CHECK(std::abs(time.tuner_a - value("hold_a")) <= 1e-12);
    CHECK(std::abs(time.time_h.high - value("time_h")) <= 6e-5);  // six digits are printed
    CHECK(time.time_h.low < time.time_h.high);
    CHECK((time.time_lost_h > 0.0) == (value("hold_a") > 0.0));
  }
}

TEST_CASE("tuning costs its carrier: by hand") {
  // 30 tunings an hour of 6 s are 0.05 of it: 0.05 (2 + 0.1) + 0.95 (0.2 x 0.5 x 2 + 0.8 x 0.1) = 0.371 A; without a
  // tuner 0.2 + 0.08 = 0.28 A.
  const Battery battery{Chemistry::lithium_iron_phosphate, 3.0, 1.0, {1.0, 1.0}, {1.0, 1.0}};
  const SetDraw set{0.1, 2.0, {0.5, 0.5}, 0.2};
  TunerDraw tuner{0.0, 0.1, 6.0, 30.0, 1.0};
  const OperatingTime time = operating_time(battery, set, tuner);
  CHECK(time.mean_current_a.low == Approx(0.371).epsilon(1e-12));
  CHECK(time.tuner_a == Approx(0.091).epsilon(1e-12));
  CHECK(time.time_h.low == Approx(3.0 / 0.371).epsilon(1e-12));  // exponent 1: no penalty, one time
  CHECK(time.time_h.high == Approx(3.0 / 0.371).epsilon(1e-12));
  CHECK(time.time_lost_h == Approx(3.0 / 0.28 - 3.0 / 0.371).epsilon(1e-12));
  // An hour of pure tuning is the most there is.
  tuner.tunes_per_h = 600.0;
  CHECK(operating_time(battery, set, tuner).mean_current_a.high == Approx(2.1).epsilon(1e-12));
  tuner.tunes_per_h = 601.0;
  CHECK_THROWS_AS(operating_time(battery, set, tuner), DomainError);
}

TEST_CASE("modes carry the factors that are common practice") {
  const auto factor = [](std::string_view name) {
    for (const TalkMode& mode : talk_modes())
      if (mode.name == name) return mode.current_factor;
    FAIL(name);
    return Range{};
  };
  CHECK(factor("SSB").low == 0.35);
  CHECK(factor("SSB").high == 0.60);
  CHECK(factor("CW").low == 0.45);
  CHECK(factor("CW").high == 0.55);
  CHECK(std::abs(factor("SSB processed").low - 0.35 * std::sqrt(2.0)) <= 0.006);  // two digits
  CHECK(std::abs(factor("SSB processed").high - 0.60 * std::sqrt(2.0)) <= 0.006);
  for (const char* carrier : {"FM", "RTTY", "AFSK", "slot digital", "carrier"}) CHECK(factor(carrier).low == 1.0);
}

TEST_CASE("what no station draws is refused") {
  const Battery battery{Chemistry::lead_acid_agm, 7.0, 20.0, {1.1, 1.1}, {1.0, 1.0}};
  CHECK_THROWS_AS(operating_time(battery, {1.0, 0.5, {1, 1}, 0.2}), DomainError);
  CHECK_THROWS_AS(operating_time(battery, {0.1, 1.0, {0.6, 0.5}, 0.2}), DomainError);
  CHECK_THROWS_AS(operating_time(battery, {0.1, 1.0, {0.5, 1.1}, 0.2}), DomainError);
  CHECK_THROWS_WITH(operating_time(battery, {0.1, 1.0, {1, 1}, 1.2}), Catch::Contains("talk share must be 0 to 1"));
}

// Duty against printed factors and printed averages.
#include <catch2/catch.hpp>

#include <algorithm>
#include <map>

#include <stile/base/errors.hpp>
#include <stile/safety/duty.hpp>

#include "safety/reference.hpp"

using namespace stile;
using namespace stile::safety;
using namespace stile::safety::test;

TEST_CASE("duty factors of the modes are the printed ones") {
  const std::map<std::string, std::string> names{{"conversational SSB, no processing", "SSB"},
                                                 {"conversational SSB, heavy processing", "SSB processed"},
                                                 {"voice FM", "FM"},
                                                 {"FSK or RTTY", "RTTY"},
                                                 {"AFSK on SSB", "AFSK"},
                                                 {"conversational CW", "CW"},
                                                 {"carrier (tune-up)", "carrier"},
                                                 {"slot-based weak-signal digital, 50 % slots", "slotted digital"}};
  const Table table = reference("duty_factors.csv");
  CHECK(table.rows.size() == names.size());
  for (std::size_t row = 0; row < table.rows.size(); ++row)
    CHECK(mode_duty(names.at(table.text(row, "mode"))).factor == table.number(row, "duty_factor"));
  CHECK(mode_duty("FSK").factor == 1.0);
  // All but the slots of digital modes are of OET Bulletin 65 Supplement B, 1997, Table 2, whose text was seen.
  for (const ModeDuty& mode : mode_duties()) {
    INFO(mode.name);
    const bool slots = mode.name == "slotted digital";
    CHECK(mode.status == (slots ? "common practice" : "official text seen"));
    CHECK((mode.source.find("FCC OET Bulletin 65 Supplement B (Edition 97-01), 1997, Table 2") == 0) == !slots);
  }
  CHECK_THROWS_AS(mode_duty("semaphore"), DomainError);
}

TEST_CASE("eight printed averages, and four derived ones") {
  const Table table = reference("average_power_vectors.csv");
  int printed = 0;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    INFO(table.text(row, "case"));
    const double w = average_power_w(table.number(row, "PEP_W"), table.number(row, "duty"), table.number(row, "on_s"),
                                     table.number(row, "window_s"));
    CHECK(std::abs(w - table.number(row, "recomputed_avg_W")) <= 5e-4);
    if (table.text(row, "printed_avg_W").empty()) continue;
    ++printed;
    // One is printed as 159 W: 1500 x 0.2 x 16/30 is 160 W, the print rounds 16/30 to 0.53.
    const double rounded = table.number(row, "printed_avg_W") == 159.0 ? 1500 * 0.2 * 0.53 : w;
    CHECK(std::abs(rounded - table.number(row, "printed_avg_W")) <= 0.05);
  }
  CHECK(printed == 8);
}

TEST_CASE("the worst window of overs and pauses") {
  // Overs of 7 min, pauses of 7 min (OET Bulletin 65 Supplement B, 1997, pp. 12-14): all of 6 min, 16 of 30 min.
  CHECK(worst_on_s(420.0, 420.0, 360.0) == 360.0);
  CHECK(worst_on_s(420.0, 420.0, 1800.0) == 960.0);
  // 2 min on, 2 off, 2 on: 4 of 6 min.
  CHECK(worst_on_s(120.0, 120.0, 360.0) == 240.0);
  CHECK(worst_on_s(30.0, 0.0, 360.0) == 360.0);
  // No window of any start has more.
  const double over = 50.0, pause = 70.0;
  for (const double window : {10.0, 55.0, 130.0, 360.0, 1000.0}) {
    double most = 0.0;
    for (int start = 0; start < 1200; ++start) {
      double on = 0.0;
      for (int n = 0; n < 20; ++n) {
        const double from = n * (over + pause), low = std::max(from, 0.1 * start);
        on += std::max(0.0, std::min(from + over, 0.1 * start + window) - low);
      }
      most = std::max(most, on);
    }
    CHECK(std::abs(worst_on_s(over, pause, window) - most) <= 1e-9);
  }
}

TEST_CASE(
    "the share of talk counts only for overs shorter than the averaging time, and nothing where it is not averaged") {
  CHECK(mean_power_share({"SSB", 0.5, 60.0}, 360.0) == Approx(0.1).epsilon(1e-12));
  CHECK(mean_power_share({"SSB", 0.5, 60.0}, 1800.0) == Approx(0.1).epsilon(1e-12));
  CHECK(mean_power_share({"SSB", 0.5, 400.0}, 360.0) == Approx(0.2).epsilon(1e-12));
  CHECK(mean_power_share({"SSB", 0.5, 60.0}, 0.0) == 1.0);
  CHECK(mean_power_share({"carrier", 1.0, 60.0}, 360.0) == 1.0);
  CHECK_THROWS_AS(mean_power_share({"SSB", 0.0, 60.0}, 360.0), DomainError);
  CHECK_THROWS_AS(mean_power_share({"SSB", 1.5, 60.0}, 360.0), DomainError);
  CHECK_THROWS_AS(mean_power_share({"SSB", 0.5, 0.0}, 360.0), DomainError);
  CHECK_THROWS_AS(mean_power_share({"Morse", 0.5, 60.0}, 360.0), DomainError);
}

TEST_CASE("a tune carrier counts whole, and takes no more than the pauses leave") {
  // 10 s of key down and 180 s of SSB at 0.2 in the six minutes of overs and pauses of one minute.
  CHECK(mean_power_share({"SSB", 0.5, 60.0, 10.0}, 360.0) == Approx((10.0 + 0.2 * 180.0) / 360.0).epsilon(1e-12));
  // without pauses it takes its time from the talk: 350 s of SSB
  CHECK(mean_power_share({"SSB", 1.0, 60.0, 10.0}, 360.0) == Approx((10.0 + 0.2 * 350.0) / 360.0).epsilon(1e-12));
  // one every six minutes: five in half an hour; one every hour: one in any window
  CHECK(mean_power_share({"SSB", 0.5, 60.0, 10.0}, 1800.0) == Approx((50.0 + 0.2 * 900.0) / 1800.0).epsilon(1e-12));
  CHECK(mean_power_share({"SSB", 0.5, 60.0, 10.0, 3600.0}, 1800.0) ==
        Approx((10.0 + 0.2 * 900.0) / 1800.0).epsilon(1e-12));
  CHECK(mean_power_share({"SSB", 0.5, 60.0, 10.0, 3600.0}, 360.0) ==
        Approx((10.0 + 0.2 * 180.0) / 360.0).epsilon(1e-12));
  // every 100 s: four can begin in six minutes
  CHECK(mean_power_share({"SSB", 0.5, 60.0, 10.0, 100.0}, 360.0) ==
        Approx((40.0 + 0.2 * 180.0) / 360.0).epsilon(1e-12));
  // a tuner's beside it: 5 s every 6 min and 40 s an hour
  CHECK(mean_power_share({"SSB", 0.2, 60.0, 5.0, 360.0, 40.0, 3600.0}, 360.0) ==
        Approx((5.0 + 40.0 + 0.2 * 120.0) / 360.0).epsilon(1e-12));
  CHECK(mean_power_share({"SSB", 0.2, 60.0, 5.0, 360.0, 40.0, 3600.0}, 1800.0) ==
        Approx((25.0 + 40.0 + 0.2 * 360.0) / 1800.0).epsilon(1e-12));
  CHECK_THROWS_AS(mean_power_share({"SSB", 0.5, 60.0, 0.0, 360.0, 10.0, 9.0}, 360.0), DomainError);
  CHECK(tune_words({"SSB", 0.2, 60.0, 5.0, 360.0, 40.0, 3600.0}) ==
        ", with a tune carrier of 5 s every 360 s, with the tuner's carrier of 40 s every 3600 s");
  // longer than the window; not averaged; a mode that is key down anyway
  CHECK(mean_power_share({"SSB", 0.5, 60.0, 400.0, 3600.0}, 360.0) == 1.0);
  CHECK(mean_power_share({"SSB", 0.5, 60.0, 10.0}, 0.0) == 1.0);
  CHECK(mean_power_share({"carrier", 1.0, 60.0, 10.0}, 360.0) == 1.0);
  // an over and a part of a pause in the window
  CHECK(mean_power_share({"CW", 50.0 / 120.0, 50.0, 5.0}, 100.0) == Approx((5.0 + 0.4 * 50.0) / 100.0).epsilon(1e-12));
  CHECK_THROWS_AS(mean_power_share({"SSB", 0.5, 60.0, -1.0}, 360.0), DomainError);
  CHECK_THROWS_AS(mean_power_share({"SSB", 0.5, 60.0, 10.0, 9.0}, 360.0), DomainError);
  CHECK_THROWS_AS(mean_power_share({"SSB", 0.5, 60.0, 0.0, 0.0}, 360.0), DomainError);
  CHECK(tune_words({"SSB", 0.5, 60.0, 5.0}) == ", with a tune carrier of 5 s every 360 s");
  CHECK(duty_words({"SSB", 0.5, 60.0, 5.0, 90.0}) == "SSB (factor 0.2, official text seen), transmitting 0.5 of the "
                                                     "time in overs of 60 s, with a tune carrier of 5 s every "
                                                     "90 s");
  CHECK_THROWS_AS(duty_words({"Morse"}), DomainError);
  CHECK(tune_words({}).empty());
}

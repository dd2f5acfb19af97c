// What the other end notices, on the recommendation's rows and on tables of the normal distribution.
#include <catch2/catch.hpp>

#include <cmath>
#include <limits>

#include <stile/base/errors.hpp>
#include <stile/base/table.hpp>
#include <stile/plan/far_end.hpp>

#include <plan/stations.hpp>

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
    // Half of the last of four digits is up to 5e-4 of the number.
    CHECK(std::abs(microvolt - table.number(n, "microvolt_computed")) <= 5e-4 * microvolt);
    // Printed to a tenth of a microvolt; S9 prints 50.2 for 50.06 and S9+10 160.0 for 158.3, which is wrong in print.
    if (reading != "S9" && reading != "S9+10" && !table.text(n, "microvolt_printed").empty()) {
      CHECK(std::abs(microvolt - table.number(n, "microvolt_printed")) <= 0.05);
    }
  }
  CHECK_THROWS_AS(s_reading(std::nan("")), DomainError);
}

TEST_CASE("decibels are the power ratios, watts and S units of the derived rows, to their last digit") {
  const std::string path = STILE_TEST_DATA "/plan/db_loss.csv";
  const Table table = read_table(read_text_file(path), path);
  REQUIRE(table.rows.size() == 16);
  for (std::size_t n = 0; n < table.rows.size(); ++n) {
    const double db = table.number(n, "loss_db");
    INFO(db << " dB");
    const auto is = [&](double value, const char* column, int digits = 4) {
      CHECK(std::abs(value - table.number(n, column)) <=
            0.500001 * std::pow(10.0, std::floor(std::log10(value)) - (digits - 1)));
    };
    is(power_below(1.0, db), "power_ratio", 5);
    is(100.0 * (1.0 - power_below(1.0, db)), "percent_lost");
    is(power_below(10.0, db), "left_of_10_w");
    is(s_units(db), "s_units");
    CHECK(db_below(10.0, power_below(10.0, db)) == Approx(db).epsilon(1e-12));
  }
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

TEST_CASE("a quarter wave over perfect ground radiates all but its copper, with the pattern of a monopole") {
  // C. A. Balanis, Antenna Theory, 3rd ed., 2005, sec. 4.7.2: a quarter-wave monopole over perfect ground has the
  // directivity of 3.286 at the horizon, twice a half-wave dipole's 1.643 (from memory). Level radials over perfect
  // ground carry opposite currents and add little at the horizon: 2 % of the wavelength up they change it by less than
  // 5 %.
  const station::Path low{{0.0, 2.0}, {}, {}};
  const QuarterWave q = quarter_wave(wire::perfect_ground(), 0.8, 7.1e6, low);
  CHECK(q.radiated_share > 0.97);
  CHECK(q.radiated_share < 1.0);
  REQUIRE(q.path_gain);
  CHECK(std::abs(*q.path_gain / q.radiated_share - 3.286) <= 0.05 * 3.286);
  const QuarterWave soil = quarter_wave(wire::lossy_ground(15.0, 1e-3), 1.2, 7.1e6, {});
  CHECK_FALSE(soil.path_gain);
  CHECK(soil.radiated_share > 0.05);
  CHECK(soil.radiated_share < 0.6);
}

TEST_CASE(
    "an arrangement stands beside the quarter wave over its own ground, at its own height and the design frequency") {
  // A load whose shares are stated (invented), of an antenna whose foot is 1.2 m up.
  station::Station s = test::bare_station({20.0, -300.0});
  s.bands = {{"40 m", 7.0e6, 7.2e6, 7.05e6, 7.15e6, 7.12e6}};
  const load::PowerShares shares{0.04, 0.06, 0.9};
  test::set_loads(s, {{"dry",
                       "samples",
                       load::make_sampled_load({6.9e6, 7.1e6, 7.3e6}, {{20.0, -310.0}, {20.0, -300.0}, {20.0, -290.0}},
                                               {shares, shares, shares}),
                       {}}});
  station::StatedWires wires;
  wires.antenna.wires.push_back({"whip", {{0, 0, 1.2}, {0, 0, 4.2}}, 0.002, {}, 1.0, {}});
  wires.ground = wire::lossy_ground(13.0, 5e-3);
  s.antennas[0].loads[0].solved_from = wires;
  s.arrangements = {test::arrangement("coil", station::ArrangementKind::base_coil),
                    test::arrangement("nothing", station::ArrangementKind::straight)};
  const auto check = [&](double share_of_full) {
    const Plan plan = make_plan(s, {}, 1, false);
    const std::vector<FarEnd> all = far_ends(s, plan, {}, 1);
    REQUIRE(all.size() == 2);
    for (std::size_t n = 0; n < 2; ++n) {
      REQUIRE(all[n].against_quarter_wave_db);
      CHECK(*all[n].against_quarter_wave_db ==
            Approx(plan.bands[0].arrangements[n].counted_db + 10.0 * std::log10(share_of_full)).epsilon(1e-9));
    }
  };
  check(quarter_wave(wires.ground, 1.2, 7.12e6, {}).radiated_share);
  // Towards a path its gain counts, of the quarter wave as of the antenna.
  s.bands[0].path = station::Path{{20.0, 40.0}, {}, {}};
  load::SampledLoad gains = std::get<load::SampledLoad>(s.antennas[0].loads[0].load.model);
  gains.path_gain = {0.05, 0.05, 0.05};
  s.antennas[0].loads[0].load.model = gains;
  check(*quarter_wave(wires.ground, 1.2, 7.12e6, s.bands[0].path).path_gain);
}

TEST_CASE("how an arrangement is heard is counted from the best of its band") {
  station::Station s = test::bare_station({20.0, -300.0});
  station::Arrangement good = test::arrangement("good", station::ArrangementKind::base_coil), bad = good;
  bad.name = "bad";
  bad.parts.stock.inductor_loss.q = 30.0;
  s.arrangements = {good, bad, test::arrangement("nothing", station::ArrangementKind::straight)};
  s.contacts = ContactMargin{6.0, 8.0};
  const Plan plan = make_plan(s);
  const std::vector<FarEnd> all = far_ends(s, plan);
  REQUIRE(all.size() == 3);
  CHECK(all[0].against_best_db == 0.0);
  CHECK(*all[0].contacts_lost == 0.0);
  const auto& of = plan.bands.front().arrangements;
  for (std::size_t n = 1; n < 3; ++n) {
    CHECK(all[n].arrangement == n);
    CHECK(all[n].against_best_db == of[n].counted_db - of[0].counted_db);
    CHECK(all[n].against_best_db > 1.0);
    CHECK(*all[n].contacts_failed == contacts_failed(all[n].against_best_db, *s.contacts));
    CHECK(*all[n].contacts_lost == contacts_lost(all[n].against_best_db, *s.contacts));
    CHECK_FALSE(all[n].against_quarter_wave_db);  // nobody knows where these loads' power goes
  }
  s.contacts.reset();
  CHECK_FALSE(far_ends(s, plan).front().contacts_lost);
  CHECK_THROWS_AS(far_ends(s, Plan{}), DomainError);
}

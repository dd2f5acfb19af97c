// Peukert's law on printed and derived rows, the cold, and a mix of draws.
#include <catch2/catch.hpp>

#include <cmath>
#include <random>

#include <stile/base/errors.hpp>
#include <stile/base/table.hpp>
#include <stile/energy/battery.hpp>

using namespace stile;
using namespace stile::energy;

namespace {

Table data(const std::string& name) {
  const std::string path = STILE_TEST_DATA "/energy/" + name;
  return read_table(read_text_file(path), path);
}

}  // namespace

TEST_CASE("Peukert exponents are those of the printed batteries, where the print agrees with its own times") {
  const Table table = data("peukert_printed.csv");
  REQUIRE(table.rows.size() == 18);
  std::size_t match = 0, near = 0, differ = 0;
  for (std::size_t n = 0; n < table.rows.size(); ++n) {
    const double ah = table.number(n, "Ah_20h"), minutes = table.number(n, "reserve_min_at_25A");
    const double k = peukert_exponent(ah / 20.0, 20.0, 25.0, minutes / 60.0);
    INFO(ah << " Ah, " << minutes << " min");
    CHECK(std::abs(k - table.number(n, "recomputed_exponent")) <= 6e-5);
    const double off = std::abs(k - table.number(n, "printed_exponent"));
    (off <= 0.0055 ? match : off <= 0.02 ? near : differ) += 1;
  }
  CHECK(match == 16);
  CHECK(near == 1);
  CHECK(differ == 1);
}

TEST_CASE("discharge times are those of the rows, to their last digit") {
  const Table table = data("peukert_vectors.csv");
  REQUIRE(table.rows.size() == 8);
  for (std::size_t n = 0; n < table.rows.size(); ++n) {
    const double time = discharge_time_h(table.number(n, "capacity_ah"), table.number(n, "rate_h"),
                                         table.number(n, "exponent"), 1.0, table.number(n, "current_a"));
    CHECK(std::abs(time - table.number(n, "time_h")) <= table.number(n, "tolerance"));
  }
}

TEST_CASE("at the rated current the capacity is the stated one, and the exponent gives back the law") {
  std::mt19937 random(20261);
  std::uniform_real_distribution<double> uniform(0.0, 1.0);
  for (int n = 0; n < 200; ++n) {
    const double ah = 1.0 + 20.0 * uniform(random), rate = 1.0 + 19.0 * uniform(random),
                 k = 1.0 + 0.5 * uniform(random);
    CHECK(std::abs(discharge_time_h(ah, rate, k, 1.0, ah / rate) - rate) <= 1e-12 * rate);
    const double i1 = 0.1 + uniform(random), i2 = i1 + 0.1 + uniform(random);
    const double found =
        peukert_exponent(i1, discharge_time_h(ah, rate, k, 0.9, i1), i2, discharge_time_h(ah, rate, k, 0.9, i2));
    CHECK(std::abs(found - k) <= 1e-11);
  }
}

TEST_CASE("the cold takes what data sheets say, and nothing from 25 degrees up") {
  const auto is = [](Range range, double low, double high) {
    CHECK(range.low == Approx(low).epsilon(1e-12));
    CHECK(range.high == Approx(high).epsilon(1e-12));
  };
  for (const Chemistry lead : {Chemistry::lead_acid_agm, Chemistry::lead_acid_gel, Chemistry::lead_acid_flooded}) {
    is(capacity_share(lead, 0.0), 0.80, 0.87);
    is(capacity_share(lead, -15.0), 0.6, 0.7);
    is(capacity_share(lead, -20.0), 0.6, 0.7);
    is(capacity_share(lead, 12.5), 0.90, 0.935);
  }
  is(capacity_share(Chemistry::lithium_iron_phosphate, 0.0), 0.8, 0.9);
  is(capacity_share(Chemistry::lithium_iron_phosphate, -20.0), 0.5, 0.7);
  is(capacity_share(Chemistry::lithium_iron_phosphate, 25.0), 1.0, 1.0);
  is(capacity_share(Chemistry::lead_acid_agm, 50.0), 1.0, 1.0);
  CHECK_THROWS_AS(capacity_share(Chemistry::lead_acid_agm, -21.0), DomainError);
  CHECK_THROWS_WITH(capacity_share(Chemistry::lead_acid_agm, 50.1), Catch::Contains("-20 to 50 degrees C, not 50.1"));
  CHECK_THROWS_AS(capacity_share(Chemistry::lead_acid_agm, std::nan("")), DomainError);
}

TEST_CASE("a set that switches off early leaves the shares of a table from memory, straight lines between, and nothing "
          "at the end") {
  // The shape of typical curves, from memory: the lesser share at the one-hour current, the greater at the twenty-hour
  // one.
  const auto is = [](Range range, double low, double high) {
    CHECK(range.low == Approx(low).epsilon(1e-12));
    CHECK(range.high == Approx(high).epsilon(1e-12));
  };
  for (const Chemistry lead : {Chemistry::lead_acid_agm, Chemistry::lead_acid_gel, Chemistry::lead_acid_flooded}) {
    is(share_at_cut_off(lead, 9.0), 1.0, 1.0);
    is(share_at_cut_off(lead, 10.5), 1.0, 1.0);
    is(share_at_cut_off(lead, 10.8), 0.9, 1.0);
    is(share_at_cut_off(lead, 11.0), 0.8, 0.96);
    is(share_at_cut_off(lead, 11.25), 0.65, 0.915);
    is(share_at_cut_off(lead, 11.5), 0.5, 0.87);
    is(share_at_cut_off(lead, 12.0), 0.1, 0.6);
    CHECK_THROWS_WITH(share_at_cut_off(lead, 12.1), Catch::Contains("at most 12 V under load, not 12.1 V"));
  }
  is(share_at_cut_off(Chemistry::lithium_iron_phosphate, 10.0), 1.0, 1.0);
  is(share_at_cut_off(Chemistry::lithium_iron_phosphate, 12.0), 0.9, 0.98);
  is(share_at_cut_off(Chemistry::lithium_iron_phosphate, 12.5), 0.7, 0.95);
  is(share_at_cut_off(Chemistry::lithium_iron_phosphate, 12.8), 0.3, 0.9);
  CHECK_THROWS_AS(share_at_cut_off(Chemistry::lithium_iron_phosphate, 12.9), DomainError);
  CHECK_THROWS_AS(share_at_cut_off(Chemistry::lead_acid_agm, 0.0), DomainError);
  CHECK_THROWS_AS(share_at_cut_off(Chemistry::lead_acid_agm, std::nan("")), DomainError);
  REQUIRE_FALSE(chemistries().empty());
  for (const ChemistryFacts& facts : chemistries()) {
    for (double v = facts.most_cut_off_v; v > 9.05; v -= 0.05) {  // switching off later leaves no more
      CHECK(share_at_cut_off(facts.chemistry, v - 0.05).low >= share_at_cut_off(facts.chemistry, v).low);
      CHECK(share_at_cut_off(facts.chemistry, v - 0.05).high >= share_at_cut_off(facts.chemistry, v).high);
    }
  }
  for (const ChemistryFacts& facts : chemistries()) {  // what makers call empty is empty
    CHECK(share_at_cut_off(facts.chemistry, facts.end_voltage_v.high).high == 1.0);
    CHECK(share_at_cut_off(facts.chemistry, facts.most_cut_off_v).low > 0.0);
  }
}

TEST_CASE("the constants of a chemistry are what is usual, and its exponents hold those of the printed batteries") {
  // Typical data, statuses beside them in the header: exponents second-hand, specific energies 20..40 (makers of
  // standby batteries) and 80..120 Wh/kg (from memory), end voltages from memory. Nominal voltages: six cells of 2 V,
  // four of 3.2 V.
  struct Row {
    Chemistry chemistry;
    const char* name;
    Range exponent, energy;
    double rate_h, nominal_v;
    Range end_v;
    double most_cut_off_v;
    const char *exponent_source, *cold_source;
  };
  const std::vector<Row> rows{{Chemistry::lead_acid_agm,
                               "sealed lead-acid",
                               {1.05, 1.15},
                               {20, 40},
                               20,
                               12.0,
                               {10.5, 10.8},
                               12.0,
                               "general reference, second-hand",
                               "typical data sheets, from memory"},
                              {Chemistry::lead_acid_gel,
                               "gel lead-acid",
                               {1.1, 1.25},
                               {20, 40},
                               20,
                               12.0,
                               {10.5, 10.8},
                               12.0,
                               "general reference and 6 printed batteries (1.10 to 1.14), second-hand",
                               "typical data sheets, from memory"},
                              {Chemistry::lead_acid_flooded,
                               "flooded lead-acid",
                               {1.14, 1.6},
                               {20, 40},
                               20,
                               12.0,
                               {10.5, 10.8},
                               12.0,
                               "general reference (1.2 to 1.6) and 11 printed batteries (1.14 to 1.29), second-hand",
                               "typical data sheets, from memory"},
                              {Chemistry::lithium_iron_phosphate,
                               "lithium iron phosphate",
                               {1.0, 1.05},
                               {80, 120},
                               1,
                               12.8,
                               {10.0, 10.0},
                               12.8,
                               "general reference, second-hand",
                               "from memory"}};
  REQUIRE(chemistries().size() == rows.size());
  for (std::size_t n = 0; n < rows.size(); ++n) {
    const Row& row = rows[n];
    const ChemistryFacts& facts = describe_chemistry(row.chemistry);
    INFO(row.name);
    CHECK(&chemistries()[n] == &facts);  // in the order in which messages name them
    CHECK(facts.chemistry == row.chemistry);
    CHECK(facts.name == row.name);
    CHECK(facts.peukert_exponent.low == row.exponent.low);
    CHECK(facts.peukert_exponent.high == row.exponent.high);
    CHECK(facts.specific_energy_wh_per_kg.low == row.energy.low);
    CHECK(facts.specific_energy_wh_per_kg.high == row.energy.high);
    CHECK(facts.rate_h == row.rate_h);
    CHECK(facts.nominal_v == row.nominal_v);
    CHECK(facts.end_voltage_v.low == row.end_v.low);
    CHECK(facts.end_voltage_v.high == row.end_v.high);
    CHECK(facts.most_cut_off_v == row.most_cut_off_v);
    CHECK(facts.exponent_source == row.exponent_source);
    CHECK(facts.cold_source == row.cold_source);
  }
  // To the two decimals of the print, where it agrees with its own times.
  const Table table = data("peukert_printed.csv");
  std::size_t gel = 0, flooded = 0;
  for (std::size_t n = 0; n < table.rows.size(); ++n) {
    if (table.text(n, "verdict") == "differs") continue;
    const bool is_gel = table.text(n, "type") == "gel";
    const Range usual =
        describe_chemistry(is_gel ? Chemistry::lead_acid_gel : Chemistry::lead_acid_flooded).peukert_exponent;
    const double k = table.number(n, "recomputed_exponent");
    INFO(table.text(n, "type") << ", exponent " << k);
    CHECK(k >= usual.low - 0.005);
    CHECK(k <= usual.high);
    ++(is_gel ? gel : flooded);
  }
  CHECK(gel == 6);
  CHECK(flooded == 11);
}

TEST_CASE("peaks cost more than their mean by Peukert's law, by as much as calculated by hand") {
  // Exponent 1.2, 7 Ah at 20 h, half the time 2 A and half 0.5 A. By hand: 2.46988 h at 2 A (row of
  // peukert_vectors.csv); at 0.5 A 20 (0.7)^1.2 = 13.0363 h; half and half 1/(0.5/2.46988 + 0.5/13.0363) = 4.15293 h;
  // on the mean of 1.25 A 20 (0.28)^1.2 = 4.34131 h.
  const Battery battery{Chemistry::lead_acid_gel, 7.0, 20.0, {1.2, 1.2}, {1.0, 1.0}};
  const Draw draws[] = {{2.0, 0.5}, {0.5, 0.5}};
  const Range time = operating_time_h(battery, draws);
  CHECK(std::abs(time.low - 4.1529) <= 2e-4);
  CHECK(std::abs(time.high - 4.3413) <= 2e-4);
  CHECK(mean_current_a(draws) == 1.25);
}

TEST_CASE("a spread of exponent and capacity gives the shortest and the longest time calculated by hand") {
  // 10 Ah at 20 h are 0.5 A. Worked by hand with 20 h (share x 0.5 A / I)^exponent: at 1 A 20 x 0.4 = 8 h and
  // 20 x 0.16 = 3.2 h of the lesser share, 20 x 0.5 = 10 h and 5 h of the greater. At 0.25 A the greater exponent is
  // the kinder one: 20 x 1.6 = 32 h and 51.2 h, 20 x 2 = 40 h and 80 h.
  const Battery battery{Chemistry::lithium_iron_phosphate, 10.0, 20.0, {1.0, 2.0}, {0.8, 1.0}};
  const auto range = [&](double current_a) {
    const Draw draws[] = {{current_a, 1.0}};
    return operating_time_h(battery, draws);
  };
  CHECK(range(1.0).low == Approx(3.2).epsilon(1e-12));
  CHECK(range(1.0).high == Approx(10.0).epsilon(1e-12));
  CHECK(range(0.25).low == Approx(32.0).epsilon(1e-12));
  CHECK(range(0.25).high == Approx(80.0).epsilon(1e-12));
  // An hour of 4 h is 1 x 4/10 h per Ah, one of 10 h 2 x 10/10; 80 and 120 Wh/kg at 12.8 V are 6.25 and 9.375 Ah/kg.
  const BatteryGain gain = battery_gain(battery, {4.0, 10.0});
  CHECK(gain.hours_per_ah.low == Approx(0.4).epsilon(1e-12));
  CHECK(gain.hours_per_ah.high == Approx(2.0).epsilon(1e-12));
  CHECK(gain.hours_per_kg.low == Approx(2.5).epsilon(1e-12));
  CHECK(gain.hours_per_kg.high == Approx(18.75).epsilon(1e-12));
}

TEST_CASE("what more battery buys is the slope of the law") {
  const Battery battery{Chemistry::lead_acid_gel, 7.0, 20.0, {1.2, 1.2}, {0.85, 0.85}};
  const Draw draws[] = {{0.8, 1.0}};
  const Range time = operating_time_h(battery, draws);
  Battery more = battery;
  more.capacity_ah += 1e-4;
  const double slope = (operating_time_h(more, draws).high - time.high) / 1e-4;
  const BatteryGain gain = battery_gain(battery, time);
  CHECK(gain.hours_per_ah.high == Approx(slope).epsilon(1e-5));
  // 20 to 40 Wh/kg at 12 V are 1.667 to 3.333 Ah/kg.
  CHECK(gain.hours_per_kg.low == Approx(gain.hours_per_ah.low * 20.0 / 12.0).epsilon(1e-12));
  CHECK(gain.hours_per_kg.high == Approx(gain.hours_per_ah.high * 40.0 / 12.0).epsilon(1e-12));
  CHECK_THROWS_AS(battery_gain(battery, {0.0, 1.0}), DomainError);
}

TEST_CASE("what no battery can be is refused with what is legal") {
  CHECK_THROWS_AS(discharge_time_h(0.0, 20.0, 1.2, 1.0, 1.0), DomainError);
  CHECK_THROWS_AS(discharge_time_h(7.0, 0.0, 1.2, 1.0, 1.0), DomainError);
  CHECK_THROWS_AS(discharge_time_h(7.0, 20.0, 0.99, 1.0, 1.0), DomainError);
  CHECK_THROWS_AS(discharge_time_h(7.0, 20.0, 1.2, 1.01, 1.0), DomainError);
  CHECK_THROWS_AS(discharge_time_h(7.0, 20.0, 1.2, 1.0, 0.0), DomainError);
  CHECK_THROWS_AS(peukert_exponent(1.0, 1.0, 1.0, 2.0), DomainError);
  const Draw half[] = {{1.0, 0.5}};
  CHECK_THROWS_WITH(mean_current_a(half), Catch::Contains("must sum to 1, not 0.5"));
  const Draw idle[] = {{0.0, 1.0}};
  CHECK_THROWS_AS(operating_time_h({Chemistry::lead_acid_agm, 7.0, 20.0, {1.1, 1.1}, {1.0, 1.0}}, idle), DomainError);
}

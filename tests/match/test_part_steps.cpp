#include <catch2/catch.hpp>

#include <cmath>

#include <stile/base/errors.hpp>
#include <stile/match/part_steps.hpp>

using namespace stile;
using namespace stile::match;

namespace {

double value(const Choice& choice) { return network::value_si(choice.element->part); }

}  // namespace

TEST_CASE("bought parts of a series are its values between the limits, coils first") {
  PartSteps steps;
  steps.inductor_series = ESeries::e12, steps.capacitor_series = ESeries::e24;
  const PartList list = bought_parts(steps);
  CHECK(list.ranges.empty());
  // 10 nH to 200 uH: four decades of 12, then 100 120 150 180 uH; 2 pF to 20 nF: 2.0 .. 9.1 pF are 17, three decades of
  // 24, 10 .. 20 nF are 8.
  REQUIRE(list.choices.size() == 4 * 12 + 4 + 17 + 3 * 24 + 8);
  CHECK(value(list.choices.front()) == 10e-9);
  CHECK(value(list.choices[51]) == 180e-6);
  CHECK(value(list.choices[52]) == 2e-12);
  CHECK(value(list.choices.back()) == 20e-9);
  for (std::size_t n = 0; n < list.choices.size(); ++n) {
    CHECK(list.choices[n].part == n);
    const auto* coil = std::get_if<network::Inductor>(&list.choices[n].element->part);
    CHECK((coil != nullptr) == (n < 52));
    if (coil) CHECK(coil->self_capacitance_f == 2e-12);  // the usual one
    if (n != 0 && n != 52) CHECK(value(list.choices[n]) > value(list.choices[n - 1]));
  }
}

TEST_CASE("bought parts in steps are whole multiples between the limits") {
  PartSteps steps;
  steps.inductors = false;
  steps.capacitor_step_f = 5e-12;
  steps.stock.least_capacitance_f = 12e-12, steps.stock.most_capacitance_f = 30e-12;
  const PartList list = bought_parts(steps);
  REQUIRE(list.choices.size() == 4);
  for (std::size_t n = 0; n < 4; ++n)
    CHECK(std::abs(value(list.choices[n]) - (15e-12 + 5e-12 * static_cast<double>(n))) <= 1e-24);
}

TEST_CASE("a limit that is itself a step counts, however it was computed") {
  for (int n = 1; n <= 300; ++n) {
    PartSteps steps;
    steps.inductors = false;
    steps.capacitor_step_f = 0.1e-12;
    steps.stock.least_capacitance_f = static_cast<double>(n) / 10.0 * 1e-12;
    steps.stock.most_capacitance_f = steps.stock.least_capacitance_f + 0.2e-12;
    INFO(n);
    CHECK(bought_parts(steps).choices.size() == 3);
  }
}

TEST_CASE("parts without steps are ranges with their losses and ratings") {
  PartSteps steps;
  steps.stock.inductor_loss.q = 150.0;
  steps.stock.capacitor_loss.q = 900.0;
  steps.capacitor_rating.voltage_v_peak = 500.0;
  const PartList list = bought_parts(steps);
  CHECK(list.choices.empty());
  REQUIRE(list.ranges.size() == 2);
  CHECK(list.ranges[0].low == 10e-9);
  CHECK(list.ranges[0].high == 200e-6);
  CHECK(list.ranges[0].self_capacitance_f == 2e-12);
  CHECK(list.ranges[1].low == 2e-12);
  CHECK(list.ranges[1].high == 20e-9);
  const network::Element coil = range_element(list.ranges[0], 1e-6, network::Place::shunt);
  CHECK(std::get<network::Inductor>(coil.part).loss.q == 150.0);
  CHECK(coil.place == network::Place::shunt);
  CHECK(std::get<network::Capacitor>(range_element(list.ranges[1], 1e-10, network::Place::series).part).loss.q ==
        900.0);
  CHECK(range_element(list.ranges[1], 1e-10, network::Place::series).rating.voltage_v_peak == 500.0);
}

TEST_CASE("steps of parts refuse what is out of range and say it") {
  PartSteps steps;
  steps.inductor_step_h = 1e-9;  // 200000 values
  CHECK_THROWS_WITH(bought_parts(steps), Catch::Contains("more than 20000 values"));
  steps.inductor_step_h = 0.0;
  CHECK_THROWS_AS(bought_parts(steps), DomainError);
  steps = {};
  steps.stock.least_capacitance_f = 1e-9, steps.stock.most_capacitance_f = 1e-10;
  CHECK_THROWS_WITH(bought_parts(steps), Catch::Contains("capacitors"));
  steps = {};
  steps.stock.inductor_loss.q = 0.0;
  CHECK_THROWS_AS(bought_parts(steps), DomainError);
}

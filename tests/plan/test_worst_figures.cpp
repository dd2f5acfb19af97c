#include <catch2/catch.hpp>

#include <stile/base/errors.hpp>
#include <stile/plan/worst_figures.hpp>

using namespace stile;
using namespace stile::plan;

namespace {

ConditionResult condition(double worst_loss_db, double range_low_db, double v_peak, double high_v_peak,
                          double width_hz) {
  ConditionResult c;
  c.possible = true;
  c.worst_loss_db = worst_loss_db;
  c.loss_range_db = {range_low_db, worst_loss_db + 1.0};
  c.load_voltage_v_peak = v_peak;
  c.load_voltage_high_v_peak = high_v_peak;
  c.bandwidth.low_hz = 7e6, c.bandwidth.high_hz = 7e6 + width_hz;
  return c;
}

}  // namespace

TEST_CASE("each worst figure is of its own condition") {
  // Invented figures.
  ArrangementResult a;
  a.conditions = {condition(3.0, 2.0, 400.0, 450.0, 60e3), condition(5.0, 4.0, 300.0, 500.0, 80e3),
                  condition(5.0, 4.5, 200.0, 250.0, 40e3), condition(1.0, 0.5, 100.0, 150.0, 40e3)};
  a.conditions[2].bandwidth.low_is_data_edge = true;
  const WorstFigures worst = worst_figures(a);
  CHECK(worst.loss_db == 5.0);
  CHECK(worst.loss_range_db.low == 4.5);  // of the last of equal ones
  CHECK(worst.loss_range_db.high == 6.0);
  CHECK(worst.load_voltage_v_peak == 400.0);
  CHECK(worst.load_voltage_high_v_peak == 500.0);
  CHECK(worst.narrowest.width_hz() == 40e3);
  CHECK(worst.narrowest.low_is_data_edge);  // of the first of equal ones
  a.conditions.push_back(condition(50.0, 40.0, 9e3, 9.5e3, 1e3));
  a.conditions.back().role = station::Role::accident;  // reported, and no figure of the arrangement
  const WorstFigures same = worst_figures(a);
  CHECK(same.loss_db == 5.0);
  CHECK(same.load_voltage_v_peak == 400.0);
  CHECK(same.load_voltage_high_v_peak == 500.0);
  CHECK(same.narrowest.width_hz() == 40e3);
  a.conditions[3].possible = false;
  CHECK_THROWS_AS(worst_figures(a), DomainError);
  CHECK_THROWS_AS(worst_figures({}), DomainError);
}

TEST_CASE("what is spent on one thing is summed over its parts") {
  ConditionResult c;
  c.budget = {
      {Spent::radiated, "", 1.0}, {Spent::match, "L1", 2.0}, {Spent::match, "C1", 0.5}, {Spent::cable, "feeder", 0.25}};
  CHECK(spent_w(c, Spent::match) == 2.5);
  CHECK(spent_w(c, Spent::cable) == 0.25);
  CHECK(spent_w(c, Spent::ground) == 0.0);
}

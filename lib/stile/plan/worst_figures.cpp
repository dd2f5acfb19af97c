#include <stile/plan/worst_figures.hpp>

#include <algorithm>

#include <stile/base/errors.hpp>

namespace stile::plan {

WorstFigures worst_figures(const ArrangementResult& arrangement) {
  const std::vector<ConditionResult>& conditions = arrangement.conditions;
  require(!conditions.empty() &&
              std::all_of(conditions.begin(), conditions.end(), [](const ConditionResult& c) { return c.possible; }),
          "an arrangement has worst figures when it can be made in every condition");
  WorstFigures worst;
  bool first = true;
  for (const ConditionResult& c : conditions) {
    if (c.role == station::Role::accident) continue;
    if (first) worst.narrowest = c.bandwidth;
    first = false;
    if (c.worst_loss_db >= worst.loss_db) worst.loss_db = c.worst_loss_db, worst.loss_range_db = c.loss_range_db;
    worst.load_voltage_v_peak = std::max(worst.load_voltage_v_peak, c.load_voltage_v_peak);
    worst.load_voltage_high_v_peak = std::max(worst.load_voltage_high_v_peak, c.load_voltage_high_v_peak);
    if (c.bandwidth.width_hz() < worst.narrowest.width_hz()) worst.narrowest = c.bandwidth;
  }
  return worst;
}

double spent_w(const ConditionResult& result, Spent on) {
  double sum = 0.0;
  for (const BudgetItem& item : result.budget) sum += item.spent == on ? item.power_w : 0.0;
  return sum;
}

}  // namespace stile::plan

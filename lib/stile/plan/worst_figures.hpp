#pragma once
// An arrangement over all its conditions in one row.

#include <stile/plan/plan.hpp>

namespace stile::plan {

/// Each figure of its own worst normal condition.
struct WorstFigures {
  double loss_db = 0.0;                   ///< greatest worst_loss_db, with ...
  Range loss_range_db;                    ///< ... the range of that condition (of equal ones the last)
  double load_voltage_v_peak = 0.0;       ///< highest
  double load_voltage_high_v_peak = 0.0;  ///< highest
  match::Bandwidth narrowest;             ///< of equal ones the first
};

/// @param arrangement  possible in each of its conditions, of which there is at least one
/// @throws DomainError  not so
WorstFigures worst_figures(const ArrangementResult& arrangement);

/// What a budget spends on one thing, W: the sum over the parts that do.
double spent_w(const ConditionResult& result, Spent on);

}  // namespace stile::plan

#pragma once
// An arrangement at a band's design frequency: where the power goes and what parts bear, as stated and wherever
// uncertain inputs lie. Internal to the room.

#include <stile/plan/detail/corner.hpp>
#include <stile/plan/plan.hpp>

namespace stile::plan::detail {

/// As set somewhere, with what is radiated of the power into the antenna and so on; unknown without shares.
struct AtDesign {
  network::Ladder ladder;
  network::Evaluation evaluation;
  std::optional<load::PowerShares> shares;
};

/// Where the transmitter's full power goes; sums to it.
std::vector<BudgetItem> budget(const station::Transmitter& transmitter, const AtDesign& at);

/// What is stated: ladder, evaluation and budget, whose ranges are these values.
void state_at_design(ConditionResult& result, const station::Transmitter& transmitter, AtDesign at);

/// The range with a value in it.
void widen(Range& range, double value);

/// The same with inputs elsewhere, into the ranges of what is stated: each part by its name and place, and one that is
/// not in use there takes and bears nothing. Of a part that is in use there and not as stated the budget gets an item,
/// without power as stated; what it bears is not kept.
void widen_at_design(ConditionResult& result, const station::Transmitter& transmitter, const AtDesign& at);

}  // namespace stile::plan::detail

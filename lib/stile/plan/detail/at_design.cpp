#include <stile/plan/detail/at_design.hpp>

#include <algorithm>

namespace stile::plan::detail {
namespace {

Range only(double value) { return {value, value}; }

/// A part's label without how it is set: "coil" of "coil (turn 14, rest shorted)".
std::string name_of(const std::string& label) { return label.substr(0, label.find(" (")); }

/// The same part of another ladder: of those of its name in its place the same one of the row. The end: not in use
/// there.
std::size_t same_part(const std::vector<network::Element>& stated, std::size_t n,
                      const std::vector<network::Element>& elements) {
  const auto same = [&](const network::Element& other) {
    return other.place == stated[n].place && name_of(other.label) == name_of(stated[n].label);
  };
  auto before = std::count_if(stated.begin(), stated.begin() + static_cast<std::ptrdiff_t>(n), same);
  std::size_t at = 0;
  while (at < elements.size() && !(same(elements[at]) && before-- == 0)) ++at;
  return at;
}

}  // namespace

void widen(Range& range, double value) {
  range.low = std::min(range.low, value);
  range.high = std::max(range.high, value);
}

std::vector<BudgetItem> budget(const station::Transmitter& transmitter, const AtDesign& at) {
  const network::Evaluation& e = at.evaluation;
  std::vector<BudgetItem> items;
  const auto spend = [&](Spent on, const std::string& where, double power_w) {
    items.push_back({on, where, power_w, only(power_w)});
  };
  if (at.shares) {
    spend(Spent::radiated, "", e.power.delivered_w * at.shares->radiated);
    spend(Spent::ground, "", e.power.delivered_w * at.shares->ground);
    spend(Spent::metal, "", e.power.delivered_w * at.shares->metal);
    if (at.shares->person > 0.0) spend(Spent::person, "", e.power.delivered_w * at.shares->person);
    if (at.shares->lumps > 0.0) spend(Spent::lumps, "", e.power.delivered_w * at.shares->lumps);
  } else {
    spend(Spent::antenna, "", e.power.delivered_w);
  }
  for (std::size_t n = 0; n < e.elements.size(); ++n) {
    const network::Element& element = at.ladder.elements[n];
    const bool cable = std::holds_alternative<network::TransmissionLine>(element.part);
    if (!cable && n > 0 && at.ladder.elements[n - 1].label == element.label) {  // one thing in several parts
      items.back().power_w += e.elements[n].dissipation_w;
      items.back().range_w = only(items.back().power_w);
    } else {
      spend(cable ? Spent::cable : Spent::match, element.label, e.elements[n].dissipation_w);
    }
  }
  // Nothing below 0 by rounding.
  spend(Spent::mismatch, "", std::max(0.0, e.power.available_w - e.power.accepted_w));
  spend(Spent::held_back, "", std::max(0.0, transmitter.source.power_w - e.power.available_w));
  std::stable_sort(items.begin(), items.end(),
                   [](const BudgetItem& a, const BudgetItem& b) { return a.spent < b.spent; });
  return items;
}

void state_at_design(ConditionResult& result, const station::Transmitter& transmitter, AtDesign at) {
  result.budget = budget(transmitter, at);
  for (const network::Stress& s : at.evaluation.elements)
    result.stress_ranges.push_back({only(s.voltage_v_peak), only(s.current_a_rms), only(s.dissipation_w)});
  result.ladder = std::move(at.ladder);
  result.evaluation = std::move(at.evaluation);
}

void widen_at_design(ConditionResult& result, const station::Transmitter& transmitter, const AtDesign& at) {
  std::vector<BudgetItem> here = budget(transmitter, at);
  for (BudgetItem& item : result.budget) {
    const auto same = std::find_if(here.begin(), here.end(), [&](const BudgetItem& other) {
      return other.spent == item.spent && name_of(other.where) == name_of(item.where);
    });
    widen(item.range_w, same != here.end() ? same->power_w : 0.0);
    if (same != here.end()) here.erase(same);
  }
  for (BudgetItem& item : here) {  // of what is not in use as stated
    item.range_w = {0.0, item.power_w};
    item.power_w = 0.0;
    const auto after = [&](const BudgetItem& other) { return item.spent < other.spent; };
    result.budget.insert(std::find_if(result.budget.begin(), result.budget.end(), after), std::move(item));
  }
  for (std::size_t n = 0; n < result.ladder.elements.size(); ++n) {
    const std::size_t same = same_part(result.ladder.elements, n, at.ladder.elements);
    const network::Stress stress = same < at.ladder.elements.size() ? at.evaluation.elements[same] : network::Stress{};
    StressRange& range = result.stress_ranges[n];
    widen(range.voltage_v_peak, stress.voltage_v_peak);
    widen(range.current_a_rms, stress.current_a_rms);
    widen(range.dissipation_w, stress.dissipation_w);
  }
}

}  // namespace stile::plan::detail

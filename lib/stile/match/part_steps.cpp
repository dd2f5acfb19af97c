#include <stile/match/part_steps.hpp>

#include <algorithm>
#include <cmath>
#include <string>

#include <fmt/core.h>

#include <stile/base/detail/ranges.hpp>
#include <stile/base/errors.hpp>

namespace stile::match {
namespace {

constexpr double rounding = 1e-9;  // a limit that is itself a step counts, however it was computed

std::vector<double> series_values(ESeries series, double least, double most) {
  std::vector<double> values;
  double value = e_series_neighbours(series, least * (1.0 - rounding)).above;
  while (value <= most * (1.0 + rounding)) {
    values.push_back(value);
    value = e_series_neighbours(series, value * (1.0 + 1e-6)).above;  // steps of a series are 1 % and more
  }
  return values;
}

std::vector<double> step_values(double step, double least, double most) {
  require(positive(step), "a step of parts must be > 0 and finite");
  const double first = std::ceil(least / step * (1.0 - rounding)), last = std::floor(most / step * (1.0 + rounding));
  if (last - first >= static_cast<double>(most_part_steps))
    throw DomainError(
        fmt::format("steps of {:g} from {:g} to {:g} are more than {} values", step, least, most, most_part_steps));
  std::vector<double> values;
  const auto to = static_cast<long>(last);
  for (auto n = static_cast<long>(std::max(first, 1.0)); n <= to; ++n) values.push_back(static_cast<double>(n) * step);
  return values;
}

}  // namespace

network::Element range_element(const PartRange& range, double value, network::Place place) {
  if (range.kind == PartKind::inductor)
    return {"", place, network::Inductor{value, range.loss, range.self_capacitance_f}, range.rating};
  return {"", place, network::Capacitor{value, range.loss}, range.rating};
}

PartList bought_parts(const PartSteps& steps) {
  PartList list;
  const auto add = [&](const PartRange& range, const std::optional<ESeries>& series, const std::optional<double>& step,
                       const std::string& name) {
    if (!(positive(range.low) && positive(range.high) && range.low <= range.high))
      throw DomainError(
          fmt::format("the limits of {} are {:g} and {:g} and must be > 0 and rising", name, range.low, range.high));
    network::check_loss(range.loss, range.kind == PartKind::capacitor, name + "' loss");
    require(not_negative(range.self_capacitance_f), "a self-capacitance must be >= 0 and finite");
    if (!series && !step) {
      list.ranges.push_back(range);
      return;
    }
    for (const double value :
         series ? series_values(*series, range.low, range.high) : step_values(*step, range.low, range.high))
      list.choices.push_back({range_element(range, value, network::Place::series), {}, list.choices.size()});
  };
  const PartStock& s = steps.stock;
  if (steps.inductors)
    add({PartKind::inductor, s.least_inductance_h, s.most_inductance_h, s.inductor_loss, s.inductor_self_capacitance_f,
         steps.inductor_rating, false},
        steps.inductor_series, steps.inductor_step_h, "inductors");
  if (steps.capacitors)
    add({PartKind::capacitor, s.least_capacitance_f, s.most_capacitance_f, s.capacitor_loss, 0.0,
         steps.capacitor_rating, false},
        steps.capacitor_series, steps.capacitor_step_f, "capacitors");
  return list;
}

}  // namespace stile::match

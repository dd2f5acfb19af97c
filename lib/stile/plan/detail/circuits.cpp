#include <stile/plan/detail/circuits.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

#include <stile/base/constants.hpp>

namespace stile::plan::detail {
namespace {

using match::Choice;
using match::PartList;
using match::Slot;
using network::Place;

constexpr std::size_t places_of_a_coil = 400;  // where it may be tapped anywhere
constexpr double beyond_ohm = 200.0;           // how far past the reactances of the loads
constexpr int fine_values = 20;                // on each side of a value
constexpr double coarse_step = 1.03;           // of any value, for what stays while a hand moves another part

match::Moves moves_of(station::Trim trim) {
  switch (trim) {
  case station::Trim::once:
    return match::Moves::once;
  case station::Trim::tap:
    return match::Moves::tap;
  case station::Trim::trimmer:
    return match::Moves::trimmer;
  case station::Trim::tap_and_trimmer:
    break;
  }
  return match::Moves::tap_and_trimmer;
}

bool moves_tap(match::Moves moves) { return moves == match::Moves::tap || moves == match::Moves::tap_and_trimmer; }
bool moves_trimmer(match::Moves moves) {
  return moves == match::Moves::trimmer || moves == match::Moves::tap_and_trimmer;
}

match::PartSteps at_corner(match::PartSteps steps, const Corner& corner) {
  steps.stock.inductor_loss = corner_loss(steps.stock.inductor_loss, corner);
  return steps;
}

PartList bought(match::PartSteps steps, match::PartKind kind) {
  steps.inductors = kind == match::PartKind::inductor;
  steps.capacitors = kind == match::PartKind::capacitor;
  return match::bought_parts(steps);
}

/// What stays while a hand moves another part: any value becomes one of a row of values.
PartList staying(const match::PartSteps& steps, match::PartKind kind, match::Moves moves) {
  PartList list = bought(steps, kind);
  if (moves == match::Moves::once) return list;
  for (const match::PartRange& range : list.ranges) {
    double value = range.low;
    while (value <= range.high) {
      list.choices.push_back({match::range_element(range, value, Place::series), {}, list.choices.size()});
      value *= coarse_step;
    }
  }
  list.ranges.clear();
  return list;
}

/// One part with what were parts of their own as its taps or trimmer positions.
PartList one_part(PartList list, bool taps) {
  std::size_t position = 0;
  for (Choice& choice : list.choices) choice = {choice.element, {}, 1, taps ? ++position : 0, taps ? 0 : ++position};
  for (match::PartRange& range : list.ranges) range.trimmer = true;
  return list;
}

/// A coil with taps: its steps, or where it is tapped anywhere, even steps around what the loads need. Tap 0 bypasses
/// it.
PartList tapped_coil(const match::PartSteps& steps, double frequency_hz, const std::vector<cdouble>& loads_ohm) {
  PartList list = bought(steps, match::PartKind::inductor);
  if (!list.ranges.empty()) {
    const match::PartRange range = list.ranges.front();
    list.ranges.clear();
    double low_ohm = HUGE_VAL, high_ohm = 0.0;
    for (const cdouble& z : loads_ohm) {
      low_ohm = std::min(low_ohm, -z.imag() - beyond_ohm);
      high_ohm = std::max(high_ohm, -z.imag() + beyond_ohm);
    }
    const double w = two_pi * frequency_hz;
    const auto inductance_h = [&](double x_ohm) {  // a capacitance across it makes it show more
      return x_ohm > 0.0 ? x_ohm / (1.0 + w * range.self_capacitance_f * x_ohm) / w : 0.0;
    };
    const double least_h = std::clamp(inductance_h(low_ohm), range.low, range.high),
                 most_h = std::clamp(inductance_h(high_ohm), range.low, range.high);
    for (std::size_t n = 0; n < places_of_a_coil; ++n) {
      const double value_h =
          least_h + (most_h - least_h) * static_cast<double>(n) / static_cast<double>(places_of_a_coil - 1);
      list.choices.push_back({match::range_element(range, value_h, Place::series)});
    }
  }
  list = one_part(std::move(list), true);
  list.choices.insert(list.choices.begin(), Choice{std::nullopt, {}, 1, 0, 0});
  return list;
}

PartList coils(const match::PartSteps& steps, const station::Band& band, const std::vector<cdouble>& loads_ohm,
               match::Moves moves) {
  return moves_tap(moves) ? tapped_coil(steps, band.design_hz, loads_ohm)
                          : staying(steps, match::PartKind::inductor, moves);
}

/// Bought from a series it stays; of any value, or in steps, it is a trimmer.
PartList capacitors(const match::PartSteps& steps, match::Moves moves) {
  return moves_trimmer(moves) && !steps.capacitor_series ? one_part(bought(steps, match::PartKind::capacitor), false)
                                                         : staying(steps, match::PartKind::capacitor, moves);
}

}  // namespace

match::SettingSpace space_of(const station::Arrangement& arrangement, const station::Band& band,
                             const std::vector<double>& frequencies_hz, const std::vector<cdouble>& loads_ohm,
                             const CoilOnBand* coil, const Corner& corner) {
  match::SettingSpace space;
  space.frequency_hz = frequencies_hz;
  space.moves = moves_of(arrangement.trim);
  const match::PartSteps steps = at_corner(arrangement.parts, corner);
  space.circuits = {{}};  // no part at all
  switch (arrangement.kind) {
  case station::ArrangementKind::tuner:
  case station::ArrangementKind::autotransformer:  // a two-port: FedCoil
  case station::ArrangementKind::transformer:
  case station::ArrangementKind::straight:
    break;
  case station::ArrangementKind::l_network:
    space.lists = {coils(steps, band, loads_ohm, space.moves), capacitors(steps, space.moves)};
    for (const std::size_t first : {0U, 1U}) {
      space.circuits.push_back({{Place::series, first}});
      space.circuits.push_back({{Place::shunt, first}});
      for (const std::size_t second : {0U, 1U}) {
        space.circuits.push_back({{Place::shunt, first}, {Place::series, second}});
        space.circuits.push_back({{Place::series, first}, {Place::shunt, second}});
      }
    }
    break;
  case station::ArrangementKind::base_coil:
    space.lists = {coils(steps, band, loads_ohm, space.moves), capacitors(steps, space.moves),
                   staying(steps, match::PartKind::inductor, space.moves)};
    space.circuits.push_back({{Place::series, 0}});
    space.circuits.push_back({{Place::shunt, 1}, {Place::series, 0}});
    space.circuits.push_back({{Place::shunt, 2}, {Place::series, 0}});
    break;
  case station::ArrangementKind::series_capacitor:
    space.lists = {capacitors(steps, space.moves), bought(steps, match::PartKind::capacitor),
                   coils(steps, band, loads_ohm, space.moves)};
    space.circuits.push_back({{Place::series, 0}});
    space.circuits.push_back({{Place::shunt, 1}, {Place::series, 0}});
    space.circuits.push_back({{Place::shunt, 2}, {Place::series, 0}});
    break;
  case station::ArrangementKind::switched_coil:
    space.lists = {coil->positions(frequencies_hz, corner), staying(steps, match::PartKind::capacitor, space.moves),
                   staying(steps, match::PartKind::inductor, space.moves)};
    space.circuits = {{{Place::series, 0}}};
    if (arrangement.coil.shunt_capacitor) space.circuits.push_back({{Place::shunt, 1}, {Place::series, 0}});
    if (arrangement.coil.shunt_coil) space.circuits.push_back({{Place::shunt, 2}, {Place::series, 0}});
    break;
  }
  return space;
}

std::optional<match::SettingSpace> space_without_steps(const station::Arrangement& arrangement,
                                                       const station::Band& band,
                                                       const std::vector<double>& frequencies_hz,
                                                       const std::vector<cdouble>& loads_ohm, const CoilOnBand* coil) {
  station::Arrangement free = arrangement;
  free.trim = station::Trim::once;
  match::SettingSpace space = space_of(free, band, frequencies_hz, loads_ohm, coil, {});
  const auto any_value = [](const PartList& list) { return !list.ranges.empty(); };
  if (std::none_of(space.lists.begin(), space.lists.end(), any_value)) return std::nullopt;
  space.moves = match::Moves::each_condition;
  if (coil == nullptr) {  // a coil at tap 0 leaves what stands beside it
    const std::vector<std::vector<Slot>> circuits = space.circuits;
    for (const std::vector<Slot>& circuit : circuits) {
      for (std::size_t left = 0; circuit.size() == 2 && left < 2; ++left) {
        const std::vector<Slot> alone{circuit[left]};
        const auto same = [&](const std::vector<Slot>& known) {
          return known.size() == 1 && known[0].place == alone[0].place && known[0].list == alone[0].list;
        };
        if (std::none_of(space.circuits.begin(), space.circuits.end(), same)) space.circuits.push_back(alone);
      }
    }
  }
  return space;
}

std::vector<network::Element> stated_elements(const station::Arrangement& arrangement) {
  if (!arrangement.transformer) return {};
  const station::StatedTransformer& t = *arrangement.transformer;
  std::vector<network::Element> elements =
      network::transformer_elements(t.turns_ratio, t.leakage_h, t.magnetising_h, {t.q});
  for (network::Element& element : elements) element.label = "transformer, " + element.label;
  return elements;
}

std::vector<network::Element> elements_of(const Parts& parts, const CoilOnBand* coil, double frequency_hz,
                                          const Corner& corner) {
  std::vector<network::Element> elements;
  for (const Choice& choice : parts.choices) {
    if (!choice.element) continue;
    if (!choice.z_ohm.empty()) {
      if (auto wound = coil->element(choice, frequency_hz, corner)) elements.push_back(std::move(*wound));
      continue;
    }
    network::Element element = *choice.element;
    const bool inductor = std::holds_alternative<network::Inductor>(element.part);
    element.label = fmt::format("{}{}", inductor ? "L" : "C", elements.size() + 1);
    if (auto* part = std::get_if<network::Inductor>(&element.part)) part->loss = corner_loss(part->loss, corner);
    elements.push_back(std::move(element));
  }
  return elements;
}

match::SettingSpace reachable(const match::SettingSpace& space, const Parts& from, const Corner& corner) {
  match::SettingSpace near{space.frequency_hz, {}, {{}}, match::Moves::each_condition};
  const std::vector<Slot>& slots = space.circuits[from.circuit];
  for (std::size_t n = 0; n < slots.size(); ++n) {
    const PartList& all = space.lists[slots[n].list];
    const Choice& set = from.choices[n];
    PartList list;
    for (const Choice& choice : all.choices) {
      const bool tap = choice.tap == set.tap || moves_tap(space.moves);
      const bool trimmer = choice.trimmer == set.trimmer || moves_trimmer(space.moves);
      if (choice.part == set.part && tap && trimmer) list.choices.push_back(choice);
    }
    for (const match::PartRange& range : all.ranges) {
      if (range.trimmer && moves_trimmer(space.moves)) list.ranges.push_back(range);
    }
    if (list.choices.empty() && list.ranges.empty()) {  // one value of a range: it stays
      Choice fixed = set;
      if (auto* part = fixed.element ? std::get_if<network::Inductor>(&fixed.element->part) : nullptr)
        part->loss = corner_loss(part->loss, corner);
      list.choices.push_back(std::move(fixed));
    }
    near.lists.push_back(std::move(list));
    near.circuits.front().push_back({slots[n].place, n});
  }
  return near;
}

match::SettingSpace around(const match::SettingSpace& space, const station::Parts& stock, const Parts& from,
                           double ratio) {
  match::SettingSpace near{space.frequency_hz, {}, {{}}, match::Moves::once};
  const std::vector<Slot>& slots = space.circuits[from.circuit];
  const bool anywhere = moves_tap(space.moves) && !stock.inductor_series && !stock.inductor_step_h;
  for (std::size_t n = 0; n < slots.size(); ++n) {
    const PartList& all = space.lists[slots[n].list];
    const Choice& set = from.choices[n];
    PartList list{{set}, {}};
    const auto* coil = set.element ? std::get_if<network::Inductor>(&set.element->part) : nullptr;
    const bool tapped = anywhere && coil != nullptr && set.z_ohm.empty() && set.part == 1;
    if (set.element && (tapped || !all.ranges.empty())) {
      const match::PartStock& s = stock.stock;
      const double value = network::value_si(set.element->part);
      const double least = coil != nullptr ? s.least_inductance_h : s.least_capacitance_f,
                   most = coil != nullptr ? s.most_inductance_h : s.most_capacitance_f;
      for (int k = -fine_values; k <= fine_values; ++k) {
        Choice choice = set;
        const double factor = std::pow(ratio, static_cast<double>(k) / fine_values);
        choice.element->part = network::scaled(set.element->part, std::clamp(value * factor, least, most) / value);
        if (k != 0) list.choices.push_back(std::move(choice));
      }
    }
    near.lists.push_back(std::move(list));
    near.circuits.front().push_back({slots[n].place, n});
  }
  return near;
}

}  // namespace stile::plan::detail

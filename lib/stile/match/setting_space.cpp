#include <stile/match/setting_space.hpp>

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/base/detail/ranges.hpp>
#include <stile/base/errors.hpp>
#include <stile/match/detail/prepared_tables.hpp>
#include <stile/match/detail/section.hpp>

namespace stile::match {

namespace detail {

cdouble impedance_of(const PartList& list, const Candidate& c, const std::vector<double>& frequency_hz, std::size_t f) {
  if (c.of_range)
    return network::impedance(range_element(list.ranges[c.index], c.value, network::Place::series).part,
                              frequency_hz[f]);
  const Choice& choice = list.choices[c.index];
  if (!choice.z_ohm.empty()) return choice.z_ohm[f];
  return choice.element ? network::impedance(choice.element->part, frequency_hz[f]) : cdouble{network::infinite, 0.0};
}

}  // namespace detail

namespace {

using detail::Candidate;
using detail::PreparedCircuit;

// Steps of values that stand for a continuous range. Where a hand moves single parts they are the answer, and a whip of
// 14 ohm and -1058j ohm wants its reactance to a few ohm; elsewhere the search by boxes starts from them.
constexpr double coarse_step = 0.02, step_by_hand = 0.005, trimmer_step = 0.002;

/// Values of a range in equal ratios of at most 1 + step, both ends included.
std::vector<double> range_values(const PartRange& range, double step) {
  const auto steps = static_cast<std::size_t>(std::ceil(std::log(range.high / range.low) / std::log1p(step)));
  std::vector<double> values;
  for (std::size_t n = 0; n <= steps; ++n)
    values.push_back(
        n == steps ? range.high
                   : range.low * std::pow(range.high / range.low, static_cast<double>(n) / static_cast<double>(steps)));
  return values;
}

std::vector<Candidate> candidates_of(const PartList& list, bool by_hand) {
  std::vector<Candidate> all;
  std::size_t next_part = 0;
  for (std::size_t n = 0; n < list.choices.size(); ++n) {
    const Choice& c = list.choices[n];
    all.push_back({n, false, 0.0, c.part, c.tap, c.trimmer});
    next_part = std::max(next_part, c.part + 1);
  }
  for (std::size_t n = 0; n < list.ranges.size(); ++n) {
    const PartRange& range = list.ranges[n];
    if (!(positive(range.low) && positive(range.high) && range.low <= range.high))
      throw DomainError(
          fmt::format("a range of parts from {:g} to {:g} must be > 0 and rising", range.low, range.high));
    std::size_t position = 0;
    for (const double value : range_values(range, !by_hand        ? coarse_step
                                                  : range.trimmer ? trimmer_step
                                                                  : step_by_hand)) {
      if (range.trimmer)
        all.push_back({n, true, value, next_part, 0, position++});
      else
        all.push_back({n, true, value, next_part++, 0, 0});
    }
    if (range.trimmer) ++next_part;
  }
  return all;
}

void check_list(const PartList& list, std::size_t frequencies) {
  for (const Choice& choice : list.choices) {
    require(choice.z_ohm.empty() || choice.z_ohm.size() == frequencies,
            "a choice of parts needs one impedance for each frequency, or none");
    for (const cdouble z : choice.z_ohm)
      require(network::finite(z) && z.real() >= 0.0, "the impedance of a choice must be finite with real part >= 0");
  }
}

/// A list in a place as pieces of boxes: choices first, then ranges.
detail::BoxSlot box_slot(const PartList& list, network::Place place, const std::vector<double>& frequency_hz) {
  detail::BoxSlot slot;
  slot.series = place == network::Place::series;
  for (std::size_t n = 0; n < list.choices.size(); ++n) {
    detail::Piece piece;
    piece.index = n;
    for (std::size_t f = 0; f < frequency_hz.size(); ++f) {
      const cdouble z = detail::impedance_of(list, {n, false, 0.0, 0, 0, 0}, frequency_hz, f);
      piece.fixed.push_back(std::isinf(z.real()) ? cdouble{0.0} : slot.series ? z : 1.0 / z);
    }
    if (std::all_of(piece.fixed.begin(), piece.fixed.end(), network::finite)) slot.pieces.push_back(std::move(piece));
  }
  for (std::size_t n = 0; n < list.ranges.size(); ++n) {
    const PartRange& range = list.ranges[n];
    PartStock stock;
    stock.inductor_loss = stock.capacitor_loss = range.loss;
    stock.inductor_self_capacitance_f = range.self_capacitance_f;
    detail::Piece piece;
    piece.of_range = true, piece.inverse = range.kind == PartKind::capacitor;
    piece.low = range.low, piece.high = range.high, piece.index = n;
    for (const double f : frequency_hz) {
      const detail::UnknownPart part = detail::unknown_part(range.kind, place, stock, f);
      piece.laws.push_back(
          {part.z0, part.zeta, part.parallel_siemens, piece.inverse ? 1.0 / (two_pi * f) : two_pi * f});
    }
    slot.pieces.push_back(std::move(piece));
  }
  return slot;
}

/// Classes by what a hand reaches.
std::vector<std::size_t> classes_of(const std::vector<Candidate>& candidates, Moves moves) {
  const bool tap = moves == Moves::tap || moves == Moves::tap_and_trimmer;
  const bool trimmer = moves == Moves::trimmer || moves == Moves::tap_and_trimmer;
  std::map<std::tuple<std::size_t, std::size_t, std::size_t>, std::size_t> numbers;
  std::vector<std::size_t> classes;
  for (const Candidate& c : candidates) {
    const std::tuple stays{c.part, tap ? 0 : c.tap, trimmer ? 0 : c.trimmer};
    classes.push_back(numbers.try_emplace(stays, numbers.size()).first->second);
  }
  return classes;
}

}  // namespace

SettingSpace l_network_space(std::vector<double> frequency_hz, const PartSteps& steps, Moves moves) {
  constexpr auto series = network::Place::series, shunt = network::Place::shunt;
  SettingSpace space;
  space.frequency_hz = std::move(frequency_hz);
  space.lists = {bought_parts(steps)};
  space.circuits = {{}, {{shunt, 0}}, {{series, 0}}, {{shunt, 0}, {series, 0}}, {{series, 0}, {shunt, 0}}};
  space.moves = moves;
  return space;
}

PreparedSpace prepare_space(SettingSpace space) {
  require(!space.circuits.empty(), "a space of settings needs a circuit");
  require(!space.frequency_hz.empty(), "a space of settings needs a frequency");
  for (const double f : space.frequency_hz) require(positive(f), "a frequency must be > 0 and finite");
  const std::size_t frequencies = space.frequency_hz.size();
  const bool hand = space.moves != Moves::once && space.moves != Moves::each_condition;
  auto tables = std::make_shared<PreparedTables>();
  std::vector<std::vector<cdouble>> z_ohm;  // of each list
  for (const PartList& list : space.lists) {
    check_list(list, frequencies);
    tables->candidates.push_back(candidates_of(list, hand));
    z_ohm.emplace_back();
    for (std::size_t f = 0; f < frequencies; ++f) {
      for (const Candidate& c : tables->candidates.back())
        z_ohm.back().push_back(detail::impedance_of(list, c, space.frequency_hz, f));
    }
  }
  // One table for a list in a place, shared by the circuits; another where a hand moves part of it.
  std::map<std::tuple<std::size_t, bool, bool>, std::size_t> made;
  const auto table = [&](const Slot& slot, bool by_hand) {
    const bool series = slot.place == network::Place::series;
    const auto [known, fresh] = made.try_emplace({slot.list, series, by_hand}, tables->tables.size());
    if (fresh) {
      const std::vector<Candidate>& candidates = tables->candidates[slot.list];
      tables->tables.push_back(detail::make_slot_table(series, frequencies, z_ohm[slot.list],
                                                       by_hand ? classes_of(candidates, space.moves)
                                                               : std::vector<std::size_t>(candidates.size(), 0)));
    }
    return known->second;
  };
  for (std::size_t n = 0; n < space.circuits.size(); ++n) {
    PreparedCircuit circuit;
    circuit.index = n;
    const std::vector<Slot>& slots = space.circuits[n];
    circuit.slots = slots.size();
    for (auto slot = slots.rbegin(); slot != slots.rend(); ++slot) {
      require(slot->list < space.lists.size(), "a slot names a list of parts that is not there");
      require(slot->place != network::Place::cascade, "a slot is in series or in shunt");
      tables->continuous = tables->continuous || !space.lists[slot->list].ranges.empty();
      if (!hand) continue;
      circuit.by_hand.push_back(table(*slot, true));
      const detail::SlotTable& t = tables->tables[circuit.by_hand.back()];
      circuit.moved = circuit.moved || t.classes() < t.members.size();
    }
    for (auto slot = slots.rbegin(); slot != slots.rend() && !circuit.moved; ++slot)
      circuit.all.push_back(table(*slot, false));
    tables->circuits.push_back(std::move(circuit));
  }
  std::stable_sort(tables->circuits.begin(), tables->circuits.end(),
                   [](const PreparedCircuit& a, const PreparedCircuit& b) { return a.slots < b.slots; });
  if (tables->continuous) {
    for (const PreparedCircuit& circuit : tables->circuits) {
      std::vector<detail::BoxSlot> slots;
      const std::vector<Slot>& stated = space.circuits[circuit.index];
      for (auto slot = stated.rbegin(); slot != stated.rend(); ++slot)
        slots.push_back(box_slot(space.lists[slot->list], slot->place, space.frequency_hz));
      tables->boxes.push_back(std::move(slots));
    }
  }
  return {std::move(space), std::move(tables)};
}

}  // namespace stile::match

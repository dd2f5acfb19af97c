#include <stile/match/one_setting.hpp>

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <optional>
#include <tuple>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/base/detail/ranges.hpp>
#include <stile/base/errors.hpp>
#include <stile/match/detail/section.hpp>
#include <stile/match/detail/setting_boxes.hpp>
#include <stile/match/detail/setting_search.hpp>

namespace stile::match {
namespace {

constexpr double grid_ratio = 1.02;        // of neighbouring values that stand for a continuous range
constexpr double swr_rounding = 1e-12;     // relative
constexpr double better_by = 1.0 + 1e-12;  // a circuit of more parts must radiate more by more than rounding

/// What may stand in a slot, ranges by values of them.
struct Candidate {
  std::size_t index = 0;  // into the choices, or the ranges
  bool of_range = false;
  double value = 0.0;  // of a range
  std::size_t part = 0, tap = 0, trimmer = 0;
};

struct PreparedCircuit {
  std::size_t index = 0;             // into the space's circuits
  std::vector<std::size_t> all;      // tables from load to transmitter, every choice within reach
  std::vector<std::size_t> by_hand;  // the same with the classes that a hand reaches
  bool moved = false;                // a hand can choose in it
};

}  // namespace

struct PreparedTables {
  std::vector<std::vector<Candidate>> candidates;  // of each list
  std::vector<detail::SlotTable> tables;
  std::vector<PreparedCircuit> circuits;  // those of fewer parts first
  bool continuous = false;
  std::vector<std::vector<detail::BoxSlot>> boxes;  // of the circuits, when continuous
};

namespace {

/// Values of a range in steps of at most grid_ratio, both ends included.
std::vector<double> range_values(const PartRange& range) {
  const double octaves = std::log(range.high / range.low) / std::log(grid_ratio);
  const auto steps = static_cast<std::size_t>(std::ceil(octaves));
  std::vector<double> values;
  for (std::size_t n = 0; n <= steps; ++n)
    values.push_back(
        n == steps ? range.high
                   : range.low * std::pow(range.high / range.low, static_cast<double>(n) / static_cast<double>(steps)));
  return values;
}

std::vector<Candidate> candidates_of(const PartList& list) {
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
    for (const double value : range_values(range)) {
      if (range.trimmer)
        all.push_back({n, true, value, next_part, 0, position++});
      else
        all.push_back({n, true, value, next_part++, 0, 0});
    }
    if (range.trimmer) ++next_part;
  }
  return all;
}

cdouble impedance_of(const PartList& list, const Candidate& c, const std::vector<double>& frequency_hz, std::size_t f,
                     network::Place place) {
  if (c.of_range) return network::impedance(range_element(list.ranges[c.index], c.value, place).part, frequency_hz[f]);
  const Choice& choice = list.choices[c.index];
  if (!choice.z_ohm.empty()) return choice.z_ohm[f];
  if (!choice.element) return place == network::Place::series ? cdouble{0.0} : cdouble{network::infinite, 0.0};
  return network::impedance(choice.element->part, frequency_hz[f]);
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
      const cdouble z = impedance_of(list, {n, false, 0.0, 0, 0, 0}, frequency_hz, f, place);
      const bool open = std::isinf(z.real());
      piece.fixed.push_back(slot.series ? z : open ? cdouble{0.0} : 1.0 / z);
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
  auto tables = std::make_shared<PreparedTables>();
  for (const PartList& list : space.lists) {
    check_list(list, frequencies);
    tables->candidates.push_back(candidates_of(list));
  }
  // One table for a list in a place, shared by the circuits; another where a hand moves part of it.
  std::map<std::tuple<std::size_t, bool, bool>, std::size_t> made;
  const auto table = [&](const Slot& slot, bool by_hand) {
    const bool series = slot.place == network::Place::series;
    const auto [known, fresh] = made.try_emplace({slot.list, series, by_hand}, tables->tables.size());
    if (fresh) {
      const std::vector<Candidate>& candidates = tables->candidates[slot.list];
      std::vector<cdouble> z;
      for (std::size_t f = 0; f < frequencies; ++f) {
        for (const Candidate& c : candidates)
          z.push_back(impedance_of(space.lists[slot.list], c, space.frequency_hz, f, slot.place));
      }
      tables->tables.push_back(detail::make_slot_table(series, frequencies, z,
                                                       by_hand ? classes_of(candidates, space.moves)
                                                               : std::vector<std::size_t>(candidates.size(), 0)));
    }
    return known->second;
  };
  const bool hand = space.moves != Moves::once && space.moves != Moves::each_condition;
  for (std::size_t n = 0; n < space.circuits.size(); ++n) {
    PreparedCircuit circuit;
    circuit.index = n;
    const std::vector<Slot>& slots = space.circuits[n];
    for (auto slot = slots.rbegin(); slot != slots.rend(); ++slot) {
      require(slot->list < space.lists.size(), "a slot names a list of parts that is not there");
      require(slot->place != network::Place::cascade, "a slot is in series or in shunt");
      circuit.all.push_back(table(*slot, false));
      tables->continuous = tables->continuous || !space.lists[slot->list].ranges.empty();
      if (!hand) continue;
      circuit.by_hand.push_back(table(*slot, true));
      const detail::SlotTable& t = tables->tables[circuit.by_hand.back()];
      circuit.moved = circuit.moved || t.classes() < t.members.size();
    }
    tables->circuits.push_back(std::move(circuit));
  }
  std::stable_sort(tables->circuits.begin(), tables->circuits.end(),
                   [](const PreparedCircuit& a, const PreparedCircuit& b) { return a.all.size() < b.all.size(); });
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

std::vector<network::Element> ConditionSetting::elements() const {
  std::vector<network::Element> all;
  for (const Choice& part : parts) {
    if (part.element) all.push_back(*part.element);
  }
  return all;
}

network::Ladder whole_ladder(const SettingJob& job, const ConditionSetting& setting, std::size_t n) {
  network::Ladder ladder = job.before;
  for (const Choice& part : setting.parts) {
    if (!part.element) continue;
    network::Element element = *part.element;
    if (!part.z_ohm.empty()) element.part = network::FixedImpedance{part.z_ohm.at(n)};
    ladder.elements.push_back(std::move(element));
  }
  ladder.elements.insert(ladder.elements.end(), job.after.elements.begin(), job.after.elements.end());
  return ladder;
}

namespace {

void check_job(const PreparedSpace& space, const SettingJob& job) {
  const cdouble zs = job.source.z_ohm;
  require(network::finite(zs) && zs.real() > 0.0, "the source's impedance must be finite with real part > 0");
  require(positive(job.source.power_w), "the source's power must be > 0 and finite");
  require(job.swr_limit > 1.0, "an SWR limit must be > 1");
  require(positive(job.gap_db), "the gap of a search must be > 0 dB");
  double swr = 1.0, power = job.source.power_w;
  for (const network::FoldbackPoint& p : job.foldback) {
    require(p.swr >= swr && p.power_w >= 0.0 && p.power_w <= power,
            "fold-back needs rising SWR from 1 on and falling power from the source's on");
    swr = p.swr, power = p.power_w;
  }
  bool normal = false;
  const std::size_t frequencies = space.space.frequency_hz.size();
  for (const ServedLoad& load : job.loads) {
    normal = normal || load.normal;
    require(load.z_ohm.size() == frequencies, "a load needs one impedance for each frequency of the space");
    require(load.radiated_share.empty() || load.radiated_share.size() == frequencies,
            "a load needs one radiated share for each frequency, or none");
    for (const cdouble z : load.z_ohm) {
      if (!(network::finite(z) && z.real() > 0.0))
        throw DomainError(fmt::format("a load is {} ohm in \"{}\" and must be finite with real part > 0",
                                      print_impedance(z), load.condition));
    }
    for (const double share : load.radiated_share)
      if (!positive(share))
        throw DomainError(fmt::format("the radiated share is {} in \"{}\" and must be > 0", share, load.condition));
  }
  require(normal, "a setting needs a normal condition to serve");
}

network::Chain chain_of(const network::Ladder& ladder, double frequency_hz) {
  network::Chain all;
  for (const network::Element& e : ladder.elements) all = network::cascade(all, network::chain(e, frequency_hz));
  return all;
}

/// What stands before and behind the setting, at each frequency.
struct Surroundings {
  std::vector<network::Chain> before, after;
};

Surroundings surroundings_of(const SettingSpace& space, const SettingJob& job) {
  Surroundings s;
  for (const double f : space.frequency_hz) {
    s.before.push_back(chain_of(job.before, f));
    s.after.push_back(chain_of(job.after, f));
  }
  return s;
}

/// The points of one load after those that are there.
void add_points(detail::Points& p, const Surroundings& surroundings, const SettingJob& job, const ServedLoad& load) {
  const cdouble zs = job.source.z_ohm;
  const auto put = [](std::vector<double>& re, std::vector<double>& im, cdouble value) {
    re.push_back(value.real());
    im.push_back(value.imag());
  };
  for (std::size_t f = 0; f < load.z_ohm.size(); ++f) {
    const network::Chain& before = surroundings.before[f];
    const network::Chain& after = surroundings.after[f];
    const cdouble v = after.a * load.z_ohm[f] + after.b, i = after.c * load.z_ohm[f] + after.d;
    require(i != 0.0, "what stands behind the setting is an open circuit");
    const double share = load.radiated_share.empty() ? 1.0 : load.radiated_share[f];
    p.frequency.push_back(static_cast<std::uint32_t>(f));
    put(p.v_re, p.v_im, v / i);
    p.power.push_back(4.0 * zs.real() * share * load.z_ohm[f].real() / std::norm(i));
    // Available power behind `before`: the source seen through it.
    const cdouble open = before.a + before.c * zs, z_out = (before.d * zs + before.b) / open;
    p.most_gain.push_back(zs.real() / (std::norm(open) * z_out.real()));
    put(p.waves.av_re, p.waves.av_im, before.a + zs * before.c);
    put(p.waves.ai_re, p.waves.ai_im, before.b + zs * before.d);
    put(p.waves.bv_re, p.waves.bv_im, before.a - std::conj(zs) * before.c);
    put(p.waves.bi_re, p.waves.bi_im, before.b - std::conj(zs) * before.d);
  }
}

/// What stands in the slots of a circuit, from load to transmitter.
using Placed = std::vector<Candidate>;

/// A setting of all conditions of a search, and what is known about the others.
struct Chosen {
  std::size_t circuit = 0;         // into PreparedTables::circuits
  double share = -1.0;             // of the worst condition
  std::vector<Placed> conditions;  // one for all, or one each
  std::vector<double> shares;      // where a hand moves: of each condition
  bool holds = false;
  double bound_share = 0.0;    // nothing has a greater share at its worst
  bool closed = true;          // the bound is within the gap
  bool none_is_proven = true;  // when none holds: that is certain
  bool found() const { return !conditions.empty(); }
};

class Search {
public:
  Search(const PreparedSpace& space, const detail::SourceLimits& limits, const SettingJob& job)
      : space_(space), tables_(*space.tables), limits_(limits), gap_(std::pow(10.0, job.gap_db / 10.0)),
        most_boxes_(job.most_boxes), combinations_(limits) {}

  /// One setting for all points; holding ones first.
  Chosen once(const detail::Points& points) {
    bool none_is_proven = true;
    for (const bool must_hold : {true, false}) {
      Chosen best;
      for (std::size_t n = 0; n < tables_.circuits.size(); ++n) try_once(n, points, must_hold, best);
      best.bound_share = best.share;
      if (tables_.continuous) refine(points, must_hold, best);
      best.holds = must_hold, best.none_is_proven = none_is_proven;
      if (best.found()) return best;
      none_is_proven = best.closed;
    }
    throw DomainError("no circuit of the space has parts for each of its slots");
  }

  /// What a hand moves is moved in each condition.
  Chosen moved(const std::vector<detail::Points>& conditions, const detail::Points& all) {
    for (const bool must_hold : {true, false}) {
      Chosen best;
      for (std::size_t n = 0; n < tables_.circuits.size(); ++n) {
        if (tables_.circuits[n].moved)
          try_moved(n, conditions, must_hold, best);
        else
          try_once(n, all, must_hold, best);
      }
      if (!best.found()) continue;
      best.holds = must_hold, best.bound_share = best.share;
      if (tables_.continuous) {
        best.none_is_proven = false;
        bound_each(conditions, must_hold, best);
      }
      return best;
    }
    throw DomainError("no circuit of the space has parts for each of its slots");
  }

  std::size_t tried() const { return tried_ + combinations_.tried(); }

private:
  std::vector<const detail::SlotTable*> slots(const std::vector<std::size_t>& indices) const {
    std::vector<const detail::SlotTable*> all;
    for (const std::size_t n : indices) all.push_back(&tables_.tables[n]);
    return all;
  }
  /// What a circuit has to beat: one of more parts by more than rounding.
  double floor(const Chosen& best, const PreparedCircuit& circuit) const {
    if (!best.found()) return -1.0;
    return tables_.circuits[best.circuit].all.size() < circuit.all.size() ? best.share * better_by : best.share;
  }
  Placed placed(const PreparedCircuit& circuit, const detail::Combination& combination) const {
    const std::vector<Slot>& slots = space_.space.circuits[circuit.index];
    Placed parts;
    for (std::size_t n = 0; n < slots.size(); ++n)
      parts.push_back(tables_.candidates[slots[slots.size() - 1 - n].list][combination.choices[n]]);
    return parts;
  }

  void try_once(std::size_t n, const detail::Points& points, bool must_hold, Chosen& best) {
    const PreparedCircuit& circuit = tables_.circuits[n];
    const auto found = combinations_.best(slots(circuit.all), std::vector<std::size_t>(circuit.all.size(), 0), points,
                                          must_hold, floor(best, circuit));
    if (!found) return;
    best.circuit = n, best.share = found->share, best.conditions = {placed(circuit, *found)};
    best.shares.clear();
  }

  void try_moved(std::size_t n, const std::vector<detail::Points>& conditions, bool must_hold, Chosen& best) {
    const PreparedCircuit& circuit = tables_.circuits[n];
    const std::vector<const detail::SlotTable*> tables = slots(circuit.by_hand);
    const std::size_t depth = tables.size();
    for (const detail::SlotTable* t : tables)
      if (t->members.empty()) return;
    std::vector<std::size_t> stays(depth, 0);  // class of each slot, from load to transmitter
    for (;;) {
      serve(n, tables, stays, conditions, must_hold, best);
      std::size_t slot = 0;  // the slot at the load counts fastest, so that lower indices at the transmitter come first
      while (slot < depth && ++stays[slot] == tables[slot]->classes()) stays[slot++] = 0;
      if (slot == depth) return;
    }
  }

  /// Each condition takes the best that a hand reaches from what stays.
  void serve(std::size_t n, const std::vector<const detail::SlotTable*>& tables, const std::vector<std::size_t>& stays,
             const std::vector<detail::Points>& conditions, bool must_hold, Chosen& best) {
    const PreparedCircuit& circuit = tables_.circuits[n];
    const double least = floor(best, circuit);
    double share = network::infinite;
    std::vector<detail::Combination> found;
    for (const detail::Points& points : conditions) {
      auto here = combinations_.best(tables, stays, points, true, least);
      if (!here && !must_hold) {
        // One that holds goes first even when it radiates less than what is to be beaten: then nothing is won here.
        if (least >= 0.0 && combinations_.best(tables, stays, points, true, -1.0)) return;
        here = combinations_.best(tables, stays, points, false, least);
      }
      if (!here) return;
      share = std::min(share, here->share);
      found.push_back(std::move(*here));
    }
    best.circuit = n, best.share = share;
    best.conditions.clear(), best.shares.clear();
    for (const detail::Combination& c : found) {
      best.conditions.push_back(placed(circuit, c));
      best.shares.push_back(c.share);
    }
  }

  /// The bound of values between the steps: that of each condition for itself. Those that lose least already are left out
  /// once another one bounds below what they have.
  void bound_each(const std::vector<detail::Points>& conditions, bool must_hold, Chosen& best) {
    if (best.shares.empty())
      best.shares.assign(conditions.size(), best.share);  // of one setting: each has that at least
    std::vector<std::size_t> order(conditions.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return best.shares.at(a) < best.shares.at(b); });
    best.bound_share = network::infinite;
    for (const std::size_t n : order) {
      if (best.shares[n] * gap_ >= best.bound_share) break;
      const detail::BoxAnswer a =
          detail::search_boxes(tables_.boxes, conditions[n], limits_, must_hold, {0, best.shares[n], {}, {}}, gap_,
                               most_boxes_ / conditions.size());
      tried_ += a.tried;
      best.bound_share = std::min(best.bound_share, a.bound_share);
    }
    best.bound_share = std::max(best.bound_share, best.share);
    best.closed = best.bound_share <= best.share * gap_;
  }

  /// What was found in the words of the boxes.
  detail::BoxSetting box_setting(const Chosen& best) const {
    detail::BoxSetting s{best.circuit, best.share, {}, {}};
    if (!best.found()) return s;
    const Placed& parts = best.conditions.front();
    for (std::size_t n = 0; n < parts.size(); ++n) {
      const std::vector<detail::Piece>& pieces = tables_.boxes[best.circuit][n].pieces;
      const auto piece = std::find_if(pieces.begin(), pieces.end(), [&](const detail::Piece& p) {
        return p.of_range == parts[n].of_range && p.index == parts[n].index;
      });
      s.pieces.push_back(static_cast<std::size_t>(piece - pieces.begin()));
      s.values.push_back(parts[n].value);
    }
    return s;
  }

  /// Values between the steps, with the bound.
  void refine(const detail::Points& points, bool must_hold, Chosen& best) {
    const detail::BoxAnswer a =
        detail::search_boxes(tables_.boxes, points, limits_, must_hold, box_setting(best), gap_, most_boxes_);
    tried_ += a.tried;
    best.bound_share = a.bound_share, best.closed = a.closed;
    if (!(a.best.share > best.share)) return;
    best.circuit = a.best.circuit, best.share = a.best.share;
    Placed parts;
    const std::vector<detail::BoxSlot>& slots = tables_.boxes[a.best.circuit];
    for (std::size_t n = 0; n < slots.size(); ++n) {
      const detail::Piece& piece = slots[n].pieces[a.best.pieces[n]];
      Candidate c;
      c.index = piece.index, c.of_range = piece.of_range, c.value = a.best.values[n];
      parts.push_back(c);
    }
    best.conditions = {parts};
  }

  const PreparedSpace& space_;
  const PreparedTables& tables_;
  const detail::SourceLimits& limits_;
  double gap_;  // as a ratio of powers
  std::size_t most_boxes_;
  detail::CombinationSearch combinations_;
  std::size_t tried_ = 0;
};

double to_db(double share) { return share > 0.0 ? 10.0 * std::log10(1.0 / share) : network::infinite; }

/// Parts in a condition, in the words of the space, with what they do there.
ConditionSetting describe_setting(const PreparedSpace& space, const detail::SourceLimits& limits,
                                  const ServedLoad& load, const detail::Points& points, std::size_t circuit,
                                  const Placed& placed) {
  const SettingSpace& stated = space.space;
  ConditionSetting s;
  s.condition = load.condition, s.normal = load.normal, s.circuit = circuit;
  const std::vector<Slot>& slots = stated.circuits[circuit];
  std::vector<detail::SlotTable> tables;  // from load to transmitter, of one choice each
  for (std::size_t n = 0; n < slots.size(); ++n) {
    const Slot& slot = slots[slots.size() - 1 - n];
    std::vector<cdouble> z;
    for (std::size_t f = 0; f < stated.frequency_hz.size(); ++f)
      z.push_back(impedance_of(stated.lists[slot.list], placed[n], stated.frequency_hz, f, slot.place));
    tables.push_back(detail::make_slot_table(slot.place == network::Place::series, stated.frequency_hz.size(), z, {0}));
  }
  std::vector<const detail::SlotTable*> pointers;
  for (const detail::SlotTable& t : tables) pointers.push_back(&t);
  for (std::size_t n = 0; n < slots.size(); ++n) {
    const PartList& list = stated.lists[slots[n].list];
    const Candidate& c = placed[slots.size() - 1 - n];
    if (c.of_range) {
      s.parts.push_back({range_element(list.ranges[c.index], c.value, slots[n].place), {}, c.part, c.tap, c.trimmer});
    } else {
      s.parts.push_back(list.choices[c.index]);
      if (s.parts.back().element) s.parts.back().element->place = slots[n].place;
    }
  }
  s.worst_swr = 1.0, s.worst_loss_db = -network::infinite;
  for (const detail::PointResult& r :
       detail::judge(pointers, std::vector<std::uint32_t>(slots.size(), 0), points, limits)) {
    s.swr.push_back(detail::swr_of(r.reflection2));
    s.loss_db.push_back(to_db(r.share));
    s.worst_swr = std::max(s.worst_swr, s.swr.back());
    s.worst_loss_db = std::max(s.worst_loss_db, s.loss_db.back());
  }
  s.holds = s.worst_swr <= limits.swr_limit * (1.0 + 2.0 * swr_rounding);
  return s;
}

/// What is known about the settings that were not taken.
Proof proof_of(const std::vector<Chosen>& chosen, const PreparedSpace& space, const SettingJob& job,
               double worst_loss_db) {
  Proof proof;
  double bound_db = -network::infinite;
  bool closed = true, none_is_proven = true;
  for (const Chosen& c : chosen) {
    bound_db = std::max(bound_db, to_db(c.bound_share));
    closed = closed && c.closed;
    none_is_proven = none_is_proven && (c.holds || c.none_is_proven);
  }
  if (!space.tables->continuous) {
    proof.bound_db = worst_loss_db;
    proof.proven = true;
    proof.how = "every setting of the stated steps was evaluated or excluded by a bound";
    return proof;
  }
  proof.bound_db = std::min(bound_db, worst_loss_db);
  proof.proven = closed && none_is_proven;
  if (closed)
    proof.how = fmt::format("boxes of values were halved until none could be better by more than {:g} dB", job.gap_db);
  else if (space.space.moves == Moves::once || space.space.moves == Moves::each_condition)
    proof.how = "the search ended at its limit of boxes of values; between the bound and what was found it is open";
  else
    proof.how = "values in steps of 2 % were searched; the bound is that of each condition set for itself";
  if (!none_is_proven) proof.how += "; that none holds is searched, not proven";
  return proof;
}

}  // namespace

OneSetting find_one_setting(const PreparedSpace& space, const SettingJob& job) {
  require(space.tables != nullptr, "a space of settings must be prepared");
  check_job(space, job);
  detail::SourceLimits limits{job.source, job.foldback, job.swr_limit, 0.0};
  const double most_swr = job.swr_limit * (1.0 + swr_rounding), most_reflection = (most_swr - 1.0) / (most_swr + 1.0);
  limits.most_reflection2 = std::isinf(job.swr_limit) ? network::infinite : most_reflection * most_reflection;

  std::vector<detail::Points> each(job.loads.size());
  std::vector<detail::Points> normal;
  detail::Points all;  // of the normal loads
  const Surroundings surroundings = surroundings_of(space.space, job);
  for (std::size_t n = 0; n < job.loads.size(); ++n) {
    add_points(each[n], surroundings, job, job.loads[n]);
    if (!job.loads[n].normal) continue;
    normal.push_back(each[n]);
    add_points(all, surroundings, job, job.loads[n]);
  }

  Search search(space, limits, job);
  std::vector<Chosen> chosen;  // one for all, or one each normal condition
  if (space.space.moves == Moves::each_condition) {
    for (const detail::Points& points : normal) chosen.push_back(search.once(points));
  } else {
    chosen.push_back(space.space.moves == Moves::once ? search.once(all) : search.moved(normal, all));
  }
  // Load n with what normal condition `of` is set to.
  const auto set_as_in = [&](std::size_t n, std::size_t of) {
    const Chosen& c = chosen.size() > 1 ? chosen[of] : chosen.front();
    return describe_setting(space, limits, job.loads[n], each[n], space.tables->circuits[c.circuit].index,
                            c.conditions.size() > 1 ? c.conditions[of] : c.conditions.front());
  };

  OneSetting result;
  const bool holds = std::all_of(chosen.begin(), chosen.end(), [](const Chosen& c) { return c.holds; });
  result.status = holds ? SettingStatus::holds : SettingStatus::does_not_hold;
  result.worst_swr = 1.0, result.worst_loss_db = -network::infinite;
  std::size_t of = 0;
  for (std::size_t n = 0; n < job.loads.size(); ++n) {
    if (job.loads[n].normal) {
      result.conditions.push_back(set_as_in(n, of++));
      result.worst_swr = std::max(result.worst_swr, result.conditions.back().worst_swr);
      result.worst_loss_db = std::max(result.worst_loss_db, result.conditions.back().worst_loss_db);
      continue;
    }
    ConditionSetting worst = set_as_in(n, 0);
    for (std::size_t other = 1; other < normal.size(); ++other) {
      ConditionSetting left = set_as_in(n, other);
      if (left.worst_loss_db > worst.worst_loss_db) worst = std::move(left);
    }
    result.conditions.push_back(std::move(worst));
  }
  result.proof = proof_of(chosen, space, job, result.worst_loss_db);
  result.proof.tried = search.tried();
  return result;
}

}  // namespace stile::match

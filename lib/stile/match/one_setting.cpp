#include <stile/match/one_setting.hpp>

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <optional>
#include <tuple>

#include <fmt/core.h>

#include <stile/base/detail/ranges.hpp>
#include <stile/base/errors.hpp>
#include <stile/match/detail/setting_search.hpp>

namespace stile::match {
namespace {

constexpr double grid_ratio = 1.01;        // of neighbouring values that stand for a continuous range
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
  require(std::isfinite(job.swr_limit) && job.swr_limit > 1.0, "an SWR limit must be > 1");
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

/// The points of one load after those that are there.
void add_points(detail::Points& p, const SettingSpace& space, const SettingJob& job, const ServedLoad& load) {
  const cdouble zs = job.source.z_ohm;
  for (std::size_t f = 0; f < space.frequency_hz.size(); ++f) {
    const network::Chain before = chain_of(job.before, space.frequency_hz[f]);
    const network::Chain after = chain_of(job.after, space.frequency_hz[f]);
    const cdouble v = after.a * load.z_ohm[f] + after.b, i = after.c * load.z_ohm[f] + after.d;
    require(i != 0.0, "what stands behind the setting is an open circuit");
    const cdouble z = v / i;
    const double share = load.radiated_share.empty() ? 1.0 : load.radiated_share[f];
    p.frequency.push_back(static_cast<std::uint32_t>(f));
    p.v_re.push_back(z.real()), p.v_im.push_back(z.imag());
    p.power.push_back(4.0 * zs.real() * share * load.z_ohm[f].real() / std::norm(i));
    // Available power behind `before`: the source seen through it.
    const cdouble open = before.a + before.c * zs, z_out = (before.d * zs + before.b) / open;
    p.most_gain.push_back(zs.real() / (std::norm(open) * z_out.real()));
    const cdouble av = before.a + zs * before.c, ai = before.b + zs * before.d;
    const cdouble bv = before.a - std::conj(zs) * before.c, bi = before.b - std::conj(zs) * before.d;
    p.av_re.push_back(av.real()), p.av_im.push_back(av.imag()), p.ai_re.push_back(ai.real()),
        p.ai_im.push_back(ai.imag());
    p.bv_re.push_back(bv.real()), p.bv_im.push_back(bv.imag()), p.bi_re.push_back(bi.real()),
        p.bi_im.push_back(bi.imag());
  }
}

/// A setting of all conditions: in each its combination of one circuit.
struct Chosen {
  std::size_t circuit = 0;                      // into PreparedTables::circuits
  double share = -1.0;                          // of the worst condition
  std::vector<detail::Combination> conditions;  // one for all, or one each
};

/// Searches for a set of normal conditions.
class Search {
public:
  Search(const PreparedTables& tables, const detail::SourceLimits& limits) : tables_(tables), combinations_(limits) {}

  /// One setting for all points; holding ones first.
  std::pair<Chosen, bool> once(const detail::Points& points) {
    for (const bool must_hold : {true, false}) {
      Chosen best;
      for (std::size_t n = 0; n < tables_.circuits.size(); ++n) try_once(n, points, must_hold, best);
      if (!best.conditions.empty()) return {best, must_hold};
    }
    return {};  // not reached: without a limit every circuit with parts to choose gives something
  }

  /// What a hand moves is moved in each condition.
  std::pair<Chosen, bool> moved(const std::vector<detail::Points>& conditions, const detail::Points& all) {
    for (const bool must_hold : {true, false}) {
      Chosen best;
      for (std::size_t n = 0; n < tables_.circuits.size(); ++n) {
        if (tables_.circuits[n].moved)
          try_moved(n, conditions, must_hold, best);
        else
          try_once(n, all, must_hold, best);
      }
      if (!best.conditions.empty()) return {best, must_hold};
    }
    return {};
  }

  std::size_t tried() const { return combinations_.tried(); }

private:
  std::vector<const detail::SlotTable*> slots(const std::vector<std::size_t>& indices) const {
    std::vector<const detail::SlotTable*> all;
    for (const std::size_t n : indices) all.push_back(&tables_.tables[n]);
    return all;
  }
  /// What a circuit of more parts has to beat.
  double floor(const Chosen& best, const PreparedCircuit& circuit) const {
    if (best.conditions.empty()) return -1.0;
    return tables_.circuits[best.circuit].all.size() < circuit.all.size() ? best.share * better_by : best.share;
  }

  void try_once(std::size_t n, const detail::Points& points, bool must_hold, Chosen& best) {
    const PreparedCircuit& circuit = tables_.circuits[n];
    const auto found = combinations_.best(slots(circuit.all), std::vector<std::size_t>(circuit.all.size(), 0), points,
                                          must_hold, floor(best, circuit));
    if (found) best = {n, found->share, {*found}};
  }

  void try_moved(std::size_t n, const std::vector<detail::Points>& conditions, bool must_hold, Chosen& best) {
    const PreparedCircuit& circuit = tables_.circuits[n];
    const std::vector<const detail::SlotTable*> tables = slots(circuit.by_hand);
    const std::size_t depth = tables.size();
    for (const detail::SlotTable* t : tables)
      if (t->members.empty()) return;
    std::vector<std::size_t> stays(
        depth, 0);  // class of each slot, counted from the transmitter's so that lower ones come first
    for (;;) {
      if (const auto found = serve(tables, stays, conditions, must_hold, floor(best, circuit)))
        best = {n, found->share, found->conditions};
      std::size_t slot = 0;
      while (slot < depth && ++stays[slot] == tables[slot]->classes()) stays[slot++] = 0;
      if (slot == depth) return;
    }
  }

  /// Each condition takes the best that a hand reaches from what stays.
  std::optional<Chosen> serve(const std::vector<const detail::SlotTable*>& tables,
                              const std::vector<std::size_t>& stays, const std::vector<detail::Points>& conditions,
                              bool must_hold, double floor) {
    Chosen chosen;
    chosen.share = network::infinite;
    for (const detail::Points& points : conditions) {
      auto found = combinations_.best(tables, stays, points, true, floor);
      if (!found && !must_hold) {
        // One that holds goes first even when it radiates less than what is to be beaten: then nothing is won here.
        if (floor >= 0.0 && combinations_.best(tables, stays, points, true, -1.0)) return {};
        found = combinations_.best(tables, stays, points, false, floor);
      }
      if (!found) return {};
      chosen.share = std::min(chosen.share, found->share);
      chosen.conditions.push_back(std::move(*found));
    }
    return chosen;
  }

  const PreparedTables& tables_;
  detail::CombinationSearch combinations_;
};

double to_db(double share) { return share > 0.0 ? -10.0 * std::log10(share) : network::infinite; }

/// A combination in a condition, in the words of the space.
ConditionSetting describe_setting(const PreparedSpace& space, const detail::SourceLimits& limits,
                                  const ServedLoad& load, const detail::Points& points, std::size_t circuit_index,
                                  const detail::Combination& combination) {
  const PreparedTables& tables = *space.tables;
  const PreparedCircuit& circuit = tables.circuits[circuit_index];
  ConditionSetting s;
  s.condition = load.condition, s.normal = load.normal, s.circuit = circuit.index;
  const std::vector<Slot>& slots = space.space.circuits[circuit.index];
  std::vector<const detail::SlotTable*> slot_tables;
  for (const std::size_t n : circuit.all) slot_tables.push_back(&tables.tables[n]);
  for (std::size_t n = 0; n < slots.size(); ++n) {
    const PartList& list = space.space.lists[slots[n].list];
    const Candidate& c = tables.candidates[slots[n].list][combination.choices[slots.size() - 1 - n]];
    if (c.of_range) {
      s.parts.push_back({range_element(list.ranges[c.index], c.value, slots[n].place), {}, c.part, c.tap, c.trimmer});
    } else {
      s.parts.push_back(list.choices[c.index]);
      if (s.parts.back().element) s.parts.back().element->place = slots[n].place;
    }
  }
  s.worst_swr = 1.0, s.worst_loss_db = -network::infinite;
  for (const detail::PointResult& r : detail::judge(slot_tables, combination.choices, points, limits)) {
    s.swr.push_back(detail::swr_of(r.reflection2));
    s.loss_db.push_back(to_db(r.share));
    s.worst_swr = std::max(s.worst_swr, s.swr.back());
    s.worst_loss_db = std::max(s.worst_loss_db, s.loss_db.back());
  }
  s.holds = s.worst_swr <= limits.swr_limit * (1.0 + 2.0 * swr_rounding);
  return s;
}

}  // namespace

OneSetting find_one_setting(const PreparedSpace& space, const SettingJob& job) {
  require(space.tables != nullptr, "a space of settings must be prepared");
  check_job(space, job);
  const PreparedTables& tables = *space.tables;
  detail::SourceLimits limits{job.source, job.foldback, job.swr_limit, 0.0};
  const double most_swr = job.swr_limit * (1.0 + swr_rounding), most_reflection = (most_swr - 1.0) / (most_swr + 1.0);
  limits.most_reflection2 = most_reflection * most_reflection;

  std::vector<detail::Points> each(job.loads.size());
  std::vector<detail::Points> normal;
  std::vector<std::size_t> place(job.loads.size(), 0);  // of a normal load among the normal ones
  detail::Points all;
  for (std::size_t n = 0; n < job.loads.size(); ++n) {
    add_points(each[n], space.space, job, job.loads[n]);
    if (!job.loads[n].normal) continue;
    place[n] = normal.size();
    normal.push_back(each[n]);
    add_points(all, space.space, job, job.loads[n]);
  }

  Search search(tables, limits);
  std::vector<Chosen> chosen;  // one for all, or one each normal condition
  bool holds = true;
  if (space.space.moves == Moves::each_condition) {
    for (const detail::Points& points : normal) {
      auto [best, held] = search.once(points);
      chosen.push_back(std::move(best));
      holds = holds && held;
    }
  } else {
    const bool hand = space.space.moves != Moves::once;
    auto [best, held] = hand ? search.moved(normal, all) : search.once(all);
    chosen.push_back(std::move(best));
    holds = held;
  }
  const auto setting_in = [&](std::size_t load, std::size_t of) {
    const Chosen& c = chosen.size() > 1 ? chosen[of] : chosen.front();
    return describe_setting(space, limits, job.loads[load], each[load], c.circuit,
                            c.conditions.size() > 1 ? c.conditions[of] : c.conditions.front());
  };

  OneSetting result;
  result.status = holds ? SettingStatus::holds : SettingStatus::does_not_hold;
  result.worst_swr = 1.0, result.worst_loss_db = -network::infinite;
  for (std::size_t n = 0; n < job.loads.size(); ++n) {
    if (job.loads[n].normal) {
      result.conditions.push_back(setting_in(n, place[n]));
      result.worst_swr = std::max(result.worst_swr, result.conditions.back().worst_swr);
      result.worst_loss_db = std::max(result.worst_loss_db, result.conditions.back().worst_loss_db);
      continue;
    }
    std::optional<ConditionSetting> worst;
    for (std::size_t of = 0; of < normal.size(); ++of) {
      ConditionSetting left = setting_in(n, of);
      if (!worst || left.worst_loss_db > worst->worst_loss_db) worst = std::move(left);
    }
    result.conditions.push_back(std::move(*worst));
  }
  result.proof.tried = search.tried();
  if (!tables.continuous) {
    result.proof.bound_db = result.worst_loss_db;
    result.proof.proven = true;
    result.proof.how = "every setting of the stated steps was evaluated or excluded by a bound";
  } else {
    double bound = -network::infinite;
    for (const ServedLoad& load : job.loads) {
      if (!load.normal) continue;
      for (std::size_t f = 0; f < load.z_ohm.size(); ++f)
        bound = std::max(bound, to_db(load.radiated_share.empty() ? 1.0 : load.radiated_share[f]));
    }
    result.proof.bound_db = bound;
    result.proof.how = "values in steps of 1 % were searched; the bound is that of parts and a match without loss";
  }
  return result;
}

}  // namespace stile::match

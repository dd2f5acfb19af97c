#include <stile/match/one_setting.hpp>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>

#include <fmt/core.h>

#include <stile/base/detail/ranges.hpp>
#include <stile/base/errors.hpp>
#include <stile/match/detail/prepared_tables.hpp>

namespace stile::match {
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

using detail::Candidate;
using detail::PreparedCircuit;

constexpr double swr_rounding = 1e-12;     // relative
constexpr double better_by = 1.0 + 1e-12;  // a circuit of more parts must radiate more by more than rounding

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
        most_boxes_(job.most_boxes), must_hold_(job.must_hold), combinations_(limits) {}

  /// One setting for all points; holding ones first. Nothing when it must hold and none does.
  Chosen once(const detail::Points& points) {
    bool none_is_proven = true;
    for (const bool must_hold : {true, false}) {
      Chosen best;
      for (std::size_t n = 0; n < tables_.circuits.size(); ++n) try_once(n, points, must_hold, best);
      best.bound_share = best.share;
      if (tables_.continuous) refine(points, must_hold, best);
      best.holds = must_hold, best.none_is_proven = none_is_proven;
      if (best.found() || must_hold_) return best;
      none_is_proven = best.closed;
    }
    throw DomainError("no circuit of the space has parts for each of its slots");
  }

  /// What a hand moves is moved in each condition.
  Chosen moved(const std::vector<detail::Points>& conditions, const detail::Points& all) {
    order_.resize(conditions.size());
    std::iota(order_.begin(), order_.end(), std::size_t{0});
    for (const bool must_hold : {true, false}) {
      Chosen best;
      for (std::size_t n = 0; n < tables_.circuits.size(); ++n) {
        if (tables_.circuits[n].moved)
          try_moved(n, conditions, must_hold, best);
        else
          try_once(n, all, must_hold, best);
      }
      if (!best.found() && must_hold_) return best;
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
    all.reserve(indices.size());
    for (const std::size_t n : indices) all.push_back(&tables_.tables[n]);
    return all;
  }
  /// What a circuit has to beat: one of more parts by more than rounding.
  double floor(const Chosen& best, const PreparedCircuit& circuit) const {
    if (!best.found()) return -1.0;
    return tables_.circuits[best.circuit].slots < circuit.slots ? best.share * better_by : best.share;
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
    std::vector<detail::Combination> found(conditions.size());
    for (std::size_t m = 0; m < conditions.size(); ++m) {
      const detail::Points& points = conditions[order_[m]];
      auto here = combinations_.best(tables, stays, points, true, least);
      if (!here && !must_hold) {
        // One that holds goes first even when it radiates less than what is to be beaten: then nothing is won here.
        if (least < 0.0 || !combinations_.any_holds(tables, stays, points))
          here = combinations_.best(tables, stays, points, false, least);
      }
      if (!here) {  // the condition that spoils it is asked first next time
        const auto spoils = order_.begin() + static_cast<std::ptrdiff_t>(m);
        std::rotate(order_.begin(), spoils, spoils + 1);
        return;
      }
      share = std::min(share, here->share);
      found[order_[m]] = std::move(*here);
    }
    best.circuit = n, best.share = share;
    best.conditions.clear(), best.shares.clear();
    for (const detail::Combination& c : found) {
      best.conditions.push_back(placed(circuit, c));
      best.shares.push_back(c.share);
    }
  }

  /// The bound of values between the steps: that of each condition for itself. Those that lose least already are left
  /// out once another one bounds below what they have.
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
          detail::search_boxes(tables_.boxes, conditions[n], limits_, must_hold, {0, best.shares[n], {}, {}}, false,
                               gap_, most_boxes_ / conditions.size());
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
        detail::search_boxes(tables_.boxes, points, limits_, must_hold, box_setting(best), true, gap_, most_boxes_);
    tried_ += a.tried;
    best.bound_share = a.bound_share, best.closed = a.closed;
    if (!(a.best.share > best.share)) return;
    best.circuit = a.best.circuit, best.share = a.best.share;
    Placed parts;
    const std::vector<detail::BoxSlot>& slots = tables_.boxes[a.best.circuit];
    const std::vector<Slot>& stated = space_.space.circuits[tables_.circuits[a.best.circuit].index];
    for (std::size_t n = 0; n < slots.size(); ++n) {
      const detail::Piece& piece = slots[n].pieces[a.best.pieces[n]];
      const std::vector<Candidate>& candidates = tables_.candidates[stated[stated.size() - 1 - n].list];
      Candidate c = *std::find_if(candidates.begin(), candidates.end(), [&](const Candidate& of_list) {
        return of_list.of_range == piece.of_range && of_list.index == piece.index;
      });
      if (c.of_range) c.value = a.best.values[n];
      parts.push_back(c);
    }
    best.conditions = {parts};
  }

  const PreparedSpace& space_;
  const PreparedTables& tables_;
  const detail::SourceLimits& limits_;
  double gap_;  // as a ratio of powers
  std::size_t most_boxes_;
  bool must_hold_;
  detail::CombinationSearch combinations_;
  std::vector<std::size_t> order_;  // in which conditions are asked; the result does not depend on it
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
      z.push_back(detail::impedance_of(stated.lists[slot.list], placed[n], stated.frequency_hz, f));
    tables.push_back(detail::make_slot_table(slot.place == network::Place::series, stated.frequency_hz.size(), z, {0}));
  }
  std::vector<const detail::SlotTable*> pointers;
  pointers.reserve(tables.size());
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
    proof.how = "values in steps of 0.5 %, those of a trimmer 0.2 %, were searched; the bound is that of each "
                "condition for itself";
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
  OneSetting result;
  result.proof.tried = search.tried();
  if (!std::all_of(chosen.begin(), chosen.end(), [](const Chosen& c) { return c.found(); })) {
    result.status = SettingStatus::does_not_hold;
    result.proof.proven =
        std::all_of(chosen.begin(), chosen.end(), [](const Chosen& c) { return c.found() || c.closed; });
    result.proof.how = result.proof.proven ? "no setting holds: each was evaluated or excluded by bounds"
                                           : "no setting was found that holds; that none does is searched, not proven";
    return result;
  }
  // Load n with what normal condition `of` is set to.
  const auto set_as_in = [&](std::size_t n, std::size_t of) {
    const Chosen& c = chosen.size() > 1 ? chosen[of] : chosen.front();
    return describe_setting(space, limits, job.loads[n], each[n], space.tables->circuits[c.circuit].index,
                            c.conditions.size() > 1 ? c.conditions[of] : c.conditions.front());
  };

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

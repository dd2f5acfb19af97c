#include <stile/plan/detail/settings.hpp>

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/core.h>

#include <stile/base/errors.hpp>

namespace stile::plan::detail {
namespace {

constexpr int points_along_band = 41;
constexpr double least_share = 1e-12;  // of an antenna that radiates nothing
constexpr double search_gap_db = 0.02;
constexpr int most_bounds = 24;  // of one condition in one box of what stays
constexpr std::array<double, 2> fine_ratios{1.02, 1.002};
constexpr std::array<double, 3> as_stated_key{1.0, 0.0, -network::infinite};  // of what a hand reaches

std::vector<double> in_order(std::vector<double> all) {
  std::sort(all.begin(), all.end());
  all.erase(std::unique(all.begin(), all.end()), all.end());
  return all;
}

/// A wound coil's position, as against a part that is bought.
bool of_coil(const match::Choice& choice) { return !choice.z_ohm.empty() || !choice.element; }

}  // namespace

std::vector<double> searched_frequencies(const station::Band& b) {
  return in_order({b.use_low_hz, 0.5 * (b.use_low_hz + b.design_hz), b.design_hz, 0.5 * (b.design_hz + b.use_high_hz),
                   b.use_high_hz});
}

std::vector<double> band_frequencies(const station::Band& band, bool draft) {
  std::vector<double> all = searched_frequencies(band);
  all.push_back(band.high_hz);
  if (draft) return in_order(std::move(all));
  for (int n = 0; n + 1 < points_along_band; ++n)
    all.push_back(band.low_hz + (band.high_hz - band.low_hz) * n / (points_along_band - 1));
  return in_order(std::move(all));
}

bool in_use(const station::Band& band, double frequency_hz) {
  return frequency_hz >= band.use_low_hz && frequency_hz <= band.use_high_hz;
}

network::Ladder whole_ladder(const station::Arrangement& arrangement, const std::vector<network::Element>& match) {
  network::Ladder whole;
  const auto add_cable = [&](const std::optional<station::NamedCable>& cable) {
    if (cable) whole.elements.push_back({"cable " + cable->name, network::Place::cascade, cable->line, {}});
  };
  add_cable(arrangement.cable_before);
  const std::vector<network::Element> stated = stated_elements(arrangement);
  whole.elements.insert(whole.elements.end(), stated.begin(), stated.end());
  whole.elements.insert(whole.elements.end(), match.begin(), match.end());
  add_cable(arrangement.cable_after);
  return whole;
}

cdouble behind_cable(const station::Arrangement& arrangement, double frequency_hz, cdouble z_load_ohm) {
  if (!arrangement.cable_after) return z_load_ohm;
  const network::Chain line =
      network::chain({"", network::Place::cascade, arrangement.cable_after->line, {}}, frequency_hz);
  return network::input_impedance({&line, 1}, z_load_ohm);
}

double counted_share(const LoadPoint& point, Counted counted, const Corner& corner) {
  if (counted == Counted::delivered) return 1.0;
  const double stated = counted == Counted::path ? point.path_gain.value() : point.shares.value().radiated;
  return stated * corner_share(point, corner);
}

double counted_loss_db(const station::Transmitter& transmitter, const network::Evaluation& evaluation, double share) {
  const double counted = evaluation.power.delivered_w / evaluation.power.available_w *
                         station::power_at_swr(transmitter, evaluation.swr) * share;
  return counted > 0.0 ? 10.0 * std::log10(transmitter.source.power_w / counted) : network::infinite;
}

BandLoads band_loads(const station::Antenna& antenna, const station::Band& band, bool draft) {
  BandLoads loads;
  for (const station::AntennaLoad& l : antenna.loads) {
    loads.emplace_back();
    for (const double f : band_frequencies(band, draft)) loads.back().push_back(load_point(l, f));
  }
  return loads;
}

Settings::Settings(const Case& of)
    : case_(of), automatic_(station::describe_kind(of.arrangement.kind).automatic),
      searched_hz_(searched_frequencies(of.band)) {
  if (automatic_) return;
  if (station::describe_kind(of.arrangement.kind).fed_at_tap)
    fed_.emplace(of.arrangement, *of.taps, of.band);
  else if (of.taps != nullptr)
    coil_.emplace(of.arrangement, *of.taps, of.band);
  for (const std::vector<LoadPoint>& points : of.loads) {
    const auto at = std::find_if(points.begin(), points.end(),
                                 [&](const LoadPoint& p) { return p.frequency_hz == of.band.design_hz; });
    seen_ohm_.push_back(behind_cable(of.arrangement, of.band.design_hz, at->z_ohm));
  }
  if (!of.arrangement.settings.empty()) {
    take_stated();
    return;
  }
  space_ = space_of(of.arrangement, of.band, searched_hz_, seen_ohm_, coil_ ? &*coil_ : nullptr, {});
  if (!fed_ && space_.circuits.size() == 1 && space_.circuits.front().empty())  // nothing to choose
    parts_.assign(of.loads.size(), Parts{});
  else
    search();
}

void Settings::forget() {
  space_.lists.clear();
  space_.circuits.clear();
  std::erase_if(near_, [](const auto& kept) { return kept.first != as_stated_key; });
  std::erase_if(tables_, [](const auto& kept) { return kept.first.second != std::make_pair(1.0, 0.0); });
}

/// A fixed match is made for the normal conditions, or for the one that it is designed for.
bool Settings::served(std::size_t condition) const {
  const station::Condition& c = case_.station.conditions[condition];
  const std::string& only = case_.arrangement.design_condition;
  return only.empty() ? c.role == station::Role::normal : c.name == only;
}

match::SettingJob Settings::job(const std::vector<std::size_t>& conditions, const Corner& corner) const {
  const station::Transmitter& t = case_.station.transmitter;
  match::SettingJob job;
  job.source = t.source;
  job.swr_limit = case_.swr_counts ? t.swr_limit : network::infinite;
  job.foldback = t.foldback;
  job.gap_db = search_gap_db;
  const auto cable = [](network::Ladder& into, const std::optional<station::NamedCable>& stated) {
    if (stated) into.elements.push_back({"cable " + stated->name, network::Place::cascade, stated->line, {}});
  };
  cable(job.before, case_.arrangement.cable_before);
  cable(job.after, case_.arrangement.cable_after);
  for (const std::size_t n : conditions) {
    match::ServedLoad load{case_.station.conditions[n].name, served(n), {}, {}};
    for (const LoadPoint& middle : case_.loads[n]) {
      if (!std::binary_search(searched_hz_.begin(), searched_hz_.end(), middle.frequency_hz)) continue;
      const LoadPoint point = at_corner(middle, corner);
      load.z_ohm.push_back(corner_impedance(point, corner));
      load.radiated_share.push_back(std::max(least_share, counted_share(point, case_.counted, corner)));
    }
    job.loads.push_back(std::move(load));
  }
  return job;
}

void Settings::search() {
  std::vector<std::size_t> all;
  for (std::size_t n = 0; n < case_.loads.size(); ++n) {
    const auto takes_none = [](const LoadPoint& p) { return !(p.z_ohm.real() > 0.0); };
    if (std::none_of(case_.loads[n].begin(), case_.loads[n].end(), takes_none))
      all.push_back(n);
    else if (served(n))
      possible_ = false;
  }
  parts_.assign(case_.loads.size(), Parts{});
  if (!possible_) return;
  if (fed_) {
    search_fed(all);
    return;
  }
  match::SettingJob searched = job(all, {});
  searched.must_hold = case_.draft;
  if (space_.moves != match::Moves::once) searched.most_boxes = 0;  // bound_moved bounds what was searched in steps
  const match::OneSetting found = match::find_one_setting(match::prepare_space(space_), searched);
  proof_ = found.proof;
  possible_ = !found.conditions.empty();
  if (!possible_) return;
  for (std::size_t k = 0; k < all.size(); ++k)
    parts_[all[k]] = {found.conditions[k].circuit, found.conditions[k].parts, {}};
  Reached set;
  for (std::size_t k = 0; k < all.size(); ++k) {
    const match::ConditionSetting& c = found.conditions[k];
    if (served(all[k])) set[all[k]] = {c.holds, c.worst_loss_db};
  }
  refine(all, std::move(set));
  leave(all);
}

/// An accident without resistance finds everything as it was left.
void Settings::leave(const std::vector<std::size_t>& found) {
  std::size_t any = 0;
  for (const std::size_t n : found) any = served(n) ? n : any;
  for (std::size_t n = 0; n < parts_.size(); ++n) {
    if (std::find(found.begin(), found.end(), n) == found.end()) parts_[n] = parts_[any];
  }
  if (!coil_) return;
  for (const match::Choice& choice : parts_[any].choices) {
    if (of_coil(choice)) coil_->leave_turns_as_in(choice);
  }
}

void Settings::search_fed(const std::vector<std::size_t>& conditions) {
  FedSetting found = find_fed_setting(*fed_, fed_->positions(), space_.moves, searched_hz_, job(conditions, {}), {});
  proof_ = std::move(found.proof);
  for (std::size_t k = 0; k < conditions.size(); ++k) parts_[conditions[k]].fed = found.conditions[k];
  leave(conditions);
}

std::vector<network::Element> Settings::elements(const Parts& parts, double frequency_hz, const Corner& corner) const {
  return fed_ ? fed_->elements(parts.fed, frequency_hz, corner)
              : elements_of(parts, coil_ ? &*coil_ : nullptr, frequency_hz, corner);
}

/// Values that may be any, and taps anywhere, were searched in steps: around a setting they are searched finely.
/// @param conditions  that share it
std::optional<match::OneSetting> Settings::refined(Parts& setting, const std::vector<std::size_t>& conditions) {
  std::optional<match::OneSetting> found;
  for (const double ratio : fine_ratios) {
    const match::SettingSpace near = around(space_, case_.arrangement.parts, setting, ratio);
    const auto stays = [](const match::PartList& l) { return l.choices.size() == 1; };
    if (std::all_of(near.lists.begin(), near.lists.end(), stays)) break;  // nothing is of any value
    found = match::find_one_setting(match::prepare_space(near), job(conditions, {}));
    proof_->tried += found->proof.tried;
    setting.choices = found->conditions.front().parts;
  }
  return found;
}

/// A setting and what is left of it without one of its parts, which steps may have hidden.
std::vector<Parts> Settings::with_fewer(const Parts& setting) const {
  std::vector<Parts> all{setting};
  for (std::size_t n = 0; n < setting.choices.size(); ++n) {
    std::vector<match::Slot> slots = space_.circuits[setting.circuit];
    Parts fewer = setting;
    slots.erase(slots.begin() + static_cast<std::ptrdiff_t>(n));
    fewer.choices.erase(fewer.choices.begin() + static_cast<std::ptrdiff_t>(n));
    const auto same = [&](const std::vector<match::Slot>& circuit) {
      return std::equal(
          circuit.begin(), circuit.end(), slots.begin(), slots.end(),
          [](const match::Slot& x, const match::Slot& y) { return x.place == y.place && x.list == y.list; });
    };
    const auto known = std::find_if(space_.circuits.begin(), space_.circuits.end(), same);
    if (known == space_.circuits.end()) continue;
    fewer.circuit = static_cast<std::size_t>(known - space_.circuits.begin());
    all.push_back(std::move(fewer));
  }
  return all;
}

void Settings::refine(const std::vector<std::size_t>& conditions, Reached set) {
  if (space_.moves != match::Moves::once) {
    for (auto& [n, reached] : set) {
      if (const auto found = refined(parts_[n], {n}))
        reached = {found->status == match::SettingStatus::holds, found->worst_loss_db};
    }
    if (case_.bounds) bound_moved(set);
    return;
  }
  std::optional<std::pair<bool, double>> best;
  for (Parts& setting : with_fewer(parts_[conditions.front()])) {
    const auto found = refined(setting, conditions);
    if (!found) continue;
    const std::pair rank(found->status != match::SettingStatus::holds, found->worst_loss_db);
    if (best && !(rank < *best)) continue;
    best = rank;
    for (const std::size_t n : conditions) parts_[n] = setting;
  }
  if (best) bound_not_above(best->second);
}

/// What was bounded were steps; where the fine search went below them, nothing is proven.
void Settings::bound_not_above(double found_db) {
  if (proof_->bound_db <= found_db) return;
  proof_->bound_db = found_db;
  proof_->proven = false;
  proof_->in_steps = true;
  proof_->how = "values were searched in steps, then finely around the best of them; nothing is proven";
}

/// Settings in which one part stays within a range of values, the same part in all conditions, and everything else is
/// of any value in each condition for itself.
struct Settings::Stays {
  match::SettingSpace space;
  std::optional<std::size_t> list;  ///< whose one range that is; nothing: there is nothing to halve
  double bound_db = -network::infinite;
};

/// All settings, by the part that stays in their circuits.
std::vector<Settings::Stays> Settings::by_what_stays(const match::SettingSpace& free) const {
  const auto stays = [&](std::size_t list) {  // a row of values, each a part of its own
    const std::vector<match::Choice>& row = space_.lists[list].choices;
    return !row.empty() && row.front().part != row.back().part && row.back().tap == 0 && row.back().trimmer == 0;
  };
  std::map<std::pair<std::size_t, std::ptrdiff_t>, Stays> groups;
  for (const std::vector<match::Slot>& circuit : free.circuits) {
    const auto first =
        std::find_if(circuit.begin(), circuit.end(), [&](const match::Slot& slot) { return stays(slot.list); });
    std::pair<std::size_t, std::ptrdiff_t> key{free.lists.size(), 0};
    if (first != circuit.end()) {
      const auto same = [&](const match::Slot& slot) { return slot.list == first->list; };
      key = {first->list, std::count_if(circuit.begin(), circuit.end(), same)};
    }
    auto known = groups.find(key);
    if (known == groups.end()) {
      known = groups.emplace(key, Stays{free, std::nullopt, -network::infinite}).first;
      known->second.space.circuits.clear();
      if (key.second == 1 && free.lists[key.first].choices.empty() && free.lists[key.first].ranges.size() == 1)
        known->second.list = key.first;
    }
    known->second.space.circuits.push_back(circuit);
  }
  std::vector<Stays> all;
  for (auto& [key, group] : groups) all.push_back(std::move(group));
  return all;
}

/// The range of what stays cut off around what was found, or where that is not inside, in two; none where it is narrow.
std::vector<Settings::Stays> Settings::halved(const Stays& box, std::size_t condition) const {
  constexpr double beside_found = 1.03, narrow = 1.002;
  if (!box.list) return {};
  const match::PartRange range = box.space.lists[*box.list].ranges.front();
  if (range.high < narrow * range.low) return {};
  std::vector<double> edges{range.low, std::sqrt(range.low * range.high), range.high};
  const Parts& found = parts_[condition];
  const std::vector<match::Slot>& slots = space_.circuits[found.circuit];
  for (std::size_t n = 0; n < slots.size(); ++n) {
    if (slots[n].list != *box.list || !found.choices[n].element) continue;
    const double value = network::value_si(found.choices[n].element->part);
    if (range.low < value / beside_found && value * beside_found < range.high)
      edges = {range.low, value / beside_found, value * beside_found, range.high};
  }
  std::vector<Stays> parts;
  for (std::size_t k = 0; k + 1 < edges.size(); ++k) {
    parts.push_back({box.space, box.list, -network::infinite});
    match::PartRange& part = parts.back().space.lists[*box.list].ranges.front();
    part.low = edges[k], part.high = edges[k + 1];
  }
  return parts;
}

/// What a hand moves was searched in steps, and so was what stays. Whatever it is set to, no condition gets better than
/// it is for itself with parts of any value: boxes of these values bound that. Where that leaves a gap, what stays is
/// the same in all conditions within ranges that are halved. The gap is said.
void Settings::bound_moved(const Reached& set) {
  const auto free =
      space_without_steps(case_.arrangement, case_.band, searched_hz_, seen_ohm_, coil_ ? &*coil_ : nullptr);
  if (!free) return;
  const match::PreparedSpace space = match::prepare_space(*free);
  const auto within = [&](const match::PreparedSpace& some, std::size_t n, bool must_hold) {
    match::SettingJob one = job({n}, {});
    one.must_hold = must_hold;
    if (!must_hold) one.swr_limit = network::infinite;
    match::OneSetting found = match::find_one_setting(some, one);
    proof_->tried += found.proof.tried;
    return found;
  };
  const auto alone = [&](std::size_t n, bool must_hold) { return within(space, n, must_hold); };
  std::vector<std::size_t> worst_first;
  bool holds = true, none_holds = false;
  for (const auto& [n, reached] : set) {
    worst_first.push_back(n);
    holds = holds && reached.first;
  }
  for (const auto& [n, reached] : set) {
    if (reached.first || none_holds) continue;
    const match::OneSetting held = alone(n, true);
    none_holds = held.conditions.empty() && held.proof.proven;
  }
  std::stable_sort(worst_first.begin(), worst_first.end(),
                   [&](std::size_t x, std::size_t y) { return set.at(x).second > set.at(y).second; });
  const double found_db = set.at(worst_first.front()).second;
  proof_->bound_db = -network::infinite;
  for (const std::size_t n : worst_first) {  // one that loses less than what is bounded already bounds nothing
    if (set.at(n).second <= proof_->bound_db) break;
    // Where some condition does not hold, none need: what does not may radiate more.
    proof_->bound_db = std::max(proof_->bound_db, alone(n, holds).proof.bound_db);
  }
  proof_->bound_db = std::min(proof_->bound_db, found_db);
  const double near_db = found_db - search_gap_db;
  const char* freely = "even with every part of any value for itself";
  if (proof_->bound_db < near_db) {
    int bounds = 0;
    const auto bound = [&](Stays& box) {
      const match::PreparedSpace prepared = match::prepare_space(box.space);
      for (const std::size_t n : worst_first) {
        if (box.bound_db >= near_db || bounds >= most_bounds) break;
        ++bounds;
        const match::OneSetting best = within(prepared, n, holds);
        if (!best.conditions.empty())
          box.bound_db = std::max(box.bound_db, best.proof.bound_db);
        else if (best.proof.proven)
          box.bound_db = network::infinite;  // none in it holds
      }
      box.bound_db = std::max(box.bound_db, proof_->bound_db);
    };
    std::vector<Stays> boxes = by_what_stays(*free);
    for (Stays& box : boxes) bound(box);
    const auto least = [](const Stays& a, const Stays& b) { return a.bound_db < b.bound_db; };
    while (bounds < most_bounds) {
      const auto open = std::min_element(boxes.begin(), boxes.end(), least);
      if (open->bound_db >= near_db) break;
      std::vector<Stays> parts = halved(*open, worst_first.front());
      if (parts.empty()) break;
      for (Stays& part : parts) {
        part.bound_db = open->bound_db;
        bound(part);
      }
      boxes.erase(open);
      for (Stays& part : parts) boxes.push_back(std::move(part));
    }
    proof_->bound_db = std::min(found_db, std::min_element(boxes.begin(), boxes.end(), least)->bound_db);
    freely = "what stays being the same in all conditions and every other part of any value for itself";
  }
  const double open_db = found_db - proof_->bound_db;
  proof_->proven = open_db <= search_gap_db * (1.0 + 1e-9) && (holds || none_holds);
  proof_->in_steps = !proof_->proven;
  proof_->how =
      fmt::format("values were searched in steps, then finely around the best of them; by boxes of values the "
                  "worst condition can be better by no more than {:.2g} dB, {}",
                  std::max(open_db, search_gap_db), freely);
  if (!holds && !none_holds) proof_->how += "; that none holds is searched, not proven";
}

void Settings::take_stated() {
  for (const station::Condition& condition : case_.station.conditions) {
    const std::vector<station::StatedSetting>& stated = case_.arrangement.settings;
    const auto here = [&](const std::string& name) {
      return std::find_if(stated.begin(), stated.end(), [&](const station::StatedSetting& s) {
        return s.band == case_.band.name && s.condition == name;
      });
    };
    const auto own = here(condition.name), common = here("");
    const auto taken = own != stated.end() ? own : common;
    if (taken == stated.end())
      throw DomainError("an arrangement with stated settings needs one for \"" + case_.band.name + "\"");
    Parts parts;
    for (const network::Element& element : taken->elements) parts.choices.push_back({element});
    parts_.push_back(std::move(parts));
  }
}

Parts Settings::set_anew(std::size_t condition, const Corner& corner) const {
  if (fed_) {
    std::vector<FedPosition> within = fed_->positions();
    std::erase_if(within, [&](const FedPosition& p) { return !stays_as(parts_[condition].fed, p, space_.moves); });
    Parts parts = parts_[condition];
    parts.fed =
        find_fed_setting(*fed_, within, match::Moves::each_condition, searched_hz_, job({condition}, corner), corner)
            .conditions.front();
    return parts;
  }
  // What a hand reaches is the same in every condition.
  const std::array<double, 3> key{corner.q, corner.contact_ohm, corner.temperature_c.value_or(-network::infinite)};
  auto near = near_.find(key);
  if (near == near_.end()) {
    Corner own = corner;
    own.ground = own.lying_ground = own.lengths = 1.0;
    own.hand.reset();
    const match::SettingSpace all =
        space_of(case_.arrangement, case_.band, searched_hz_, seen_ohm_, coil_ ? &*coil_ : nullptr, own);
    near = near_.emplace(key, match::prepare_space(reachable(all, parts_[condition], own))).first;
  }
  const match::OneSetting found = match::find_one_setting(near->second, job({condition}, corner));
  Parts parts{parts_[condition].circuit, found.conditions.front().parts, {}};
  for (match::Choice& choice : parts.choices) {  // parts are kept as stated; whoever uses them puts them to the corner
    auto* coil = choice.element ? std::get_if<network::Inductor>(&choice.element->part) : nullptr;
    if (coil != nullptr && choice.z_ohm.empty()) coil->loss = case_.arrangement.parts.stock.inductor_loss;
  }
  return parts;
}

network::Ladder Settings::tuned(double frequency_hz, cdouble z_load_ohm, const Corner& corner) const {
  const double factor = corner.q * temperature_factor(corner, 20.0, 0.0039);
  const auto key = std::make_pair(frequency_hz, std::make_pair(factor, corner.contact_ohm));
  auto known = tables_.find(key);
  if (known == tables_.end()) {
    tuner::Tuner tuner = corner_tuner(case_.arrangement.tuner, corner);
    tuner::TunerTable table = tuner::tabulate(tuner, frequency_hz);
    known = tables_.emplace(key, std::make_pair(std::move(tuner), std::move(table))).first;
  }
  const auto& [tuner, table] = known->second;
  const station::Transmitter& t = case_.station.transmitter;
  const cdouble z = behind_cable(case_.arrangement, frequency_hz, z_load_ohm);
  return whole_ladder(
      case_.arrangement,
      tuner::tuner_elements(tuner, tuner::most_delivered_state(tuner, table, t.source.z_ohm, z, t.swr_limit).state));
}

std::function<network::Ladder(double, cdouble)> Settings::at(std::size_t condition, const Corner& corner) const {
  if (automatic_) {
    return [this, corner](double frequency_hz, cdouble z_load_ohm) { return tuned(frequency_hz, z_load_ohm, corner); };
  }
  const bool as_stated = corner == Corner{};
  const bool anew = !as_stated && case_.arrangement.trim != station::Trim::once && case_.arrangement.settings.empty() &&
                    served(condition);
  Parts parts = anew ? set_anew(condition, corner) : parts_[condition];
  return [this, parts = std::move(parts), corner](double frequency_hz, cdouble) {
    return whole_ladder(case_.arrangement, elements(parts, frequency_hz, corner));
  };
}

Setting Settings::setting(std::size_t condition) const {
  Setting setting;
  if (automatic_) return setting;
  setting.elements = stated_elements(case_.arrangement);
  for (network::Element& element : elements(parts_[condition], case_.band.design_hz, {}))
    setting.elements.push_back(std::move(element));
  if (fed_) {
    const FedPosition& set = parts_[condition].fed;
    setting.tap_turns = fed_->antenna_turns(set);
    setting.feed_turns = fed_->feed_turns(set);
    setting.unused = set.unused;
    setting.trimmer_f = fed_->trimmer_f(set);
    return setting;
  }
  for (const match::Choice& choice : parts_[condition].choices) {
    if (!coil_ || !of_coil(choice)) continue;
    setting.tap_turns = coil_->turns(choice);
    setting.unused = coil_->unused(choice);
    setting.trimmer_f = coil_->trimmer_f(choice);
  }
  return setting;
}

}  // namespace stile::plan::detail

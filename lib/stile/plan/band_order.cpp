#include <stile/plan/band_order.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

#include <stile/base/errors.hpp>
#include <stile/plan/compared.hpp>
#include <stile/plan/detail/hand.hpp>
#include <stile/plan/far_end.hpp>

namespace stile::plan {
namespace {

double tap_s(const station::Station& s) { return s.hands.tap_s.value_or(assumed_tap_s); }
double trimmer_s(const station::Station& s) { return s.hands.trimmer_s.value_or(assumed_trimmer_s); }
double part_s(const station::Station& s) { return s.hands.part_s.value_or(assumed_part_s); }

HandWork timed(const station::Station& station, HandWork work) {
  work.seconds = work.taps * tap_s(station) + work.trimmers * trimmer_s(station) + work.parts * part_s(station);
  return work;
}

/// A tuner does it by itself.
HandWork tuned(const station::Arrangement& a) {
  return {0, 0, 0, a.draw.tune_time_s > 0.0 ? a.draw.tune_time_s : assumed_tune_s};
}

std::vector<network::Element> at_place(const Setting& setting, network::Place place) {
  std::vector<network::Element> found;
  for (const network::Element& element : setting.elements) {
    if (element.place == place) found.push_back(element);
  }
  return found;
}

bool same_part(const network::Element& a, const network::Element& b) {
  if (a.part.index() != b.part.index()) return false;
  const double x = network::value_si(a.part), y = network::value_si(b.part);
  return std::abs(x - y) <= 1e-6 * std::abs(x);
}

/// Whether a hand moves it where it stands, instead of exchanging it.
bool moves(const station::Arrangement& arrangement, const network::Element& element) {
  const bool inductor = std::holds_alternative<network::Inductor>(element.part);
  return (inductor || std::holds_alternative<network::Capacitor>(element.part)) &&
         detail::moves_part(arrangement, inductor);
}

/// In which condition one is most of the time.
std::size_t usual_condition(const station::Station& station) {
  std::optional<std::size_t> usual;
  for (std::size_t c = 0; c < station.conditions.size(); ++c) {
    const station::Condition& one = station.conditions[c];
    if (one.role != station::Role::normal) continue;
    if (!usual || one.share.value_or(0.0) > station.conditions[*usual].share.value_or(0.0)) usual = c;
  }
  return usual.value_or(0);
}

/// What a way through several bands asks: touches first, seconds where these are equal.
struct Asked {
  int touches = 0;
  double seconds = 0.0;

  bool operator<(const Asked& other) const {
    return touches != other.touches ? touches < other.touches : seconds < other.seconds;
  }
  Asked operator+(const Asked& other) const { return {touches + other.touches, seconds + other.seconds}; }
};

/// The way through all that asks least, starting anywhere (Held and Karp, J. SIAM 10(1), 1962: by sets of places
/// visited).
std::vector<std::size_t> least_way(const std::vector<std::vector<Asked>>& asked) {
  const std::size_t count = asked.size();
  const Asked never{std::numeric_limits<int>::max(), 0.0};
  // least[set][first]: the least way that starts at `first` and goes through the set, of which first is one
  std::vector<std::vector<Asked>> least(std::size_t{1} << count, std::vector<Asked>(count, never));
  std::vector<std::vector<std::size_t>> next(least.size(), std::vector<std::size_t>(count, count));
  for (std::size_t set = 1; set < least.size(); ++set) {
    for (std::size_t first = 0; first < count; ++first) {
      if ((set >> first & 1U) == 0) continue;
      const std::size_t rest = set & ~(std::size_t{1} << first);
      if (rest == 0) least[set][first] = {};
      for (std::size_t second = 0; second < count; ++second) {
        if ((rest >> second & 1U) == 0) continue;
        const Asked way = asked[first][second] + least[rest][second];
        if (way < least[set][first]) least[set][first] = way, next[set][first] = second;
      }
    }
  }
  std::size_t set = least.size() - 1;
  const auto start = std::min_element(least[set].begin(), least[set].end());
  std::vector<std::size_t> order;
  for (std::size_t at = static_cast<std::size_t>(start - least[set].begin()); order.size() < count;) {
    order.push_back(at);
    const std::size_t then = next[set][at];
    set &= ~(std::size_t{1} << at);
    at = then;
  }
  return order;
}

}  // namespace

HandWork work_between(const station::Station& station, const station::Arrangement& arrangement, const Setting& from,
                      const Setting& to) {
  const station::KindDescription& kind = station::describe_kind(arrangement.kind);
  if (kind.automatic) return tuned(arrangement);
  HandWork work;
  if (kind.takes_coil) {
    work.taps = (from.tap_turns != to.tap_turns || from.unused != to.unused) + (from.feed_turns != to.feed_turns);
    work.trimmers = from.trimmer_f != to.trimmer_f;
  }
  if (from.feed_turns || to.feed_turns) return timed(station, work);  // the elements are that coil's turns
  for (const network::Place place : {network::Place::series, network::Place::shunt}) {
    if (kind.takes_coil && place == network::Place::series) continue;  // the coil itself
    const std::vector<network::Element> a = at_place(from, place), b = at_place(to, place);
    for (std::size_t n = 0; n < std::max(a.size(), b.size()); ++n) {
      if (n >= a.size() || n >= b.size()) {
        const network::Element& gone = n < a.size() ? a[n] : b[n];
        const bool by_tap = place == network::Place::series && moves(arrangement, gone) &&
                            std::holds_alternative<network::Inductor>(gone.part);
        ++(by_tap ? work.taps : work.parts);
      } else if (!same_part(a[n], b[n])) {
        const bool moved = a[n].part.index() == b[n].part.index() && moves(arrangement, a[n]);
        if (moved)
          ++(std::holds_alternative<network::Inductor>(a[n].part) ? work.taps : work.trimmers);
        else
          ++work.parts;
      }
    }
  }
  return timed(station, work);
}

namespace {

/// What `trim` lets a hand move, and more of it where two normal conditions of the band are set that far apart.
HandWork between_conditions(const station::Station& station, const BandResult& band, std::size_t n) {
  const station::Arrangement& a = station.arrangements[n];
  if (station::describe_kind(a.kind).automatic) return tuned(a);
  HandWork most;
  most.taps = detail::moves_tap(a);
  most.trimmers = detail::moves_trimmer(a);
  const std::vector<ConditionResult>& of = band.arrangements[n].conditions;
  const auto counts = [](const ConditionResult& c) { return c.possible && c.role == station::Role::normal; };
  for (const ConditionResult& from : of) {
    for (const ConditionResult& to : of) {
      if (!counts(from) || !counts(to)) continue;
      const HandWork work = work_between(station, a, from.setting, to.setting);
      most.taps = std::max(most.taps, work.taps);
      most.trimmers = std::max(most.trimmers, work.trimmers);
      most.parts = std::max(most.parts, work.parts);
    }
  }
  return timed(station, most);
}

}  // namespace

std::vector<BandOrder> band_orders(const station::Station& station, const Plan& plan) {
  require(plan.bands.size() == station.bands.size(), "the plan is of another station");
  const std::size_t usual = usual_condition(station);
  std::vector<BandOrder> all;
  for (std::size_t n = 0; n < station.arrangements.size(); ++n) {
    const station::Arrangement& a = station.arrangements[n];
    BandOrder result;
    result.arrangement = n;
    std::vector<std::size_t> made;
    for (std::size_t b = 0; b < plan.bands.size(); ++b) {
      require(plan.bands[b].arrangements.size() == station.arrangements.size(), "the plan is of another station");
      if (plan.bands[b].arrangements[n].conditions[usual].possible) made.push_back(b);
      const HandWork work = between_conditions(station, plan.bands[b], n);
      if (work.seconds > result.between_conditions.seconds) result.between_conditions = work;
      result.on_band.push_back(work);
    }
    const auto work = [&](std::size_t from, std::size_t to) {
      const auto setting = [&](std::size_t b) { return plan.bands[b].arrangements[n].conditions[usual].setting; };
      return work_between(station, a, setting(from), setting(to));
    };
    for (std::size_t k = 0; k + 1 < made.size(); ++k) {
      const HandWork step = work(made[k], made[k + 1]);
      result.stated_order_touches += step.touches();
      result.stated_order_seconds += step.seconds;
    }
    result.order = made;
    result.least = made.size() <= most_ordered_bands;
    if (result.least && made.size() > 1) {
      std::vector<std::vector<Asked>> asked(made.size(), std::vector<Asked>(made.size()));
      for (std::size_t i = 0; i < made.size(); ++i) {
        for (std::size_t j = 0; j < made.size(); ++j) {
          if (i == j) continue;
          const HandWork step = work(made[i], made[j]);
          asked[i][j] = {step.touches(), step.seconds};
        }
      }
      result.order.clear();
      for (const std::size_t k : least_way(asked)) result.order.push_back(made[k]);
    }
    for (std::size_t k = 0; k + 1 < result.order.size(); ++k) {
      result.steps.push_back(work(result.order[k], result.order[k + 1]));
      result.seconds += result.steps.back().seconds;
      result.touches += result.steps.back().touches();
    }
    all.push_back(std::move(result));
  }
  return all;
}

std::optional<double> condition_changes_per_h(const station::Station& station) {
  double share = 0.0, per_h = 0.0;
  std::size_t met = 0;
  bool stays_known = true;
  for (const station::Condition& c : station.conditions) {
    if (!(c.share.value_or(0.0) > 0.0)) continue;
    ++met;
    share += *c.share;
    stays_known = stays_known && c.lasts_s;
    per_h += c.lasts_s ? 3600.0 * *c.share / *c.lasts_s : 0.0;
  }
  if (station.conditions.size() == 1 || met == 1) return 0.0;  // there is no other to change to
  return met > 0 && stays_known ? std::optional(per_h / share) : std::nullopt;
}

namespace {

/// Among arrangements that may be compared; nothing where none that is set anew holds.
std::optional<ResetTrade> reset_trade(const station::Station& station, const Plan& plan, std::size_t band,
                                      const Comparable& group) {
  const std::vector<ArrangementResult>& of = plan.bands[band].arrangements;
  std::optional<std::size_t> anew, broad;
  double best_db = network::infinite;
  for (const std::size_t n : group.arrangements) {
    best_db = std::min(best_db, of[n].counted_db);
    if (!of[n].ok) continue;
    const bool set_anew = station::describe_kind(of[n].kind).automatic || of[n].hands > 0;
    std::optional<std::size_t>& best = set_anew ? anew : broad;
    if (!best || of[n].counted_db < of[*best].counted_db) best = n;
  }
  if (!anew) return {};
  const station::Arrangement& a = station.arrangements[*anew];
  ResetTrade trade;
  trade.band = band;
  trade.anew = *anew;
  trade.broad = broad;
  trade.reset_s = between_conditions(station, plan.bands[band], *anew).seconds;
  if (station::describe_kind(a.kind).automatic) {
    if (a.draw.tunes_per_h > 0.0) trade.resets_per_h = a.draw.tunes_per_h;
  } else {
    trade.resets_per_h = of[*anew].resets_per_hour;
  }
  if (trade.resets_per_h) trade.time_share = std::min(1.0, *trade.resets_per_h * trade.reset_s / 3600.0);
  if (broad) {
    trade.gained_db = of[*broad].counted_db - of[*anew].counted_db;
    if (station.contacts && trade.reset_s > 0.0) {
      const double made_anew = 1.0 - contacts_failed(of[*anew].counted_db - best_db, *station.contacts);
      const double made_broad = 1.0 - contacts_failed(of[*broad].counted_db - best_db, *station.contacts);
      trade.pays_up_to_per_h = std::max(0.0, 3600.0 / trade.reset_s * (1.0 - made_broad / made_anew));
    }
  }
  return trade;
}

}  // namespace

std::vector<ResetTrade> reset_trades(const station::Station& station, const Plan& plan) {
  require(plan.bands.size() == station.bands.size(), "the plan is of another station");
  std::vector<ResetTrade> all;
  for (std::size_t b = 0; b < plan.bands.size(); ++b) {
    require(plan.bands[b].arrangements.size() == station.arrangements.size(), "the plan is of another station");
    for (const Comparable& group : comparable_groups(station, plan.bands[b].counted)) {
      if (const auto trade = reset_trade(station, plan, b, group)) all.push_back(*trade);
    }
  }
  return all;
}

}  // namespace stile::plan

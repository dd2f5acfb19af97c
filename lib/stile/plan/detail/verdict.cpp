#include <stile/plan/detail/verdict.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <utility>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include <stile/plan/compared.hpp>
#include <stile/plan/detail/refine.hpp>

namespace stile::plan::detail {
namespace {

/// A band under decision.
struct Verdict {
  const station::Station& station;
  const CornerGrid& grid;
  const std::vector<Along>& along;
  const std::vector<Judged>& judged;  ///< arrangements, in the station's order
  const BandResult& band;
  Comparable group;  ///< those that are compared

  const ArrangementResult& result(std::size_t n) const { return judged[n].result; }
  const CornerTable::Line& line(std::size_t n, std::size_t range) const { return judged[n].corners.along[range]; }
  double loss_db(std::size_t n, std::size_t row, std::size_t column) const {
    return judged[n].corners.counted_db[row * grid.columns.size() + column];
  }
  bool holds(std::size_t n, std::size_t row, std::size_t column) const {
    return judged[n].corners.holds[row * grid.columns.size() + column] != 0;
  }
};

bool is_tuner(const ArrangementResult& r) { return station::describe_kind(r.kind).automatic; }

/// The one of least loss among those that `may` be; nothing when there is none.
template <class May>
std::optional<std::size_t> least(const Verdict& v, const May& may) {
  std::optional<std::size_t> best;
  for (const std::size_t n : v.group.arrangements) {
    if (may(v.result(n)) && (!best || v.result(n).counted_db < v.result(*best).counted_db)) best = n;
  }
  return best;
}

/// Of those that sound the same: fewest hands; of these the least mass, where it is known of all of them; then no
/// supply; then least loss; then the first of the file.
std::size_t simplest(const Verdict& v, std::vector<std::size_t> same) {
  const auto keep_least = [&](const auto& of) {
    auto least = of(v.result(same.front()));
    for (const std::size_t n : same) least = std::min(least, of(v.result(n)));
    std::erase_if(same, [&](std::size_t n) { return of(v.result(n)) > least; });
  };
  keep_least([](const ArrangementResult& r) { return r.hands; });
  if (std::all_of(same.begin(), same.end(), [&](std::size_t n) { return v.result(n).mass_kg.has_value(); }))
    keep_least([](const ArrangementResult& r) { return *r.mass_kg; });
  keep_least([](const ArrangementResult& r) { return r.needs_supply; });
  keep_least([](const ArrangementResult& r) { return r.counted_db; });
  return same.front();
}

/// By how much one loses more than another: at each corner of the grid, each value along a range and each draw both in
/// the same world.
Difference difference(const Verdict& v, std::size_t more, std::size_t less) {
  if (!std::isfinite(v.result(more).counted_db)) return {network::infinite, {network::infinite, network::infinite}};
  if (more == less) return {};
  Difference d;
  d.db = v.result(more).counted_db - v.result(less).counted_db;
  d.range_db = {d.db, d.db};
  const auto widen = [&](double difference_db) {
    if (std::isnan(difference_db)) return;  // both lose everything
    d.range_db = {std::min(d.range_db.low, difference_db), std::max(d.range_db.high, difference_db)};
  };
  for (std::size_t row = 0; row < v.grid.rows.size(); ++row) {
    Range m{network::infinite, -network::infinite}, l = m;
    for (std::size_t column = 0; column < v.grid.columns.size(); ++column) {
      m = {std::min(m.low, v.loss_db(more, row, column)), std::max(m.high, v.loss_db(more, row, column))};
      l = {std::min(l.low, v.loss_db(less, row, column)), std::max(l.high, v.loss_db(less, row, column))};
    }
    widen(m.low - l.high);
    widen(m.high - l.low);
  }
  for (std::size_t range = 0; range < v.along.size(); ++range) {
    for (std::size_t k = 0; k < v.along[range].value.size(); ++k)
      widen(v.line(more, range).counted_db[k] - v.line(less, range).counted_db[k]);
  }
  for (std::size_t k = 0; k < v.judged[more].corners.drawn_db.size(); ++k)
    widen(v.judged[more].corners.drawn_db[k] - v.judged[less].corners.drawn_db[k]);
  // What is set anew has steps; kinks stand where the worst of several conditions changes.
  const std::vector<station::Condition>& conditions = v.station.conditions;
  const auto normal = std::count_if(conditions.begin(), conditions.end(),
                                    [](const station::Condition& c) { return c.role == station::Role::normal; });
  const std::vector<station::Arrangement>& stated = v.station.arrangements;
  const bool kinks = normal > 1 || is_set_anew(stated[more]) || is_set_anew(stated[less]);
  const double step_db = kinks ? between_tries(d.range_db) : 0.0;
  d.range_db = {d.range_db.low - step_db, d.range_db.high + step_db};
  return d;
}

/// "3.0 dB (0.5 S units; 1.2 to 4.1 dB)".
std::string difference_text(const Verdict& v, std::size_t more, std::size_t less) {
  const Difference d = difference(v, more, less);
  return loss_text(d.db, d.range_db);
}

/// What the one not taken has against it.
std::string drawback(const Verdict& v, std::size_t not_taken, std::size_t taken_one) {
  const ArrangementResult &other = v.result(not_taken), &taken = v.result(taken_one);
  if (other.hands > taken.hands) return taken.hands == 0 ? "needs a hand" : "needs more hands";
  if (other.hands == taken.hands && other.mass_kg && taken.mass_kg && *other.mass_kg > *taken.mass_kg)
    return fmt::format("weighs {} more", print_quantity(*other.mass_kg - *taken.mass_kg, Unit::kilogram, 2));
  if (other.hands == taken.hands && other.needs_supply && !taken.needs_supply) return "needs a supply";
  return fmt::format("loses {} more", difference_text(v, not_taken, taken_one));
}

std::string name_with_hands(const ArrangementResult& r) {
  const char* moved = "";
  if (r.trim == station::Trim::tap) moved = " (the tap is moved when the wire moves)";
  if (r.trim == station::Trim::trimmer) moved = " (the trimmer is turned when the wire moves)";
  if (r.trim == station::Trim::tap_and_trimmer) moved = " (set anew when the wire moves)";
  return r.name + moved;
}

const char* towards(Counted counted) {
  switch (counted) {
  case Counted::delivered:
    return "on the way into the antenna";
  case Counted::radiated:
    break;
  case Counted::path:
    return "towards the other station";
  }
  return "on the way to the far field";
}

std::string why_not(const Verdict& v, bool tuner) {
  const auto best = least(v, [&](const ArrangementResult& r) { return is_tuner(r) == tuner; });
  if (!best)
    return fmt::format("No {} is listed{}", tuner ? "tuner" : "fixed match",
                       v.group.antenna ? fmt::format(" on \"{}\"", v.station.antennas[*v.group.antenna].name) : "");
  return fmt::format("{}: {}", v.result(*best).name, v.result(*best).why);
}

/// True when, on some of the rows, `other` may be better than `taken` by more than can be heard; both have their own Q
/// and contacts. Where columns are given, only those of `taken` (`other`) count.
template <class Row, class Column>
bool flips(const Verdict& v, std::size_t taken, std::size_t other, const Row& row_counts, const Column& of_taken,
           const Column& of_other) {
  for (std::size_t row = 0; row < v.grid.rows.size(); ++row) {
    if (!row_counts(row)) continue;
    double worst_taken = -network::infinite, best_other = network::infinite;
    for (std::size_t column = 0; column < v.grid.columns.size(); ++column) {
      if (of_taken(column)) worst_taken = std::max(worst_taken, v.loss_db(taken, row, column));
      if (of_other(column) && v.holds(other, row, column))
        best_other = std::min(best_other, v.loss_db(other, row, column));
    }
    if (worst_taken > best_other + v.station.decision.audible_db) return true;
  }
  return false;
}

/// By how much more than can be heard `other` is better than `taken` at one value of one of the ranges, everything else
/// as stated; -infinity where it does not hold.
double ahead_db(const Verdict& v, std::size_t taken, std::size_t other, std::size_t range, std::size_t k) {
  const CornerTable::Line &t = v.line(taken, range), &o = v.line(other, range);
  return o.holds[k] != 0 ? t.counted_db[k] - o.counted_db[k] - v.station.decision.audible_db : -network::infinite;
}

/// Whether it is at all better there.
bool flips_along(const Verdict& v, std::size_t taken, std::size_t other, std::size_t range, std::size_t k) {
  return ahead_db(v, taken, other, range, k) > 0.0;
}

bool flips_along(const Verdict& v, std::size_t taken, std::size_t other) {
  for (std::size_t range = 0; range < v.along.size(); ++range) {
    for (std::size_t k = 0; k < v.along[range].value.size(); ++k) {
      if (flips_along(v, taken, other, range, k)) return true;
    }
  }
  return false;
}

bool flips(const Verdict& v, std::size_t taken, std::size_t other) {
  const auto every = [](std::size_t) { return true; };
  return flips(v, taken, other, every, every, every) || flips_along(v, taken, other);
}

/// Which answers a question has had.
struct Seen {
  bool yes = false, no = false;
  void add(bool answer) { (answer ? yes : no) = true; }
  void add(const Seen& more) { yes = yes || more.yes, no = no || more.no; }
};

/// Levels and values of an input that is uncertain.
const Levels& levels_of(const Verdict& v, Input input) {
  const auto here = [&](const Levels& l) { return l.input == input; };
  const auto common = std::find_if(v.grid.common.begin(), v.grid.common.end(), here);
  return common != v.grid.common.end() ? *common : *std::find_if(v.grid.own.begin(), v.grid.own.end(), here);
}

/// Of how many of an input's values the answer is sure: of its levels, two of one value once, or of all values along
/// its range. At a value between two levels the other inputs leave it open where they do at either; so may, at any
/// value, what lies along any other range: that was looked at with this input as stated, and nothing says that it would
/// be otherwise elsewhere.
///
/// @param at_level  (level): the answers in the grid of corners
/// @param along_at  (range, k): the answer at a value of a range
/// @param sure      (answers)
template <class AtLevel, class AlongAt, class Sure>
double sure_share(const Verdict& v, Input input, const AtLevel& at_level, const AlongAt& along_at, const Sure& sure) {
  constexpr std::size_t stated = 1;
  const std::array<double, 3>& level_value = levels_of(v, input).value;
  std::array<Seen, 3> at;
  for (int level = 0; level < 3; ++level) at[static_cast<std::size_t>(level)] = at_level(level);
  std::vector<std::size_t> levels{stated};  // one of each value
  for (const std::size_t end : {std::size_t{0}, std::size_t{2}}) {
    if (level_value[end] == level_value[stated]) {
      at[stated].add(at[end]);
      at[end] = at[stated];
    } else {
      levels.push_back(end);
    }
  }
  const Along* line = nullptr;
  std::size_t line_range = 0;
  for (std::size_t range = 0; range < v.along.size(); ++range) {
    if (v.along[range].input == input) {
      line = &v.along[range];
      line_range = range;
      continue;
    }
    for (std::size_t k = 0; k < v.along[range].value.size(); ++k) {
      for (Seen& seen : at) seen.add(along_at(range, k));
    }
  }
  const auto share = [&](const auto& seen_at, std::size_t count) {
    std::size_t sure_values = 0, values = 0;
    for (std::size_t k = 0; k < count; ++k) {
      if (line != nullptr && line->between[k] != 0) continue;  // looked at because something may flip: no fair sample
      ++values;
      if (sure(seen_at(k))) ++sure_values;
    }
    return static_cast<double>(sure_values) / static_cast<double>(values);
  };
  if (line == nullptr) return share([&](std::size_t n) { return at[levels[n]]; }, levels.size());
  return share(
      [&](std::size_t k) {
        std::size_t low = k, high = k;  // the levels at, or on both sides of, the value
        while (low > 0 && !line->level[low]) --low;
        while (high + 1 < line->level.size() && !line->level[high]) ++high;
        Seen seen;
        for (const std::size_t side : {low, high}) {
          if (!line->level[side]) continue;
          const Seen& there = at[static_cast<std::size_t>(*line->level[side])];
          if (low == high || !sure(there)) seen.add(there);
        }
        seen.add(along_at(line_range, k));
        return seen;
      },
      line->value.size());
}

std::string input_name(Input input, const std::string& arrangement) {
  switch (input) {
  case Input::ground:
    return "the antenna's feed resistance where you walk (its ground loss)";
  case Input::lengths:
    return "the lengths of whip and wire";
  case Input::temperature:
    return "how warm the coil gets";
  case Input::q:
    return fmt::format("the Q of the coils of \"{}\"", arrangement);
  case Input::hand:
    return "the resistance of hand and arm on the set";
  case Input::whip_q:
    return "the Q of the coil in the whip";
  case Input::contact:
    break;
  }
  return fmt::format("the resistance of the contacts of \"{}\"", arrangement);
}

using Measures = std::vector<Measure>;

Measures settled_first(Measures measures) {
  std::stable_sort(measures.begin(), measures.end(),
                   [](const Measure& a, const Measure& b) { return a.settles > b.settles; });
  return measures;
}

/// What would settle which of two is better: for each input, of how many of its values the order is sure.
Measures between(const Verdict& v, std::size_t taken, std::size_t other) {
  const auto every = [](std::size_t) { return true; };
  Measures measures;
  const auto add = [&](Input input, const std::string& name, const auto& flips_at) {
    const auto at_level = [&](int level) {
      Seen seen;
      seen.add(flips_at(level));
      return seen;
    };
    const auto along_at = [&](std::size_t range, std::size_t k) { return flips_along(v, taken, other, range, k); };
    const auto sure = [](const Seen& seen) { return !seen.yes; };
    measures.push_back({input_name(input, name), sure_share(v, input, at_level, along_at, sure)});
  };
  for (std::size_t n = 0; n < v.grid.common.size(); ++n) {
    add(v.grid.common[n].input, "", [&](int level) {
      const std::function<bool(std::size_t)> at = [&](std::size_t row) { return v.grid.rows[row][n] == level; };
      return flips(v, taken, other, at, every, every);
    });
  }
  for (std::size_t n = 0; n < v.grid.own.size(); ++n) {
    for (const std::size_t whose : {taken, other}) {
      add(v.grid.own[n].input, v.result(whose).name, [&](int level) {
        const std::function<bool(std::size_t)> at = [&](std::size_t column) {
          return v.grid.columns[column][n] == level;
        };
        const std::function<bool(std::size_t)> all = every;
        return flips(v, taken, other, every, whose == taken ? at : all, whose == other ? at : all);
      });
    }
  }
  return settled_first(std::move(measures));
}

/// What would settle whether one holds: for each input, of how many of its values it either always or never holds.
Measures whether_it_holds(const Verdict& v, std::size_t n) {
  Measures measures;
  const auto add = [&](Input input, const auto& counts) {
    const auto at_level = [&](int level) {
      Seen seen;
      for (std::size_t row = 0; row < v.grid.rows.size(); ++row) {
        for (std::size_t column = 0; column < v.grid.columns.size(); ++column) {
          if (counts(row, column, level)) seen.add(v.holds(n, row, column));
        }
      }
      return seen;
    };
    const auto along_at = [&](std::size_t range, std::size_t k) { return v.line(n, range).holds[k] != 0; };
    const auto sure = [](const Seen& seen) { return !(seen.yes && seen.no); };
    measures.push_back({input_name(input, v.result(n).name), sure_share(v, input, at_level, along_at, sure)});
  };
  for (std::size_t i = 0; i < v.grid.common.size(); ++i)
    add(v.grid.common[i].input, [&](std::size_t row, std::size_t, int level) { return v.grid.rows[row][i] == level; });
  for (std::size_t i = 0; i < v.grid.own.size(); ++i)
    add(v.grid.own[i].input,
        [&](std::size_t, std::size_t column, int level) { return v.grid.columns[column][i] == level; });
  return settled_first(std::move(measures));
}

/// Whether a short wire lies under some load of a band.
bool lies_on(const station::Station& station, const station::Band& band) {
  for (const station::Antenna& antenna : station.antennas) {
    for (const station::AntennaLoad& load : antenna.loads) {
      if (station::short_wire_lies(load, band.design_hz)) return true;
    }
  }
  return false;
}

/// A value of a range in words: "220 ohm of hand and arm", "1.7 times the stated loss in the ground", "whip and wires
/// 1.01 times as long".
std::string value_text(const Verdict& v, Input input, double value) {
  if (input == Input::ground) {
    const double lying = lying_ground(v.station.uncertainty, value);
    return lies_on(v.station, v.band.band) && lying != value
               ? fmt::format("{:.3g} times the stated loss in the ground ({:.3g} where a short wire lies)", value,
                             lying)
               : fmt::format("{:.3g} times the stated loss in the ground", value);
  }
  if (input == Input::lengths) return fmt::format("whip and wires {:.3g} times as long", value);
  std::optional<Range> ohm;
  bool one = true;
  for (const station::Antenna& antenna : v.station.antennas) {
    for (const station::AntennaLoad& load : antenna.loads) {
      if (!load.contact_ohm) continue;
      one = one && (!ohm || (ohm->low == load.contact_ohm->low && ohm->high == load.contact_ohm->high));
      ohm = load.contact_ohm;
    }
  }
  if (!ohm || !one) return fmt::format("{:.0f} % of the range of the hand's contact", 100.0 * value);
  return fmt::format("{} of hand and arm", print_quantity(ohm->low + value * (ohm->high - ohm->low), Unit::ohm, 3));
}

/// Where along a range something goes through zero, by straight lines between what was computed.
std::vector<double> crossings(const std::vector<double>& value, const std::vector<double>& height) {
  std::vector<double> all;
  for (std::size_t k = 0; k + 1 < value.size(); ++k) {
    const double a = height[k], b = height[k + 1];
    if ((a > 0.0) == (b > 0.0) || !std::isfinite(a) || !std::isfinite(b)) continue;
    all.push_back(value[k] + (value[k + 1] - value[k]) * a / (a - b));
  }
  return all;
}

/// Which of two is better below and above each crossing.
/// @param lead_db  by which the other must be better to be taken: more than nothing where no ear tells them apart as
/// stated
std::vector<std::string> better_below(const Verdict& v, std::size_t taken, std::size_t other, double lead_db) {
  std::vector<std::string> all;
  for (std::size_t n = 0; n < v.along.size(); ++n) {
    const std::vector<double>&t = v.line(taken, n).counted_db, &o = v.line(other, n).counted_db;
    std::vector<double> ahead;  // of the one taken
    for (std::size_t k = 0; k < t.size(); ++k) ahead.push_back(o[k] + lead_db - t[k]);
    const std::vector<double> at = crossings(v.along[n].value, ahead);
    if (at.empty()) continue;
    bool first = ahead.front() > 0.0;
    std::string text;
    for (const double value : at) {
      text += fmt::format("{}below about {} {}", text.empty() ? "" : ", ", value_text(v, v.along[n].input, value),
                          v.result(first ? taken : other).name);
      first = !first;
    }
    all.push_back(text + ", above it " + v.result(first ? taken : other).name);
  }
  return all;
}

/// Between which values one begins or ends to hold.
std::vector<std::string> holds_between(const Verdict& v, std::size_t n) {
  std::vector<std::string> all;
  for (std::size_t i = 0; i < v.along.size(); ++i) {
    const std::vector<char>& holds = v.line(n, i).holds;
    for (std::size_t k = 0; k + 1 < holds.size(); ++k) {
      if (holds[k] == holds[k + 1]) continue;
      const std::string last = value_text(v, v.along[i].input, v.along[i].value[k]),
                        next = value_text(v, v.along[i].input, v.along[i].value[k + 1]);
      const std::string& name = v.result(n).name;
      all.push_back(holds[k] != 0 ? fmt::format("up to {} {} holds, at {} no longer", last, name, next)
                                  : fmt::format("at {} {} does not hold, from {} on it does", last, name, next));
    }
  }
  return all;
}

std::string turns_text(const std::vector<std::string>& turns) {
  return turns.empty() ? "" : fmt::format("; {}", fmt::join(turns, "; "));
}

/// What settles most, and then the next; what settles nothing by itself only where nothing else does.
std::string measure_text(const Measures& measures) {
  std::vector<std::string> worth, all;
  for (const Measure& m : measures) {
    if (m.settles > 0.0 && worth.size() < 2) worth.push_back(m.what);
    all.push_back(m.what);
  }
  if (!worth.empty()) return fmt::format(". Measure {}", fmt::join(worth, ", then "));
  if (all.size() == 1) return ". Measure " + all.front();
  return all.empty() ? "" : fmt::format(". No single measurement settles it. Measure {}", fmt::join(all, ", and "));
}

/// What is taken, before anybody asks whether that is sure.
struct Pick {
  std::optional<std::size_t> taken;  ///< nothing: nothing holds
  bool sure = false;                 ///< it holds throughout
  double within_db = 0.0;            ///< what is no louder than this is as good
};

bool throughout(const ArrangementResult& r) { return r.ok && r.holds_throughout; }
bool as_stated(const ArrangementResult& r) { return r.ok; }
bool in_question(const Pick& pick, const ArrangementResult& r) { return pick.sure ? throughout(r) : as_stated(r); }

Pick pick(const Verdict& v) {
  Pick p;
  const auto sure = least(v, throughout), best = sure ? sure : least(v, as_stated);
  if (!best) return p;
  p.sure = sure.has_value();
  p.within_db = v.result(*best).counted_db + v.station.decision.audible_db;
  std::vector<std::size_t> same;
  for (const std::size_t n : v.group.arrangements) {
    if (in_question(p, v.result(n)) && v.result(n).counted_db <= p.within_db) same.push_back(n);
  }
  p.taken = simplest(v, std::move(same));
  return p;
}

/// What holds at every value that was looked at, and so what may stop to hold between.
Heights may_stop_to_hold(const std::vector<Judged>& judged) {
  return [&judged](std::size_t range) {
    std::vector<std::vector<double>> all;
    for (const Judged& j : judged) {
      if (std::all_of(j.corners.holds.begin(), j.corners.holds.end(), [](char holds) { return holds != 0; }))
        all.push_back(j.corners.along[range].excess);
    }
    return all;
  };
}

/// Of which others than what is taken somebody may hear between values that they are better.
Heights may_be_heard(const Verdict& v, std::size_t taken) {
  return [&v, taken](std::size_t range) {
    std::vector<std::vector<double>> all;
    for (const std::size_t n : v.group.arrangements) {
      if (n == taken || !throughout(v.result(n))) continue;
      all.emplace_back();
      for (std::size_t k = 0; k < v.along[range].value.size(); ++k)
        all.back().push_back(ahead_db(v, taken, n, range, k));
    }
    return all;
  };
}

/// The verdict where nothing holds, with the reasons of what is nearest to it on antennas that are compared.
void say_nothing_holds(const std::vector<Verdict>& all, BandResult& band) {
  band.choice = Choice::none;
  band.verdict = "nothing listed holds on this band";
  for (const Verdict& v : all) band.verdict += fmt::format(". {}. {}", why_not(v, true), why_not(v, false));
}

/// The verdict of what was judged to its end; something holds.
void say(const Verdict& v, const Pick& p, BandResult& band) {
  const double limit = v.station.transmitter.swr_limit, audible_db = v.station.decision.audible_db;
  const std::size_t taken = *p.taken;
  band.taken = taken;
  const ArrangementResult& t = v.result(taken);

  std::string text =
      fmt::format("it loses {} at worst {}", loss_text(t.counted_db, t.counted_range_db), towards(band.counted));
  const auto next =
      least(v, [&](const ArrangementResult& r) { return in_question(p, r) && r.counted_db > p.within_db; });
  if (next) text += fmt::format(", {} less than {}", difference_text(v, *next, taken), v.result(*next).name);
  std::vector<std::string> equal;
  for (const std::size_t n : v.group.arrangements) {
    const ArrangementResult& r = v.result(n);
    if (n != taken && in_question(p, r) && r.counted_db <= p.within_db)
      equal.push_back(fmt::format("{}, which {}", r.name, drawback(v, n, taken)));
  }
  if (!equal.empty()) text += fmt::format("; no ear tells it from {}", fmt::join(equal, ", nor from "));
  if (p.sure) {
    const auto tempting = least(v, [&](const ArrangementResult& r) {
      return r.ok && !r.holds_throughout && r.counted_db < t.counted_db - audible_db;
    });
    if (tempting)
      text += fmt::format("; {} would lose {} less, but {}", v.result(*tempting).name,
                          difference_text(v, taken, *tempting), not_throughout(v.result(*tempting), limit));
  }
  const auto other_kind = [&](const ArrangementResult& r) { return is_tuner(r) != is_tuner(t) && r.ok; };
  // A sentence of its own, behind all that is said of the one taken.
  const std::string others =
      !next && equal.empty() && !least(v, other_kind) ? ". " + why_not(v, !is_tuner(t)) : std::string();

  if (!p.sure) {
    band.choice = Choice::undecided;
    band.measures = whether_it_holds(v, taken);
    band.turns = holds_between(v, taken);
    band.verdict = fmt::format("undecided: {} holds only as stated: {}. {}: {}{}{}{}", name_with_hands(t), text, t.name,
                               not_throughout(t, limit), turns_text(band.turns), others, measure_text(band.measures));
    return;
  }
  std::optional<std::size_t> rival;
  for (const std::size_t n : v.group.arrangements) {
    const ArrangementResult& r = v.result(n);
    if (n == taken || !throughout(r)) continue;
    if (r.counted_db <= p.within_db ? !flips_along(v, taken, n) : !flips(v, taken, n)) continue;
    if (!rival || r.counted_db < v.result(*rival).counted_db) rival = n;
  }
  if (rival) {
    const bool equal_as_stated = v.result(*rival).counted_db <= p.within_db;
    band.choice = Choice::undecided;
    band.measures = between(v, taken, *rival);
    band.turns = better_below(v, taken, *rival, equal_as_stated ? audible_db : 0.0);
    const std::string as_stated_text =
        equal_as_stated ? fmt::format("as stated no ear tells them apart and {} {}, but with what is not known well "
                                      "enough {} can be heard to be better",
                                      v.result(*rival).name, drawback(v, *rival, taken), v.result(*rival).name)
                        : fmt::format("as stated {} is better by {}, but what is not known well enough can turn that "
                                      "round",
                                      t.name, difference_text(v, *rival, taken));
    band.verdict = fmt::format("undecided between {} and {}: {}{}{}", t.name, v.result(*rival).name, as_stated_text,
                               turns_text(band.turns), measure_text(band.measures));
    return;
  }
  band.choice = is_tuner(t) ? Choice::tuner : Choice::fixed;
  band.verdict = fmt::format("take {}: {}{}", name_with_hands(t), text, others);
}

/// Of an antenna whether it is known on a band where its power goes, in every condition.
bool shares_known(const station::Antenna& antenna, const station::Band& band) {
  return std::all_of(antenna.loads.begin(), antenna.loads.end(), [&](const station::AntennaLoad& l) {
    return load::load_shares(l.load, band.design_hz).has_value();
  });
}

/// What to take on each of several antennas of which nobody knows which is the stronger.
void say_apart(const std::vector<Verdict>& all, const std::vector<Pick>& picks, BandResult& band) {
  band.choice = Choice::undecided;
  const std::string which = "which antenna is the stronger at the other end";
  std::vector<std::string> unknown;  // an antenna whose power is known is judged by what goes into it all the same
  for (const station::Antenna& antenna : all.front().station.antennas) {
    if (!shares_known(antenna, band.band)) unknown.push_back(fmt::format("\"{}\"", antenna.name));
  }
  std::vector<std::string> said;
  Measures measures;
  std::optional<std::size_t> first;
  double decided = 0.0;
  for (std::size_t n = 0; n < all.size(); ++n) {
    if (!picks[n].taken) continue;
    if (!first || (picks[n].sure && !picks[*first].sure)) first = n;
    band.apart.push_back(*picks[n].taken);
    BandResult one;
    one.band = band.band;
    one.counted = band.counted;
    say(all[n], picks[n], one);
    said.push_back(
        fmt::format("Of those on \"{}\" {}", all[n].station.antennas[*all[n].group.antenna].name, one.verdict));
    decided += one.choice != Choice::undecided;
    measures.insert(measures.end(), one.measures.begin(), one.measures.end());
    band.turns.insert(band.turns.end(), one.turns.begin(), one.turns.end());
  }
  band.taken = picks[*first].taken;
  // Each antenna may turn out to be the stronger; then its own verdict is left.
  measures.push_back({which, decided / static_cast<double>(said.size())});
  band.measures = settled_first(std::move(measures));
  band.verdict = fmt::format("undecided between antennas: where the power of {} goes is not known, and power into one "
                             "antenna says nothing against power into another. {}. Measure {}",
                             fmt::join(unknown, " and "), fmt::join(said, ". "), which);
}

void set_differences(const Verdict& v, const Pick& p, std::vector<Judged>& judged) {
  const std::size_t best = *least(v, [](const ArrangementResult&) { return true; });
  for (const std::size_t n : v.group.arrangements) {
    judged[n].result.against_best = difference(v, n, best);
    if (p.taken) judged[n].result.against_taken = difference(v, n, *p.taken);
  }
}

}  // namespace

void decide(const station::Station& station, const CornerGrid& grid, std::vector<Along> along,
            std::vector<Judged> judged, BandResult& band) {
  look_between(station, along, judged, may_stop_to_hold(judged));
  for (Judged& j : judged) sum_up(j);
  std::vector<Verdict> all;
  for (Comparable& group : comparable_groups(station, band.counted))
    all.push_back({station, grid, along, judged, band, std::move(group)});
  const auto pick_each = [&] {
    std::vector<Pick> picks;
    for (const Verdict& v : all) picks.push_back(pick(v));
    return picks;
  };
  std::vector<Pick> picks = pick_each();
  // What is looked at for a flip may show that something does not hold; then another is taken, and has rivals of its
  // own.
  for (std::size_t n = 0; n < judged.size(); ++n) {
    bool looked = false;
    for (std::size_t k = 0; k < all.size(); ++k) {
      if (picks[k].sure) looked |= look_between(station, along, judged, may_be_heard(all[k], *picks[k].taken));
    }
    if (!looked) break;
    for (Judged& j : judged) sum_up(j);
    const std::vector<Pick> before = std::exchange(picks, pick_each());
    const auto same = [](const Pick& a, const Pick& b) { return a.taken == b.taken; };
    if (std::equal(picks.begin(), picks.end(), before.begin(), same)) break;
  }
  for (Judged& j : judged) widen_between_tries(j);
  const auto holds = [](const Pick& p) { return p.taken.has_value(); };
  const auto some = std::count_if(picks.begin(), picks.end(), holds);
  const auto first = static_cast<std::size_t>(std::find_if(picks.begin(), picks.end(), holds) - picks.begin());
  if (some > 1)
    say_apart(all, picks, band);
  else if (some == 1)
    say(all[first], picks[first], band);
  else
    say_nothing_holds(all, band);
  for (std::size_t k = 0; k < all.size(); ++k) set_differences(all[k], picks[k], judged);
  for (Judged& j : judged) band.arrangements.push_back(std::move(j.result));
}

}  // namespace stile::plan::detail

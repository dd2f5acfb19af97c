#include <stile/plan/detail/judge.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

#include <stile/network/one_port.hpp>
#include <stile/plan/detail/at_design.hpp>
#include <stile/plan/detail/hand.hpp>
#include <stile/plan/detail/own_walk.hpp>

namespace stile::plan::detail {
namespace {

constexpr double same_db = 1e-6;  // a compromise makes two conditions equally bad: of these the first is the worst

/// The worst of an arrangement in a condition over some frequencies.
struct Worst {
  double loss_db = 0.0, counted_db = -network::infinite, swr = 0.0, load_voltage_v_peak = 0.0;
  std::optional<double> radiated_db = -network::infinite,
                        path_db = -network::infinite;  ///< nothing: a share is not known
  std::vector<network::Overload> overloads;
  std::optional<AtDesign> at_design{};  ///< where the design frequency is among them

  void take(const Case& of, const LoadPoint& point, const Corner& corner, const network::Ladder& ladder,
            const network::Evaluation& e) {
    const station::Transmitter& transmitter = of.station.transmitter;
    loss_db = std::max(loss_db, counted_loss_db(transmitter, e, 1.0));
    const double here_db = counted_loss_db(transmitter, e, counted_share(point, of.counted, corner));
    counted_db = std::max(counted_db, here_db);
    take_known(radiated_db, of.counted == Counted::radiated, here_db, point.shares.has_value(),
               [&] { return counted_loss_db(transmitter, e, counted_share(point, Counted::radiated, corner)); });
    take_known(path_db, of.counted == Counted::path, here_db, point.path_gain.has_value(),
               [&] { return counted_loss_db(transmitter, e, counted_share(point, Counted::path, corner)); });
    swr = std::max(swr, std::isnan(e.swr) ? network::infinite : e.swr);  // beyond the range of doubles
    load_voltage_v_peak = std::max(load_voltage_v_peak, network::load_voltage_v_peak(e));
    take_overloads(stile::network::overloads(ladder, e));
  }
  void take_overloads(std::vector<network::Overload> over) {
    if (!over.empty() && (overloads.empty() || over.front().factor > overloads.front().factor))
      overloads = std::move(over);
  }
  bool holds(double swr_limit) const { return swr <= swr_limit && overloads.empty() && std::isfinite(loss_db); }
  double excess(double swr_limit) const {
    if (!std::isfinite(loss_db)) return network::infinite;
    return std::max(swr / swr_limit, overloads.empty() ? 0.0 : overloads.front().factor) - 1.0;
  }

private:
  template <class Other>
  static void take_known(std::optional<double>& worst_db, bool counts, double here_db, bool known,
                         const Other& other_db) {
    if (!known) worst_db.reset();
    if (worst_db) worst_db = std::max(*worst_db, counts ? here_db : other_db());
  }
};

/// Over the part in use of a condition's loads, as set in a condition.
/// @param few  only at the frequencies at which settings are searched
Worst worst_at(const Case& of, const Settings& settings, std::size_t set_in, std::size_t condition,
               const Corner& corner, bool few = false) {
  Worst worst;
  const auto ladder_at = settings.at(set_in, corner);
  const std::vector<double> searched_hz = searched_frequencies(of.band);
  for (const LoadPoint& middle : of.loads[condition]) {
    if (!in_use(of.band, middle.frequency_hz)) continue;
    if (few && !std::binary_search(searched_hz.begin(), searched_hz.end(), middle.frequency_hz)) continue;
    const LoadPoint point = at_corner(middle, corner);
    const cdouble z = corner_impedance(point, corner);
    network::Ladder ladder = ladder_at(point.frequency_hz, z);
    network::Evaluation e = evaluate_offered(of.station.transmitter, ladder, point.frequency_hz, z);
    worst.take(of, point, corner, ladder, e);
    if (middle.frequency_hz == of.band.design_hz)
      worst.at_design = AtDesign{std::move(ladder), std::move(e), corner_shares(point, corner)};
  }
  return worst;
}

/// What an arrangement does somewhere in a condition, as far as its ranges go.
void take(ConditionResult& result, const station::Transmitter& transmitter, Worst worst) {
  if (worst.at_design) widen_at_design(result, transmitter, *worst.at_design);
  widen(result.loss_range_db, worst.loss_db);
  widen(result.counted_range_db, worst.counted_db);
  if (result.radiated_range_db && worst.radiated_db) widen(*result.radiated_range_db, *worst.radiated_db);
  if (result.path_range_db && worst.path_db) widen(*result.path_range_db, *worst.path_db);
  widen(result.swr_range, worst.swr);
  result.load_voltage_high_v_peak = std::max(result.load_voltage_high_v_peak, worst.load_voltage_v_peak);
  if (!worst.overloads.empty() &&
      (result.overloads_high.empty() || worst.overloads.front().factor > result.overloads_high.front().factor))
    result.overloads_high = std::move(worst.overloads);
}

/// The same into one place of a line, of all normal conditions.
void take(CornerTable::Line& line, std::size_t k, const Worst& worst, double swr_limit) {
  line.counted_db[k] = std::max(line.counted_db[k], worst.counted_db);
  line.excess[k] = std::max(line.excess[k], worst.excess(swr_limit));
  if (!worst.holds(swr_limit)) line.holds[k] = char{0};
}

/// Where uncertain inputs may lie.
struct Uncertain {
  const CornerGrid& grid;
  const std::vector<Corner>& drawn;
  const std::vector<Along>& along;
};

/// What uncertain inputs leave open. `result` has the figures as stated, which are the first corner.
void judge_corners(const Case& of, const Settings& settings, std::size_t n, const Uncertain& where,
                   ConditionResult& result, CornerTable& table) {
  const CornerGrid& grid = where.grid;
  const double limit = of.station.transmitter.swr_limit, full_w = of.station.transmitter.source.power_w;
  const auto at = [&](const std::optional<double>& power_w) {
    return power_w ? std::optional(Range{db_below(full_w, *power_w), db_below(full_w, *power_w)}) : std::nullopt;
  };
  result.loss_range_db = {result.worst_loss_db, result.worst_loss_db};
  result.counted_range_db = {result.counted_db, result.counted_db};
  result.radiated_range_db = at(result.radiated_w);
  result.path_range_db = at(result.path_w);
  result.swr_range = {result.worst_swr, result.worst_swr};
  result.load_voltage_high_v_peak = result.load_voltage_v_peak;
  result.overloads_high = result.overloads;
  const bool decides = result.role == station::Role::normal;
  for (std::size_t k = 0; k < grid.size(); ++k) {
    Worst worst;
    if (k == 0) {
      worst.loss_db = result.worst_loss_db, worst.counted_db = result.counted_db, worst.swr = result.worst_swr;
      worst.load_voltage_v_peak = result.load_voltage_v_peak, worst.overloads = result.overloads;
      worst.radiated_db = worst.path_db = std::nullopt;  // their ranges begin with these
    } else {
      worst = worst_at(of, settings, n, n, grid.at(k / grid.columns.size(), k % grid.columns.size()));
    }
    if (decides) {
      table.counted_db[k] = std::max(table.counted_db[k], worst.counted_db);
      if (!worst.holds(limit)) table.holds[k] = char{0};
    }
    take(result, of.station.transmitter, std::move(worst));
  }
  for (std::size_t r = 0; decides && r < where.along.size(); ++r) {
    for (std::size_t k = 0; k < where.along[r].corners.size(); ++k) {
      Worst worst = worst_at(of, settings, n, n, where.along[r].corners[k], true);
      take(table.along[r], k, worst, limit);
      take(result, of.station.transmitter, std::move(worst));
    }
  }
  for (std::size_t k = 0; k < where.drawn.size(); ++k) {
    Worst worst = worst_at(of, settings, n, n, where.drawn[k], true);
    if (decides) table.drawn_db[k] = std::max(table.drawn_db[k], worst.counted_db);
    take(result, of.station.transmitter, std::move(worst));
  }
}

ConditionResult judge_condition(const Case& of, const Settings& settings, std::size_t n, const Uncertain& where,
                                CornerTable& table) {
  ConditionResult result;
  result.condition = of.station.conditions[n].name;
  result.role = of.station.conditions[n].role;
  if (!settings.possible()) {
    const auto never = [](auto& some) {
      std::fill(some.counted_db.begin(), some.counted_db.end(), network::infinite);
      std::fill(some.holds.begin(), some.holds.end(), char{0});
    };
    never(table);
    std::fill(table.drawn_db.begin(), table.drawn_db.end(), network::infinite);
    for (CornerTable::Line& line : table.along) {
      never(line);
      std::fill(line.excess.begin(), line.excess.end(), network::infinite);
    }
    return result;
  }
  result.possible = true;
  result.setting = settings.setting(n);
  const station::Transmitter& transmitter = of.station.transmitter;
  const auto ladder_at = settings.at(n, {});
  Worst worst;
  result.radiated_w = result.path_w = network::infinite;  // nothing as soon as a share or gain is not known
  const auto least = [](std::optional<double>& so_far, double delivered_w, const std::optional<double>& factor) {
    so_far = so_far && factor ? std::optional(std::min(*so_far, delivered_w * *factor)) : std::nullopt;
  };
  for (const LoadPoint& point : of.loads[n]) {
    const double f = point.frequency_hz;
    const network::Ladder ladder = ladder_at(f, point.z_ohm);
    const network::Evaluation e = evaluate_offered(transmitter, ladder, f, point.z_ohm);
    result.frequency_hz.push_back(f);
    result.swr_along_band.push_back(e.swr);
    if (in_use(of.band, f)) {
      worst.take(of, point, {}, ladder, e);
      least(result.radiated_w, e.power.delivered_w,
            point.shares ? std::optional(point.shares->radiated) : std::nullopt);
      least(result.path_w, e.power.delivered_w, point.path_gain);
    }
    if (f == of.band.design_hz) {
      state_at_design(result, transmitter, {ladder, e, point.shares});
    }
  }
  const network::Evaluation& e = result.evaluation;
  if (station::describe_kind(of.arrangement.kind).automatic) {
    for (const network::Element& element : result.ladder.elements) {
      if (element.place != network::Place::cascade) result.setting.elements.push_back(element);
    }
  }
  result.offered_w = e.power.available_w;
  result.swr = e.swr;
  result.loss_db = counted_loss_db(transmitter, e, 1.0);
  result.worst_swr = worst.swr;
  result.worst_loss_db = worst.loss_db;
  result.counted_db = worst.counted_db;
  result.load_voltage_v_peak = worst.load_voltage_v_peak;
  result.overloads = std::move(worst.overloads);
  result.bandwidth =
      match::swr_bandwidth(result.ladder, transmitter.source, station::load_of(of.station, of.arrangement, n),
                           of.band.design_hz, transmitter.swr_limit);
  judge_corners(of, settings, n, where, result, table);
  return result;
}

std::string accident_text(const Case& of, const ConditionResult& c) {
  const double full_w = of.station.transmitter.source.power_w;
  std::string text = fmt::format("in the accident \"{}\" SWR {}, {} at the antenna's terminals", c.condition,
                                 swr_text(c.worst_swr), print_quantity(c.load_voltage_high_v_peak, Unit::volt, 3));
  text += c.offered_w < full_w
              ? fmt::format(", the transmitter falls back to {} of {}", print_quantity(c.offered_w, Unit::watt, 3),
                            print_quantity(full_w, Unit::watt, 3))
              : ", the transmitter goes on with its full power";
  if (!c.overloads_high.empty()) text += "; may break: " + c.overloads_high.front().what;
  return text;
}

int hands_of(const station::Arrangement& a) {
  if (!a.settings.empty())
    return std::any_of(a.settings.begin(), a.settings.end(),
                       [](const station::StatedSetting& s) { return !s.condition.empty(); });
  return moves_tap(a) + moves_trimmer(a);
}

std::optional<double> mass_of(const Case& of) {
  const station::Antenna& antenna = of.station.antennas[of.arrangement.antenna];
  const std::vector<station::Antenna>& all = of.station.antennas;
  const auto stated = std::count_if(all.begin(), all.end(), [](const station::Antenna& a) { return a.stated; });
  if (!of.arrangement.mass_kg || (!antenna.mass_kg && stated > 1)) return {};
  return *of.arrangement.mass_kg + antenna.mass_kg.value_or(0.0);
}

/// Which setting holds in which condition.
std::vector<std::vector<char>> what_holds(const Case& of, const Settings& settings, const ArrangementResult& result) {
  const std::size_t conditions = result.conditions.size();
  const bool one = station::describe_kind(of.arrangement.kind).automatic || hands_of(of.arrangement) == 0;
  std::vector<std::vector<char>> holds;
  for (std::size_t s = 0; s < (one ? 1 : conditions); ++s) {
    holds.emplace_back();
    for (std::size_t n = 0; n < conditions; ++n)
      holds.back().push_back(
          worst_at(of, settings, one ? n : s, n, {}).holds(of.station.transmitter.swr_limit) ? char{1} : char{0});
  }
  return holds;
}

/// How long what is set, or sets itself, holds, and how often a hand is needed.
void set_touches(const Case& of, const Settings& settings, ArrangementResult& result) {
  const std::vector<station::Condition>& conditions = of.station.conditions;
  const auto shared = [](const station::Condition& c) { return c.share.has_value(); };
  if (!settings.possible() || std::none_of(conditions.begin(), conditions.end(), shared)) return;
  std::vector<std::vector<char>> holds = what_holds(of, settings, result);
  const std::optional<Touches> t = touches(conditions, holds);
  if (!t) return;
  result.untouched = t->untouched;
  result.resets_per_hour = t->resets_per_hour;
  if (!station::describe_kind(of.arrangement.kind).automatic) return;
  for (std::size_t n = 0; n < conditions.size(); ++n) {
    if (conditions[n].role == station::Role::accident || holds.front()[n] == 0) continue;
    const network::Evaluation& e = result.conditions[n].evaluation;
    const OwnWalk own = own_walk(of.station.transmitter, of.arrangement, e.frequency_hz, e.z_load_ohm);
    holds.front()[n] = own.serves(of.station.transmitter.swr_limit) ? char{1} : char{0};
  }
  result.untouched_by_itself = touches(conditions, holds)->untouched;
}

}  // namespace

network::Evaluation evaluate_offered(const station::Transmitter& transmitter, const network::Ladder& ladder,
                                     double frequency_hz, cdouble z_load_ohm) {
  network::Evaluation full = network::evaluate(ladder, transmitter.source, frequency_hz, z_load_ohm);
  network::Source held = transmitter.source;
  held.power_w = station::power_at_swr(transmitter, full.swr);
  if (held.power_w == transmitter.source.power_w) return full;
  return network::evaluate(ladder, held, frequency_hz, z_load_ohm);
}

std::string loss_text(double loss_db) {
  return std::isfinite(loss_db) ? fmt::format("{:.1f} dB ({:.1f} S units)", loss_db, s_units(loss_db)) : "everything";
}

std::string loss_text(double loss_db, const Range& range_db) {
  const auto shown = [](double db) {
    const double rounded = std::abs(db) < 0.05 ? 0.0 : db;  // no "-0.0"
    return std::isfinite(db) ? fmt::format("{:.1f}", rounded) : std::string(db < 0.0 ? "-everything" : "everything");
  };
  const std::string low = shown(range_db.low), high = shown(range_db.high);
  if (!std::isfinite(loss_db) || low == high) return loss_text(loss_db);
  return fmt::format("{:.1f} dB ({:.1f} S units; {} to {}{})", loss_db, s_units(loss_db), low, high,
                     std::isfinite(range_db.high) ? " dB" : "");
}

std::string swr_text(double swr) { return swr < 100.0 ? fmt::format("{:.3g}", swr) : "over 100"; }

std::string not_throughout(const ArrangementResult& result, double swr_limit) {
  const ConditionResult *over = nullptr, *broken = nullptr;
  for (const ConditionResult& c : result.conditions) {
    if (c.role == station::Role::accident) continue;
    if (c.swr_range.high > swr_limit && (over == nullptr || c.swr_range.high > over->swr_range.high)) over = &c;
    if (!c.overloads_high.empty() &&
        (broken == nullptr || c.overloads_high.front().factor > broken->overloads_high.front().factor))
      broken = &c;
  }
  if (over != nullptr)
    return fmt::format("with inputs off as far as stated, SWR {} in \"{}\"", swr_text(over->swr_range.high),
                       over->condition);
  if (broken != nullptr)
    return fmt::format("with inputs off as far as stated, a rating is broken in \"{}\": {}", broken->condition,
                       broken->overloads_high.front().what);
  return "";
}

std::optional<Touches> touches(const std::vector<station::Condition>& conditions,
                               const std::vector<std::vector<char>>& holds) {
  double time = 0.0, comings = 0.0;
  bool stays_known = true;
  std::vector<double> per_hour(conditions.size(), 0.0);
  for (const station::Condition& c : conditions) time += c.share.value_or(0.0);
  if (!(time > 0.0)) return {};
  for (std::size_t n = 0; n < conditions.size(); ++n) {
    if (!conditions[n].share) continue;
    stays_known = stays_known && (conditions[n].lasts_s || *conditions[n].share == 0.0);
    per_hour[n] = conditions[n].lasts_s ? 3600.0 * *conditions[n].share / time / *conditions[n].lasts_s : 0.0;
    comings += per_hour[n];
  }
  Touches t;
  bool one_for_all = false;
  for (const std::vector<char>& setting : holds) {
    double share = 0.0;
    bool all = true;
    for (std::size_t n = 0; n < conditions.size(); ++n) {
      if (!conditions[n].share) continue;
      share += setting[n] ? *conditions[n].share / time : 0.0;
      all = all && (setting[n] || conditions[n].role == station::Role::accident);
    }
    t.untouched = std::max(t.untouched, share);
    one_for_all = one_for_all || all;
  }
  if (!stays_known) return t;
  t.resets_per_hour = 0.0;
  if (one_for_all || holds.size() == 1) return t;  // none is needed, or none helps
  for (std::size_t to = 0; to < conditions.size(); ++to) {
    for (std::size_t from = 0; from < conditions.size(); ++from) {
      if (from == to || holds[from][to] || conditions[to].role == station::Role::accident) continue;
      if (comings > per_hour[to]) *t.resets_per_hour += per_hour[to] * per_hour[from] / (comings - per_hour[to]);
    }
  }
  return t;
}

void sum_up(Judged& judged) {
  const Case& of = judged.settings->of();
  ArrangementResult& result = judged.result;
  result.ok = result.holds_throughout = false;
  result.accidents.clear();
  if (!judged.settings->possible()) {
    result.worst_swr = result.counted_db = network::infinite;
    result.counted_range_db = result.swr_range = {network::infinite, network::infinite};
    result.why = station::describe_kind(of.arrangement.kind).cannot_be;
    return;
  }
  const double limit = of.station.transmitter.swr_limit;
  const ConditionResult* worst_swr = nullptr;
  const ConditionResult* broken = nullptr;
  const ConditionResult* lost = nullptr;
  bool first = true;
  result.worst = 0;
  result.radiated_w = result.path_w = network::infinite;
  result.radiated_range_db = result.path_range_db = Range{-network::infinite, -network::infinite};
  const auto least = [](std::optional<double>& so_far, const std::optional<double>& of_condition) {
    so_far = so_far && of_condition ? std::optional(std::min(*so_far, *of_condition)) : std::nullopt;
  };
  const auto greatest = [](const Range& a, const Range& b) {
    return Range{std::max(a.low, b.low), std::max(a.high, b.high)};
  };
  const auto greatest_known = [&](std::optional<Range>& so_far, const std::optional<Range>& of_condition) {
    so_far = so_far && of_condition ? std::optional(greatest(*so_far, *of_condition)) : std::nullopt;
  };
  for (std::size_t n = 0; n < result.conditions.size(); ++n) {
    const ConditionResult& c = result.conditions[n];
    if (c.role == station::Role::accident) {
      if (c.possible) result.accidents.push_back(accident_text(of, c));
      continue;
    }
    if (worst_swr == nullptr || c.worst_swr > worst_swr->worst_swr) worst_swr = &c;
    if (!c.overloads.empty() && (broken == nullptr || c.overloads.front().factor > broken->overloads.front().factor))
      broken = &c;
    if (!std::isfinite(c.worst_loss_db)) lost = &c;
    if (first || c.counted_db > result.conditions[result.worst].counted_db + same_db) result.worst = n;
    result.counted_db = first ? c.counted_db : std::max(result.counted_db, c.counted_db);
    result.counted_range_db = first ? c.counted_range_db : greatest(result.counted_range_db, c.counted_range_db);
    result.swr_range = first ? c.swr_range : greatest(result.swr_range, c.swr_range);
    greatest_known(result.radiated_range_db, c.radiated_range_db);
    greatest_known(result.path_range_db, c.path_range_db);
    least(result.radiated_w, c.radiated_w);
    least(result.path_w, c.path_w);
    first = false;
  }
  result.worst_swr = worst_swr->worst_swr;
  const double full_w = of.station.transmitter.source.power_w;
  if (result.radiated_w) result.radiated_db = db_below(full_w, *result.radiated_w);
  if (result.path_w) result.path_db = db_below(full_w, *result.path_w);
  if (result.worst_swr > limit) {
    result.why = fmt::format("SWR {} in \"{}\" is over the limit {:.3g}", swr_text(result.worst_swr),
                             worst_swr->condition, limit);
  } else if (lost != nullptr) {
    result.why = fmt::format("nothing reaches the antenna in \"{}\"", lost->condition);
  } else if (broken != nullptr) {
    result.why = fmt::format("a rating is broken in \"{}\": {}", broken->condition, broken->overloads.front().what);
  } else {
    result.ok = true;
    result.why = fmt::format("SWR at most {}, loss at most {} in every condition", swr_text(result.worst_swr),
                             loss_text(result.counted_db));
    const std::string open = not_throughout(result, limit);
    result.holds_throughout = open.empty();
    if (!open.empty()) result.why += "; but " + open;
  }
}

bool is_set_anew(const station::Arrangement& arrangement) {
  return station::describe_kind(arrangement.kind).automatic || arrangement.trim != station::Trim::once;
}

double between_tries(const Range& range) {
  constexpr double share = 0.08;  // test_uncertainty.cpp shows that it does
  const double width = share * (range.high - range.low);
  return std::isfinite(width) ? width : 0.0;
}

void widen_between_tries(Judged& judged) {
  if (!judged.settings->possible()) return;
  const Case& of = judged.settings->of();
  const double full_w = of.station.transmitter.source.power_w;
  const bool anew = is_set_anew(of.arrangement);
  const auto widened = [](const Range& range) {
    const double step = between_tries(range);
    return Range{range.low - step, range.high + step};
  };
  const auto widened_size = [&](const Range& range) {
    const Range wide = widened(range);
    return Range{std::max(0.0, wide.low), wide.high};
  };
  for (ConditionResult& c : judged.result.conditions) {
    if (anew) {
      c.loss_range_db = widened_size(c.loss_range_db);
      c.counted_range_db = widened(c.counted_range_db);
      if (c.radiated_range_db) c.radiated_range_db = widened(*c.radiated_range_db);
      if (c.path_range_db) c.path_range_db = widened(*c.path_range_db);
    }
    for (BudgetItem& item : c.budget) {
      item.range_w = widened_size(item.range_w);
      item.range_w.high = std::min(item.range_w.high, full_w);
      if (item.spent == Spent::radiated && c.radiated_range_db) {  // in decibels a low end is nearer
        const double high_db = anew ? c.radiated_range_db->high : widened(*c.radiated_range_db).high;
        item.range_w.low = std::max(item.range_w.low, full_w * std::pow(10.0, -0.1 * high_db));
      }
    }
    for (StressRange& stress : c.stress_ranges) {
      for (Range* range : {&stress.voltage_v_peak, &stress.current_a_rms, &stress.dissipation_w})
        *range = widened_size(*range);
    }
  }
  if (anew) sum_up(judged);
}

Judged judge(const Case& of, const CornerGrid& grid, const std::vector<Corner>& drawn,
             const std::vector<Along>& along) {
  const station::KindDescription& kind = station::describe_kind(of.arrangement.kind);
  Judged judged;
  ArrangementResult& result = judged.result;
  result.name = of.arrangement.name;
  result.antenna = of.station.antennas[of.arrangement.antenna].name;
  result.kind = of.arrangement.kind;
  result.trim = of.arrangement.trim;
  result.hands = hands_of(of.arrangement);
  result.mass_kg = mass_of(of);
  result.needs_supply = kind.automatic;
  judged.corners = {std::vector<double>(grid.size(), -network::infinite),
                    std::vector<char>(grid.size(), char{1}),
                    std::vector<double>(drawn.size(), -network::infinite),
                    {}};
  for (const Along& range : along) {
    const std::vector<double> nothing(range.value.size(), -network::infinite);
    judged.corners.along.push_back({nothing, nothing, std::vector<char>(range.value.size(), char{1})});
  }
  const auto settings = std::make_shared<Settings>(of);
  judged.settings = settings;
  result.proof = settings->proof();
  for (std::size_t n = 0; n < of.station.conditions.size(); ++n)
    result.conditions.push_back(judge_condition(of, *settings, n, {grid, drawn, along}, judged.corners));
  set_touches(of, *settings, result);
  settings->forget();
  return judged;
}

void look_along(Judged& judged, std::size_t range, std::size_t k, const Corner& corner) {
  const Case& of = judged.settings->of();
  CornerTable::Line& line = judged.corners.along[range];
  const bool possible = judged.settings->possible();
  const auto here = static_cast<std::ptrdiff_t>(k);
  const double nothing = possible ? -network::infinite : network::infinite;
  line.counted_db.insert(line.counted_db.begin() + here, nothing);
  line.excess.insert(line.excess.begin() + here, nothing);
  line.holds.insert(line.holds.begin() + here, possible ? char{1} : char{0});
  for (std::size_t n = 0; possible && n < judged.result.conditions.size(); ++n) {
    if (judged.result.conditions[n].role == station::Role::accident) continue;
    Worst worst = worst_at(of, *judged.settings, n, n, corner, true);
    take(line, k, worst, of.station.transmitter.swr_limit);
    take(judged.result.conditions[n], of.station.transmitter, std::move(worst));
  }
}

}  // namespace stile::plan::detail

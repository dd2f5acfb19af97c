#include <stile/plan/plan.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <mutex>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/base/parallel.hpp>
#include <stile/network/one_port.hpp>
#include <stile/plan/detail/arrange.hpp>
#include <stile/plan/detail/switched_coil.hpp>
#include <stile/plan/exposure.hpp>

namespace stile::plan {
namespace {

constexpr int points_along_band = 41;

/// Evenly along the band, with the ends of the part in use and the design frequency.
std::vector<double> frequencies(const station::Band& band) {
  std::vector<double> all{band.design_hz, band.use_low_hz, band.use_high_hz, band.high_hz};
  for (int n = 0; n + 1 < points_along_band; ++n) {
    all.push_back(band.low_hz + (band.high_hz - band.low_hz) * n / (points_along_band - 1));
  }
  std::sort(all.begin(), all.end());
  all.erase(std::unique(all.begin(), all.end()), all.end());
  return all;
}

/// An arrangement on a band: gives its ladder for any condition (by its index), corner, frequency and load.
class Setting {
public:
  /// @param taps  of the coil of an arrangement with a switched one, otherwise nothing
  Setting(const station::Station& station, const station::Arrangement& arrangement, const station::Band& band,
          const detail::CoilTaps* taps)
      : station_(station), arrangement_(arrangement), band_(band) {
    if (station::describe_kind(arrangement.kind).automatic) return;
    if (taps != nullptr) coil_.emplace(arrangement, *taps, band);
    if (!by_hand()) {
      fixed_.assign(station.conditions.size(), set(arrangement, {}));
      return;
    }
    for (std::size_t n = 0; n < station.conditions.size(); ++n) fixed_.push_back(set_in(n, {}));
  }

  bool possible(std::size_t condition) const {
    return station::describe_kind(arrangement_.kind).automatic || fixed_[condition].has_value();
  }

  /// What stands there in a condition when Q and ground are those of a corner: a function of frequency and load. A
  /// tuner, and a hand that trims, set themselves anew; fixed parts only change their Q.
  std::function<network::Ladder(double, cdouble)> at(std::size_t condition, const detail::Corner& corner) const {
    if (station::describe_kind(arrangement_.kind).automatic) {
      station::Arrangement with_corner = arrangement_;
      with_corner.tuner = detail::corner_tuner(arrangement_.tuner, corner);
      return [with_corner, &t = station_.transmitter](double frequency_hz, cdouble z_load_ohm) {
        const tuner::TunerTable table = tuner::tabulate(with_corner.tuner, frequency_hz);
        return detail::whole_ladder(with_corner,
                                    detail::set_tuner(with_corner, table, t.source, t.swr_limit, z_load_ohm));
      };
    }
    const bool as_stated = corner.q == 1.0 && corner.ground == 1.0;
    const auto trimmed = by_hand() && !as_stated ? set_in(condition, corner) : std::nullopt;
    const Fixed& fixed = trimmed ? *trimmed : *fixed_[condition];
    if (fixed.coil) {
      return [this, setting = *fixed.coil, q = corner.q](double frequency_hz, cdouble) {
        return detail::whole_ladder(arrangement_, coil_->elements(setting, frequency_hz, q));
      };
    }
    return [ladder = trimmed ? trimmed->ladder : detail::corner_ladder(fixed.ladder, corner)](double, cdouble) {
      return ladder;
    };
  }

private:
  /// Parts that are the same at every frequency, or a switched coil's setting.
  struct Fixed {
    network::Ladder ladder;
    std::optional<detail::CoilSetting> coil;
  };

  std::optional<Fixed> set(const station::Arrangement& wanted, const detail::Corner& corner) const {
    if (wanted.kind == station::ArrangementKind::straight) return Fixed{detail::whole_ladder(wanted, {}), {}};
    if (coil_) {
      const auto setting = coil_->choose(wanted, station_.transmitter, antenna(), corner);
      return setting ? std::optional(Fixed{{}, *setting}) : std::nullopt;
    }
    const auto match = detail::choose_fixed(wanted, station_.transmitter, antenna(), band_, corner);
    return match ? std::optional(Fixed{detail::whole_ladder(wanted, *match), {}}) : std::nullopt;
  }

  /// Set by hand in one condition.
  std::optional<Fixed> set_in(std::size_t condition, const detail::Corner& corner) const {
    station::Arrangement trimmed = arrangement_;
    trimmed.design_condition = station_.conditions[condition].name;
    return set(trimmed, corner);
  }

  bool by_hand() const { return arrangement_.trim != station::Trim::once; }
  const station::Antenna& antenna() const { return station_.antennas[arrangement_.antenna]; }

  const station::Station& station_;
  const station::Arrangement& arrangement_;
  const station::Band& band_;
  std::optional<detail::CoilOnBand> coil_;
  std::vector<std::optional<Fixed>> fixed_;  // one a condition
};

/// The evaluation at the power that the transmitter offers at its SWR.
network::Evaluation evaluate_offered(const station::Transmitter& transmitter, const network::Ladder& ladder,
                                     double frequency_hz, cdouble z_load_ohm) {
  network::Evaluation full = network::evaluate(ladder, transmitter.source, frequency_hz, z_load_ohm);
  network::Source held = transmitter.source;
  held.power_w = station::power_at_swr(transmitter, full.swr);
  if (held.power_w == transmitter.source.power_w) return full;
  return network::evaluate(ladder, held, frequency_hz, z_load_ohm);
}

/// A condition's load at one of the frequencies of a band.
struct LoadPoint {
  double frequency_hz = 0.0;
  cdouble z_ohm;
  std::optional<load::PowerShares> shares;
};
using LoadPoints = std::vector<LoadPoint>;

LoadPoints along(const station::Band& band, const load::Load& load) {
  LoadPoints points;
  for (const double f : frequencies(band))
    points.push_back({f, load::load_impedance(load, f), load::load_shares(load, f)});
  return points;
}

bool in_use(const station::Band& band, double frequency_hz) {
  return frequency_hz >= band.use_low_hz && frequency_hz <= band.use_high_hz;
}

/// At the design frequency.
std::vector<BudgetItem> budget(const station::Station& station, const std::optional<load::PowerShares>& shares,
                               const ConditionResult& result) {
  const network::Evaluation& e = result.evaluation;
  std::vector<BudgetItem> items;
  if (shares) {
    items.push_back({Spent::radiated, "", e.power.delivered_w * shares->radiated});
    items.push_back({Spent::ground, "", e.power.delivered_w * shares->ground});
    items.push_back({Spent::metal, "", e.power.delivered_w * shares->metal});
    if (shares->person > 0.0) items.push_back({Spent::person, "", e.power.delivered_w * shares->person});
    if (shares->lumps > 0.0) items.push_back({Spent::lumps, "", e.power.delivered_w * shares->lumps});
  } else {
    items.push_back({Spent::antenna, "", e.power.delivered_w});
  }
  for (std::size_t n = 0; n < e.elements.size(); ++n) {
    const network::Element& element = result.ladder.elements[n];
    const bool cable = std::holds_alternative<network::TransmissionLine>(element.part);
    items.push_back({cable ? Spent::cable : Spent::match, element.label, e.elements[n].dissipation_w});
  }
  // Nothing below 0 by rounding.
  items.push_back({Spent::mismatch, "", std::max(0.0, e.power.available_w - e.power.accepted_w)});
  items.push_back({Spent::held_back, "", std::max(0.0, station.transmitter.source.power_w - e.power.available_w)});
  std::stable_sort(items.begin(), items.end(),
                   [](const BudgetItem& a, const BudgetItem& b) { return a.spent < b.spent; });
  return items;
}

/// Greatest losses over the part in use, at the corners and between them: [ground low, as stated, high][Q low, as
/// stated, high]. A match may lose least as stated and more on both sides.
using CornerLosses = std::array<std::array<double, 3>, 3>;

/// The worst of an arrangement in a condition over some frequencies.
struct Worst {
  double loss_db = 0.0, swr = 0.0, load_voltage_v_peak = 0.0;
  std::vector<network::Overload> overloads;

  void take(const station::Transmitter& transmitter, const network::Ladder& ladder, const network::Evaluation& e) {
    loss_db = std::max(loss_db, detail::total_loss_db(transmitter, e));
    swr = std::max(swr, std::isnan(e.swr) ? network::infinite : e.swr);  // beyond the range of doubles
    load_voltage_v_peak = std::max(load_voltage_v_peak, network::load_voltage_v_peak(e));
    std::vector<network::Overload> over = stile::network::overloads(ladder, e);
    if (!over.empty() && (overloads.empty() || over.front().factor > overloads.front().factor))
      overloads = std::move(over);
  }
};

/// Over the part in use, with Q and ground of a corner.
Worst worst_at(const station::Station& station, const Setting& setting, std::size_t condition,
               const station::Band& band, const LoadPoints& points, const detail::Corner& corner) {
  Worst worst;
  const auto ladder_at = setting.at(condition, corner);
  for (const LoadPoint& point : points) {
    if (!in_use(band, point.frequency_hz)) continue;
    const cdouble z = detail::corner_impedance(point.z_ohm, point.shares, corner);
    const network::Ladder ladder = ladder_at(point.frequency_hz, z);
    worst.take(station.transmitter, ladder, evaluate_offered(station.transmitter, ladder, point.frequency_hz, z));
  }
  return worst;
}

/// What Q and ground leave open. `result` has the figures as stated, which are the middle of it.
void evaluate_corners(const station::Station& station, const Setting& setting, std::size_t index,
                      const station::Band& band, const LoadPoints& points, ConditionResult& result,
                      CornerLosses& worst_losses) {
  const station::Uncertainty& u = station.uncertainty;
  const std::array<double, 3> ground{1.0 - u.ground, 1.0, 1.0 + u.ground};
  const std::array<double, 3> q{1.0 - u.q, 1.0, 1.0 + u.q};
  result.loss_range_db = {result.worst_loss_db, result.worst_loss_db};
  result.swr_high = result.worst_swr;
  result.load_voltage_high_v_peak = result.load_voltage_v_peak;
  result.overloads_high = result.overloads;
  worst_losses[1][1] = std::max(worst_losses[1][1], result.worst_loss_db);
  for (std::size_t g = 0; g < 3; ++g) {
    for (std::size_t k = 0; k < 3; ++k) {
      if (g == 1 && k == 1) continue;
      Worst worst = worst_at(station, setting, index, band, points, {q[k], ground[g]});
      result.loss_range_db.low = std::min(result.loss_range_db.low, worst.loss_db);
      result.loss_range_db.high = std::max(result.loss_range_db.high, worst.loss_db);
      result.swr_high = std::max(result.swr_high, worst.swr);
      result.load_voltage_high_v_peak = std::max(result.load_voltage_high_v_peak, worst.load_voltage_v_peak);
      if (!worst.overloads.empty() &&
          (result.overloads_high.empty() || worst.overloads.front().factor > result.overloads_high.front().factor)) {
        result.overloads_high = std::move(worst.overloads);
      }
      worst_losses[g][k] = std::max(worst_losses[g][k], worst.loss_db);
    }
  }
}

ConditionResult evaluate_condition(const station::Station& station, const station::Arrangement& arrangement,
                                   const Setting& setting, std::size_t index, const station::Band& band,
                                   const LoadPoints& points, CornerLosses& worst_losses) {
  const station::Condition& condition = station.conditions[index];
  ConditionResult result;
  result.condition = condition.name;
  if (!setting.possible(index)) {
    for (auto& row : worst_losses) row.fill(network::infinite);
    return result;
  }
  result.possible = true;
  const station::Transmitter& transmitter = station.transmitter;
  const auto ladder_at = setting.at(index, {});
  Worst worst;
  std::optional<double> radiated_w = network::infinite;  // nothing as soon as a share is not known
  for (const LoadPoint& point : points) {
    const double f = point.frequency_hz;
    const network::Ladder ladder = ladder_at(f, point.z_ohm);
    const network::Evaluation e = evaluate_offered(transmitter, ladder, f, point.z_ohm);
    result.frequency_hz.push_back(f);
    result.swr_along_band.push_back(e.swr);
    if (in_use(band, f)) {
      worst.take(transmitter, ladder, e);
      radiated_w = radiated_w && point.shares
                       ? std::optional(std::min(*radiated_w, e.power.delivered_w * point.shares->radiated))
                       : std::nullopt;
    }
    if (f == band.design_hz) {
      result.ladder = ladder;
      result.evaluation = e;
      result.budget = budget(station, point.shares, result);
    }
  }
  const network::Evaluation& e = result.evaluation;
  result.offered_w = e.power.available_w;
  result.swr = e.swr;
  result.loss_db = detail::total_loss_db(transmitter, e);
  result.worst_swr = worst.swr;
  result.worst_loss_db = worst.loss_db;
  result.load_voltage_v_peak = worst.load_voltage_v_peak;
  result.overloads = std::move(worst.overloads);
  result.radiated_w = radiated_w;
  result.bandwidth =
      match::swr_bandwidth(result.ladder, transmitter.source, station::load_of(station, arrangement, index),
                           band.design_hz, transmitter.swr_limit);
  evaluate_corners(station, setting, index, band, points, result, worst_losses);
  return result;
}

std::string loss_text(double loss_db) {
  return std::isfinite(loss_db) ? fmt::format("{:.1f} dB ({:.1f} S units)", loss_db, s_units(loss_db)) : "everything";
}

std::string swr_text(double swr) { return swr < 100.0 ? fmt::format("{:.3g}", swr) : "over 100"; }

/// Where an arrangement that holds as stated does not, with coil Q and ground off; empty when it holds throughout.
std::string not_throughout(const ArrangementResult& result, double swr_limit) {
  for (const ConditionResult& c : result.conditions) {
    if (c.swr_high > swr_limit) {
      return fmt::format("with coil Q and ground off as far as stated, SWR {} in \"{}\"", swr_text(c.swr_high),
                         c.condition);
    }
    if (!c.overloads_high.empty()) {
      return fmt::format("with coil Q and ground off as far as stated, a rating is broken in \"{}\": {}", c.condition,
                         c.overloads_high.front().what);
    }
  }
  return "";
}

void judge(const station::Station& station, const station::Arrangement& arrangement, const station::Band& band,
           ArrangementResult& result) {
  const double limit = station.transmitter.swr_limit;
  const ConditionResult* worst_swr = nullptr;
  const ConditionResult* broken = nullptr;
  for (const ConditionResult& c : result.conditions) {
    if (!c.possible) {
      const auto& loads = station.antennas[arrangement.antenna].loads;
      const bool without_resistance = std::any_of(loads.begin(), loads.end(), [&](const station::AntennaLoad& l) {
        return load::load_impedance(l.load, band.design_hz).real() <= 0.0;
      });
      result.worst_swr = network::infinite;
      const station::KindDescription& kind = station::describe_kind(arrangement.kind);
      result.why = without_resistance ? kind.cannot_be_without_resistance : kind.cannot_be;
      return;
    }
    if (worst_swr == nullptr || c.worst_swr > worst_swr->worst_swr) worst_swr = &c;
    if (!c.overloads.empty() && (broken == nullptr || c.overloads.front().factor > broken->overloads.front().factor))
      broken = &c;
    const std::size_t index = static_cast<std::size_t>(&c - result.conditions.data());
    if (c.worst_loss_db > result.conditions[result.worst].worst_loss_db) result.worst = index;
  }
  result.worst_swr = worst_swr->worst_swr;
  result.radiated_w = network::infinite;
  for (const ConditionResult& c : result.conditions) {
    result.radiated_w =
        result.radiated_w && c.radiated_w ? std::optional(std::min(*result.radiated_w, *c.radiated_w)) : std::nullopt;
  }
  if (result.worst_swr > limit) {
    result.why = fmt::format("SWR {} in \"{}\" is over the limit {:.3g}", swr_text(result.worst_swr),
                             worst_swr->condition, limit);
  } else if (!std::isfinite(result.conditions[result.worst].worst_loss_db)) {
    result.why = fmt::format("nothing reaches the antenna in \"{}\"", result.conditions[result.worst].condition);
  } else if (broken != nullptr) {
    result.why = fmt::format("a rating is broken in \"{}\": {}", broken->condition, broken->overloads.front().what);
  } else {
    result.ok = true;
    result.why = fmt::format("SWR at most {}, loss at most {} in every condition", swr_text(result.worst_swr),
                             loss_text(result.conditions[result.worst].worst_loss_db));
    const std::string open = not_throughout(result, limit);
    result.holds_throughout = open.empty();
    if (!open.empty()) result.why += "; but " + open;
  }
}

/// An arrangement with what the verdict needs.
struct Candidate {
  std::size_t index = 0;
  double loss_db = network::infinite;  // in the worst condition
  CornerLosses corners{};
};

std::optional<Candidate> best_of(const std::vector<ArrangementResult>& results,
                                 const std::vector<CornerLosses>& corners, bool tuner, bool only_ok) {
  std::optional<Candidate> best;
  for (std::size_t n = 0; n < results.size(); ++n) {
    const ArrangementResult& r = results[n];
    if (station::describe_kind(r.kind).automatic != tuner || (only_ok && !r.ok)) continue;
    const double loss = std::isfinite(r.worst_swr) ? r.conditions[r.worst].worst_loss_db : network::infinite;
    if (!best || loss < best->loss_db) best = Candidate{n, loss, corners[n]};
  }
  return best;
}

/// True when, somewhere in the uncertainty, the rank of the two changes. Ground is common to both, Q is not.
bool rank_is_open(const Candidate& a, const Candidate& b) {
  for (std::size_t g = 0; g < 3; ++g) {
    const auto [a_low, a_high] = std::minmax_element(a.corners[g].begin(), a.corners[g].end());
    const auto [b_low, b_high] = std::minmax_element(b.corners[g].begin(), b.corners[g].end());
    if (*a_low <= *b_high && *b_low <= *a_high) return true;
  }
  const auto a_better = [&](std::size_t g) { return a.corners[g][1] < b.corners[g][1]; };
  return a_better(0) != a_better(1) || a_better(1) != a_better(2);
}

std::string why_not(const std::vector<ArrangementResult>& results, const std::optional<Candidate>& candidate,
                    const std::string& none) {
  return candidate ? fmt::format("{}: {}", results[candidate->index].name, results[candidate->index].why) : none;
}

/// Others of the same kind that hold and whose rank against the one taken is open.
std::string close_to(const std::vector<ArrangementResult>& results, const std::vector<CornerLosses>& corners,
                     const Candidate& taken) {
  std::string text;
  for (std::size_t n = 0; n < results.size(); ++n) {
    const bool same_kind = station::describe_kind(results[n].kind).automatic ==
                           station::describe_kind(results[taken.index].kind).automatic;
    if (n == taken.index || !same_kind || !results[n].ok || !rank_is_open(taken, {n, 0.0, corners[n]})) continue;
    text += (text.empty() ? " (as good within the uncertainty: " : ", ") + results[n].name;
  }
  return text.empty() ? "" : text + ")";
}

void decide(BandResult& band, const std::vector<CornerLosses>& corners, double swr_limit) {
  const auto& results = band.arrangements;
  const auto name = [&](const Candidate& c) {
    return results[c.index].name + (results[c.index].trimmed ? " (set anew when the wire moves)" : "");
  };
  const auto tuner = best_of(results, corners, true, true), fixed = best_of(results, corners, false, true);
  const auto any_tuner = best_of(results, corners, true, false), any_fixed = best_of(results, corners, false, false);
  if (!tuner && !fixed) {
    band.choice = Choice::none;
    band.verdict =
        fmt::format("nothing listed holds on this band. {}. {}", why_not(results, any_tuner, "No tuner is listed"),
                    why_not(results, any_fixed, "No fixed match is listed"));
    return;
  }
  if (!fixed || !tuner) {
    const Candidate& only = tuner ? *tuner : *fixed;
    const bool sure = results[only.index].holds_throughout;
    band.choice = !sure ? Choice::undecided : tuner ? Choice::tuner : Choice::fixed;
    band.taken = only.index;
    band.verdict =
        fmt::format("{} {}: it loses {} at worst{}. {}", sure ? "take" : "undecided: only as stated", name(only),
                    loss_text(only.loss_db),
                    sure ? close_to(results, corners, only) : "; " + not_throughout(results[only.index], swr_limit),
                    tuner ? why_not(results, any_fixed, "No fixed match is listed")
                          : why_not(results, any_tuner, "No tuner is listed"));
    return;
  }
  const double difference = tuner->loss_db - fixed->loss_db;  // > 0: the fixed match is better
  const Candidate& better = difference > 0.0 ? *fixed : *tuner;
  const Candidate& other = difference > 0.0 ? *tuner : *fixed;
  if (rank_is_open(*tuner, *fixed)) {
    band.choice = Choice::undecided;
    band.taken = fixed->index;
    band.verdict = fmt::format(
        "undecided between {} and {}: {:.1f} dB apart, within what coil Q and ground leave open; the fixed match {}",
        results[tuner->index].name, results[fixed->index].name, std::abs(difference),
        results[fixed->index].trimmed ? "needs no supply but a hand" : "is the simpler");
    return;
  }
  band.taken = better.index;
  if (!results[better.index].holds_throughout) {
    band.choice = Choice::undecided;
    band.verdict = fmt::format("undecided: {} loses {} at worst, {} less than {}, but only as stated: {}", name(better),
                               loss_text(better.loss_db), loss_text(std::abs(difference)), name(other),
                               not_throughout(results[better.index], swr_limit));
    return;
  }
  band.choice = difference > 0.0 ? Choice::fixed : Choice::tuner;
  band.verdict =
      fmt::format("take {}: it loses {} at worst, {} less than {}{}", name(better), loss_text(better.loss_db),
                  loss_text(std::abs(difference)), name(other), close_to(results, corners, better));
}

}  // namespace

std::string spent_name(Spent spent) {
  switch (spent) {
  case Spent::radiated:
    return "radiated";
  case Spent::ground:
    return "ground";
  case Spent::metal:
    return "whip and wire";
  case Spent::person:
    return "person";
  case Spent::lumps:
    return "chokes and contacts";
  case Spent::antenna:
    return "antenna, radiated and lost";
  case Spent::match:
    return "match";
  case Spent::cable:
    return "cable";
  case Spent::mismatch:
    return "not accepted";
  case Spent::held_back:
    break;
  }
  return "held back";
}

Plan make_plan(const station::Station& station, const std::function<void(const std::string&)>& progress,
               unsigned threads) {
  for (const station::Antenna& antenna : station.antennas) {
    for (const station::AntennaLoad& l : antenna.loads) {
      if (l.wires)
        throw DomainError(fmt::format("the load \"{}\" is stated as wires and must be solved first", l.load.name));
    }
  }
  const std::size_t arrangements = station.arrangements.size();
  // Arrangements that wind the same coil share it.
  std::vector<std::optional<coil::CoilModel>> wound(arrangements);
  std::vector<std::size_t> coil_of(arrangements);
  for (std::size_t n = 0; n < arrangements; ++n) {
    const station::Arrangement& a = station.arrangements[n];
    if (!station::describe_kind(a.kind).takes_coil) continue;
    const auto first = std::find_if(station.arrangements.begin(), station.arrangements.end(),
                                    [&](const station::Arrangement& b) { return &a == &b || detail::same_coil(a, b); });
    coil_of[n] = static_cast<std::size_t>(first - station.arrangements.begin());
    if (coil_of[n] == n) wound[n] = detail::wound_coil(a, station);
  }
  std::vector<std::vector<std::vector<LoadPoints>>> points;  // by band, antenna and condition
  for (const station::Band& band : station.bands) {
    points.emplace_back();
    for (const station::Antenna& antenna : station.antennas) {
      points.back().emplace_back();
      for (const station::AntennaLoad& l : antenna.loads) points.back().back().push_back(along(band, l.load));
    }
  }

  std::vector<std::optional<detail::CoilTaps>> taps(station.bands.size() * arrangements);
  in_blocks(taps.size(), 1, threads, [&](std::size_t first, std::size_t last) {
    for (std::size_t j = first; j < last; ++j) {
      const station::Band& band = station.bands[j / arrangements];
      if (const auto& model = wound[j % arrangements])
        taps[j].emplace(station.arrangements[j % arrangements].coil, *model, band, frequencies(band));
    }
  });

  /// Every arrangement on every band is a job of its own and writes only its own place.
  struct Job {
    ArrangementResult result;
    CornerLosses corners{};
  };
  std::vector<Job> jobs(station.bands.size() * arrangements);
  std::mutex telling;
  in_blocks(jobs.size(), 1, threads, [&](std::size_t first, std::size_t last) {
    for (std::size_t j = first; j < last; ++j) {
      const station::Band& band = station.bands[j / arrangements];
      const station::Arrangement& arrangement = station.arrangements[j % arrangements];
      if (progress) {
        const std::lock_guard<std::mutex> lock(telling);
        progress(fmt::format("{}: {}, {} conditions", band.name, arrangement.name, station.conditions.size()));
      }
      ArrangementResult& result = jobs[j].result;
      result = {arrangement.name,
                arrangement.kind,
                arrangement.trim != station::Trim::once,
                {},
                0,
                0.0,
                false,
                false,
                "",
                {}};
      const auto& coil = taps[j - j % arrangements + coil_of[j % arrangements]];
      const bool switched = station::describe_kind(arrangement.kind).takes_coil;
      const Setting setting(station, arrangement, band, switched ? &*coil : nullptr);
      for (std::size_t n = 0; n < station.conditions.size(); ++n) {
        result.conditions.push_back(evaluate_condition(
            station, arrangement, setting, n, band, points[j / arrangements][arrangement.antenna][n], jobs[j].corners));
      }
      judge(station, arrangement, band, result);
    }
  });

  Plan plan;
  safety::CautionCase facts;
  facts.power_w = station.transmitter.source.power_w;
  facts.whip_on_body = station.whip_on_body;
  facts.frequency_hz = network::infinite;
  for (const station::Arrangement& a : station.arrangements)
    facts.automatic_tuner |= station::describe_kind(a.kind).automatic;
  for (std::size_t b = 0; b < station.bands.size(); ++b) {
    BandResult band{station.bands[b], {}, Choice::not_run, {}, ""};
    facts.frequency_hz = std::min(facts.frequency_hz, band.band.use_low_hz);
    std::vector<CornerLosses> corners;
    for (std::size_t n = 0; n < arrangements; ++n) {
      Job& job = jobs[b * arrangements + n];
      for (const ConditionResult& c : job.result.conditions) {
        if (c.load_voltage_high_v_peak > facts.load_voltage_v_peak) {
          facts.load_voltage_v_peak = c.load_voltage_high_v_peak;
          facts.load_voltage_where = fmt::format("{}, {}, {}", band.band.name, c.condition, job.result.name);
        }
      }
      corners.push_back(job.corners);
      band.arrangements.push_back(std::move(job.result));
    }
    decide(band, corners, station.transmitter.swr_limit);
    plan.bands.push_back(std::move(band));
  }
  plan.exposures = plan_exposures(station, plan.bands, progress, threads);
  facts.findings = taken_findings(plan);
  plan.cautions = safety::cautions(facts);
  return plan;
}

double s_units(double db) { return db / db_per_s_unit; }

}  // namespace stile::plan

#include <stile/design/compare.hpp>

#include <algorithm>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include <stile/base/errors.hpp>
#include <stile/base/quantity.hpp>
#include <stile/design/detail/scoring.hpp>
#include <stile/plan/plan.hpp>
#include <stile/station/solve_loads.hpp>

namespace stile::design {
namespace {

/// The station with the settings of every arrangement that takes parts and the taps of its coils, those of a plan where
/// it states none.
station::Station with_settings(station::Station station, const plan::Plan& plan) {
  for (std::size_t n = 0; n < station.arrangements.size(); ++n) {
    station::Arrangement& a = station.arrangements[n];
    const station::KindDescription& kind = station::describe_kind(a.kind);
    if (kind.takes_coil) {
      a.coil.turns = plan.windings.at(n)->sections.front().turns;
      if (a.trim == station::Trim::once && a.coil.taps.empty()) a.coil.taps = detail::stated_taps(plan, n);
      continue;
    }
    if (!kind.takes_parts || !a.settings.empty()) continue;
    a.settings = detail::stated_settings(plan, n, a.trim != station::Trim::once);
  }
  return station;
}

PresentStation as_stated(const station::Brief& brief, const station::Station& station, const plan::Plan& plan,
                         std::size_t n) {
  PresentStation present;
  present.name = station.arrangements[n].name;
  double weight = 0.0;
  for (std::size_t b = 0; b < brief.given.bands.size(); ++b) {
    const auto band = std::find_if(plan.bands.begin(), plan.bands.end(),
                                   [&](const plan::BandResult& r) { return r.band.name == brief.given.bands[b].name; });
    if (band == plan.bands.end()) continue;
    const plan::ArrangementResult& a = band->arrangements[n];
    BandFigures f;
    f.band = band->band.name;
    f.radiated_db = a.radiated_db, f.path_db = a.path_db, f.counted_db = a.counted_db;
    f.worst_condition = a.conditions[a.worst].condition;
    f.worst_swr = a.worst_swr;
    f.within_swr = a.worst_swr <= station.transmitter.swr_limit;
    f.within_ratings = detail::within_ratings(a);
    f.holds = f.within_swr && f.within_ratings;
    present.objective_db += brief.weights[b] * a.counted_db;
    weight += brief.weights[b];
    present.held_bands += f.holds ? 1U : 0U;
    present.figures.push_back(std::move(f));
  }
  present.bands = present.figures.size();
  if (present.bands == 0)
    throw DomainError("the present station has no band in common with the brief; legal: bands of the same names");
  present.objective_db /= weight;
  return present;
}

/// Of the station's bands where all of them are the brief's; otherwise none, which is even.
std::vector<double> weights_for(const station::Brief& brief, const station::Station& station) {
  std::vector<double> weights;
  for (const station::Band& band : station.bands) {
    for (std::size_t b = 0; b < brief.given.bands.size(); ++b) {
      if (brief.given.bands[b].name == band.name) weights.push_back(brief.weights[b]);
    }
  }
  return weights.size() == station.bands.size() ? weights : std::vector<double>{};
}

std::string names_of(const std::vector<std::string>& names) {
  return names.empty() ? "none" : fmt::format("{}", fmt::join(names, ", "));
}

std::string path_text(const station::Band& band) {
  return band.path
             ? fmt::format("{:.4g} to {:.4g} degrees", band.path->elevation_deg.low, band.path->elevation_deg.high)
             : "all that leaves";
}

/// Why an arrangement of the present station cannot be ranked with a station of the brief on walks; empty: it can.
std::string difference(const station::Station& present, std::size_t arrangement, const station::Station& found) {
  const auto sorted_names = [](const auto& list) {
    std::vector<std::string> names;
    for (const auto& one : list) names.push_back(one.name);
    std::sort(names.begin(), names.end());
    return names;
  };
  const std::vector<std::string> own = sorted_names(present.bands), asked = sorted_names(found.bands);
  if (own != asked) return fmt::format("its bands differ: {} against {}", names_of(own), names_of(asked));
  for (const station::Band& band : present.bands) {
    const station::Band& other = *std::find_if(found.bands.begin(), found.bands.end(),
                                               [&](const station::Band& b) { return b.name == band.name; });
    if (band.use_low_hz != other.use_low_hz || band.use_high_hz != other.use_high_hz)
      return fmt::format("its bands differ: {} is in use from {} to {} against {} to {}", band.name,
                         print_quantity(band.use_low_hz, Unit::hertz), print_quantity(band.use_high_hz, Unit::hertz),
                         print_quantity(other.use_low_hz, Unit::hertz), print_quantity(other.use_high_hz, Unit::hertz));
    if (path_text(band) != path_text(other))
      return fmt::format("its paths differ: on {} {} counts against {}", band.name, path_text(band), path_text(other));
  }
  const auto condition_names = [](const station::Station& s) {
    std::vector<std::string> names;
    for (const station::Condition& c : s.conditions)
      names.push_back(c.role == station::Role::normal ? c.name : c.name + " (accident)");
    return names;
  };
  if (condition_names(present) != condition_names(found))
    return fmt::format("its conditions differ: {} against {}", names_of(condition_names(present)),
                       names_of(condition_names(found)));
  const std::vector<station::AntennaLoad>& loads = present.antennas[present.arrangements[arrangement].antenna].loads;
  for (std::size_t c = 0; c < present.conditions.size(); ++c) {
    const station::AntennaLoad& other = found.antennas.front().loads[c];
    if (!loads[c].solved_from)
      return fmt::format("its conditions differ: the load of \"{}\" is not of wires, and no walk changes it",
                         present.conditions[c].name);
    if (other.solved_from && !(loads[c].solved_from->ground == other.solved_from->ground))
      return fmt::format("its conditions differ: the ground of \"{}\" is another", present.conditions[c].name);
  }
  return "";
}

bool by_hand(const station::Arrangement& a) {
  const station::KindDescription& kind = station::describe_kind(a.kind);
  return kind.takes_parts && !kind.takes_coil &&
         (a.trim != station::Trim::once ||
          std::any_of(a.settings.begin(), a.settings.end(),
                      [](const station::StatedSetting& s) { return !s.condition.empty(); }));
}

/// A wound coil that a hand trims has no settings as set: on a walk it is trimmed.
bool moved_anew(const station::Arrangement& a) {
  return station::describe_kind(a.kind).takes_coil && a.trim != station::Trim::once;
}

/// What was made of its settings on the walks, behind its name. Of a wound coil that is set once only the taps are
/// held: a station file cannot state the part across it or its trimmer.
std::string set_on_walks(const station::Arrangement& a) {
  if (moved_anew(a)) return ", trimmed on the walk";
  const bool across = a.coil.trimmer_f > 0.0 || a.coil.shunt_coil || a.coil.shunt_capacitor;
  return station::describe_kind(a.kind).takes_coil && across ? ", tapped as set, the part across found on the walk"
                                                             : "";
}

/// The same that a hand trims on each walk.
station::Arrangement trimmed_on_walks(station::Arrangement a) {
  a.settings.clear();
  if (a.trim == station::Trim::once) a.trim = station::Trim::tap_and_trimmer;
  return a;
}

}  // namespace

Comparison compare(const station::Brief& brief, const Design& design, const std::optional<station::Station>& present,
                   const CompareOptions& options) {
  Comparison all;
  const auto tell = [&](std::size_t done, std::size_t planned, const std::string& text) {
    if (options.progress) options.progress({done, planned, text});
  };
  const auto take = [&](const station::Station& station, const std::string& name, const std::vector<double>& weights) {
    Walks walks = walk(
        station, {}, options.walks, options.seed, options.threads,
        [&](std::size_t done, std::size_t total) { tell(done, total, "walks of " + name); }, options.stop, weights);
    all.unfinished = all.unfinished || walks.unfinished;
    all.walks = walks.done;
    for (std::string& a : walks.assumptions) {
      if (std::find(all.assumptions.begin(), all.assumptions.end(), a) == all.assumptions.end())
        all.assumptions.push_back(std::move(a));
    }
    return std::move(walks.arrangements);
  };
  if (options.walks > 0 && design.status != Status::none) {
    for (const DesignedStation& s : design.stations) {
      station::Station station = s.station;
      const bool hand = by_hand(station.arrangements.front());
      if (hand) station.arrangements.push_back(trimmed_on_walks(station.arrangements.front()));
      std::vector<ArrangementWalks> walked = take(station, s.network_name, brief.weights);
      if (walked.empty()) break;  // stopped before the first walk
      const std::string name = fmt::format("{} (touch {})", s.network_name, station::touch_name(s.touch));
      all.stations.push_back(std::move(walked.front()));
      all.stations.back().name = name + (hand ? ", as set" : set_on_walks(station.arrangements.front()));
      all.trimmed.emplace_back();
      if (hand) {
        all.trimmed.back() = std::move(walked.back());
        all.trimmed.back()->name = name + ", trimmed on the walk";
      }
      if (options.first_only) break;
    }
  }
  if (present) {
    tell(0, 1, "the present station");
    wire::SolveOptions solving;
    solving.every_point = options.every_point;
    station::Station station = station::solve_loads(*present, {}, {}, options.threads, solving);
    const plan::Plan plan = plan::plan_as_stated(station, {}, options.threads);
    for (std::size_t n = 0; n < station.arrangements.size(); ++n)
      all.present.push_back(as_stated(brief, station, plan, n));
    if (!design.stations.empty()) {
      for (std::size_t n = 0; n < station.arrangements.size(); ++n)
        all.present[n].differs = difference(station, n, design.stations.front().station);
    }
    if (options.walks > 0) {
      station = with_settings(std::move(station), plan);
      const std::size_t count = station.arrangements.size();
      std::vector<std::size_t> by_a_hand;
      for (std::size_t n = 0; n < count; ++n) {
        if (!by_hand(station.arrangements[n])) continue;
        by_a_hand.push_back(n);
        station.arrangements.push_back(trimmed_on_walks(station.arrangements[n]));
      }
      std::vector<ArrangementWalks> walked = take(station, "the present station", weights_for(brief, station));
      for (std::size_t n = 0; n < count && !walked.empty(); ++n) {
        all.present[n].walks = std::move(walked[n]);
        all.present[n].walks.name += set_on_walks(station.arrangements[n]);
      }
      for (std::size_t k = 0; k < by_a_hand.size() && !walked.empty(); ++k) {
        PresentStation& p = all.present[by_a_hand[k]];
        p.trimmed = std::move(walked[count + k]);
        p.walks.name += ", as set";
        p.trimmed->name += ", trimmed on the walk";
      }
    }
  }
  const auto rank = [&](const ArrangementWalks& first, const ArrangementWalks& second) {
    if (!first.mean_db.empty() && first.mean_db.size() == second.mean_db.size())
      all.verdicts.push_back(rank_on_walks(first, second).verdict);
  };
  // Where a hand trims, both ends: as set against as set, trimmed against trimmed.
  const auto rank_both = [&](std::size_t n, const ArrangementWalks& second,
                             const std::optional<ArrangementWalks>& trimmed) {
    rank(all.stations[n], second);
    if (all.trimmed[n] || trimmed)
      rank(all.trimmed[n] ? *all.trimmed[n] : all.stations[n], trimmed ? *trimmed : second);
  };
  for (std::size_t n = 1; n < all.stations.size(); ++n) rank_both(0, all.stations[n], all.trimmed[n]);
  for (const PresentStation& p : all.present) {
    if (all.stations.empty() || p.walks.mean_db.empty()) continue;
    if (p.differs.empty())
      rank_both(0, p.walks, p.trimmed);
    else
      all.verdicts.push_back(
          fmt::format("{} against {}: no rank, {}", all.stations.front().name, p.walks.name, p.differs));
  }
  return all;
}

}  // namespace stile::design

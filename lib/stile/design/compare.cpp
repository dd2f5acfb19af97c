#include <stile/design/compare.hpp>

#include <algorithm>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/design/detail/scoring.hpp>
#include <stile/plan/plan.hpp>
#include <stile/station/solve_loads.hpp>

namespace stile::design {
namespace {

/// The station with the settings of every arrangement that takes parts, those of a plan where it states none.
station::Station with_settings(station::Station station, const plan::Plan& plan) {
  for (std::size_t n = 0; n < station.arrangements.size(); ++n) {
    station::Arrangement& a = station.arrangements[n];
    const station::KindDescription& kind = station::describe_kind(a.kind);
    if (!kind.takes_parts || kind.takes_coil || !a.settings.empty()) continue;
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
    f.holds = a.worst_swr <= station.transmitter.swr_limit;
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

std::string rank_text(const std::string& first, const std::string& second, const WalkRank& rank) {
  return fmt::format("{} against {}: {}", first, second, rank.verdict);
}

}  // namespace

Comparison compare(const station::Brief& brief, const Design& design, const std::optional<station::Station>& present,
                   const CompareOptions& options) {
  Comparison all;
  const auto tell = [&](const std::string& text) {
    if (options.progress) options.progress(text);
  };
  const auto take = [&](const station::Station& station, const std::string& name) {
    Walks walks = walk(
        station, {}, options.walks, options.seed, options.threads,
        [&](std::size_t done, std::size_t total) { tell(fmt::format("{}: walk {} of {}", name, done, total)); },
        options.stop);
    all.unfinished = all.unfinished || walks.unfinished;
    all.walks = walks.done;
    if (all.assumptions.empty()) all.assumptions = std::move(walks.assumptions);
    return std::move(walks.arrangements);
  };
  if (options.walks > 0 && design.status != Status::none) {
    for (const DesignedStation& s : design.stations) {
      std::vector<ArrangementWalks> walked = take(s.station, s.network_name);
      all.stations.push_back(std::move(walked.front()));
      all.stations.back().name = fmt::format("{} (touch {})", s.network_name, station::touch_name(s.touch));
    }
  }
  if (present) {
    tell("the present station");
    station::Station station = station::solve_loads(*present, {}, {}, options.threads);
    const plan::Plan plan = plan::plan_as_stated(station, {}, options.threads);
    for (std::size_t n = 0; n < station.arrangements.size(); ++n)
      all.present.push_back(as_stated(brief, station, plan, n));
    if (options.walks > 0) {
      station = with_settings(std::move(station), plan);
      std::vector<std::size_t> places;
      std::vector<station::Arrangement> taken;
      for (std::size_t n = 0; n < station.arrangements.size(); ++n) {
        if (station::describe_kind(station.arrangements[n].kind).takes_coil) continue;
        places.push_back(n);
        taken.push_back(station.arrangements[n]);
      }
      station.arrangements = std::move(taken);
      if (!places.empty()) {
        std::vector<ArrangementWalks> walked = take(station, "the present station");
        for (std::size_t k = 0; k < places.size(); ++k) all.present[places[k]].walks = std::move(walked[k]);
      }
    }
  }
  const auto rank = [&](const ArrangementWalks& first, const ArrangementWalks& second) {
    if (!first.mean_db.empty() && first.mean_db.size() == second.mean_db.size())
      all.verdicts.push_back(rank_text(first.name, second.name, rank_on_walks(first, second)));
  };
  for (std::size_t n = 1; n < all.stations.size(); ++n) rank(all.stations.front(), all.stations[n]);
  for (const PresentStation& p : all.present) {
    if (!all.stations.empty()) rank(all.stations.front(), p.walks);
  }
  return all;
}

}  // namespace stile::design

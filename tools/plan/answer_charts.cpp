#include "plan/answer_charts.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include <fmt/core.h>

#include <stile/plan/compared.hpp>
#include <stile/plan/operating_times.hpp>
#include <stile/plots/dots.hpp>

namespace stile::tools {
namespace {

const char* counted_title(plan::Counted counted) {
  switch (counted) {
  case plan::Counted::path:
    return "towards the other station, dB against full power";
  case plan::Counted::radiated:
    return "radiated, dB against full power";
  case plan::Counted::delivered:
    break;
  }
  return "into the antenna, dB against full power";
}

std::vector<std::string> band_names(const plan::Plan& plan) {
  std::vector<std::string> names;
  for (const plan::BandResult& band : plan.bands) names.push_back(band.band.name);
  return names;
}

/// Whose power a caption speaks of.
const char* counted_words(plan::Counted counted) {
  switch (counted) {
  case plan::Counted::path:
    return "Power towards the other station";
  case plan::Counted::radiated:
    return "Power radiated";
  case plan::Counted::delivered:
    break;
  }
  return "Power into the antenna";
}

struct CountedDb {
  double value_db = 0.0;
  Range range_db;
};

/// Below full power, in the worst normal condition; nothing where it is not known, or infinite.
/// @param ranked_by  of the band
std::optional<CountedDb> counted_db(const plan::ArrangementResult& r, plan::Counted shown, plan::Counted ranked_by) {
  std::optional<CountedDb> db;
  if (shown == ranked_by)
    db = CountedDb{r.counted_db, r.counted_range_db};
  else if (shown == plan::Counted::radiated && r.radiated_db && r.radiated_range_db)
    db = CountedDb{*r.radiated_db, *r.radiated_range_db};
  return db && std::isfinite(db->range_db.high) ? db : std::nullopt;
}

/// What says most of those that bands are ranked by: where paths are stated for some bands alone, the others have no
/// marks.
plan::Counted ranked_by(const plan::Plan& plan) {
  const auto some = [&](plan::Counted counted) {
    return std::any_of(plan.bands.begin(), plan.bands.end(),
                       [&](const plan::BandResult& band) { return band.counted == counted; });
  };
  return some(plan::Counted::path)       ? plan::Counted::path
         : some(plan::Counted::radiated) ? plan::Counted::radiated
                                         : plan::Counted::delivered;
}

/// @param shown  what the bands are ranked by, or radiated
/// @return       nothing where no arrangement can be made on any band
std::optional<plots::Chart> bands_power(const Answers& answers, plan::Counted shown, const plots::ChartText& text) {
  const plan::Plan& plan = answers.plan;
  std::vector<plots::DotSeries> series;
  bool any = false;
  const auto has_shown = [&](const plan::BandResult& band) {  // what counts a path knows what is radiated
    return band.counted == shown || (band.counted == plan::Counted::path && shown == plan::Counted::radiated);
  };
  const bool everywhere = std::all_of(plan.bands.begin(), plan.bands.end(), has_shown);
  for (std::size_t a = 0; a < answers.station.arrangements.size(); ++a) {
    plots::DotSeries one{answers.station.arrangements[a].name, {}};
    for (std::size_t b = 0; b < plan.bands.size(); ++b) {
      const auto db = counted_db(plan.bands[b].arrangements[a], shown, plan.bands[b].counted);
      if (db) one.dots.push_back({b, -db->value_db, {-db->range_db.high, -db->range_db.low}});
    }
    any = any || !one.dots.empty();
    series.push_back(std::move(one));
  }
  if (!any || series.size() > 16 || plan.bands.size() > 24) return std::nullopt;
  const bool apart = plan::comparable_groups(answers.station, shown).size() > 1;
  return plots::dots_chart(
      band_names(plan), series, {counted_title(shown), false, true},
      {fmt::format("{}: power on each band in the worst normal condition", answers.station.name), text.source},
      {fmt::format(
          "Bars: what uncertain inputs make of it. An arrangement without a mark cannot be made on that band, or "
          "delivers nothing somewhere{}.{}",
          everywhere ? "" : "; a band without any is ranked by something else",
          apart ? " Antennas cannot be compared: power into one says nothing against power into another." : "")});
}

/// Nothing without a battery.
std::optional<plots::Chart> hours(const Answers& answers, const plots::ChartText& text) {
  const std::vector<plan::ArrangementTime> times = plan::operating_times(answers.station);
  if (times.empty() || times.size() > 24) return std::nullopt;
  std::vector<std::string> names;
  plots::DotSeries one{"", {}};
  for (const plan::ArrangementTime& t : times) {
    if (!std::isfinite(t.time.time_range_h.high)) return std::nullopt;
    one.dots.push_back({names.size(), t.time.time_h, t.time.time_range_h});
    names.push_back(answers.station.arrangements[t.arrangement].name);
  }
  return plots::dots_chart(names, {one}, {"operating time, h", false, true},
                           {fmt::format("{}: hours on the battery", answers.station.name), text.source},
                           {"Marks: Peukert's law on the mean current. Bars: from a battery that does not recover in "
                            "pauses, in the cold and with the "
                            "mode's greater current, to one that does."});
}

/// Of the arrangement that is taken on each band, the largest ratio to a public level at each place of the person, and
/// of the whole body.
std::optional<plots::Chart> person_fields(const Answers& answers, const plots::ChartText& text) {
  const plan::Plan& plan = answers.plan;
  std::vector<std::string> places;
  std::vector<plots::DotSeries> series;
  for (const plan::BandResult& band : plan.bands) {
    if (!band.taken) continue;
    const std::string& arrangement = band.arrangements[*band.taken].name;
    const bool decided = band.choice != plan::Choice::undecided;
    plots::DotSeries one{band.band.name + ", " + arrangement + (decided ? "" : " (undecided)"), {}};
    for (const safety::UseExposure& u : plan.exposures) {
      if (u.band != band.band.name || u.arrangement != arrangement) continue;
      for (const safety::ExposureRow& row : u.rows) {
        const bool shown = row.field.carrier && row.ratio.value_or(0.0) > 0.0 && safety::is_public(row.level.group);
        if (!shown) continue;
        const auto known = std::find(places.begin(), places.end(), row.field.where);
        const auto place = static_cast<std::size_t>(known - places.begin());
        if (known == places.end()) places.push_back(row.field.where);
        const auto dot =
            std::find_if(one.dots.begin(), one.dots.end(), [&](const plots::Dot& d) { return d.category == place; });
        if (dot == one.dots.end()) {
          one.dots.push_back({place, *row.ratio, {*row.ratio, *row.ratio}});
        } else if (*row.ratio > dot->value) {
          *dot = {place, *row.ratio, {*row.ratio, *row.ratio}};
        }
      }
    }
    if (!one.dots.empty()) series.push_back(std::move(one));
  }
  if (series.empty() || series.size() > 16 || places.size() > 24) return std::nullopt;
  return plots::dots_chart(
      places, series, {"field over public level", true, false, {1.0}},
      {fmt::format("{}: fields at the person with what is taken on each band", answers.station.name), text.source},
      {"The largest ratio of all conditions and of all public levels that count, averaged as each is. Dotted: the "
       "level. "
       "A reference level exceeded is not a basic restriction exceeded, and one that is met is no assurance; local "
       "codes and "
       "licensed practice decide."});
}

}  // namespace

std::vector<NamedChart> answer_charts(const Answers& answers, const plots::ChartText& text) {
  std::vector<NamedChart> charts;
  const auto add = [&](const char* name, const std::string& caption, const char* figures,
                       std::optional<plots::Chart>&& chart) {
    if (chart) charts.push_back({name, caption, figures, std::move(*chart)});
  };
  const auto add_bands = [&](const char* name, plan::Counted shown, const char* figures) {
    add(name,
        fmt::format("{} with every arrangement on every band, worst normal condition, with what uncertain inputs make "
                    "of it",
                    counted_words(shown)),
        figures, bands_power(answers, shown, text));
  };
  const plan::Counted ranked = ranked_by(answers.plan);
  add_bands("bands-power", ranked, "plan.csv, lines that begin with # worst (counted)");
  if (ranked == plan::Counted::path)
    add_bands("bands-radiated", plan::Counted::radiated, "plan.json, radiated_range_db of each arrangement");
  add("operating-time", "Hours on the battery with each arrangement", "the table Operating time of this page",
      hours(answers, text));
  add("person-fields", "Fields at the places of the person over the public levels, for what is taken on each band",
      "plan.json, ratio of each row of exposure", person_fields(answers, text));
  return charts;
}

}  // namespace stile::tools

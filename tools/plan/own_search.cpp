#include "plan/own_search.hpp"

#include <algorithm>
#include <vector>

#include <cmath>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include "cli/table.hpp"
#include "plan/words.hpp"

namespace stile::tools {
namespace {

/// "yes", "no, it needs 2 W".
std::string can_tune_text(const station::Station& station, const plan::OwnSearch& s) {
  if (!s.can_tune) return "not stated";
  if (*s.can_tune) return "yes";
  return fmt::format("no, it needs {}",
                     print_quantity(*station.arrangements[s.arrangement].least_tune_power_w, Unit::watt, 3));
}

std::string end_text(const plan::OwnSearch& s) {
  if (s.walk.status == tuner::TunerStatus::found) return "";
  return s.walk.false_minimum ? "a false minimum" : "out of reach";
}

std::vector<std::string> search_row(const Answers& answers, const plan::OwnSearch& s) {
  const station::Station& station = answers.station;
  return {answers.plan.bands[s.band].band.name + ", " + station.arrangements[s.arrangement].name,
          station.conditions[s.condition].name,
          swr_text(s.swr),
          db(s.loss_db) + " dB",
          db(std::abs(s.lost_db) < 0.05 ? 0.0 : s.lost_db) + " dB",
          std::to_string(s.walk.measurements),
          fmt::format("{} at SWR {}", print_quantity(s.offered_w, Unit::watt, 3), swr_text(s.walk.greatest_swr)),
          can_tune_text(station, s),
          end_text(s)};
}

}  // namespace

bool ends_over_limit(const station::Station& station, const plan::OwnSearch& search) {
  return search.swr > station.transmitter.swr_limit;
}

std::string own_search_warning(const Answers& answers, std::size_t band, std::size_t arrangement) {
  const station::Station& station = answers.station;
  std::vector<std::string> ends, said;
  const plan::OwnSearch* starved = nullptr;
  for (const plan::OwnSearch& s : answers.searches) {
    if (s.band != band || s.arrangement != arrangement) continue;
    if (ends_over_limit(station, s))
      ends.push_back(fmt::format("SWR {} in \"{}\"", swr_text(s.swr), station.conditions[s.condition].name));
    if (s.can_tune && !*s.can_tune && (starved == nullptr || s.offered_w < starved->offered_w)) starved = &s;
  }
  if (!ends.empty()) said.push_back(fmt::format("its own search may end at {}", fmt::join(ends, ", ")));
  if (starved != nullptr)
    said.push_back(fmt::format("it cannot tune while the transmitter folds back: offers {}, needs {}",
                               print_quantity(starved->offered_w, Unit::watt, 3),
                               print_quantity(*station.arrangements[arrangement].least_tune_power_w, Unit::watt, 3)));
  return fmt::format("{}", fmt::join(said, "; "));
}

std::string taken_search_warning(const Answers& answers, std::size_t band) {
  const plan::BandResult& of = answers.plan.bands[band];
  const std::string warning = of.taken ? own_search_warning(answers, band, *of.taken) : std::string();
  return warning.empty() ? "" : fmt::format("{}, set by itself: {}.", of.arrangements[*of.taken].name, warning);
}

const plan::OwnSearch* own_search_of(const Answers& answers, std::size_t band, std::size_t arrangement,
                                     std::size_t condition) {
  for (const plan::OwnSearch& s : answers.searches) {
    if (s.band == band && s.arrangement == arrangement && s.condition == condition) return &s;
  }
  return nullptr;
}

std::vector<std::vector<std::string>> own_search_rows(const Answers& answers) {
  const station::Station& station = answers.station;
  std::vector<std::vector<std::string>> rows{
      {"", "in", "ends at SWR", "loses", "more than the best", "readings", "set offers", "enough to tune", "why"}};
  for (std::size_t n = 0; n < answers.searches.size();) {
    const plan::OwnSearch& first = answers.searches[n];
    const plan::OwnSearch* worst = &first;
    bool any = false;
    for (; n < answers.searches.size() && answers.searches[n].band == first.band &&
           answers.searches[n].arrangement == first.arrangement;
         ++n) {
      const plan::OwnSearch& s = answers.searches[n];
      if (ends_over_limit(station, s)) rows.push_back(search_row(answers, s));
      any = any || ends_over_limit(station, s);
      if (s.loss_db > worst->loss_db) worst = &s;
    }
    if (!any) rows.push_back(search_row(answers, *worst));
  }
  return rows;
}

std::string own_search_text(const Answers& answers) {
  if (answers.searches.empty()) return "";
  return "What a tuner finds by itself\n" + wrapped(own_search_note, 0, 110) + aligned(own_search_rows(answers)) + "\n";
}

std::string own_search_csv(const Answers& answers) {
  std::string text;
  for (std::size_t b = 0; b < answers.plan.bands.size(); ++b) {
    for (std::size_t n = 0; n < answers.station.arrangements.size(); ++n) {
      const std::string warning = own_search_warning(answers, b, n);
      if (!warning.empty())
        text += fmt::format("# own search, {}, {}: {}\n", answers.plan.bands[b].band.name,
                            answers.station.arrangements[n].name, warning);
    }
  }
  return text;
}

Json own_search_json(const Answers& answers, std::size_t band, std::size_t arrangement) {
  Json all = Json::array();
  for (const plan::OwnSearch& s : answers.searches) {
    if (s.band != band || s.arrangement != arrangement) continue;
    const auto& needs_w = answers.station.arrangements[arrangement].least_tune_power_w;
    all.push_back({{"condition", answers.station.conditions[s.condition].name},
                   {"within_limit", s.walk.status == tuner::TunerStatus::found},
                   {"false_minimum", s.walk.false_minimum},
                   {"swr", s.swr},
                   {"loss_db", s.loss_db},
                   {"lost_db", s.lost_db},
                   {"readings", s.walk.measurements},
                   {"greatest_swr", s.walk.greatest_swr},
                   {"offered_w", s.offered_w},
                   {"needs_w", needs_w ? Json(*needs_w) : Json(nullptr)},
                   {"can_tune", s.can_tune ? Json(*s.can_tune) : Json(nullptr)}});
  }
  return all.empty() ? Json(nullptr) : all;
}

}  // namespace stile::tools

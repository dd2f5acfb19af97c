#include "plan/own_search.hpp"

#include <algorithm>
#include <vector>

#include <cmath>

#include <fmt/core.h>

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

}  // namespace

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
    const plan::OwnSearch* worst = &answers.searches[n];
    for (; n < answers.searches.size() && answers.searches[n].band == worst->band &&
           answers.searches[n].arrangement == worst->arrangement;
         ++n) {
      if (answers.searches[n].loss_db > worst->loss_db) worst = &answers.searches[n];
    }
    rows.push_back({answers.plan.bands[worst->band].band.name + ", " + station.arrangements[worst->arrangement].name,
                    station.conditions[worst->condition].name, swr_text(worst->swr), db(worst->loss_db) + " dB",
                    db(std::abs(worst->lost_db) < 0.05 ? 0.0 : worst->lost_db) + " dB",
                    std::to_string(worst->walk.measurements),
                    fmt::format("{} at SWR {}", print_quantity(worst->offered_w, Unit::watt, 3),
                                swr_text(worst->walk.greatest_swr)),
                    can_tune_text(station, *worst), end_text(*worst)});
  }
  return rows;
}

std::string own_search_text(const Answers& answers) {
  if (answers.searches.empty()) return "";
  return "What a tuner finds by itself\n" + wrapped(own_search_note, 0, 110) + aligned(own_search_rows(answers)) + "\n";
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

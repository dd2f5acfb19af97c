#include "plan/vary.hpp"

#include <fmt/core.h>

#include <stile/plots/study.hpp>
#include <stile/safety/cautions.hpp>

#include "cli/command_line.hpp"
#include "cli/json.hpp"
#include "cli/table.hpp"
#include "plan/words.hpp"

namespace stile::tools {
namespace {

constexpr const char* caution = "No fields at people are computed here, and nothing is said of voltages: read the "
                                "cautions of the plan with the value "
                                "that you take. Local codes and licensed practice decide.";

/// "between 4 m and 4.5 m: take A, then take B".
std::string crossing_text(const plan::Study& study, const plan::Crossing& c) {
  return fmt::format("between {} and {}: {}, then {}", study.vary.shown[c.step], study.vary.shown[c.step + 1], c.before,
                     c.after);
}

/// "Least loss of what holds at these values: 4 m, A, 17.2 dB, as stated"; of each antenna by itself where they cannot
/// be compared.
std::string best_text(const plan::Study& study, std::size_t band) {
  if (!study.values_compared[band])
    return "No value is called the best: power into an antenna counts, values may make other antennas, and power into "
           "one says nothing against power into another";
  std::string text;
  for (const plan::BestValue& best : study.best[band])
    text += fmt::format("{}{}, {}, {} dB{}",
                        text.empty() ? "Least loss of what holds at these values: " : "; on another antenna ",
                        study.vary.shown[best.value], study.station.arrangements[best.arrangement].name,
                        db(best.counted_db), best.holds_throughout ? "" : ", as stated");
  return text.empty() ? "No arrangement holds at any of these values" : text;
}

Json best_json(const plan::Study& study, const plan::BestValue& best) {
  return {{"value", study.vary.values[best.value]},
          {"arrangement", study.station.arrangements[best.arrangement].name},
          {"counted_db", best.counted_db},
          {"holds_throughout", best.holds_throughout}};
}

std::string counted(plan::Counted of) {
  return of == plan::Counted::path ? "towards the path" : of == plan::Counted::radiated ? "radiated" : "to the antenna";
}

}  // namespace

std::string study_text(const plan::Study& study) {
  std::string text =
      fmt::format("{}\n{} from {} to {}, {} values; the file states {}\n", study.station.name, study.vary.what,
                  study.vary.shown.front(), study.vary.shown.back(), study.vary.shown.size(), study.stated);
  text +=
      wrapped("dB below full power in the worst normal condition; * holds throughout, + as stated. A change is found "
              "to the step between two values.",
              0, 110);
  for (std::size_t b = 0; b < study.station.bands.size(); ++b) {
    text += fmt::format("\n{}, {}\n", study.station.bands[b].name, counted(study.values.front()[b].counted));
    std::vector<std::vector<std::string>> rows{{""}};
    for (const station::Arrangement& a : study.station.arrangements) rows.front().push_back(a.name);
    rows.front().push_back("answer");
    for (std::size_t n = 0; n < study.values.size(); ++n) {
      const plan::VariedBand& band = study.values[n][b];
      rows.push_back({study.vary.shown[n]});
      for (const plan::VariedArrangement& a : band.arrangements)
        rows.back().push_back(db(a.counted_db) + (a.holds_throughout ? " *" : a.ok ? " +" : "  "));
      rows.back().push_back(band.answer);
    }
    text += aligned(rows);
    bool any = false;
    for (const plan::Crossing& c : study.crossings) {
      if (c.band != b) continue;
      text += wrapped("-> " + crossing_text(study, c) + ".", 0, 110);
      any = true;
    }
    if (!any) text += "-> the same answer at every value.\n";
    text += wrapped("   " + best_text(study, b) + ".", 0, 110);
  }
  return text + "\n" + wrapped(caution, 0, 110);
}

std::string study_json(const plan::Study& study) {
  Json j{{"tool", "stile-plan"},       {"version", version()},    {"station", study.station.name},
         {"vary", study.vary.what},    {"unit", study.vary.unit}, {"stated", study.stated},
         {"values", study.vary.values}};
  j["bands"] = Json::array();
  for (std::size_t b = 0; b < study.station.bands.size(); ++b) {
    Json band{{"band", study.station.bands[b].name},
              {"counted", counted_name(study.values.front()[b].counted)},
              {"points", Json::array()},
              {"crossings", Json::array()},
              {"best", nullptr}};
    if (study.best[b].size() == 1 && !study.best[b].front().antenna)
      band["best"] = best_json(study, study.best[b].front());
    band["values_compared"] = bool{study.values_compared[b]};
    band["best_apart"] = Json::array();
    for (const plan::BestValue& best : study.best[b]) {
      if (!best.antenna) continue;
      band["best_apart"].push_back({{"antenna", study.station.antennas[*best.antenna].name}});
      band["best_apart"].back().update(best_json(study, best));
    }
    for (std::size_t n = 0; n < study.values.size(); ++n) {
      const plan::VariedBand& v = study.values[n][b];
      Json point{{"value", study.vary.values[n]}, {"answer", v.answer}, {"arrangements", Json::array()}};
      point["taken"] = v.taken ? Json(study.station.arrangements[*v.taken].name) : Json(nullptr);
      for (std::size_t a = 0; a < v.arrangements.size(); ++a)
        point["arrangements"].push_back({{"name", study.station.arrangements[a].name},
                                         {"counted_db", v.arrangements[a].counted_db},
                                         {"worst_swr", v.arrangements[a].worst_swr},
                                         {"ok", v.arrangements[a].ok},
                                         {"holds_throughout", v.arrangements[a].holds_throughout}});
      band["points"].push_back(std::move(point));
    }
    for (const plan::Crossing& c : study.crossings) {
      if (c.band == b)
        band["crossings"].push_back({{"between", {study.vary.values[c.step], study.vary.values[c.step + 1]}},
                                     {"before", c.before},
                                     {"after", c.after}});
    }
    j["bands"].push_back(std::move(band));
  }
  j["caution"] = caution;
  return json_text(j);
}

std::string study_csv(const plan::Study& study) {
  std::string text = csv_row(
      {"value", "unit", "band", "answer", "arrangement", "counted_db", "worst_swr", "ok", "holds_throughout", "taken"});
  for (std::size_t n = 0; n < study.values.size(); ++n) {
    for (std::size_t b = 0; b < study.station.bands.size(); ++b) {
      const plan::VariedBand& v = study.values[n][b];
      for (std::size_t a = 0; a < v.arrangements.size(); ++a)
        text += csv_row({csv_number(study.vary.values[n]), csv_text(study.vary.unit),
                         csv_text(study.station.bands[b].name), csv_text(v.answer),
                         csv_text(study.station.arrangements[a].name), csv_number(v.arrangements[a].counted_db),
                         csv_number(v.arrangements[a].worst_swr), v.arrangements[a].ok ? "true" : "false",
                         v.arrangements[a].holds_throughout ? "true" : "false", v.taken == a ? "true" : "false"});
    }
  }
  text += fmt::format("# varied: {}, stated {}\n", study.vary.what, study.stated);
  for (const plan::Crossing& c : study.crossings)
    text += fmt::format("# {}: {}\n", study.station.bands[c.band].name, crossing_text(study, c));
  for (std::size_t b = 0; b < study.station.bands.size(); ++b)
    text += fmt::format("# {}, {}: {}\n", study.station.bands[b].name, counted(study.values.front()[b].counted),
                        best_text(study, b));
  return text + "# caution: " + caution + "\n";
}

plots::Chart study_chart(const plan::Study& study) {
  std::vector<plots::StudyPanel> panels;
  for (std::size_t b = 0; b < study.station.bands.size(); ++b) {
    plots::StudyPanel panel{study.station.bands[b].name, {}};
    for (const plan::Crossing& c : study.crossings) {
      if (c.band == b) panel.title += fmt::format("; {}", crossing_text(study, c));
    }
    for (std::size_t a = 0; a < study.station.arrangements.size(); ++a) {
      plots::StudyCurve curve{study.station.arrangements[a].name, study.vary.values, {}};
      for (const auto& value : study.values) curve.loss_db.push_back(value[b].arrangements[a].counted_db);
      panel.curves.push_back(std::move(curve));
    }
    panels.push_back(std::move(panel));
  }
  return plots::study_chart(
      panels, study.vary.what + (study.vary.unit.empty() ? "" : ", " + study.vary.unit),
      {fmt::format("{}: power in the worst condition, {} from {} to {}, all settings found anew at "
                   "each value",
                   study.station.name, study.vary.what, study.vary.shown.front(), study.vary.shown.back()),
       fmt::format("{} stile-plan {}; {}", caution, version(),
                   study.station.note.empty() ? study.station.name : study.station.note)});
}

}  // namespace stile::tools

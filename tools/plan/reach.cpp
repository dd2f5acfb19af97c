#include "plan/reach.hpp"

#include <cmath>

#include <fmt/core.h>

#include "cli/table.hpp"
#include "plan/words.hpp"

namespace stile::tools {

const plan::SettingsReach* reach_of(const Answers& answers, std::size_t band, std::size_t arrangement) {
  for (const plan::SettingsReach& r : answers.reaches) {
    if (r.band == band && r.arrangement == arrangement) return &r;
  }
  return nullptr;
}

const plan::ConditionReach* condition_reach(const plan::SettingsReach& reach, std::size_t condition) {
  for (const plan::ConditionReach& c : reach.conditions) {
    if (c.condition == condition) return &c;
  }
  return nullptr;
}

namespace {

/// Of an arrangement that holds nowhere: in which condition a load that would hold is nearest.
std::string nearest_words(const Answers& answers, const plan::SettingsReach& reach) {
  const plan::ConditionReach* nearest = &reach.conditions.front();
  for (const plan::ConditionReach& c : reach.conditions) {
    if (c.reach.way_in_ohm < nearest->reach.way_in_ohm) nearest = &c;
  }
  if (!std::isfinite(nearest->reach.way_in_ohm)) return "no load would";
  return fmt::format("the nearest load that would is {:.3g} ohm away, in \"{}\"", nearest->reach.way_in_ohm,
                     answers.station.conditions[nearest->condition].name);
}

}  // namespace

std::string reach_text(const Answers& answers) {
  if (answers.reaches.empty()) return "";
  std::string text = "How far the load may wander\n";
  text += wrapped(
      fmt::format("Each setting left as it is (a tuner as it had set itself), at the design frequency, within SWR "
                  "{:.3g}. The share is that of the straight ways between the normal conditions that some setting of "
                  "the plan serves. Wires are moved in steps of 2, 5, 10, 20, 40 and 80 cm.",
                  answers.station.transmitter.swr_limit),
      0, 110);
  std::size_t band = answers.plan.bands.size();
  for (const plan::SettingsReach& r : answers.reaches) {
    if (r.band != band) text += answers.plan.bands[r.band].band.name + "\n";
    band = r.band;
    text += wrapped(fmt::format("{}: {:.0f} % of the ways inside", answers.station.arrangements[r.arrangement].name,
                                100.0 * r.share_inside),
                    2, 110);
    bool any = false;
    for (const plan::ConditionReach& c : r.conditions) any = any || c.reach.inside;
    if (!any) {
      text += wrapped("holds in no condition: " + nearest_words(answers, r), 4, 110);
      continue;
    }
    for (const plan::ConditionReach& c : r.conditions)
      text += wrapped(fmt::format("{}: {}", answers.station.conditions[c.condition].name, c.words), 4, 110);
  }
  return text + "\n";
}

Json reach_json(const Answers& answers, const plan::SettingsReach& reach) {
  Json j{{"share_inside", reach.share_inside}};
  j["conditions"] = Json::array();
  for (const plan::ConditionReach& c : reach.conditions) {
    j["conditions"].push_back(
        {{"condition", answers.station.conditions[c.condition].name},
         {"load_ohm", json_complex(c.load_ohm)},
         {"inside", c.reach.inside},
         {"way_out_ohm", c.reach.inside ? Json(c.reach.way_out_ohm) : Json(nullptr)},
         {"way_out_load_ohm", c.reach.inside ? json_complex(c.reach.way_out_load_ohm) : Json(nullptr)},
         {"way_in_ohm", c.reach.inside ? Json(nullptr) : Json(c.reach.way_in_ohm)},
         {"way_in_load_ohm", c.reach.inside ? Json(nullptr) : json_complex(c.reach.way_in_load_ohm)},
         {"towards", c.towards ? Json(answers.station.conditions[*c.towards].name) : Json(nullptr)},
         {"towards_share", c.towards ? Json(c.towards_share) : Json(nullptr)},
         {"towards_ohm", c.towards ? Json(c.towards_ohm) : Json(nullptr)},
         {"move", c.moved ? Json(plan::moved_words(*c.moved)) : Json(nullptr)},
         {"move_m", c.moved ? Json(c.moved_m) : Json(nullptr)},
         {"moves_tried", Json::array()},
         {"words", c.words}});
    for (const plan::MoveTried& m : c.tried)
      j["conditions"].back()["moves_tried"].push_back({{"move", plan::moved_words(m.moved)}, {"up_to_m", m.up_to_m}});
  }
  j["edges_ohm"] = Json::array();
  for (const tuner::ReachEdge& edge : reach.edges) {
    Json points = Json::array();
    for (const cdouble z : edge) points.push_back(json_complex(z));
    j["edges_ohm"].push_back(std::move(points));
  }
  return j;
}

std::string reach_csv(const Answers& answers) {
  std::string text;
  for (const plan::SettingsReach& r : answers.reaches) {
    const std::string of =
        answers.plan.bands[r.band].band.name + ", " + answers.station.arrangements[r.arrangement].name;
    for (const plan::ConditionReach& c : r.conditions) {
      text += fmt::format("# reach, {}, {}: load {}, {}", of, answers.station.conditions[c.condition].name,
                          exact_ohms(c.load_ohm), c.reach.inside ? "inside" : "outside");
      if (c.reach.inside && std::isfinite(c.reach.way_out_ohm))
        text += ", way out at " + exact_ohms(c.reach.way_out_load_ohm);
      if (!c.reach.inside && std::isfinite(c.reach.way_in_ohm))
        text += ", way in at " + exact_ohms(c.reach.way_in_load_ohm);
      for (const plan::MoveTried& m : c.tried) text += fmt::format(", {} {} m", plan::moved_words(m.moved), m.up_to_m);
      text += c.tried.empty() ? "\n" : " tried\n";
    }
    for (const tuner::ReachEdge& edge : r.edges) {
      text += "# edge, " + of + ":";
      for (const cdouble z : edge) text += " " + exact_ohms(z);
      text += "\n";
    }
  }
  return text;
}

}  // namespace stile::tools

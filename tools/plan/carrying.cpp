#include "plan/carrying.hpp"

#include <algorithm>
#include <vector>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include "cli/table.hpp"
#include "plan/words.hpp"

namespace stile::tools {
namespace {

const std::string& name_of(const Answers& answers, std::size_t arrangement) {
  return answers.station.arrangements[arrangement].name;
}

const std::string& band_name(const Answers& answers, std::size_t band) { return answers.plan.bands[band].band.name; }

/// "~210 g": a mass that is typical, in part at least, has the mark.
std::string mass_text(double mass_kg, bool typical) {
  return (typical ? "~" : "") + print_quantity(mass_kg, Unit::kilogram, 3);
}

/// "~0.22 l", and "more than ~0.22 l" where the room of some part is not known.
std::string litres(const plan::PartsList& list) {
  if (!(list.volume_m3 > 0.0)) return list.no_volume.empty() ? "-" : "not known";
  return fmt::format("{}{}{:.2g} l", list.no_volume.empty() ? "" : "more than ", list.typical ? "~" : "",
                     1000.0 * list.volume_m3);
}

std::string order_text(const Answers& answers, const plan::BandOrder& o) {
  std::vector<std::string> bands;
  for (const std::size_t b : o.order) bands.push_back(band_name(answers, b));
  return fmt::format("{}", fmt::join(bands, ", "));
}

std::string parts_text(const plan::PartsList& list) {
  std::vector<std::string> parts;
  for (const plan::Part& p : list.parts)
    parts.push_back(fmt::format("{}{} {}", p.count > 1 ? fmt::format("{} x ", p.count) : "", p.name,
                                mass_text(p.mass_kg, p.known == plan::Known::typical)));
  for (const std::string& name : list.no_mass) parts.push_back(name + ": mass not stated");
  return parts.empty() ? "nothing" : fmt::format("{}", fmt::join(parts, "; "));
}

/// Tuners that are charged with fewer tunes than conditions change.
std::vector<std::string> tune_warnings(const station::Station& station) {
  std::vector<std::string> lines;
  const std::optional<double> changes_per_h = plan::condition_changes_per_h(station);
  if (!changes_per_h) return lines;
  for (const station::Arrangement& a : station.arrangements) {
    const double tunes_per_h = a.draw.tunes_per_h;
    if (!station::describe_kind(a.kind).automatic || !(tunes_per_h > 0.0) || tunes_per_h >= *changes_per_h) continue;
    lines.push_back(
        fmt::format("{}: charged with {:.3g} tunes an hour, while conditions change {:.3g} times an hour: one "
                    "that tunes at every change takes more time and charge than is told here.",
                    a.name, tunes_per_h, *changes_per_h));
  }
  return lines;
}

std::string trade_text(const Answers& answers, const plan::ResetTrade& t) {
  std::string text = fmt::format("{}: {}", band_name(answers, t.band), name_of(answers, t.anew));
  if (!t.broad)
    text += " must be set anew: nothing that is left alone holds";
  else if (t.gained_db <= 0.0)
    text +=
        fmt::format(" gains nothing: {}, left alone, is {:.1f} dB stronger", name_of(answers, *t.broad), -t.gained_db);
  else
    text += fmt::format(" is {:.1f} dB stronger than {}, left alone", t.gained_db, name_of(answers, *t.broad));
  if (t.resets_per_h)
    text += fmt::format("; {:.3g} times an hour {:.3g} s, {:.2g} % of the time", *t.resets_per_h, t.reset_s,
                        100.0 * *t.time_share);
  if (t.pays_up_to_per_h && t.gained_db > 0.0)
    text += fmt::format("; pays up to {:.3g} times an hour", *t.pays_up_to_per_h);
  return text + ".";
}

/// Names of the frontier's arrangements, what costs least first.
template <class Cost>
std::string frontier_names(const Answers& answers, const plan::BandFrontier& frontier, bool plan::FrontierPoint::*on,
                           const Cost& cost) {
  std::vector<plan::FrontierPoint> points;
  for (const plan::FrontierPoint& p : frontier.points) {
    if (p.*on) points.push_back(p);
  }
  std::stable_sort(points.begin(), points.end(),
                   [](const plan::FrontierPoint& a, const plan::FrontierPoint& b) { return a.power_w < b.power_w; });
  std::vector<std::string> names;
  for (const plan::FrontierPoint& p : points)
    names.push_back(
        fmt::format("{} ({}, {})", name_of(answers, p.arrangement), cost(p), print_quantity(p.power_w, Unit::watt, 3)));
  return names.empty() ? "nothing can be set" : fmt::format("{}", fmt::join(names, ", "));
}

std::string mass_frontier(const Answers& answers, const plan::BandFrontier& f) {
  return frontier_names(answers, f, &plan::FrontierPoint::by_mass, [&](const plan::FrontierPoint& p) {
    return mass_text(p.mass_kg, answers.parts[p.arrangement].typical);
  });
}

std::string hands_frontier(const Answers& answers, const plan::BandFrontier& f) {
  return frontier_names(answers, f, &plan::FrontierPoint::by_hands,
                        [](const plan::FrontierPoint& p) { return fmt::format("{} moved", p.hands); });
}

std::string asked_text(int touches, double seconds) { return fmt::format("{} touched, {:.4g} s", touches, seconds); }

/// Where some bands cannot be served it is said of how many the figures are.
std::string bands_text(const Answers& answers, const plan::BandOrder& order) {
  const std::size_t all = answers.plan.bands.size(), served = order.order.size();
  if (served == 0) return "-";
  return (served < all ? fmt::format("{} of {}: ", served, all) : "") + asked_text(order.touches, order.seconds);
}

/// Of an arrangement what it weighs, and what it gives on each band.
std::vector<std::string> signal_row(const Answers& answers, const plan::PartsList& list) {
  std::vector<std::string> row{name_of(answers, list.arrangement), mass_text(list.mass_kg, list.typical), litres(list)};
  for (const plan::BandResult& band : answers.plan.bands) {
    const plan::ArrangementResult& a = band.arrangements[list.arrangement];
    row.push_back(db(a.counted_db) + (a.holds_throughout ? " *" : a.ok ? " +" : ""));
  }
  return row;
}

std::string work_csv(const plan::HandWork& work) {
  return fmt::format("{} taps, {} trimmers, {} parts, {} s", work.taps, work.trimmers, work.parts, work.seconds);
}

Json work_json(const plan::HandWork& work) {
  return {{"taps", work.taps}, {"trimmers", work.trimmers}, {"parts", work.parts}, {"seconds", work.seconds}};
}

template <class Value>
Json known_json(const std::optional<Value>& value) {
  return value ? Json(*value) : Json(nullptr);
}

}  // namespace

std::string work_text(const plan::HandWork& work) {
  std::vector<std::string> said;
  const auto add = [&](int count, const char* what) {
    if (count > 0) said.push_back(count == 1 ? what : fmt::format("{} {}s", count, what));
  };
  add(work.taps, "tap");
  add(work.trimmers, "trimmer");
  add(work.parts, "part");
  if (said.empty()) return work.seconds > 0.0 ? fmt::format("by itself, {:.3g} s", work.seconds) : "nothing";
  return fmt::format("{}, {:.3g} s", fmt::join(said, " and "), work.seconds);
}

Carrying carrying(const Answers& answers) {
  const station::HandTimes& hands = answers.station.hands;
  const auto time = [](const std::optional<double>& stated, double assumed) {
    return fmt::format("{:.3g} s{}", stated.value_or(assumed), stated ? "" : " (assumed)");
  };
  Carrying c;
  c.note = fmt::format(
      "Masses with ~ are typical of such parts, from memory, in part at least: weigh your own. A "
      "hand takes {} for a tap, {} for a trimmer, {} for a part that is exchanged, a tuner {:.3g} s where it "
      "states none (assumed). The order of bands is the one with the fewest touches, of these the quickest, of "
      "at most {} bands that are possible; beyond that it is the file's.",
      time(hands.tap_s, plan::assumed_tap_s), time(hands.trimmer_s, plan::assumed_trimmer_s),
      time(hands.part_s, plan::assumed_part_s), plan::assumed_tune_s, plan::most_ordered_bands);
  for (const plan::PartsList& list : answers.parts) {
    if (list.no_mass.empty()) continue;
    c.note += " Of what is carried and has no stated mass nothing is in these figures: it is named among the parts.";
    break;
  }
  c.note += " A volume is \"more than\" what is told where the room of some part is not known.";
  c.rows = {{"", "mass", "volume", "new condition, at most", "all bands", "in the file's order", "order"}};
  for (const plan::BandOrder& o : answers.orders) {
    const plan::PartsList& list = answers.parts[o.arrangement];
    c.rows.push_back({name_of(answers, o.arrangement), mass_text(list.mass_kg, list.typical), litres(list),
                      work_text(o.between_conditions), bands_text(answers, o),
                      asked_text(o.stated_order_touches, o.stated_order_seconds),
                      std::is_sorted(o.order.begin(), o.order.end()) ? "the file's" : order_text(answers, o)});
  }
  c.signal_title =
      "Mass and volume beside the signal: dB below full power in the worst normal condition of each band; * holds "
      "throughout, + as stated";
  c.signal = {{"", "mass", "volume"}};
  for (const plan::BandResult& band : answers.plan.bands) c.signal.front().push_back(band.band.name);
  for (const plan::PartsList& list : answers.parts) c.signal.push_back(signal_row(answers, list));
  for (const plan::PartsList& list : answers.parts)
    c.parts.push_back(fmt::format("{}: {}.", name_of(answers, list.arrangement), parts_text(list)));
  for (const plan::ResetTrade& t : answers.trades) c.resets.push_back(trade_text(answers, t));
  for (std::string& line : tune_warnings(answers.station)) c.resets.push_back(std::move(line));
  for (const plan::BandFrontier& f : answers.frontiers) {
    const std::string where =
        band_name(answers, f.band) + (f.antenna ? ", on " + answers.station.antennas[*f.antenna].name : "");
    c.unbeaten.push_back(fmt::format("{}, mass: {}.", where, mass_frontier(answers, f)));
    c.unbeaten.push_back(fmt::format("{}, hands: {}.", where, hands_frontier(answers, f)));
  }
  return c;
}

std::string carrying_text(const Answers& answers) {
  const Carrying c = carrying(answers);
  std::string text = "What it asks of the walker\n" + wrapped(c.note, 0, 110) + aligned(c.rows);
  for (const std::string& line : c.parts) text += wrapped(line, 2, 110);
  text += wrapped(c.signal_title + ".", 0, 110) + aligned(c.signal);
  if (!c.resets.empty()) text += "Setting anew against leaving alone\n";
  for (const std::string& line : c.resets) text += wrapped(line, 2, 110);
  text += "What no other beats, whether it holds or not: in mass and power, in hands and power\n";
  for (const std::string& line : c.unbeaten) text += wrapped(line, 2, 110);
  return text + "\n";
}

Json carrying_json(const Answers& answers) {
  const station::HandTimes& hands = answers.station.hands;
  Json j{{"hand_times_s",
          {{"tap", hands.tap_s.value_or(plan::assumed_tap_s)},
           {"trimmer", hands.trimmer_s.value_or(plan::assumed_trimmer_s)},
           {"part", hands.part_s.value_or(plan::assumed_part_s)},
           {"tune", plan::assumed_tune_s}}},
         {"parts", Json::array()},
         {"orders", Json::array()},
         {"resets", Json::array()},
         {"frontiers", Json::array()},
         {"condition_changes_per_hour", known_json(plan::condition_changes_per_h(answers.station))},
         {"tune_warnings", tune_warnings(answers.station)}};
  for (const plan::PartsList& list : answers.parts) {
    Json parts = Json::array();
    for (const plan::Part& p : list.parts)
      parts.push_back({{"name", p.name},
                       {"count", p.count},
                       {"mass_kg", p.mass_kg},
                       {"volume_m3", known_json(p.volume_m3)},
                       {"known", plan::known_name(p.known)}});
    j["parts"].push_back({{"arrangement", name_of(answers, list.arrangement)},
                          {"mass_kg", list.mass_kg},
                          {"carried_mass_kg", list.mass_kg},
                          {"volume_m3", list.volume_m3},
                          {"typical", list.typical},
                          {"mass_not_stated", list.no_mass},
                          {"volume_not_known", list.no_volume},
                          {"parts", std::move(parts)}});
  }
  for (const plan::BandOrder& o : answers.orders) {
    Json order = Json::array(), steps = Json::array(), on_bands = Json::array();
    for (std::size_t b = 0; b < o.on_band.size(); ++b) {
      on_bands.push_back({{"band", band_name(answers, b)}});
      on_bands.back().update(work_json(o.on_band[b]));
    }
    for (const std::size_t b : o.order) order.push_back(band_name(answers, b));
    for (const plan::HandWork& work : o.steps) steps.push_back(work_json(work));
    j["orders"].push_back({{"arrangement", name_of(answers, o.arrangement)},
                           {"between_conditions", work_json(o.between_conditions)},
                           {"between_conditions_on", std::move(on_bands)},
                           {"order", std::move(order)},
                           {"steps", std::move(steps)},
                           {"touches", o.touches},
                           {"seconds", o.seconds},
                           {"stated_order_touches", o.stated_order_touches},
                           {"stated_order_seconds", o.stated_order_seconds},
                           {"least", o.least}});
  }
  for (const plan::ResetTrade& t : answers.trades)
    j["resets"].push_back({{"band", band_name(answers, t.band)},
                           {"anew", name_of(answers, t.anew)},
                           {"broad", t.broad ? Json(name_of(answers, *t.broad)) : Json(nullptr)},
                           {"gained_db", t.broad ? Json(t.gained_db) : Json(nullptr)},
                           {"reset_s", t.reset_s},
                           {"resets_per_hour", known_json(t.resets_per_h)},
                           {"time_share", known_json(t.time_share)},
                           {"pays_up_to_per_hour", known_json(t.pays_up_to_per_h)}});
  for (const plan::BandFrontier& f : answers.frontiers) {
    Json points = Json::array();
    for (const plan::FrontierPoint& p : f.points)
      points.push_back({{"arrangement", name_of(answers, p.arrangement)},
                        {"mass_kg", p.mass_kg},
                        {"carried_mass_kg", p.mass_kg},
                        {"hands", p.hands},
                        {"power_w", p.power_w},
                        {"by_mass", p.by_mass},
                        {"by_hands", p.by_hands}});
    j["frontiers"].push_back({{"band", band_name(answers, f.band)},
                              {"antenna", f.antenna ? Json(answers.station.antennas[*f.antenna].name) : Json(nullptr)},
                              {"power", f.radiated ? "radiated" : "delivered"},
                              {"points", std::move(points)}});
  }
  return j;
}

std::string carrying_csv(const Answers& answers) {
  const station::HandTimes& hands = answers.station.hands;
  std::string text =
      fmt::format("# hand times: {} s a tap, {} s a trimmer, {} s a part, {} s a tuner that states none\n",
                  hands.tap_s.value_or(plan::assumed_tap_s), hands.trimmer_s.value_or(plan::assumed_trimmer_s),
                  hands.part_s.value_or(plan::assumed_part_s), plan::assumed_tune_s);
  for (const plan::PartsList& list : answers.parts) {
    text += fmt::format("# carried, {}: {} kg, {} m3{}\n", name_of(answers, list.arrangement), list.mass_kg,
                        list.volume_m3, list.typical ? ", typical in part" : "");
    for (const std::string& name : list.no_mass)
      text += fmt::format("# not in it, {}: {}, mass not stated\n", name_of(answers, list.arrangement), name);
    for (const plan::Part& p : list.parts)
      text +=
          fmt::format("# part, {}: {} x {}, {} kg, {} m3, {}\n", name_of(answers, list.arrangement), p.count, p.name,
                      p.mass_kg, p.volume_m3 ? fmt::format("{}", *p.volume_m3) : "unknown", plan::known_name(p.known));
  }
  for (const plan::BandOrder& o : answers.orders) {
    const std::string& name = name_of(answers, o.arrangement);
    text += fmt::format("# hands, {}: between conditions {}\n", name, work_csv(o.between_conditions));
    for (std::size_t b = 0; b < o.on_band.size(); ++b)
      text +=
          fmt::format("# hands, {}, {}: between conditions {}\n", name, band_name(answers, b), work_csv(o.on_band[b]));
    text += fmt::format("# hands, {}: {} touched in {} s over the bands, {} in {} s in the file's order: {}{}\n", name,
                        o.touches, o.seconds, o.stated_order_touches, o.stated_order_seconds, order_text(answers, o),
                        o.least ? "" : " (the file's, not the least)");
    for (std::size_t n = 0; n < o.steps.size(); ++n)
      text += fmt::format("# hands, {}, {} to {}: {}\n", name, band_name(answers, o.order[n]),
                          band_name(answers, o.order[n + 1]), work_csv(o.steps[n]));
  }
  const auto known = [](const std::optional<double>& value) { return value ? fmt::format("{}", *value) : "unknown"; };
  for (const plan::ResetTrade& t : answers.trades)
    text += fmt::format(
        "# resets, {}: {} against {}, {} dB, {} s each, {} an hour, share of the time {}, pays up to {} an hour\n",
        band_name(answers, t.band), name_of(answers, t.anew), t.broad ? name_of(answers, *t.broad) : "nothing",
        t.broad ? fmt::format("{}", t.gained_db) : "unknown", t.reset_s, known(t.resets_per_h), known(t.time_share),
        known(t.pays_up_to_per_h));
  if (const auto changes_per_h = plan::condition_changes_per_h(answers.station))
    text += fmt::format("# conditions change {} times an hour\n", *changes_per_h);
  for (const std::string& line : tune_warnings(answers.station)) text += "# tunes, " + line + "\n";
  for (const plan::BandFrontier& f : answers.frontiers) {
    for (const plan::FrontierPoint& p : f.points)
      text += fmt::format("# frontier, {}, {}: {} kg, {} hands, {} W {}{}{}\n", band_name(answers, f.band),
                          name_of(answers, p.arrangement), p.mass_kg, p.hands, p.power_w,
                          f.radiated ? "radiated" : "delivered", p.by_mass ? ", not beaten in mass" : "",
                          p.by_hands ? ", not beaten in hands" : "");
  }
  return text;
}

}  // namespace stile::tools

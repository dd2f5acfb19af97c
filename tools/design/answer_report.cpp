#include "design/answer_report.hpp"

#include <stile/plan/plan.hpp>

#include "cli/table.hpp"
#include "design/words.hpp"

namespace stile::tools {
namespace {

constexpr std::size_t width = 110;
constexpr double nothing_db = 0.005;  // less prints as nothing

double power_w(const station::Brief& brief, const design::DesignedStation& s) {
  return plan::power_below(brief.given.transmitter.source.power_w, s.objective_db);
}

std::string of_bands(std::size_t held, std::size_t bands) { return fmt::format("{} of {}", held, bands); }

std::string frontiers_text(const station::Brief& brief, const design::Frontiers& f, bool held) {
  std::string text;
  if (f.by_mass.empty()) {
    text += "What mass buys: not known, [mass] does not say what the matches weigh.\n\n";
  } else {
    std::vector<std::vector<std::string>> rows{{"", "loss, dB", "power", "bands hold", "touch", "match", "antenna"}};
    for (const std::size_t n : f.by_mass) {
      const design::DesignedStation& s = f.stations[n];
      rows.push_back({"  " + print_quantity(s.mass_kg, Unit::kilogram, 3), db(s.objective_db),
                      print_quantity(power_w(brief, s), Unit::watt, 3), of_bands(s.held_bands, s.bands.size()),
                      std::string(station::touch_name(s.touch)), s.network_name, antenna_text(s)});
    }
    text += wrapped(fmt::format(
                        "What mass buys: nothing tried that is as light loses as little{}. Among {} antennas with a "
                        "match; a heavier one was looked at where it gains {:.1f} dB{}{}.",
                        held ? " and holds as many bands" : "", f.compared, f.least_gain_db, held ? " or a band" : "",
                        f.left_out == 0
                            ? ""
                            : fmt::format("; {} more that gain {} dB{} were left out, as at most {} are solved exactly",
                                          f.left_out, design::frontier_gain_db, held ? " or a band" : "",
                                          design::most_of_a_frontier)),
                    0, width) +
            aligned(rows) + "\n";
  }
  if (f.by_hands.empty()) return text;
  std::vector<std::vector<std::string>> rows{
      {"  at a change of band", "of condition", "loss, dB", "power", "bands hold", "touch", "match", "antenna"}};
  for (const std::size_t n : f.by_hands) {
    const design::DesignedStation& s = f.stations[n];
    rows.push_back({fmt::format("  {}", s.hands_between_bands), fmt::format("{}", s.hands), db(s.objective_db),
                    print_quantity(power_w(brief, s), Unit::watt, 3), of_bands(s.held_bands, s.bands.size()),
                    std::string(station::touch_name(s.touch)), s.network_name, antenna_text(s)});
  }
  return text +
         wrapped(fmt::format("What hands buy, by how many things are touched (the two together): nothing tried with as "
                             "few loses as "
                             "little{}.",
                             held ? " and holds as many bands" : ""),
                 0, width) +
         aligned(rows) + "\n";
}

std::string bands_text(const design::Design& design, const std::vector<design::BandCost>& bands) {
  if (bands.empty()) return "";
  std::string text;
  const std::size_t others = design.stations.front().bands.size() - 1;
  for (const design::BandCost& b : bands) {
    const double gain_db = b.others_db - b.without_db;
    if (b.without_hold == b.others_hold && gain_db < nothing_db) {
      text += fmt::format("  {}: costs the others nothing.\n", b.band);
      continue;
    }
    text += wrapped(
        fmt::format("{}: without it the others could have {} dB instead of {}{}, with {}; {}.", b.band,
                    db(b.without_db), db(b.others_db),
                    b.without_hold == b.others_hold
                        ? ""
                        : fmt::format(", and {} instead of {} hold", of_bands(b.without_hold, others), b.others_hold),
                    lengths_text(b.antenna), b.network_name),
        2, width);
  }
  return "Which band pays: what each costs the others, among the antennas that were tried.\n" + text + "\n";
}

std::string wires_text(const station::Brief& brief, const std::vector<design::WireUse>& wires) {
  std::string text;
  for (const design::WireUse& w : wires) {
    if (!w.possible) {
      text += wrapped(fmt::format("{}: without it the antenna cannot be fed.", w.wire), 2, width);
      continue;
    }
    std::vector<std::string> bands;
    for (std::size_t b = 0; b < w.on_band_db.size(); ++b) {
      if (std::abs(w.on_band_db[b]) >= nothing_db)
        bands.push_back(fmt::format("{} {:.2f}", brief.given.bands[b].name, w.on_band_db[b]));
    }
    text += wrapped(fmt::format("{}: without it {:.2f} dB {} lost{}{}.", w.wire, w.lost_db,
                                w.lost_db < 0.0 ? "(a gain) are" : "are",
                                bands.empty() ? "" : fmt::format("; dB by band: {}", fmt::join(bands, ", ")),
                                stops_text(w.stops)),
                    2, width);
  }
  return text.empty()
             ? ""
             : "What each wire is for, and what else is in the antenna, the match set anew without it:\n" + text + "\n";
}

std::string ranges_text(const std::vector<Range>& ranges) {
  std::vector<std::string> texts;
  for (const Range& r : ranges)
    texts.push_back(r.low == r.high ? print_quantity(r.low, Unit::metre, 3)
                                    : fmt::format("{} to {}", print_quantity(r.low, Unit::metre, 3),
                                                  print_quantity(r.high, Unit::metre, 3)));
  return fmt::format("{}", fmt::join(texts, ", "));
}

std::string avoid_text(const design::Answer& answer) {
  std::string text;
  for (const design::Avoid& a : answer.avoid) {
    std::vector<std::string> parts;
    if (!a.loses.empty())
      parts.push_back(
          fmt::format("{} (more than {:.0f} dB below the best length)", ranges_text(a.loses), design::avoid_db));
    if (!a.half_wave.empty())
      parts.push_back(fmt::format("near a multiple of half a wave along the ground: {}", ranges_text(a.half_wave)));
    text += wrapped(fmt::format("{}, {}: {}.", a.what, a.band, fmt::join(parts, "; ")), 2, width);
  }
  if (answer.scans.empty()) return "";
  std::vector<std::string> tried;
  for (const design::LengthScan& s : answer.scans)
    tried.push_back(fmt::format("{} at {} places from {} to {}", s.what, s.length_m.size(),
                                print_quantity(s.length_m.front(), Unit::metre, 3),
                                print_quantity(s.length_m.back(), Unit::metre, 3)));
  return wrapped(fmt::format("Lengths to avoid, everything else as in the first and its match set anew ({}):",
                             fmt::join(tried, "; ")),
                 0, width) +
         (text.empty() ? "  none.\n" : text) + "\n";
}

std::string hand_text(const design::DesignedStation& first, const design::HandBeside& hand) {
  std::string text = wrapped(
      fmt::format(
          "With a hand on the set, which the brief leaves out ({}): {}its match set anew for it loses {} dB and "
          "{} bands hold; without a hand it is {} dB and {}.",
          hand.conditions,
          hand.as_set
              ? fmt::format("the first loses {} dB as it is set and {} bands hold; ", db(hand.as_set->objective_db),
                            of_bands(hand.as_set->held_bands, hand.as_set->bands))
              : "",
          db(hand.anew.objective_db), of_bands(hand.anew.held_bands, hand.anew.bands.size()), db(first.objective_db),
          of_bands(first.held_bands, first.bands.size())),
      0, width);
  std::vector<std::vector<std::string>> rows{{"", "without, dB", "as set, dB", "set anew, dB", "worst condition then"}};
  for (std::size_t b = 0; b < first.bands.size(); ++b)
    rows.push_back({"  " + first.bands[b].band, db(first.bands[b].counted_db),
                    hand.as_set ? db(hand.as_set->figures[b].counted_db) : "-", db(hand.anew.bands[b].counted_db),
                    hand.anew.bands[b].worst_condition});
  return text + aligned(rows) +
         wrapped("Another antenna may be the best then: put the hand among the conditions of the brief.", 2, width) +
         "\n";
}

Json point_json(const station::Brief& brief, const design::DesignedStation& s) {
  return {{"touch", station::touch_name(s.touch)},
          {"network", s.network_name},
          {"whip_m", s.antenna.whip_m},
          {"counterpoise_m", s.antenna.wires_m},
          {"choke", named(s.choke)},
          {"hat", named(s.hat)},
          {"loading_coil", named(s.loading)},
          {"layout", named(s.layout)},
          {"mass_kg", s.mass_kg},
          {"mass_known", s.mass_known},
          {"hands", s.hands},
          {"hands_between_bands", s.hands_between_bands},
          {"objective_db", known(s.objective_db)},
          {"power_w", power_w(brief, s)},
          {"held_bands", s.held_bands},
          {"station_file", s.station_file},
          {"wires_file", s.wires_file}};
}

Json ranges_json(const std::vector<Range>& ranges) {
  Json j = Json::array();
  for (const Range& r : ranges) j.push_back({r.low, r.high});
  return j;
}

Json hand_json(const design::DesignedStation& first, const design::HandBeside& hand) {
  Json j{{"conditions", hand.conditions},
         {"without", {{"objective_db", known(first.objective_db)}, {"held_bands", first.held_bands}}},
         {"as_set", nullptr},
         {"set_anew", {{"objective_db", known(hand.anew.objective_db)}, {"held_bands", hand.anew.held_bands}}},
         {"station_file", hand.anew.station_file},
         {"wires_file", hand.anew.wires_file},
         {"bands", Json::array()}};
  if (hand.as_set)
    j["as_set"] = {{"objective_db", known(hand.as_set->objective_db)}, {"held_bands", hand.as_set->held_bands}};
  for (std::size_t b = 0; b < first.bands.size(); ++b)
    j["bands"].push_back({{"band", first.bands[b].band},
                          {"without_db", known(first.bands[b].counted_db)},
                          {"as_set_db", hand.as_set ? known(hand.as_set->figures[b].counted_db) : Json(nullptr)},
                          {"as_set_holds", hand.as_set ? Json(hand.as_set->figures[b].holds) : Json(nullptr)},
                          {"set_anew_db", known(hand.anew.bands[b].counted_db)},
                          {"set_anew_holds", hand.anew.bands[b].holds},
                          {"worst_condition", hand.anew.bands[b].worst_condition}});
  return j;
}

std::string csv_lengths(const std::vector<double>& lengths_m) {
  std::vector<std::string> texts;
  for (const double length_m : lengths_m) texts.push_back(csv_number(length_m));
  return csv_text(fmt::format("{}", fmt::join(texts, " ")));
}

std::string csv_names(const std::vector<std::string>& names) {
  return csv_text(fmt::format("{}", fmt::join(names, ", ")));
}

}  // namespace

std::string answer_text(const station::Brief& brief, const design::Design& design, const design::Answer& answer) {
  if (design.stations.empty() || design.status != design::Status::found) return "";
  std::string text = bands_text(design, answer.bands) + wires_text(brief, answer.wires) + avoid_text(answer) +
                     frontiers_text(brief, answer.frontiers, design.objective == design::Objective::held);
  if (answer.hand)
    text += hand_text(design.stations.front(), *answer.hand);
  else if (!answer.hand_refused.empty())
    text +=
        wrapped("What a hand on the set does was not asked, the brief takes no condition more: " + answer.hand_refused,
                0, width) +
        "\n";
  if (answer.unfinished) text += "UNFINISHED: stopped before all of this was asked.\n\n";
  return text;
}

void add_answer_json(Json& to, const station::Brief& brief, const design::Design& design,
                     const design::Answer& answer) {
  const design::Frontiers& f = answer.frontiers;
  Json& frontiers = to["frontiers"] = {{"compared", f.compared},
                                       {"least_gain_db", f.least_gain_db},
                                       {"left_out", f.left_out},
                                       {"mass", Json::array()},
                                       {"hands", Json::array()}};
  for (const std::size_t n : f.by_mass) frontiers["mass"].push_back(point_json(brief, f.stations[n]));
  for (const std::size_t n : f.by_hands) frontiers["hands"].push_back(point_json(brief, f.stations[n]));
  to["band_costs"] = Json::array();
  for (const design::BandCost& b : answer.bands)
    to["band_costs"].push_back({{"band", b.band},
                                {"others_db", known(b.others_db)},
                                {"others_hold", b.others_hold},
                                {"without_db", known(b.without_db)},
                                {"without_hold", b.without_hold},
                                {"whip_m", b.antenna.whip_m},
                                {"counterpoise_m", b.antenna.wires_m},
                                {"network", b.network_name}});
  to["wire_uses"] = Json::array();
  for (const design::WireUse& w : answer.wires) {
    Json j{{"wire", w.wire},
           {"possible", w.possible},
           {"lost_db", nullptr},
           {"bands", Json::array()},
           {"stops_holding", w.stops}};
    if (w.possible) j["lost_db"] = known(w.lost_db);
    for (std::size_t b = 0; b < w.on_band_db.size(); ++b)
      j["bands"].push_back({{"band", brief.given.bands[b].name}, {"lost_db", known(w.on_band_db[b])}});
    to["wire_uses"].push_back(std::move(j));
  }
  to["lengths_to_avoid"] = Json::array();
  for (const design::Avoid& a : answer.avoid)
    to["lengths_to_avoid"].push_back({{"what", a.what},
                                      {"band", a.band},
                                      {"more_than_db", design::avoid_db},
                                      {"lengths_m", ranges_json(a.loses)},
                                      {"half_wave_m", ranges_json(a.half_wave)}});
  to["length_scans"] = Json::array();
  for (const design::LengthScan& s : answer.scans) {
    Json j{{"what", s.what}, {"points", Json::array()}};
    for (std::size_t k = 0; k < s.length_m.size(); ++k) {
      Json point{{"length_m", s.length_m[k]}, {"loss_db", Json::array()}};
      for (const double loss_db : s.counted_db[k]) point["loss_db"].push_back(known(loss_db));
      j["points"].push_back(std::move(point));
    }
    to["length_scans"].push_back(std::move(j));
  }
  to["with_hand"] = answer.hand ? hand_json(design.stations.front(), *answer.hand) : Json(nullptr);
  to["with_hand_refused"] = answer.hand_refused.empty() ? Json(nullptr) : Json(answer.hand_refused);
  to["answer_unfinished"] = answer.unfinished;
}

std::string answer_csv(const station::Brief& brief, const design::Design& design, const design::Answer& answer) {
  if (design.stations.empty() || design.status != design::Status::found) return "";
  std::string text;
  const design::Frontiers& f = answer.frontiers;
  for (const auto& [name, of] : {std::pair{"mass", &f.by_mass}, std::pair{"hands", &f.by_hands}}) {
    text += fmt::format("\n# frontier of {}\n", name) +
            csv_row({"touch", "network", "whip_m", "counterpoise_m", "choke", "mass_kg", "hands", "hands_between_bands",
                     "objective_db", "power_w", "held_bands", "station_file", "hat", "loading_coil", "layout"});
    for (const std::size_t n : *of) {
      const design::DesignedStation& s = f.stations[n];
      text += csv_row({csv_text(std::string(station::touch_name(s.touch))), csv_text(s.network_name),
                       csv_number(s.antenna.whip_m), csv_lengths(s.antenna.wires_m), csv_text(s.choke),
                       csv_number(s.mass_kg), fmt::format("{}", s.hands), fmt::format("{}", s.hands_between_bands),
                       csv_number(s.objective_db), csv_number(power_w(brief, s)), fmt::format("{}", s.held_bands),
                       csv_text(s.station_file), csv_text(s.hat), csv_text(s.loading), csv_text(s.layout)});
    }
  }
  text += "\n# what each band costs the others\n" + csv_row({"band", "others_db", "others_hold", "without_db",
                                                             "without_hold", "whip_m", "counterpoise_m", "network"});
  for (const design::BandCost& b : answer.bands)
    text += csv_row({csv_text(b.band), csv_number(b.others_db), fmt::format("{}", b.others_hold),
                     csv_number(b.without_db), fmt::format("{}", b.without_hold), csv_number(b.antenna.whip_m),
                     csv_lengths(b.antenna.wires_m), csv_text(b.network_name)});
  text += "\n# what each wire is for: lost without it\n" + csv_row({"wire", "band", "lost_db", "stops_holding"});
  for (const design::WireUse& w : answer.wires) {
    text += csv_row({csv_text(w.wire), "", w.possible ? csv_number(w.lost_db) : "", csv_names(w.stops)});
    for (std::size_t b = 0; b < w.on_band_db.size(); ++b)
      text += csv_row({csv_text(w.wire), csv_text(brief.given.bands[b].name), csv_number(w.on_band_db[b]), ""});
  }
  text += fmt::format("\n# lengths to avoid: more than {:.0f} dB below the best length, or near half a wave\n",
                      design::avoid_db) +
          csv_row({"what", "band", "why", "from_m", "to_m"});
  for (const design::Avoid& a : answer.avoid) {
    for (const auto& [why, ranges] : {std::pair{"loses", &a.loses}, std::pair{"half wave", &a.half_wave}}) {
      for (const Range& r : *ranges)
        text += csv_row({csv_text(a.what), csv_text(a.band), why, csv_number(r.low), csv_number(r.high)});
    }
  }
  text += "\n# lengths tried for that\n" + csv_row({"what", "length_m", "band", "loss_db"});
  for (const design::LengthScan& s : answer.scans) {
    for (std::size_t k = 0; k < s.length_m.size(); ++k) {
      for (std::size_t b = 0; b < s.counted_db[k].size(); ++b)
        text += csv_row({csv_text(s.what), csv_number(s.length_m[k]), csv_text(brief.given.bands[b].name),
                         csv_number(s.counted_db[k][b])});
    }
  }
  if (!answer.hand) return text;
  const design::HandBeside& hand = *answer.hand;
  const design::DesignedStation& first = design.stations.front();
  text += "\n# with a hand on the set: " + hand.conditions + "\n" +
          csv_row({"band", "without_db", "as_set_db", "set_anew_db", "worst_condition"});
  text += csv_row({"", csv_number(first.objective_db), hand.as_set ? csv_number(hand.as_set->objective_db) : "",
                   csv_number(hand.anew.objective_db), ""});
  for (std::size_t b = 0; b < first.bands.size(); ++b)
    text += csv_row({csv_text(first.bands[b].band), csv_number(first.bands[b].counted_db),
                     hand.as_set ? csv_number(hand.as_set->figures[b].counted_db) : "",
                     csv_number(hand.anew.bands[b].counted_db), csv_text(hand.anew.bands[b].worst_condition)});
  return text;
}

}  // namespace stile::tools

#include "design/report.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "cli/cautions.hpp"
#include "cli/command_line.hpp"
#include "cli/json.hpp"
#include "cli/table.hpp"
#include "design/answer_report.hpp"
#include "design/words.hpp"

namespace stile::tools {
namespace {

std::string swr_text(double swr) { return swr < 100.0 ? fmt::format("{:.2f}", swr) : ">100"; }

std::string status_name(design::Status status) {
  switch (status) {
  case design::Status::found:
    return "found";
  case design::Status::unfinished:
    return "unfinished";
  case design::Status::none:
    return "none";
  case design::Status::not_run:
    break;
  }
  return "not run";
}

std::string elements_text(const std::vector<network::Element>& elements) {
  std::vector<std::string> parts;
  for (const network::Element& e : elements)
    parts.push_back(fmt::format("{}{} {}",
                                e.place == network::Place::cascade ? std::string() : network::place_name(e.place) + " ",
                                network::kind_name(e.part), network::value_text(e.part)));
  return parts.empty() ? "straight through" : fmt::format("{}", fmt::join(parts, ", "));
}

/// One line where every condition has the same.
std::string settings_text(const design::BandFigures& band) {
  std::vector<std::string> texts;
  for (const design::ConditionSetting& s : band.settings) {
    texts.push_back(elements_text(s.elements));
    if (s.feed_turns) texts.back() += fmt::format(", transmitter at turn {:g}", *s.feed_turns);
    if (s.tap_turns) texts.back() += fmt::format(", tap at turn {:g}", *s.tap_turns);
  }
  if (texts.empty()) return "cannot be made";
  bool same = true;
  for (const std::string& text : texts) same = same && text == texts.front();
  if (same) return texts.front();
  std::string all;
  for (std::size_t n = 0; n < texts.size(); ++n)
    all += fmt::format("{}{}: {}", n == 0 ? "" : "; ", band.settings[n].condition, texts[n]);
  return all;
}

std::string proof_text(const design::BandFigures& band) {
  std::string text = fmt::format("no match of any kind loses less than {} dB", db(band.bound_db));
  if (!band.proof) return text;
  return text + fmt::format("; {} {} dB, {} setting{} tried",
                            band.proof->proven     ? "proven against"
                            : band.proof->in_steps ? "searched in steps, bound"
                                                   : "searched, bound",
                            db(band.proof->bound_db), band.proof->tried, band.proof->tried == 1 ? "" : "s");
}

std::string station_text(const design::DesignedStation& s) {
  std::string text = wrapped(
      fmt::format("Touch \"{}\": {}; {}. {} dB, {} of {} bands hold. {}.{}", station::touch_name(s.touch),
                  antenna_text(s), s.network_name + (s.coil.empty() ? "" : fmt::format(", {:g} turns", s.coil_turns)),
                  db(s.objective_db), s.held_bands, s.bands.size(),
                  s.mass_known ? print_quantity(s.mass_kg, Unit::kilogram, 3)
                               : fmt::format("Antenna {}, the match's mass is not stated",
                                             print_quantity(s.mass_kg, Unit::kilogram, 3)),
                  s.at_limit.empty() ? "" : fmt::format(" What binds: {}.", fmt::join(s.at_limit, "; "))),
      0, 110);
  const bool path = with_path(s);
  std::vector<std::vector<std::string>> rows{{"", "radiated, dB", "worst condition", "SWR", ""}};
  if (path) rows.front().insert(rows.front().begin() + 1, "to path, dB");
  for (const design::BandFigures& b : s.bands) {
    rows.push_back({"  " + b.band, db(b.radiated_db), b.worst_condition, swr_text(b.worst_swr),
                    b.holds            ? "holds"
                    : b.within_ratings ? "over the SWR limit"
                    : b.within_swr     ? "over a rating"
                                       : "over the SWR limit, over a rating"});
    if (path) rows.back().insert(rows.back().begin() + 1, db(b.path_db));
  }
  text += aligned(rows);
  for (const design::BandFigures& b : s.bands)
    text += wrapped(fmt::format("{}: {} ({}).", b.band, settings_text(b), proof_text(b)), 2, 110);
  return text + "\n";
}

std::string cut_text(double length_m, bool reached, const std::vector<std::string>& stops, const char* way) {
  const std::string length = length_m == 0.0 ? fmt::format("under {:.0f} cm", 100.0 * design::least_cut_m)
                                             : fmt::format("{:.0f} cm", 100.0 * length_m);
  return fmt::format("{}{} {}{}", length, reached || !stops.empty() ? "" : " or more", way, stops_text(stops));
}

std::string around_text(const design::Design& design) {
  std::string text;
  for (const design::Sensitivity& s : design.sensitivity)
    text +=
        wrapped(fmt::format("{}, {} more: {:+.2f} dB{}.", s.what, s.unit, s.db_per_unit, stops_text(s.stops)), 2, 110);
  for (const design::CutTolerance& c : design.cuts)
    text += wrapped(fmt::format("{}: may be {} or {} before 0.5 dB is lost or a band stops holding.", c.what,
                                cut_text(c.shorter_m, c.shorter_reached, c.shorter_stops, "shorter"),
                                cut_text(c.longer_m, c.longer_reached, c.longer_stops, "longer")),
                    2, 110);
  return text.empty() ? "" : "Around the first, its match set anew (+ is gained, - is lost):\n" + text + "\n";
}

std::string searched_text(const design::Searched& s) {
  return fmt::format(
      "Searched: {} antennas, {} solutions, {} settings; {}. The search's own figures were off by up to {:.3f} "
      "dB where it was solved again.",
      s.antennas, s.solves, s.settings, s.how, s.worst_error_db);
}

std::string figure_text(const std::optional<design::WalkFigure>& f) {
  return f ? fmt::format("{:.2f} ({:.2f})", f->median, f->tenth) : "not known";
}

std::string walks_table(const design::ArrangementWalks& walks, double stated_db) {
  const bool path = std::any_of(walks.bands.begin(), walks.bands.end(),
                                [](const design::WalkBand& b) { return b.path_db.has_value(); });
  std::vector<std::vector<std::string>> rows{{"", "radiated, dB", "holds, share of time"}};
  if (path) rows.front().insert(rows.front().begin() + 1, "to path, dB");
  for (const design::WalkBand& b : walks.bands) {
    rows.push_back({"    " + b.band, figure_text(b.radiated_db), figure_text(b.held_share)});
    if (path) rows.back().insert(rows.back().begin() + 1, figure_text(b.path_db));
  }
  return wrapped(fmt::format("{}: mean {} dB; in the world as stated {} dB.", walks.name, figure_text(walks.mean),
                             db(stated_db)),
                 2, 110) +
         aligned(rows);
}

std::string comparison_text(const design::Design& d, const design::Comparison& c) {
  std::string text;
  for (const design::PresentStation& p : c.present)
    text += wrapped(
        fmt::format("Present station, {}: {} dB over {} bands in common with the brief, as stated; {} of them hold.",
                    p.name, db(p.objective_db), p.bands, p.held_bands) +
            (p.differs.empty() ? "" : fmt::format(" It is given no rank: {}.", p.differs)),
        0, 110);
  if (c.walks == 0) return text + "Not taken on walks: what it does when the world is not as stated is not known.\n\n";
  text += wrapped(fmt::format("On {} walks{} that the search was not shown, median (nine walks of ten are no worse):",
                              c.walks, c.unfinished ? ", UNFINISHED," : ""),
                  0, 110);
  for (std::size_t n = 0; n < c.stations.size(); ++n) {
    text += walks_table(c.stations[n], d.stations[n].objective_db);
    if (c.trimmed[n]) text += walks_table(*c.trimmed[n], d.stations[n].objective_db);
  }
  if (c.stations.size() < d.stations.size())
    text += wrapped("The other stations were not taken along; --walks 200 takes them all.", 2, 110);
  for (const design::PresentStation& p : c.present) {
    if (!p.walks.bands.empty()) text += walks_table(p.walks, p.objective_db);
    if (p.trimmed) text += walks_table(*p.trimmed, p.objective_db);
  }
  for (const std::string& verdict : c.verdicts) text += wrapped(verdict + ".", 2, 110);
  text += "  On the walks:\n";
  for (const std::string& assumption : c.assumptions) text += wrapped(assumption + ".", 4, 110);
  return text + "\n";
}

Json figure_json(const std::optional<design::WalkFigure>& f) {
  return f ? Json{{"median", known(f->median)}, {"tenth", known(f->tenth)}} : Json(nullptr);
}

Json walks_json(const design::ArrangementWalks& walks) {
  if (walks.bands.empty()) return nullptr;
  Json j{{"mean_db", figure_json(walks.mean)}, {"bands", Json::array()}};
  for (const design::WalkBand& b : walks.bands)
    j["bands"].push_back({{"band", b.band},
                          {"radiated_db", figure_json(b.radiated_db)},
                          {"path_db", figure_json(b.path_db)},
                          {"held_share", figure_json(b.held_share)}});
  return j;
}

Json comparison_json(const design::Comparison& c) {
  Json j{{"count", c.walks}, {"unfinished", c.unfinished}, {"verdicts", c.verdicts}, {"assumptions", c.assumptions}};
  return j;
}

Json present_json(const design::PresentStation& p) {
  Json j{{"name", p.name},
         {"objective_db", known(p.objective_db)},
         {"held_bands", p.held_bands},
         {"bands", Json::array()},
         {"walks", walks_json(p.walks)},
         {"walks_trimmed", p.trimmed ? walks_json(*p.trimmed) : Json(nullptr)},
         {"differs", p.differs}};
  for (const design::BandFigures& b : p.figures)
    j["bands"].push_back({{"band", b.band},
                          {"radiated_db", known(b.radiated_db)},
                          {"path_db", known(b.path_db)},
                          {"worst_condition", b.worst_condition},
                          {"worst_swr", known(b.worst_swr)},
                          {"holds", b.holds}});
  return j;
}

Json setting_json(const design::ConditionSetting& s) {
  Json j{{"condition", s.condition}, {"elements", Json::array()}, {"tap_turns", nullptr}, {"feed_turns", nullptr}};
  if (s.tap_turns) j["tap_turns"] = *s.tap_turns;
  if (s.feed_turns) j["feed_turns"] = *s.feed_turns;
  for (const network::Element& e : s.elements)
    j["elements"].push_back({{"place", network::place_name(e.place)},
                             {"kind", network::kind_name(e.part)},
                             {"value", network::value_si(e.part)}});
  return j;
}

Json band_json(const design::BandFigures& b) {
  Json j{{"band", b.band},
         {"radiated_db", known(b.radiated_db)},
         {"path_db", known(b.path_db)},
         {"worst_condition", b.worst_condition},
         {"worst_swr", known(b.worst_swr)},
         {"holds", b.holds},
         {"within_ratings", b.within_ratings},
         {"settings", Json::array()},
         {"bound_db", known(b.bound_db)},
         {"proof", nullptr}};
  for (const design::ConditionSetting& s : b.settings) j["settings"].push_back(setting_json(s));
  if (b.proof)
    j["proof"] = {{"tried", b.proof->tried},
                  {"bound_db", known(b.proof->bound_db)},
                  {"proven", b.proof->proven},
                  {"how", b.proof->how}};
  return j;
}

Json station_json(const design::DesignedStation& s) {
  Json j{{"touch", station::touch_name(s.touch)},
         {"objective_db", known(s.objective_db)},
         {"held_bands", s.held_bands},
         {"whip_m", s.antenna.whip_m},
         {"counterpoise_m", s.antenna.wires_m},
         {"choke", named(s.choke)},
         {"hat", named(s.hat)},
         {"loading_coil", named(s.loading)},
         {"layout", named(s.layout)},
         {"network", s.network_name},
         {"coil", named(s.coil)},
         {"coil_turns", s.coil.empty() ? Json(nullptr) : Json(s.coil_turns)},
         {"mass_kg", s.mass_kg},
         {"mass_known", s.mass_known},
         {"hands", s.hands},
         {"hands_between_bands", s.hands_between_bands},
         {"at_limit", s.at_limit},
         {"station_file", s.station_file},
         {"wires_file", s.wires_file},
         {"bands", Json::array()}};
  for (const design::BandFigures& b : s.bands) j["bands"].push_back(band_json(b));
  return j;
}

std::string walks_csv(const design::Comparison& c) {
  if (c.walks == 0) return "";
  std::string text = fmt::format("\n# on {} walks{}\n", c.walks, c.unfinished ? ", unfinished" : "") +
                     csv_row({"station", "band", "radiated_db_median", "radiated_db_tenth", "path_db_median",
                              "path_db_tenth", "held_share_median", "held_share_tenth"});
  const auto add = [&](const design::ArrangementWalks& w) {
    if (w.bands.empty()) return;
    text += csv_row({csv_text(w.name), "", csv_number(w.mean.median), csv_number(w.mean.tenth), "", "", "", ""});
    const auto median = [](const std::optional<design::WalkFigure>& f) {
      return csv_number(f ? f->median : std::numeric_limits<double>::quiet_NaN());
    };
    const auto tenth = [](const std::optional<design::WalkFigure>& f) {
      return csv_number(f ? f->tenth : std::numeric_limits<double>::quiet_NaN());
    };
    for (const design::WalkBand& b : w.bands)
      text +=
          csv_row({csv_text(w.name), csv_text(b.band), median(b.radiated_db), tenth(b.radiated_db), median(b.path_db),
                   tenth(b.path_db), csv_number(b.held_share.median), csv_number(b.held_share.tenth)});
  };
  for (std::size_t n = 0; n < c.stations.size(); ++n) {
    add(c.stations[n]);
    if (c.trimmed[n]) add(*c.trimmed[n]);
  }
  for (const design::PresentStation& p : c.present) {
    if (!p.walks.bands.empty()) add(p.walks);
    if (p.trimmed) add(*p.trimmed);
  }
  for (const std::string& verdict : c.verdicts) text += "# " + verdict + "\n";
  return text;
}

}  // namespace

std::string design_text(const station::Brief& brief, const design::Design& d, const design::Answer& answer,
                        const design::Comparison& comparison) {
  std::string text = brief.name + "\n" + (brief.note.empty() ? "" : brief.note + "\n");
  text +=
      wrapped(
          fmt::format(
              "Figures are dB below the transmitter's full power, in the worst normal condition over the part "
              "of each band in use. What counts is what {}; the one figure of a station is the mean over its bands.",
              d.stations.empty() ? "band by band goes towards the other station where it has a [path], "
                                   "else is radiated"
                                 : what_counts(d)),
          0, 110) +
      "\n";
  if (d.status == design::Status::unfinished)
    text += d.stations.empty() ? "UNFINISHED: stopped before a station was found.\n\n"
                               : "UNFINISHED: stopped; this is the best so far.\n\n";
  if (d.status == design::Status::none)
    text += wrapped("Nothing is within the limits. To relax: " + d.relax + "." +
                        (d.stations.empty() ? "" : " The nearest station, beyond it:"),
                    0, 110) +
            "\n";
  for (const design::DesignedStation& s : d.stations) text += station_text(s);
  text += around_text(d);
  text += answer_text(brief, d, answer);
  text += comparison_text(d, comparison);
  text += wrapped(searched_text(d.searched), 0, 110);
  for (const std::string& note : d.notes) text += wrapped(note, 0, 110);
  if (!d.stations.empty()) text += "\n" + cautions_text(d.stations.front().cautions);
  return text;
}

std::string design_json(const station::Brief& brief, const design::Design& d, const design::Answer& answer,
                        const design::Comparison& comparison) {
  Json j{{"tool", "stile-design"},
         {"version", version()},
         {"brief", brief.name},
         {"status", status_name(d.status)},
         {"relax", d.relax.empty() ? Json(nullptr) : Json(d.relax)},
         {"towards_path", d.towards_path},
         {"stations", Json::array()}};
  for (std::size_t n = 0; n < d.stations.size(); ++n) {
    j["stations"].push_back(station_json(d.stations[n]));
    j["stations"].back()["walks"] = n < comparison.stations.size() ? walks_json(comparison.stations[n]) : Json(nullptr);
    j["stations"].back()["walks_trimmed"] =
        n < comparison.trimmed.size() && comparison.trimmed[n] ? walks_json(*comparison.trimmed[n]) : Json(nullptr);
  }
  j["searched"] = {{"antennas", d.searched.antennas},
                   {"solves", d.searched.solves},
                   {"settings", d.searched.settings},
                   {"skipped", d.searched.skipped},
                   {"exhaustive", d.searched.exhaustive},
                   {"worst_error_db", d.searched.worst_error_db},
                   {"how", d.searched.how}};
  j["sensitivity"] = Json::array();
  for (const design::Sensitivity& s : d.sensitivity)
    j["sensitivity"].push_back(
        {{"what", s.what}, {"db_per_unit", known(s.db_per_unit)}, {"unit", s.unit}, {"stops_holding", s.stops}});
  j["cut_tolerance"] = Json::array();
  for (const design::CutTolerance& c : d.cuts)
    j["cut_tolerance"].push_back({{"what", c.what},
                                  {"shorter_m", c.shorter_m},
                                  {"shorter_reached", c.shorter_reached},
                                  {"longer_m", c.longer_m},
                                  {"longer_reached", c.longer_reached},
                                  {"shorter_stops_holding", c.shorter_stops},
                                  {"longer_stops_holding", c.longer_stops}});
  add_answer_json(j, brief, d, answer);
  j["present"] = Json::array();
  for (const design::PresentStation& p : comparison.present) j["present"].push_back(present_json(p));
  j["walks"] = comparison_json(comparison);
  j["notes"] = d.notes;
  j["cautions"] = d.stations.empty() ? Json::array() : cautions_json(d.stations.front().cautions);
  return json_text(j);
}

std::string design_csv(const station::Brief& brief, const design::Design& d, const design::Answer& answer,
                       const design::Comparison& comparison) {
  std::string text = csv_row({"touch", "network", "whip_m", "counterpoise_m", "choke", "mass_kg", "objective_db",
                              "held_bands", "band", "radiated_db", "path_db", "worst_condition", "worst_swr", "holds",
                              "bound_db", "status", "hat", "loading_coil", "layout"});
  for (const design::DesignedStation& s : d.stations) {
    std::vector<std::string> wires;
    for (const double length_m : s.antenna.wires_m) wires.push_back(csv_number(length_m));
    for (const design::BandFigures& b : s.bands)
      text +=
          csv_row({csv_text(std::string(station::touch_name(s.touch))), csv_text(s.network_name),
                   csv_number(s.antenna.whip_m), csv_text(fmt::format("{}", fmt::join(wires, " "))), csv_text(s.choke),
                   csv_number(s.mass_kg), csv_number(s.objective_db), fmt::format("{}", s.held_bands), csv_text(b.band),
                   csv_number(b.radiated_db.value_or(NAN)), csv_number(b.path_db.value_or(NAN)),
                   csv_text(b.worst_condition), csv_number(b.worst_swr), b.holds ? "1" : "0", csv_number(b.bound_db),
                   status_name(d.status), csv_text(s.hat), csv_text(s.loading), csv_text(s.layout)});
  }
  text += "\n# around the first: gained by so much more\n" + csv_row({"what", "unit", "db_per_unit", "stops_holding"});
  for (const design::Sensitivity& sense : d.sensitivity)
    text += csv_row({csv_text(sense.what), csv_text(sense.unit), csv_number(sense.db_per_unit),
                     csv_text(fmt::format("{}", fmt::join(sense.stops, ", ")))});
  text += "\n# how far a length may be off\n" +
          csv_row({"what", "shorter_m", "shorter_reached", "longer_m", "longer_reached", "shorter_stops_holding",
                   "longer_stops_holding"});
  for (const design::CutTolerance& c : d.cuts)
    text += csv_row({csv_text(c.what), csv_number(c.shorter_m), c.shorter_reached ? "1" : "0", csv_number(c.longer_m),
                     c.longer_reached ? "1" : "0", csv_text(fmt::format("{}", fmt::join(c.shorter_stops, ", "))),
                     csv_text(fmt::format("{}", fmt::join(c.longer_stops, ", ")))});
  text += answer_csv(brief, d, answer) + walks_csv(comparison);
  return text + (d.stations.empty() ? "" : cautions_csv(d.stations.front().cautions));
}

}  // namespace stile::tools

#include "plan/report.hpp"

#include <cmath>
#include <optional>
#include <set>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include <stile/match/match.hpp>
#include <stile/plan/worst_figures.hpp>
#include <stile/plots/budget.hpp>
#include <stile/plots/smith.hpp>
#include <stile/plots/swr.hpp>

#include "cli/cautions.hpp"
#include "cli/command_line.hpp"
#include "cli/json.hpp"
#include "cli/table.hpp"
#include "plan/energy.hpp"
#include "plan/exposure.hpp"

namespace stile::tools {
namespace {

std::string choice_name(plan::Choice choice) {
  switch (choice) {
  case plan::Choice::tuner:
    return "tuner";
  case plan::Choice::fixed:
    return "fixed";
  case plan::Choice::undecided:
    return "undecided";
  case plan::Choice::not_run:
  case plan::Choice::none:
    break;
  }
  return "none";
}

const char* counted_name(plan::Counted counted) {
  switch (counted) {
  case plan::Counted::delivered:
    return "delivered";
  case plan::Counted::radiated:
    return "radiated";
  case plan::Counted::path:
    break;
  }
  return "path";
}

std::string db(double value) { return std::isfinite(value) ? fmt::format("{:.1f}", value) : "inf"; }

std::string range_text(double value, const Range& range) {
  return fmt::format("{} ({}..{})", db(value), db(range.low), db(range.high));
}

std::string known_db(const std::optional<double>& value) { return value ? db(*value) : "not known"; }

/// Full power over a power.
std::optional<double> db_below(double full_w, const std::optional<double>& power_w) {
  return power_w ? std::optional(plan::db_below(full_w, *power_w)) : std::nullopt;
}

std::string voltage_text(double as_stated, double high) {
  return fmt::format("{} ({})", print_quantity(as_stated, Unit::volt, 3), print_quantity(high, Unit::volt, 3));
}

std::string swr_text(double swr) { return swr < 100.0 ? fmt::format("{:.2f}", swr) : ">100"; }

std::string bandwidth_text(const match::Bandwidth& b) {
  if (b.width_hz() == 0.0) return "none";
  return (b.low_is_data_edge || b.high_is_data_edge ? ">" : "") + print_quantity(b.width_hz(), Unit::hertz, 3);
}

std::string budget_text(const plan::ConditionResult& c) {
  std::string text;
  for (const plan::BudgetItem& item : c.budget) {
    if (item.power_w < 1e-6 * c.offered_w) continue;
    if (!text.empty()) text += ", ";
    text += fmt::format("{} {}", item.where.empty() ? plan::spent_name(item.spent) : item.where,
                        print_quantity(item.power_w, Unit::watt, 3));
  }
  return text;
}

/// "L2 98.02 uH: 1.65 kV peak (rated 3 kV), 288 mA rms, 3.44 W (rated 4 W)" for each part of the match.
std::string stress_text(const plan::ConditionResult& c) {
  std::string text;
  if (c.setting.feed_turns) return text;  // the parts of an autotransformer mean something only together
  for (std::size_t n = 0; n < c.ladder.elements.size(); ++n) {
    const network::Element& element = c.ladder.elements[n];
    if (element.place == network::Place::cascade) continue;
    const network::Stress& stress = c.evaluation.elements[n];
    const auto figure = [](double value, double rating, Unit unit, const char* kind) {
      const std::string rated = std::isfinite(rating) ? " (rated " + print_quantity(rating, unit, 3) + ")" : "";
      return print_quantity(value, unit, 3) + kind + rated;
    };
    text +=
        fmt::format("{}{} {}: {}, {}, {}", text.empty() ? "" : "; ", element.label, network::value_text(element.part),
                    figure(stress.voltage_v_peak, element.rating.voltage_v_peak, Unit::volt, " peak"),
                    figure(stress.current_a_rms, element.rating.current_a_rms, Unit::ampere, " rms"),
                    figure(stress.dissipation_w, element.rating.dissipation_w, Unit::watt, ""));
  }
  return text;
}

/// The figures of a row; what counts has its range beside it.
struct Row {
  std::string name;
  double swr = 0.0;
  std::optional<double> path_db, radiated_db;
  double loss_db = 0.0, counted_db = 0.0;
  Range loss_range_db, counted_range_db;
  double volt = 0.0, volt_high = 0.0;
  std::string bandwidth;
};

std::vector<std::string> cells(plan::Counted counted, const Row& r) {
  const bool path = counted == plan::Counted::path, radiated = counted == plan::Counted::radiated;
  return {r.name,
          swr_text(r.swr),
          path ? range_text(r.counted_db, r.counted_range_db) : known_db(r.path_db),
          radiated ? range_text(r.counted_db, r.counted_range_db) : known_db(r.radiated_db),
          path || radiated ? db(r.loss_db) : range_text(r.loss_db, r.loss_range_db),
          fmt::format("{:.1f}", plan::s_units(r.counted_db)),
          voltage_text(r.volt, r.volt_high),
          r.bandwidth};
}

std::vector<std::string> condition_row(plan::Counted counted, double full_w, const plan::ConditionResult& c) {
  const std::string name = "  " + c.condition + (c.role == station::Role::accident ? " (accident)" : "");
  if (!c.possible) return {name, "-", "cannot be made"};
  return cells(counted, {name, c.worst_swr, db_below(full_w, c.path_w), db_below(full_w, c.radiated_w), c.worst_loss_db,
                         c.counted_db, c.loss_range_db, c.counted_range_db, c.load_voltage_v_peak,
                         c.load_voltage_high_v_peak, bandwidth_text(c.bandwidth)});
}

/// Each figure of its own worst normal condition.
std::vector<std::string> worst_row(plan::Counted counted, const plan::ArrangementResult& a) {
  if (!std::isfinite(a.worst_swr)) return {a.name, "-", "cannot be made"};
  const plan::WorstFigures w = plan::worst_figures(a);
  return cells(counted,
               {a.name, a.worst_swr, a.path_db, a.radiated_db, w.loss_db, a.counted_db, w.loss_range_db,
                a.counted_range_db, w.load_voltage_v_peak, w.load_voltage_high_v_peak, bandwidth_text(w.narrowest)});
}

std::string path_text(const station::Band& band) {
  if (!band.path) return "";
  const station::Path& p = *band.path;
  const std::string where =
      p.distance_m
          ? fmt::format("{} away, one hop over a layer {} to {} high: ", print_quantity(*p.distance_m, Unit::metre),
                        print_quantity(p.layer_height_m.low, Unit::metre),
                        print_quantity(p.layer_height_m.high, Unit::metre))
          : "";
  return fmt::format("The other station: {}elevations {:.3g} to {:.3g} degrees.\n", where, p.elevation_deg.low,
                     p.elevation_deg.high);
}

/// How often a hand is needed, and what accidents do.
std::string walking_text(const plan::ArrangementResult& a) {
  std::vector<std::string> said;
  if (a.untouched) said.push_back(fmt::format("untouched it works {:.0f} % of the time", 100.0 * *a.untouched));
  if (a.resets_per_hour && a.hands > 0) said.push_back(fmt::format("{:.2g} resets an hour", *a.resets_per_hour));
  said.insert(said.end(), a.accidents.begin(), a.accidents.end());
  return said.empty() ? "" : wrapped(fmt::format("{}: {}.", a.name, fmt::join(said, "; ")), 3, 110);
}

std::string band_text(const station::Station& station, const plan::BandResult& band, bool every_condition) {
  const station::Band& b = band.band;
  std::string text =
      fmt::format("{}: {} to {}, matched at {}\n", b.name, print_quantity(b.use_low_hz, Unit::hertz, 6),
                  print_quantity(b.use_high_hz, Unit::hertz, 6), print_quantity(b.design_hz, Unit::hertz, 6));
  text += path_text(b);
  std::vector<std::vector<std::string>> rows{
      {"", "SWR", "to path, dB", "radiated, dB", "to antenna, dB", "S units", "base, peak", "bandwidth"}};
  for (const plan::ArrangementResult& a : band.arrangements) {
    rows.push_back(every_condition ? std::vector<std::string>{a.name} : worst_row(band.counted, a));
    if (every_condition) {
      for (const plan::ConditionResult& c : a.conditions)
        rows.push_back(condition_row(band.counted, station.transmitter.source.power_w, c));
    }
    if (a.ok) rows.back().push_back(a.holds_throughout ? "holds" : "as stated");
  }
  text += aligned(rows);
  text += wrapped("-> " + band.verdict + ".", 0, 110);
  const std::size_t shown = band.taken.value_or(0);
  const plan::ArrangementResult& a = band.arrangements[shown];
  const plan::ConditionResult& c = a.conditions[a.worst];
  if (band.taken && c.possible) {
    text += wrapped(fmt::format("{}, {}: {}. Of {} at {}: {}.", a.name, c.condition, plan::describe(c),
                                print_quantity(station.transmitter.source.power_w, Unit::watt),
                                print_quantity(b.design_hz, Unit::hertz, 6), budget_text(c)),
                    3, 110);
    if (const std::string stress = stress_text(c); !stress.empty()) text += wrapped("Stress: " + stress + ".", 3, 110);
    text += walking_text(a);
  }
  return text + "\n";
}

Json json_known(const std::optional<double>& value) { return value ? Json(*value) : Json(nullptr); }

Json setting_json(const std::string& band, const plan::ConditionResult& c) {
  Json j{{"band", band}, {"condition", c.condition}};
  j["elements"] = Json::array();
  for (const network::Element& e : c.setting.elements)
    j["elements"].push_back({{"place", network::place_name(e.place)},
                             {"kind", network::kind_name(e.part)},
                             {"value", network::value_si(e.part)}});
  j["tap_turns"] = json_known(c.setting.tap_turns);
  if (c.setting.feed_turns) j["feed_turns"] = *c.setting.feed_turns;
  if (c.setting.tap_turns) {
    j["unused"] = c.setting.unused == coil::Unused::open ? "open" : "shorted";
    j["trimmer_f"] = c.setting.trimmer_f;
  }
  return j;
}

Json condition_json(const plan::ConditionResult& c) {
  Json j{{"condition", c.condition},
         {"role", c.role == station::Role::accident ? "accident" : "normal"},
         {"possible", c.possible}};
  if (!c.possible) return j;
  j["swr"] = c.swr;
  j["worst_swr"] = c.worst_swr;
  j["loss_db"] = c.loss_db;
  j["worst_loss_db"] = c.worst_loss_db;
  j["loss_range_db"] = {c.loss_range_db.low, c.loss_range_db.high};
  j["s_units"] = plan::s_units(c.loss_db);
  j["offered_w"] = c.offered_w;
  j["delivered_w"] = c.evaluation.power.delivered_w;
  j["radiated_w"] = json_known(c.radiated_w);
  j["path_w"] = json_known(c.path_w);
  j["counted_db"] = c.counted_db;
  j["counted_range_db"] = {c.counted_range_db.low, c.counted_range_db.high};
  j["load_voltage_v_peak"] = c.load_voltage_v_peak;
  j["load_voltage_high_v_peak"] = c.load_voltage_high_v_peak;
  j["swr_high"] = c.swr_high;
  j["bandwidth_hz"] = c.bandwidth.width_hz();
  j["bandwidth_limited_by_data"] = c.bandwidth.low_is_data_edge || c.bandwidth.high_is_data_edge;
  j["loaded_q"] = c.evaluation.loaded_q;
  j["elements"] = Json::array();
  for (std::size_t n = 0; n < c.ladder.elements.size(); ++n)
    j["elements"].push_back(json_element(c.ladder.elements[n], c.evaluation.elements[n]));
  j["overloads"] = Json::array();
  for (const network::Overload& o : c.overloads) j["overloads"].push_back({{"what", o.what}, {"factor", o.factor}});
  j["budget_at_hz"] = c.evaluation.frequency_hz;
  j["budget"] = Json::array();
  for (const plan::BudgetItem& item : c.budget) {
    j["budget"].push_back({{"where", item.where.empty() ? plan::spent_name(item.spent) : item.where},
                           {"spent", plan::spent_name(item.spent)},
                           {"power_w", item.power_w}});
  }
  j["frequency_hz"] = c.frequency_hz;
  j["swr_along_band"] = c.swr_along_band;
  return j;
}

Json arrangement_json(const std::string& band, const plan::ArrangementResult& a) {
  const plan::ConditionResult& worst = a.conditions[a.worst];
  const Json w = condition_json(worst);
  Json j{{"name", a.name}, {"antenna", a.antenna}, {"worst_swr", a.worst_swr}, {"worst_condition", worst.condition}};
  for (const char* key : {"loss_db", "worst_loss_db", "loss_range_db", "s_units", "budget_at_hz", "budget"})
    j[key] = w.contains(key) ? w[key] : Json(nullptr);
  j["radiated_w"] = json_known(a.radiated_w);
  j["radiated_db"] = json_known(a.radiated_db);
  j["path_db"] = json_known(a.path_db);
  j["counted_db"] = a.counted_db;
  j["counted_range_db"] = {a.counted_range_db.low, a.counted_range_db.high};
  if (!worst.possible) j["budget"] = Json::array();
  j["ok"] = a.ok;
  j["holds_throughout"] = a.holds_throughout;
  j["why"] = a.why;
  j["trim"] = station::trim_name(a.trim);
  j["hands"] = a.hands;
  j["mass_kg"] = json_known(a.mass_kg);
  j["untouched_share"] = json_known(a.untouched);
  j["resets_per_hour"] = json_known(a.resets_per_hour);
  j["accidents"] = a.accidents;
  j["proof"] = a.proof ? Json{{"tried", a.proof->tried},
                              {"bound_db", a.proof->bound_db},
                              {"proven", a.proof->proven},
                              {"how", a.proof->how}}
                       : Json(nullptr);
  j["settings"] = Json::array();
  for (const plan::ConditionResult& c : a.conditions) {
    if (c.possible) j["settings"].push_back(setting_json(band, c));
  }
  j["conditions"] = Json::array();
  for (const plan::ConditionResult& c : a.conditions) j["conditions"].push_back(condition_json(c));
  return j;
}

std::string plain_name(const std::string& text) {
  std::string name;
  for (const char c : text) {
    const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
    if (plain) name += c;
    if (!plain && !name.empty() && name.back() != '-') name += '-';
  }
  while (!name.empty() && name.back() == '-') name.pop_back();
  return name.empty() ? "unnamed" : name;
}

/// Where a watt goes in the words of the budget chart.
std::string chart_place(plan::Spent what) {
  switch (what) {
  case plan::Spent::radiated:
    return "radiated";
  case plan::Spent::ground:
    return "ground";
  case plan::Spent::metal:
    return "whip metal";
  case plan::Spent::person:
    return "person";
  case plan::Spent::lumps:
    return "chokes and wet base";
  case plan::Spent::antenna:
    return "antenna";
  case plan::Spent::match:
    return "network";
  case plan::Spent::cable:
    return "cable";
  case plan::Spent::mismatch:
    return "not accepted";
  case plan::Spent::held_back:
    break;
  }
  return "held back";
}

plots::Chart budget_of(const station::Station& station, const plan::Plan& plan, std::size_t condition,
                       const plots::ChartText& text) {
  std::vector<plots::BudgetPanel> panels;
  for (const plan::BandResult& band : plan.bands) {
    plots::BudgetPanel panel{band.band.name, {}};
    for (const plan::ArrangementResult& a : band.arrangements) {
      const plan::ConditionResult& c = a.conditions[condition];
      plots::BudgetBar bar{a.name, {}};
      for (const plan::BudgetItem& item : c.budget)
        bar.shares.push_back({chart_place(item.spent), std::max(0.0, item.power_w)});
      if (c.possible) panel.bars.push_back(bar);
    }
    panels.push_back(panel);
  }
  return plots::budget_chart(panels, {fmt::format("{}: where {} go, wire {}", station.name,
                                                  print_quantity(station.transmitter.source.power_w, Unit::watt),
                                                  station.conditions[condition].name),
                                      text.source});
}

plots::Chart swr_of(const station::Station& station, const plan::Plan& plan, std::size_t condition,
                    const plots::ChartText& text) {
  std::vector<plots::SwrPanel> panels;
  for (const plan::BandResult& band : plan.bands) {
    plots::SwrPanel panel{band.band.name, {}, band.band.use_low_hz, band.band.use_high_hz};
    for (const plan::ArrangementResult& a : band.arrangements) {
      const plan::ConditionResult& c = a.conditions[condition];
      if (c.possible) panel.curves.push_back({a.name, c.frequency_hz, c.swr_along_band});
    }
    panels.push_back(panel);
  }
  return plots::swr_chart(
      panels, station.transmitter.swr_limit,
      {fmt::format("{}: SWR at the transmitter, wire {}", station.name, station.conditions[condition].name),
       text.source});
}

plots::Chart match_of(const station::Station& station, const plan::BandResult& band, const plan::ArrangementResult& a,
                      const plots::ChartText& text) {
  std::vector<plots::SmithPath> paths;
  for (const plan::ConditionResult& c : a.conditions) {
    if (!c.possible) continue;
    const network::Evaluation& e = c.evaluation;
    paths.push_back(
        {c.condition, e.z_load_ohm,
         plots::match_path(c.ladder, e.frequency_hz, e.z_load_ohm, station.transmitter.source.z_ohm.real())});
  }
  return plots::smith_chart(paths, {station.transmitter.source.z_ohm.real(), station.transmitter.swr_limit},
                            {fmt::format("{}, {} at {}: {}", station.name, band.band.name,
                                         print_quantity(band.band.design_hz, Unit::hertz), a.name),
                             text.source});
}

}  // namespace

/// Which loads the ground is not varied for, if any.
std::string ground_note(const station::Station& station) {
  std::string names;
  for (const station::Antenna& antenna : station.antennas) {
    for (const station::AntennaLoad& l : antenna.loads) {
      if (load::load_shares(l.load, station.bands.front().design_hz)) continue;
      names += (names.empty() ? "" : "; ") + (antenna.name.empty() ? "" : antenna.name + ", ") + l.load.name;
    }
  }
  if (names.empty()) return "";
  return wrapped("The ground is not varied for: " + names + " (where the antenna's power goes is not known).", 0, 110);
}

/// What the ranks are by.
std::string counted_note(const plan::Plan& plan) {
  bool path = true, shares = true;
  for (const plan::BandResult& band : plan.bands) {
    path = path && band.counted == plan::Counted::path;
    shares = shares && band.counted != plan::Counted::delivered;
  }
  if (path) return "";
  if (shares) return "No path is stated, or no pattern known, for some band: all that is radiated counts there.\n";
  return "Where an antenna's power goes is not known: power into the antenna counts, and antennas cannot be "
         "compared.\n";
}

std::string plan_text(const station::Station& station, const plan::Plan& plan, bool every_condition) {
  std::string text = station.name + "\n";
  if (!station.note.empty()) text += station.note + "\n";
  const station::Uncertainty& u = station.uncertainty;
  std::string off = fmt::format("coil Q +-{:.0f} %, ground ", 100.0 * u.q);
  off += u.ground_factor ? fmt::format("{:g} to {:g} times", u.ground_factor->low, u.ground_factor->high)
                         : fmt::format("+-{:.0f} %", 100.0 * u.ground);
  if (u.contact_ohm.high > 0.0)
    off += fmt::format(", contacts {} to {} more", print_quantity(u.contact_ohm.low, Unit::ohm),
                       print_quantity(u.contact_ohm.high, Unit::ohm));
  if (u.temperature_c.low < u.temperature_c.high)
    off += fmt::format(", {:g} to {:g} C", u.temperature_c.low, u.temperature_c.high);
  if (u.lengths > 0.0) off += fmt::format(", lengths +-{:.1f} %", 100.0 * u.lengths);
  text +=
      wrapped(fmt::format("Transmitter {}, SWR limit {:.3g}. Each figure is the worst {}over the part of the band "
                          "in use, in dB below the transmitter's full power: towards the other station (as an "
                          "isotropic radiator would give it), radiated in all, into the antenna. In brackets: what {} "
                          "make of it and of the base voltage; \"as stated\" holds only without them. A tuner is shown "
                          "set as well as its parts allow.",
                          print_quantity(station.transmitter.source.power_w, Unit::watt), station.transmitter.swr_limit,
                          every_condition ? "" : "of all normal conditions ", off),
              0, 110);
  text += counted_note(plan);
  text += ground_note(station) + "\n";
  for (const plan::BandResult& band : plan.bands) text += band_text(station, band, every_condition);
  return text + energy_text(station) + plan_exposure_text(plan) + cautions_text(plan.cautions);
}

std::string plan_json(const station::Station& station, const plan::Plan& plan) {
  Json j{{"tool", "stile-plan"},
         {"version", version()},
         {"station", station.name},
         {"power_w", station.transmitter.source.power_w},
         {"swr_limit", station.transmitter.swr_limit}};
  j["bands"] = Json::array();
  for (const plan::BandResult& band : plan.bands) {
    Json b{{"band", band.band.name},
           {"low_hz", band.band.low_hz},
           {"high_hz", band.band.high_hz},
           {"use_low_hz", band.band.use_low_hz},
           {"use_high_hz", band.band.use_high_hz},
           {"design_hz", band.band.design_hz}};
    b["conditions"] = Json::array();
    for (const station::Antenna& antenna : station.antennas) {
      for (std::size_t n = 0; n < station.conditions.size(); ++n) {
        const load::Load& load = antenna.loads[n].load;
        const auto shares = load::load_shares(load, band.band.design_hz);
        b["conditions"].push_back({{"condition", station.conditions[n].name},
                                   {"antenna", antenna.name},
                                   {"load_ohm", json_complex(load::load_impedance(load, band.band.design_hz))},
                                   {"radiated_share", shares ? Json(shares->radiated) : Json(nullptr)}});
      }
    }
    b["arrangements"] = Json::array();
    for (const plan::ArrangementResult& a : band.arrangements)
      b["arrangements"].push_back(arrangement_json(band.band.name, a));
    b["choice"] = choice_name(band.choice);
    b["taken"] = band.taken ? Json(band.arrangements[*band.taken].name) : Json(nullptr);
    b["verdict"] = band.verdict;
    b["counted"] = counted_name(band.counted);
    b["path"] = nullptr;
    if (band.band.path)
      b["path"] = {{"elevation_deg", {band.band.path->elevation_deg.low, band.band.path->elevation_deg.high}},
                   {"distance_m", json_known(band.band.path->distance_m)}};
    b["measure"] = Json::array();
    for (const plan::Measure& m : band.measures) b["measure"].push_back({{"what", m.what}, {"settles", m.settles}});
    b["turns"] = band.turns;
    j["bands"].push_back(std::move(b));
  }
  j["energy"] = energy_json(station);
  j["exposure"] = plan_exposure_json(plan);
  j["cautions"] = cautions_json(plan.cautions);
  return json_text(j);
}

std::string plan_csv(const station::Station& station, const plan::Plan& plan) {
  std::string text = csv_row({"band",
                              "arrangement",
                              "condition",
                              "frequency_hz",
                              "swr",
                              "worst_swr",
                              "loss_db",
                              "loss_low_db",
                              "loss_high_db",
                              "s_units",
                              "worst_loss_db",
                              "swr_high",
                              "load_voltage_high_v_peak",
                              "offered_w",
                              "delivered_w",
                              "radiated_w",
                              "ground_w",
                              "metal_w",
                              "antenna_w",
                              "match_w",
                              "cable_w",
                              "not_accepted_w",
                              "held_back_w",
                              "load_voltage_v_peak",
                              "bandwidth_hz",
                              "possible",
                              "ok",
                              "taken",
                              "person_w",
                              "lumps_w",
                              "antenna",
                              "role",
                              "path_w",
                              "counted_db",
                              "counted_low_db",
                              "counted_high_db"});
  const double unknown = std::nan("");
  for (const plan::BandResult& band : plan.bands) {
    for (std::size_t n = 0; n < band.arrangements.size(); ++n) {
      const plan::ArrangementResult& a = band.arrangements[n];
      for (const plan::ConditionResult& c : a.conditions) {
        const auto number = [&](double value) { return csv_number(c.possible ? value : unknown); };
        text += csv_row({csv_text(band.band.name),
                         csv_text(a.name),
                         csv_text(c.condition),
                         csv_number(band.band.design_hz),
                         number(c.swr),
                         number(c.worst_swr),
                         number(c.loss_db),
                         number(c.loss_range_db.low),
                         number(c.loss_range_db.high),
                         number(plan::s_units(c.loss_db)),
                         number(c.worst_loss_db),
                         number(c.swr_high),
                         number(c.load_voltage_high_v_peak),
                         number(c.offered_w),
                         number(c.evaluation.power.delivered_w),
                         number(c.radiated_w.value_or(unknown)),
                         number(plan::spent_w(c, plan::Spent::ground)),
                         number(plan::spent_w(c, plan::Spent::metal)),
                         number(plan::spent_w(c, plan::Spent::antenna)),
                         number(plan::spent_w(c, plan::Spent::match)),
                         number(plan::spent_w(c, plan::Spent::cable)),
                         number(plan::spent_w(c, plan::Spent::mismatch)),
                         number(plan::spent_w(c, plan::Spent::held_back)),
                         number(c.load_voltage_v_peak),
                         number(c.bandwidth.width_hz()),
                         c.possible ? "true" : "false",
                         a.ok ? "true" : "false",
                         band.taken == n ? "true" : "false",
                         number(plan::spent_w(c, plan::Spent::person)),
                         number(plan::spent_w(c, plan::Spent::lumps)),
                         csv_text(a.antenna),
                         c.role == station::Role::accident ? "accident" : "normal",
                         number(c.path_w.value_or(unknown)),
                         number(c.counted_db),
                         number(c.counted_range_db.low),
                         number(c.counted_range_db.high)});
      }
    }
  }
  for (const plan::BandResult& band : plan.bands) text += "# verdict: " + band.band.name + ": " + band.verdict + "\n";
  return text + energy_csv(station) + plan_exposure_csv(plan) + cautions_csv(plan.cautions);
}

std::vector<NamedChart> plan_charts(const station::Station& station, const plan::Plan& plan) {
  const plots::ChartText text{"", fmt::format("{} Read the cautions of the comparison. stile-plan {}; {}",
                                              plan.cautions.front().text, version(),
                                              station.note.empty() ? station.name : station.note)};
  std::vector<NamedChart> charts;
  std::set<std::string> taken;
  const auto file_name = [&taken](const std::string& wanted) {  // a number behind a name that is there already
    std::string name = plain_name(wanted);
    for (int n = 2; !taken.insert(name).second; ++n) name = fmt::format("{}-{}", plain_name(wanted), n);
    return name;
  };
  for (std::size_t n = 0; n < station.conditions.size(); ++n) {
    const std::string condition = file_name(station.conditions[n].name);
    charts.push_back({"budget-" + condition, budget_of(station, plan, n, text)});
    charts.push_back({"swr-" + condition, swr_of(station, plan, n, text)});
  }
  taken.clear();
  for (const plan::BandResult& band : plan.bands) {
    if (!band.taken) continue;
    charts.push_back(
        {"match-" + file_name(band.band.name), match_of(station, band, band.arrangements[*band.taken], text)});
  }
  return charts;
}

}  // namespace stile::tools

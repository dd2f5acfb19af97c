#include "plan/report.hpp"

#include <cmath>
#include <optional>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include <stile/match/match.hpp>
#include <stile/plan/worst_figures.hpp>
#include <stile/plots/budget.hpp>
#include <stile/plots/frontier.hpp>
#include <stile/plots/smith.hpp>
#include <stile/plots/swr.hpp>
#include <stile/plots/wander.hpp>

#include "cli/cautions.hpp"
#include "cli/circuit.hpp"
#include "cli/command_line.hpp"
#include "cli/json.hpp"
#include "cli/table.hpp"
#include "plan/answer_charts.hpp"
#include "plan/carrying.hpp"
#include "plan/energy.hpp"
#include "plan/exposure.hpp"
#include "plan/far_end.hpp"
#include "plan/own_search.hpp"
#include "plan/reach.hpp"
#include "plan/words.hpp"

namespace stile::tools {
namespace {

std::string band_text(const Answers& answers, std::size_t number, bool every_condition) {
  const station::Station& station = answers.station;
  const plan::BandResult& band = answers.plan.bands[number];
  const station::Band& b = band.band;
  std::string text =
      fmt::format("{}: {} to {}, matched at {}\n", b.name, print_quantity(b.use_low_hz, Unit::hertz, 6),
                  print_quantity(b.use_high_hz, Unit::hertz, 6), print_quantity(b.design_hz, Unit::hertz, 6));
  text += path_text(b);
  text += aligned(comparison_rows(station, band, every_condition));
  text += wrapped("-> " + band.verdict + ".", 0, 110);
  if (const std::string warning = taken_search_warning(answers, number); !warning.empty())
    text += wrapped(warning, 3, 110);
  std::vector<std::size_t> shown = band.apart;
  if (shown.empty() && band.taken) shown = {*band.taken};
  for (const std::size_t n : shown) {
    const plan::ArrangementResult& a = band.arrangements[n];
    const plan::ConditionResult& c = a.conditions[a.worst];
    if (!c.possible) continue;
    text += wrapped(fmt::format("{}, {}: {}. Of {} at {}: {}.", a.name, c.condition, plan::describe(c),
                                print_quantity(station.transmitter.source.power_w, Unit::watt),
                                print_quantity(b.design_hz, Unit::hertz, 6), budget_text(c)),
                    3, 110);
    if (const std::string stress = stress_text(c); !stress.empty()) text += wrapped("Stress: " + stress + ".", 3, 110);
    if (const std::string proof = proof_text(a); !proof.empty()) text += wrapped(proof, 3, 110);
    if (const std::string walking = walking_text(a); !walking.empty()) text += wrapped(walking, 3, 110);
  }
  return text + "\n";
}

Json json_known(const std::optional<double>& value) { return value ? Json(*value) : Json(nullptr); }
Json json_range(const Range& range) { return {range.low, range.high}; }
Json json_known(const std::optional<Range>& range) { return range ? json_range(*range) : Json(nullptr); }

Range in_s_units(const Range& range_db) { return {plan::s_units(range_db.low), plan::s_units(range_db.high)}; }

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

/// @param full_w  power from which decibels are counted
Json condition_json(const plan::ConditionResult& c, double full_w) {
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
  j["radiated_db"] = json_known(db_below(full_w, c.radiated_w));
  j["path_db"] = json_known(db_below(full_w, c.path_w));
  j["counted_db"] = c.counted_db;
  j["counted_range_db"] = {c.counted_range_db.low, c.counted_range_db.high};
  j["radiated_range_db"] = json_known(c.radiated_range_db);
  j["path_range_db"] = json_known(c.path_range_db);
  j["load_voltage_v_peak"] = c.load_voltage_v_peak;
  j["load_voltage_high_v_peak"] = c.load_voltage_high_v_peak;
  j["swr_high"] = c.swr_range.high;
  j["worst_swr_range"] = json_range(c.swr_range);
  j["counted_s_units"] = plan::s_units(c.counted_db);
  j["counted_s_units_range"] = json_range(in_s_units(c.counted_range_db));
  j["bandwidth_hz"] = c.bandwidth.width_hz();
  j["bandwidth_limited_by_data"] = c.bandwidth.low_is_data_edge || c.bandwidth.high_is_data_edge;
  j["loaded_q"] = c.evaluation.loaded_q;
  j["elements"] = Json::array();
  for (std::size_t n = 0; n < c.ladder.elements.size(); ++n) {
    j["elements"].push_back(json_element(c.ladder.elements[n], c.evaluation.elements[n]));
    const plan::StressRange& range = c.stress_ranges[n];
    j["elements"].back()["voltage_range_v_peak"] = json_range(range.voltage_v_peak);
    j["elements"].back()["current_range_a_rms"] = json_range(range.current_a_rms);
    j["elements"].back()["dissipation_range_w"] = json_range(range.dissipation_w);
  }
  j["overloads"] = Json::array();
  for (const network::Overload& o : c.overloads) j["overloads"].push_back({{"what", o.what}, {"factor", o.factor}});
  j["budget_at_hz"] = c.evaluation.frequency_hz;
  j["budget"] = Json::array();
  for (const plan::BudgetItem& item : c.budget) {
    j["budget"].push_back({{"where", item.where.empty() ? plan::spent_name(item.spent) : item.where},
                           {"spent", plan::spent_name(item.spent)},
                           {"power_w", item.power_w},
                           {"power_range_w", json_range(item.range_w)}});
  }
  j["frequency_hz"] = c.frequency_hz;
  j["swr_along_band"] = c.swr_along_band;
  return j;
}

/// A load at a band's design frequency.
struct BandLoad {
  std::string condition, antenna;
  cdouble load_ohm;
  std::optional<double> radiated_share;
  std::optional<Range> ground_factor;  ///< within which the ground's part is varied; unknown where its share is
};

std::vector<BandLoad> band_loads(const station::Station& station, const station::Band& band) {
  std::vector<BandLoad> all;
  for (const station::Antenna& antenna : station.antennas) {
    for (std::size_t n = 0; n < station.conditions.size(); ++n) {
      const load::Load& load = antenna.loads[n].load;
      BandLoad one{station.conditions[n].name, antenna.name, load::load_impedance(load, band.design_hz), {}, {}};
      if (const auto shares = load::load_shares(load, band.design_hz)) {
        one.radiated_share = shares->radiated;
        one.ground_factor =
            station::ground_factors(station.uncertainty, station::short_wire_lies(antenna.loads[n], band.design_hz));
      }
      all.push_back(std::move(one));
    }
  }
  return all;
}

/// How far inputs are off.
Json uncertainty_json(const station::Uncertainty& u) {
  return {{"q", u.q},
          {"ground", u.ground_factor ? Json(nullptr) : Json(u.ground)},
          {"ground_factor", json_known(u.ground_factor)},
          {"lengths", u.lengths},
          {"contact_ohm", json_range(u.contact_ohm)},
          {"temperature_c", json_range(u.temperature_c)}};
}

/// What the other end notices, and how far loads may wander.
void add_answers(const Answers& answers, std::size_t band, std::size_t arrangement, Json& j) {
  const plan::FarEnd& end = far_end_of(answers, band, arrangement);
  j["against_best_db"] = end.against_best_db;
  j["against_best_range_db"] = json_range(end.against_best_range_db);
  j["against_best_s_units"] = plan::s_units(end.against_best_db);
  j["against_quarter_wave_db"] = json_known(end.against_quarter_wave_db);
  j["against_quarter_wave_s_units"] =
      end.against_quarter_wave_db ? Json(plan::s_units(*end.against_quarter_wave_db)) : Json(nullptr);
  j["contacts_failed_share"] = json_known(end.contacts_failed);
  j["contacts_lost_share"] = json_known(end.contacts_lost);
  const plan::SettingsReach* reach = reach_of(answers, band, arrangement);
  j["reach"] = reach != nullptr ? reach_json(answers, *reach) : Json(nullptr);
  j["own_search"] = own_search_json(answers, band, arrangement);
  const std::string warning = own_search_warning(answers, band, arrangement);
  j["own_search_warning"] = warning.empty() ? Json(nullptr) : Json(warning);
}

Json arrangement_json(const std::string& band, const plan::ArrangementResult& a, double full_w) {
  const plan::ConditionResult& worst = a.conditions[a.worst];
  const Json w = condition_json(worst, full_w);
  Json j{{"name", a.name}, {"antenna", a.antenna}, {"worst_swr", a.worst_swr}, {"worst_condition", worst.condition}};
  for (const char* key : {"loss_db", "worst_loss_db", "loss_range_db", "s_units", "budget_at_hz", "budget"})
    j[key] = w.contains(key) ? w[key] : Json(nullptr);
  j["radiated_w"] = json_known(a.radiated_w);
  j["radiated_db"] = json_known(a.radiated_db);
  j["path_db"] = json_known(a.path_db);
  j["counted_db"] = a.counted_db;
  j["counted_range_db"] = {a.counted_range_db.low, a.counted_range_db.high};
  j["worst_swr_range"] = json_range(a.swr_range);
  j["counted_s_units"] = plan::s_units(a.counted_db);
  j["counted_s_units_range"] = json_range(in_s_units(a.counted_range_db));
  j["against_taken_db"] = a.against_taken ? Json(a.against_taken->db) : Json(nullptr);
  j["against_taken_range_db"] = a.against_taken ? json_range(a.against_taken->range_db) : Json(nullptr);
  j["radiated_range_db"] = json_known(a.radiated_range_db);
  j["path_range_db"] = json_known(a.path_range_db);
  if (!worst.possible) j["budget"] = Json::array();
  j["ok"] = a.ok;
  j["holds_throughout"] = a.holds_throughout;
  j["why"] = a.why;
  j["trim"] = station::trim_name(a.trim);
  j["hands"] = a.hands;
  j["mass_kg"] = json_known(a.mass_kg);
  j["stated_mass_kg"] = json_known(a.mass_kg);
  j["untouched_share"] = json_known(a.untouched);
  j["untouched_by_itself_share"] = json_known(a.untouched_by_itself);
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
  for (const plan::ConditionResult& c : a.conditions) j["conditions"].push_back(condition_json(c, full_w));
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

/// The source line of a chart that leaves out bands on which nothing can be set.
std::string with_left_out(const std::string& source, const std::vector<std::string>& bands) {
  return bands.empty() ? source : fmt::format("Nothing can be set on {}. {}", fmt::join(bands, ", "), source);
}

/// Nothing where no arrangement can be set on any band.
std::optional<plots::Chart> budget_of(const station::Station& station, const plan::Plan& plan, std::size_t condition,
                                      const plots::ChartText& text) {
  std::vector<plots::BudgetPanel> panels;
  std::vector<std::string> left_out;
  for (const plan::BandResult& band : plan.bands) {
    plots::BudgetPanel panel{band.band.name, {}};
    for (const plan::ArrangementResult& a : band.arrangements) {
      const plan::ConditionResult& c = a.conditions[condition];
      const bool decided = band.taken && band.choice != plan::Choice::undecided;
      plots::BudgetBar bar{a.name, {}, decided && &band.arrangements[*band.taken] == &a};
      for (const plan::BudgetItem& item : c.budget)
        bar.shares.push_back({chart_place(item.spent), std::max(0.0, item.power_w)});
      if (c.possible) panel.bars.push_back(bar);
    }
    if (panel.bars.empty())
      left_out.push_back(band.band.name);
    else
      panels.push_back(panel);
  }
  if (panels.empty()) return {};
  return plots::budget_chart(panels, {fmt::format("{}: where {} go, wire {}", station.name,
                                                  print_quantity(station.transmitter.source.power_w, Unit::watt),
                                                  station.conditions[condition].name),
                                      with_left_out(text.source, left_out)});
}

/// Likewise.
std::optional<plots::Chart> swr_of(const station::Station& station, const plan::Plan& plan, std::size_t condition,
                                   const plots::ChartText& text) {
  std::vector<plots::SwrPanel> panels;
  std::vector<std::string> left_out;
  for (const plan::BandResult& band : plan.bands) {
    plots::SwrPanel panel{band.band.name, {}, band.band.use_low_hz, band.band.use_high_hz};
    for (const plan::ArrangementResult& a : band.arrangements) {
      const plan::ConditionResult& c = a.conditions[condition];
      if (c.possible) panel.curves.push_back({a.name, c.frequency_hz, c.swr_along_band});
    }
    if (panel.curves.empty())
      left_out.push_back(band.band.name);
    else
      panels.push_back(panel);
  }
  if (panels.empty()) return {};
  return plots::swr_chart(
      panels, station.transmitter.swr_limit,
      {fmt::format("{}: SWR at the transmitter, wire {}", station.name, station.conditions[condition].name),
       with_left_out(text.source, left_out)});
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
  return plots::smith_chart(
      paths, {station.transmitter.source.z_ohm.real(), station.transmitter.swr_limit},
      {fmt::format("{}, {} at {}: {}", station.name, band.band.name, stated_frequency(band.band.design_hz), a.name),
       text.source});
}

/// Mass or hands against power; nothing when no arrangement has power.
std::optional<plots::Chart> trade_of(const Answers& answers, bool by_mass, const plots::ChartText& text) {
  std::vector<plots::TradePanel> panels;
  for (const plan::BandFrontier& f : answers.frontiers) {
    const std::string& band = answers.plan.bands[f.band].band.name;
    plots::TradePanel panel{f.antenna ? band + ", " + answers.station.antennas[*f.antenna].name : band, {}};
    for (const plan::FrontierPoint& p : f.points) {
      if (p.power_w > 0.0)
        panel.points.push_back({answers.station.arrangements[p.arrangement].name, by_mass ? p.mass_kg : p.hands,
                                p.power_w, by_mass ? p.by_mass : p.by_hands});
    }
    if (!panel.points.empty()) panels.push_back(std::move(panel));
  }
  if (panels.empty()) return std::nullopt;
  return plots::trade_chart(
      panels, by_mass ? "mass, kg" : "things that a hand moves",
      answers.frontiers.front().radiated ? "radiated, W" : "to the antenna, W",
      {fmt::format("{}: power in the worst condition against {}", answers.station.name,
                   by_mass ? "mass carried (stated, computed or typical)" : "what a hand moves between conditions"),
       text.source});
}

/// Loads of every band and antenna, with the edges of what its arrangements serve; answers.reaches are there.
plots::Chart wander_of(const Answers& answers, const plots::ChartText& text) {
  std::vector<plots::WanderPanel> panels;
  for (std::size_t b = 0; b < answers.plan.bands.size(); ++b) {
    const std::string& band = answers.plan.bands[b].band.name;
    for (std::size_t a = 0; a < answers.station.antennas.size(); ++a) {
      const std::string& antenna = answers.station.antennas[a].name;
      plots::WanderPanel panel{antenna.empty() ? band : band + ", " + antenna, {}, {}, {}};
      for (const plan::SettingsReach& r : answers.reaches) {
        const station::Arrangement& arrangement = answers.station.arrangements[r.arrangement];
        if (r.band != b || arrangement.antenna != a) continue;
        panel.regions.push_back({arrangement.name, r.edges});
        const bool first = panel.loads.empty();
        for (const plan::ConditionReach& c : r.conditions) {
          if (first) panel.loads.push_back({answers.station.conditions[c.condition].name, c.load_ohm});
          if (c.reach.inside && std::isfinite(c.reach.way_out_ohm))
            panel.in_sight_ohm.push_back(c.reach.way_out_load_ohm);
        }
      }
      if (!panel.loads.empty()) panels.push_back(std::move(panel));
    }
  }
  return plots::wander_chart(panels, {fmt::format("{}: which loads the settings of the plan serve within SWR {:.3g}",
                                                  answers.station.name, answers.station.transmitter.swr_limit),
                                      text.source});
}

/// Names as parts of file names, with a number behind one that is there already.
template <class Named>
std::vector<std::string> file_names(const std::vector<Named>& all) {
  std::vector<std::string> names;
  for (const Named& one : all) {
    const std::string plain = plain_name(one.name);
    std::string name = plain;
    for (int n = 2; std::find(names.begin(), names.end(), name) != names.end(); ++n)
      name = fmt::format("{}-{}", plain, n);
    names.push_back(std::move(name));
  }
  return names;
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

/// Under which loads the ground is taken to be worse than it is stated: measured under short wires that lie.
std::string lying_note(const station::Station& station) {
  const double most = station::ground_factors(station.uncertainty, true).high;
  if (most <= station::ground_factors(station.uncertainty, false).high) return "";
  std::vector<std::string> places;
  for (const station::Band& band : station.bands) {
    for (const station::Antenna& antenna : station.antennas) {
      for (const station::AntennaLoad& l : antenna.loads) {
        if (station::short_wire_lies(l, band.design_hz))
          places.push_back(band.name + (antenna.name.empty() ? "" : ", " + antenna.name) + ", " + l.load.name);
      }
    }
  }
  if (places.empty()) return "";
  return wrapped(
      fmt::format("Where a wire shorter than a quarter wave lies, the ground is taken up to {:g} times as lossy as "
                  "the flat-soil model says (measured under one radial): {}.",
                  most, fmt::join(places, "; ")),
      0, 110);
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

/// Hands that are varied as one, if there are several.
std::string contacts_note(const station::Station& station) {
  std::size_t ranges = 0;
  for (const station::Antenna& antenna : station.antennas) {
    std::size_t of_antenna = 0;
    for (const station::AntennaLoad& l : antenna.loads) of_antenna += l.contact_ohm.has_value();
    ranges = std::max(ranges, of_antenna);
  }
  if (ranges < 2) return "";
  return "A hand's contact is a range in several conditions: all are taken at the same place of their ranges.";
}

/// What uncertain inputs leave out of coils part-way up a whip, if there are any.
std::string whip_coil_note(const station::Station& station) {
  std::string names;
  for (const station::Antenna& antenna : station.antennas) {
    for (const station::AntennaLoad& l : antenna.loads) {
      if (!l.solved_from || l.solved_from->antenna.coils.empty()) continue;
      names += (names.empty() ? "" : "; ") + (antenna.name.empty() ? "" : antenna.name + ", ") + l.load.name;
    }
  }
  if (names.empty()) return "";
  return "Contacts and temperature of the coil part-way up the whip are not varied for: " + names +
         " (its Q is, as one for all).";
}

std::string plan_text(const Answers& answers, bool every_condition) {
  const station::Station& station = answers.station;
  const plan::Plan& plan = answers.plan;
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
  text += wrapped(
      fmt::format(
          "Transmitter {}, SWR limit {:.3g}. Each figure is the worst {}over the part of the band "
          "in use, in dB below the transmitter's full power: towards the other station (as an "
          "isotropic radiator would give it), radiated in all, into the antenna. In brackets: what {} "
          "make of it; \"as stated\" holds only without them. Bandwidth and powers without brackets are as stated "
          "only, budgets too (their ranges are in JSON and CSV); SWR and stress of what is set anew as tried. A tuner "
          "is shown set as well as its parts allow.",
          print_quantity(station.transmitter.source.power_w, Unit::watt), station.transmitter.swr_limit,
          every_condition ? "" : "of all normal conditions ", off),
      0, 110);
  text += counted_note(plan);
  text += ground_note(station);
  text += lying_note(station);
  if (const std::string note = whip_coil_note(station); !note.empty()) text += wrapped(note, 0, 110);
  if (const std::string note = contacts_note(station); !note.empty()) text += wrapped(note, 0, 110);
  text += "\n";
  for (std::size_t b = 0; b < plan.bands.size(); ++b) text += band_text(answers, b, every_condition);
  return text + far_end_text(answers) + reach_text(answers) + own_search_text(answers) + carrying_text(answers) +
         energy_text(station) + plan_exposure_text(station, plan) + cautions_text(plan.cautions);
}

std::string plan_json(const Answers& answers) {
  const station::Station& station = answers.station;
  const plan::Plan& plan = answers.plan;
  Json j{{"tool", "stile-plan"},
         {"version", version()},
         {"station", station.name},
         {"power_w", station.transmitter.source.power_w},
         {"swr_limit", station.transmitter.swr_limit}};
  if (const std::string note = whip_coil_note(station); !note.empty()) j["not_varied"] = note;
  if (const std::string note = contacts_note(station); !note.empty()) j["varied_together"] = note;
  j["bands"] = Json::array();
  for (const plan::BandResult& band : plan.bands) {
    Json b{{"band", band.band.name},
           {"low_hz", band.band.low_hz},
           {"high_hz", band.band.high_hz},
           {"use_low_hz", band.band.use_low_hz},
           {"use_high_hz", band.band.use_high_hz},
           {"design_hz", band.band.design_hz}};
    b["conditions"] = Json::array();
    for (const BandLoad& load : band_loads(station, band.band))
      b["conditions"].push_back({{"condition", load.condition},
                                 {"antenna", load.antenna},
                                 {"load_ohm", json_complex(load.load_ohm)},
                                 {"radiated_share", json_known(load.radiated_share)},
                                 {"ground_factor", json_known(load.ground_factor)}});
    b["arrangements"] = Json::array();
    for (std::size_t n = 0; n < band.arrangements.size(); ++n) {
      b["arrangements"].push_back(
          arrangement_json(band.band.name, band.arrangements[n], station.transmitter.source.power_w));
      add_answers(answers, static_cast<std::size_t>(&band - plan.bands.data()), n, b["arrangements"].back());
    }
    b["choice"] = choice_name(band.choice);
    b["taken"] = band.taken ? Json(band.arrangements[*band.taken].name) : Json(nullptr);
    b["taken_apart"] = Json::array();
    for (const std::size_t n : band.apart) b["taken_apart"].push_back(band.arrangements[n].name);
    b["verdict"] = band.verdict;
    b["counted"] = counted_name(band.counted);
    b["path"] = nullptr;
    if (band.band.path)
      b["path"] = {
          {"elevation_deg", {band.band.path->elevation_deg.low, band.band.path->elevation_deg.high}},
          {"distance_m", json_known(band.band.path->distance_m)},
          {"layer_height_m", band.band.path->distance_m ? json_range(band.band.path->layer_height_m) : Json(nullptr)}};
    b["measure"] = Json::array();
    for (const plan::Measure& m : band.measures) b["measure"].push_back({{"what", m.what}, {"settles", m.settles}});
    b["turns"] = band.turns;
    j["bands"].push_back(std::move(b));
  }
  j["uncertainty"] = uncertainty_json(station.uncertainty);
  j["contacts"] = station.contacts
                      ? Json{{"margin_db", station.contacts->margin_db}, {"sigma_db", station.contacts->sigma_db}}
                      : Json(nullptr);
  j["carrying"] = carrying_json(answers);
  j["battery"] = battery_json(station);
  j["energy"] = energy_json(station);
  add_plan_exposure(j, station, plan);
  j["cautions"] = cautions_json(plan.cautions);
  return json_text(j);
}

namespace {

/// What of the file stands in the text, as comment lines.
std::string stated_csv(const station::Station& station) {
  const station::Uncertainty& u = station.uncertainty;
  std::string text = fmt::format("# transmitter: {} W, SWR limit {}\n", station.transmitter.source.power_w,
                                 station.transmitter.swr_limit);
  text +=
      fmt::format("# uncertainty: coil Q +-{}, ground {}, lengths +-{}, contacts {} to {} ohm more, {} to {} C\n", u.q,
                  u.ground_factor ? fmt::format("{} to {} times", u.ground_factor->low, u.ground_factor->high)
                                  : fmt::format("+-{}", u.ground),
                  u.lengths, u.contact_ohm.low, u.contact_ohm.high, u.temperature_c.low, u.temperature_c.high);
  for (const station::Band& band : station.bands) {
    text += fmt::format("# band, {}: {} to {} Hz, {} to {} Hz in use, matched at {} Hz", band.name, band.low_hz,
                        band.high_hz, band.use_low_hz, band.use_high_hz, band.design_hz);
    if (band.path) {
      text += fmt::format(", elevations {} to {} degrees", band.path->elevation_deg.low, band.path->elevation_deg.high);
      if (band.path->distance_m)
        text += fmt::format(", {} m away over a layer {} to {} m high", *band.path->distance_m,
                            band.path->layer_height_m.low, band.path->layer_height_m.high);
    }
    text += "\n";
  }
  return text;
}

std::string known_csv(const std::optional<double>& value) { return value ? fmt::format("{}", *value) : "unknown"; }
std::string known_csv(const std::optional<Range>& range) {
  return range ? fmt::format("{} to {}", range->low, range->high) : "unknown";
}

/// The loads of a band, and of an undecided one what to measure.
std::string loads_csv(const station::Station& station, const plan::BandResult& band) {
  std::string text;
  for (const BandLoad& load : band_loads(station, band.band))
    text += fmt::format("# load, {}, {}{}: {} ohm, radiated share {}, ground {} times\n", band.band.name,
                        load.antenna.empty() ? "" : load.antenna + ", ", load.condition, exact_ohms(load.load_ohm),
                        known_csv(load.radiated_share), known_csv(load.ground_factor));
  for (const plan::Measure& m : band.measures)
    text += fmt::format("# measure, {}: {}, settles it in {} of its outcomes\n", band.band.name, m.what, m.settles);
  for (const std::string& turn : band.turns) text += fmt::format("# turns, {}: {}\n", band.band.name, turn);
  return text;
}

/// What the text shows of an arrangement: each figure of its own worst normal condition.
std::string worst_csv(const std::string& where, const plan::ArrangementResult& a) {
  if (!std::isfinite(a.worst_swr)) return "# worst, " + where + "cannot be made\n";
  const plan::WorstFigures w = plan::worst_figures(a);
  return fmt::format(
      "# worst, {}SWR {}, {} to {}; counted {} dB, {} to {}; radiated {} W, {} dB, {}; towards the path {} W, {} dB, "
      "{}; into "
      "the "
      "antenna {} dB, {} to {}; base {} V peak, wherever inputs lie {}; bandwidth {} Hz; {} moved by hand; stated mass "
      "{} kg; counted in S units {}, {} to {}\n",
      where, a.worst_swr, a.swr_range.low, a.swr_range.high, a.counted_db, a.counted_range_db.low,
      a.counted_range_db.high, known_csv(a.radiated_w), known_csv(a.radiated_db), known_csv(a.radiated_range_db),
      known_csv(a.path_w), known_csv(a.path_db), known_csv(a.path_range_db), w.loss_db, w.loss_range_db.low,
      w.loss_range_db.high, w.load_voltage_v_peak, w.load_voltage_high_v_peak, w.narrowest.width_hz(), a.hands,
      known_csv(a.mass_kg), plan::s_units(a.counted_db), plan::s_units(a.counted_range_db.low),
      plan::s_units(a.counted_range_db.high));
}

/// Where every watt of the full power goes at the design frequency, the SWR along the band, and ratings that are
/// broken.
std::string budget_csv(const std::string& where, const plan::ConditionResult& c) {
  std::string text = fmt::format("# budget, {}at {} Hz", where, c.evaluation.frequency_hz);
  for (const plan::BudgetItem& item : c.budget)
    text += fmt::format(", {} {} W ({} to {})", item.where.empty() ? plan::spent_name(item.spent) : item.where,
                        item.power_w, item.range_w.low, item.range_w.high);
  text += fmt::format("\n# along the band, {}", where);
  for (std::size_t n = 0; n < c.frequency_hz.size(); ++n)
    text += fmt::format("{}{} Hz SWR {}", n == 0 ? "" : ", ", c.frequency_hz[n], c.swr_along_band[n]);
  text += "\n";
  for (const network::Overload& o : c.overloads)
    text += fmt::format("# overload, {}{}, {} times its rating\n", where, o.what, o.factor);
  return text;
}

/// Each arrangement on a band: its worst figures, in each condition where the power goes, each part with what it bears,
/// and what its settings are worth.
std::string parts_csv(const plan::BandResult& band) {
  std::string text;
  for (const plan::ArrangementResult& a : band.arrangements) {
    for (const plan::ConditionResult& c : a.conditions) {
      if (!c.possible) continue;
      const std::string where = fmt::format("{}, {}, {}: ", band.band.name, a.name, c.condition);
      text += budget_csv(where, c);
      if (c.setting.tap_turns)
        text +=
            fmt::format("# taps, {}{} turns to the antenna{}, unused {}, trimmer {} F\n", where, *c.setting.tap_turns,
                        c.setting.feed_turns ? fmt::format(", {} to the transmitter", *c.setting.feed_turns) : "",
                        c.setting.unused == coil::Unused::open ? "open" : "shorted", c.setting.trimmer_f);
      for (std::size_t n = 0; n < c.ladder.elements.size(); ++n) {
        const network::Element& e = c.ladder.elements[n];
        const network::Stress& s = c.evaluation.elements[n];
        const plan::StressRange& range = c.stress_ranges[n];
        text +=
            fmt::format("# element, {}{}, {} {} {}, {} V peak ({} to {}), {} A rms ({} to {}), {} W ({} to {}), "
                        "{} J electric, {} J magnetic; rated {} V, {} A, {} W\n",
                        where, e.label, network::place_name(e.place), network::kind_name(e.part),
                        network::value_si(e.part), s.voltage_v_peak, range.voltage_v_peak.low,
                        range.voltage_v_peak.high, s.current_a_rms, range.current_a_rms.low, range.current_a_rms.high,
                        s.dissipation_w, range.dissipation_w.low, range.dissipation_w.high, s.electric_energy_j,
                        s.magnetic_energy_j, e.rating.voltage_v_peak, e.rating.current_a_rms, e.rating.dissipation_w);
      }
    }
    const std::string where = fmt::format("{}, {}: ", band.band.name, a.name);
    text += worst_csv(where, a);
    if (a.untouched)
      text += fmt::format("# walking, {}untouched it works {} of the time, {} resets an hour\n", where, *a.untouched,
                          a.resets_per_hour ? fmt::format("{}", *a.resets_per_hour) : "unknown");
    if (a.untouched_by_itself)
      text += fmt::format("# walking, {}untouched it works {} of the time by what its own search reaches\n", where,
                          *a.untouched_by_itself);
    if (a.proof)
      text += fmt::format("# proof, {}no setting loses less than {} dB, {}, {} tried\n", where, a.proof->bound_db,
                          a.proof->proven ? "proven" : "not reached", a.proof->tried);
    for (const std::string& accident : a.accidents) text += "# accident, " + where + accident + "\n";
  }
  return text;
}

}  // namespace

std::string plan_csv(const Answers& answers) {
  const station::Station& station = answers.station;
  const plan::Plan& plan = answers.plan;
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
                              "counted_high_db",
                              "against_best_db",
                              "against_quarter_wave_db",
                              "contacts_failed_share",
                              "contacts_lost_share",
                              "share_inside",
                              "way_out_ohm",
                              "way_in_ohm",
                              "towards",
                              "towards_share",
                              "towards_ohm",
                              "move",
                              "move_m",
                              "own_search_swr",
                              "own_search_loss_db",
                              "own_search_lost_db",
                              "own_search_readings",
                              "own_search_greatest_swr",
                              "own_search_offered_w",
                              "own_search_needs_w",
                              "own_search_can_tune",
                              "own_search_false_minimum",
                              "radiated_low_db",
                              "radiated_high_db",
                              "path_low_db",
                              "path_high_db",
                              "radiated_db",
                              "path_db",
                              "loaded_q",
                              "bandwidth_limited_by_data",
                              "holds_throughout",
                              "own_search_within_limit",
                              "swr_low",
                              "counted_s_units",
                              "counted_s_units_low",
                              "counted_s_units_high",
                              "against_best_low_db",
                              "against_best_high_db",
                              "against_taken_db",
                              "against_taken_low_db",
                              "against_taken_high_db"});
  const double unknown = std::nan(""), full_w = station.transmitter.source.power_w;
  for (const plan::BandResult& band : plan.bands) {
    for (std::size_t n = 0; n < band.arrangements.size(); ++n) {
      const plan::ArrangementResult& a = band.arrangements[n];
      const plan::FarEnd& end = far_end_of(answers, static_cast<std::size_t>(&band - plan.bands.data()), n);
      const plan::SettingsReach* reach = reach_of(answers, end.band, n);
      for (const plan::ConditionResult& c : a.conditions) {
        const plan::ConditionReach* wander =
            reach == nullptr ? nullptr : condition_reach(*reach, static_cast<std::size_t>(&c - a.conditions.data()));
        const bool inside = wander != nullptr && wander->reach.inside;
        const auto number = [&](double value) { return csv_number(c.possible ? value : unknown); };
        const plan::OwnSearch* own =
            own_search_of(answers, end.band, n, static_cast<std::size_t>(&c - a.conditions.data()));
        const auto searched = [&](auto of) { return csv_number(own != nullptr ? of(*own) : unknown); };
        const auto yes = [](bool value) { return value ? "true" : "false"; };
        text += csv_row(
            {csv_text(band.band.name),
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
             number(c.swr_range.high),
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
             number(c.counted_range_db.high),
             csv_number(end.against_best_db),
             csv_number(end.against_quarter_wave_db.value_or(unknown)),
             csv_number(end.contacts_failed.value_or(unknown)),
             csv_number(end.contacts_lost.value_or(unknown)),
             csv_number(reach != nullptr ? reach->share_inside : unknown),
             csv_number(inside ? wander->reach.way_out_ohm : unknown),
             csv_number(wander != nullptr && !inside ? wander->reach.way_in_ohm : unknown),
             inside && wander->towards ? csv_text(station.conditions[*wander->towards].name) : "",
             csv_number(inside && wander->towards ? wander->towards_share : unknown),
             csv_number(inside && wander->towards ? wander->towards_ohm : unknown),
             inside && wander->moved ? csv_text(plan::moved_words(*wander->moved)) : "",
             csv_number(inside && wander->moved ? wander->moved_m : unknown),
             searched([](const plan::OwnSearch& s) { return s.swr; }),
             searched([](const plan::OwnSearch& s) { return s.loss_db; }),
             searched([](const plan::OwnSearch& s) { return s.lost_db; }),
             searched([](const plan::OwnSearch& s) { return static_cast<double>(s.walk.measurements); }),
             searched([](const plan::OwnSearch& s) { return s.walk.greatest_swr; }),
             searched([](const plan::OwnSearch& s) { return s.offered_w; }),
             csv_number(own != nullptr ? station.arrangements[n].least_tune_power_w.value_or(unknown) : unknown),
             own != nullptr && own->can_tune ? yes(*own->can_tune) : "",
             own != nullptr ? yes(own->walk.false_minimum) : "",
             number(c.radiated_range_db ? c.radiated_range_db->low : unknown),
             number(c.radiated_range_db ? c.radiated_range_db->high : unknown),
             number(c.path_range_db ? c.path_range_db->low : unknown),
             number(c.path_range_db ? c.path_range_db->high : unknown),
             number(db_below(full_w, c.radiated_w).value_or(unknown)),
             number(db_below(full_w, c.path_w).value_or(unknown)),
             number(c.evaluation.loaded_q),
             !c.possible ? "" : yes(c.bandwidth.low_is_data_edge || c.bandwidth.high_is_data_edge),
             yes(a.holds_throughout),
             own != nullptr ? yes(own->walk.status == tuner::TunerStatus::found) : "",
             number(c.swr_range.low),
             number(plan::s_units(c.counted_db)),
             number(plan::s_units(c.counted_range_db.low)),
             number(plan::s_units(c.counted_range_db.high)),
             csv_number(end.against_best_range_db.low),
             csv_number(end.against_best_range_db.high),
             csv_number(a.against_taken ? a.against_taken->db : unknown),
             csv_number(a.against_taken ? a.against_taken->range_db.low : unknown),
             csv_number(a.against_taken ? a.against_taken->range_db.high : unknown)});
      }
    }
  }
  text += stated_csv(station);
  for (const plan::BandResult& band : plan.bands) {
    text += "# verdict: " + band.band.name + ": " + band.verdict + "\n";
    text += loads_csv(station, band) + parts_csv(band);
  }
  if (const std::string note = whip_coil_note(station); !note.empty()) text += "# not varied: " + note + "\n";
  if (const std::string note = contacts_note(station); !note.empty()) text += "# varied together: " + note + "\n";
  return text + own_search_csv(answers) + contacts_csv(station) + reach_csv(answers) + carrying_csv(answers) +
         energy_csv(station) + plan_exposure_csv(station, plan) + cautions_csv(plan.cautions);
}

std::vector<std::string> chart_names(const station::Station& station) {
  std::vector<std::string> names;
  for (const std::string& condition : file_names(station.conditions)) {
    names.push_back("budget-" + condition);
    names.push_back("swr-" + condition);
  }
  names.emplace_back("bands-power");
  if (std::any_of(station.bands.begin(), station.bands.end(),
                  [](const station::Band& b) { return b.path.has_value(); }))
    names.emplace_back("bands-radiated");
  if (station.supply) names.emplace_back("operating-time");
  const auto of_wires = [](const station::Antenna& antenna) {
    return std::any_of(antenna.loads.begin(), antenna.loads.end(),
                       [](const station::AntennaLoad& l) { return l.wires.has_value(); });
  };
  if (std::any_of(station.antennas.begin(), station.antennas.end(), of_wires)) names.emplace_back("person-fields");
  names.insert(names.end(), {"mass-power", "hands-power", "wander"});
  for (const std::string& band : file_names(station.bands)) names.push_back("match-" + band);
  return names;
}

std::vector<NamedChart> plan_charts(const Answers& answers) {
  const station::Station& station = answers.station;
  const plan::Plan& plan = answers.plan;
  const plots::ChartText text{"", fmt::format("{} Read the cautions of the comparison. stile-plan {}; {}",
                                              plan.cautions.front().text, version(),
                                              station.note.empty() ? station.name : station.note)};
  std::vector<NamedChart> charts;
  const std::vector<std::string> conditions = file_names(station.conditions), bands = file_names(station.bands);
  for (std::size_t n = 0; n < station.conditions.size(); ++n) {
    const std::string &condition = conditions[n], &name = station.conditions[n].name;
    if (const auto budget = budget_of(station, plan, n, text))
      charts.push_back({"budget-" + condition, "Where the power goes in \"" + name + "\", band by band",
                        "plan.csv, lines that begin with # budget", *budget});
    if (const auto swr = swr_of(station, plan, n, text))
      charts.push_back({"swr-" + condition, "SWR at the transmitter across the bands in \"" + name + "\"",
                        "plan.csv, lines that begin with # along the band", *swr});
  }
  for (NamedChart& chart : answer_charts(answers, text)) charts.push_back(std::move(chart));
  for (const bool by_mass : {true, false}) {
    if (const auto chart = trade_of(answers, by_mass, text))
      charts.push_back({by_mass ? "mass-power" : "hands-power",
                        std::string("Power in the worst condition against ") +
                            (by_mass ? "mass" : "what a hand moves") + ", band by band",
                        "plan.csv, lines that begin with # frontier", *chart});
  }
  if (!answers.reaches.empty())
    charts.push_back({"wander", "Which loads the settings of the plan serve, band by band",
                      "plan.csv, lines that begin with # reach (loads) and # edge (regions)",
                      wander_of(answers, text)});
  for (std::size_t b = 0; b < plan.bands.size(); ++b) {
    const plan::BandResult& band = plan.bands[b];
    if (!band.taken) continue;
    const plan::ArrangementResult& a = band.arrangements[*band.taken];
    charts.push_back({"match-" + bands[b],
                      band.band.name + ", " + a.name + ": from antenna to transmitter through its parts", "",
                      match_of(station, band, a, text)});
  }
  return charts;
}

}  // namespace stile::tools

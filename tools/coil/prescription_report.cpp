#include "coil/prescription_report.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <set>

#include <fmt/core.h>

#include <stile/base/quantity.hpp>
#include <stile/plots/coil_taps.hpp>
#include <stile/plots/coil_voltage.hpp>

#include "cli/cautions.hpp"
#include "cli/command_line.hpp"
#include "cli/json.hpp"
#include "cli/table.hpp"
#include "coil/design_report.hpp"
#include "coil/report.hpp"

namespace stile::tools {
namespace {

using plan::CoilSetting;

bool all_used(const PrescriptionCase& c, const CoilSetting& s) {
  return std::max(*s.setting.tap_turns, s.setting.feed_turns.value_or(0.0)) >=
         coil::total_turns(c.prescribed.winding) - 1e-9;
}

/// 0: bypassed.
double tap_turns(const CoilSetting& s) { return s.setting.tap_turns.value_or(0.0); }

/// "74", "none" where the coil is bypassed, "-" where nothing can be set; of an autotransformer "74, fed at 3".
std::string tap_text(const CoilSetting& s) {
  if (!s.possible) return "-";
  if (s.part_way) return "all";
  if (s.setting.feed_turns) return fmt::format("{:g}, fed at {:g}", *s.setting.tap_turns, *s.setting.feed_turns);
  return s.wound ? fmt::format("{:g}", *s.setting.tap_turns) : "none";
}

std::string unused_text(const PrescriptionCase& c, const CoilSetting& s) {
  if (!s.in_use()) return "-";
  return all_used(c, s) ? "all used" : unused_name(s.setting.unused);
}

/// "15 pF" across the turns in use.
std::string trimmer_text(const CoilSetting& s) {
  return s.setting.trimmer_f > 0.0 ? print_quantity(s.setting.trimmer_f, Unit::farad, 3) : "-";
}

/// The plan states inductances, and the winding is the tool's.
bool of_parts(const PrescriptionCase& c) { return c.prescribed.coil.empty(); }

/// Everything but the coil: "shunt inductor 1.62 uH"; of a coil wound on the same former by itself with its turns.
std::string beside_text(const CoilSetting& s) {
  std::string text;
  auto own = s.windings.begin();
  for (const network::Element& e : s.beside) {
    text += (text.empty() ? "" : ", ") + network::place_name(e.place) + " " + network::kind_name(e.part) + " " +
            network::value_text(e.part, 4);
    if (!std::holds_alternative<network::Inductor>(e.part) || own == s.windings.end()) continue;
    text += own->turns > 0.0 ? fmt::format(" ({:g} turns)", own->turns) : " (no turns have it)";
    ++own;
  }
  return !s.possible ? "cannot be made" : text.empty() ? "nothing" : text;
}

/// "series 68.72 uH": where the plan's coil stands and what it is.
std::string planned_text(const CoilSetting& s) {
  for (std::size_t n = 0; s.planned_h && n < s.setting.elements.size(); ++n) {
    const network::Element& e = s.setting.elements[n];
    if (s.wound == n) return network::place_name(e.place) + " " + network::value_text(e.part, 4);
  }
  return s.planned_h ? print_quantity(*s.planned_h, Unit::henry) : "-";
}

std::string swr_text(double swr) { return swr < 100.0 ? fmt::format("{:.2f}", swr) : ">100"; }

/// One setting for one or several conditions of a band.
struct Row {
  const CoilSetting* first = nullptr;
  std::vector<std::string> conditions;
  double swr = 0.0, loss_db = 0.0;
  bool holds = true;
};

/// Settings of an arrangement, those equal within a band together.
std::vector<Row> rows_of(const PrescriptionCase& c, const std::string& arrangement) {
  std::vector<Row> rows;
  const auto same = [&](const CoilSetting& a, const CoilSetting& b) {
    return a.band == b.band && tap_text(a) == tap_text(b) && unused_text(c, a) == unused_text(c, b) &&
           trimmer_text(a) == trimmer_text(b) && beside_text(a) == beside_text(b) && planned_text(a) == planned_text(b);
  };
  for (const CoilSetting& s : c.prescribed.settings) {
    if (s.arrangement != arrangement) continue;
    auto row = std::find_if(rows.begin(), rows.end(), [&](const Row& r) { return same(*r.first, s); });
    if (row == rows.end()) row = rows.insert(rows.end(), Row{&s, {}, 0.0, 0.0, true});
    row->conditions.push_back(s.condition);
    row->swr = std::max(row->swr, s.swr);
    row->loss_db = std::max(row->loss_db, s.loss_db);
    row->holds &= s.holds;
  }
  return rows;
}

/// "80 m" in all conditions shown, otherwise "80 m: lifted, on heather".
std::string row_name(const PrescriptionCase& c, const Row& row) {
  std::string text = row.first->band;
  if (row.conditions.size() == c.conditions.size()) return text;
  for (std::size_t n = 0; n < row.conditions.size(); ++n) text += (n == 0 ? ": " : ", ") + row.conditions[n];
  return text;
}

bool is_part_way(const PrescriptionCase& c) {
  return std::any_of(c.prescribed.settings.begin(), c.prescribed.settings.end(),
                     [](const CoilSetting& s) { return s.part_way; });
}

/// What to set, a table each arrangement.
std::vector<plots::SheetTable> settings_tables(const PrescriptionCase& c) {
  std::vector<plots::SheetTable> tables;
  for (const std::string& arrangement : c.prescribed.arrangements) {
    std::vector<std::vector<std::string>> rows{{"Band", "Tap", "Unused", of_parts(c) ? "Plan's coil" : "Across them",
                                                "Beside the coil", "SWR", "Loss, dB", ""}};
    if (of_parts(c)) rows.front().insert(rows.front().begin() + 4, "Left, ohm");
    for (const Row& row : rows_of(c, arrangement)) {
      const CoilSetting& s = *row.first;
      rows.push_back(
          {row_name(c, row), tap_text(s), unused_text(c, s), of_parts(c) ? planned_text(s) : trimmer_text(s)});
      if (of_parts(c)) rows.back().push_back(s.wound ? fmt::format("{:+.1f}", s.left_ohm) : "-");
      rows.back().push_back(beside_text(s));
      if (s.possible) {
        rows.back().insert(rows.back().end(), {swr_text(row.swr), figure(row.loss_db), row.holds ? "holds" : ""});
      }
    }
    tables.push_back({arrangement, std::move(rows)});
  }
  return tables;
}

/// "Q 200 at 7 MHz", as the station states it for the coil that the plan leaves to be wound.
std::string stated_q_text(const PrescriptionCase& c) {
  for (const CoilSetting& s : c.prescribed.settings) {
    for (const network::Element& e : s.setting.elements) {
      const auto* coil = std::get_if<network::Inductor>(&e.part);
      if (coil == nullptr || !s.planned_h) continue;
      return fmt::format("Q {:.4g}{}", coil->loss.q,
                         coil->loss.q_at_hz > 0.0 ? " at " + print_quantity(coil->loss.q_at_hz, Unit::hertz) : "");
    }
  }
  return "Q";
}

/// What is wound and how it stands to the plan, where the plan states inductances.
std::string standing(const PrescriptionCase& c) {
  const auto listed = [](const std::vector<std::string>& names, const char* quote) {
    std::string text;
    for (const std::string& name : names) text += (text.empty() ? "" : ", ") + (quote + name + quote);
    return text;
  };
  std::string text =
      fmt::format("This winds the plan's arrangement \"{}\", which the plan takes on {}. ",
                  c.prescribed.arrangements.front(), c.taken_on.empty() ? "no band" : listed(c.taken_on, ""));
  if (!c.others.empty())
    text += fmt::format("Alternatives of the plan, not wound here: {} (--arrangement). ", listed(c.others, "\""));
  return text +
         fmt::format(
             "Inductances and the parts beside the coil are the plan's, SWR and loss too, with exactly these values "
             "and the {} that the station gives its coils, not that of this winding. ",
             stated_q_text(c)) +
         "The tap is the place that comes nearest to the plan's reactance and \"left\" what it shows beyond it: move "
         "the clip, or spread and squeeze turns. Turns in brackets: another coil, by itself on the same former.";
}

/// Each arrangement as it is set on the first band on which its coil is in use. A coil of the station has the
/// inductance of its turns, as the table for the meter gives it; the plan's part, which shows the coil's impedance at
/// one frequency with a capacitance across it, has another in the fourth digit.
std::vector<plots::SheetCircuit> circuits(const PrescriptionCase& c) {
  std::vector<plots::SheetCircuit> list;
  for (const std::string& arrangement : c.prescribed.arrangements) {
    const auto s =
        std::find_if(c.prescribed.settings.begin(), c.prescribed.settings.end(), [&](const CoilSetting& each) {
          return each.arrangement == arrangement && each.possible && each.wound && !each.part_way;
        });
    if (s == c.prescribed.settings.end()) continue;
    plan::Setting drawn = s->setting;
    if (of_parts(c)) {
      drawn.tap_turns.reset();  // by its inductance, wherever it stands
    } else if (auto* coil = std::get_if<network::Inductor>(&drawn.elements[*s->wound].part); coil && s->point) {
      coil->inductance_h = s->point->inductance_h;
    }
    list.push_back({fmt::format("Circuit of \"{}\", as on {}, {}", arrangement, s->band, s->condition),
                    plots::schematic_of(drawn, coil::total_turns(c.prescribed.winding))});
  }
  return list;
}

/// Every tap of a band once, as a meter would see it.
std::vector<std::vector<std::string>> meter_table(const PrescriptionCase& c) {
  std::vector<std::vector<std::string>> rows{
      {"Band", "MHz", "Tap", "Unused", "L, uH", "At terminals, uH", "Q in practice", "Resonance"}};
  std::set<std::tuple<std::string, double, coil::Unused>> seen;
  for (const CoilSetting& s : c.prescribed.settings) {
    const double turns =
        std::max(tap_turns(s), s.setting.feed_turns.value_or(0.0));  // of an autotransformer the higher
    if (!s.point || !seen.insert({s.band, turns, s.setting.unused}).second) continue;
    const Range q = coil::terminal_q(*s.point);
    rows.push_back(
        {s.band, fmt::format("{:.6g}", 1e-6 * s.frequency_hz),
         s.setting.feed_turns ? fmt::format("{:g}", turns) : tap_text(s), unused_text(c, s),
         figure(1e6 * s.point->inductance_h), q.high > 0.0 ? figure(1e6 * s.point->apparent_inductance_h) : "-",
         q.high > 0.0 ? band_text(q) : "above resonance", print_quantity(s.point->self_resonance_hz, Unit::hertz)});
  }
  return rows;
}

std::string where(const CoilSetting& s) { return s.band + ", " + s.condition + ", " + s.arrangement; }

std::vector<std::string> warnings(const PrescriptionCase& c) {
  std::vector<std::string> list;
  std::set<std::string> seen;
  for (const CoilSetting& s : c.prescribed.settings) {
    const auto add = [&](const std::string& warning) {
      if (seen.insert(warning).second) list.push_back(where(s) + ": " + warning);
    };
    if (!s.winding_warning.empty()) list.push_back(s.winding_warning);
    if (s.point) {
      for (const coil::PointWarning& warning : s.point->warnings) add(warning.text);
    }
    if (s.ratings) {
      for (const std::string& warning : s.ratings->warnings) add(warning);
    }
  }
  return list;
}

/// The part that does the step to the transmitter's resistance, as the tool's other results name it.
std::string step_of(const CoilSetting& s) {
  if (s.setting.feed_turns) return coil::step_name(coil::StepKind::autotransformer);
  if (s.beside.empty()) return coil::step_name(coil::StepKind::none);
  const network::Element& e = s.beside.front();
  return network::place_name(e.place) + " " +
         (std::holds_alternative<network::Inductor>(e.part) ? "coil" : network::kind_name(e.part));
}

std::vector<std::pair<std::string, coil::WirePlace>> marks(const PrescriptionCase& c) {
  std::vector<std::pair<std::string, coil::WirePlace>> list;
  for (const plan::CoilTap& tap : c.prescribed.taps) list.push_back({tap.serves, {0, tap.turns}});
  return list;
}

double worst_loss_db(const PrescriptionCase& c) {
  double worst = 0.0;
  for (const CoilSetting& s : c.prescribed.settings)
    worst = std::max(worst, s.possible ? s.loss_db : std::numeric_limits<double>::infinity());
  return worst;
}

Json setting_json(const CoilSetting& s) {
  Json j{{"arrangement", s.arrangement}, {"condition", s.condition}, {"possible", s.possible}};
  if (!s.possible) return j;
  j["tap_turns"] = tap_turns(s);
  if (s.setting.feed_turns) j["feed_turns"] = *s.setting.feed_turns;
  if (s.part_way) j["part_way"] = true;
  j["unused"] = unused_name(s.setting.unused);
  j["trimmer_f"] = s.setting.trimmer_f;
  j["elements"] = Json::array();
  for (std::size_t n = 0; n < s.setting.elements.size(); ++n) {
    const network::Element& e = s.setting.elements[n];
    Json element{{"place", network::place_name(e.place)},
                 {"kind", network::kind_name(e.part)},
                 {"value", network::value_si(e.part)}};
    if (s.planned_h && s.wound == n) element["turns"] = tap_turns(s);
    for (const plan::OwnWinding& own : s.windings) {
      if (own.element == n) element["turns"] = own.turns > 0.0 ? Json(own.turns) : Json(nullptr);
    }
    j["elements"].push_back(std::move(element));
  }
  if (s.planned_h) {
    j["planned_inductance_h"] = *s.planned_h;
    j["left_ohm"] = s.left_ohm;
  }
  j["swr"] = s.swr;
  j["loss_db"] = s.loss_db;
  j["holds"] = s.holds;
  j["current_a_rms"] = s.current_a_rms;
  j["coil"] = s.point ? coil_point_json(*s.point) : Json(nullptr);
  j["ratings"] = s.ratings ? ratings_json(*s.ratings) : Json(nullptr);
  return j;
}

}  // namespace

std::string prescription_failure(const PrescriptionCase& c) {
  std::string text;
  std::set<std::string> seen;
  const auto add = [&](const std::string& what) {
    if (seen.insert(what).second) text += (text.empty() ? "" : "; ") + what;
  };
  for (const std::string& band : c.prescribed.unserved) add(band);
  for (const CoilSetting& s : c.prescribed.settings) {
    if (!s.ratings) continue;
    for (const std::string& warning : s.ratings->warnings) add(warning);
  }
  return text;
}

std::string prescription_text(const PrescriptionCase& c) {
  const plan::CoilPrescription& p = c.prescribed;
  const std::string name = of_parts(c) ? "of \"" + p.arrangements.front() + "\"" : "\"" + p.coil + "\"";
  std::string text =
      fmt::format("{}: coil {} as the plan sets it, {}, {}\n", c.station, name,
                  is_part_way(c) ? "part-way up the whip" : "between transmitter (turn 0) and whip (tap)",
                  print_quantity(c.power_w, Unit::watt));
  text += winding_text(p.winding) + fmt::format("; wire {}, {:.4g} g\n",
                                                print_quantity(wire_length_m(p.winding), Unit::metre),
                                                1e3 * coil::wire_mass_kg(p.winding));
  if (c.tried > 0) text += search_text(c.tried, c.refused);
  text += "\n";
  if (of_parts(c)) text += wrapped(standing(c), 0, 112) + "\n";
  text += "SWR and loss: the worst over the part of the band in use; loss from the transmitter's full power into the "
          "antenna.\n\n";
  for (const plots::SheetTable& table : settings_tables(c)) text += table.title + "\n" + aligned(table.rows) + "\n";
  text += "To check with a meter: from turn 0 to the tap. Q: at the terminals, former included; a band, what surface, "
          "joints and\nneighbours leave of it in practice.\n" +
          aligned(meter_table(c)) + "\n";
  std::vector<std::vector<std::string>> rows{{"Band, condition, arrangement", "A rms", "V peak", "Open end, V",
                                              "Between turns, V", "Margin", "Heat, W", "Wire, C"}};
  for (const CoilSetting& s : p.settings) {
    if (!s.ratings) continue;
    const coil::CoilRatings& r = *s.ratings;
    const bool open_end = s.setting.unused == coil::Unused::open && !all_used(c, s) && r.open_end_voltage_v_peak > 0.0;
    rows.push_back({where(s), figure(s.current_a_rms), figure(r.end_voltage_v_peak),
                    open_end ? figure(r.open_end_voltage_v_peak) : "-", figure(r.turn_voltage_v_peak),
                    figure(r.breakdown_margin), figure(r.winding_w + r.former_w),
                    fmt::format("{:.0f}", r.temperature_c)});
  }
  text += fmt::format("Ratings at the power that the transmitter then offers, duty {:.3g}, air {:.0f} C; the margin to "
                      "breakdown should be 2 or more.\n",
                      c.service.duty, c.service.ambient_c) +
          aligned(rows);
  const std::vector<std::string> list = warnings(c);
  if (!list.empty() || !p.unserved.empty()) text += "\n";
  for (const std::string& band : p.unserved) text += wrapped("Does not hold: " + band + ".", 0, 112);
  for (const std::string& warning : list) text += wrapped("Warning: " + warning + ".", 0, 112);
  text += "\n" + wrapped(std::string("How far to trust it. ") + coil_accuracy, 0, 112);
  return text + "\n" + cautions_in_short(c.cautions);
}

std::string prescription_json(const PrescriptionCase& c) {
  const plan::CoilPrescription& p = c.prescribed;
  Json j = design_frame_json(c.station, p.winding);
  j["status"] = p.unserved.empty() ? "found" : "does not serve every band";
  j["unserved"] = p.unserved;
  j["coil_name"] = of_parts(c) ? Json(nullptr) : Json(p.coil);
  if (of_parts(c)) {
    j["arrangement"] = p.arrangements.front();
    j["taken_on"] = c.taken_on;
    j["alternatives"] = c.others;
  }
  if (c.tried > 0) j["search"] = {{"tried", c.tried}, {"refused", c.refused}};
  j["worst_loss_db"] = worst_loss_db(c);
  j["bands"] = Json::array();
  std::vector<std::pair<std::string, std::string>> told;
  for (const CoilSetting& s : p.settings) {
    const std::pair which{s.band, s.condition};
    if (std::find(told.begin(), told.end(), which) != told.end()) continue;
    told.push_back(which);
    Json band{{"band", s.band},
              {"condition", s.condition},
              {"frequency_hz", s.frequency_hz},
              {"load_ohm", json_complex(s.load_ohm)},
              {"settings", Json::array()},
              {"turns", tap_turns(s)},
              {"unused", unused_name(s.setting.unused)},
              {"coil", s.point ? coil_point_json(*s.point) : Json(nullptr)},
              {"best_step", step_of(s)},
              {"current_a_rms", s.current_a_rms},
              {"ratings", s.ratings ? ratings_json(*s.ratings) : Json(nullptr)}};
    for (const CoilSetting& setting : p.settings) {
      if (setting.band == s.band && setting.condition == s.condition) band["settings"].push_back(setting_json(setting));
    }
    for (const coil::BandDesign& b : c.alternatives.bands) {
      if (b.target.name == s.band + ", " + s.condition) add_alternatives_json(band, b);
    }
    j["bands"].push_back(std::move(band));
  }
  j["taps"] = taps_json(p.winding, marks(c));
  j["accuracy"] = coil_accuracy;
  j["warnings"] = warnings(c);
  j["cautions"] = cautions_json(c.cautions);
  return json_text(j);
}

std::string prescription_csv(const PrescriptionCase& c) {
  std::string text = csv_row({"arrangement",
                              "band",
                              "condition",
                              "frequency_hz",
                              "load_r_ohm",
                              "load_x_ohm",
                              "turns",
                              "unused",
                              "trimmer_f",
                              "inductance_h",
                              "q_low",
                              "q_high",
                              "step",
                              "step_inductance_h",
                              "step_capacitance_f",
                              "swr",
                              "loss_db",
                              "holds",
                              "bandwidth_hz",
                              "current_a_rms",
                              "end_voltage_v_peak",
                              "breakdown_margin",
                              "temperature_c",
                              "feed_turns",
                              "planned_inductance_h",
                              "left_ohm"});
  constexpr double none = std::numeric_limits<double>::quiet_NaN();
  for (const CoilSetting& s : c.prescribed.settings) {
    double step_h = 0.0, step_f = 0.0;
    for (const network::Element& e : s.beside) {
      const network::Component& part = e.part;
      if (std::holds_alternative<network::Inductor>(part)) step_h = network::value_si(part);
      if (std::holds_alternative<network::Capacitor>(part)) step_f = network::value_si(part);
    }
    const Range q = s.point ? coil::terminal_q(*s.point) : Range{none, none};
    std::vector<std::string> row{csv_text(s.arrangement), csv_text(s.band), csv_text(s.condition)};
    const auto add = [&](std::initializer_list<double> values) {
      for (const double value : values) row.push_back(csv_number(value));
    };
    const auto made = [&](double value) { return s.possible ? value : none; };
    add({s.frequency_hz, s.load_ohm.real(), s.load_ohm.imag(), made(tap_turns(s))});
    row.push_back(s.in_use() ? unused_name(s.setting.unused) : "");
    add({made(s.setting.trimmer_f), s.point ? s.point->inductance_h : none, q.low, q.high});
    row.push_back(s.possible ? step_of(s) : "");
    add({made(step_h), made(step_f), made(s.swr), made(s.loss_db)});
    row.push_back(s.holds ? "1" : "0");
    add({made(s.bandwidth.width_hz()), made(s.current_a_rms), s.ratings ? s.ratings->end_voltage_v_peak : none,
         s.ratings ? s.ratings->breakdown_margin : none, s.ratings ? s.ratings->temperature_c : none,
         s.setting.feed_turns.value_or(none), s.planned_h.value_or(none), s.planned_h ? s.left_ohm : none});
    text += csv_row(row);
  }
  if (of_parts(c)) text += "# " + standing(c) + "\n";
  for (const std::string& band : c.prescribed.unserved) text += "# does not hold: " + band + "\n";
  for (const std::string& warning : warnings(c)) text += "# warning: " + warning + "\n";
  return text + "# accuracy: " + coil_accuracy + "\n" + cautions_csv(c.cautions);
}

plots::CoilSheet prescription_sheet(const PrescriptionCase& c, double lead_m) {
  std::vector<plots::SheetTable> tables = settings_tables(c);
  if (of_parts(c)) tables.back().notes.push_back(standing(c));
  tables.back().notes.push_back("Tap: turns from the transmitter's end. SWR and loss: the worst over the part in use.");
  for (const std::string& band : c.prescribed.unserved) tables.back().notes.push_back("Does not hold: " + band + ".");
  tables.push_back({"To check with a meter, from turn 0 to the tap",
                    meter_table(c),
                    {"L: of the winding by itself, as at low frequency; at terminals: what a meter shows at this "
                     "frequency, with the "
                     "winding's own capacitance."}});
  return {c.station + ", coil " +
              (of_parts(c) ? "of \"" + c.prescribed.arrangements.front() : "\"" + c.prescribed.coil) + "\"",
          c.prescribed.winding,
          marks(c),
          lead_m,
          std::move(tables),
          circuits(c),
          warnings(c),
          c.cautions,
          version_text("stile-coil")};
}

plots::Chart prescription_taps_chart(const PrescriptionCase& c) {
  std::vector<plots::TapBar> bars;
  const bool several = c.prescribed.arrangements.size() > 1;
  for (const std::string& arrangement : c.prescribed.arrangements) {
    for (const Row& row : rows_of(c, arrangement)) {
      const CoilSetting& s = *row.first;
      std::string figures = !s.possible ? "cannot be made" : "bypassed";
      if (s.point) {
        figures = fmt::format("{}, {}", print_quantity(s.point->inductance_h, Unit::henry, 3),
                              coil::terminal_q(*s.point).high > 0.0 ? "Q " + band_text(coil::terminal_q(*s.point))
                                                                    : "above the self-resonance");
      }
      if (s.setting.feed_turns) figures += fmt::format(", fed at turn {:g}", *s.setting.feed_turns);
      if (s.possible && beside_text(s) != "nothing") figures += ", " + beside_text(s);
      bars.push_back({(several ? arrangement + ", " : "") + row_name(c, row), tap_turns(s),
                      s.setting.unused == coil::Unused::shorted, figures});
    }
  }
  return plots::coil_taps_chart(
      bars, coil::total_turns(c.prescribed.winding), c.prescribed.winding.sections.front().pitch_m,
      {"Taps of " + winding_text(c.prescribed.winding),
       c.station + ". Q: band in practice. Computed by " + version_text("stile-coil") + chart_caution});
}

std::optional<plots::Chart> prescription_voltage_chart(const PrescriptionCase& c) {
  std::map<std::string, plots::CoilVoltage> by_band;
  std::vector<std::string> order;
  const auto most = [](const plots::CoilVoltage& v) { return *std::max_element(v.v_peak.begin(), v.v_peak.end()); };
  for (const CoilSetting& s : c.prescribed.settings) {
    if (!s.point) continue;
    plots::CoilVoltage curve{s.band + ", " + s.condition +
                                 (all_used(c, s) ? ", all in use" : ", rest " + unused_name(s.setting.unused)),
                             {},
                             {},
                             tap_turns(s)};
    for (const coil::NodeState& node : s.point->nodes) curve.turn.push_back(node.place.turn);
    curve.v_peak = coil::node_voltages_v_peak(*s.point, s.current_a_rms);
    const auto known = by_band.find(s.band);
    if (known == by_band.end()) order.push_back(s.band);
    if (known == by_band.end() || most(known->second) < most(curve)) by_band[s.band] = curve;
  }
  if (order.empty()) return std::nullopt;
  std::vector<plots::CoilVoltage> curves;
  for (const std::string& band : order) curves.push_back(by_band[band]);
  return plots::coil_voltage_chart(
      curves,
      {"Voltage along the coil at " + print_quantity(c.power_w, Unit::watt) + ", each band in its highest setting",
       c.station + ". Base at ground. Computed by " + version_text("stile-coil") + chart_caution});
}

}  // namespace stile::tools

#include "coil/design_report.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include <fmt/core.h>

#include <stile/base/quantity.hpp>
#include <stile/plots/coil_taps.hpp>
#include <stile/plots/coil_voltage.hpp>

#include "cli/cautions.hpp"
#include "cli/command_line.hpp"
#include "cli/json.hpp"
#include "cli/table.hpp"
#include "coil/report.hpp"

namespace stile::tools {
namespace {

bool bypassed(const coil::BandDesign& b) { return b.chosen().turns <= 0.0; }

double loss_db(const coil::TapChoice& choice) {
  return choice.efficiency > 0.0 ? coil::tap_loss_db(choice) : std::numeric_limits<double>::quiet_NaN();
}

bool all_used(const DesignCase& c, const coil::BandDesign& b) {
  return b.chosen().turns >= coil::total_turns(c.design.winding) - 1e-9;
}

std::string tap_text(const coil::TapChoice& choice) {
  return choice.turns > 0.0 ? fmt::format("{:g}", choice.turns) : "none";
}

/// "2.91 (3.02..3.25)": the model, and what practice makes of it.
std::string db(double value, const Range& practice) {
  return std::isnan(value) ? "-" : fmt::format("{:.2f} ({:.2f}..{:.2f})", value, practice.low, practice.high);
}

std::string choice_db(const coil::TapChoice& t) { return db(loss_db(t), coil::tap_loss_db_practice(t)); }

/// "+12.3: 1.8 nF in series" (at the base) or "-40.0: 3.1 pF across" (base to tap).
std::string trim_text(const coil::TapChoice& t) {
  std::string text = fmt::format("{:+.1f}", t.residual_ohm);
  if (t.series_trim_f > 0.0) text += ": " + print_quantity(t.series_trim_f, Unit::farad, 3) + " in series";
  if (t.shunt_trim_f > 0.0) text += ": " + print_quantity(t.shunt_trim_f, Unit::farad, 3) + " across";
  if (t.whip_trim_m != 0.0) text += fmt::format(", or whip {:+.0f} mm", 1e3 * t.whip_trim_m);
  return text;
}

std::string step_value(const coil::ResistanceStep& s) {
  switch (s.kind) {
  case coil::StepKind::none:
    return "";
  case coil::StepKind::shunt_coil:
    return print_quantity(s.inductance_h, Unit::henry, 3);
  case coil::StepKind::shunt_capacitor:
    return print_quantity(s.capacitance_f, Unit::farad, 3);
  case coil::StepKind::autotransformer:
    return fmt::format("fed at {:g}", s.feed_turns);
  }
  return "";
}

std::vector<std::string> step_row(const std::string& name, const coil::ResistanceStep& s, bool best) {
  if (!s.possible) return {name, coil::step_name(s.kind), "not possible"};
  return {name,
          coil::step_name(s.kind),
          step_value(s),
          fmt::format("{:g}", s.turns),
          s.swr < 100.0 ? fmt::format("{:.2f}", s.swr) : ">100",
          db(s.loss_db, s.loss_db_practice),
          s.bandwidth_hz > 0.0 ? print_quantity(s.bandwidth_hz, Unit::hertz, 3) : "none",
          best ? "best" : ""};
}

std::string steps_table(const DesignCase& c) {
  std::vector<std::vector<std::string>> rows{
      {"Band, condition", "Step", "Part", "Load at turn", "SWR", "Loss, dB", "SWR 2 over", ""}};
  for (std::size_t n = 0; n < c.served.size(); ++n) {
    const coil::BandDesign& band = c.design.bands[n];
    const coil::ResistanceStep& best = best_step(c, band);
    std::string name = target_name(c.served[n]);
    for (const coil::ResistanceStep& step : band.steps) {
      rows.push_back(step_row(name, step, &step == &best));
      name.clear();
    }
  }
  return aligned(rows);
}

/// The band of Q at the terminals, or why there is none.
std::string q_text(const coil::CoilPoint& p) {
  return coil::terminal_q(p).high > 0.0 ? band_text(coil::terminal_q(p)) : "above resonance";
}

std::vector<std::vector<std::string>> taps_table(const DesignCase& c) {
  std::vector<std::vector<std::string>> rows{
      {"Band, condition", "Tap", "Unused", "L, uH", "Q in practice", "Left, ohm, and its trim"}};
  for (std::size_t n = 0; n < c.served.size(); ++n) {
    const coil::BandDesign& b = c.design.bands[n];
    rows.push_back({target_name(c.served[n]), tap_text(b.chosen()),
                    bypassed(b)      ? "-"
                    : all_used(c, b) ? "all used"
                                     : unused_name(b.better),
                    bypassed(b) ? "-" : figure(1e6 * b.coil.inductance_h), bypassed(b) ? "-" : q_text(b.coil),
                    trim_text(b.chosen())});
  }
  return rows;
}

std::vector<std::string> design_warnings(const DesignCase& c) {
  std::vector<std::string> list;
  const auto add = [&](const std::string& warning) {
    if (std::find(list.begin(), list.end(), warning) == list.end()) list.push_back(warning);
  };
  for (std::size_t n = 0; n < c.served.size(); ++n) {
    for (const std::string& warning : c.design.bands[n].warnings) {
      const bool named = warning.rfind(target_name(c.served[n]), 0) == 0;
      add(named ? warning : target_name(c.served[n]) + ": " + warning);
    }
    if (!c.served[n].rated.ratings) continue;
    for (const std::string& warning : c.served[n].rated.ratings->warnings)
      add(target_name(c.served[n]) + ": " + warning);
  }
  return list;
}

/// For people: without what stands in the tables anyway.
std::vector<std::string> shown_warnings(const DesignCase& c) {
  std::vector<std::string> list = design_warnings(c);
  for (const coil::BandDesign& band : c.design.bands) std::erase(list, band.residual_warning);
  return list;
}

Json choice_json(const coil::TapChoice& t) {
  return {{"turns", t.turns},
          {"reached", t.reached},
          {"input_ohm", json_complex(t.input_ohm)},
          {"residual_ohm", t.residual_ohm},
          {"coil_ohm", t.coil_ohm},
          {"loss_db", loss_db(t)},
          {"efficiency_practice", {t.efficiency_practice.low, t.efficiency_practice.high}},
          {"series_trim_f", t.series_trim_f},
          {"shunt_trim_f", t.shunt_trim_f},
          {"whip_trim_m", t.whip_trim_m}};
}

Json step_json(const coil::ResistanceStep& s) {
  Json j{{"kind", coil::step_name(s.kind)}, {"possible", s.possible}};
  if (!s.possible) return j;
  j["turns"] = s.turns;
  j["feed_turns"] = s.feed_turns;
  j["inductance_h"] = s.inductance_h;
  j["capacitance_f"] = s.capacitance_f;
  j["input_ohm"] = json_complex(s.input_ohm);
  j["swr"] = s.swr;
  j["loss_db"] = s.loss_db;
  j["loss_db_practice"] = {s.loss_db_practice.low, s.loss_db_practice.high};
  j["bandwidth_hz"] = s.bandwidth_hz;
  return j;
}

/// Where the load is connected with the step taken, and where an autotransformer is fed, with the bands served.
std::vector<std::pair<std::string, coil::WirePlace>> taps(const DesignCase& c) {
  std::vector<std::pair<std::string, coil::WirePlace>> list;
  for (std::size_t n = 0; n < c.served.size(); ++n) {
    const coil::ResistanceStep& step = best_step(c, c.design.bands[n]);
    if (step.turns > 0.0) list.push_back({target_name(c.served[n]), {0, step.turns}});
    if (step.kind == coil::StepKind::autotransformer)
      list.push_back({"feed of " + target_name(c.served[n]), {0, step.feed_turns}});
  }
  std::stable_sort(list.begin(), list.end(),
                   [](const auto& p, const auto& q) { return p.second.turn < q.second.turn; });
  return list;
}

/// What to set on each band, for the bench.
std::vector<std::vector<std::string>> settings_table(const DesignCase& c) {
  std::vector<std::vector<std::string>> rows{
      {"Band, condition", "Tap", "Unused", "Step", "Part", "SWR", "Loss, dB", "Left, ohm"}};
  for (std::size_t n = 0; n < c.served.size(); ++n) {
    const coil::BandDesign& b = c.design.bands[n];
    const coil::ResistanceStep& s = best_step(c, b);
    const bool all = s.turns >= coil::total_turns(c.design.winding) - 1e-9;
    rows.push_back({target_name(c.served[n]), s.turns > 0.0 ? fmt::format("{:g}", s.turns) : "none",
                    all || s.turns <= 0.0 ? "-" : unused_name(s.unused), coil::step_name(s.kind), step_value(s),
                    s.swr < 100.0 ? fmt::format("{:.2f}", s.swr) : ">100",
                    fmt::format("{:.2f}..{:.2f}", s.loss_db_practice.low, s.loss_db_practice.high),
                    s.kind == coil::StepKind::none ? trim_text(b.chosen()) : ""});
  }
  return rows;
}

}  // namespace

std::string target_name(const DesignedFor& served) { return served.band + ", " + served.condition; }

const coil::ResistanceStep& best_step(const DesignCase& c, const coil::BandDesign& band) {
  return stile::coil::best_step(band, c.swr_limit, c.only_step);
}

std::string design_failure(const DesignCase& c) {
  std::string text;
  const auto add = [&](const std::string& what) { text += (text.empty() ? "" : "; ") + what; };
  for (std::size_t n = 0; n < c.served.size(); ++n) {
    if (!c.design.bands[n].chosen().reached) add(target_name(c.served[n]) + ": no tap brings the load to resonance");
    if (!c.served[n].rated.ratings) continue;
    for (const std::string& warning : c.served[n].rated.ratings->warnings)
      add(target_name(c.served[n]) + ": " + warning);
  }
  return text;
}

std::string design_text(const DesignCase& c) {
  std::string text = fmt::format("{}: coil in series between transmitter (turn 0) and whip (tap), {}\n", c.station,
                                 print_quantity(c.power_w, Unit::watt));
  if (c.planned) text += "A design of its own: options change the coil that the plan of this station sets.\n";
  text += winding_text(c.design.winding) + fmt::format("; wire {}, {:.4g} g\n",
                                                       print_quantity(wire_length_m(c.design.winding), Unit::metre),
                                                       1e3 * coil::wire_mass_kg(c.design.winding));
  if (c.tried > 0) text += search_text(c.tried, c.refused);
  text += fmt::format("Taps at every {:g} turn. Contacts {}, leads {}, switch of unused turns {}.\n\n",
                      c.request.tap_step_turns, print_quantity(c.request.contact_ohm, Unit::ohm),
                      print_quantity(c.request.lead_inductance_h, Unit::henry),
                      print_quantity(c.request.switch_ohm, Unit::ohm));
  text += "Taps at resonance. Q: at the terminals, former included; a band, what surface, joints and neighbours leave "
          "of it in practice.\n"
          "Trim: in series at the base, or across the turns in use.\n" +
          aligned(taps_table(c)) + "\n";

  std::vector<std::vector<std::string>> rows{{"Band, condition", "MHz", "Load, ohm", "Open: tap", "coil, ohm",
                                              "loss, dB", "Shorted: tap", "coil, ohm", "loss, dB", "Taken"}};
  for (std::size_t n = 0; n < c.served.size(); ++n) {
    const coil::BandDesign& b = c.design.bands[n];
    rows.push_back({target_name(c.served[n]), fmt::format("{:.6g}", 1e-6 * b.target.frequency_hz),
                    print_impedance(b.target.load_ohm), tap_text(b.open), figure(b.open.coil_ohm), choice_db(b.open),
                    tap_text(b.shorted), figure(b.shorted.coil_ohm), choice_db(b.shorted),
                    bypassed(b)      ? "bypassed"
                    : all_used(c, b) ? "all used"
                                     : unused_name(b.better) + (b.undecided ? " (undecided)" : "")});
  }
  text += "Unused turns open or shorted, both computed; the loss is that of coil and contacts alone, in brackets with "
          "what practice adds.\n" +
          aligned(rows) + "\n";
  text += fmt::format("From what is left to the transmitter's {}.\n",
                      print_quantity(c.request.transmitter_ohm, Unit::ohm)) +
          steps_table(c) + "\n";

  rows = {{"Band, condition", "A rms", "V peak", "Open end, V", "Between turns, V", "Margin", "Heat, W", "Wire, C",
           "Resonance"}};
  for (std::size_t n = 0; n < c.served.size(); ++n) {
    if (!c.served[n].rated.ratings) continue;
    const coil::CoilRatings& r = *c.served[n].rated.ratings;
    rows.push_back({target_name(c.served[n]), figure(c.served[n].rated.current_a_rms), figure(r.end_voltage_v_peak),
                    c.design.bands[n].better == coil::Unused::open && !all_used(c, c.design.bands[n]) &&
                            r.open_end_voltage_v_peak > 0.0
                        ? figure(r.open_end_voltage_v_peak)
                        : "-",
                    figure(r.turn_voltage_v_peak), figure(r.breakdown_margin), figure(r.winding_w + r.former_w),
                    fmt::format("{:.0f}", r.temperature_c),
                    print_quantity(c.design.bands[n].coil.self_resonance_hz, Unit::hertz)});
  }
  text += fmt::format("Ratings with the whole power accepted, duty {:.3g}, air {:.0f} C; the margin to breakdown "
                      "should be 2 or more.\n",
                      c.service.duty, c.service.ambient_c) +
          aligned(rows);
  const std::vector<std::string> warnings = shown_warnings(c);
  if (!warnings.empty()) text += "\n";
  for (const std::string& warning : warnings) text += wrapped("Warning: " + warning + ".", 0, 112);
  text += "\n" + wrapped(std::string("How far to trust it. ") + coil_accuracy, 0, 112);
  return text + "\n" + cautions_in_short(c.cautions);
}

std::string search_text(int tried, int refused) {
  return fmt::format("Best of {} coils tried ({} were too long, too heavy or could not reach every band).\n", tried,
                     refused);
}

std::string failed_search_text(const DesignCase& c) {
  return fmt::format("{}: no coil found; {} tried, {} refused (too long, too heavy or could not reach every band)\n",
                     c.station, c.tried, c.refused);
}

std::string failed_search_json(const DesignCase& c) {
  return json_text({{"tool", "stile-coil"},
                    {"version", version()},
                    {"station", c.station},
                    {"status", "no coil found"},
                    {"search", {{"tried", c.tried}, {"refused", c.refused}}},
                    {"bands", Json::array()}});
}

std::string failed_search_csv(const DesignCase& c) {
  DesignCase none = c;
  none.served.clear();
  return design_csv(none) + fmt::format("# warning: no coil found; {} tried, {} refused\n", c.tried, c.refused);
}

Json design_frame_json(const std::string& station, const coil::Winding& winding) {
  return {{"tool", "stile-coil"},
          {"version", version()},
          {"station", station},
          {"coil", winding_json(winding)},
          {"status", nullptr},
          {"wire_length_m", wire_length_m(winding)},
          {"mass_kg", coil::wire_mass_kg(winding)}};
}

void add_alternatives_json(Json& band, const coil::BandDesign& design) {
  band["undecided"] = design.undecided;
  band["open"] = choice_json(design.open);
  band["shorted"] = choice_json(design.shorted);
  band["steps"] = Json::array();
  for (const coil::ResistanceStep& step : design.steps) band["steps"].push_back(step_json(step));
}

Json taps_json(const coil::Winding& winding, const std::vector<std::pair<std::string, coil::WirePlace>>& taps) {
  Json list = Json::array();
  for (const coil::BuildMark& m : coil::build_data(winding, taps, 0.0).taps) {
    list.push_back({{"turns", m.place.turn},
                    {"along_m", m.along_m},
                    {"angle_deg", m.angle_deg},
                    {"around_m", m.around_m},
                    {"wire_m", m.wire_m},
                    {"serves", m.label}});
  }
  return list;
}

std::string design_json(const DesignCase& c) {
  Json j = design_frame_json(c.station, c.design.winding);
  j["status"] = c.design.status == coil::DesignStatus::found ? "found" : "too few turns";
  j["worst_loss_db"] = c.design.worst_loss_db;
  if (c.tried > 0) j["search"] = {{"tried", c.tried}, {"refused", c.refused}};
  j["bands"] = Json::array();
  for (std::size_t n = 0; n < c.served.size(); ++n) {
    const coil::BandDesign& b = c.design.bands[n];
    const DesignedFor& s = c.served[n];
    Json band{{"band", s.band},
              {"condition", s.condition},
              {"frequency_hz", b.target.frequency_hz},
              {"load_ohm", json_complex(b.target.load_ohm)},
              {"turns", b.chosen().turns},
              {"unused", unused_name(b.better)},
              {"coil", bypassed(b) ? Json(nullptr) : coil_point_json(b.coil)},
              {"best_step", coil::step_name(best_step(c, b).kind)},
              {"current_a_rms", s.rated.current_a_rms},
              {"ratings", s.rated.ratings ? ratings_json(*s.rated.ratings) : Json(nullptr)}};
    add_alternatives_json(band, b);
    j["bands"].push_back(std::move(band));
  }
  j["taps"] = taps_json(c.design.winding, taps(c));
  j["accuracy"] = coil_accuracy;
  j["warnings"] = design_warnings(c);
  j["cautions"] = cautions_json(c.cautions);
  return json_text(j);
}

std::string design_csv(const DesignCase& c) {
  std::string text = csv_row({"band",
                              "condition",
                              "frequency_hz",
                              "load_r_ohm",
                              "load_x_ohm",
                              "turns",
                              "unused",
                              "inductance_h",
                              "q_low",
                              "q_high",
                              "residual_ohm",
                              "series_trim_f",
                              "shunt_trim_f",
                              "open_loss_db",
                              "shorted_loss_db",
                              "step",
                              "step_inductance_h",
                              "step_capacitance_f",
                              "feed_turns",
                              "step_turns",
                              "swr",
                              "loss_db",
                              "bandwidth_hz",
                              "current_a_rms",
                              "end_voltage_v_peak",
                              "breakdown_margin",
                              "temperature_c"});
  constexpr double none = std::numeric_limits<double>::quiet_NaN();
  for (std::size_t n = 0; n < c.served.size(); ++n) {
    const coil::BandDesign& b = c.design.bands[n];
    const DesignedFor& s = c.served[n];
    const coil::ResistanceStep& step = best_step(c, b);
    const coil::TapChoice& t = b.chosen();
    std::vector<std::string> row{csv_text(s.band), csv_text(s.condition)};
    const auto add = [&](std::initializer_list<double> values) {
      for (const double value : values) row.push_back(csv_number(value));
    };
    add({b.target.frequency_hz, b.target.load_ohm.real(), b.target.load_ohm.imag(), t.turns});
    row.push_back(unused_name(b.better));
    const bool by = bypassed(b);
    add({by ? none : b.coil.inductance_h, by ? none : coil::terminal_q(b.coil).low,
         by ? none : coil::terminal_q(b.coil).high, t.residual_ohm, t.series_trim_f, t.shunt_trim_f, loss_db(b.open),
         loss_db(b.shorted)});
    row.push_back(coil::step_name(step.kind));
    add({step.inductance_h, step.capacitance_f, step.feed_turns, step.turns, step.possible ? step.swr : none,
         step.possible ? step.loss_db : none, step.possible ? step.bandwidth_hz : none, s.rated.current_a_rms,
         s.rated.ratings ? s.rated.ratings->end_voltage_v_peak : none,
         s.rated.ratings ? s.rated.ratings->breakdown_margin : none,
         s.rated.ratings ? s.rated.ratings->temperature_c : none});
    text += csv_row(row);
  }
  for (const std::string& warning : design_warnings(c)) text += "# warning: " + warning + "\n";
  return text + "# accuracy: " + coil_accuracy + "\n" + cautions_csv(c.cautions);
}

plots::CoilSheet design_sheet(const DesignCase& c, double lead_m) {
  return {c.station,
          c.design.winding,
          taps(c),
          lead_m,
          {{"Settings: tap in turns from the transmitter's end, loss as in practice", settings_table(c)},
           {"To check with a meter: taps at resonance", taps_table(c)}},
          {},
          shown_warnings(c),
          c.cautions,
          version_text("stile-coil")};
}

plots::Chart design_taps_chart(const DesignCase& c) {
  std::vector<plots::TapBar> bars;
  for (std::size_t n = 0; n < c.served.size(); ++n) {
    const coil::BandDesign& b = c.design.bands[n];
    std::string figures = "bypassed";
    if (!bypassed(b)) {
      const std::string q =
          coil::terminal_q(b.coil).high > 0.0 ? "Q " + band_text(coil::terminal_q(b.coil)) : "above the self-resonance";
      const Range loss = coil::tap_loss_db_practice(b.chosen());
      figures = fmt::format("{}, {}, coil and contacts take {:.2f}..{:.2f} dB",
                            print_quantity(b.coil.inductance_h, Unit::henry, 3), q, loss.low, loss.high);
    }
    bars.push_back({target_name(c.served[n]), b.chosen().turns, b.better == coil::Unused::shorted, figures});
  }
  return plots::coil_taps_chart(
      bars, coil::total_turns(c.design.winding), c.design.winding.sections.front().pitch_m,
      {"Taps of " + winding_text(c.design.winding),
       c.station + ". Q: band in practice. Computed by " + version_text("stile-coil") + chart_caution});
}

std::optional<plots::Chart> design_voltage_chart(const DesignCase& c) {
  std::map<std::string, plots::CoilVoltage> by_band;
  std::vector<std::string> order;
  for (std::size_t n = 0; n < c.served.size(); ++n) {
    const coil::BandDesign& b = c.design.bands[n];
    if (bypassed(b)) continue;
    plots::CoilVoltage curve{target_name(c.served[n]) +
                                 fmt::format(", {}", all_used(c, b) ? "all in use" : "rest " + unused_name(b.better)),
                             {},
                             {},
                             b.chosen().turns};
    for (const coil::NodeState& node : b.coil.nodes) curve.turn.push_back(node.place.turn);
    curve.v_peak = coil::node_voltages_v_peak(b.coil, c.served[n].rated.current_a_rms);
    const auto most = [](const plots::CoilVoltage& v) { return *std::max_element(v.v_peak.begin(), v.v_peak.end()); };
    const auto known = by_band.find(c.served[n].band);
    if (known == by_band.end()) order.push_back(c.served[n].band);
    if (known == by_band.end() || most(known->second) < most(curve)) by_band[c.served[n].band] = curve;
  }
  if (order.empty()) return std::nullopt;
  std::vector<plots::CoilVoltage> curves;
  for (const std::string& band : order) curves.push_back(by_band[band]);
  return plots::coil_voltage_chart(
      curves,
      {"Voltage along the coil at " + print_quantity(c.power_w, Unit::watt) + ", each band in its highest condition",
       c.station + ". Base at ground. Computed by " + version_text("stile-coil") + chart_caution});
}

}  // namespace stile::tools

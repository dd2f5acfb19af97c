#include "sweep/report.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

#include <stile/load/touchstone_write.hpp>

#include "cli/cautions.hpp"
#include "cli/command_line.hpp"
#include "cli/table.hpp"

namespace stile::tools {
namespace {

const char* waves_name(network::WaveDefinition w) {
  return w == network::WaveDefinition::power ? "power" : w == network::WaveDefinition::pseudo ? "pseudo" : "travelling";
}

Json findings_json(const std::vector<sweep::Finding>& findings) {
  Json all = Json::array();
  for (const sweep::Finding& f : findings) {
    Json j;
    j["kind"] = sweep::finding_name(f.kind);
    j["line"] = f.line == 0 ? Json(nullptr) : Json(f.line);
    j["frequency_hz"] = f.frequency_hz == 0.0 ? Json(nullptr) : Json(f.frequency_hz);
    j["count"] = f.count;
    j["text"] = f.text;
    all.push_back(std::move(j));
  }
  return all;
}

/// null where not known
Json known(double value) { return std::isnan(value) ? Json(nullptr) : Json(value); }

Json fit_json(const sweep::Fit& f) {
  Json parameters = Json::array();
  for (const sweep::FitParameter& p : f.parameters)
    parameters.push_back({{"name", p.name}, {"value", p.value}, {"uncertainty", p.uncertainty}});
  Json j;
  j["model"] = sweep::model_name(f.model);
  j["status"] = sweep::fit_status_name(f.status);
  j["why"] = f.why;
  j["parameters"] = std::move(parameters);
  j["correlation"] = f.correlation;
  j["reference_hz"] = f.reference_hz;
  j["residual_rms_ohm"] = f.residual_rms_ohm;
  j["residual_rms_reflection"] = f.residual_rms_reflection;
  j["residual_correlation"] = f.residual_correlation;
  j["lack_of_fit"] = f.lack_of_fit;
  j["lack_of_fit_hz"] = f.lack_of_fit_hz == 0.0 ? Json(nullptr) : Json(f.lack_of_fit_hz);
  j["notes"] = f.notes;
  j["caveats"] = findings_json(f.caveats);
  return j;
}

Json comparison_json(const sweep::Comparison& c) {
  Json points = Json::array(), shifts = Json::array();
  for (const sweep::ComparedPoint& p : c.points) {
    Json point{{"frequency_hz", p.frequency_hz},
               {"first_ohm", json_complex(p.first_ohm)},
               {"second_ohm", json_complex(p.second_ohm)},
               {"moved_ohm", json_complex(p.moved_ohm)},
               {"uncertainty_ohm", known(p.uncertainty_ohm)}};
    if (p.turns_low != 0.0 || p.turns_high != 0.0) point["turns"] = {p.turns_low, p.turns_high};
    points.push_back(std::move(point));
  }
  for (const sweep::ResonanceShift& r : c.resonances)
    shifts.push_back({{"kind", r.first.parallel ? "parallel" : "series"},
                      {"first_hz", r.first.frequency_hz},
                      {"second_hz", r.second.frequency_hz},
                      {"moved_hz", r.moved_hz},
                      {"first_resistance_ohm", r.first.resistance_ohm},
                      {"second_resistance_ohm", r.second.resistance_ohm}});
  Json j;
  j["first"] = c.first;
  j["second"] = c.second;
  j["rms_moved_ohm"] = c.rms_moved_ohm;
  j["largest_moved_ohm"] = c.largest_moved_ohm;
  j["largest_at_hz"] = c.largest_at_hz;
  j["plane_delay_s"] = c.plane_delay_s ? Json(*c.plane_delay_s) : Json(nullptr);
  j["resonances"] = std::move(shifts);
  j["findings"] = findings_json(c.findings);
  j["caveats"] = findings_json(c.caveats);
  j["points"] = std::move(points);
  return j;
}

Json uncertain_json(const sweep::Uncertain& u) { return {{"value", u.value}, {"uncertainty", known(u.uncertainty)}}; }

Json calibration_json(const sweep::Calibration& c) {
  Json conditions = Json::array();
  for (const sweep::CalibratedCondition& k : c.conditions)
    conditions.push_back({{"condition", k.condition},
                          {"relative_permittivity", uncertain_json(k.relative_permittivity)},
                          {"conductivity_s_m", uncertain_json(k.conductivity_s_m)},
                          {"misfit_drawn", k.misfit_drawn},
                          {"misfit", k.misfit},
                          {"misfit_rms_ohm", k.misfit_rms_ohm},
                          {"held_back_drawn", k.held_back_drawn},
                          {"held_back", k.held_back}});
  Json j;
  j["status"] = sweep::fit_status_name(c.status);
  j["why"] = c.why;
  j["conditions"] = std::move(conditions);
  j["base_capacitance_f"] = uncertain_json(c.base_capacitance_f);
  j["counterpoise_factor"] = uncertain_json(c.counterpoise_factor);
  j["names"] = c.names;
  j["correlation"] = c.correlation;
  j["notes"] = c.notes;
  return j;
}

Json log_json(const SweepCase& c) {
  Json rows = Json::array();
  for (const sweep::LoggedAgainst& l : c.logged) {
    const sweep::LogEntry& e = c.log[l.entry];
    rows.push_back({{"line", e.line},
                    {"frequency_hz", e.frequency_hz},
                    {"condition", e.condition},
                    {"state", e.state},
                    {"swr", l.swr},
                    {"predicted_swr", l.predicted_swr},
                    {"mismatch_db", l.mismatch_db},
                    {"current_a", l.current_a},
                    {"predicted_current_a", l.predicted_current_a}});
  }
  return rows;
}

Json alternation_json(const sweep::AlternationResult& a) {
  return {{"judged", a.judged},
          {"first", a.first},
          {"second", a.second},
          {"pairs", a.pairs},
          {"difference_db", a.judged ? uncertain_json(a.difference_db) : Json(nullptr)},
          {"fading_db", a.judged ? Json(a.fading_db) : Json(nullptr)},
          {"chance", a.judged ? Json(a.chance) : Json(nullptr)},
          {"foretold_db", a.foretold_db ? Json(*a.foretold_db) : Json(nullptr)},
          {"agrees", a.foretold_db ? Json(a.agrees) : Json(nullptr)},
          {"text", a.text}};
}

std::string uncertain_text(const sweep::Uncertain& u, Unit unit) {
  return print_quantity(u.value, unit) + " +- " +
         (std::isnan(u.uncertainty) ? "-" : print_quantity(u.uncertainty, unit, 2));
}

/// What the options of learning gave, beside what every sweep shows of itself.
void add_learned(const SweepCase& c, Json& j) {
  j["resonances"] = Json::array();
  for (const sweep::Resonance& r : c.resonances)
    j["resonances"].push_back({{"frequency_hz", r.frequency_hz},
                               {"kind", r.parallel ? "parallel" : "series"},
                               {"resistance_ohm", r.resistance_ohm},
                               {"slope_ohm_per_hz", r.slope_ohm_per_hz},
                               {"q", r.q}});
  if (!c.two_port.empty()) {
    j["two_port"] = Json::array();
    for (const sweep::TwoPortLoss& l : c.two_port)
      j["two_port"].push_back({{"frequency_hz", l.frequency_hz}, {"loss_db", l.loss_db}});
  }
  if (c.feed_loss)
    j["feed_loss"] = {{"frequency_hz", c.feed_loss_hz},
                      {"loss_ohm", uncertain_json(c.feed_loss->loss_ohm)},
                      {"efficiency", uncertain_json(c.feed_loss->efficiency)},
                      {"contradiction", c.feed_loss->contradiction}};
  if (c.coil)
    j["coil"] = {{"inductance_h", uncertain_json(c.coil->inductance_h)},
                 {"self_capacitance_f", uncertain_json(c.coil->self_capacitance_f)}};
  if (c.tuner_loss_db) j["tuner_loss_db"] = uncertain_json(*c.tuner_loss_db);
  if (c.relays) {
    j["relays"] = Json::array();
    for (std::size_t i = 0; i < c.verdicts.size(); ++i)
      j["relays"].push_back({{"relay", c.relays->names[i]},
                             {"state", sweep::relay_state_name(c.verdicts[i].state)},
                             {"expected", c.relays->readings[i].expected},
                             {"measured", uncertain_json(c.verdicts[i].value)}});
  }
}

std::string learned_text(const SweepCase& c) {
  std::string text;
  for (const sweep::Resonance& r : c.resonances)
    text += fmt::format("{} at {}: R {} ohm, Q {}\n", r.parallel ? "Parallel resonance" : "Resonance",
                        print_quantity(r.frequency_hz, Unit::hertz, 6), figure(r.resistance_ohm),
                        r.q > 0.0 ? figure(r.q) : "-");
  if (!c.two_port.empty()) {
    const auto [least, most] = std::minmax_element(c.two_port.begin(), c.two_port.end(),
                                                   [](const auto& a, const auto& b) { return a.loss_db < b.loss_db; });
    text += fmt::format("Loss from port 1 to the load at port 2: {} dB at {} to {} dB at {}\n", figure(least->loss_db),
                        print_quantity(least->frequency_hz, Unit::hertz, 6), figure(most->loss_db),
                        print_quantity(most->frequency_hz, Unit::hertz, 6));
  }
  if (c.feed_loss) {
    text +=
        fmt::format("Loss at the feed at {}: {}, efficiency {} % +- {}\n",
                    print_quantity(c.feed_loss_hz, Unit::hertz, 6), uncertain_text(c.feed_loss->loss_ohm, Unit::ohm),
                    figure(100.0 * c.feed_loss->efficiency.value), figure(100.0 * c.feed_loss->efficiency.uncertainty));
    if (c.feed_loss->contradiction) text += "  less is measured than should radiate: one of the two is wrong\n";
  }
  if (c.coil)
    text += fmt::format("Coil: {}, self-capacitance {}\n", uncertain_text(c.coil->inductance_h, Unit::henry),
                        uncertain_text(c.coil->self_capacitance_f, Unit::farad));
  if (c.tuner_loss_db) text += fmt::format("Tuner loss: {}\n", uncertain_text(*c.tuner_loss_db, Unit::decibel));
  if (c.relays) {
    const Unit unit = c.relays->capacitors ? Unit::farad : Unit::henry;
    std::vector<std::vector<std::string>> rows{{"Relay", "State", "Expected", "Measured"}};
    for (std::size_t i = 0; i < c.verdicts.size(); ++i)
      rows.push_back({c.relays->names[i], std::string(sweep::relay_state_name(c.verdicts[i].state)),
                      print_quantity(c.relays->readings[i].expected, unit), uncertain_text(c.verdicts[i].value, unit)});
    text += aligned(rows);
  }
  return text.empty() ? text : text + "\n";
}

std::string calibration_text(const sweep::Calibration& c) {
  std::string text =
      fmt::format("Calibration: {}{}{}\n", sweep::fit_status_name(c.status), c.why.empty() ? "" : ": ", c.why);
  std::vector<std::vector<std::string>> rows{{"Condition", "Relative permittivity", "Conductivity, mS/m",
                                              "Misfit of S11", "as drawn", "held back", "as drawn"}};
  for (const sweep::CalibratedCondition& k : c.conditions) {
    const bool held = k.held_back_drawn > 0.0;
    rows.push_back({k.condition,
                    figure(k.relative_permittivity.value) + " +- " + figure(k.relative_permittivity.uncertainty),
                    figure(1e3 * k.conductivity_s_m.value) + " +- " + figure(1e3 * k.conductivity_s_m.uncertainty),
                    figure(k.misfit), figure(k.misfit_drawn), held ? figure(k.held_back) : "-",
                    held ? figure(k.held_back_drawn) : "-"});
  }
  text += aligned(rows);
  text += fmt::format("Stray capacitance across the base: {} +- {}\n",
                      print_quantity(c.base_capacitance_f.value, Unit::farad),
                      print_quantity(c.base_capacitance_f.uncertainty, Unit::farad, 2));
  if (c.counterpoise_factor.uncertainty > 0.0)
    text += fmt::format("Counterpoise: {} +- {} times as long as drawn\n", figure(c.counterpoise_factor.value),
                        figure(c.counterpoise_factor.uncertainty));
  for (const std::string& note : c.notes) text += wrapped("- " + note, 0, 100);
  return text + "The soil is the one that the model needs: layers, grass and sag have gone into it. +-: half-width of "
                "the 95 % "
                "interval, by scatter alone\n";
}

std::string log_text(const SweepCase& c) {
  std::vector<std::vector<std::string>> rows{{"Line", "Frequency", "Condition", "State", "SWR noted", "foretold",
                                              "Mismatch, dB", "Current noted, A", "foretold"}};
  for (const sweep::LoggedAgainst& l : c.logged) {
    const sweep::LogEntry& e = c.log[l.entry];
    rows.push_back({std::to_string(e.line), print_quantity(e.frequency_hz, Unit::hertz, 6), e.condition, e.state,
                    l.swr > 0.0 ? figure(l.swr) : "-", figure(l.predicted_swr),
                    l.swr > 0.0 ? figure(l.mismatch_db) : "-", l.current_a > 0.0 ? figure(l.current_a) : "-",
                    l.current_a > 0.0 ? figure(l.predicted_current_a) : "-"});
  }
  std::string text = fmt::format("Log: {} of {} entries have an SWR or a current, and a sweep to compare with\n",
                                 c.logged.size(), c.log.size());
  if (!c.logged.empty()) text += aligned(rows) + "Mismatch: mismatch loss noted less foretold\n";
  return text;
}

std::string findings_text(const std::vector<sweep::Finding>& findings) {
  std::string text;
  for (const sweep::Finding& f : findings) {
    const std::string place = f.line ? fmt::format("line {}: ", f.line) : "";
    text += wrapped(fmt::format("- {}: {}{}", sweep::finding_name(f.kind), place, f.text), 2, 100);
  }
  return text;
}

std::string file_text(const SweepFile& file) {
  const sweep::Sweep& s = file.read;
  std::string text = fmt::format(
      "{}: {}, {} port{}, {} point{} from {} to {}, reference {}\n", s.file, s.format, s.ports, s.ports == 1 ? "" : "s",
      s.frequency_hz.size(), s.frequency_hz.size() == 1 ? "" : "s",
      print_quantity(s.frequency_hz.front(), Unit::hertz, 6), print_quantity(s.frequency_hz.back(), Unit::hertz, 6),
      print_quantity(s.reference_ohm.front(), Unit::ohm));
  text += findings_text(file.judged.findings);
  if (file.judged.findings.empty()) text += "  nothing odd was found\n";
  if (file.judged.usable) {
    text += "  usable for: ";
    for (std::size_t i = 0; i < file.judged.usable_for.size(); ++i) text += (i ? ", " : "") + file.judged.usable_for[i];
    if (!file.judged.findings.empty()) text += " (with the findings above)";
    text += "\n";
  } else {
    text += "  not usable\n";
  }
  if (file.judged.random_error.value_or(0.0) > 0.0)
    text += fmt::format("  scatter of neighbours: {} of S11\n", figure(*file.judged.random_error));
  if (!file.judged.cut.empty()) {
    text += fmt::format("  cut: {} point{}, line", file.judged.cut.size(), file.judged.cut.size() == 1 ? "" : "s");
    constexpr std::size_t shown = 12;
    for (std::size_t i = 0; i < file.judged.cut.size() && i < shown; ++i)
      text += fmt::format(" {}", file.judged.cut[i]);
    if (file.judged.cut.size() > shown) text += " ... (all with --json)";
    text += "\n";
  }
  return text;
}

std::string points_text(const SweepCase& c) {
  const sweep::OnePort& s = *c.corrected;
  constexpr std::size_t rows_shown = 25;
  const std::size_t n = s.frequency_hz.size(), shown = std::min(n, rows_shown);
  std::vector<std::vector<std::string>> rows{{"Frequency", "R, ohm", "X, ohm", "+-, ohm"}};
  for (std::size_t k = 0; k < shown; ++k) {
    const std::size_t i = shown < 2 ? 0 : k * (n - 1) / (shown - 1);
    rows.push_back({print_quantity(s.frequency_hz[i], Unit::hertz, 6), figure(s.z_ohm[i].real()),
                    figure(s.z_ohm[i].imag()), figure(s.uncertainty_ohm[i]) + (s.marked[i] ? "  |S11| > 1" : "")});
  }
  std::string text = c.corrections.empty() ? "As measured" : "Corrected";
  text += shown < n ? fmt::format(" ({} of {} points; all with --csv)\n", shown, n) : "\n";
  for (const std::string& what : c.corrections) text += "  " + what + "\n";
  return text + aligned(rows) +
         "+-: standard deviation of R and of X from the largest of the instrument's error as stated, the scatter and "
         "the "
         "rounding; -: not known\n";
}

std::string fit_text(const sweep::Fit& f) {
  std::string text = fmt::format("Fit of {}: {}{}{}\n", sweep::model_name(f.model), sweep::fit_status_name(f.status),
                                 f.why.empty() ? "" : ": ", f.why);
  std::vector<std::vector<std::string>> rows{{"Parameter", "Value +- half-width of the 95 % interval"}};
  for (const sweep::FitParameter& p : f.parameters) rows.push_back({p.name, sweep::parameter_text(p)});
  text += aligned(rows);
  if (f.reference_hz > 0.0)
    text += fmt::format("Reference frequency {}; residual {} ohm rms, {} of S11\n",
                        print_quantity(f.reference_hz, Unit::hertz, 6), figure(f.residual_rms_ohm),
                        figure(f.residual_rms_reflection));
  for (const std::string& note : f.notes) text += wrapped("- " + note, 0, 100);
  if (!f.caveats.empty()) {
    std::string kinds;
    for (const sweep::Finding& c : f.caveats) {
      const std::string kind(sweep::finding_name(c.kind));
      if (kinds.find(kind) == std::string::npos) kinds += (kinds.empty() ? "" : ", ") + kind;
    }
    text += wrapped("Holds with the findings of what it was fitted to: " + kinds, 0, 100);
  }
  return text;
}

std::string comparison_text(const sweep::Comparison& c) {
  std::string text =
      fmt::format("{} against {}: moved {} ohm rms, at most {} ohm at {}\n", c.second, c.first, figure(c.rms_moved_ohm),
                  figure(c.largest_moved_ohm), print_quantity(c.largest_at_hz, Unit::hertz, 6));
  for (const sweep::ResonanceShift& r : c.resonances)
    text += fmt::format("  {}resonance {} -> {}: {} kHz, R {} -> {} ohm\n", r.first.parallel ? "parallel " : "",
                        print_quantity(r.first.frequency_hz, Unit::hertz, 6),
                        print_quantity(r.second.frequency_hz, Unit::hertz, 6), figure(1e-3 * r.moved_hz),
                        figure(r.first.resistance_ohm), figure(r.second.resistance_ohm));
  text += findings_text(c.findings) + findings_text(c.caveats);
  const std::size_t n = c.points.size(), shown = std::min<std::size_t>(n, 11);
  const bool turns = c.points.front().turns_low != 0.0 || c.points.front().turns_high != 0.0;
  std::vector<std::vector<std::string>> rows{{"Frequency", "First, ohm", "Second, ohm", "Moved, ohm"}};
  if (turns) rows.front().emplace_back("Turns of the coil to add");
  for (std::size_t k = 0; k < shown; ++k) {
    const sweep::ComparedPoint& p = c.points[shown < 2 ? 0 : k * (n - 1) / (shown - 1)];
    rows.push_back({print_quantity(p.frequency_hz, Unit::hertz, 6), print_impedance(p.first_ohm),
                    print_impedance(p.second_ohm), print_impedance(p.moved_ohm)});
    if (turns) rows.back().push_back(figure(p.turns_low) + " to " + figure(p.turns_high));
  }
  return text + aligned(rows);
}

std::string line_text(const sweep::EstimatedLine& line) {
  return fmt::format("Cable: {} ns +- {} one way, {} long at velocity factor {}; loss {} dB at 10 MHz +- {} (k1 {}, k2 "
                     "{} dB at 1 MHz); "
                     "S11 within {} of such a line\n",
                     figure(1e9 * line.delay_s), figure(1e9 * line.delay_uncertainty_s),
                     print_quantity(line.length_m, Unit::metre), figure(line.cable.velocity_factor),
                     figure(line.loss_db_at_10mhz), figure(line.loss_uncertainty_db_at_10mhz),
                     figure(line.k1_db_at_1mhz), figure(line.k2_db_at_1mhz), figure(line.residual));
}

}  // namespace

Pieces sweep_json(const SweepCase& c) {
  Json files = Json::array();
  for (const SweepFile& f : c.files) {
    Json j;
    j["file"] = f.read.file;
    j["format"] = f.read.format;
    j["ports"] = f.read.ports;
    j["points"] = f.read.frequency_hz.size();
    j["reference_ohm"] = f.read.reference_ohm.front();
    j["first_hz"] = f.read.frequency_hz.front();
    j["last_hz"] = f.read.frequency_hz.back();
    j["findings"] = findings_json(f.judged.findings);
    j["random_error"] = f.judged.random_error ? Json(*f.judged.random_error) : Json(nullptr);
    j["cut_lines"] = f.judged.cut;
    j["usable"] = f.judged.usable;
    j["usable_for"] = f.judged.usable_for;
    files.push_back(std::move(j));
  }
  Json comparison = Json::array();
  for (const sweep::Comparison& each : c.comparisons) comparison.push_back(comparison_json(each));
  Json j;
  j["tool"] = "stile-sweep";
  j["version"] = version();
  j["files"] = std::move(files);
  j["corrections"] = c.corrections;
  j["corrected"] = Json::array();  // written one by one
  j["caveats"] = c.corrected ? findings_json(c.corrected->caveats) : Json::array();
  if (c.line) {
    j["line"] = {{"delay_s", c.line->delay_s},
                 {"delay_uncertainty_s", c.line->delay_uncertainty_s},
                 {"length_m", c.line->length_m},
                 {"k1_db_at_1mhz", c.line->k1_db_at_1mhz},
                 {"k2_db_at_1mhz", c.line->k2_db_at_1mhz},
                 {"loss_uncertainty_db_at_10mhz", c.line->loss_uncertainty_db_at_10mhz},
                 {"residual", c.line->residual}};
  }
  j["fit"] = c.fit ? fit_json(*c.fit) : Json(nullptr);
  j["comparison"] = std::move(comparison);
  if (c.calibration) j["calibration"] = calibration_json(*c.calibration);
  if (!c.log.empty()) j["log"] = log_json(c);
  if (c.alternation) j["alternations"] = alternation_json(*c.alternation);
  add_learned(c, j);
  if (c.needed) j["needed"] = {{"pairs", c.needed->pairs}, {"text", c.needed->text}};
  j["cautions"] = cautions_json(c.cautions);
  const std::size_t count = c.corrected ? c.corrected->frequency_hz.size() : 0;
  if (count == 0) {
    return [text = json_text(j), done = false]() mutable {
      if (done) return std::string();
      done = true;
      return text;
    };
  }
  return json_pieces(j, "corrected", count, [&c](std::size_t i) {
    const sweep::OnePort& s = *c.corrected;
    Json point{{"frequency_hz", s.frequency_hz[i]},
               {"z_ohm", json_complex(s.z_ohm[i])},
               {"uncertainty_ohm", known(s.uncertainty_ohm[i])}};
    if (s.marked[i]) point["marked"] = true;
    if (!c.reflection.empty()) point["reflection"] = json_complex(c.reflection[i]);
    return point;
  });
}

std::string sweep_csv(const SweepCase& c) {
  if (!c.corrected) {
    std::string text = csv_row({"file", "kind", "line", "frequency_hz", "count", "text"});
    for (const SweepFile& file : c.files)
      for (const sweep::Finding& f : file.judged.findings)
        text += csv_row({csv_text(file.read.file), std::string(sweep::finding_name(f.kind)),
                         f.line ? std::to_string(f.line) : "", f.frequency_hz > 0.0 ? csv_number(f.frequency_hz) : "",
                         std::to_string(f.count), csv_text(f.text)});
    return text + cautions_csv(c.cautions);
  }
  const sweep::OnePort& s = *c.corrected;
  const bool fitted = c.fit && c.fit->model_ohm.size() == s.frequency_hz.size();
  std::vector<std::string> heading{"frequency_hz", "r_ohm", "x_ohm", "uncertainty_ohm"};
  if (!c.reflection.empty()) heading.insert(heading.end(), {"reflection_re", "reflection_im"});
  if (fitted) heading.insert(heading.end(), {"fitted_r_ohm", "fitted_x_ohm"});
  std::string text = csv_row(heading);
  for (std::size_t i = 0; i < s.frequency_hz.size(); ++i) {
    std::vector<std::string> row{csv_number(s.frequency_hz[i]), csv_number(s.z_ohm[i].real()),
                                 csv_number(s.z_ohm[i].imag()), csv_number(s.uncertainty_ohm[i])};
    if (!c.reflection.empty())
      row.insert(row.end(), {csv_number(c.reflection[i].real()), csv_number(c.reflection[i].imag())});
    if (fitted) row.insert(row.end(), {csv_number(c.fit->model_ohm[i].real()), csv_number(c.fit->model_ohm[i].imag())});
    text += csv_row(row);
  }
  return text + cautions_csv(c.cautions);
}

std::string sweep_text(const SweepCase& c) {
  std::string text;
  for (const SweepFile& file : c.files) text += file_text(file) + "\n";
  if (c.line) text += line_text(*c.line) + "\n";
  if (c.corrected) {
    text += points_text(c);
    for (const sweep::Finding& f : c.corrected->caveats)
      if (f.kind == sweep::FindingKind::ill_conditioned) text += findings_text({f});
    if (c.renormalise_ohm)
      text += fmt::format("Reflection against {} ohm in {} waves: with --json or --csv\n",
                          print_impedance(*c.renormalise_ohm), waves_name(c.waves));
    text += "\n";
  }
  text += learned_text(c);
  if (c.fit) text += fit_text(*c.fit) + "\n";
  for (const sweep::Comparison& comparison : c.comparisons) text += comparison_text(comparison) + "\n";
  if (c.calibration) text += calibration_text(*c.calibration) + "\n";
  if (!c.log.empty()) text += log_text(c) + "\n";
  if (c.alternation) text += wrapped("Alternations: " + c.alternation->text, 0, 100) + "\n";
  if (c.needed) text += wrapped("Alternations: " + c.needed->text, 0, 100) + "\n";
  return text + cautions_in_short(c.cautions);
}

std::string sweep_touchstone(const SweepCase& c) {
  std::vector<load::OnePortPoint> points;
  const sweep::OnePort& s = *c.corrected;
  for (std::size_t i = 0; i < s.frequency_hz.size(); ++i) points.push_back({s.frequency_hz[i], s.z_ohm[i]});
  std::vector<std::string> comments{version_text("stile-sweep") + ": measured impedance"};
  const auto add = [&](std::string line) {
    for (char& ch : line)
      if (ch < ' ' || ch > '~') ch = '?';
    comments.push_back(std::move(line));
  };
  for (const std::string& what : c.corrections) add(what);
  for (const sweep::Finding& f : s.caveats) add("finding: " + std::string(sweep::finding_name(f.kind)) + ": " + f.text);
  for (const std::string& line : caution_lines(c.cautions)) add(line);
  return load::write_touchstone_1port(points, {load::TouchstoneKind::z, s.reference_ohm}, comments);
}

std::string sweep_reason(const SweepCase& c) {
  for (const SweepFile& file : c.files)
    if (!file.judged.usable) return file.read.file + ": nothing of it can be used";
  if (c.fit && c.fit->status != sweep::FitStatus::fitted)
    return fmt::format("the model {} is refused: {}", sweep::model_name(c.fit->model), c.fit->why);
  for (std::size_t i = 0; i < c.verdicts.size(); ++i)
    if (c.verdicts[i].state != sweep::RelayState::works)
      return fmt::format("{} {}", c.relays->names[i], sweep::relay_state_name(c.verdicts[i].state));
  if (c.calibration && c.calibration->status != sweep::FitStatus::fitted)
    return "the calibration is not carried by the data: " + c.calibration->why;
  return "";
}

}  // namespace stile::tools

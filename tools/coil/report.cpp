#include "coil/report.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/core.h>

#include <stile/coil/lump.hpp>

#include <stile/base/constants.hpp>
#include <stile/base/quantity.hpp>
#include <stile/plots/coil_sweep.hpp>
#include <stile/plots/coil_voltage.hpp>

#include "cli/cautions.hpp"
#include "cli/command_line.hpp"
#include "cli/table.hpp"

namespace stile::tools {
namespace {

double nan_for_none(double value) { return value > 0.0 ? value : std::numeric_limits<double>::quiet_NaN(); }

std::string three(double x) { return x < 999.5 ? fmt::format("{:.3g}", x) : fmt::format("{:.0f}", x); }

std::string band(double low, double high) { return three(low) + ".." + three(high); }

std::string grounded_name(coil::Grounded g) {
  return g == coil::Grounded::from ? "start" : g == coil::Grounded::to ? "end" : "neither";
}

std::string resonance_text(double hz) { return hz > 0.0 ? print_quantity(hz, Unit::hertz) : "not found"; }

std::string resistance_band(const coil::CoilPoint& p) {
  return fmt::format("{} ({} in practice)", print_quantity(p.resistance_ohm, Unit::ohm),
                     band(p.resistance_ohm * coil::practical_loss.low, p.resistance_ohm * coil::practical_loss.high));
}

bool has_tap(const CoilCase& c) { return c.tap_turns < coil::total_turns(c.winding) - 1e-9; }

std::vector<std::vector<std::string>> ratings_rows(const coil::CoilRatings& r, const coil::Service& s,
                                                   bool open_turns) {
  std::vector<std::vector<std::string>> rows{
      {"Carrying", print_quantity(s.current_a_rms, Unit::ampere) + " rms; in any turn at most " +
                       print_quantity(r.current_a_rms, Unit::ampere)},
      {"Voltage, peak", print_quantity(r.end_voltage_v_peak, Unit::volt, 3) + " to ground, " +
                            print_quantity(r.turn_voltage_v_peak, Unit::volt, 3) +
                            " between turns (air between them breaks down at " +
                            print_quantity(r.turn_breakdown_v_peak, Unit::volt, 3) + ")"}};
  if (open_turns && r.open_end_voltage_v_peak > 0.0) {
    rows.push_back({"Open end", print_quantity(r.open_end_voltage_v_peak, Unit::volt, 3) +
                                    " peak from the start to the far end of the open turns"});
  }
  rows.push_back({"Margin", figure(r.breakdown_margin) + " to breakdown or corona; at least 2 is wanted"});
  rows.push_back({"Heat", print_quantity(r.winding_w, Unit::watt, 3) + " in the winding, " +
                              print_quantity(r.former_w, Unit::watt, 3) +
                              fmt::format(" in the former, key down; at a duty of {:.3g} the winding settles at {:.0f} "
                                          "C ({:.0f} K above the air, +-20 %)",
                                          s.duty, r.temperature_c, r.temperature_rise_k)});
  return rows;
}

}  // namespace

const char* const coil_accuracy =
    "Arithmetic: 1e-3. Model: coaxial rings for the helix, every turn's skin and proximity effect, charges of the "
    "round "
    "conductors. Inductance: of nineteen measured small air coils fifteen within 6.1 %, all within 11.6 %; how much of "
    "it "
    "is leads and miscounted turns is not known. Self-resonance: measured coils within 2 % with a grounded base; two "
    "free "
    "ones on a polyethylene rod 1.8 % (space-wound) and 8.8 % (close-wound, enamelled) too high when taken as in air, "
    "4.5 "
    "and 5.3 % too low with the computed bound of the rod, within 1.6 % at half of it; one free ring of 5.25 turns of "
    "6 mm "
    "tube was reported 6.1 % too high, without the geometry that a test needs. Resistance and Q: stand on exact limits "
    "and "
    "computed test vectors; no measured Q with complete geometry was found. Against a table of smoothed measurements "
    "(from "
    "memory) wire up to 0.7 of the pitch is 3.2 % low in the mean and 13.1 % at most (coils from 0.6 diameters long). "
    "In "
    "practice surface, joints and neighbours add 5 to 15 % to the resistance, so Q is shown as a band. The band does "
    "not "
    "cover close winding: with wire from 0.8 of the pitch on, one per cent of pitch is 2 to 7 % of the resistance, and "
    "tables differ by up to a factor of two. Damp, a metal box or a body nearby take more, and a former's loss is only "
    "as "
    "good as its loss tangent. Measure where it matters.";

std::string band_text(const Range& b) { return b.high > 0.0 ? band(b.low, b.high) : "-"; }

std::string unused_name(coil::Unused unused) { return unused == coil::Unused::open ? "open" : "shorted"; }

std::vector<std::string> coil_warnings(const CoilCase& c) {
  std::vector<std::string> list = coil::sweep_warnings(c.points);
  for (const coil::CoilRatings& r : c.ratings) {
    for (const std::string& warning : r.warnings) {
      if (std::find(list.begin(), list.end(), warning) == list.end()) list.push_back(warning);
    }
  }
  return list;
}

Json winding_json(const coil::Winding& w) {
  const coil::Section& s = w.sections.front();
  Json j{{"turns", s.turns},
         {"diameter_m", w.diameter_m},
         {"former_diameter_m", w.diameter_m - w.wire.diameter_m},
         {"pitch_m", s.pitch_m},
         {"last_pitch_m", s.last_pitch_m > 0.0 ? s.last_pitch_m : s.pitch_m},
         {"wire_diameter_m", w.wire.diameter_m},
         {"wall_m", w.wire.wall_m},
         {"metal", w.wire.metal.name},
         {"temperature_c", w.wire.temperature_c},
         {"former", w.former.name},
         {"field_share", w.former.field_share},
         {"winding_length_m", coil::winding_length_m(w)}};
  if (w.plane) j[w.plane->mirrors_magnetic ? "plane_m" : "soil_m"] = s.start_m - w.plane->z_m;
  if (w.beside) j["beside_m"] = w.beside->axis_m;
  if (w.can) j["can_m"] = w.can->diameter_m;
  if (w.can && w.can->length_m > 0.0) j["can_length_m"] = w.can->length_m;
  if (w.near_metal) j["near_metal"] = w.near_metal->name;
  return j;
}

Json coil_point_json(const coil::CoilPoint& p) {
  const auto lump = coil::lump(p);
  return {{"frequency_hz", p.frequency_hz},
          {"inductance_h", p.inductance_h},
          {"resistance_ohm", p.resistance_ohm},
          {"q", p.q},
          {"q_practice", {p.q_practice.low, p.q_practice.high}},
          {"apparent_inductance_h", p.apparent_inductance_h},
          {"apparent_q", p.apparent_q},
          {"apparent_q_practice", {coil::terminal_q(p).low, coil::terminal_q(p).high}},
          {"z_ohm", json_complex(p.z_ohm)},
          {"lump", lump ? Json{{"inductance_h", lump->inductance_h},
                               {"q", lump->q},
                               {"self_capacitance_f", lump->self_capacitance_f}}
                        : Json(nullptr)},
          {"former_loss_ohm", p.former_loss_ohm},
          {"self_resonance_hz", nan_for_none(p.self_resonance_hz)},
          {"above_self_resonance", p.self_resonance_hz > 0.0 && p.frequency_hz >= p.self_resonance_hz},
          {"warnings", coil::sweep_warnings({&p, 1})}};
}

Json ratings_json(const coil::CoilRatings& r) {
  return {{"current_a_rms", r.current_a_rms},
          {"turn_voltage_v_peak", r.turn_voltage_v_peak},
          {"turn_breakdown_v_peak", r.turn_breakdown_v_peak},
          {"end_voltage_v_peak", r.end_voltage_v_peak},
          {"open_end_voltage_v_peak", r.open_end_voltage_v_peak},
          {"surface_field_v_m_peak", r.surface_field_v_m_peak},
          {"corona_field_v_m_peak", r.corona_field_v_m_peak},
          {"breakdown_margin", r.breakdown_margin},
          {"winding_w", r.winding_w},
          {"former_w", r.former_w},
          {"temperature_c", r.temperature_c},
          {"temperature_rise_k", r.temperature_rise_k},
          {"warnings", r.warnings}};
}

std::string winding_text(const coil::Winding& w) {
  const coil::Section& s = w.sections.front();
  const auto length = [](double m) { return print_quantity(m, Unit::metre); };
  std::string text = fmt::format(
      "{:g} turns of {} {}{}, {} across between wire centres (former {}{}), pitch {}{}, {} long", s.turns,
      length(w.wire.diameter_m), w.wire.metal.name, w.wire.wall_m > 0.0 ? " tube" : " wire", length(w.diameter_m),
      length(w.diameter_m - w.wire.diameter_m), w.former.name == "air" ? "" : ", " + w.former.name, length(s.pitch_m),
      s.last_pitch_m > 0.0 ? " to " + length(s.last_pitch_m) : "", length(coil::winding_length_m(w)));
  if (w.plane) {
    text += fmt::format(", {} above {}", length(-w.plane->z_m),
                        w.plane->mirrors_magnetic ? "a plane of metal" : "a plane of soil");
  }
  if (w.beside) text += fmt::format(", {} beside sheet metal", length(w.beside->axis_m));
  if (w.can) {
    text += fmt::format(", in a can of {} inside{}", length(w.can->diameter_m),
                        w.can->length_m > 0.0 ? ", " + length(w.can->length_m) + " long" : "");
  }
  if (w.near_metal) text += " (" + w.near_metal->name + ")";
  return text;
}

std::string coil_text(const CoilCase& c) {
  std::string text = winding_text(c.winding) + "\n";
  if (c.wanted_h) {
    text += fmt::format("Wanted {}: {:.4g} turns would give it, wound are {:g}\n",
                        print_quantity(*c.wanted_h, Unit::henry), c.continuous_turns, coil::total_turns(c.winding));
  }
  text += has_tap(c) ? fmt::format("From the start to the tap at {:g} turns, the rest {}; ", c.tap_turns,
                                   unused_name(c.unused))
                     : std::string("Whole coil; ");
  text +=
      c.grounded == coil::Grounded::neither ? "floating\n\n" : "grounded at its " + grounded_name(c.grounded) + "\n\n";
  if (c.points.size() == 1) {
    const coil::CoilPoint& p = c.points.front();
    std::vector<std::vector<std::string>> rows{
        {"Frequency", print_quantity(p.frequency_hz, Unit::hertz, 7)},
        {"Inductance", print_quantity(p.inductance_h, Unit::henry) + " (turns alone)"},
        {"Apparent", print_quantity(p.apparent_inductance_h, Unit::henry) + " at the terminals, " +
                         print_impedance(p.z_ohm) + " ohm"},
        {"Resistance", resistance_band(p)},
        {"Q", fmt::format("{} in practice (the model alone: {}), turns alone", band_text(p.q_practice), three(p.q))},
        {"Q, terminals", coil::terminal_q(p).high > 0.0
                             ? band_text(coil::terminal_q(p)) + " in practice, with capacitance" +
                                   (c.winding.former.field_share > 0.0 ? " and former" : "")
                             : std::string("none: above the self-resonance")},
        {"Resonance", resonance_text(p.self_resonance_hz) + " by itself"},
        {"Wire", fmt::format("{} without leads, {:.4g} g", print_quantity(wire_length_m(c.winding), Unit::metre),
                             1e3 * coil::wire_mass_kg(c.winding))}};
    if (const auto l = coil::lump(p); l && c.grounded == coil::Grounded::neither) {
      rows.push_back(
          {"On a whip", fmt::format("inductance = \"{}\", q = {}, self_capacitance = \"{}\" in a [[coil]] of its wires",
                                    print_quantity(l->inductance_h, Unit::henry), three(l->q),
                                    print_quantity(l->self_capacitance_f, Unit::farad, 3))});
    }
    if (!c.ratings.empty()) {
      for (auto& row : ratings_rows(c.ratings.front(), c.service, has_tap(c) && c.unused == coil::Unused::open))
        rows.push_back(std::move(row));
    }
    text += aligned(rows);
  } else {
    std::vector<std::vector<std::string>> rows{
        {"Frequency", "L, uH", "Apparent L, uH", "R, ohm", "R in practice", "Q in practice", "Q at terminals"}};
    if (!c.ratings.empty()) rows.front().insert(rows.front().end(), {"V peak", "Margin", "Heat, W", "Wire, C"});
    for (std::size_t n = 0; n < c.points.size(); ++n) {
      const coil::CoilPoint& p = c.points[n];
      const bool above = p.self_resonance_hz > 0.0 && p.frequency_hz >= p.self_resonance_hz;
      rows.push_back({print_quantity(p.frequency_hz, Unit::hertz, 6), figure(1e6 * p.inductance_h),
                      figure(1e6 * p.apparent_inductance_h), figure(p.resistance_ohm),
                      band(p.resistance_ohm * coil::practical_loss.low, p.resistance_ohm * coil::practical_loss.high),
                      band_text(p.q_practice), band_text(coil::terminal_q(p))});
      if (!c.ratings.empty()) {
        const coil::CoilRatings& r = c.ratings[n];
        for (std::string cell : {figure(r.end_voltage_v_peak), figure(r.breakdown_margin),
                                 figure(r.winding_w + r.former_w), fmt::format("{:.0f}", r.temperature_c)}) {
          rows.back().push_back(std::move(cell));
        }
      }
      if (above) rows.back().emplace_back("above resonance: no inductance");
    }
    text += aligned(rows);
    text += fmt::format("\nResonance {} by itself. Wire {} without leads, {:.4g} g.\n",
                        resonance_text(c.points.back().self_resonance_hz),
                        print_quantity(wire_length_m(c.winding), Unit::metre), 1e3 * coil::wire_mass_kg(c.winding));
  }
  const std::vector<std::string> warnings = coil_warnings(c);
  if (!warnings.empty()) text += "\n";
  for (const std::string& warning : warnings) text += wrapped("Warning: " + warning + ".", 0, 112);
  text += "\n" + wrapped(std::string("How far to trust it. ") + coil_accuracy, 0, 112);
  return text + "\n" + cautions_in_short(c.cautions);
}

Pieces coil_json(const CoilCase& c) {
  Json j;
  j["tool"] = "stile-coil";
  j["version"] = version();
  j["coil"] = winding_json(c.winding);
  j["coil"]["tap_turns"] = c.tap_turns;
  j["coil"]["unused"] = has_tap(c) ? Json(unused_name(c.unused)) : Json(nullptr);
  j["coil"]["grounded"] = grounded_name(c.grounded);
  if (c.wanted_h) {
    j["wanted_inductance_h"] = *c.wanted_h;
    j["continuous_turns"] = c.continuous_turns;
  }
  j["points"] = Json::array();  // written one by one
  j["self_resonance_hz"] = nan_for_none(c.points.back().self_resonance_hz);
  j["wire_length_m"] = wire_length_m(c.winding);
  j["mass_kg"] = coil::wire_mass_kg(c.winding);
  j["accuracy"] = coil_accuracy;
  j["warnings"] = coil_warnings(c);
  j["cautions"] = cautions_json(c.cautions);
  return json_pieces(std::move(j), "points", c.points.size(), [&c](std::size_t n) {
    Json point = coil_point_json(c.points[n]);
    if (!c.ratings.empty()) point["ratings"] = ratings_json(c.ratings[n]);
    return point;
  });
}

std::string coil_csv(const CoilCase& c) {
  std::vector<std::string> heading{"frequency_hz",
                                   "inductance_h",
                                   "resistance_ohm",
                                   "q",
                                   "q_low",
                                   "q_high",
                                   "apparent_inductance_h",
                                   "apparent_q",
                                   "apparent_q_low",
                                   "apparent_q_high",
                                   "z_r_ohm",
                                   "z_x_ohm",
                                   "former_loss_ohm",
                                   "self_resonance_hz"};
  if (!c.ratings.empty())
    heading.insert(heading.end(), {"end_voltage_v_peak", "turn_voltage_v_peak", "breakdown_margin", "winding_w",
                                   "former_w", "temperature_c"});
  std::string text = csv_row(heading);
  for (std::size_t n = 0; n < c.points.size(); ++n) {
    const coil::CoilPoint& p = c.points[n];
    std::vector<double> values{p.frequency_hz,          p.inductance_h,
                               p.resistance_ohm,        p.q,
                               p.q_practice.low,        p.q_practice.high,
                               p.apparent_inductance_h, p.apparent_q,
                               coil::terminal_q(p).low, coil::terminal_q(p).high,
                               p.z_ohm.real(),          p.z_ohm.imag(),
                               p.former_loss_ohm,       nan_for_none(p.self_resonance_hz)};
    if (!c.ratings.empty()) {
      const coil::CoilRatings& r = c.ratings[n];
      values.insert(values.end(), {r.end_voltage_v_peak, r.turn_voltage_v_peak, r.breakdown_margin, r.winding_w,
                                   r.former_w, r.temperature_c});
    }
    std::vector<std::string> row;
    for (const double value : values) row.push_back(csv_number(value));
    text += csv_row(row);
  }
  for (const std::string& warning : coil_warnings(c)) text += "# warning: " + warning + "\n";
  return text + "# accuracy: " + coil_accuracy + "\n" + cautions_csv(c.cautions);
}

plots::Chart coil_frequency_chart(const CoilCase& c) {
  if (c.points.size() < 2)
    throw UsageError("a chart against frequency needs more than one; legal: --sweep FROM:TO:POINTS, or --show voltage");
  plots::CoilCurve curve;
  for (const coil::CoilPoint& p : c.points) {
    curve.frequency_hz.push_back(p.frequency_hz);
    curve.inductance_h.push_back(p.inductance_h);
    curve.apparent_inductance_h.push_back(p.apparent_inductance_h);
    curve.q_low.push_back(p.q_practice.low);
    curve.q_high.push_back(p.q_practice.high);
    curve.terminal_q_low.push_back(coil::terminal_q(p).low);
    curve.terminal_q_high.push_back(coil::terminal_q(p).high);
  }
  curve.self_resonance_hz = c.points.back().self_resonance_hz;
  std::string title = winding_text(c.winding);
  if (has_tap(c)) title += fmt::format("; to the tap at {:g} turns, the rest {}", c.tap_turns, unused_name(c.unused));
  const bool close = coil::warns(c.points.front(), coil::PointWarningKind::close_winding);
  return plots::coil_sweep_chart(
      curve, {title, std::string(close ? "Close winding: the band does not cover what it leaves open. " : "") +
                         "Computed by " + version_text("stile-coil") + chart_caution});
}

plots::Chart coil_voltage_chart(const CoilCase& c) {
  const coil::CoilPoint& p = c.points.back();
  const double current = c.service.current_a_rms > 0.0 ? c.service.current_a_rms : 1.0;
  plots::CoilVoltage curve{
      has_tap(c) ? fmt::format("tap at {:g} turns, the rest {}", c.tap_turns, unused_name(c.unused)) : "whole coil",
      {},
      {},
      c.tap_turns};
  for (const coil::NodeState& node : p.nodes) curve.turn.push_back(node.place.turn);
  curve.v_peak = coil::node_voltages_v_peak(p, current);
  return plots::coil_voltage_chart(
      {curve},
      {fmt::format("Voltage along the coil at {}, {} rms: {}", print_quantity(p.frequency_hz, Unit::hertz, 6),
                   print_quantity(current, Unit::ampere, 3), winding_text(c.winding)),
       "Computed by " + version_text("stile-coil") + ". Grounded: " + grounded_name(c.grounded) + chart_caution});
}

}  // namespace stile::tools

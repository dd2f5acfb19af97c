#include "net/report.hpp"

#include <cmath>
#include <limits>
#include <optional>

#include <fmt/core.h>

#include <stile/load/touchstone_write.hpp>
#include <stile/network/one_port.hpp>
#include <stile/network/waves.hpp>

#include "cli/cautions.hpp"
#include "cli/circuit.hpp"
#include "cli/command_line.hpp"
#include "cli/part.hpp"
#include "cli/table.hpp"

namespace stile::tools {
namespace {

std::string broken_text(const std::vector<network::SweepOverload>& broken) {
  std::string text;
  for (const network::SweepOverload& b : broken) {
    text += (text.empty() ? "" : "; ") + b.overload.what + " at " + print_quantity(b.frequency_hz, Unit::hertz, 6);
  }
  return text;
}

/// The highest SWR when it is over the limit, otherwise nothing.
std::string over_limit(const NetCase& c, double swr_limit) {
  const network::SweepValue worst = network::highest_swr(c.points);
  if (worst.value <= swr_limit) return "";
  return fmt::format("SWR {} at {}, limit {}", figure(worst.value), print_quantity(worst.frequency_hz, Unit::hertz, 6),
                     figure(swr_limit));
}

const char* harmonic_assumption(const load::Load& load) {
  return std::holds_alternative<load::ConstantLoad>(load.model)
             ? "load and source taken to be the same at the harmonic as at the fundamental"
             : "load from its file; source taken to be the same as at the fundamental";
}

double known(const std::optional<double>& value) { return value.value_or(std::numeric_limits<double>::quiet_NaN()); }

Json json_point(const NetCase& c, const network::Evaluation& e) {
  Json elements = Json::array();
  for (std::size_t n = 0; n < c.ladder.elements.size(); ++n)
    elements.push_back(json_element(c.ladder.elements[n], e.elements[n]));
  return {{"frequency_hz", e.frequency_hz},
          {"load_ohm", json_complex(e.z_load_ohm)},
          {"input_ohm", json_complex(e.z_input_ohm)},
          {"reflection", json_complex(e.reflection)},
          {"swr", e.swr},
          {"power",
           {{"available_w", e.power.available_w},
            {"accepted_w", e.power.accepted_w},
            {"delivered_w", e.power.delivered_w}}},
          {"loss",
           {{"mismatch_db", e.loss.mismatch_db},
            {"dissipation_db", e.loss.dissipation_db},
            {"transducer_db", e.loss.transducer_db}}},
          {"loaded_q", e.loaded_q},
          {"second_harmonic_db", known(e.second_harmonic_db)},
          {"third_harmonic_db", known(e.third_harmonic_db)},
          {"load_current_a_rms", std::abs(e.load_current_a)},
          {"load_voltage_v_peak", network::load_voltage_v_peak(e)},
          {"elements", std::move(elements)}};
}

std::string percent(double part, double whole) { return figure(100.0 * part / whole) + " %"; }

std::string results_text(const NetCase& c, const network::Evaluation& e) {
  const auto harmonic = [&](const char* name, const std::optional<double>& db) -> std::vector<std::string> {
    if (!db) return {name, "not known: the load's data do not reach it"};
    return {name, figure(std::abs(*db)) + (*db >= 0.0 ? " dB weaker" : " dB stronger") + " than the fundamental (" +
                      harmonic_assumption(c.load) + ")"};
  };
  return aligned(
      {{"Input impedance", print_impedance(e.z_input_ohm) + " ohm"},
       {"Reflection",
        figure(std::abs(e.reflection)) + " at " + figure(network::reflection_angle_deg(e.reflection)) + " degrees"},
       {"SWR", figure(e.swr)},
       {"Available", print_quantity(e.power.available_w, Unit::watt)},
       {"Accepted", print_quantity(e.power.accepted_w, Unit::watt) + ", " +
                        percent(e.power.accepted_w, e.power.available_w) + " (mismatch loss " +
                        figure(e.loss.mismatch_db) + " dB)"},
       {"Delivered", print_quantity(e.power.delivered_w, Unit::watt) + ", " +
                         percent(e.power.delivered_w, e.power.available_w) + " (dissipation loss " +
                         figure(e.loss.dissipation_db) + " dB, in all " + figure(e.loss.transducer_db) + " dB)"},
       {"Load", print_quantity(std::abs(e.load_current_a), Unit::ampere) + " rms, " +
                    print_quantity(network::load_voltage_v_peak(e), Unit::volt) + " peak"},
       {"Loaded Q", figure(e.loaded_q)},
       harmonic("2nd harmonic", e.second_harmonic_db),
       harmonic("3rd harmonic", e.third_harmonic_db)});
}

std::string parts_text(const NetCase& c, const network::Evaluation& e) {
  std::vector<std::vector<std::string>> rows{
      {"Part", "Place", "Kind", "Value", "Current, rms", "Voltage, peak", "Heat"}};
  for (std::size_t n = 0; n < c.ladder.elements.size(); ++n) {
    const network::Element& element = c.ladder.elements[n];
    const network::Stress& s = e.elements[n];
    rows.push_back({element.label, network::place_name(element.place), network::kind_name(element.part),
                    network::value_text(element.part), print_quantity(s.current_a_rms, Unit::ampere),
                    print_quantity(s.voltage_v_peak, Unit::volt), print_quantity(s.dissipation_w, Unit::watt)});
  }
  return aligned(rows);
}

std::string sweep_text(const NetCase& c) {
  std::vector<std::vector<std::string>> rows{{"Frequency", "Load, ohm", "Input, ohm", "SWR", "Accepted, W",
                                              "Delivered, W", "Dissipation, dB", "Loaded Q", "2nd harm., dB",
                                              "3rd harm., dB"}};
  for (const network::Evaluation& e : c.points) {
    rows.push_back({print_quantity(e.frequency_hz, Unit::hertz, 6), print_impedance(e.z_load_ohm),
                    print_impedance(e.z_input_ohm), figure(e.swr), figure(e.power.accepted_w),
                    figure(e.power.delivered_w), figure(e.loss.dissipation_db), figure(e.loaded_q),
                    figure(known(e.second_harmonic_db)), figure(known(e.third_harmonic_db))});
  }
  std::string text = aligned(rows);
  text += std::string("Harmonics: attenuation against the fundamental; ") + harmonic_assumption(c.load) + ".\n";
  if (c.ladder.elements.empty()) return text;

  rows = {{"Part", "Place", "Kind", "Value", "Current, rms", "Voltage, peak", "Heat"}};
  const std::vector<network::HighestStress> most = network::highest_stresses(c.points);
  const auto at = [](const network::SweepValue& highest, Unit unit) {
    return print_quantity(highest.value, unit) + " at " + print_quantity(highest.frequency_hz, Unit::hertz, 6);
  };
  for (std::size_t n = 0; n < c.ladder.elements.size(); ++n) {
    const network::Element& element = c.ladder.elements[n];
    rows.push_back({element.label, network::place_name(element.place), network::kind_name(element.part),
                    network::value_text(element.part), at(most[n].current_a_rms, Unit::ampere),
                    at(most[n].voltage_v_peak, Unit::volt), at(most[n].dissipation_w, Unit::watt)});
  }
  return text + "\nHighest of the sweep\n" + aligned(rows);
}

}  // namespace

Pieces net_json(const NetCase& c) {
  Json overload_list = Json::array();
  for (const network::SweepOverload& b : c.broken) {
    overload_list.push_back({{"label", c.ladder.elements[b.overload.element].label},
                             {"frequency_hz", b.frequency_hz},
                             {"what", b.overload.what},
                             {"factor", b.overload.factor}});
  }
  Json j;
  j["tool"] = "stile-net";
  j["version"] = version();
  j["source"] = {{"impedance_ohm", json_complex(c.source.z_ohm)}, {"power_w", c.source.power_w}};
  j["load"] = load_text(c.load);
  j["harmonic_assumption"] = harmonic_assumption(c.load);
  j["points"] = Json::array();  // written one by one
  j["overloads"] = std::move(overload_list);
  j["warnings"] = load::load_warnings(c.load);
  j["cautions"] = cautions_json(c.cautions);
  return json_pieces(j, "points", c.points.size(), [&c](std::size_t n) { return json_point(c, c.points[n]); });
}

std::string net_csv(const NetCase& c) {
  std::vector<std::string> heading{
      "frequency_hz",      "load_r_ohm",         "load_x_ohm",         "input_r_ohm",
      "input_x_ohm",       "reflection_re",      "reflection_im",      "swr",
      "available_w",       "accepted_w",         "delivered_w",        "mismatch_db",
      "dissipation_db",    "transducer_db",      "loaded_q",           "second_harmonic_db",
      "third_harmonic_db", "load_current_a_rms", "load_voltage_v_peak"};
  for (const network::Element& element : c.ladder.elements) {
    for (const char* what : {"_current_a_rms", "_voltage_v_peak", "_dissipation_w"})
      heading.push_back(csv_text(element.label + what));
  }
  std::string text = csv_row(heading);
  for (const network::Evaluation& e : c.points) {
    std::vector<std::string> row;
    for (const double value :
         {e.frequency_hz, e.z_load_ohm.real(), e.z_load_ohm.imag(), e.z_input_ohm.real(), e.z_input_ohm.imag(),
          e.reflection.real(), e.reflection.imag(), e.swr, e.power.available_w, e.power.accepted_w, e.power.delivered_w,
          e.loss.mismatch_db, e.loss.dissipation_db, e.loss.transducer_db, e.loaded_q, known(e.second_harmonic_db),
          known(e.third_harmonic_db), std::abs(e.load_current_a), network::load_voltage_v_peak(e)}) {
      row.push_back(csv_number(value));
    }
    for (const network::Stress& s : e.elements) {
      for (const double value : {s.current_a_rms, s.voltage_v_peak, s.dissipation_w}) row.push_back(csv_number(value));
    }
    text += csv_row(row);
  }
  return text + cautions_csv(c.cautions);
}

std::string net_text(const NetCase& c) {
  std::string text = fmt::format("{} from {} into {}", print_quantity(c.source.power_w, Unit::watt),
                                 impedance_text(c.source.z_ohm), load_text(c.load));
  if (c.points.size() == 1) {
    const network::Evaluation& e = c.points.front();
    text += " at " + stated_frequency(e.frequency_hz);
    if (!std::holds_alternative<load::ConstantLoad>(c.load.model))
      text += ": " + print_impedance(e.z_load_ohm) + " ohm";
    text += "\n\n" + results_text(c, e);
    if (!c.ladder.elements.empty()) text += "\n" + parts_text(c, e);
  } else {
    text += "\n\n" + sweep_text(c);
  }
  if (!c.broken.empty()) text += "\nOver the rating: " + broken_text(c.broken) + "\n";
  return text + "\n" + cautions_in_short(c.cautions);
}

std::string net_touchstone(const NetCase& c) {
  std::vector<load::OnePortPoint> points;
  for (const network::Evaluation& e : c.points) points.push_back({e.frequency_hz, e.z_input_ohm});
  std::vector<std::string> comments{version_text("stile-net") + ": input impedance of a network"};
  for (const std::string& line : caution_lines(c.cautions)) comments.push_back(line);
  return load::write_touchstone_1port(points, {load::TouchstoneKind::z, 50.0}, comments);
}

std::string net_reason(const NetCase& c, const std::optional<double>& swr_limit) {
  std::string reason = broken_text(c.broken);
  if (!swr_limit) return reason;
  const std::string over = over_limit(c, *swr_limit);
  return reason + (reason.empty() || over.empty() ? "" : "; ") + over;
}

}  // namespace stile::tools

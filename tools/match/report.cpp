#include "match/report.hpp"

#include <cmath>
#include <limits>
#include <optional>

#include <fmt/core.h>

#include <stile/match/no_match.hpp>
#include <stile/network/one_port.hpp>
#include <stile/network/sweep_ratings.hpp>

#include "cli/cautions.hpp"
#include "cli/circuit.hpp"
#include "cli/command_line.hpp"
#include "cli/json.hpp"
#include "cli/part.hpp"
#include "cli/table.hpp"

namespace stile::tools {
namespace {

bool constant(const load::Load& load) { return std::holds_alternative<load::ConstantLoad>(load.model); }

/// Why there is no solution: which losses exclude it, if any.
std::string why_nothing(const MatchCase& c) {
  const match::NoMatchReason reason = match::why_no_match(c.request);
  const auto excluded = [&](const char* losses) {
    return fmt::format("nothing matches: {} exclude all of the {} networks there were without them", losses,
                       reason.networks);
  };
  switch (reason.why) {
  case match::NoMatch::no_resistance:
    return "nothing matches: the load has no resistance, so no power can reach it";
  case match::NoMatch::inductor_losses:
    return excluded("the coils' losses");
  case match::NoMatch::capacitor_losses:
    return excluded("the capacitors' losses");
  case match::NoMatch::all_losses:
    return excluded("the losses of coils and capacitors");
  case match::NoMatch::beyond_losses:
    break;
  }
  if (c.request.form == match::Form::l) return "nothing matches: no two parts or fewer do, even without losses";
  return "nothing matches within the limits of the parts and the free choice, even without losses; "
         "wider --inductance-limits or --capacitance-limits, or --least-loss, may";
}

double known(const std::optional<double>& value) { return value.value_or(std::numeric_limits<double>::quiet_NaN()); }

const char* form_name(match::Form form) {
  return form == match::Form::l ? "l" : form == match::Form::pi_network ? "pi" : "t";
}
const char* status_name(match::MatchStatus status) {
  return status == match::MatchStatus::at_limit ? "at_limit" : "matched";
}

Json json_elements(const network::Ladder& ladder, const network::Evaluation& evaluation) {
  Json elements = Json::array();
  for (std::size_t n = 0; n < ladder.elements.size(); ++n)
    elements.push_back(json_element(ladder.elements[n], evaluation.elements[n]));
  return elements;
}

Json json_result(const match::RealMatch& r) {
  const match::MatchSolution& s = r.solution;
  Json elements = json_elements(s.ladder, s.evaluation);
  for (std::size_t n = 0; n < elements.size(); ++n) elements[n]["swr_at_one_percent"] = s.swr_at_one_percent.at(n);
  Json j;
  j["form"] = form_name(s.form);
  j["description"] = match::describe(s.ladder);
  j["status"] = status_name(s.status);
  j["elements"] = std::move(elements);
  j["swr"] = s.evaluation.swr;
  j["dissipation_db"] = s.evaluation.loss.dissipation_db;
  j["delivered_w"] = s.evaluation.power.delivered_w;
  j["bandwidth_hz"] = s.bandwidth.width_hz();
  j["band"] = {{"low_hz", s.bandwidth.low_hz},
               {"high_hz", s.bandwidth.high_hz},
               {"low_is_data_edge", s.bandwidth.low_is_data_edge},
               {"high_is_data_edge", s.bandwidth.high_is_data_edge}};
  j["share_of_widest_band"] = known(r.share_of_widest_band);
  j["loaded_q"] = s.evaluation.loaded_q;
  j["end_q"] = s.end_q;
  j["phase_deg"] = s.phase_deg;
  j["load_voltage_v_peak"] = network::load_voltage_v_peak(s.evaluation);
  if (r.preferred) {
    j["preferred"] = {{"elements", json_elements(r.preferred->ladder, r.preferred->evaluation)},
                      {"swr", r.preferred->evaluation.swr},
                      {"dissipation_db", r.preferred->evaluation.loss.dissipation_db}};
  }
  if (r.spread) {
    j["tolerance"] = {{"worst_swr", r.spread->worst_swr},
                      {"median_swr", r.spread->median_swr},
                      {"swr_95", r.spread->swr_95},
                      {"worst_dissipation_db", r.spread->worst_dissipation_db},
                      {"yield", r.spread->yield}};
  }
  return j;
}

std::string band_text(const match::Bandwidth& band) {
  const bool cut = band.low_is_data_edge || band.high_is_data_edge;
  return (cut ? "at least " : "") + print_quantity(band.width_hz(), Unit::hertz);
}

std::string share_text(const match::RealMatch& r) {
  const match::Bandwidth& band = r.solution.bandwidth;
  return (r.share_of_widest_band && (band.low_is_data_edge || band.high_is_data_edge) ? ">= " : "") +
         figure(known(r.share_of_widest_band));
}

std::string quality_text(double q) { return std::isinf(q) ? "without loss" : "Q " + figure(q); }

std::string solutions_text(const MatchCase& c) {
  std::vector<std::vector<std::string>> rows{{"No", "Loss, dB", "Delivered", "SWR", "Loaded Q", "Band", "Share",
                                              "SWR 1 % off", "Phase, deg", "Voltage, peak", "Current, rms", "Network"}};
  for (std::size_t n = 0; n < c.matches.size(); ++n) {
    const match::MatchSolution& s = c.matches[n].solution;
    const network::Evaluation& e = s.evaluation;
    const network::Stress most = network::highest_stress(e);
    rows.push_back(
        {std::to_string(n + 1), figure(e.loss.dissipation_db), print_quantity(e.power.delivered_w, Unit::watt),
         figure(e.swr), figure(e.loaded_q), band_text(s.bandwidth), share_text(c.matches[n]),
         figure(match::worst_swr_at_one_percent(s)), figure(s.phase_deg),
         print_quantity(most.voltage_v_peak, Unit::volt), print_quantity(most.current_a_rms, Unit::ampere),
         match::describe(s.ladder) + (s.status == match::MatchStatus::at_limit ? " (at a limit of the parts)" : "")});
  }
  return aligned(rows);
}

std::string real_parts_text(const MatchCase& c) {
  if (!c.parts.tolerances && !c.parts.inductor_series && !c.parts.capacitor_series) return "";
  std::vector<std::vector<std::string>> rows{{"No"}};
  const bool preferred = c.parts.inductor_series || c.parts.capacitor_series;
  if (preferred) rows.front().insert(rows.front().end(), {"SWR", "Loss, dB"});
  if (c.parts.tolerances)
    rows.front().insert(rows.front().end(),
                        {"Median SWR", "95 % below", "Worst SWR", "Worst loss, dB", "Within the limit"});
  if (preferred) rows.front().emplace_back("Preferred values");
  for (std::size_t n = 0; n < c.matches.size(); ++n) {
    const match::RealMatch& r = c.matches[n];
    std::vector<std::string> row{std::to_string(n + 1)};
    if (preferred)
      row.insert(row.end(), {figure(r.preferred->evaluation.swr), figure(r.preferred->evaluation.loss.dissipation_db)});
    if (c.parts.tolerances) {
      row.insert(row.end(), {figure(r.spread->median_swr), figure(r.spread->swr_95), figure(r.spread->worst_swr),
                             figure(r.spread->worst_dissipation_db), figure(100.0 * r.spread->yield) + " %"});
    }
    if (preferred) row.push_back(match::describe(r.preferred->ladder));
    rows.push_back(row);
  }
  return "\nWith real parts\n" + aligned(rows);
}

std::string limit_text(const MatchCase& c) {
  if (!c.limit.widest_band_hz) return "";
  std::string text =
      fmt::format("Load Q {}: no network without loss keeps SWR {} over more than {}.", figure(known(c.limit.load_q)),
                  figure(c.request.swr_limit), print_quantity(known(c.limit.widest_band_hz), Unit::hertz));
  if (constant(c.request.load))
    text += " Taken from |X|/R: bands below are those of a load that does not change, and have no share of it.";
  return wrapped(text, 0, 112) + "\n";
}

}  // namespace

std::string match_reason(const MatchCase& c) {
  const std::optional<double> least = match::least_built_swr(c.matches);
  if (!least) return why_nothing(c);
  const bool preferred = c.parts.inductor_series || c.parts.capacitor_series;
  if (!preferred || *least <= c.request.swr_limit) return "";
  return fmt::format("with preferred values no solution keeps SWR {}; the least is {}", figure(c.request.swr_limit),
                     figure(*least));
}

std::string match_json(const MatchCase& c) {
  Json solutions = Json::array();
  for (const match::RealMatch& r : c.matches) solutions.push_back(json_result(r));
  Json j;
  j["tool"] = "stile-match";
  j["version"] = version();
  j["frequency_hz"] = c.request.frequency_hz;
  j["source"] = {{"impedance_ohm", json_complex(c.request.source.z_ohm)}, {"power_w", c.request.source.power_w}};
  j["load"] = load_text(c.request.load);
  j["load_ohm"] = json_complex(c.z_load_ohm);
  j["load_q"] = known(c.limit.load_q);
  j["swr_limit"] = c.request.swr_limit;
  j["widest_lossless_band_hz"] = known(c.limit.widest_band_hz);
  j["solutions"] = std::move(solutions);
  j["why"] = c.why;
  j["warnings"] = load::load_warnings(c.request.load);
  j["cautions"] = cautions_json(c.cautions);
  return json_text(j);
}

std::string match_csv(const MatchCase& c) {
  const std::size_t parts = c.request.form == match::Form::l ? 2 : 3;
  std::vector<std::string> heading{"solution",
                                   "form",
                                   "swr",
                                   "dissipation_db",
                                   "bandwidth_hz",
                                   "band_low_hz",
                                   "band_high_hz",
                                   "low_is_data_edge",
                                   "high_is_data_edge",
                                   "loaded_q",
                                   "phase_deg",
                                   "highest_voltage_v_peak",
                                   "highest_current_a_rms",
                                   "worst_swr_at_one_percent",
                                   "preferred_swr",
                                   "yield"};
  for (std::size_t n = 1; n <= parts; ++n) {
    for (const char* what : {"place", "kind", "value", "preferred_value"})
      heading.push_back(fmt::format("part{}_{}", n, what));
  }
  std::string text = csv_row(heading);
  for (std::size_t n = 0; n < c.matches.size(); ++n) {
    const match::RealMatch& r = c.matches[n];
    const match::MatchSolution& s = r.solution;
    const network::Stress most = network::highest_stress(s.evaluation);
    std::vector<std::string> row{std::to_string(n + 1),
                                 form_name(s.form),
                                 csv_number(s.evaluation.swr),
                                 csv_number(s.evaluation.loss.dissipation_db),
                                 csv_number(s.bandwidth.width_hz()),
                                 csv_number(s.bandwidth.low_hz),
                                 csv_number(s.bandwidth.high_hz),
                                 s.bandwidth.low_is_data_edge ? "true" : "false",
                                 s.bandwidth.high_is_data_edge ? "true" : "false",
                                 csv_number(s.evaluation.loaded_q),
                                 csv_number(s.phase_deg),
                                 csv_number(most.voltage_v_peak),
                                 csv_number(most.current_a_rms),
                                 csv_number(match::worst_swr_at_one_percent(s)),
                                 r.preferred ? csv_number(r.preferred->evaluation.swr) : "",
                                 r.spread ? csv_number(r.spread->yield) : ""};
    for (std::size_t k = 0; k < s.ladder.elements.size(); ++k) {
      const network::Element& element = s.ladder.elements[k];
      row.push_back(network::place_name(element.place));
      row.push_back(network::kind_name(element.part));
      row.push_back(csv_number(network::value_si(element.part)));
      row.push_back(r.preferred ? csv_number(network::value_si(r.preferred->ladder.elements[k].part)) : "");
    }
    row.resize(heading.size());
    text += csv_row(row);
  }
  return text + cautions_csv(c.cautions);
}

std::string match_text(const MatchCase& c) {
  const match::MatchRequest& r = c.request;
  std::string text = fmt::format("{} from {} into {} at {}", print_quantity(r.source.power_w, Unit::watt),
                                 impedance_text(r.source.z_ohm), load_text(r.load), stated_frequency(r.frequency_hz));
  if (!constant(r.load)) text += ": " + print_impedance(c.z_load_ohm) + " ohm";
  text += "; coils " + quality_text(r.stock.inductor_loss.q) + ", capacitors " +
          quality_text(r.stock.capacitor_loss.q) + "\n\n";
  text += limit_text(c);
  if (!c.matches.empty()) text += solutions_text(c) + real_parts_text(c);
  if (!c.why.empty()) text += wrapped(c.why, 0, 112);
  return text + "\n" + cautions_in_short(c.cautions);
}

}  // namespace stile::tools

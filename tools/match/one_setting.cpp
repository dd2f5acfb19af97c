#include "match/one_setting.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

#include <stile/load/load_file.hpp>
#include <stile/match/match.hpp>
#include <stile/plots/smith.hpp>

#include "cli/cautions.hpp"
#include "cli/circuit.hpp"
#include "cli/json.hpp"
#include "cli/part.hpp"
#include "cli/table.hpp"
#include "match/options.hpp"

namespace stile::tools {
namespace {

constexpr std::size_t most_drawn = 26;  // of a chart's letters

std::vector<double> read_frequencies(const Arguments& arguments) {
  std::vector<double> all;
  for (const std::string& text : arguments.texts("--frequency")) {
    all.push_back(read_sized(text, Unit::hertz, {"--frequency", 0, 1}));
    if (all.back() <= 0.0) throw ParseError({"--frequency", 0, 1}, fmt::format("\"{}\": must be > 0", text));
  }
  if (all.empty()) throw UsageError("no frequency is given; legal: --frequency 14.2MHz");
  return all;
}

std::vector<load::Load> read_loads(const Arguments& arguments) {
  std::vector<load::Load> all;
  for (const std::string& text : arguments.texts("--load")) {
    const cdouble z = read_sized_impedance(text, {"--load", 0, 1});
    if (z.real() <= 0.0)
      throw ParseError({"--load", 0, 1}, fmt::format("\"{}\": its real part must be > 0 for power to reach it", text));
    all.push_back({"", "--load", load::ConstantLoad{z}, {}});
  }
  for (const std::string& file : arguments.texts("--load-file")) all.push_back(load::load_from_file(file));
  if (all.empty()) throw UsageError("no load is given; legal: --load 12-230j or --load-file FILE.s1p");
  return all;
}

double read_radiated_share(const std::string& text) {
  const bool percent = !text.empty() && text.back() == '%';
  const double share =
      read_sized(percent ? text.substr(0, text.size() - 1) : text, Unit::one, {"--radiated-share", 0, 1}) /
      (percent ? 100.0 : 1.0);
  if (!(share > 0.0 && share <= 1.0)) {
    throw ParseError({"--radiated-share", 0, 1},
                     fmt::format("\"{}\": out of range; legal: above 0 up to 100%, as 5% or 0.05", text));
  }
  return share;
}

/// One a load, or one for all.
std::vector<double> read_radiated_shares(const Arguments& arguments, std::size_t loads) {
  std::vector<double> all;
  for (const std::string& text : arguments.texts("--radiated-share")) all.push_back(read_radiated_share(text));
  if (all.size() == 1) all.resize(loads, all.front());
  if (!all.empty() && all.size() != loads) {
    throw UsageError(fmt::format("--radiated-share is given {} times beside {} loads; legal: once, or once a load",
                                 all.size(), loads));
  }
  return all;
}

match::PartSteps read_steps(const Arguments& arguments, const match::PartStock& stock) {
  match::PartSteps steps;
  steps.stock = stock;
  if (!arguments.has("--inductor-srf-capacitance"))
    steps.stock.inductor_self_capacitance_f = match::usual_self_capacitance_f;
  steps.inductor_series = read_series(arguments, "--inductor-series", "--series");
  steps.capacitor_series = read_series(arguments, "--capacitor-series", "--series");
  steps.inductor_step_h = arguments.positive("--inductor-step", Unit::henry);
  steps.capacitor_step_f = arguments.positive("--capacitor-step", Unit::farad);
  if (steps.inductor_step_h && steps.inductor_series)
    throw UsageError("--inductor-step and a series of coils exclude each other; legal: one of them");
  if (steps.capacitor_step_f && steps.capacitor_series)
    throw UsageError("--capacitor-step and a series of capacitors exclude each other; legal: one of them");
  return steps;
}

match::ServedLoad served(const OneSettingCase& c, std::size_t n, const std::vector<double>& shares) {
  match::ServedLoad load;
  load.condition = load_text(c.loads[n]);
  for (const double f : c.frequency_hz) {
    load.z_ohm.push_back(load_at(c.loads[n], f, "--frequency"));
    if (load.z_ohm.back().real() <= 0.0)
      throw ParseError({"--load-file", 0, 0}, fmt::format("{} has no resistance at {}: no power can reach it",
                                                          load.condition, print_quantity(f, Unit::hertz, 6)));
    if (!shares.empty()) {
      load.radiated_share.push_back(shares[n]);
    } else if (const auto known = load::load_shares(c.loads[n], f); known && known->radiated > 0.0) {
      load.radiated_share.push_back(known->radiated);
    }
  }
  return load;
}

std::string loss_name(const OneSettingCase& c) { return c.to_far_field ? "to the far field" : "into the load"; }

std::string steps_text(const OneSettingCase& c) {
  const auto kind = [](const char* name, double q, const std::optional<match::ESeries>& series,
                       const std::optional<double>& step, double low, double high, Unit unit) {
    return fmt::format("{} {} to {}, {}, {}", name, print_quantity(low, unit), print_quantity(high, unit),
                       series ? "of " + match::e_series_name(*series)
                       : step ? "in steps of " + print_quantity(*step, unit)
                              : std::string("any value"),
                       std::isinf(q) ? std::string("without loss") : "Q " + figure(q));
  };
  const match::PartStock& s = c.steps.stock;
  return kind("coils", s.inductor_loss.q, c.steps.inductor_series, c.steps.inductor_step_h, s.least_inductance_h,
              s.most_inductance_h, Unit::henry) +
         ", self-capacitance " + print_quantity(s.inductor_self_capacitance_f, Unit::farad) + "; " +
         kind("capacitors", s.capacitor_loss.q, c.steps.capacitor_series, c.steps.capacitor_step_f,
              s.least_capacitance_f, s.most_capacitance_f, Unit::farad);
}

/// Index of the frequency at which a load loses most.
std::size_t worst_point(const match::ConditionSetting& s) {
  return static_cast<std::size_t>(std::max_element(s.loss_db.begin(), s.loss_db.end()) - s.loss_db.begin());
}

}  // namespace

OneSettingCase solve_one_setting(const Arguments& arguments, const match::PartStock& stock) {
  OneSettingCase c;
  c.frequency_hz = read_frequencies(arguments);
  c.job.source = read_source(arguments);
  c.job.swr_limit = read_swr_limit(arguments);
  c.steps = read_steps(arguments, stock);
  c.loads = read_loads(arguments);
  const std::vector<double> shares = read_radiated_shares(arguments, c.loads.size());
  for (std::size_t n = 0; n < c.loads.size(); ++n) c.job.loads.push_back(served(c, n, shares));
  // Shares that only some loads have would compare unlike things.
  c.to_far_field = std::all_of(c.job.loads.begin(), c.job.loads.end(),
                               [&](const auto& l) { return l.radiated_share.size() == c.frequency_hz.size(); });
  if (!c.to_far_field)
    for (match::ServedLoad& l : c.job.loads) l.radiated_share.clear();

  c.found = match::find_one_setting(match::prepare_space(match::l_network_space(c.frequency_hz, c.steps)), c.job);
  c.ladder.elements = c.found.conditions.front().elements();
  name_parts(c.ladder);
  std::vector<network::Evaluation> all;
  for (const match::ServedLoad& load : c.job.loads) {
    c.evaluations.emplace_back();
    for (std::size_t f = 0; f < c.frequency_hz.size(); ++f) {
      c.evaluations.back().push_back(network::evaluate(c.ladder, c.job.source, c.frequency_hz[f], load.z_ohm[f]));
      all.push_back(c.evaluations.back().back());
    }
  }
  c.stresses = network::highest_stresses(all);
  c.cautions = cautions_of(all);
  if (c.found.status != match::SettingStatus::holds) {
    c.why =
        fmt::format("no setting {}keeps SWR {} at every load; this one loses least at worst, with SWR {}",
                    c.found.proof.proven ? "" : "that was found ", figure(c.job.swr_limit), figure(c.found.worst_swr));
  }
  return c;
}

std::string one_setting_json(const OneSettingCase& c) {
  Json elements = Json::array();
  for (std::size_t n = 0; n < c.ladder.elements.size(); ++n) {
    const network::HighestStress& s = c.stresses[n];
    Json e = json_element(c.ladder.elements[n],
                          {s.current_a_rms.value, s.voltage_v_peak.value, s.dissipation_w.value, 0.0, 0.0});
    e.erase("magnetic_energy_j"), e.erase("electric_energy_j");  // of one load, and these are the most of all
    if (const auto* coil = std::get_if<network::Inductor>(&c.ladder.elements[n].part))
      e["self_capacitance_f"] = coil->self_capacitance_f;
    elements.push_back(std::move(e));
  }
  Json loads = Json::array();
  for (std::size_t n = 0; n < c.loads.size(); ++n) {
    const match::ConditionSetting& s = c.found.conditions[n];
    Json points = Json::array();
    for (std::size_t f = 0; f < c.frequency_hz.size(); ++f) {
      Json point{{"frequency_hz", c.frequency_hz[f]},
                 {"load_ohm", json_complex(c.job.loads[n].z_ohm[f])},
                 {"input_ohm", json_complex(c.evaluations[n][f].z_input_ohm)},
                 {"swr", s.swr[f]},
                 {"loss_db", s.loss_db[f]}};
      if (c.to_far_field) point["radiated_share"] = c.job.loads[n].radiated_share[f];
      points.push_back(std::move(point));
    }
    loads.push_back({{"load", s.condition},
                     {"worst_swr", s.worst_swr},
                     {"worst_loss_db", s.worst_loss_db},
                     {"holds", s.holds},
                     {"points", std::move(points)}});
  }
  Json j;
  j["tool"] = "stile-match";
  j["version"] = version();
  j["frequency_hz"] = c.frequency_hz;
  j["source"] = {{"impedance_ohm", json_complex(c.job.source.z_ohm)}, {"power_w", c.job.source.power_w}};
  j["swr_limit"] = c.job.swr_limit;
  j["one_setting"] = {{"description", match::describe(c.ladder)},
                      {"elements", std::move(elements)},
                      {"worst_swr", c.found.worst_swr},
                      {"worst_loss_db", c.found.worst_loss_db},
                      {"loss_is", loss_name(c)},
                      {"holds", c.found.status == match::SettingStatus::holds},
                      {"loads", std::move(loads)},
                      {"proof",
                       {{"tried", c.found.proof.tried},
                        {"bound_db", c.found.proof.bound_db},
                        {"proven", c.found.proof.proven},
                        {"how", c.found.proof.how}}}};
  j["why"] = c.why;
  j["cautions"] = cautions_json(c.cautions);
  return json_text(j);
}

std::string one_setting_csv(const OneSettingCase& c) {
  std::vector<std::string> heading{"load",    "frequency_hz", "load_r_ohm",    "load_x_ohm", "radiated_share", "swr",
                                   "loss_db", "worst_swr",    "worst_loss_db", "holds",      "bound_db"};
  constexpr std::size_t parts = 2;
  for (std::size_t n = 1; n <= parts; ++n) {
    for (const char* what : {"place", "kind", "value"}) heading.push_back(fmt::format("part{}_{}", n, what));
  }
  std::string text = csv_row(heading);
  for (std::size_t n = 0; n < c.loads.size(); ++n) {
    const match::ConditionSetting& s = c.found.conditions[n];
    for (std::size_t f = 0; f < c.frequency_hz.size(); ++f) {
      const cdouble z = c.job.loads[n].z_ohm[f];
      std::vector<std::string> row{csv_text(s.condition),
                                   csv_number(c.frequency_hz[f]),
                                   csv_number(z.real()),
                                   csv_number(z.imag()),
                                   c.to_far_field ? csv_number(c.job.loads[n].radiated_share[f]) : "",
                                   csv_number(s.swr[f]),
                                   csv_number(s.loss_db[f]),
                                   csv_number(c.found.worst_swr),
                                   csv_number(c.found.worst_loss_db),
                                   c.found.status == match::SettingStatus::holds ? "true" : "false",
                                   csv_number(c.found.proof.bound_db)};
      for (const network::Element& e : c.ladder.elements) {
        row.push_back(network::place_name(e.place));
        row.push_back(network::kind_name(e.part));
        row.push_back(csv_number(network::value_si(e.part)));
      }
      row.resize(heading.size());
      text += csv_row(row);
    }
  }
  return text + cautions_csv(c.cautions);
}

std::string one_setting_text(const OneSettingCase& c) {
  std::string text =
      wrapped(fmt::format("One setting for {} load{}, {} from {}; SWR limit {}; {}", c.loads.size(),
                          c.loads.size() == 1 ? "" : "s", print_quantity(c.job.source.power_w, Unit::watt),
                          impedance_text(c.job.source.z_ohm), figure(c.job.swr_limit), steps_text(c)),
              0, 112);
  text += "\nFrom transmitter to load: " + match::describe(c.ladder) + "\n\n";
  std::vector<std::vector<std::string>> rows{{"Load", "Frequency", "SWR", "Loss, dB"}};
  if (c.to_far_field) rows.front().insert(rows.front().begin() + 2, "Radiated share");
  for (std::size_t n = 0; n < c.loads.size(); ++n) {
    const match::ConditionSetting& s = c.found.conditions[n];
    for (std::size_t f = 0; f < c.frequency_hz.size(); ++f) {
      std::vector<std::string> row{
          s.condition, stated_frequency(c.frequency_hz[f]), figure(s.swr[f]),
          figure(s.loss_db[f]) + (f == worst_point(s) && s.worst_loss_db == c.found.worst_loss_db ? "  worst" : "")};
      if (c.to_far_field) row.insert(row.begin() + 2, figure(c.job.loads[n].radiated_share[f]));
      rows.push_back(std::move(row));
    }
  }
  text += aligned(rows) + "\n";
  std::vector<std::vector<std::string>> parts{{"Part", "Most voltage, peak", "Most current, rms", "Most heat"}};
  for (std::size_t n = 0; n < c.ladder.elements.size(); ++n) {
    const network::Element& e = c.ladder.elements[n];
    parts.push_back({e.label + " " + network::value_text(e.part),
                     print_quantity(c.stresses[n].voltage_v_peak.value, Unit::volt),
                     print_quantity(c.stresses[n].current_a_rms.value, Unit::ampere),
                     print_quantity(c.stresses[n].dissipation_w.value, Unit::watt)});
  }
  if (parts.size() > 1) text += aligned(parts) + "\n";
  text +=
      wrapped(fmt::format("Worst SWR {}, worst loss {} dB {}. No other setting of these parts loses less than {} dB at "
                          "worst{}: {}; {} were evaluated.",
                          figure(c.found.worst_swr), figure(c.found.worst_loss_db), loss_name(c),
                          figure(c.found.proof.bound_db), c.why.empty() ? " within the SWR limit" : "",
                          c.found.proof.how, c.found.proof.tried),
              0, 112);
  if (!c.why.empty()) text += wrapped(c.why, 0, 112);
  return text + "\n" + cautions_in_short(c.cautions);
}

plots::Chart one_setting_chart(const OneSettingCase& c) {
  if (c.loads.size() > most_drawn)
    throw UsageError(fmt::format("--chart shows at most {} loads, not {}", most_drawn, c.loads.size()));
  const double reference_ohm = c.job.source.z_ohm.real();
  std::vector<plots::SmithPath> paths;
  for (std::size_t n = 0; n < c.loads.size(); ++n) {
    const match::ConditionSetting& s = c.found.conditions[n];
    const std::size_t f = worst_point(s);
    const cdouble z = c.job.loads[n].z_ohm[f];
    const std::string name = std::holds_alternative<load::ConstantLoad>(c.loads[n].model) ? "" : s.condition + ", ";
    paths.push_back({fmt::format("{}{}, loss {} dB {}", name, stated_frequency(c.frequency_hz[f]), figure(s.loss_db[f]),
                                 loss_name(c)),
                     z, plots::match_path(c.ladder, c.frequency_hz[f], z, reference_ohm)});
  }
  return plots::smith_chart(
      paths, {reference_ohm, c.job.swr_limit},
      {"One setting: " + match::describe(c.ladder),
       "Each load where it loses most. Computed by " + version_text("stile-match") + chart_caution});
}

}  // namespace stile::tools

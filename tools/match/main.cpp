// stile-match: finds the element values that match a load.

#include <algorithm>
#include <cctype>
#include <cmath>
#include <limits>
#include <optional>

#include <fmt/core.h>

#include <stile/match/bode_fano.hpp>
#include <stile/match/match.hpp>
#include <stile/match/tolerance.hpp>
#include <stile/network/one_port.hpp>

#include "cli/cautions.hpp"
#include "cli/chart.hpp"
#include "cli/circuit.hpp"
#include "cli/command_line.hpp"
#include "cli/json.hpp"
#include "cli/output.hpp"
#include "cli/part.hpp"
#include "cli/run.hpp"
#include "cli/table.hpp"

namespace {

using namespace stile;
using namespace stile::tools;

constexpr double nan_value = std::numeric_limits<double>::quiet_NaN();
constexpr int most_count = 10'000'000;

Description describe_tool() {
  Description d;
  d.name = "stile-match";
  d.summary = "finds the coils and capacitors that match a load to the transmitter, losses included, least loss first";
  d.usage = "--frequency F  --load Z | --load-file FILE  [--form l|pi|t] [OPTION]...";
  d.examples =
      "stile-match --form l --frequency 14.2MHz --load 12-230j --inductor-q 200 --capacitor-q 1000\n"
      "stile-match --form pi --frequency 7.1MHz --load 200+50j --loaded-q 4 --series e24 --tolerance 5% --json";
  d.options = {{"--form", "l|pi|t",
                "l: two parts, or fewer where fewer do; pi: shunt, series, shunt; t: series, shunt, series; default l"},
               {"--frequency", "F", "design frequency, Hz, > 0"}};
  for (const Option& option : circuit_options()) d.options.push_back(option);
  for (const Option& option : std::vector<Option>{
           {"--inductor-q", "Q", "Q of the coils, > 0, at every frequency or at --inductor-q-at; default: no loss"},
           {"--inductor-q-at", "F", "frequency of that Q, Hz, > 0; away from it Q goes with the root of frequency"},
           {"--inductor-esr", "R", "fixed resistance in series with each coil, ohm, >= 0; default 0"},
           {"--inductor-srf-capacitance", "C", "self-capacitance of each coil, F, >= 0; default 0"},
           {"--capacitor-q", "Q", "Q of the capacitors, > 0; default: no loss"},
           {"--least-loss", "", "pi and t: the network with the least loss (default)"},
           {"--loaded-q", "N", "pi and t: those with this loaded Q, > 0"},
           {"--end-q", "N", "pi and t: those whose part at the transmitter has this Q against the transmitter, > 0"},
           {"--phase", "DEG",
            "pi and t: those in which the load's current leads the source by this angle, degrees, -180..180"},
           {"--inductance-limits", "FROM:TO", "coils that may be used in pi and t, H; default 10nH:200uH"},
           {"--capacitance-limits", "FROM:TO", "capacitors that may be used in pi and t, F; default 2pF:20nF"},
           {"--swr", "S", "limit for bandwidth, preferred values and yield, > 1; default 2"},
           {"--series", "SERIES", "preferred values for all parts: e3 e6 e12 e24 e48 e96 e192; default: exact values"},
           {"--inductor-series", "SERIES", "the same for coils alone"},
           {"--capacitor-series", "SERIES", "the same for capacitors alone"},
           {"--tolerance", "T", "of all parts, 0..100%: what it does to the match; default: not looked at"},
           {"--inductor-tolerance", "T", "the same for coils alone"},
           {"--capacitor-tolerance", "T", "the same for capacitors alone"},
           {"--samples", "N", "random draws for tolerances, 1..10000000; default 2000"},
           {"--seed", "N", "start value of the draws, 0..10000000; default 1"},
           {"--solution", "N", "the solution that charts show, by its number in the table; default 1"}}) {
    d.options.push_back(option);
  }
  d.notes = "Loss is what the parts turn into heat; a low SWR alone does not mean that power reaches the load. The "
            "band is where\n"
            "the SWR stays under the limit with fixed parts; \"at least\" where the load's data end before. Its share "
            "is that of the\n"
            "widest band that any network without loss could hold (limit of Bode and Fano, from the load's Q); loss "
            "widens a band,\n"
            "so a share above 1 is a sign of loss. With --load the load does not change with frequency, and no share "
            "is given.\n";
  d.charts = true;
  d.rules = {
      one_of({"--load", "--load-file"}),
      only_with({"--inductor-q-at"}, {"--inductor-q"}),
      only_with({"--least-loss", "--loaded-q", "--end-q", "--phase", "--inductance-limits", "--capacitance-limits"},
                {"--form pi", "--form t"}),
      one_of({"--least-loss", "--loaded-q", "--end-q", "--phase"}),
      only_with({"--samples", "--seed"}, {"--tolerance", "--inductor-tolerance", "--capacitor-tolerance"}),
      only_with({"--solution"}, {"--chart"})};
  d.does_not_hold = "nothing matches, or no solution keeps the SWR limit with preferred values (the result is written)";
  return d;
}

/// One solution with what real parts make of it.
struct Result {
  match::MatchSolution solution;
  double share_of_limit = nan_value;  ///< of Bode and Fano's widest band; nan: not known
  std::optional<match::Snapped> preferred;
  std::optional<match::Spread> spread;  ///< of the preferred values when there are some
};

struct Case {
  match::MatchRequest request;
  cdouble z_load_ohm{};
  double load_q = nan_value;  ///< nan: not known
  double widest_band_hz = nan_value;
  std::optional<match::ESeries> inductor_series, capacitor_series;
  std::optional<match::Tolerances> tolerances;
  std::vector<Result> results;
};

std::optional<match::ESeries> read_series(const Arguments& arguments, const std::string& own,
                                          const std::string& common) {
  const std::string option = arguments.has(own) ? own : common;
  std::optional<std::string> name = arguments.text(option);
  if (!name) return std::nullopt;
  std::transform(name->begin(), name->end(), name->begin(),
                 [](unsigned char c) { return static_cast<char>(std::toupper(c)); });
  try {
    return match::e_series_from_name(*name);
  } catch (const DomainError& error) {
    throw ParseError({option, 0, 1}, error.what());
  }
}

std::optional<match::Tolerances> read_tolerances(const Arguments& arguments, double swr_limit) {
  const auto all = arguments.share("--tolerance");
  const auto inductor = arguments.share("--inductor-tolerance"), capacitor = arguments.share("--capacitor-tolerance");
  if (!all && !inductor && !capacitor) return std::nullopt;
  match::Tolerances t;
  t.inductor = inductor.value_or(all.value_or(0.0));
  t.capacitor = capacitor.value_or(all.value_or(0.0));
  t.swr_limit = swr_limit;
  t.samples = arguments.count("--samples", 1, most_count).value_or(t.samples);
  t.seed = static_cast<std::uint64_t>(arguments.count("--seed", 0, most_count).value_or(1));
  return t;
}

match::Form read_form(const Arguments& arguments) {
  const std::string form = arguments.text("--form").value_or("l");
  if (form == "l" || form == "L") return match::Form::l;
  if (form == "pi") return match::Form::pi_network;
  if (form == "t" || form == "T") return match::Form::t;
  throw ParseError({"--form", 0, 1}, fmt::format("no form \"{}\"; legal: l pi t", form));
}

double not_negative(const Arguments& arguments, const std::string& option, Unit unit) {
  const double value = arguments.quantity(option, unit).value_or(0.0);
  if (value < 0.0) throw ParseError({option, 0, 1}, fmt::format("\"{}\": must be >= 0", *arguments.text(option)));
  return value;
}

match::PartStock read_stock(const Arguments& arguments) {
  match::PartStock stock;
  stock.inductor_loss.q = arguments.positive("--inductor-q", Unit::one, network::infinite);
  stock.inductor_loss.q_at_hz = arguments.positive("--inductor-q-at", Unit::hertz, 0.0);
  stock.inductor_loss.series_ohm = not_negative(arguments, "--inductor-esr", Unit::ohm);
  stock.inductor_self_capacitance_f = not_negative(arguments, "--inductor-srf-capacitance", Unit::farad);
  stock.capacitor_loss.q = arguments.positive("--capacitor-q", Unit::one, network::infinite);
  if (const auto text = arguments.text("--inductance-limits")) {
    const Limits limits = read_limits(*text, Unit::henry, "--inductance-limits");
    stock.least_inductance_h = limits.least;
    stock.most_inductance_h = limits.most;
  }
  if (const auto text = arguments.text("--capacitance-limits")) {
    const Limits limits = read_limits(*text, Unit::farad, "--capacitance-limits");
    stock.least_capacitance_f = limits.least;
    stock.most_capacitance_f = limits.most;
  }
  return stock;
}

/// The free choice of a pi or T; an L has none, by the rules.
void read_freedom(const Arguments& arguments, match::MatchRequest& request) {
  const auto choose = [&](match::Freedom freedom, const std::optional<double>& value) {
    if (!value) return;
    request.freedom = freedom;
    request.freedom_value = *value;
  };
  const auto phase = arguments.quantity("--phase", Unit::one);
  if (phase && std::abs(*phase) > 180.0) {
    throw ParseError({"--phase", 0, 1},
                     fmt::format("\"{}\": out of range; legal: degrees, -180..180", *arguments.text("--phase")));
  }
  choose(match::Freedom::loaded_q, arguments.positive("--loaded-q", Unit::one));
  choose(match::Freedom::end_q, arguments.positive("--end-q", Unit::one));
  choose(match::Freedom::phase, phase);
}

match::MatchRequest read_request(const Arguments& arguments) {
  match::MatchRequest request;
  request.form = read_form(arguments);
  const auto frequency = arguments.positive("--frequency", Unit::hertz);
  if (!frequency) throw UsageError("no frequency is given; legal: --frequency 14.2MHz");
  request.frequency_hz = *frequency;
  request.source = read_source(arguments);
  request.stock = read_stock(arguments);
  request.swr_limit = read_swr_limit(arguments);
  read_freedom(arguments, request);
  request.load = read_load(arguments);
  return request;
}

bool constant(const load::Load& load) { return std::holds_alternative<load::ConstantLoad>(load.model); }

/// Q of the load and the limit that follows; both stay unknown for a resistance, and for one sample alone.
void find_limit(Case& c) {
  try {
    c.load_q = load::load_q(c.request.load, c.request.frequency_hz);
    if (c.load_q > 0.0)
      c.widest_band_hz = match::bode_fano_bandwidth_hz(c.load_q, c.request.frequency_hz, c.request.swr_limit);
  } catch (const DomainError&) {
    c.load_q = c.widest_band_hz = nan_value;
  }
}

std::vector<Result> find_results(const Case& c) {
  std::vector<Result> results;
  const match::MatchRequest& r = c.request;
  for (match::MatchSolution& solution : match::solve_match(r)) {
    Result result{std::move(solution), nan_value, {}, {}};
    if (!constant(r.load)) result.share_of_limit = result.solution.bandwidth.width_hz() / c.widest_band_hz;
    if (c.inductor_series || c.capacitor_series) {
      result.preferred = match::snap_to_series(result.solution.ladder, r.source, r.frequency_hz, c.z_load_ohm,
                                               c.inductor_series, c.capacitor_series);
    }
    if (c.tolerances) {
      const network::Ladder& built = result.preferred ? result.preferred->ladder : result.solution.ladder;
      result.spread = match::tolerance_spread(built, r.source, r.frequency_hz, c.z_load_ohm, *c.tolerances);
    }
    results.push_back(std::move(result));
  }
  return results;
}

/// Why there is no solution: which losses exclude it, if any.
std::string why_nothing(const Case& c) {
  if (c.z_load_ohm.real() <= 0.0) return "nothing matches: the load has no resistance, so no power can reach it";
  const auto count = [&](bool coils, bool capacitors) {
    match::MatchRequest trial = c.request;
    if (!coils) trial.stock.inductor_loss = {};
    if (!capacitors) trial.stock.capacitor_loss = {};
    return match::solve_match(trial).size();
  };
  if (const auto n = count(false, true))
    return fmt::format("nothing matches: the coils' losses exclude all of the {} networks there were without them", n);
  if (const auto n = count(true, false))
    return fmt::format("nothing matches: the capacitors' losses exclude all of the {} networks there were without them",
                       n);
  if (const auto n = count(false, false))
    return fmt::format(
        "nothing matches: the losses of coils and capacitors exclude all of the {} networks there were without them",
        n);
  if (c.request.form == match::Form::l) return "nothing matches: no two parts or fewer do, even without losses";
  return "nothing matches within the limits of the parts and the free choice, even without losses; "
         "wider --inductance-limits or --capacitance-limits, or --least-loss, may";
}

/// Empty when all holds.
std::string reason(const Case& c) {
  if (c.results.empty()) return why_nothing(c);
  const auto keeps = [&](const Result& r) {
    return !r.preferred || r.preferred->evaluation.swr <= c.request.swr_limit;
  };
  if (std::any_of(c.results.begin(), c.results.end(), keeps)) return "";
  const auto best = std::min_element(c.results.begin(), c.results.end(), [](const Result& a, const Result& b) {
    return a.preferred->evaluation.swr < b.preferred->evaluation.swr;
  });
  return fmt::format("with preferred values no solution keeps SWR {}; the least is {}", figure(c.request.swr_limit),
                     figure(best->preferred->evaluation.swr));
}

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

Json json_result(const Result& r) {
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
  j["share_of_widest_band"] = r.share_of_limit;
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

std::string write_json(const Case& c, const std::string& why, const std::vector<safety::Caution>& caution_list) {
  Json solutions = Json::array();
  for (const Result& r : c.results) solutions.push_back(json_result(r));
  Json j;
  j["tool"] = "stile-match";
  j["version"] = version();
  j["frequency_hz"] = c.request.frequency_hz;
  j["source"] = {{"impedance_ohm", json_complex(c.request.source.z_ohm)}, {"power_w", c.request.source.power_w}};
  j["load"] = load_text(c.request.load);
  j["load_ohm"] = json_complex(c.z_load_ohm);
  j["load_q"] = c.load_q;
  j["swr_limit"] = c.request.swr_limit;
  j["widest_lossless_band_hz"] = c.widest_band_hz;
  j["solutions"] = std::move(solutions);
  j["why"] = why;
  j["warnings"] = load::load_warnings(c.request.load);
  j["cautions"] = cautions_json(caution_list);
  return json_text(j);
}

double worst_at_one_percent(const match::MatchSolution& s) {
  double worst = s.evaluation.swr;
  for (const double swr : s.swr_at_one_percent) worst = std::max(worst, swr);
  return worst;
}

double highest(const network::Evaluation& e, double network::Stress::*member) {
  double value = 0.0;
  for (const network::Stress& s : e.elements) value = std::max(value, s.*member);
  return value;
}

std::string write_csv(const Case& c, const std::vector<safety::Caution>& caution_list) {
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
  for (std::size_t n = 0; n < c.results.size(); ++n) {
    const Result& r = c.results[n];
    const match::MatchSolution& s = r.solution;
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
                                 csv_number(highest(s.evaluation, &network::Stress::voltage_v_peak)),
                                 csv_number(highest(s.evaluation, &network::Stress::current_a_rms)),
                                 csv_number(worst_at_one_percent(s)),
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
  return text + cautions_csv(caution_list);
}

std::string band_text(const match::Bandwidth& band) {
  const bool cut = band.low_is_data_edge || band.high_is_data_edge;
  return (cut ? "at least " : "") + print_quantity(band.width_hz(), Unit::hertz);
}

std::string share_text(const Result& r) {
  const match::Bandwidth& band = r.solution.bandwidth;
  return (!std::isnan(r.share_of_limit) && (band.low_is_data_edge || band.high_is_data_edge) ? ">= " : "") +
         figure(r.share_of_limit);
}

std::string quality_text(double q) { return std::isinf(q) ? "without loss" : "Q " + figure(q); }

std::string solutions_text(const Case& c) {
  std::vector<std::vector<std::string>> rows{{"No", "Loss, dB", "Delivered", "SWR", "Loaded Q", "Band", "Share",
                                              "SWR 1 % off", "Phase, deg", "Voltage, peak", "Current, rms", "Network"}};
  for (std::size_t n = 0; n < c.results.size(); ++n) {
    const match::MatchSolution& s = c.results[n].solution;
    const network::Evaluation& e = s.evaluation;
    rows.push_back(
        {std::to_string(n + 1), figure(e.loss.dissipation_db), print_quantity(e.power.delivered_w, Unit::watt),
         figure(e.swr), figure(e.loaded_q), band_text(s.bandwidth), share_text(c.results[n]),
         figure(worst_at_one_percent(s)), figure(s.phase_deg),
         print_quantity(highest(e, &network::Stress::voltage_v_peak), Unit::volt),
         print_quantity(highest(e, &network::Stress::current_a_rms), Unit::ampere),
         match::describe(s.ladder) + (s.status == match::MatchStatus::at_limit ? " (at a limit of the parts)" : "")});
  }
  return aligned(rows);
}

std::string real_parts_text(const Case& c) {
  if (!c.tolerances && !c.inductor_series && !c.capacitor_series) return "";
  std::vector<std::vector<std::string>> rows{{"No"}};
  const bool preferred = c.inductor_series || c.capacitor_series;
  if (preferred) rows.front().insert(rows.front().end(), {"SWR", "Loss, dB"});
  if (c.tolerances)
    rows.front().insert(rows.front().end(),
                        {"Median SWR", "95 % below", "Worst SWR", "Worst loss, dB", "Within the limit"});
  if (preferred) rows.front().emplace_back("Preferred values");
  for (std::size_t n = 0; n < c.results.size(); ++n) {
    const Result& r = c.results[n];
    std::vector<std::string> row{std::to_string(n + 1)};
    if (preferred)
      row.insert(row.end(), {figure(r.preferred->evaluation.swr), figure(r.preferred->evaluation.loss.dissipation_db)});
    if (c.tolerances) {
      row.insert(row.end(), {figure(r.spread->median_swr), figure(r.spread->swr_95), figure(r.spread->worst_swr),
                             figure(r.spread->worst_dissipation_db), figure(100.0 * r.spread->yield) + " %"});
    }
    if (preferred) row.push_back(match::describe(r.preferred->ladder));
    rows.push_back(row);
  }
  return "\nWith real parts\n" + aligned(rows);
}

std::string limit_text(const Case& c) {
  if (std::isnan(c.widest_band_hz)) return "";
  std::string text = fmt::format("Load Q {}: no network without loss keeps SWR {} over more than {}.", figure(c.load_q),
                                 figure(c.request.swr_limit), print_quantity(c.widest_band_hz, Unit::hertz));
  if (constant(c.request.load))
    text += " Taken from |X|/R: bands below are those of a load that does not change, and have no share of it.";
  return wrapped(text, 0, 112) + "\n";
}

std::string write_text(const Case& c, const std::string& why, const std::vector<safety::Caution>& caution_list) {
  const match::MatchRequest& r = c.request;
  std::string text =
      fmt::format("{} from {} into {} at {}", print_quantity(r.source.power_w, Unit::watt),
                  impedance_text(r.source.z_ohm), load_text(r.load), print_quantity(r.frequency_hz, Unit::hertz, 7));
  if (!constant(r.load)) text += ": " + print_impedance(c.z_load_ohm) + " ohm";
  text += "; coils " + quality_text(r.stock.inductor_loss.q) + ", capacitors " +
          quality_text(r.stock.capacitor_loss.q) + "\n\n";
  text += limit_text(c);
  if (!c.results.empty()) text += solutions_text(c) + real_parts_text(c);
  if (!why.empty()) text += wrapped(why, 0, 112);
  return text + "\n" + cautions_text(caution_list);
}

/// The way through one solution: what would be built, so with preferred values where they are asked for.
void draw(const Case& c, std::size_t solution, const Description& description, const Arguments& arguments,
          Outputs& outputs) {
  const std::vector<std::string> files = chart_files(arguments);
  if (files.empty() || c.results.empty()) return;
  const Result& r = c.results[solution - 1];
  const network::Ladder& ladder = r.preferred ? r.preferred->ladder : r.solution.ladder;
  const network::Evaluation& evaluation = r.preferred ? r.preferred->evaluation : r.solution.evaluation;
  add_chart(
      path_chart("stile-match", ladder, c.request.source, evaluation, c.request.swr_limit, load_text(c.request.load)),
      files, description, arguments, outputs);
}

/// What is stated for all parts and again for each kind would be ignored. @throws UsageError
void check_common(const Arguments& arguments) {
  for (const std::string name : {"series", "tolerance"}) {
    if (arguments.has("--" + name) && arguments.has("--inductor-" + name) && arguments.has("--capacitor-" + name))
      throw UsageError(
          fmt::format("--{0} is of no part beside --inductor-{0} and --capacitor-{0}; legal: two of them", name));
  }
}

std::string run(const Description& description, const Arguments& arguments) {
  check_common(arguments);
  const Format format = arguments.format();
  chart_files(arguments);  // a wrong one is told before the work
  const auto solution = static_cast<std::size_t>(arguments.count("--solution", 1, most_count).value_or(1));
  Case c;
  c.request = read_request(arguments);
  c.inductor_series = read_series(arguments, "--inductor-series", "--series");
  c.capacitor_series = read_series(arguments, "--capacitor-series", "--series");
  c.tolerances = read_tolerances(arguments, c.request.swr_limit);
  c.z_load_ohm = load_at(c.request.load, c.request.frequency_hz, "--frequency");
  find_limit(c);
  c.results = find_results(c);
  if (solution > c.results.size() && !c.results.empty()) {
    throw UsageError(fmt::format("--solution {}: there is no such solution; legal: 1..{}", solution, c.results.size()));
  }
  for (const std::string& warning : load::load_warnings(c.request.load)) warn(description, arguments, warning);

  std::string why = reason(c);
  std::vector<network::Evaluation> evaluations;
  for (const Result& r : c.results) evaluations.push_back(r.solution.evaluation);
  const std::vector<safety::Caution> caution_list = cautions_of(evaluations);
  Outputs outputs;
  outputs.add(arguments.output(), format == Format::json  ? write_json(c, why, caution_list)
                                  : format == Format::csv ? write_csv(c, caution_list)
                                                          : write_text(c, why, caution_list));
  draw(c, solution, description, arguments, outputs);
  outputs.commit();
  return why;
}

}  // namespace

int main(int argc, char** argv) {
  const Description description = describe_tool();
  return run_tool(description, argc, argv, [&](const Arguments& arguments) { return run(description, arguments); });
}

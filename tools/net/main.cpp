// stile-net: evaluates a network between transmitter and load.

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <optional>
#include <set>

#include <fmt/core.h>

#include <stile/load/touchstone_write.hpp>
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

Description describe_tool() {
  Description d;
  d.name = "stile-net";
  d.summary = "evaluates a network between transmitter and load: impedance, where each watt goes, stress of each part";
  d.usage = "--frequency F | --sweep FROM:TO:POINTS  --load Z | --load-file FILE  [PART]... [OPTION]...";
  d.examples = "stile-net --frequency 14.2MHz --load 12-230j --series L=3.2uH,Q=200 --shunt C=300pF,Q=1000,V=500V\n"
               "stile-net --sweep 7MHz:7.2MHz:21 --load 20-300j --line RG-58,2m --touchstone - | \\\n"
               "  stile-net --frequency 7.1MHz --load-file - --series L=5uH,Q=200 --json";
  d.options = {{"--frequency", "F", "frequency, Hz, > 0"},
               {"--sweep", "FROM:TO:POINTS",
                "frequencies at even steps, both ends included, 2..100000 points; --frequency is added to them"}};
  for (const Option& option : circuit_options()) d.options.push_back(option);
  for (const Option& option : std::vector<Option>{
           {"--series", "PART", "a part in series; parts of all kinds in order from transmitter to load", true},
           {"--shunt", "PART", "a part across", true},
           {"--line", "LINE", "a length of line", true},
           {"--transformer", "N:M", "an ideal transformer", true},
           {"--swr", "S",
            "SWR limit, > 1: a higher SWR at the transmitter ends with status 1; default: none, 2 in charts"},
           {"--touchstone", "FILE",
            "write the input impedance as a one-port Touchstone file; - writes it to standard output, "
            "and the result only with -o",
            false, true}}) {
    d.options.push_back(option);
  }
  d.notes = std::string(part_notes) + "Powers are key down. SWR and reflection are those against the transmitter's "
                                      "impedance. Harmonics: how much weaker\n"
                                      "they arrive in the load than the fundamental does, from a source of the same "
                                      "impedance; with --load the load is taken\n"
                                      "to be the same there, with --load-file they are given where the file reaches.\n";
  d.charts = true;
  d.rules = {one_of({"--load", "--load-file"})};
  d.does_not_hold = "a part carries more than its stated rating, or the SWR exceeds --swr (the result is written)";
  return d;
}

/// What is asked for, and what came out.
struct Case {
  network::Ladder ladder;
  network::Source source;
  load::Load load;
  std::vector<double> frequency_hz;
  std::vector<network::Evaluation> points;  ///< harmonics are empty where the load is not known
};

network::Ladder read_ladder(const Arguments& arguments) {
  network::Ladder ladder;
  for (const auto& [option, text] : arguments.in_order()) {
    if (option == "--series") ladder.elements.push_back(read_part(text, network::Place::series, option));
    if (option == "--shunt") ladder.elements.push_back(read_part(text, network::Place::shunt, option));
    if (option == "--line") ladder.elements.push_back(read_line(text, option));
    if (option == "--transformer") ladder.elements.push_back(read_transformer(text, option));
  }
  name_parts(ladder);
  std::set<std::string> labels;
  for (const network::Element& element : ladder.elements) {
    if (!labels.insert(element.label).second) {
      throw UsageError("two parts are called \"" + element.label + "\"; legal: a label of its own for each part");
    }
  }
  return ladder;
}

std::vector<double> read_frequencies(const Arguments& arguments) {
  const auto single = arguments.positive("--frequency", Unit::hertz);
  const auto sweep = arguments.text("--sweep");
  if (!single && !sweep)
    throw UsageError("no frequency is given; legal: --frequency 14.2MHz or --sweep 14MHz:14.35MHz:36");
  std::vector<double> all;
  if (sweep) all = read_sweep(*sweep, "--sweep");
  if (single) {
    const auto place = std::lower_bound(all.begin(), all.end(), *single);
    if (place == all.end() || *place != *single) all.insert(place, *single);
  }
  return all;
}

/// Loads at a harmonic; where none is known the fundamental's stands in, to be left out afterwards.
std::vector<cdouble> harmonic_loads(const Case& c, double multiple, const std::vector<cdouble>& z_ohm) {
  std::vector<cdouble> loads = z_ohm;
  bool any = false;
  for (std::size_t n = 0; n < loads.size(); ++n) {
    const double f = multiple * c.frequency_hz[n];
    if (!load::load_covers(c.load, f)) continue;
    loads[n] = load::load_impedance(c.load, f);
    any = true;
  }
  return any ? loads : std::vector<cdouble>{};
}

std::vector<network::Evaluation> evaluate_case(const Case& c, const std::optional<double>& single_hz) {
  network::LoadSamples samples;
  samples.frequency_hz = c.frequency_hz;
  samples.z_ohm.reserve(c.frequency_hz.size());
  for (const double f : c.frequency_hz)
    samples.z_ohm.push_back(load_at(c.load, f, f == single_hz ? "--frequency" : "--sweep"));
  samples.z_second_ohm = harmonic_loads(c, 2.0, samples.z_ohm);
  samples.z_third_ohm = harmonic_loads(c, 3.0, samples.z_ohm);
  std::vector<network::Evaluation> points;
  points.reserve(c.frequency_hz.size());
  network::visit_sweep(c.ladder, c.source, samples, [&](const network::SweepRows& rows) {
    for (std::size_t k = 0; k < rows.count; ++k) {
      network::Evaluation& e = points.emplace_back(rows.at(k));
      if (!load::load_covers(c.load, 2.0 * e.frequency_hz)) e.second_harmonic_db.reset();
      if (!load::load_covers(c.load, 3.0 * e.frequency_hz)) e.third_harmonic_db.reset();
    }
  });
  return points;
}

/// The worst break of each part's ratings over all points, with the frequency.
struct Broken {
  double frequency_hz = 0.0;
  network::Overload overload;
};

std::vector<Broken> broken_ratings(const Case& c) {
  std::map<std::size_t, Broken> worst;
  for (const network::Evaluation& e : c.points) {
    for (const network::Overload& o : network::overloads(c.ladder, e)) {
      Broken& known = worst[o.element];
      if (o.factor > known.overload.factor) known = {e.frequency_hz, o};
    }
  }
  std::vector<Broken> all;
  all.reserve(worst.size());
  for (const auto& [element, broken] : worst) all.push_back(broken);
  std::stable_sort(all.begin(), all.end(),
                   [](const Broken& a, const Broken& b) { return a.overload.factor > b.overload.factor; });
  return all;
}

std::string broken_text(const std::vector<Broken>& broken) {
  std::string text;
  for (const Broken& b : broken) {
    text += (text.empty() ? "" : "; ") + b.overload.what + " at " + print_quantity(b.frequency_hz, Unit::hertz, 6);
  }
  return text;
}

/// The highest SWR when it is over the limit, otherwise nothing.
std::string over_limit(const Case& c, double swr_limit) {
  const network::Evaluation& worst =
      *std::max_element(c.points.begin(), c.points.end(),
                        [](const network::Evaluation& a, const network::Evaluation& b) { return a.swr < b.swr; });
  if (worst.swr <= swr_limit) return "";
  return fmt::format("SWR {} at {}, limit {}", figure(worst.swr), print_quantity(worst.frequency_hz, Unit::hertz, 6),
                     figure(swr_limit));
}

const char* harmonic_assumption(const load::Load& load) {
  return std::holds_alternative<load::ConstantLoad>(load.model)
             ? "load and source taken to be the same at the harmonic as at the fundamental"
             : "load from its file; source taken to be the same as at the fundamental";
}

double known(const std::optional<double>& value) { return value.value_or(std::numeric_limits<double>::quiet_NaN()); }

Json json_point(const Case& c, const network::Evaluation& e) {
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

Pieces write_json(const Case& c, const std::vector<Broken>& broken, const std::vector<safety::Caution>& caution_list) {
  Json overload_list = Json::array();
  for (const Broken& b : broken) {
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
  j["cautions"] = cautions_json(caution_list);
  return json_pieces(j, "points", c.points.size(), [&c](std::size_t n) { return json_point(c, c.points[n]); });
}

std::string write_csv(const Case& c, const std::vector<safety::Caution>& caution_list) {
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
  return text + cautions_csv(caution_list);
}

std::string percent(double part, double whole) { return figure(100.0 * part / whole) + " %"; }

std::string results_text(const Case& c, const network::Evaluation& e) {
  const auto harmonic = [&](const char* name, const std::optional<double>& db) -> std::vector<std::string> {
    if (!db) return {name, "not known: the load's data do not reach it"};
    return {name, figure(std::abs(*db)) + (*db >= 0.0 ? " dB weaker" : " dB stronger") + " than the fundamental (" +
                      harmonic_assumption(c.load) + ")"};
  };
  return aligned(
      {{"Input impedance", print_impedance(e.z_input_ohm) + " ohm"},
       {"Reflection", figure(std::abs(e.reflection)) + " at " +
                          figure(std::arg(e.reflection) * 180.0 / std::acos(-1.0)) + " degrees"},
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

std::string parts_text(const Case& c, const network::Evaluation& e) {
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

std::string sweep_text(const Case& c) {
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
  for (std::size_t n = 0; n < c.ladder.elements.size(); ++n) {
    const auto highest = [&](double network::Stress::*member, Unit unit) {
      const auto by = [&](const network::Evaluation& a, const network::Evaluation& b) {
        return a.elements[n].*member < b.elements[n].*member;
      };
      const network::Evaluation& e = *std::max_element(c.points.begin(), c.points.end(), by);
      return print_quantity(e.elements[n].*member, unit) + " at " + print_quantity(e.frequency_hz, Unit::hertz, 6);
    };
    const network::Element& element = c.ladder.elements[n];
    rows.push_back({element.label, network::place_name(element.place), network::kind_name(element.part),
                    network::value_text(element.part), highest(&network::Stress::current_a_rms, Unit::ampere),
                    highest(&network::Stress::voltage_v_peak, Unit::volt),
                    highest(&network::Stress::dissipation_w, Unit::watt)});
  }
  return text + "\nHighest of the sweep\n" + aligned(rows);
}

std::string write_text(const Case& c, const std::vector<Broken>& broken,
                       const std::vector<safety::Caution>& caution_list) {
  std::string text = fmt::format("{} from {} into {}", print_quantity(c.source.power_w, Unit::watt),
                                 impedance_text(c.source.z_ohm), load_text(c.load));
  if (c.points.size() == 1) {
    const network::Evaluation& e = c.points.front();
    text += " at " + print_quantity(e.frequency_hz, Unit::hertz, 7);
    if (!std::holds_alternative<load::ConstantLoad>(c.load.model))
      text += ": " + print_impedance(e.z_load_ohm) + " ohm";
    text += "\n\n" + results_text(c, e);
    if (!c.ladder.elements.empty()) text += "\n" + parts_text(c, e);
  } else {
    text += "\n\n" + sweep_text(c);
  }
  if (!broken.empty()) text += "\nOver the rating: " + broken_text(broken) + "\n";
  return text + "\n" + cautions_text(caution_list);
}

std::string write_touchstone(const Case& c, const std::vector<safety::Caution>& caution_list) {
  std::vector<load::OnePortPoint> points;
  for (const network::Evaluation& e : c.points) points.push_back({e.frequency_hz, e.z_input_ohm});
  std::vector<std::string> comments{version_text("stile-net") + ": input impedance of a network"};
  for (const std::string& line : caution_lines(caution_list)) comments.push_back(line);
  return load::write_touchstone_1port(points, {load::TouchstoneKind::z, 50.0}, comments);
}

/// One frequency: the way through the network; a sweep: the SWR along it.
void draw(const Case& c, double swr_limit, const Description& description, const Arguments& arguments,
          Outputs& outputs) {
  const std::vector<std::string> files = chart_files(arguments);
  if (files.empty()) return;
  add_chart(c.points.size() == 1
                ? path_chart("stile-net", c.ladder, c.source, c.points.front(), swr_limit, load_text(c.load))
                : sweep_chart("stile-net", c.ladder, c.source, c.points, swr_limit, load_text(c.load)),
            files, description, arguments, outputs);
}

std::string run(const Description& description, const Arguments& arguments) {
  const Format format = arguments.format();
  chart_files(arguments);  // a wrong one is told before the work
  const double swr_limit = read_swr_limit(arguments);
  const auto touchstone = arguments.text("--touchstone");
  const auto result = arguments.result_output();
  Case c{read_ladder(arguments), read_source(arguments), {}, read_frequencies(arguments), {}};
  c.load = read_load(arguments);
  c.points = evaluate_case(c, arguments.positive("--frequency", Unit::hertz));
  for (const std::string& warning : load::load_warnings(c.load)) warn(description, arguments, warning);

  const std::vector<Broken> broken = broken_ratings(c);
  const std::vector<safety::Caution> caution_list = cautions_of(c.points);
  Outputs outputs;
  if (touchstone) outputs.add(*touchstone, write_touchstone(c, caution_list));
  if (result) {
    if (format == Format::json) {
      outputs.add(*result, write_json(c, broken, caution_list));
    } else {
      outputs.add(*result, format == Format::csv ? write_csv(c, caution_list) : write_text(c, broken, caution_list));
    }
  }
  draw(c, swr_limit, description, arguments, outputs);
  outputs.commit();
  std::string reason = broken_text(broken);
  if (arguments.has("--swr")) {
    const std::string over = over_limit(c, swr_limit);
    if (!reason.empty() && !over.empty()) reason += "; ";
    reason += over;
  }
  return reason;
}

}  // namespace

int main(int argc, char** argv) {
  const Description description = describe_tool();
  return run_tool(description, argc, argv, [&](const Arguments& arguments) { return run(description, arguments); });
}

// stile-net: evaluates a network between transmitter and load.

#include <algorithm>
#include <optional>
#include <set>

#include <stile/load/load_sweep.hpp>
#include <stile/network/sweep_ratings.hpp>

#include "cli/chart.hpp"
#include "cli/circuit.hpp"
#include "cli/command_line.hpp"
#include "cli/output.hpp"
#include "cli/part.hpp"
#include "cli/run.hpp"
#include "net/charts.hpp"
#include "net/report.hpp"

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

/// @throws ParseError  a frequency without data, with the option that gave it
NetCase evaluate_case(const Arguments& arguments) {
  NetCase c;
  c.ladder = read_ladder(arguments);
  c.source = read_source(arguments);
  c.frequency_hz = given_frequencies(arguments);
  c.load = read_load(arguments);
  const auto single_hz = arguments.positive("--frequency", Unit::hertz);
  for (const double f : c.frequency_hz) load_at(c.load, f, f == single_hz ? "--frequency" : "--sweep");
  c.points = load::evaluate_into_load(c.ladder, c.source, c.load, c.frequency_hz);
  c.broken = network::sweep_overloads(c.ladder, c.points);
  c.cautions = cautions_of(c.points);
  return c;
}

std::string run(const Description& description, const Arguments& arguments) {
  const Format format = arguments.format();
  const std::vector<std::string> charts = chart_files(arguments);  // a wrong one is told before the work
  const double swr_limit = read_swr_limit(arguments);
  const auto touchstone = arguments.text("--touchstone");
  const auto result = arguments.result_output();
  const NetCase c = evaluate_case(arguments);
  for (const std::string& warning : load::load_warnings(c.load)) warn(description, arguments, warning);

  Outputs outputs;
  if (touchstone) outputs.add(*touchstone, net_touchstone(c));
  if (result) {
    if (format == Format::json) {
      outputs.add(*result, net_json(c));
    } else {
      outputs.add(*result, format == Format::csv ? net_csv(c) : net_text(c));
    }
  }
  if (!charts.empty()) add_chart(net_chart(c, swr_limit), charts, description, arguments, outputs);
  outputs.commit();
  return net_reason(c, arguments.has("--swr") ? std::optional(swr_limit) : std::nullopt);
}

}  // namespace

int main(int argc, char** argv) {
  const Description description = describe_tool();
  return run_tool(description, argc, argv, [&](const Arguments& arguments) { return run(description, arguments); });
}

// stile-match: finds the element values that match a load.

#include <cmath>
#include <optional>

#include <fmt/core.h>

#include "cli/chart.hpp"
#include "cli/circuit.hpp"
#include "cli/command_line.hpp"
#include "cli/output.hpp"
#include "cli/part.hpp"
#include "cli/run.hpp"
#include "match/charts.hpp"
#include "match/one_setting.hpp"
#include "match/options.hpp"
#include "match/report.hpp"

namespace {

using namespace stile;
using namespace stile::tools;

constexpr int most_count = 10'000'000;

constexpr const char* series_words = "e3|e6|e12|e24|e48|e96|e192";

Description describe_tool() {
  Description d;
  d.name = "stile-match";
  d.summary =
      "finds the coils and capacitors that match a load to the transmitter, or one setting that serves many loads";
  d.usage = "--frequency F  --load Z | --load-file FILE  [--form l|pi|t | --one-setting] [OPTION]...";
  d.examples =
      "stile-match --form l --frequency 14.2MHz --load 12-230j --inductor-q 200 --capacitor-q 1000\n"
      "stile-match --frequency 7.1MHz --load 26-375j --load 38-343j --one-setting --series e24 --inductor-q 200 --json";
  d.options = {
      {"--form", "l|pi|t",
       "l: two parts, or fewer where fewer do; pi: shunt, series, shunt; t: series, shunt, series; default l"},
      {"--one-setting", "",
       "one set of parts for all loads: of those within --swr at every load the one that loses least at worst; of two "
       "parts or fewer; --load, --load-file and --frequency may be repeated"},
      {"--radiated-share", "S",
       "share of the power into a load that it radiates, above 0 up to 100%, once a load or once for all: losses are "
       "then those to the far field; default: the shares of the load's file, else losses into the load",
       true},
      {"--frequency", "F", "design frequency, Hz, > 0", true}};
  for (Option option : circuit_options()) {
    if (option.name == "--load" || option.name == "--load-file") option.repeatable = true;  // with --one-setting
    d.options.push_back(option);
  }
  for (const Option& option : std::vector<Option>{
           {"--inductor-q", "Q", "Q of the coils, > 0, at every frequency or at --inductor-q-at; default: no loss"},
           {"--inductor-q-at", "F", "frequency of that Q, Hz, > 0; away from it Q goes with the root of frequency"},
           {"--inductor-esr", "R", "fixed resistance in series with each coil, ohm, >= 0; default 0"},
           {"--inductor-srf-capacitance", "C",
            "self-capacitance of each coil, F, >= 0; default 0, with --one-setting 2pF"},
           {"--capacitor-q", "Q", "Q of the capacitors, > 0; default: no loss"},
           {"--least-loss", "", "pi and t: the network with the least loss (default)"},
           {"--loaded-q", "N", "pi and t: those with this loaded Q, > 0"},
           {"--end-q", "N", "pi and t: those whose part at the transmitter has this Q against the transmitter, > 0"},
           {"--phase", "DEG",
            "pi and t: those in which the load's current leads the source by this angle, degrees, -180..180"},
           {"--inductance-limits", "FROM:TO",
            "coils that may be used in pi, t and --one-setting, H; default 10nH:200uH"},
           {"--capacitance-limits", "FROM:TO",
            "capacitors that may be used in pi, t and --one-setting, F; default 2pF:20nF"},
           {"--swr", "S", "limit for bandwidth, preferred values and yield, > 1; default 2"},
           {"--series", series_words, "preferred values for all parts; default: exact values"},
           {"--inductor-series", series_words, "the same for coils alone"},
           {"--capacitor-series", series_words, "the same for capacitors alone"},
           {"--inductor-step", "L", "--one-setting: coils in whole multiples of it, H, > 0; default: any value"},
           {"--capacitor-step", "C", "--one-setting: capacitors in whole multiples of it, F, > 0; default: any value"},
           {"--tolerance", "T", "of all parts, 0..100%: what it does to the match; default: not looked at"},
           {"--inductor-tolerance", "T", "the same for coils alone"},
           {"--capacitor-tolerance", "T", "the same for capacitors alone"},
           {"--samples", "N", "random draws for tolerances, 1..10000000; default 2000"},
           {"--seed", "N", "start value of the draws, 0..10000000; default 1"},
           {"--solution", "N", "the solution that charts show, by its number in the table; default 1"},
           {"--show", "path|band",
            "what --chart draws: path (from load to transmitter; default), band (SWR across the band, with tolerances "
            "what "
            "they do to it)"}}) {
    d.options.push_back(option);
  }
  d.notes =
      "Loss is what the parts turn into heat; a low SWR alone does not mean that power reaches the load. The "
      "band is where\n"
      "the SWR stays under the limit with fixed parts; \"at least\" where the load's data end before. Its share "
      "is that of the\n"
      "widest band that any network without loss could hold (limit of Bode and Fano, from the load's Q); loss "
      "widens a band,\n"
      "so a share above 1 is a sign of loss. With --load the load does not change with frequency, and no share "
      "is given.\n"
      "--one-setting: loss is from the power available to that into the load, or radiated; what a transmitter holds "
      "back is not\n"
      "in it. \"bound_db\": no setting of these parts has a lesser worst loss (within the SWR limit, when the answer "
      "is); with any\n"
      "value allowed the search ends 0.01 dB above it. Each coil has its self-capacitance.\n";
  d.charts = true;
  d.rules = {one_of({"--load", "--load-file"}),
             only_with({"--inductor-q-at"}, {"--inductor-q"}),
             only_with({"--least-loss", "--loaded-q", "--end-q", "--phase"}, {"--form pi", "--form t"}),
             only_with({"--inductance-limits", "--capacitance-limits"}, {"--form pi", "--form t", "--one-setting"}),
             only_with({"--radiated-share", "--inductor-step", "--capacitor-step"}, {"--one-setting"}),
             not_with({"--one-setting"}, {"--form", "--tolerance", "--inductor-tolerance", "--capacitor-tolerance",
                                          "--solution", "--show"}),
             one_of({"--least-loss", "--loaded-q", "--end-q", "--phase"}),
             only_with({"--samples", "--seed"}, {"--tolerance", "--inductor-tolerance", "--capacitor-tolerance"}),
             only_with({"--solution", "--show"}, {"--chart"})};
  d.does_not_hold =
      "nothing matches, no solution keeps the SWR limit with preferred values, or no one setting keeps it "
      "at every load (the result is written)";
  return d;
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

match::PartStock read_stock(const Arguments& arguments) {
  match::PartStock stock;
  stock.inductor_loss.q = arguments.positive("--inductor-q", Unit::one, network::infinite);
  stock.inductor_loss.q_at_hz = arguments.positive("--inductor-q-at", Unit::hertz, 0.0);
  stock.inductor_loss.series_ohm = arguments.not_negative("--inductor-esr", Unit::ohm, 0.0);
  stock.inductor_self_capacitance_f = arguments.not_negative("--inductor-srf-capacitance", Unit::farad, 0.0);
  stock.capacitor_loss.q = arguments.positive("--capacitor-q", Unit::one, network::infinite);
  if (const auto text = arguments.text("--inductance-limits")) {
    const Range limits = read_limits(*text, Unit::henry, "--inductance-limits");
    stock.least_inductance_h = limits.low;
    stock.most_inductance_h = limits.high;
  }
  if (const auto text = arguments.text("--capacitance-limits")) {
    const Range limits = read_limits(*text, Unit::farad, "--capacitance-limits");
    stock.least_capacitance_f = limits.low;
    stock.most_capacitance_f = limits.high;
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

/// What is stated for all parts and again for each kind would be ignored. @throws UsageError
void check_common(const Arguments& arguments) {
  for (const std::string name : {"series", "tolerance"}) {
    if (arguments.has("--" + name) && arguments.has("--inductor-" + name) && arguments.has("--capacitor-" + name))
      throw UsageError(
          fmt::format("--{0} is of no part beside --inductor-{0} and --capacitor-{0}; legal: two of them", name));
  }
}

/// What only --one-setting takes more than once. @throws UsageError
void check_single(const Arguments& arguments) {
  for (const char* option : {"--load", "--load-file", "--frequency"}) {
    if (arguments.texts(option).size() > 1)
      throw UsageError(fmt::format("{0} is given more than once; legal: once, or with --one-setting", option));
  }
}

MatchCase solve_case(const Arguments& arguments) {
  MatchCase c;
  c.request = read_request(arguments);
  c.parts.inductor_series = read_series(arguments, "--inductor-series", "--series");
  c.parts.capacitor_series = read_series(arguments, "--capacitor-series", "--series");
  c.parts.tolerances = read_tolerances(arguments, c.request.swr_limit);
  c.z_load_ohm = load_at(c.request.load, c.request.frequency_hz, "--frequency");
  c.limit = match::load_limit(c.request.load, c.request.frequency_hz, c.request.swr_limit);
  c.matches = match::match_with_real_parts(c.request, c.parts);
  c.why = match_reason(c);
  std::vector<network::Evaluation> evaluations;
  for (const match::RealMatch& m : c.matches) evaluations.push_back(m.solution.evaluation);
  c.cautions = cautions_of(evaluations);
  return c;
}

std::string run_one_setting(const Description& description, const Arguments& arguments, Format format,
                            const std::vector<std::string>& charts) {
  const OneSettingCase c = solve_one_setting(arguments, read_stock(arguments));
  for (const load::Load& load : c.loads)
    for (const std::string& warning : load::load_warnings(load)) warn(description, arguments, warning);
  Outputs outputs;
  outputs.add(arguments.output(), format == Format::json  ? one_setting_json(c)
                                  : format == Format::csv ? one_setting_csv(c)
                                                          : one_setting_text(c));
  if (!charts.empty()) add_chart(one_setting_chart(c), charts, description, arguments, outputs);
  outputs.commit();
  return c.why;
}

std::string run(const Description& description, const Arguments& arguments) {
  check_common(arguments);
  const Format format = arguments.format();
  const std::vector<std::string> charts = chart_files(arguments);  // a wrong one is told before the work
  if (arguments.has("--one-setting")) return run_one_setting(description, arguments, format, charts);
  check_single(arguments);
  const std::string show = arguments.text("--show").value_or("path");
  if (show != "path" && show != "band")
    throw UsageError(fmt::format("--show \"{}\": there is no such chart; legal: path, band", show));
  const auto solution = static_cast<std::size_t>(arguments.count("--solution", 1, most_count).value_or(1));
  const MatchCase c = solve_case(arguments);
  if (solution > c.matches.size() && !c.matches.empty()) {
    throw UsageError(fmt::format("--solution {}: there is no such solution; legal: 1..{}", solution, c.matches.size()));
  }
  for (const std::string& warning : load::load_warnings(c.request.load)) warn(description, arguments, warning);

  Outputs outputs;
  outputs.add(arguments.output(), format == Format::json  ? match_json(c)
                                  : format == Format::csv ? match_csv(c)
                                                          : match_text(c));
  if (!charts.empty() && !c.matches.empty())
    add_chart(show == "band" ? band_chart(c, solution - 1) : match_chart(c, solution - 1), charts, description,
              arguments, outputs);
  outputs.commit();
  return c.why;
}

}  // namespace

int main(int argc, char** argv) {
  const Description description = describe_tool();
  return run_tool(description, argc, argv, [&](const Arguments& arguments) { return run(description, arguments); });
}

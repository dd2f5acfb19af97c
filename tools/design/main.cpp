// stile-design: a brief in (bands, conditions, limits), the best stations out, as files that the other tools take.

#include <algorithm>
#include <filesystem>
#include <optional>

#include <fmt/core.h>

#include <stile/design/answer.hpp>
#include <stile/design/compare.hpp>
#include <stile/design/design.hpp>
#include <stile/station/files_named.hpp>
#include <stile/station/solve_loads.hpp>

#include "cli/chart.hpp"
#include "cli/command_line.hpp"
#include "cli/output.hpp"
#include "cli/progress.hpp"
#include "cli/run.hpp"
#include "cli/signals.hpp"
#include "design/charts.hpp"
#include "design/report.hpp"

namespace {

using namespace stile;
using namespace stile::tools;

Description describe_tool() {
  Description d;
  d.name = "stile-design";
  d.summary = "finds whip, trailing wires and match together for a brief of bands, conditions and limits";
  d.usage = "BRIEF.toml [OPTION]...";
  d.examples =
      "stile-design examples/moor/two_bands.toml --write designed\n"
      "stile-design examples/moor/two_bands.toml --touch band --objective mean --walks 0 --json -o design.json";
  d.options = {
      reading(
          {"BRIEF.toml", "",
           "the brief: transmitter, bands, limits of the antenna, conditions, kinds of match; - is standard input"}),
      {"--objective", "mean|held",
       "mean: the mean over the bands of what is lost in the worst condition, the SWR without limit; held (default): "
       "first the number of bands that hold SWR limit and ratings in every normal condition, then that mean"},
      {"--touch", "nothing|band|condition|automatic",
       "only matches that a hand touches so often: nothing, band (one setting a band), condition (trimmed in each), "
       "automatic; default: the best of each class"},
      {"--write", "DIR", "write each station with its settings, and its wires, into a folder, made when it is missing",
       false, true}};
  d.options.push_back(
      {"--walks", "N",
       "take every station found on N seeded walks, 0 (none)..2000, whose wires, soil, contacts and wet base the "
       "search was not shown; default: the first station alone on 50, beside --against "
       "all on 200"});
  d.options.push_back(reading({"--against", "STATION.toml",
                               "compare with the station that is carried today, as stated and on the same walks"}));
  d.options.push_back(
      {"--every-point", "",
       "solve what was found, and the station of --against, at each frequency; default: within a band, currents are "
       "interpolated between a few solved frequencies, to 1e-4 of |Z|. Search and walks solve each of their few "
       "frequencies in any case"});
  d.options.push_back(
      {"--show", "bands|lengths|mass|hands",
       "in --chart: bands (power on each band, with the walks' spread; default), lengths (a map of the "
       "loss over whip and wire, the best marked, 0.5 dB around it), mass, hands (power against these)"});
  d.charts = true;
  d.rules = {only_with({"--show"}, {"--chart"})};
  d.notes =
      "Loss is counted in dB below the transmitter's full power, band by band: towards the other station where the "
      "band has a\n"
      "[path], else as power radiated; in the worst normal condition over the part of each band in use. A band holds "
      "where\n"
      "SWR limit and ratings do.\n"
      "Without a \"step\" lengths are searched on a grid of 0.5 m with the ends of the limits, then refined to 1 cm; "
      "with one, "
      "all of\n"
      "its lengths are tried. Settings are those that stile-plan finds; figures are those that stile-plan gives for "
      "the files "
      "written.\n"
      "bound_db: no match of whatever kind is below it on that antenna. Ctrl-C with -o or --write gives the best so "
      "far, "
      "marked as\n"
      "unfinished.\n"
      "How far to trust it: figures agree with stile-plan within 1e-6 dB; the model is as good as that of wires and "
      "ground (+-30..50 %\n"
      "in the lost part of R), and a search finds what its model leaves out: measure before you cut.\n";
  d.does_not_hold =
      "nothing is within the limits of the brief (the nearest station is written), or the search was stopped";
  return d;
}

std::optional<station::Touch> touch_from(const Arguments& arguments) {
  const auto word = arguments.text("--touch");
  if (!word) return {};
  for (const station::Touch touch :
       {station::Touch::nothing, station::Touch::band, station::Touch::condition, station::Touch::automatic}) {
    if (station::touch_name(touch) == *word) return touch;
  }
  throw UsageError("--touch \"" + *word + "\": no such class; legal: nothing band condition automatic");
}

design::Objective objective_from(const Arguments& arguments) {
  const std::string word = arguments.text("--objective").value_or("held");
  if (word == "held") return design::Objective::held;
  if (word == "mean") return design::Objective::mean;
  throw UsageError("--objective \"" + word + "\": no such objective; legal: mean held");
}

std::string run(const Description& description, const Arguments& arguments) {
  const auto file = arguments.text("BRIEF.toml");
  if (!file) throw UsageError("no brief is given; legal: stile-design BRIEF.toml");
  const Format format = arguments.format();
  const std::vector<std::string> files = chart_files(arguments);  // a wrong one is told before the work
  const std::string show = arguments.text("--show").value_or("bands");
  if (show != "bands" && show != "lengths" && show != "mass" && show != "hands")
    throw UsageError("--show \"" + show + "\": no such chart; legal: bands lengths mass hands");
  design::SearchOptions options;
  options.objective = objective_from(arguments);
  options.touch = touch_from(arguments);
  options.every_point = arguments.has("--every-point");
  design::CompareOptions comparing;
  const auto against = arguments.text("--against");
  const auto walks = arguments.count("--walks", 0, 2000);
  comparing.walks = walks ? static_cast<std::size_t>(*walks) : against ? 200 : 50;
  comparing.first_only = !walks && !against;
  const station::Brief brief = station::load_brief(*file);
  if (!files.empty() && show == "lengths") check_lengths(brief);
  if (!brief.carried) warn(description, arguments, *file + ": " + station::drawn_alone_warning);
  std::optional<station::Station> present;
  std::vector<std::string> named;  // by the present station
  if (against) {
    const station::StationText stated = station::load_station_text(*against);
    present = station::read_station(stated);
    for (const station::NamedFile& one : station::files_named(stated)) named.push_back(one.path);
    check_outputs(description, arguments, named);
  }

  Progress progress(description, arguments);
  options.progress = [&](const design::Progress& p) { progress.step(p.text, p.done, p.planned); };
  std::optional<HoldSignals> held;  // the best so far is worth something to whoever asked for a file
  if (arguments.has("--write") || arguments.output() != "-") held.emplace();
  options.stop = [&] { return held && held->waits(); };
  const design::Design design = design::find_stations(brief, options);
  design::AnswerOptions asking;
  asking.every_point = comparing.every_point = options.every_point;
  asking.progress = options.progress;
  asking.stop = options.stop;
  const design::Answer answer = design::answer(brief, design, asking);
  comparing.progress = options.progress;
  comparing.stop = options.stop;
  const design::Comparison comparison = design::compare(brief, design, present, comparing);
  std::optional<plots::Chart> chart;
  std::string no_chart;  // the result is worth more than its picture
  try {
    if (!files.empty()) chart = design_chart(show, brief, design, answer, comparison, asking);
  } catch (const UsageError& error) {
    no_chart = error.what();
  }
  const bool map_stopped = !files.empty() && !chart && no_chart.empty();
  if (held) held->forget();
  held.reset();

  Outputs outputs;
  outputs.spare(*file);
  if (against) outputs.spare(*against);
  for (const std::string& path : named) outputs.spare(path);
  outputs.add(arguments.output(), format == Format::json  ? design_json(brief, design, answer, comparison)
                                  : format == Format::csv ? design_csv(brief, design, answer, comparison)
                                                          : design_text(brief, design, answer, comparison));
  if (chart) add_chart(*chart, files, description, arguments, outputs);
  if (const auto folder = arguments.text("--write")) {
    outputs.add_folder(*folder);
    std::vector<std::string> written;
    const auto write = [&](const design::DesignedStation& s) {
      if (std::find(written.begin(), written.end(), s.station_file) != written.end()) return;
      outputs.add((std::filesystem::path(*folder) / s.station_file).string(), s.station_text);
      outputs.add((std::filesystem::path(*folder) / s.wires_file).string(), s.wires_text);
      written.push_back(s.station_file);
    };
    for (const design::DesignedStation& s : design.stations) write(s);
    for (const design::DesignedStation& s : answer.frontiers.stations) write(s);
    if (answer.hand) write(answer.hand->anew);
  }
  outputs.commit();
  std::string reason;
  if (design.status == design::Status::unfinished || answer.unfinished || comparison.unfinished || map_stopped)
    reason = design.stations.empty() ? "stopped before a station was found" : "stopped: the result is the best so far";
  else if (design.status == design::Status::none)
    reason = "nothing is within the limits of the brief: relax " + design.relax;
  return reason + (reason.empty() || no_chart.empty() ? "" : "; ") + no_chart;
}

}  // namespace

int main(int argc, char** argv) {
  const Description description = describe_tool();
  return run_tool(description, argc, argv, [&](const Arguments& arguments) { return run(description, arguments); });
}

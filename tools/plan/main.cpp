// stile-plan: the main job. A station file in, the comparison, the verdict and the charts out.

#include <algorithm>
#include <filesystem>
#include <optional>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include <stile/plan/plan.hpp>
#include <stile/station/files_named.hpp>
#include <stile/station/solve_loads.hpp>

#include "cli/chart.hpp"
#include "cli/command_line.hpp"
#include "cli/exposure.hpp"
#include "cli/output.hpp"
#include "cli/paper.hpp"
#include "cli/progress.hpp"
#include "cli/run.hpp"
#include "plan/card.hpp"
#include "plan/exposure.hpp"
#include "plan/page.hpp"
#include "plan/report.hpp"
#include "plan/starter.hpp"
#include "plan/vary.hpp"

namespace {

using namespace stile;
using namespace stile::tools;

Description describe_tool() {
  Description d;
  d.name = "stile-plan";
  d.summary = "compares tuner and fixed match on a short whip, band by band, and says what to take and what it costs";
  d.usage = "STATION.toml [OPTION]...";
  d.examples = "stile-plan examples/moor/station.toml --report demo\n"
               "stile-plan examples/moor/wire.toml --conditions -o plan.txt";
  d.options = {
      reading({"STATION.toml", "",
               "the station: transmitter, bands, loads, cables, parts, arrangements; - is standard input"}),
      {"--conditions", "", "a line for each condition of the load instead of the worst one; --json and --csv have all"},
      {"--reach", "",
       "how far each load may wander as set: in ohms, and in centimetres of a trailing wire, which is moved and "
       "solved"},
      {"--vary", "WHAT=FROM:TO:N",
       "in place of the plan a study: WHAT, the path of a number in the file, at N values (2 to 1000) from FROM to TO, "
       "both included, and where the answer changes"},
      {"--report", "DIR",
       "write a page to open (report.html), pack card (card.pdf: A6 and the size of a bank card; card.svg), "
       "comparison, "
       "JSON, CSV and all charts (PNG, SVG, PDF) into a folder, made when it is missing; with --reach",
       false, true},
      {"--card", "FILE",
       "write the pack card alone, with what to take and set, lengths of wires and SWR of each band: FILE.pdf (A6 and "
       "the size "
       "of a bank card) or FILE.svg (A6)",
       false, true},
      {"--record", "FILE",
       "write a dated record of the exposure of every arrangement and band: inputs, versions, levels with their "
       "status, "
       "results",
       false, true},
      {"--show", "NAME",
       "what --chart draws, by its name in the report: budget-CONDITION, swr-CONDITION, bands-power, bands-radiated, "
       "operating-time, person-fields, mass-power, hands-power, wander, match-BAND; default the loss budget of the "
       "first condition"},
      {"--every-point", "",
       "solve antennas of wires at each frequency; default: within a band, currents are interpolated between a few "
       "solved "
       "frequencies, to 1e-4 of |Z|"},
      {"--starter", "", "print a commented station file to begin with, on standard output; it runs as it is"}};
  d.notes =
      "Loss is counted in dB below the transmitter's full power: towards the other station where the file has a "
      "[path] and\n"
      "antennas of wires, else to the far field, else, where nobody knows where an antenna's power goes, into the "
      "antenna. Rank\n"
      "is by that, not by SWR: SWR only has to stay within the transmitter's limit. A match with SWR 1 may radiate "
      "nothing.\n"
      "Settings of a fixed match are the best compromise over the normal conditions; of a trimmed one only tap and "
      "trimmer move.\n"
      "A path for --vary is keys with points between, items of a list by name or number: transmitter.power, "
      "'band.40 m.low',\n"
      "parts.inductor_q, 'load.lifted.wire.counterpoise.length' (on into the wires file, for all loads that name it).\n"
      "How far to trust it: arithmetic 1e-9; loads as good as their source (real ground +-30..50 % in the lost "
      "part of R);\n"
      "coil Q +-5..15 %. What these leave open stands beside every loss.\n";
  d.does_not_hold = "on some band nothing listed stays within the SWR limit and every rating, in a study at none of "
                    "the values, or the "
                    "plan has nothing to draw of what --chart asks for (the result is written)";
  d.charts = true;
  d.rules = {not_with({"--conditions"}, {"--json", "--csv"}),
             not_with({"--vary"}, {"--conditions", "--reach", "--report", "--card", "--record"}),
             only_with({"--show"}, {"--chart"}), not_with({"--show"}, {"--vary"}),
             not_with({"--starter"}, {"STATION.toml", "--conditions", "--reach", "--vary", "--report", "--card",
                                      "--record", "--every-point", "--json", "--csv", "--chart"})};
  return d;
}

/// The pack card as files that end with .pdf or .svg.
void add_card(const Answers& answers, const std::vector<std::string>& files, const Description& description,
              const Arguments& arguments, Outputs& outputs) {
  const std::vector<plots::Drawing> card = plots::pack_card(plan_card(answers));
  tell_missing_letters(card, std::filesystem::path(files.front()).filename().string(), description, arguments);
  for (const std::string& file : files)
    outputs.add(file, file_ending(file) == ".pdf" ? plots::pdf_text(card, "Pack card: " + answers.station.name)
                                                  : plots::svg_text(card.front()));
}

void write_report(const Description& description, const Arguments& arguments, const Answers& answers,
                  const station::StationText& stated, Outputs& outputs) {
  const std::filesystem::path folder = *arguments.text("--report");
  outputs.add_folder(folder.string());
  outputs.add((folder / "comparison.txt").string(), plan_text(answers, true));
  outputs.add((folder / "plan.json").string(), plan_json(answers));
  outputs.add((folder / "plan.csv").string(), plan_csv(answers));
  add_card(answers, {(folder / "card.pdf").string(), (folder / "card.svg").string()}, description, arguments, outputs);
  std::vector<plots::ChartFiles> charts;
  std::vector<PagePicture> pictures;
  for (NamedChart& chart : plan_charts(answers)) {
    pictures.push_back({chart.caption, chart.figures, ""});
    const std::string stem = (folder / chart.name).string();
    charts.push_back({std::move(chart.chart), {stem + ".png", stem + ".svg", stem + ".pdf"}});
  }
  const std::vector<std::string> svgs = add_charts(charts, description, arguments, outputs);
  for (std::size_t n = 0; n < svgs.size(); ++n) pictures[n].svg = svgs[n];
  outputs.add((folder / "report.html").string(), plots::html_text(plan_page(answers, pictures, stated)));
}

/// The folder is that of the report's files alone. @throws UsageError
void check_report_folder(const Arguments& arguments) {
  const auto report = arguments.text("--report");
  if (!report) return;
  std::error_code ignored;
  const auto place = [&](const std::filesystem::path& path) {
    return std::filesystem::weakly_canonical(std::filesystem::absolute(path, ignored) / "", ignored);
  };
  for (const char* option : {"-o", "--chart", "--card", "--record"}) {
    for (const std::string& file : arguments.texts(option)) {
      if (file != "-" && place(std::filesystem::path(file).parent_path()) == place(*report))
        throw UsageError(fmt::format("{} \"{}\" is in the folder of --report, which has the report's files alone; "
                                     "legal: another folder",
                                     option, file));
    }
  }
}

void tell_load_warnings(const station::Station& station, const Description& description, const Arguments& arguments) {
  for (const station::Antenna& antenna : station.antennas) {
    for (const station::AntennaLoad& l : antenna.loads) {
      for (const std::string& warning : load::load_warnings(l.load))
        warn(description, arguments, (antenna.name.empty() ? "" : antenna.name + ", ") + l.load.name + ": " + warning);
    }
  }
}

/// The bands on which nothing holds at any value of a study; empty: there is none.
std::string study_failure(const plan::Study& study) {
  std::string failed;
  for (std::size_t b = 0; b < study.station.bands.size(); ++b) {
    const auto nothing = [&](const std::vector<plan::VariedBand>& value) {
      return value[b].choice == plan::Choice::none;
    };
    if (std::all_of(study.values.begin(), study.values.end(), nothing))
      failed += (failed.empty() ? "" : "; ") + study.station.bands[b].name + ": nothing holds at any value";
  }
  return failed;
}

/// A name that no plan of the station has is told before the work. @throws UsageError
void check_show(const station::Station& station, const Arguments& arguments) {
  const auto wanted = arguments.text("--show");
  const std::vector<std::string> names = chart_names(station);
  if (wanted && std::find(names.begin(), names.end(), *wanted) == names.end())
    throw UsageError(fmt::format("--show \"{}\": there is no such chart; legal: {}", *wanted, fmt::join(names, ", ")));
}

/// One of a plan's charts, or why there is none.
struct Shown {
  std::optional<NamedChart> chart;
  std::string missing;  ///< empty: there is one
};

/// The chart of --show; without it the loss budget of the first condition.
Shown shown_chart(std::vector<NamedChart> charts, const station::Station& station, const Arguments& arguments) {
  const auto wanted = arguments.text("--show");
  const std::string name = wanted.value_or(chart_names(station).front());
  std::vector<std::string> names;
  for (NamedChart& chart : charts) {
    if (chart.name == name) return {std::move(chart), ""};
    names.push_back(chart.name);
  }
  // Reaches take their time and are not solved for the sake of this list.
  const bool reaches = std::find(names.begin(), names.end(), "wander") != names.end();
  if (!names.empty() && !reaches && name != "wander") names.emplace_back("wander");
  const std::string why = wanted ? fmt::format("--show \"{}\": this plan has no such chart", name)
                                 : fmt::format("nothing can be drawn: in \"{}\" no arrangement can be set on any band",
                                               station.conditions.front().name);
  return {{}, why + (names.empty() ? "" : fmt::format("; legal: --show {}", fmt::join(names, ", ")))};
}

/// The files that a station names; none of them is an output. @throws UsageError
std::vector<station::NamedFile> named_files(const station::StationText& stated, const Description& description,
                                            const Arguments& arguments) {
  std::vector<station::NamedFile> named = station::files_named(stated);
  std::vector<std::string> paths;
  for (const station::NamedFile& one : named) paths.push_back(one.path);
  check_outputs(description, arguments, paths);
  return named;
}

std::string run(const Description& description, const Arguments& arguments) {
  const auto file = arguments.text("STATION.toml");
  if (arguments.has("--starter")) {
    Outputs outputs;
    outputs.add(arguments.output(), std::string(starter_station));
    outputs.commit();
    return "";
  }
  if (!file) throw UsageError("no station file is given; legal: stile-plan STATION.toml");
  const Format format = arguments.format();
  const std::vector<std::string> files = chart_files(arguments);  // a wrong one is told before the work
  check_report_folder(arguments);
  const auto card = arguments.text("--card");
  if (card) check_paper_file("--card", *card, {".pdf", ".svg"});
  const auto record = arguments.text("--record");
  const std::int64_t dated = record ? record_seconds() : 0;  // a wrong date is told before the work
  Progress progress(description, arguments);
  const auto tell = [&](const std::string& line) { progress.step(line); };
  wire::SolveOptions solving;
  solving.every_point = arguments.has("--every-point");
  if (const auto vary = arguments.text("--vary")) {
    const station::StationText stated = station::load_station_text(*file);
    named_files(stated, description, arguments);
    const plan::Study study = plan::study(stated, station::read_vary(*vary), tell, 0, solving);
    Outputs outputs;
    outputs.add(arguments.output(), format == Format::json  ? study_json(study)
                                    : format == Format::csv ? study_csv(study)
                                                            : study_text(study));
    if (!files.empty()) add_chart(study_chart(study), files, description, arguments, outputs);
    tell_load_warnings(study.station, description, arguments);
    outputs.commit();
    return study_failure(study);
  }
  const station::StationText stated = station::load_station_text(*file);
  station::Station read = station::read_station(stated);
  check_show(read, arguments);
  const std::vector<station::NamedFile> named = named_files(stated, description, arguments);
  const station::Station station = station::solve_loads(std::move(read), {}, tell, 0, solving);
  tell_load_warnings(station, description, arguments);
  const plan::Plan plan = plan::make_plan(station, tell);
  const std::vector<plan::PartsList> parts = plan::parts_lists(station, plan);
  const Answers answers{station,
                        plan,
                        plan::far_ends(station, plan, tell),
                        parts,
                        plan::band_orders(station, plan),
                        plan::reset_trades(station, plan),
                        plan::band_frontiers(station, plan, parts),
                        arguments.has("--reach") || arguments.has("--report") || arguments.meets("--show wander")
                            ? plan::reach_of_settings(station, plan, tell)
                            : std::vector<plan::SettingsReach>{},
                        plan::own_searches(station, plan)};
  Outputs outputs;
  outputs.spare(*file);
  for (const station::NamedFile& one : named) outputs.spare(one.path);
  outputs.add(arguments.output(), format == Format::json  ? plan_json(answers)
                                  : format == Format::csv ? plan_csv(answers)
                                                          : plan_text(answers, arguments.has("--conditions")));
  std::string failed;
  if (!files.empty()) {
    const Shown shown = shown_chart(plan_charts(answers), station, arguments);
    if (shown.chart) add_chart(shown.chart->chart, files, description, arguments, outputs);
    failed = shown.missing;  // the result is worth more than its picture
  }
  if (arguments.has("--report")) write_report(description, arguments, answers, stated, outputs);
  if (card) add_card(answers, {*card}, description, arguments, outputs);
  if (record) outputs.add(*record, plan_record(answers.station, plan, stated, named, arguments, dated));
  outputs.commit();

  for (const plan::BandResult& band : plan.bands) {
    if (band.choice == plan::Choice::none)
      failed += (failed.empty() ? "" : "; ") + band.band.name + ": " + band.verdict;
  }
  return failed;
}

}  // namespace

int main(int argc, char** argv) {
  const Description description = describe_tool();
  return run_tool(description, argc, argv, [&](const Arguments& arguments) { return run(description, arguments); });
}

// stile-range: which loads a tuner can match, with loss and stress.

#include <cmath>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/tuner/sizing.hpp>
#include <stile/tuner/whip_study.hpp>

#include "cli/chart.hpp"
#include "cli/command_line.hpp"
#include "cli/output.hpp"
#include "cli/part.hpp"
#include "cli/progress.hpp"
#include "cli/run.hpp"
#include "range/case.hpp"
#include "range/charts.hpp"
#include "range/report.hpp"
#include "range/turned.hpp"
#include "range/work.hpp"

namespace {

using namespace stile;
using namespace stile::tools;

Description describe_tool() {
  Description d;
  d.name = "stile-range";
  d.summary = "which loads a tuner can match, with loss and stress, over all its states";
  d.usage = "--tuner FILE  [--frequency F | --bands LIST]  [--load Z | --load-file FILE]...  [OPTION]...";
  d.examples = "stile-range --tuner examples/moor/tuner.toml --frequency 10.125MHz --load 54-445j --map loss --plane "
               "rx --chart range.png\n"
               "stile-range --tuner examples/moor/station.toml --bands '30 m,20 m' --json -o range.json";
  d.options = range_case_options();
  for (const Option& option : std::vector<Option>{
           {"--map", "KIND",
            "draw (--chart) or write (--csv, --json) a map over all loads at the frequency, or at the middle of each "
            "band: "
            "matchable, swr (residual, best state), loss, stress (worst part over its rating), limiting-part (the last "
            "three in the "
            "least lossy state within the limit)"},
           {"--plane", "PLANE", "of maps: reflection (default) or rx"},
           {"--r-most", "R", "the rx plane shows 0 to R, ohm, > 0; default ten times the transmitter's resistance"},
           {"--x-most", "X", "the rx plane shows -X to X, ohm, > 0; default twenty times the transmitter's resistance"},
           {"--cells", "N", "cells of a map each way, 10..2000; default 301, with several bands 141"},
           {"--greedy", "",
            "instead: what the tuner's own search, led by the SWR alone, reaches, against the best of all states"},
           {"--sizing", "",
            "instead: how few relays of binary banks bring the loads to the SWR limit, and with which steps"},
           {"--bits", "N", "--sizing: parts in one bank, 1..N, N in 1..10; default 8"},
           {"--inductor-steps", "FROM:TO", "--sizing: smallest inductors tried, H; default 0.05uH:0.8uH"},
           {"--capacitor-steps", "FROM:TO", "--sizing: smallest capacitors tried, F; default 5pF:80pF"},
           {"--whip-study", "",
            "instead: loss against whip length and frequency, and the length below which a base coil loses less; "
            "--bands takes one range, default 1.8MHz:30MHz"},
           {"--lengths", "FROM:TO", "--whip-study: lengths, m; default 0.5m:10m"},
           {"--whip-radius", "A", "--whip-study: radius of the whip, m, > 0; default 3mm"},
           {"--ground", "R", "--whip-study: resistance of the ground connection, ohm, >= 0; default 10"},
           {"--coil-q", "Q", "--whip-study: Q of the base coil, > 0; default 200"}}) {
    d.options.push_back(option);
  }
  d.notes = "Tuner file: one [tuner] table with form (\"L\", \"T\", \"pi\", \"LCL\"), capacitor_side, "
            "contact_resistance, and the banks\n"
            "[tuner.inductors] and [tuner.capacitors] (T, pi: [tuner.load_capacitors]; LCL: [tuner.load_inductors]; "
            "like the first when\n"
            "absent) with values, q, q_at, stray, open_contact, rating = { voltage, current, power } of the whole "
            "bank, and one a part:\n"
            "part_q, part_voltage, part_current, part_power. At most 2^24 states. For parts that turn, range = [least, "
            "most] or taps\n"
            "stand in place of values; their range is what they match exactly, with its traced outline.\n"
            "Loads stand at the tuner's output: cables of a station's arrangements are left out. Answers are the best "
            "of all states,\n"
            "proven; a real tuner stops earlier (--greedy). Coverage is against the transmitter's resistance. With "
            "--csv, --map gives\n"
            "one row a cell in place of the loads. Without --map, --chart draws what is matchable, or with loads and "
            "bands the\n"
            "SWR across them.\n"
            "How far to trust it: arithmetic 1e-9; the answer is as good as the stated strays, Q and contacts.\n";
  d.does_not_hold = "a load is not brought to the SWR limit, or only over a rating, or there is a hole in a band, or "
                    "the walk of --greedy ends "
                    "above the limit, or no bank of --sizing suffices (the result is written)";
  d.charts = true;
  return d;
}

MapKind read_map_kind(const std::string& text) {
  if (text == "matchable") return MapKind::matchable;
  if (text == "swr") return MapKind::swr;
  if (text == "loss") return MapKind::loss;
  if (text == "stress") return MapKind::stress;
  if (text == "limiting-part") return MapKind::limiting_part;
  throw UsageError("--map \"" + text + "\": no such map; legal: matchable swr loss stress limiting-part");
}

/// @param cells  each way, unless the command line says otherwise
MapGrid read_grid(const Arguments& arguments, const Source& source, int cells) {
  const std::string plane = arguments.text("--plane").value_or("reflection");
  if (plane != "reflection" && plane != "rx")
    throw UsageError("--plane \"" + plane + "\": no such plane; legal: reflection rx");
  const int count = arguments.count("--cells", 10).value_or(cells);
  if (count > 2000)
    throw ParseError({"--cells", 0, 1}, fmt::format("\"{}\": out of range; legal: a whole number, 10..2000", count));
  MapGrid grid;
  grid.columns = grid.rows = static_cast<std::size_t>(count);
  grid.reference_ohm = source.z_ohm.real();
  const double r_most = arguments.positive("--r-most", Unit::ohm, 10.0 * grid.reference_ohm);
  const double x_most = arguments.positive("--x-most", Unit::ohm, 20.0 * grid.reference_ohm);
  if (plane == "rx") {
    grid.plane = MapPlane::impedance;
    grid.x_low = 0.0;
    grid.x_high = r_most;
    grid.y_low = -x_most;
    grid.y_high = x_most;
  } else if (arguments.has("--r-most") || arguments.has("--x-most")) {
    throw UsageError("--r-most and --x-most belong to --plane rx");
  }
  return grid;
}

/// What every job ends with.
struct Answer {
  std::string output;
  std::optional<plots::Chart> chart;  ///< made only when it is asked for
  std::string reason;
};

Answer turned_job(const RangeCase& c, const Arguments& arguments, Progress& progress, Format format, bool draw) {
  const std::string kind = arguments.text("--map").value_or("matchable");
  if (kind != "matchable" && kind != "loss")
    throw UsageError("--map \"" + kind + "\": the parts of " + c.turned->name + " turn; legal: matchable loss");
  if (arguments.has("--map") && !draw)
    throw UsageError("--map of parts that turn is drawn only; legal: --chart FILE.png");
  const MapGrid grid = read_grid(arguments, c.source, c.bands.size() == 1 ? 201 : 101);
  const TurnedReport report = report_turned(c, progress);
  Answer answer;
  if (draw) answer.chart = turned_chart(c, report, grid, kind == "loss", progress);
  answer.output = format == Format::json  ? turned_json(c, report)
                  : format == Format::csv ? turned_csv(c, report)
                                          : turned_text(c, report);
  answer.reason = turned_reason(report);
  return answer;
}

Answer range_job(const Arguments& arguments, Progress& progress, Format format, bool draw) {
  const bool mapped = arguments.has("--map");
  const MapKind kind = read_map_kind(arguments.text("--map").value_or("matchable"));
  const RangeCase c = read_range_case(arguments);
  if (c.turned) return turned_job(c, arguments, progress, format, draw);
  if (mapped && !draw && format == Format::text)
    throw UsageError("--map needs somewhere to go; legal: --chart FILE.png, --csv or --json");
  const MapGrid grid = read_grid(arguments, c.source, c.bands.size() == 1 ? 301 : 141);
  if ((kind == MapKind::stress || kind == MapKind::limiting_part) && !has_ratings(c.tuner)) {
    throw UsageError(c.origin +
                     ": no part has a rating, so no map of stress; legal: rating = { voltage = \"500 V\" } in a bank");
  }
  const RangeReport report = report_range(c, progress);
  const bool sweeps = draw && !mapped && !report.sweeps.empty();
  std::vector<RangeMap> maps;
  if (mapped || (draw && !sweeps)) maps = map_bands(c, grid, kind, progress);
  Answer answer;
  if (draw) {
    // The edge of the range is that of the least SWR; the SWR of least lossy states lies close to the limit everywhere.
    const bool own_edge = kind == MapKind::matchable || kind == MapKind::swr;
    answer.chart = sweeps ? sweeps_chart(c, report)
                          : map_chart(c, maps, own_edge ? maps : map_bands(c, grid, MapKind::swr, progress), kind);
  }
  if (!mapped) maps.clear();
  answer.output = format == Format::json  ? range_json(c, report, maps)
                  : format == Format::csv ? (mapped ? maps_csv(c, maps) : range_csv(c, report))
                                          : range_text(c, report);
  answer.reason = range_reason(c, report);
  return answer;
}

Answer greedy_job(const Arguments& arguments, Progress& progress, Format format, bool draw) {
  const RangeCase c = read_range_case(arguments);
  need_switched(c, "--greedy");
  const MapGrid grid = read_grid(arguments, c.source, 91);
  if (c.loads.empty() && !draw)
    throw UsageError(
        "no load is given; legal: --load 12-230j, --load-file FILE.s1p, a station file, or --chart for a map");
  if (draw && c.bands.size() != 1)
    throw UsageError("the chart of --greedy is for one frequency; legal: --frequency 7.1MHz");
  const std::vector<GreedyAnswer> answers = report_greedy(c, progress);
  Answer answer;
  if (draw)
    answer.chart =
        greedy_chart(c, grid, c.bands.front().middle_hz, map_greedy(c, grid, c.bands.front().middle_hz, progress));
  answer.output = format == Format::json  ? greedy_json(c, answers)
                  : format == Format::csv ? greedy_csv(c, answers)
                                          : greedy_text(c, answers);
  answer.reason = greedy_reason(c, answers);
  return answer;
}

Answer sizing_job(const Arguments& arguments, Progress& progress, Format format, bool draw) {
  const RangeCase c = read_range_case(arguments);
  need_switched(c, "--sizing");
  if (c.loads.empty())
    throw UsageError("no load is given; legal: --load 12-230j, --load-file FILE.s1p or a station file");
  SizingRequest request;
  request.frame = c.tuner;
  request.swr_limit = c.swr_limit;
  const int bits = arguments.count("--bits", 1).value_or(8);
  if (bits > 10)
    throw ParseError({"--bits", 0, 1}, fmt::format("\"{}\": out of range; legal: a whole number, 1..10", bits));
  request.most_bits = static_cast<std::size_t>(bits);
  if (const auto text = arguments.text("--inductor-steps")) {
    const Limits limits = read_limits(*text, Unit::henry, "--inductor-steps");
    request.least_step_h = limits.least;
    request.most_step_h = limits.most;
  }
  if (const auto text = arguments.text("--capacitor-steps")) {
    const Limits limits = read_limits(*text, Unit::farad, "--capacitor-steps");
    request.least_step_f = limits.least;
    request.most_step_f = limits.most;
  }
  std::vector<SizingLoad> loads;
  for (const BandPoints& band : c.bands) {
    for (const NamedLoad& named : c.loads)
      loads.push_back({band.middle_hz, load_impedance(named.load, band.middle_hz)});
  }
  progress.step(fmt::format("banks of up to {} parts for {} loads", bits, loads.size()));
  const SizingResult result = size_banks(request, c.source.z_ohm, loads);
  Answer answer;
  if (draw) answer.chart = sizing_chart(c, result);
  answer.output = format == Format::json  ? sizing_json(c, result)
                  : format == Format::csv ? sizing_csv(c, result)
                                          : sizing_text(c, result, loads.size());
  if (result.status != TunerStatus::found)
    answer.reason = fmt::format("no bank of up to {} parts brings every load to SWR {}", bits, c.swr_limit);
  return answer;
}

/// `count` values rising by one ratio, both ends included.
std::vector<double> by_ratio(double low, double high, std::size_t count) {
  std::vector<double> values;
  for (std::size_t n = 0; n < count; ++n)
    values.push_back(low * std::pow(high / low, static_cast<double>(n) / static_cast<double>(count - 1)));
  values.back() = high;
  return values;
}

Answer whip_job(const Arguments& arguments, Progress& progress, Format format, bool draw) {
  const RangeCase c = read_range_case(arguments, false, {band_points("", 1.8e6, 30e6, 2)});
  need_switched(c, "--whip-study");
  if (c.bands.size() != 1 || c.bands.front().frequency_hz.size() < 2)
    throw UsageError("--whip-study takes one range of frequencies; legal: --bands 1.8MHz:30MHz");
  const Limits lengths = arguments.has("--lengths")
                             ? read_limits(*arguments.text("--lengths"), Unit::metre, "--lengths")
                             : Limits{0.5, 10.0};
  WhipQuestion question;
  question.radius_m = arguments.positive("--whip-radius", Unit::metre, 3e-3);
  question.ground_ohm = arguments.quantity("--ground", Unit::ohm).value_or(10.0);
  if (question.ground_ohm < 0.0)
    throw ParseError({"--ground", 0, 1}, fmt::format("\"{}\": must be >= 0", *arguments.text("--ground")));
  question.coil_q = arguments.positive("--coil-q", Unit::one, 200.0);
  if (lengths.least <= 3.0 * question.radius_m)
    throw UsageError("the shortest whip of --lengths must be longer than three times --whip-radius");

  const std::vector<double> length_m = by_ratio(lengths.least, lengths.most, 61);
  const std::vector<double> frequency_hz =
      by_ratio(c.bands.front().frequency_hz.front(), c.bands.front().frequency_hz.back(), draw ? 61 : 15);
  const auto load = [&](double h, double f) { return short_whip_ohm(h, question.radius_m, question.ground_ohm, f); };
  WhipStudy study;
  for (const double f : frequency_hz) {
    progress.step("whip study, " + print_quantity(f, Unit::hertz));
    // Beyond a quarter wave the estimate of the load is none.
    std::vector<double> known;
    for (const double h : length_m) {
      if (4.0 * h * f <= speed_of_light_m_s) known.push_back(h);
    }
    if (known.empty()) continue;
    const std::vector<double> one{f};
    const WhipStudy part = study_whip(c.tuner, c.source.z_ohm, load, known, one, c.swr_limit, question.coil_q);
    study.cells.insert(study.cells.end(), part.cells.begin(), part.cells.end());
    study.break_even.insert(study.break_even.end(), part.break_even.begin(), part.break_even.end());
  }
  if (study.cells.empty())
    throw UsageError(
        "every whip of --lengths is longer than a quarter wave; legal: shorter ones, or lower frequencies");
  Answer answer;
  if (draw) answer.chart = whip_chart(c, question, study, length_m, frequency_hz);
  answer.output = format == Format::json  ? whip_json(c, question, study)
                  : format == Format::csv ? whip_csv(c, study)
                                          : whip_text(c, question, study);
  return answer;
}

std::string run(const Description& description, const Arguments& arguments) {
  const Format format = arguments.format();
  const std::vector<std::string> files = chart_files(arguments);  // a wrong one is told before the work
  int jobs = 0;
  for (const char* job : {"--map", "--greedy", "--sizing", "--whip-study"}) jobs += arguments.has(job) ? 1 : 0;
  if (jobs > 1)
    throw UsageError("--map, --greedy, --sizing and --whip-study exclude each other; legal: one of them or none");
  Answer answer;
  {
    Progress progress(description, arguments);
    const auto job = arguments.has("--greedy")       ? greedy_job
                     : arguments.has("--sizing")     ? sizing_job
                     : arguments.has("--whip-study") ? whip_job
                                                     : range_job;
    answer = job(arguments, progress, format, !files.empty());
  }
  Outputs outputs;
  outputs.add(arguments.output(), std::move(answer.output));
  if (answer.chart) add_chart(*answer.chart, files, description, arguments, outputs);
  outputs.commit();
  return answer.reason;
}

}  // namespace

int main(int argc, char** argv) {
  const Description description = describe_tool();
  return run_tool(description, argc, argv, [&](const Arguments& arguments) { return run(description, arguments); });
}

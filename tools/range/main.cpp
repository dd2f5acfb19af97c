// stile-range: which loads a tuner can match, with loss and stress.

#include <algorithm>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/core.h>

#include <stile/tuner/sizing.hpp>
#include <stile/tuner/survey.hpp>
#include <stile/tuner/whip_study.hpp>

#include "cli/chart.hpp"
#include "cli/circuit.hpp"
#include "cli/command_line.hpp"
#include "cli/ground.hpp"
#include "cli/output.hpp"
#include "cli/part.hpp"
#include "cli/plausible.hpp"
#include "cli/progress.hpp"
#include "cli/run.hpp"
#include "range/case.hpp"
#include "range/charts.hpp"
#include "range/report.hpp"
#include "range/turned.hpp"

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
  for (
      const Option& option : std::vector<Option>{
          {"--map", "matchable|swr|delivered|loss|stress|limiting-part",
           "draw (--chart) or write (--csv, --json) a map over all loads at the frequency, or at the middle of each "
           "band: "
           "matchable, swr (residual, least of all states), delivered (loss from available to delivered power, in the "
           "state within the limit that delivers most), loss (heat in the parts), stress (worst part over its rating), "
           "limiting-part (the last three in the state of least heat within the limit)"},
          {"--plane", "reflection|rx", "of maps; default reflection"},
          {"--reference", "R",
           "of the reflection plane, 1 ohm to 10 kohm; default the transmitter's resistance, or, where more than half "
           "of the "
           "loads lie within a twentieth of its rim, a round value near the median of their sizes"},
          {"--r-most", "R",
           "the rx plane, in which R is logarithmic, ends at R, ohm, > 0, and begins at a hundredth of it or lower; "
           "default "
           "from a third of the least to three times the greatest resistance of loads and transmitter"},
          {"--x-most", "X",
           "the rx plane shows -X to X, ohm, > 0; default the loads' reactances and 0, with a quarter to spare, or "
           "without "
           "loads twenty times the transmitter's resistance"},
          {"--cells", "N", "cells of a map each way, 10..2000; default 301, with several bands 141"},
          {"--greedy", "",
           "instead: what the tuner's own search, led by the SWR alone, reaches, against the best of all states"},
          {"--sizing", "",
           "instead: how few relays of binary banks bring the loads to the SWR limit, and with which steps"},
          {"--bits", "N", "--sizing: parts in one bank, 1..N, N in 1..10 for an L, 1..8 for a T, pi or LCL; default 8"},
          {"--inductor-steps", "FROM:TO", "--sizing: smallest inductors tried, H; default 0.05uH:0.8uH"},
          {"--capacitor-steps", "FROM:TO", "--sizing: smallest capacitors tried, F; default 5pF:80pF"},
          {"--whip-study", "",
           "instead: loss, mismatch included, against whip length and frequency, and the length below which a base "
           "coil loses less; "
           "--bands takes one range, default 1.8MHz:30MHz"},
          {"--lengths", "FROM:TO", "--whip-study: lengths, m; default 0.5m:10m"},
          {"--whip-radius", "A",
           "--whip-study: radius of the whip, m, > 0, at most a tenth of its length; default 3mm"},
          {"--counterpoise", "L", "--whip-study: length of the trailing wire, m, > 0; default 5m"},
          {"--lying-height", "H", "--whip-study: how high it lies over the soil, m, > 0; default 100mm"},
          {"--base-height", "H", "--whip-study: of the whip's foot, m, above the frame of 0.6 m; default 1.2m"},
          {"--ground", "GROUND",
           "--whip-study: a class as for stile-whip, or relative permittivity and conductivity; default 15,1mS/m"},
          {"--no-person", "", "--whip-study: whip and wire alone, without the usual set and person"},
          {"--coil-q", "Q", "--whip-study: Q of the base coil and of its step's coil, > 0; default 200"},
          {"--capacitor-q", "Q", "--whip-study: Q of its step's capacitors, > 0; default 1000"}}) {
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
  const std::vector<std::string> map_options{"--plane", "--reference", "--r-most", "--x-most", "--cells"};
  d.rules = {not_with({"--map"}, {"--greedy", "--sizing", "--whip-study"}),
             not_with({"--greedy"}, {"--sizing", "--whip-study"}),
             not_with({"--sizing"}, {"--whip-study"}),
             not_with({"--frequency"}, {"--bands", "--points"}),
             only_with({"--bits", "--inductor-steps", "--capacitor-steps"}, {"--sizing"}),
             only_with({"--lengths", "--whip-radius", "--counterpoise", "--lying-height", "--base-height", "--ground",
                        "--no-person", "--coil-q", "--capacitor-q"},
                       {"--whip-study"}),
             only_with(map_options, {"--map", "--chart"}),
             not_with(map_options, {"--sizing", "--whip-study"}),
             only_with({"--r-most", "--x-most"}, {"--plane rx"}),
             not_with({"--points"}, {"--greedy", "--sizing", "--whip-study"}),
             not_with({"--frequency", "--load", "--load-file", "--every-point"}, {"--whip-study"})};
  return d;
}

MapKind read_map_kind(const std::string& text) {
  if (text == "matchable") return MapKind::matchable;
  if (text == "swr") return MapKind::swr;
  if (text == "delivered") return MapKind::delivered;
  if (text == "loss") return MapKind::loss;
  if (text == "stress") return MapKind::stress;
  if (text == "limiting-part") return MapKind::limiting_part;
  throw UsageError("--map \"" + text + "\": no such map; legal: matchable swr delivered loss stress limiting-part");
}

/// The loads where the maps are drawn.
std::vector<cdouble> mapped_loads(const RangeCase& c) {
  std::vector<cdouble> loads;
  for (const tuner::SizingLoad& load : tuner::sizing_loads(c)) loads.push_back(load.z_ohm);
  return loads;
}

/// @param cells  each way, unless the command line says otherwise
tuner::MapGrid read_grid(const Arguments& arguments, const RangeCase& c, int cells) {
  const std::string plane = arguments.text("--plane").value_or("reflection");
  if (plane != "reflection" && plane != "rx")
    throw UsageError("--plane \"" + plane + "\": no such plane; legal: reflection rx");
  const int count = arguments.count("--cells", 10, 2000).value_or(cells);
  const double transmitter_ohm = c.source.z_ohm.real();
  tuner::MapGrid grid;
  const auto r_most = arguments.positive("--r-most", Unit::ohm), x_most = arguments.positive("--x-most", Unit::ohm);
  if (plane == "rx") {
    if (arguments.has("--reference"))
      throw UsageError("--reference says nothing of the rx plane; legal: beside --plane reflection");
    grid = tuner::impedance_grid(mapped_loads(c), transmitter_ohm);
    constexpr double least_ratio = 100.0;
    if (r_most) {
      grid.x_high = *r_most;
      grid.x_low = std::min(grid.x_low, *r_most / least_ratio);
    }
    if (x_most) {
      grid.y_high = *x_most;
      grid.y_low = -*x_most;
    }
  } else {
    grid = tuner::reflection_grid(mapped_loads(c), transmitter_ohm);
    grid.reference_ohm =
        plausible_or(arguments, "--reference", station::plausible::reference_impedance, grid.reference_ohm);
  }
  grid.columns = grid.rows = static_cast<std::size_t>(count);
  return grid;
}

/// The loads that a map of this grid does not show; empty: it shows all.
std::string loads_outside(const RangeCase& c, const tuner::MapGrid& grid) {
  std::string names;
  bool without_r = false, with_r = false;
  for (const tuner::BandPoints& band : c.bands) {
    for (const tuner::NamedLoad& named : c.loads) {
      const cdouble z = load::load_impedance(named.load, band.middle_hz);
      if (tuner::on_grid(grid, z)) continue;
      (z.real() == 0.0 ? without_r : with_r) = true;
      const std::string text = impedance_text(z);
      names += fmt::format("{}{} at {}{}", names.empty() ? "" : ", ", named.name,
                           print_quantity(band.middle_hz, Unit::hertz, 7), named.name == text ? "" : " (" + text + ")");
    }
  }
  if (names.empty()) return "";
  std::string text = "outside the map: " + names;
  if (with_r)
    text +=
        "; legal: --x-most and --r-most so that it holds them (R reaches down to a hundredth of --r-most), or neither "
        "(R down to a thousandth of the transmitter's)";
  if (without_r) text += "; R = 0 has no place where R is logarithmic: --plane reflection has one";
  return text;
}

/// What every job ends with.
struct Answer {
  Pieces output;
  std::optional<plots::Chart> chart;  ///< made only when it is asked for
  std::string reason;
  std::string warning;  ///< empty: none
};

/// @throws UsageError  more maps than a chart takes
void check_maps(const RangeCase& c, bool draw) {
  if (draw && c.bands.size() > 8) throw UsageError("a chart takes 8 maps; legal: --bands with up to 8 bands");
}

Answer turned_job(const RangeCase& c, const Arguments& arguments, Progress& progress, Format format, bool draw) {
  const std::string kind = arguments.text("--map").value_or("matchable");
  if (kind != "matchable" && kind != "loss")
    throw UsageError("--map \"" + kind + "\": the parts of " + c.turned->name + " turn; legal: matchable loss");
  if (arguments.has("--map") && !draw)
    throw UsageError("--map of parts that turn is drawn only; legal: --chart FILE.png");
  if (arguments.has("--swr"))
    throw UsageError("--swr is of no use with parts that turn: a load counts as matched when it is so exactly; legal: "
                     "a tuner of switched parts, or no --swr");
  check_maps(c, draw);
  const tuner::MapGrid grid = read_grid(arguments, c, c.bands.size() == 1 ? 201 : 101);
  const auto step = [&](const std::string& line) { progress.step(line); };
  constexpr double tolerance = 2e-4;  // fine enough to look smooth in the R-X plane as well
  const tuner::ContinuousSurvey survey =
      tuner::survey_continuous(*c.turned, c.source.z_ohm, c.bands, c.loads, tolerance, step);
  Answer answer;
  if (draw) {
    std::vector<std::vector<tuner::ContinuousMatch>> maps;
    for (const tuner::BandPoints& band : c.bands)
      maps.push_back(tuner::map_continuous(*c.turned, band.middle_hz, c.source.z_ohm, grid,
                                           [&](const std::string& line) { progress.step(band.name + ", " + line); }));
    answer.chart = turned_chart(c, survey, grid, kind == "loss", maps);
    answer.warning = loads_outside(c, grid);
  }
  answer.output = whole_text(format == Format::json  ? turned_json(c, survey)
                             : format == Format::csv ? turned_csv(c, survey)
                                                     : turned_text(c, survey));
  answer.reason = turned_reason(survey);
  return answer;
}

Answer range_job(const Arguments& arguments, Progress& progress, Format format, bool draw) {
  const bool mapped = arguments.has("--map");
  const MapKind kind = read_map_kind(arguments.text("--map").value_or("matchable"));
  const RangeCase c = read_range_case(arguments);
  if (c.turned) return turned_job(c, arguments, progress, format, draw);
  if (mapped && !draw && format == Format::text)
    throw UsageError("--map needs somewhere to go; legal: --chart FILE.png, --csv or --json");
  const tuner::MapGrid grid = read_grid(arguments, c, c.bands.size() == 1 ? 301 : 141);
  if ((kind == MapKind::stress || kind == MapKind::limiting_part) && !tuner::has_ratings(c.tuner)) {
    throw UsageError(c.origin +
                     ": no part has a rating, so no map of stress; legal: rating = { voltage = \"500 V\" } in a bank");
  }
  // Without --map the chart of loads across bands is that of the SWR, no map.
  const bool swept = std::any_of(c.bands.begin(), c.bands.end(),
                                 [](const tuner::BandPoints& band) { return band.frequency_hz.size() > 1; });
  const bool sweeps = draw && !mapped && swept && !c.loads.empty();
  for (const char* option : {"--plane", "--reference", "--r-most", "--x-most", "--cells"}) {
    if (sweeps && arguments.has(option))
      throw UsageError(
          fmt::format("{} belongs to a map, and the chart of loads across bands is none; legal: --map KIND", option));
  }
  if (!sweeps) check_maps(c, draw);
  const auto step = [&](const std::string& line) { progress.step(line); };
  tuner::RangeSurvey survey = tuner::survey_range(c, step);
  const auto goal = [](MapKind of) {
    if (of == MapKind::matchable || of == MapKind::swr) return tuner::Goal::least_swr;
    return of == MapKind::delivered ? tuner::Goal::most_delivered : tuner::Goal::least_loss;
  };
  std::vector<tuner::RangeMap> maps;
  if (mapped || (draw && !sweeps)) maps = tuner::survey_maps(c, grid, goal(kind), step);
  Answer answer;
  if (draw) {
    // The edge of the range is that of the least SWR; the SWR of least lossy states lies close to the limit everywhere.
    const bool own_edge = goal(kind) == tuner::Goal::least_swr;
    answer.chart =
        sweeps ? sweeps_chart(c, survey)
               : map_chart(c, maps, own_edge ? maps : tuner::survey_maps(c, grid, tuner::Goal::least_swr, step), kind);
  }
  if (!maps.empty()) answer.warning = loads_outside(c, grid);
  if (!mapped) maps.clear();
  answer.reason = range_reason(c, survey);
  if (format == Format::json) {
    answer.output = range_json(c, std::move(survey), std::move(maps));
  } else {
    answer.output = whole_text(format == Format::text ? range_text(c, survey)
                               : mapped               ? maps_csv(c, maps)
                                                      : range_csv(c, survey));
  }
  return answer;
}

Answer greedy_job(const Arguments& arguments, Progress& progress, Format format, bool draw) {
  const RangeCase c = read_range_case(arguments);
  need_switched(c, "--greedy");
  const tuner::MapGrid grid = read_grid(arguments, c, 161);
  if (c.loads.empty() && !draw)
    throw UsageError(
        "no load is given; legal: --load 12-230j, --load-file FILE.s1p, a station file, or --chart for a map");
  if (draw && c.bands.size() != 1)
    throw UsageError("the chart of --greedy is for one frequency; legal: --frequency 7.1MHz");
  const auto step = [&](const std::string& line) { progress.step(line); };
  const std::vector<tuner::GreedyAnswer> answers = tuner::survey_greedy(c, step);
  Answer answer;
  if (draw) {
    const double f = c.bands.front().middle_hz;
    answer.chart = greedy_chart(c, grid, f, tuner::map_greedy(c.tuner, f, c.source.z_ohm, c.swr_limit, grid, step));
    answer.warning = loads_outside(c, grid);
  }
  answer.output = whole_text(format == Format::json  ? greedy_json(c, answers)
                             : format == Format::csv ? greedy_csv(c, answers)
                                                     : greedy_text(c, answers));
  answer.reason = greedy_reason(c, answers);
  return answer;
}

Answer sizing_job(const Arguments& arguments, Progress& progress, Format format, bool draw) {
  const RangeCase c = read_range_case(arguments);
  need_switched(c, "--sizing");
  if (c.loads.empty())
    throw UsageError("no load is given; legal: --load 12-230j, --load-file FILE.s1p or a station file");
  tuner::SizingRequest request;
  request.frame = c.tuner;
  request.swr_limit = c.swr_limit;
  const int most = static_cast<int>(tuner::most_sizing_bits(c.tuner.form));
  request.most_bits = static_cast<std::size_t>(arguments.count("--bits", 1, most).value_or(8));
  if (const auto text = arguments.text("--inductor-steps"))
    request.steps_h = read_limits(*text, Unit::henry, "--inductor-steps");
  if (const auto text = arguments.text("--capacitor-steps"))
    request.steps_f = read_limits(*text, Unit::farad, "--capacitor-steps");
  const std::vector<tuner::SizingLoad> loads = tuner::sizing_loads(c);
  progress.step(fmt::format("banks of up to {} parts for {} loads", request.most_bits, loads.size()));
  const tuner::SizingResult result = tuner::size_banks(request, c.source.z_ohm, loads);
  Answer answer;
  if (draw) answer.chart = sizing_chart(c, result);
  answer.output = whole_text(format == Format::json  ? sizing_json(c, result)
                             : format == Format::csv ? sizing_csv(c, result)
                                                     : sizing_text(c, result, loads.size()));
  if (result.status != tuner::TunerStatus::found)
    answer.reason =
        fmt::format("no bank of up to {} parts brings every load to SWR {}", request.most_bits, c.swr_limit);
  return answer;
}

Answer whip_job(const Arguments& arguments, Progress& progress, Format format, bool draw) {
  const RangeCase c = read_range_case(arguments, false, {tuner::band_points("", 1.8e6, 30e6, 2)});
  need_switched(c, "--whip-study");
  if (c.bands.size() != 1 || c.bands.front().frequency_hz.size() < 2)
    throw UsageError("--whip-study takes one range of frequencies; legal: --bands 1.8MHz:30MHz");
  tuner::WhipQuestion question;
  if (const auto text = arguments.text("--lengths")) question.lengths_m = read_limits(*text, Unit::metre, "--lengths");
  question.radius_m = arguments.positive("--whip-radius", Unit::metre, question.radius_m);
  question.counterpoise_m = arguments.positive("--counterpoise", Unit::metre, question.counterpoise_m);
  question.lying_height_m = arguments.positive("--lying-height", Unit::metre, question.lying_height_m);
  question.base_height_m = arguments.positive("--base-height", Unit::metre, question.base_height_m);
  if (const auto ground = arguments.text("--ground")) question.ground = read_ground(*ground, "--ground");
  question.carried = !arguments.has("--no-person");
  question.step.coil_q = arguments.positive("--coil-q", Unit::one, question.step.coil_q);
  question.step.capacitor_q = arguments.positive("--capacitor-q", Unit::one, question.step.capacitor_q);
  if (question.lengths_m.low < 10.0 * question.radius_m)
    throw UsageError("the shortest whip of --lengths must be at least ten times --whip-radius long");
  question.band_hz = {c.bands.front().frequency_hz.front(), c.bands.front().frequency_hz.back()};
  question.frequencies = draw ? 31 : 15;
  const tuner::ShortWhipStudy study = tuner::study_short_whips(c.tuner, c.source.z_ohm, question, c.swr_limit,
                                                               [&](const std::string& line) { progress.step(line); });
  Answer answer;
  if (draw) answer.chart = whip_chart(c, question, study);
  answer.output = whole_text(format == Format::json  ? whip_json(c, question, study)
                             : format == Format::csv ? whip_csv(c, study)
                                                     : whip_text(c, question, study));
  return answer;
}

std::string run(const Description& description, const Arguments& arguments) {
  const Format format = arguments.format();
  const std::vector<std::string> files = chart_files(arguments);  // a wrong one is told before the work
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
  if (!answer.warning.empty()) warn(description, arguments, answer.warning);
  return answer.reason;
}

}  // namespace

int main(int argc, char** argv) {
  const Description description = describe_tool();
  return run_tool(description, argc, argv, [&](const Arguments& arguments) { return run(description, arguments); });
}

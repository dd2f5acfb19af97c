// stile-sweep: reads, judges, corrects, fits and compares measured sweeps.

#include <algorithm>
#include <functional>

#include <fmt/core.h>

#include <stile/base/table.hpp>
#include <stile/coil/winding.hpp>
#include <stile/station/wires_file.hpp>
#include <stile/station/wires_write.hpp>
#include <stile/sweep/measured_sweep.hpp>

#include "cli/chart.hpp"
#include "cli/command_line.hpp"
#include "cli/output.hpp"
#include "cli/part.hpp"
#include "cli/plausible.hpp"
#include "cli/progress.hpp"
#include "cli/run.hpp"
#include "cli/table.hpp"
#include "sweep/charts.hpp"
#include "sweep/report.hpp"

namespace {

using namespace stile;
using namespace stile::tools;
namespace plausible = station::plausible;

Description describe_tool() {
  Description d;
  d.name = "stile-sweep";
  d.summary = "reads measured sweeps, says what is wrong with them, undoes cable and adapter, fits and compares";
  d.usage = "FILE... [OPTION]...";
  d.examples = "stile-sweep examples/loads/whip3m_lifted.s1p examples/loads/whip3m_wetpeat.s1p --band 7MHz:7.2MHz\n"
               "stile-sweep examples/loads/whip3m_heather.s1p --remove RG-58,50cm --band 7MHz:7.2MHz --json";
  d.options = {
      reading(
          {"FILE", "",
           "a measured sweep: Touchstone (.s1p .s2p .ts) or a table (.csv); - is standard input. The first is worked "
           "on, each further one is compared with it",
           true}),
      {"--judge", "", "findings alone"},
      {"--option-line", "TEXT", "for a Touchstone file without an option line: \"MHz S RI R 50\""},
      {"--reference", "R",
       "what the instrument was calibrated to, 1 ohm to 10 kohm: compared with the file, and the reference of SWR and "
       "reflection in tables; default 50"},
      {"--above-one", "cut|keep|scale",
       "points with |S11| > 1: cut, keep or scale (by --reference-error); default cut, for --fit keep"},
      {"--reference-error", "SHARE", "error of the calibration's reference, 0 to 50%"},
      {"--error", "E",
       "error of S11 as the instrument's maker states it, standard deviation of each part, 0..0.5; default: "
       "the scatter of neighbours"},
      {"--band", "FROM:TO", "use this range of frequencies alone, 100Hz..10GHz"},
      reading({"--open", "FILE",
               "sweep of an open at the plane wanted; with --short and --match undoes whatever lies before it"}),
      reading({"--short", "FILE", "sweep of a short there"}),
      reading({"--match", "FILE", "sweep of a known resistance there"}),
      {"--match-ohm", "Z", "the known resistance, |Z| 1 ohm to 10 kohm, real part > 0; default 50"},
      {"--open-capacitance", "C", "of the open, F, 0 or 0.1fF to 100pF; default 0"},
      {"--short-inductance", "L", "of the short, H, 0 or 1pH to 1uH; default 0"},
      reading({"--estimate-line", "FILE",
               "sweep of the cable alone, its far end open or shorted: its length and loss are estimated, and "
               "it is removed; --open, --short, --match correct it too, and must reach over its frequencies"}),
      {"--far-end", "open|shorted", "the end in --estimate-line; default open"},
      {"--line-z0", "R", "impedance of the cable in --estimate-line, 5 ohm to 2 kohm; default 50"},
      {"--line-vf", "V", "its velocity factor, 0.05 to 1, for the length in metres; default 0.66"},
      {"--remove", "LINE",
       "a line between instrument and load, as --line of stile-net; what is removed stands in order from "
       "instrument to load",
       true},
      {"--remove-series", "PART", "a part in series: a choke", true},
      {"--remove-shunt", "PART", "a part across", true},
      {"--remove-transformer", "N:M", "an ideal transformer, turns at the instrument's side first", true},
      reading({"--remove-network", "FILE", "an adapter: its two-port Touchstone file, port 1 at the instrument", true}),
      {"--extend", "T",
       "port extension: moves the plane by this one-way delay towards the load, s, -1us to 1us; negative: back", true},
      {"--fit", "series-rlc|parallel-rlc|coil|antenna|quarter-wave", "parameters of a model, with their uncertainty"},
      reading({"--compare", "FILE", "a sweep or a computed load to compare with, as it stands", true}),
      {"--coil", "N,L", "a series coil at its present tap, turns and inductance: what moved in its turns"},
      {"--coil-winding", "N,D,P,W,TAP",
       "the same from geometry: turns in all, diameter between wire centres, pitch, wire diameter, and the turns in "
       "use"},
      reading({"--calibrate", "WIRES.toml",
               "seek the soil under each measured condition and the stray capacitance at the base with which these "
               "wires show "
               "what "
               "was measured; takes minutes"}),
      {"--condition", "NAME",
       "the condition of the wires that a FILE was taken in, and of the log: one for each FILE, in order; "
       "default: the file's name without ending",
       true},
      {"--hold-back", "FROM:TO", "a band that --calibrate leaves out and foretells", true},
      {"--points", "N", "frequencies of a condition at which --calibrate compares, 4..200; default 12"},
      {"--fast", "", "--calibrate with the ground by a complex image, see stile-whip"},
      {"--every-point", "",
       "--calibrate solves at each of them; default: within a band, currents are interpolated between a few "
       "solved frequencies, to 1e-4 of |Z|"},
      {"--no-stray", "", "--calibrate without the stray capacitance"},
      {"--write-wires", "FILE", "write the calibrated wires file, which stile-whip and a station take", false, true},
      {"--counterpoise", "", "--calibrate also seeks the effective length of the wires but the fed one"},
      {"--radiation", "F,R,U",
       "computed radiation resistance R +- U at the feed, ohm, at the frequency F: what else is lost there, and "
       "the efficiency"},
      {"--coil-resonances", "F1,C1,F2,C2",
       "resonances of a coil with two known capacitors across it (0pF: none): its inductance "
       "and self-capacitance, frequencies within 0.1 %, capacitors within 1 %"},
      {"--tuner-swr", "HALF,DOUBLE",
       "SWR of a matched tuner with half and with double the load: its loss, readings within 0.05"},
      reading({"--relays", "FILE",
               "readings of a bank as a table: frequency_hz or frequency_mhz, r_ohm, x_ohm and inductance_h or "
               "capacitance_f "
               "(empty in the first row, nothing switched), and relay: which switch as they should"}),
      {"--series-at-port2", "R",
       "resistance between port 2 and the instrument of a two-port, ohm, 0 or 0.001 to 1e6: part of the load; default "
       "0"},
      reading({"--log", "FILE",
               "a log as a table: frequency_hz or frequency_mhz, and any of time, place, ground, wetness, condition, "
               "state, swr, power_w, current_a, report_db or report_s or field_v_m, and foretold_db or foretold_v_m; "
               "its SWR "
               "is "
               "compared with the FILE of its condition, its reports of two states with each other and with what is "
               "foretold"}),
      {"--detect", "STEP,FADING", "how many alternations show a step through fading, both 0.01 to 60 dB: 2dB,4dB"},
      {"--renormalise", "Z", "also give the reflection against this impedance, |Z| 1 ohm to 10 kohm, real part > 0"},
      {"--waves", "power|pseudo|travelling", "its definition; to be stated with --renormalise"},
      {"--touchstone", "FILE",
       "write the corrected impedance as a one-port Touchstone file; - writes it to standard output, and the result "
       "only "
       "with -o",
       false, true},
      {"--show", "WHAT",
       std::string("what --chart draws: ") + sweep_shows + "; default impedance. impedance and smith have every file"}};
  d.notes =
      std::string(part_notes) +
      "A table has frequency_hz (_khz, _mhz, _ghz) and r_ohm,x_ohm or z_ohm,angle_deg or s11_re,s11_im or reflection "
      "or\n"
      "return_loss_db with angle_deg, or swr alone; separated by commas, or by semicolons or tabs (then with decimal "
      "commas).\n"
      "Uncertainty: standard deviation of R and of X of each point, carried through every correction, with the error "
      "of the\n"
      "adapter, cable or standards that correct. In that of a fitted parameter the error of --error, with which an "
      "adapter "
      "was\n"
      "measured too, and that of an estimated cable count as errors that are the same at all points. The cable of\n"
      "--estimate-line is taken as swept with the instrument calibrated as for FILE: --error then is one error of "
      "both,\n"
      "of which a part may cancel. Behind --open, --short, --match an error that all sweeps share is taken away, and\n"
      "--error counts no more but where there are too few points (below 9) to tell scatter.\n";
  d.charts = true;
  d.rules = {
      only_with({"--show"}, {"--chart"}),
      only_with({"--reference-error"}, {"--above-one scale"}),
      only_with({"--above-one scale"}, {"--reference-error"}),
      only_with({"--open"}, {"--short"}),
      only_with({"--short"}, {"--match"}),
      only_with({"--match"}, {"--open"}),
      only_with({"--match-ohm", "--open-capacitance", "--short-inductance"}, {"--match"}),
      only_with({"--far-end", "--line-z0", "--line-vf"}, {"--estimate-line"}),
      only_with({"--hold-back", "--points", "--fast", "--every-point", "--no-stray", "--write-wires", "--counterpoise"},
                {"--calibrate"}),
      only_with({"--condition"}, {"--calibrate", "--log"}),
      not_with({"--coil"}, {"--coil-winding"}),
      only_with({"--waves"}, {"--renormalise"}),
      only_with({"--renormalise"}, {"--waves"}),
      not_with({"--judge"}, {"--fit", "--compare", "--touchstone", "--chart", "--remove", "--remove-network", "--open",
                             "--estimate-line", "--extend", "--remove-series", "--remove-shunt", "--remove-transformer",
                             "--renormalise", "--calibrate", "--log"})};
  d.does_not_hold = "a file has nothing usable, or the data refuse the model of --fit or leave --calibrate open (the "
                    "result is written)";
  return d;
}

template <class Value>
Value chosen(const Arguments& arguments, const std::string& option,
             const std::vector<std::pair<std::string, Value>>& legal, Value otherwise) {
  const auto text = arguments.text(option);
  if (!text) return otherwise;
  std::string list;
  for (const auto& [word, value] : legal) {
    if (*text == word) return value;
    list += " " + word;
  }
  throw ParseError({option, 0, 1}, fmt::format("\"{}\" is not known; legal:{}", *text, list));
}

sweep::JudgeOptions read_judge_options(const Arguments& arguments) {
  sweep::JudgeOptions options;
  using sweep::AboveOne;
  options.above_one = chosen<AboveOne>(arguments, "--above-one",
                                       {{"cut", AboveOne::cut}, {"keep", AboveOne::keep}, {"scale", AboveOne::scale}},
                                       arguments.has("--fit") ? AboveOne::keep : AboveOne::cut);
  options.reference_error = arguments.share("--reference-error").value_or(0.0);
  options.instrument_error = plausible_or(arguments, "--error", plausible::instrument_error, 0.0);
  if (options.reference_error > 0.5) throw ParseError({"--reference-error", 0, 1}, "out of range; legal: 0..50%");
  options.reference_ohm = find_plausible(arguments, "--reference", plausible::reference_impedance);
  if (const auto band = arguments.text("--band")) {
    const Range range = read_plausible_limits(*band, plausible::measured_frequency, "--band");
    options.band_low_hz = range.low;
    options.band_high_hz = range.high;
  }
  return options;
}

SweepFile read_file(const std::string& path, const Arguments& arguments, const sweep::JudgeOptions& options,
                    const sweep::JudgeOptions* band = nullptr) {
  sweep::ReadOptions reading;
  reading.option_line = arguments.text("--option-line");
  reading.reference_ohm = plausible_or(arguments, "--reference", plausible::reference_impedance, 50.0);
  SweepFile file;
  file.read = sweep::read_sweep_file(path, reading);
  if (reading.option_line)
    for (const double r : file.read.reference_ohm)
      require_plausible(r, print_quantity(r, Unit::ohm), plausible::reference_impedance, {"--option-line", 0, 1});
  if (band) file.read = sweep::in_band(file.read, band->band_low_hz, band->band_high_hz);
  file.judged = sweep::judge(file.read, options);
  return file;
}

sweep::OnePort read_one_port(const std::string& path, const Arguments& arguments, const sweep::JudgeOptions& options,
                             const sweep::JudgeOptions* band = nullptr) {
  const SweepFile file = read_file(path, arguments, options, band);
  return sweep::one_port(file.read, options, file.judged);
}

/// What lies between instrument and load, undone in order.
class Corrections {
public:
  Corrections(const Arguments& arguments, const sweep::JudgeOptions& options, SweepCase& c) {
    sweep::JudgeOptions as_is = options;
    as_is.above_one = sweep::AboveOne::keep;
    as_is.keep_open = true;
    sweep::JudgeOptions whole = as_is;  // of standards and adapters a point beyond each edge of the band is needed
    whole.band_low_hz.reset();
    whole.band_high_hz.reset();
    if (const auto open = arguments.text("--open")) {
      standards_.match_ohm = read_plausible_impedance(arguments.text("--match-ohm").value_or("50"),
                                                      plausible::known_resistance, {"--match-ohm", 0, 1});
      standards_.open_capacitance_f = plausible_or(arguments, "--open-capacitance", plausible::open_capacitance, 0.0);
      standards_.short_inductance_h = plausible_or(arguments, "--short-inductance", plausible::short_inductance, 0.0);
      for (const char* option : {"--open", "--short", "--match"})
        sweeps_.push_back(read_one_port(*arguments.text(option), arguments, whole, &options));
      steps_.push_back({[this](const sweep::OnePort& s) {
                          return sweep::correct_open_short_load(s, sweeps_[0], sweeps_[1], sweeps_[2], standards_);
                        },
                        fmt::format("open, short and load: {}, {}, {} ({} ohm)", *open, *arguments.text("--short"),
                                    *arguments.text("--match"), print_impedance(standards_.match_ohm))});
    }
    if (const auto file = arguments.text("--estimate-line")) {
      using sweep::FarEnd;
      const FarEnd end =
          chosen<FarEnd>(arguments, "--far-end", {{"open", FarEnd::open}, {"shorted", FarEnd::shorted}}, FarEnd::open);
      c.line = sweep::estimate_line(apply(read_one_port(*file, arguments, as_is)), end,  // behind the same standards
                                    plausible_or(arguments, "--line-z0", plausible::cable_impedance, 50.0),
                                    plausible_or(arguments, "--line-vf", plausible::velocity_factor, 0.66));
      steps_.push_back(
          {[line = *c.line](const sweep::OnePort& s) { return sweep::remove_line(s, line); },
           fmt::format("line removed: {} as estimated from {}", print_quantity(c.line->length_m, Unit::metre), *file)});
    }
    for (const auto& [option, text] : arguments.in_order()) {
      if (option == "--remove") add_part(read_line(text, option), "line removed: " + text);
      if (option == "--remove-series")
        add_part(read_part(text, network::Place::series, option), "in series, removed: " + text);
      if (option == "--remove-shunt")
        add_part(read_part(text, network::Place::shunt, option), "across, removed: " + text);
      if (option == "--remove-transformer") add_part(read_transformer(text, option), "transformer removed: " + text);
      if (option == "--remove-network") {
        const sweep::Adapter adapter =
            sweep::adapter(read_file(text, arguments, whole, &options).read, options.instrument_error);
        steps_.push_back({[adapter](const sweep::OnePort& s) { return sweep::remove_adapter(s, adapter); },
                          "adapter removed: " + text});
      }
      if (option == "--extend") {
        const double delay = read_plausible(text, plausible::port_extension, {option, 0, 1});
        steps_.push_back(
            {[delay](const sweep::OnePort& s) { return sweep::extend_port(s, delay); }, "port extension: " + text});
      }
    }
    for (const Step& step : steps_) c.corrections.push_back(step.what);
  }
  Corrections(const Corrections&) = delete;
  Corrections& operator=(const Corrections&) = delete;

  sweep::OnePort apply(sweep::OnePort sweep) const {
    for (const Step& step : steps_) sweep = step.undo(sweep);
    return sweep;
  }

private:
  struct Step {
    std::function<sweep::OnePort(const sweep::OnePort&)> undo;
    std::string what;
  };
  void add_part(const network::Element& part, std::string what) {
    network::Ladder ladder;
    ladder.elements.push_back(part);
    steps_.push_back({[ladder](const sweep::OnePort& s) { return sweep::remove_ladder(s, ladder); }, std::move(what)});
  }
  std::vector<Step> steps_;
  std::vector<sweep::OnePort> sweeps_;
  sweep::Standards standards_;
};

sweep::CoilTap read_coil(const std::string& text) {
  const std::size_t comma = text.find(',');
  if (comma == std::string::npos) throw ParseError({"--coil", 0, 1}, "turns and inductance are needed; legal: 20,22uH");
  sweep::CoilTap coil;
  coil.turns = read_plausible(text.substr(0, comma), plausible::turns, {"--coil", 0, 1});
  coil.inductance_h = read_plausible(text.substr(comma + 1), plausible::inductance, {"--coil", 0, comma + 2});
  return coil;
}

/// The condition that each file was taken in.
std::vector<std::string> conditions_of(const Arguments& arguments, const std::vector<std::string>& paths) {
  std::vector<std::string> names = arguments.texts("--condition");
  if (!names.empty() && names.size() != paths.size())
    throw UsageError(
        fmt::format("{} conditions for {} files; legal: one for each, or none", names.size(), paths.size()));
  if (names.empty()) {
    for (const std::string& path : paths) {
      const std::size_t slash = path.rfind('/');
      const std::string file = slash == std::string::npos ? path : path.substr(slash + 1);
      names.push_back(file.substr(0, file.rfind('.')));
    }
  }
  return names;
}

void calibrate_wires(const Arguments& arguments, const std::vector<sweep::OnePort>& sweeps,
                     const std::vector<std::string>& names, Progress& progress, SweepCase& c) {
  const std::string path = *arguments.text("--calibrate");
  const std::string text = read_text_file(path);
  std::vector<sweep::MeasuredCondition> measured;
  for (std::size_t i = 0; i < sweeps.size(); ++i) measured.push_back({names[i], sweeps[i]});
  sweep::CalibrateOptions options;
  options.stray = !arguments.has("--no-stray");
  options.points = static_cast<std::size_t>(arguments.count("--points", 4, 200).value_or(12));
  if (arguments.has("--fast")) options.solve.method = wire::GroundMethod::complex_image;
  options.solve.every_point = arguments.has("--every-point");
  for (const std::string& band : arguments.texts("--hold-back"))
    options.held_back.push_back(read_plausible_limits(band, plausible::measured_frequency, "--hold-back"));
  if (arguments.has("--counterpoise"))
    options.stretched = [&](double factor) {
      return station::read_wires(station::with_calibration(text, path, {}, std::nullopt, {}, factor), path);
    };
  c.calibration = sweep::calibrate(station::read_wires(text, path), measured, options,
                                   [&progress](std::size_t made) { progress.step(fmt::format("{} solutions", made)); });
  std::vector<station::ConditionGround> grounds;
  for (const sweep::CalibratedCondition& k : c.calibration->conditions)
    grounds.push_back({k.condition, wire::lossy_ground(k.relative_permittivity.value, k.conductivity_s_m.value)});
  std::vector<std::string> remarks{version_text("stile-sweep") + ": " + path + " calibrated to sweeps"};
  for (const sweep::CalibratedCondition& k : c.calibration->conditions)
    remarks.push_back(
        fmt::format("{}: misfit of S11 {} rms, as drawn {}", k.condition, figure(k.misfit), figure(k.misfit_drawn)));
  if (c.calibration->status != sweep::FitStatus::fitted)
    remarks.push_back("not carried by the data: " + c.calibration->why);
  c.wires_text = station::with_calibration(
      text, path, grounds, options.stray ? std::optional(c.calibration->base_capacitance_f.value) : std::nullopt,
      remarks, c.calibration->counterpoise_factor.value);
}

void read_field_log(const Arguments& arguments, const std::vector<sweep::OnePort>& sweeps,
                    const std::vector<std::string>& names, SweepCase& c) {
  const std::string path = *arguments.text("--log");
  c.log = sweep::read_log(read_text_file(path), path);
  std::vector<load::Load> loads;
  for (std::size_t i = 0; i < sweeps.size(); ++i) {
    loads.push_back(sweep::to_load(sweeps[i]));
    loads.back().name = names[i];
  }
  c.logged = sweep::compare_log(c.log, loads, {}, c.corrected->reference_ohm);
  const auto reports =
      std::count_if(c.log.begin(), c.log.end(), [](const sweep::LogEntry& e) { return e.report_db.has_value(); });
  if (reports > 0) c.alternation = sweep::judge_alternations(c.log);
}

/// "7.1MHz,2ohm": as many quantities as ranges.
std::vector<double> read_list(const std::string& text, const std::vector<station::Plausible>& ranges,
                              const std::string& option) {
  const std::vector<std::string> parts = split(text, ',');
  if (parts.size() != ranges.size())
    throw ParseError({option, 0, 1}, fmt::format("\"{}\": {} values; legal: {}, with commas between", text,
                                                 parts.size(), ranges.size()));
  std::vector<double> values;
  std::size_t column = 1;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    values.push_back(read_plausible(parts[i], ranges[i], {option, 0, column}));
    column += parts[i].size() + 1;
  }
  return values;
}

/// What needs no sweep.
bool learn_alone(const Arguments& arguments, SweepCase& c) {
  bool any = false;
  if (const auto text = arguments.text("--detect")) {
    const auto v = read_list(*text, {plausible::step, plausible::fading}, "--detect");
    c.needed = sweep::alternations_needed(v[0], v[1]);
    any = true;
  }
  if (const auto text = arguments.text("--coil-resonances")) {
    const auto v = read_list(*text,
                             {plausible::measured_frequency, plausible::known_capacitance,
                              plausible::measured_frequency, plausible::known_capacitance},
                             "--coil-resonances");
    c.coil = sweep::coil_from_resonances(sweep::within(v[0], 1e-3), sweep::within(v[1], 1e-2),
                                         sweep::within(v[2], 1e-3), sweep::within(v[3], 1e-2));
    any = true;
  }
  if (const auto text = arguments.text("--tuner-swr")) {
    const auto v = read_list(*text, {plausible::swr, plausible::swr}, "--tuner-swr");
    c.tuner_loss_db = sweep::tuner_loss_from_swr_db(sweep::Uncertain{v[0], 0.05}, sweep::Uncertain{v[1], 0.05});
    any = true;
  }
  if (const auto path = arguments.text("--relays")) {
    c.relays = sweep::read_relays(read_text_file(*path), *path);
    c.verdicts = sweep::judge_relays(c.relays->capacitors, c.relays->base_ohm, c.relays->readings,
                                     c.relays->frequency_hz, 0.5, 0.1);
    any = true;
  }
  return any;
}

SweepCase work(const Description& description, const Arguments& arguments) {
  SweepCase c;
  c.judge_only = arguments.has("--judge");
  c.cautions = safety::cautions({});
  const std::vector<std::string> paths = arguments.texts("FILE");
  if (learn_alone(arguments, c) && paths.empty()) return c;
  if (paths.empty()) throw UsageError("no sweep is given; legal: stile-sweep FILE.s1p");
  const sweep::JudgeOptions options = read_judge_options(arguments);
  std::optional<sweep::Model> model;
  if (const auto text = arguments.text("--fit")) {
    model = sweep::model_of_name(*text);
    if (!model)
      throw ParseError({"--fit", 0, 1},
                       fmt::format("\"{}\" is not a model; legal: series-rlc parallel-rlc coil antenna "
                                   "quarter-wave",
                                   *text));
  }
  std::optional<sweep::CoilTap> coil;
  if (const auto text = arguments.text("--coil")) coil = read_coil(*text);
  std::optional<std::vector<double>> winding;
  if (const auto text = arguments.text("--coil-winding"))
    winding = read_list(
        *text,
        {plausible::turns, plausible::coil_diameter, plausible::coil_pitch, plausible::coil_wire, plausible::turns},
        "--coil-winding");
  using network::WaveDefinition;
  c.waves = chosen<WaveDefinition>(arguments, "--waves",
                                   {{"power", WaveDefinition::power},
                                    {"pseudo", WaveDefinition::pseudo},
                                    {"travelling", WaveDefinition::travelling}},
                                   WaveDefinition::power);
  if (const auto text = arguments.text("--renormalise")) {
    c.renormalise_ohm = read_plausible_impedance(*text, plausible::reference_impedance, {"--renormalise", 0, 1});
  }
  for (const std::string& path : paths) c.files.push_back(read_file(path, arguments, options));
  const SweepFile& first = c.files.front();
  const bool more = arguments.has("--fit") || arguments.has("--compare") || arguments.has("--touchstone") ||
                    arguments.has("--chart") || c.renormalise_ohm || arguments.has("--calibrate") ||
                    arguments.has("--log");
  if (c.judge_only || (!more && (first.read.magnitude_only || !first.judged.usable))) return c;

  const Corrections corrections(arguments, options, c);
  c.measured = sweep::one_port(first.read, options, first.judged);
  c.corrected = corrections.apply(*c.measured);
  if (c.renormalise_ohm) c.reflection = sweep::renormalised_reflection(*c.corrected, *c.renormalise_ohm, c.waves);
  if (winding) {
    const std::vector<double>& w = *winding;
    const auto& f = c.corrected->frequency_hz;
    coil = sweep::tap_of(coil::plain_winding(w[0], w[1], w[2], w[3]), w[4], f[f.size() / 2]);
  }
  c.resonances = sweep::resonances(c.corrected->frequency_hz, c.corrected->z_ohm);
  if (first.read.ports == 2)
    c.two_port = sweep::two_port_losses(
        first.read, plausible_or(arguments, "--series-at-port2", plausible::series_resistance, 0.0));
  if (const auto text = arguments.text("--radiation")) {
    const auto v = read_list(
        *text, {plausible::measured_frequency, plausible::radiation_resistance, plausible::antenna_resistance},
        "--radiation");
    c.feed_loss_hz = v[0];
    c.feed_loss = sweep::loss_at(*c.corrected, v[0], {v[1], v[2]});
  }
  if (model) c.fit = sweep::fit(*c.corrected, *model);
  std::vector<sweep::OnePort> sweeps{*c.corrected};
  std::vector<std::string> names{conditions_of(arguments, paths)}, used{names.front()};
  for (std::size_t i = 1; i < c.files.size(); ++i) {
    const SweepFile& other = c.files[i];
    if (other.read.magnitude_only || !other.judged.usable) continue;
    sweeps.push_back(corrections.apply(sweep::one_port(other.read, options, other.judged)));
    c.others.push_back(sweeps.back());
    ++c.measured_others;
    used.push_back(names[i]);
    if (!arguments.has("--calibrate")) c.comparisons.push_back(sweep::compare(*c.corrected, sweeps.back(), coil));
  }
  for (const std::string& path : arguments.texts("--compare")) {
    sweep::JudgeOptions as_is = options;
    as_is.above_one = sweep::AboveOne::keep;
    c.others.push_back(read_one_port(path, arguments, as_is));
    c.comparisons.push_back(sweep::compare(*c.corrected, c.others.back(), coil));
  }
  Progress progress(description, arguments);
  if (arguments.has("--calibrate")) calibrate_wires(arguments, sweeps, used, progress, c);
  if (arguments.has("--log")) read_field_log(arguments, sweeps, used, c);
  return c;
}

std::string run(const Description& description, const Arguments& arguments) {
  const Format format = arguments.format();
  const std::vector<std::string> charts = chart_files(arguments);  // a wrong one is told before the work
  const auto result = arguments.result_output();
  const auto touchstone = arguments.text("--touchstone");
  const std::string show = arguments.text("--show").value_or("impedance");
  const std::vector<std::string> shows = split(sweep_shows, ' ');
  if (std::find(shows.begin(), shows.end(), show) == shows.end())
    throw UsageError(fmt::format("--show \"{}\": there is no such chart; legal: {}", show, sweep_shows));
  if (show == "residual" && !arguments.has("--fit")) throw UsageError("--show residual needs --fit");
  SweepCase c = work(description, arguments);
  c.show = show;
  if (show == "comparison" && c.comparisons.empty())
    throw UsageError("--show comparison needs a second file or --compare");

  Outputs outputs;
  if (touchstone) outputs.add(*touchstone, sweep_touchstone(c));
  if (const auto wires = arguments.text("--write-wires")) outputs.add(*wires, c.wires_text);
  if (result) {
    if (format == Format::json) {
      outputs.add(*result, sweep_json(c));
    } else {
      outputs.add(*result, format == Format::csv ? sweep_csv(c) : sweep_text(c));
    }
  }
  if (!charts.empty()) add_chart(sweep_chart(c), charts, description, arguments, outputs);
  outputs.commit();
  return sweep_reason(c);
}

}  // namespace

int main(int argc, char** argv) {
  const Description description = describe_tool();
  return run_tool(description, argc, argv, [&](const Arguments& arguments) { return run(description, arguments); });
}

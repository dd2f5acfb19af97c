// stile-whip: feed impedance, efficiency and field of a whip with its counterpoise over real ground.

#include <algorithm>
#include <array>
#include <cctype>
#include <iterator>
#include <utility>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include <stile/base/constants.hpp>
#include <stile/base/table.hpp>
#include <stile/station/wires_file.hpp>

#include "cli/chart.hpp"
#include "cli/command_line.hpp"
#include "cli/exposure.hpp"
#include "cli/ground.hpp"
#include "cli/output.hpp"
#include "cli/part.hpp"
#include "cli/plausible.hpp"
#include "cli/progress.hpp"
#include "cli/run.hpp"
#include "cli/table.hpp"
#include "whip/charts.hpp"
#include "whip/exposure.hpp"
#include "whip/report.hpp"

namespace {

using namespace stile;
using namespace stile::tools;
namespace plausible = station::plausible;

constexpr const char* shows = "impedance, smith, power, current, pattern, study, exposure, side";

Description describe_tool() {
  Description d;
  d.name = "stile-whip";
  d.summary = "feed impedance, efficiency and field of a whip with its counterpoise over real ground";
  d.usage = "FILE.toml  --frequency F | --sweep FROM:TO:POINTS  [OPTION]...";
  d.examples = "stile-whip examples/moor/whip.toml --frequency 7.1MHz\n"
               "stile-whip examples/moor/whip.toml --condition 'on heather' --sweep 7MHz:7.2MHz:5 --touchstone - | \\\n"
               "  stile-net --frequency 7.1MHz --load-file - --shunt C=356pF,Q=1000 --series L=21.8uH,Q=250";
  d.options = {
      reading({"FILE.toml", "", "the antenna: wires, ground, feed, coils, conditions; - is standard input"}),
      {"--frequency", "F", "frequency, 100kHz..300MHz", true},
      {"--sweep", "FROM:TO:POINTS",
       "frequencies at even steps, both ends included, 2..100000 points; several of both are joined", true},
      {"--condition", "NAME", "only this condition of the file; default: all", true},
      {"--ground", "GROUND",
       "this ground in every condition: \"free space\", \"perfect\", \"sea\", \"wet\", \"average\", \"medium dry\", "
       "\"very dry\", "
       "\"fresh water\", or relative permittivity, 1..1000, and conductivity, 0 or 1e-7 to 100 S/m: 15,1mS/m"},
      {"--spread", "",
       "behind each condition the same with the person's conductivity 30 % lower and higher, and 0.15 m shorter and "
       "taller; needs [person] in the file"},
      {"--power", "P", "power into the antenna for voltages and fields, 1mW to 2kW; default 5W"},
      {"--azimuth", "A", "direction of gains and pattern, degrees from the x axis towards y, -360..360; default 0"},
      {"--field", "X,Y,Z",
       "field at this point with --power into the antenna; metres, within 10 km, z from the ground up", true},
      {"--tuning-q", "Q",
       "of the coil that tunes the feed, for what is left of the power after it, 0.1 to 1e6; default 200"},
      {"--elevation", "FROM:TO",
       "mean gain between these elevations, over azimuth, degrees, 0..90 (free space -90..90); default 5:20 and 60:80",
       true},
      {"--reference", "R", "--show smith: of the reflection plane, 1 ohm to 10 kohm; default 50"},
      {"--detail", "", "--json: with pattern and currents of every point"},
      {"--study", "",
       "feed reactance and efficiency against the coil's place and the whip's length, at one --frequency; not in "
       "--csv"},
      {"--fineness", "N", "cells this many times shorter than by default, 0.25..16; default 1"},
      {"--fast", "",
       "ground by a complex image instead of the integrals: R 21 % low to 29 % high, X within 20 % of |Z|; with a wire "
       "shorter than a quarter wave R 6 % low to 11 % high, X within 1 %"},
      {"--every-point", "",
       "solve each frequency; default: within a range of more than 8, currents are interpolated between solved ones, "
       "to "
       "1e-4 of |Z|"},
      {"--max-unknowns", "N",
       "refuse larger problems, 10..20000; N unknowns take 16 N^2 byte, with --exposure and a person 40 N^2 more on "
       "each thread; default 2000 (64 MB)"},
      {"--threads", "N", "1..1000; default: as many as the machine has; the numbers do not depend on it"},
      {"--least-efficiency", "S", "status 1 when an efficiency is below this share: 5% or 0.05"},
      {"--touchstone", "FILE",
       "write the feed impedance as a one-port Touchstone file, with several conditions FILE-NAME.s1p; - writes it to "
       "standard output, and the result only with -o",
       false, true},
      {"--show", "WHAT",
       std::string("what --chart draws: ") + shows + "; default impedance; the last five at one frequency"}};
  for (Option& option : exposure_options()) d.options.push_back(std::move(option));
  d.notes =
      "Efficiency is the share of the power into the feed that reaches the far field; ground, metal and coils "
      "have the rest.\n"
      "Q is that of the impedance, tuned by one lossless reactance. Gains are over an isotropic radiator with "
      "the losses of\n"
      "antenna and ground inside, mismatch and matching outside.\n"
      "How far to trust it: against an independent solution R within 4 %, the whole within 1.2 % of |Z| (where the\n"
      "counterpoise is near half a wave 1.5 %, over perfect ground 8 %), shares 1 %; at --fineness 3 within 0.6 % of "
      "|Z|.\nThat is the solution of the model:\n"
      "straight round wires over flat uniform ground. Real ground leaves +-30..50 % on the lost part of R, and "
      "the ground\n"
      "resistance of a single radial was measured 2 to 5 times that of such a model. Frame, leads and person are "
      "part of the\n"
      "counterpoise: without [set] and [person] in the file the wander between conditions is overstated. A person is\n"
      "lossy cylinders, indicative: 0.6 S/m +-30 %, stature +-0.15 m (--spread). Vegetation is missing: grass and\n"
      "heather are not in the model.\n"
      "Limits: no wire nearer to lossy ground than 5 radii and none in it; radius at most a tenth of a straight "
      "piece and a\n"
      "hundredth of the wavelength (beyond: a warning); wires join only where points coincide. README lists the "
      "file's keys.\n";
  d.does_not_hold = "an efficiency is below --least-efficiency (the result is written)";
  d.charts = true;
  d.rules = {only_with({"--show"}, {"--chart"}), only_with({"--reference"}, {"--show smith"}),
             only_with({"--detail"}, {"--json"}), not_with({"--study"}, {"--csv"})};
  for (Rule& rule : exposure_rules()) d.rules.push_back(std::move(rule));
  return d;
}

/// @throws UsageError, ParseError  none, or one that the solver does not take
std::vector<double> solved_frequencies(const Arguments& arguments) {
  const std::vector<double> all = given_frequencies(arguments);
  for (const double f : all) {
    if (f < 1e5 || f > 3e8) {
      throw UsageError("frequency " + print_quantity(f, Unit::hertz, 6) + " is out of range; legal: 100kHz..300MHz");
    }
  }
  return all;
}

/// @param text  what was read, for the record
std::vector<wire::WireCase> read_conditions(const Arguments& arguments, std::string& text) {
  const auto file = arguments.text("FILE.toml");
  if (!file) throw UsageError("no wires file is given; legal: stile-whip FILE.toml");
  text = read_text_file(*file);
  const std::vector<wire::WireCase> all = station::read_wires(text, *file, {arguments.has("--spread")});
  std::vector<wire::WireCase> chosen;
  std::vector<std::string> names;
  for (const wire::WireCase& c : all) {
    if (c.corner_of.empty()) names.push_back(c.name);
  }
  for (const std::string& name : arguments.texts("--condition")) {
    const auto given = [&](const wire::WireCase& c) { return c.name == name; };
    if (std::any_of(chosen.begin(), chosen.end(), given))
      throw UsageError(fmt::format("--condition \"{}\" is given more than once; legal: once", name));
    if (std::find(names.begin(), names.end(), name) == names.end())
      throw UsageError(
          fmt::format("--condition \"{}\": {} has no such condition; legal: {}", name, *file, fmt::join(names, ", ")));
    std::copy_if(all.begin(), all.end(), std::back_inserter(chosen),
                 [&](const wire::WireCase& c) { return c.name == name || c.corner_of == name; });
  }
  if (chosen.empty()) chosen = all;
  if (const auto ground = arguments.text("--ground")) {
    for (wire::WireCase& c : chosen) {
      try {
        wire::put_on_ground(c, read_ground(*ground, "--ground"));
      } catch (const DomainError& error) {
        throw UsageError(fmt::format("--ground \"{}\": {}: {}", *ground, c.name, error.what()));
      }
    }
  }
  return chosen;
}

std::vector<wire::Vec3> read_points(const Arguments& arguments) {
  std::vector<wire::Vec3> points;
  for (const std::string& text : arguments.texts("--field")) {
    const std::vector<std::string> parts = split(text, ',');
    if (parts.size() != 3)
      throw UsageError("--field \"" + text + "\": not a point; legal: X,Y,Z in metres, as 0.5,0,1.2");
    std::size_t column = 1;
    std::array<double, 3> xyz{};
    for (std::size_t n = 0; n < 3; ++n) {
      xyz[n] = read_plausible(parts[n], plausible::field_coordinate, {"--field", 0, column});
      column += parts[n].size() + 1;
    }
    points.push_back({xyz[0], xyz[1], xyz[2]});
  }
  return points;
}

std::vector<std::pair<double, double>> read_elevations(const Arguments& arguments) {
  std::vector<std::pair<double, double>> ranges;
  for (const std::string& text : arguments.texts("--elevation")) {
    const std::vector<std::string> parts = split(text, ':');
    if (parts.size() != 2)
      throw UsageError("--elevation \"" + text + "\": not a range; legal: FROM:TO in degrees, as 5:20");
    const double from = read_quantity(parts[0], Unit::one, {"--elevation", 0, 1});
    const double to = read_quantity(parts[1], Unit::one, {"--elevation", 0, parts[0].size() + 2});
    if (!(from >= -90.0 && from < to && to <= 90.0))
      throw UsageError("--elevation \"" + text + "\": legal: FROM below TO, both within -90..90, over ground 0..90");
    ranges.emplace_back(from, to);
  }
  if (ranges.empty()) ranges = {{5.0, 20.0}, {60.0, 80.0}};
  return ranges;
}

wire::SolveOptions read_options(const Arguments& arguments) {
  wire::SolveOptions options;
  options.fineness = arguments.positive("--fineness", Unit::one, 1.0);
  if (options.fineness < 0.25 || options.fineness > 16.0) {
    throw ParseError({"--fineness", 0, 1},
                     fmt::format("\"{}\": out of range; legal: 0.25..16", *arguments.text("--fineness")));
  }
  if (arguments.has("--fast")) options.method = wire::GroundMethod::complex_image;
  options.every_point = arguments.has("--every-point");
  if (const auto most = arguments.count("--max-unknowns", 10, 20000))
    options.max_unknowns = static_cast<std::size_t>(*most);
  return wire::with_tables(std::move(options));  // shared by conditions and study
}

WhipJob read_job(const Arguments& arguments) {
  WhipJob job;
  job.task.frequency_hz = solved_frequencies(arguments);
  job.task.options = read_options(arguments);
  if (const auto threads = arguments.count("--threads", 1, 1000)) job.task.threads = static_cast<unsigned>(*threads);
  job.power_w = plausible_or(arguments, "--power", plausible::transmitter_power, 5.0);
  job.azimuth_rad = plausible_or(arguments, "--azimuth", plausible::direction_degrees, 0.0) * pi / 180.0;
  job.tuning_q = plausible_or(arguments, "--tuning-q", plausible::part_q, 200.0);
  job.elevations_deg = read_elevations(arguments);
  job.reference_ohm = plausible_or(arguments, "--reference", plausible::reference_impedance, 50.0);
  job.detail = arguments.has("--detail");
  job.field_points = read_points(arguments);
  job.show = arguments.text("--show").value_or("impedance");
  const std::vector<std::string> legal = split(shows, ',');
  if (std::none_of(legal.begin(), legal.end(),
                   [&](const std::string& s) { return s.substr(s.find_first_not_of(' ')) == job.show; })) {
    throw UsageError(fmt::format("--show \"{}\": there is no such chart; legal: {}", job.show, shows));
  }
  if (job.task.frequency_hz.size() != 1) {
    const bool one = job.show == "current" || job.show == "pattern" || job.show == "study" || job.show == "exposure" ||
                     job.show == "side";
    if (one) throw UsageError("--show " + job.show + " draws one frequency; legal: a single --frequency");
    if (arguments.has("--study")) throw UsageError("--study is made at one frequency; legal: a single --frequency");
  }
  job.task.conditions = read_conditions(arguments, job.input_text);
  return job;
}

/// "OUT-NAME.s1p" with what no file name should hold replaced.
std::string touchstone_name(const std::string& out, const std::string& condition) {
  std::string name;
  for (const char c : condition)
    name += std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_' || c == '.' ? c : '-';
  const std::size_t slash = out.rfind('/'), dot = out.rfind('.');
  const bool extension = dot != std::string::npos && (slash == std::string::npos || dot > slash + 1);
  return (extension ? out.substr(0, dot) : out) + "-" + name + (extension ? out.substr(dot) : ".s1p");
}

/// One file name a condition. @throws UsageError  two conditions would share one
std::vector<std::string> touchstone_names(const WhipJob& job, const std::string& out) {
  if (job.task.conditions.size() == 1) return {out};
  if (out == "-")
    throw UsageError("--touchstone - takes one condition; legal: choose it with --condition, or name a file");
  std::vector<std::string> names;
  for (const wire::WireCase& c : job.task.conditions) {
    names.push_back(touchstone_name(out, c.name));
    if (std::count(names.begin(), names.end(), names.back()) > 1) {
      throw UsageError(fmt::format(
          "two conditions would be written to {}; legal: names that differ in their letters and digits", names.back()));
    }
  }
  return names;
}

std::string run(const Description& description, const Arguments& arguments) {
  const Format format = arguments.format();
  const std::vector<std::string> files = chart_files(arguments);  // a wrong one is told before the work
  const auto least = arguments.share("--least-efficiency");
  const auto touchstone = arguments.text("--touchstone");
  const auto result = arguments.result_output();
  WhipJob job = read_job(arguments);
  const auto record = arguments.text("--record");
  const std::int64_t dated = record ? record_seconds() : 0;  // a wrong date is told before the work
  const bool assess = arguments.has("--exposure") || record || job.show == "exposure" || job.show == "side";
  safety::AssessOptions exposure = read_exposure(arguments);
  std::vector<std::string> touchstone_files;
  if (touchstone) touchstone_files = touchstone_names(job, *touchstone);

  const bool study = arguments.has("--study") || job.show == "study";
  std::size_t total = wire::solution_count(job.task);
  for (const wire::WireCase& c : job.task.conditions) {
    if (study) total += wire::study_count(c);
  }
  {
    Progress progress(description, arguments);
    const wire::SolutionProgress step = [&, done = std::size_t{0}]() mutable {
      progress.step(fmt::format("{} of {} solved", ++done, total));
    };
    job.cases = wire::sweep_conditions(job.task, step);
    for (const wire::WireCase& c : job.task.conditions) {
      if (study)
        job.studies.push_back(
            wire::study_antenna(c, job.task.frequency_hz.front(), job.tuning_q, job.task.options, step));
    }
    if (assess) {
      exposure.exposure.solve = job.task.options;
      exposure.exposure.threads = job.task.threads;
      job.exposed = exposure_cases(job.cases, job.power_w, exposure.exposure);
      job.exposure = safety::assess(job.exposed, exposure, [&](std::size_t done, std::size_t of) {
        progress.step(fmt::format("exposure, {} of {}", done + 1, of));
      });
    }
  }
  for (const wire::ConditionSweep& c : job.cases) {
    for (const std::string& warning : c.warnings) job.warnings.push_back(c.wires.name + ": " + warning);
  }
  for (const std::string& warning : job.warnings) warn(description, arguments, warning);
  job.caution_list = whip_cautions(job);

  Outputs outputs;
  for (std::size_t n = 0; n < touchstone_files.size(); ++n)
    outputs.add(touchstone_files[n], whip_touchstone(job, job.cases[n]));
  if (result && format == Format::json) outputs.add(*result, whip_json(job));
  if (result && format != Format::json) outputs.add(*result, format == Format::csv ? whip_csv(job) : whip_text(job));
  if (!files.empty()) add_chart(whip_chart(job, *arguments.text("FILE.toml")), files, description, arguments, outputs);
  if (record) outputs.add(*record, whip_record(*job.exposure, arguments, job.input_text, dated));
  outputs.commit();
  return least ? whip_reason(job, *least) : "";
}

}  // namespace

int main(int argc, char** argv) {
  const Description description = describe_tool();
  return run_tool(description, argc, argv, [&](const Arguments& arguments) { return run(description, arguments); });
}

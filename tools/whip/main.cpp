// stile-whip: feed impedance, efficiency and field of a whip with its counterpoise over real ground.

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <limits>
#include <set>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include <stile/base/constants.hpp>
#include <stile/load/touchstone.hpp>
#include <stile/plots/whip_current.hpp>
#include <stile/plots/whip_impedance.hpp>
#include <stile/plots/whip_pattern.hpp>
#include <stile/plots/whip_power.hpp>
#include <stile/safety/cautions.hpp>
#include <stile/wire/far_field.hpp>
#include <stile/wire/limits.hpp>
#include <stile/wire/near_field.hpp>

#include "cli/cautions.hpp"
#include "cli/chart.hpp"
#include "cli/circuit.hpp"
#include "cli/command_line.hpp"
#include "cli/json.hpp"
#include "cli/output.hpp"
#include "cli/part.hpp"
#include "cli/progress.hpp"
#include "cli/run.hpp"
#include "cli/table.hpp"
#include "whip/study.hpp"

namespace {

using namespace stile;
using namespace stile::tools;

constexpr const char* shows = "impedance, smith, power, current, pattern, study";
constexpr std::array<int, 4> low_angles_deg{5, 10, 20, 30};

Description describe_tool() {
  Description d;
  d.name = "stile-whip";
  d.summary = "feed impedance, efficiency and field of a whip with its counterpoise over real ground";
  d.usage = "FILE.toml  --frequency F | --sweep FROM:TO:POINTS  [OPTION]...";
  d.examples = "stile-whip examples/moor/whip.toml --frequency 7.1MHz\n"
               "stile-whip examples/moor/whip.toml --condition 'on heather' --sweep 7MHz:7.2MHz:5 --touchstone - | \\\n"
               "  stile-net --frequency 7.1MHz --load-file - --shunt C=382pF,Q=1000 --series L=21.2uH,Q=250";
  d.options = {
      {"FILE.toml", "", "the antenna: wires, ground, feed, coils, conditions; - is standard input"},
      {"--frequency", "F", "frequency, 100kHz..300MHz", true},
      {"--sweep", "FROM:TO:POINTS",
       "frequencies at even steps, both ends included, 2..100000 points; several of both are joined", true},
      {"--condition", "NAME", "only this condition of the file; default: all", true},
      {"--ground", "GROUND",
       "this ground in every condition: \"free space\", \"perfect\", \"sea\", \"wet\", \"average\", \"medium dry\", "
       "\"very dry\", "
       "\"fresh water\", or relative permittivity and conductivity: 15,1mS/m"},
      {"--power", "P", "power into the antenna for voltages and fields, W, > 0; default 5W"},
      {"--azimuth", "A", "direction of gains and pattern, degrees from the x axis towards y; default 0"},
      {"--field", "X,Y,Z", "field at this point with --power into the antenna; metres, z from the ground up", true},
      {"--reference", "R", "of the reflection plane in charts, ohm, > 0; default 50"},
      {"--detail", "", "pattern and currents of every point in the JSON"},
      {"--study", "",
       "feed reactance and efficiency against the coil's place and the whip's length, at one --frequency"},
      {"--fineness", "N", "cells this many times shorter than by default, 0.25..16; default 1"},
      {"--fast", "",
       "ground by a complex image instead of the integrals: R 3 % low to 21 % high, X within 2..10 % near a resonance "
       "of the "
       "counterpoise, 1 % elsewhere"},
      {"--every-point", "",
       "solve each frequency; default: within a range of more than 8, currents are interpolated between solved ones, "
       "to "
       "1e-4 of |Z|"},
      {"--max-unknowns", "N", "refuse larger problems, 10..20000; N unknowns take 16 N^2 byte; default 2000 (64 MB)"},
      {"--threads", "N", "1..1000; default: as many as the machine has; the numbers do not depend on it"},
      {"--least-efficiency", "S", "status 1 when an efficiency is below this share: 5% or 0.05"},
      {"--touchstone", "FILE",
       "write the feed impedance as a one-port Touchstone file, with several conditions FILE-NAME.s1p; - writes it to "
       "standard output, and the result only with -o",
       false, true},
      {"--show", "WHAT",
       std::string("what --chart draws: ") + shows + "; default impedance; the last three at one frequency"}};
  d.notes = "Efficiency is the share of the power into the feed that reaches the far field; ground, metal and coils "
            "have the rest.\n"
            "Q is that of the impedance, tuned by one lossless reactance. Gains are over an isotropic radiator with "
            "the losses of\n"
            "antenna and ground inside, mismatch and matching outside.\n"
            "How far to trust it: against an independent solution R within 4 %, the whole within 1.2 % of |Z| (1.5 % "
            "where the\n"
            "counterpoise is near half a wave), shares 1 %; at --fineness 3 within 0.6 % of |Z|. That is the solution "
            "of the model:\n"
            "straight round wires over flat uniform ground. Real ground leaves +-30..50 % on the lost part of R, and "
            "the ground\n"
            "resistance of a single radial was measured 2 to 5 times that of such a model. Frame, leads and person are "
            "part of the\n"
            "counterpoise: without them in the file the wander between conditions is overstated.\n"
            "Limits: no wire nearer to lossy ground than 5 radii and none in it; radius at most a tenth of a straight "
            "piece and a\n"
            "hundredth of the wavelength (beyond: a warning); wires join only where points coincide. README lists the "
            "file's keys.\n";
  d.does_not_hold = "an efficiency is below --least-efficiency (the result is written)";
  d.charts = true;
  return d;
}

// ---- what is asked for -------------------------------------------------------------------------------------------

std::vector<double> read_frequencies(const Arguments& arguments) {
  std::vector<double> all;
  for (const std::string& sweep : arguments.texts("--sweep")) {
    for (const double f : read_sweep(sweep, "--sweep")) all.push_back(f);
  }
  for (const std::string& text : arguments.texts("--frequency"))
    all.push_back(read_quantity(text, Unit::hertz, {"--frequency", 0, 1}));
  if (all.empty()) throw UsageError("no frequency is given; legal: --frequency 7.1MHz or --sweep 7MHz:7.2MHz:21");
  for (const double f : all) {
    if (f < 1e5 || f > 3e8) {
      throw UsageError("frequency " + print_quantity(f, Unit::hertz, 6) + " is out of range; legal: 100kHz..300MHz");
    }
  }
  std::sort(all.begin(), all.end());
  all.erase(std::unique(all.begin(), all.end()), all.end());
  return all;
}

Ground read_ground(const std::string& text) {
  const std::size_t comma = text.find(',');
  try {
    if (comma == std::string::npos) return ground_by_name(text);
    return lossy_ground(read_quantity(text.substr(0, comma), Unit::one, {"--ground", 0, 1}),
                        read_quantity(text.substr(comma + 1), Unit::siemens_per_metre, {"--ground", 0, comma + 2}));
  } catch (const DomainError& error) {
    throw ParseError({"--ground", 0, 1}, fmt::format("\"{}\": {}", text, error.what()));
  }
}

std::vector<WireCase> read_conditions(const Arguments& arguments) {
  const auto file = arguments.text("FILE.toml");
  if (!file) throw UsageError("no wires file is given; legal: stile-whip FILE.toml");
  const std::vector<WireCase> all = load_wires(*file);
  std::vector<WireCase> chosen;
  std::vector<std::string> names;
  for (const WireCase& c : all) names.push_back(c.name);
  for (const std::string& name : arguments.texts("--condition")) {
    const auto found = std::find(names.begin(), names.end(), name);
    if (found == names.end())
      throw UsageError(
          fmt::format("--condition \"{}\": {} has no such condition; legal: {}", name, *file, fmt::join(names, ", ")));
    chosen.push_back(all[static_cast<std::size_t>(found - names.begin())]);
  }
  if (chosen.empty()) chosen = all;
  if (const auto ground = arguments.text("--ground")) {
    for (WireCase& c : chosen) {
      c.ground = read_ground(*ground);
      try {
        check_antenna(c.antenna, c.ground);
      } catch (const DomainError& error) {
        throw UsageError(fmt::format("--ground \"{}\": {}: {}", *ground, c.name, error.what()));
      }
    }
  }
  return chosen;
}

std::vector<Vec3> read_points(const Arguments& arguments) {
  std::vector<Vec3> points;
  for (const std::string& text : arguments.texts("--field")) {
    const std::vector<std::string> parts = split(text, ',');
    if (parts.size() != 3)
      throw UsageError("--field \"" + text + "\": not a point; legal: X,Y,Z in metres, as 0.5,0,1.2");
    std::size_t column = 1;
    std::array<double, 3> xyz{};
    for (std::size_t n = 0; n < 3; ++n) {
      xyz[n] = read_quantity(parts[n], Unit::metre, {"--field", 0, column});
      column += parts[n].size() + 1;
    }
    points.push_back({xyz[0], xyz[1], xyz[2]});
  }
  return points;
}

/// Everything that was asked for, and what came out.
struct Job {
  WhipTask task;
  double power_w = 5.0;
  double azimuth_rad = 0.0;
  double reference_ohm = 50.0;
  std::string show;
  bool detail = false;
  std::vector<Vec3> field_points;
  std::vector<WhipCase> cases;
  std::vector<plots::WhipStudy> studies;
  std::vector<std::string> warnings;
  std::vector<Caution> caution_list;
};

SolveOptions read_options(const Arguments& arguments) {
  SolveOptions options;
  options.fineness = arguments.positive("--fineness", Unit::one, 1.0);
  if (options.fineness < 0.25 || options.fineness > 16.0) {
    throw ParseError({"--fineness", 0, 1},
                     fmt::format("\"{}\": out of range; legal: 0.25..16", *arguments.text("--fineness")));
  }
  if (arguments.has("--fast")) options.method = GroundMethod::complex_image;
  options.every_point = arguments.has("--every-point");
  if (const auto most = arguments.count("--max-unknowns", 10)) {
    if (*most > 20000)
      throw ParseError({"--max-unknowns", 0, 1}, fmt::format("\"{}\": out of range; legal: 10..20000", *most));
    options.max_unknowns = static_cast<std::size_t>(*most);
  }
  return options;
}

Job read_job(const Arguments& arguments) {
  Job job;
  job.task.frequency_hz = read_frequencies(arguments);
  job.task.options = read_options(arguments);
  if (const auto threads = arguments.count("--threads", 1)) {
    if (*threads > 1000)
      throw ParseError({"--threads", 0, 1}, fmt::format("\"{}\": out of range; legal: 1..1000", *threads));
    job.task.threads = static_cast<unsigned>(*threads);
  }
  job.power_w = arguments.positive("--power", Unit::watt, 5.0);
  job.azimuth_rad = arguments.quantity("--azimuth", Unit::one).value_or(0.0) * pi / 180.0;
  job.reference_ohm = arguments.positive("--reference", Unit::ohm, 50.0);
  job.detail = arguments.has("--detail");
  job.field_points = read_points(arguments);
  job.show = arguments.text("--show").value_or("impedance");
  const std::vector<std::string> legal = split(shows, ',');
  if (std::none_of(legal.begin(), legal.end(),
                   [&](const std::string& s) { return s.substr(s.find_first_not_of(' ')) == job.show; })) {
    throw UsageError(fmt::format("--show \"{}\": there is no such chart; legal: {}", job.show, shows));
  }
  if (arguments.has("--show") && !arguments.has("--chart"))
    throw UsageError("--show says what a chart shows; legal: together with --chart FILE");
  if (job.task.frequency_hz.size() != 1) {
    const bool one = job.show == "current" || job.show == "pattern" || job.show == "study";
    if (one) throw UsageError("--show " + job.show + " draws one frequency; legal: a single --frequency");
    if (arguments.has("--study")) throw UsageError("--study is made at one frequency; legal: a single --frequency");
  }
  job.task.conditions = read_conditions(arguments);
  return job;
}

// ---- Touchstone --------------------------------------------------------------------------------------------------

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
std::vector<std::string> touchstone_names(const Job& job, const std::string& out) {
  if (job.task.conditions.size() == 1) return {out};
  if (out == "-")
    throw UsageError("--touchstone - takes one condition; legal: choose it with --condition, or name a file");
  std::vector<std::string> names;
  for (const WireCase& c : job.task.conditions) {
    names.push_back(touchstone_name(out, c.name));
    if (std::count(names.begin(), names.end(), names.back()) > 1) {
      throw UsageError(fmt::format(
          "two conditions would be written to {}; legal: names that differ in their letters and digits", names.back()));
    }
  }
  return names;
}

std::string ground_text(const Ground& ground) {
  if (ground.kind == GroundKind::free_space) return "free space";
  if (ground.kind == GroundKind::perfect) return "perfect ground";
  return fmt::format("ground of relative permittivity {:.4g}, {}", ground.relative_permittivity,
                     print_quantity(ground.conductivity_s_m, Unit::siemens_per_metre));
}

std::string write_touchstone(const Job& job, const WhipCase& c) {
  std::vector<OnePortPoint> points;
  for (const WhipPoint& p : c.points) points.push_back({p.solution.frequency_hz, p.solution.feed_ohm});
  std::vector<std::string> comments{version_text("stile-whip") + ": feed impedance computed from wires, not measured",
                                    "condition: " + c.wires.name + "; " + ground_text(c.wires.ground)};
  for (const Wire& w : c.wires.antenna.wires) {
    comments.push_back(fmt::format("wire \"{}\": {} long, radius {}", w.name,
                                   print_quantity(wire_length_m(w), Unit::metre),
                                   print_quantity(w.radius_m, Unit::metre)));
  }
  comments.push_back(
      "as a solution of this model R within 4 %, |Z| within 1.2 %; real ground +-30..50 % in the lost part of R");
  for (const std::string& warning : c.warnings) comments.push_back("warning: " + warning);
  for (const std::string& line : caution_lines(job.caution_list)) comments.push_back(line);
  return write_touchstone_1port(points, {TouchstoneKind::z, 50.0}, comments);
}

// ---- figures -----------------------------------------------------------------------------------------------------

double gain_dbi(const Job& job, const AntennaSolution& s, int elevation_deg) {
  return 10.0 * std::log10(antenna_gain(s, (90.0 - elevation_deg) * pi / 180.0, job.azimuth_rad));
}

struct Spread {
  double frequency_hz = 0.0;
  double r_low = 1e300, r_high = -1e300, x_low = 1e300, x_high = -1e300, efficiency_low = 1e300,
         efficiency_high = -1e300;
};

/// From the lowest to the highest of the conditions, at each frequency; empty for one condition.
std::vector<Spread> spread_of(const Job& job) {
  std::vector<Spread> all;
  if (job.cases.size() < 2) return all;
  for (std::size_t n = 0; n < job.task.frequency_hz.size(); ++n) {
    Spread s;
    s.frequency_hz = job.task.frequency_hz[n];
    for (const WhipCase& c : job.cases) {
      const AntennaSolution& p = c.points[n].solution;
      s.r_low = std::min(s.r_low, p.feed_ohm.real()), s.r_high = std::max(s.r_high, p.feed_ohm.real());
      s.x_low = std::min(s.x_low, p.feed_ohm.imag()), s.x_high = std::max(s.x_high, p.feed_ohm.imag());
      s.efficiency_low = std::min(s.efficiency_low, p.share.radiated),
      s.efficiency_high = std::max(s.efficiency_high, p.share.radiated);
    }
    all.push_back(s);
  }
  return all;
}

std::vector<Caution> cautions_of(const Job& job) {
  CautionCase facts;
  facts.power_w = job.power_w;
  facts.frequency_hz = job.task.frequency_hz.front();
  facts.whip_on_body = true;
  for (const WhipCase& c : job.cases) {
    for (const WhipPoint& p : c.points) {
      const double voltage = feed_voltage_v_peak(p.solution, job.power_w);
      if (voltage <= facts.load_voltage_v_peak) continue;
      facts.load_voltage_v_peak = voltage;
      facts.load_voltage_where =
          print_quantity(p.solution.frequency_hz, Unit::hertz, 6) + ", " + c.wires.name + ", all of it accepted";
    }
  }
  return cautions(facts);
}

/// Least Q of a lossless whip as long as the feed's wire, over a plane; nan where the bound does not apply.
double least_q(const WhipCase& c, double frequency_hz) {
  const Wire& whip = c.wires.antenna.wires[c.wires.antenna.feed.wire];
  const double length_m = wire_length_m(whip);
  return length_m < 20.0 * whip.radius_m ? std::numeric_limits<double>::quiet_NaN()
                                         : thin_cylinder_q(length_m, whip.radius_m, frequency_hz);
}

/// Whether anything is lost in lumps, the base's leakage or a person: columns that are shown only then.
bool lumps_or_person(const Job& job) {
  return std::any_of(job.cases.begin(), job.cases.end(), [](const WhipCase& c) {
    const AntennaShares& share = c.points.front().solution.share;
    return share.lump > 0.0 || share.person > 0.0;
  });
}

struct FieldPoint {
  Vec3 at;
  NearField field;
};

std::vector<FieldPoint> field_of(const Job& job, const AntennaSolution& s) {
  std::vector<FieldPoint> all;
  if (job.field_points.empty()) return all;
  const std::vector<NearField> fields = near_field(s, job.field_points, job.power_w);
  for (std::size_t n = 0; n < fields.size(); ++n) all.push_back({job.field_points[n], fields[n]});
  return all;
}

// ---- JSON and CSV ------------------------------------------------------------------------------------------------

Json json_vec(Vec3 v) { return Json::array({v.x_m, v.y_m, v.z_m}); }

Json json_point(const Job& job, const WhipCase& c, const WhipPoint& p) {
  const AntennaSolution& s = p.solution;
  Json gains = Json::array();
  for (const int deg : low_angles_deg) gains.push_back({{"elevation_deg", deg}, {"gain_dbi", gain_dbi(job, s, deg)}});
  Json j{{"condition", c.wires.name},
         {"frequency_hz", s.frequency_hz},
         {"feed_ohm", json_complex(s.feed_ohm)},
         {"efficiency", s.share.radiated},
         {"ground_loss_share", s.share.ground},
         {"metal_loss_share", s.share.metal},
         {"coil_loss_share", s.share.coil},
         {"lump_loss_share", s.share.lump},
         {"person_loss_share", s.share.person},
         {"q", p.q},
         {"least_q_lossless", least_q(c, s.frequency_hz)},
         {"feed_voltage_v_peak", feed_voltage_v_peak(s, job.power_w)},
         {"effective_height_m", effective_height_m(s)},
         {"gain", std::move(gains)},
         {"power_balance", s.power_balance},
         {"unknowns", s.unknowns}};
  Json fields = Json::array();
  for (const FieldPoint& f : field_of(job, s))
    fields.push_back({{"point_m", json_vec(f.at)}, {"e_v_m", f.field.e_v_m()}, {"h_a_m", f.field.h_a_m()}});
  if (!fields.empty()) j["field"] = std::move(fields);
  if (job.detail) {
    Json pattern = Json::array(), currents = Json::array();
    for (const PatternPoint& g : vertical_pattern(s, job.azimuth_rad, 91)) {
      pattern.push_back({{"elevation_deg", g.elevation_rad * 180.0 / pi}, {"gain_dbi", g.gain_dbi}});
    }
    for (const CellCurrent& cell : s.cells) {
      currents.push_back({{"wire", c.wires.antenna.wires[cell.wire].name},
                          {"start_m", json_vec(cell.start)},
                          {"end_m", json_vec(cell.end)},
                          {"start_share", json_complex(cell.start_a)},
                          {"end_share", json_complex(cell.end_a)}});
    }
    j["pattern"] = std::move(pattern);
    j["currents"] = std::move(currents);
  }
  return j;
}

Json json_study(const plots::WhipStudy& study) {
  const auto list = [](const std::vector<plots::WhipStudyPoint>& points, const char* key) {
    Json all = Json::array();
    for (const plots::WhipStudyPoint& p : points) {
      all.push_back({{key, p.x_m},
                     {"feed_ohm", json_complex(p.feed_ohm)},
                     {"efficiency", p.efficiency},
                     {"tuned_efficiency", p.tuned_efficiency}});
    }
    return all;
  };
  return {{"condition", study.condition},
          {"coil", list(study.coil, "coil_distance_m")},
          {"length", list(study.length, "whip_length_m")}};
}

std::string write_json(const Job& job) {
  Json conditions = Json::array(), points = Json::array(), spread = Json::array();
  for (const WhipCase& c : job.cases) {
    conditions.push_back({{"name", c.wires.name}, {"ground", ground_text(c.wires.ground)}, {"warnings", c.warnings}});
    for (const WhipPoint& p : c.points) points.push_back(json_point(job, c, p));
  }
  for (const Spread& s : spread_of(job)) {
    spread.push_back({{"frequency_hz", s.frequency_hz},
                      {"r_ohm", {s.r_low, s.r_high}},
                      {"x_ohm", {s.x_low, s.x_high}},
                      {"efficiency", {s.efficiency_low, s.efficiency_high}}});
  }
  Json j;
  j["tool"] = "stile-whip";
  j["version"] = version();
  j["power_w"] = job.power_w;
  j["conditions"] = std::move(conditions);
  j["points"] = std::move(points);
  j["spread"] = std::move(spread);
  if (!job.studies.empty()) {
    j["study"] = Json::array();
    for (const plots::WhipStudy& study : job.studies) j["study"].push_back(json_study(study));
  }
  j["warnings"] = job.warnings;
  j["cautions"] = cautions_json(job.caution_list);
  return json_text(j);
}

std::string write_csv(const Job& job) {
  std::vector<std::string> heading{"condition",  "frequency_hz",        "feed_r_ohm",        "feed_x_ohm",
                                   "efficiency", "ground_loss_share",   "metal_loss_share",  "coil_loss_share",
                                   "q",          "feed_voltage_v_peak", "effective_height_m"};
  const bool bodies = lumps_or_person(job);
  if (bodies) heading.insert(heading.begin() + 8, {"lump_loss_share", "person_loss_share"});
  for (const int deg : low_angles_deg) heading.push_back(fmt::format("gain_{}deg_dbi", deg));
  for (std::size_t n = 1; n <= job.field_points.size(); ++n) {
    heading.push_back(fmt::format("field_{}_e_v_m", n));
    heading.push_back(fmt::format("field_{}_h_a_m", n));
  }
  std::string text = csv_row(heading);
  for (const WhipCase& c : job.cases) {
    for (const WhipPoint& p : c.points) {
      const AntennaSolution& s = p.solution;
      std::vector<std::string> row{csv_text(c.wires.name)};
      for (const double value : {s.frequency_hz, s.feed_ohm.real(), s.feed_ohm.imag(), s.share.radiated, s.share.ground,
                                 s.share.metal, s.share.coil})
        row.push_back(csv_number(value));
      if (bodies) row.insert(row.end(), {csv_number(s.share.lump), csv_number(s.share.person)});
      for (const double value : {p.q, feed_voltage_v_peak(s, job.power_w), effective_height_m(s)})
        row.push_back(csv_number(value));
      for (const int deg : low_angles_deg) row.push_back(csv_number(gain_dbi(job, s, deg)));
      for (const FieldPoint& f : field_of(job, s)) {
        row.push_back(csv_number(f.field.e_v_m()));
        row.push_back(csv_number(f.field.h_a_m()));
      }
      text += csv_row(row);
    }
  }
  for (const std::string& warning : job.warnings) text += "# warning: " + warning + "\n";
  return text + cautions_csv(job.caution_list);
}

// ---- text --------------------------------------------------------------------------------------------------------

std::string percent(double share) { return figure(100.0 * share); }

std::string points_text(const Job& job) {
  std::vector<std::vector<std::string>> rows{{"Condition", "Frequency", "Feed, ohm", "Radiated, %", "Ground, %",
                                              "Metal, %", "Coils, %", "Q", "At the feed, peak",
                                              "Gain at 10, 30 degrees, dBi"}};
  const bool bodies = lumps_or_person(job);
  if (bodies) rows[0].insert(rows[0].begin() + 7, {"Lumps, %", "Person, %"});
  for (const WhipCase& c : job.cases) {
    for (const WhipPoint& p : c.points) {
      const AntennaSolution& s = p.solution;
      rows.push_back({c.wires.name, print_quantity(s.frequency_hz, Unit::hertz, 6), print_impedance(s.feed_ohm),
                      percent(s.share.radiated), percent(s.share.ground), percent(s.share.metal), percent(s.share.coil),
                      figure(p.q), print_quantity(feed_voltage_v_peak(s, job.power_w), Unit::volt, 3),
                      fmt::format("{:.1f}, {:.1f}", gain_dbi(job, s, 10), gain_dbi(job, s, 30))});
      if (bodies) rows.back().insert(rows.back().begin() + 7, {percent(s.share.lump), percent(s.share.person)});
    }
  }
  return aligned(rows);
}

std::string spread_text(const Job& job) {
  std::vector<std::vector<std::string>> rows{{"Frequency", "R, ohm", "X, ohm", "Radiated, %"}};
  const auto from_to = [](double low, double high) { return figure(low) + " to " + figure(high); };
  for (const Spread& s : spread_of(job)) {
    rows.push_back({print_quantity(s.frequency_hz, Unit::hertz, 6), from_to(s.r_low, s.r_high),
                    from_to(s.x_low, s.x_high), from_to(100.0 * s.efficiency_low, 100.0 * s.efficiency_high)});
  }
  return rows.size() == 1 ? "" : "\nBetween the conditions\n" + aligned(rows);
}

std::string field_text(const Job& job) {
  if (job.field_points.empty()) return "";
  std::vector<std::vector<std::string>> rows{{"Condition", "Frequency", "Point, m", "E, V/m rms", "H, A/m rms"}};
  for (const WhipCase& c : job.cases) {
    for (const WhipPoint& p : c.points) {
      for (const FieldPoint& f : field_of(job, p.solution)) {
        rows.push_back({c.wires.name, print_quantity(p.solution.frequency_hz, Unit::hertz, 6),
                        fmt::format("{:g}, {:g}, {:g}", f.at.x_m, f.at.y_m, f.at.z_m), figure(f.field.e_v_m()),
                        figure(f.field.h_a_m())});
      }
    }
  }
  return "\nField with " + print_quantity(job.power_w, Unit::watt) + " into the antenna\n" + aligned(rows);
}

std::string study_text(const Job& job) {
  std::string text;
  for (const plots::WhipStudy& study : job.studies) {
    const auto table = [&](const std::vector<plots::WhipStudyPoint>& points, const char* what) {
      if (points.empty()) return;
      std::vector<std::vector<std::string>> rows{{what, "Feed, ohm", "Radiated, %", "With the tuning coil, %"}};
      for (const plots::WhipStudyPoint& p : points) {
        rows.push_back({print_quantity(p.x_m, Unit::metre), print_impedance(p.feed_ohm), percent(p.efficiency),
                        percent(p.tuned_efficiency)});
      }
      text += fmt::format("\n{}\n", study.condition) + aligned(rows);
    };
    table(study.coil, "Coil from the feed");
    table(study.length, "Length of the whip");
  }
  if (!text.empty())
    text += "The tuning coil at the feed takes the reactance away; its Q is that of the first coil, without one 200.\n";
  return text;
}

std::string write_text(const Job& job) {
  std::string text;
  for (const WhipCase& c : job.cases) text += wrapped(c.wires.name + ": " + ground_text(c.wires.ground), 0, 112);
  text += fmt::format("{} into the antenna, key down\n\n", print_quantity(job.power_w, Unit::watt));
  text += points_text(job) + spread_text(job) + field_text(job) + study_text(job) + "\n";
  const double bound = least_q(job.cases.front(), job.task.frequency_hz.front());
  if (std::isfinite(bound)) {
    text +=
        wrapped(fmt::format("Q: a lossless whip of this length over a plane has at least {} at {}; losses lower it.",
                            figure(bound), print_quantity(job.task.frequency_hz.front(), Unit::hertz, 6)),
                0, 112);
  }
  text += wrapped(job.task.options.method == GroundMethod::complex_image
                      ? "Ground by the complex image (--fast): R 3 % low to 21 % high, X within 1 % off resonance, 2 "
                        "to 10 % near the counterpoise's."
                      : "As a solution of the model R within 4 %, the whole within 1.2 % of |Z|; real ground leaves "
                        "+-30..50 % on the lost part of R.",
                  0, 112);
  for (const std::string& warning : job.warnings) text += wrapped("Warning: " + warning, 0, 112);
  return text + "\n" + cautions_text(job.caution_list);
}

// ---- charts ------------------------------------------------------------------------------------------------------

plots::Chart draw(const Job& job, const std::string& file) {
  const std::string source = fmt::format(
      "Wires of {}, computed by {}: thin wires over flat uniform ground{}{}", file, version_text("stile-whip"),
      job.task.options.method == GroundMethod::complex_image ? ", complex image" : "", chart_caution);
  const std::string at = print_quantity(job.task.frequency_hz.front(), Unit::hertz, 6);
  const std::string of = job.task.frequency_hz.size() == 1 ? " at " + at : "";
  std::vector<plots::WhipSweep> sweeps;
  for (const WhipCase& c : job.cases) {
    sweeps.push_back({c.wires.name, {}});
    for (const WhipPoint& p : c.points) sweeps.back().points.push_back(p.solution);
  }
  if (job.show == "smith")
    return plots::whip_smith_chart(sweeps, job.reference_ohm, {"Feed impedance of the whip" + of, source});
  if (job.show == "power") return plots::whip_power_chart(sweeps, {"Where the power into the whip goes" + of, source});
  if (job.show == "current") {
    std::vector<plots::WhipCurrent> all;
    for (const WhipCase& c : job.cases) {
      all.push_back({c.wires.name, {}, c.points.front().solution});
      for (const Wire& w : c.wires.antenna.wires) all.back().wires.push_back(w.name);
    }
    return plots::whip_current_chart(all, {"Current along the wires at " + at, source});
  }
  if (job.show == "pattern") {
    std::vector<plots::WhipPattern> all;
    for (const WhipCase& c : job.cases) {
      const AntennaSolution& s = c.points.front().solution;
      all.push_back(
          {c.wires.name, vertical_pattern(s, job.azimuth_rad, 181), vertical_pattern(s, job.azimuth_rad + pi, 181)});
    }
    return plots::whip_pattern_chart(
        all, {fmt::format("Gain in the vertical plane at {}; to the right: azimuth {:g} degrees from the x axis", at,
                          job.azimuth_rad * 180.0 / pi),
              source});
  }
  if (job.show == "study")
    return plots::whip_study_chart(job.studies, {"Coil and length of the whip at " + at, source});
  return plots::whip_impedance_chart(sweeps, {"Feed impedance of the whip" + of, source});
}

std::string below_limit(const Job& job, double least) {
  const WhipPoint* worst = nullptr;
  const WhipCase* where = nullptr;
  for (const WhipCase& c : job.cases) {
    for (const WhipPoint& p : c.points) {
      if (worst == nullptr || p.solution.share.radiated < worst->solution.share.radiated) worst = &p, where = &c;
    }
  }
  if (worst->solution.share.radiated >= least) return "";
  return fmt::format("efficiency {} % at {} in \"{}\", stated least {} %", percent(worst->solution.share.radiated),
                     print_quantity(worst->solution.frequency_hz, Unit::hertz, 6), where->wires.name, percent(least));
}

std::string run(const Description& description, const Arguments& arguments) {
  const Format format = arguments.format();
  const std::vector<std::string> files = chart_files(arguments);  // a wrong one is told before the work
  const auto least = arguments.share("--least-efficiency");
  const auto touchstone = arguments.text("--touchstone");
  const bool result = touchstone != "-" || arguments.has("-o");
  Job job = read_job(arguments);
  std::vector<std::string> touchstone_files;
  if (touchstone) touchstone_files = touchstone_names(job, *touchstone);

  const bool study = arguments.has("--study") || job.show == "study";
  std::size_t total = whip_solutions(job.task);
  for (const WireCase& c : job.task.conditions) {
    if (study) total += moved_coils(c.antenna, c.ground).size() + lengthened_whips(c.antenna).size();
  }
  {
    Progress progress(description, arguments);
    const WhipProgress step = [&, done = std::size_t{0}]() mutable {
      progress.step(fmt::format("{} of {} solved", ++done, total));
    };
    job.cases = solve_whip(job.task, step);
    for (const WireCase& c : job.task.conditions) {
      if (study) job.studies.push_back(study_whip(c, job.task.frequency_hz.front(), job.task.options, step));
    }
  }
  for (const WhipCase& c : job.cases) {
    for (const std::string& warning : c.warnings) job.warnings.push_back(c.wires.name + ": " + warning);
  }
  for (const std::string& warning : job.warnings) warn(description, arguments, warning);
  job.caution_list = cautions_of(job);

  Outputs outputs;
  for (std::size_t n = 0; n < touchstone_files.size(); ++n)
    outputs.add(touchstone_files[n], write_touchstone(job, job.cases[n]));
  if (result) {
    outputs.add(arguments.output(), format == Format::json  ? write_json(job)
                                    : format == Format::csv ? write_csv(job)
                                                            : write_text(job));
  }
  if (!files.empty()) add_chart(draw(job, *arguments.text("FILE.toml")), files, description, arguments, outputs);
  outputs.commit();
  return least ? below_limit(job, *least) : "";
}

}  // namespace

int main(int argc, char** argv) {
  const Description description = describe_tool();
  return run_tool(description, argc, argv, [&](const Arguments& arguments) { return run(description, arguments); });
}

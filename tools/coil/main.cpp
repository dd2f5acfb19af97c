// stile-coil: analyses coils, finds turns, designs band-switched loading coils, and writes what is needed to wind them.

#include <algorithm>
#include <cmath>
#include <functional>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/coil/ratings.hpp>
#include <stile/coil/turns.hpp>
#include <stile/plan/coil_prescription.hpp>
#include <stile/station/arrangement_kind.hpp>
#include <stile/station/solve_loads.hpp>
#include <stile/station/station.hpp>
#include <stile/station/wound.hpp>

#include "cli/chart.hpp"
#include "cli/command_line.hpp"
#include "cli/output.hpp"
#include "cli/paper.hpp"
#include "cli/part.hpp"
#include "cli/progress.hpp"
#include "cli/run.hpp"
#include "cli/table.hpp"
#include "coil/design_report.hpp"
#include "coil/input.hpp"
#include "coil/prescription_report.hpp"
#include "coil/report.hpp"
#include "coil/sheet.hpp"

namespace {

using namespace stile;
using namespace stile::tools;

Description describe_tool() {
  Description d;
  d.name = "stile-coil";
  d.summary =
      "analyses coils, finds turns for an inductance, designs band-switched loading coils; build sheet and template";
  d.usage = "--turns N | --inductance L  --diameter D --pitch P --wire D  --frequency F | --sweep FROM:TO:POINTS  "
            "[OPTION]...\n"
            "       stile-coil --station FILE  [--coil NAME | --former LIST --wire LIST --pitch P | --spacing LIST]  "
            "[OPTION]...";
  d.examples = "stile-coil --turns 32 --diameter 42mm --pitch 2mm --wire 1mm --sweep 3MHz:10MHz:40 --tap 24 --unused "
               "open --chart coil.png\n"
               "stile-coil --station examples/moor/coil.toml --condition \"on heather\" --build-sheet sheet.txt "
               "--template template.pdf";
  d.options = {{"--turns", "N", "turns, 0.01 to 2000, a part turn allowed"},
               {"--inductance", "L",
                "instead of --turns: find the turns, at steps of --tap-step, that come nearest to it at the (first) "
                "frequency, H, > 0"},
               {"--frequency", "F", "frequency, Hz, > 0"},
               {"--sweep", "FROM:TO:POINTS", "frequencies at even steps, both ends included, 2..100000 points"},
               {"--tap", "N", "the current leaves at this turn, above 0 up to --turns; default: at the end"},
               {"--unused", "open|shorted", "turns beyond the tap; default open"},
               {"--even-current", "",
                "leave the proximity effect out: for hundreds of turns at low frequency; the resistance is too low "
                "then, Q too high. Without it up to 750 turns with wire up to 0.71 of the pitch, 500 to 0.81, 375 to "
                "0.86, 300 to 0.91, 187 to 0.95, 125 above"},
               {"--grounded", "start|end|neither",
                "start, end or neither is at ground potential; default start (a loading coil's transmitter side); "
                "neither: part-way up "
                "a whip, and the coil's values for a wires file are shown"}};
  for (const Option& option : winding_options()) d.options.push_back(option);
  for (const Option& option : std::vector<Option>{
           {"--current", "I",
            "at the start of the wire, A rms: for voltages, heat and temperature; default: none of these"},
           reading({"--station", "FILE",
                    "the coil that arrangements of a station file use, as stile-plan sets it: the same turns, taps and "
                    "parts. Where none uses a coil of the file, that of a base coil or an L network: the plan's "
                    "inductances, as taps of the former that options or a search give. "
                    "Where there is neither, or an option changes the coil, a design for the file's bands, loads and "
                    "transmitter, of parts within the limits of the file's [parts]; "
                    "- is standard input"}),
           {"--arrangement", "NAME",
            "the one that counts; default: all that use the coil; of base coils and L networks the one that the plan "
            "takes on most bands"},
           {"--every-point", "", "solve the station's antennas of wires at each frequency, as in stile-plan"},
           {"--condition", "NAME", "of the loads; may be repeated; default: all of the file", true},
           {"--coil", "NAME",
            "a [coil.NAME] of the station file gives former, wire, pitch and switches; default: its only one, if it "
            "has one"},
           {"--spacing", "LIST",
            "search: wire over pitch, each 0 to 0.95; default 0.4,0.5,0.6. --former and --wire take lists then"},
           {"--longest", "L", "search: of the winding, m, > 0; default 150 mm"},
           {"--heaviest", "M", "search: of the wire, as 120g, > 0; default 150 g"},
           {"--tap-step", "N",
            "taps (and --inductance) at whole, half or quarter turns: 1, 0.5 or 0.25; default 1 (0.25, as for the "
            "plan's inductances)"},
           {"--most-turns", "N", "limit of the search for turns, 1 to 400; default 150"},
           {"--switch-resistance", "R", "of the switch that shorts unused turns, ohm, >= 0; default 0"},
           {"--contact-resistance", "R",
            "in series with the coil, ohm, >= 0; default that of the file's coil, 0.05 where it has none"},
           {"--lead-inductance", "L", "in series with the coil, H, >= 0; default 0"},
           {"--step", "NAME",
            "a design of its own, and from what is left to the transmitter: any, none, shunt coil, shunt capacitor or "
            "autotransformer; default any, the best on each band"},
           {"--whip-length", "L",
            "of the whip, m: for the trim by its length (its capacitance is taken to grow with the length)"}}) {
    d.options.push_back(option);
  }
  for (const Option& option : service_options()) d.options.push_back(option);
  for (const Option& option : std::vector<Option>{
           {"--show", "frequency|voltage|taps",
            "in --chart: frequency (L and Q; default), voltage (along the coil), taps (with --station; default there)"},
           {"--build-sheet", "FILE", "turns, tap marks, wire, drill plan: FILE.txt or FILE.pdf", false, true},
           {"--template", "FILE", "winding template at 1 : 1 with rulers to check the print: FILE.pdf or FILE.svg",
            false, true},
           {"--lead", "L", "spare wire at each end on the build sheet, m, >= 0; default 50 mm"}}) {
    d.options.push_back(option);
  }
  d.rules = {
      not_with({"--turns"}, {"--inductance"}),
      not_with({"--frequency"}, {"--sweep"}),
      not_with({"--diameter"}, {"--former"}),
      not_with({"--mode"}, {"--duty"}),
      not_with({"--field-share"}, {"--former-wall"}),
      not_with({"--station"}, {"--turns", "--inductance", "--frequency", "--sweep", "--tap", "--unused", "--grounded",
                               "--current", "--even-current"}),
      only_with({"--condition", "--arrangement", "--coil", "--spacing", "--longest", "--heaviest",
                 "--contact-resistance", "--lead-inductance", "--step", "--whip-length", "--every-point"},
                {"--station"}),
      only_with({"--most-turns", "--tap-step"}, {"--station", "--inductance"}),
      only_with({"--unused"}, {"--tap"}),
      only_with({"--switch-resistance"}, {"--station", "--unused shorted"}),
      only_with({"--field-share"}, {"--material", "--station"}),
      only_with({"--former-wall"}, {"--material"}),
      not_with({"--material air"}, {"--field-share", "--former-wall"}),
      only_with({"--soil"}, {"--plane"}),
      only_with({"--can-length"}, {"--can"}),
      only_with({"--near-metal"}, {"--plane", "--beside", "--can", "--station"}),
      not_with({"--beside"}, {"--plane", "--can"}),
      not_with({"--plane"}, {"--can"}),
      not_with({"--soil"}, {"--near-metal"}),
      only_with({"--mode", "--duty", "--ambient", "--altitude", "--wire-limit"}, {"--station", "--current"}),
      only_with({"--show"}, {"--chart"}),
      only_with({"--lead"}, {"--build-sheet"}),
  };
  d.notes = wrapped(std::string("How far to trust it. ") + coil_accuracy, 0, 112) +
            wrapped("Inductance, resistance and Q are those of the turns without capacitance, passive turns included; "
                    "the apparent inductance is what the "
                    "terminals show. Above the lowest self-resonance, open turns included, the coil is no inductance: "
                    "a warning says so beside the numbers.",
                    0, 112);
  d.charts = true;
  d.does_not_hold = "on a band no setting of the coil holds, or no tap brings a load to resonance; a rating is "
                    "exceeded (breakdown margin under 2, a temperature "
                    "limit), no coil within the limits "
                    "serves, or there is nothing to draw of what --show names (what was found is written; of a search "
                    "that found none how many were tried and refused)";
  return d;
}

struct Files {
  std::vector<std::string> charts;
  std::optional<std::string> sheet, drawing;
  double lead_m = 0.05;
};

Files read_files(const Arguments& arguments) {
  Files files{chart_files(arguments), arguments.text("--build-sheet"), arguments.text("--template"),
              arguments.not_negative("--lead", Unit::metre, 0.05)};
  if (files.sheet) check_paper_file("--build-sheet", *files.sheet, {".txt", ".pdf"});
  if (files.drawing) check_paper_file("--template", *files.drawing, {".pdf", ".svg"});
  return files;
}

/// Everything that a coil leaves: charts, sheet, template and result, all of them or none.
/// @param chart  called where one is asked for; gives nothing when there is no voltage to show
/// @return       why there is no chart, empty when there is, or none is asked for: the result is worth more than its
///               picture
std::string write_all(const Description& description, const Arguments& arguments, const Files& files,
                      const std::function<std::optional<plots::Chart>()>& chart, const plots::CoilSheet& sheet,
                      Pieces result) {
  Outputs outputs;
  std::string missing;
  if (!files.charts.empty()) {
    if (const auto drawn = chart())
      add_chart(*drawn, files.charts, description, arguments, outputs);
    else
      missing = "--show voltage: the coil is bypassed on every band: there is no voltage along it; legal: --show taps";
  }
  if (files.sheet) add_build_sheet(sheet, *files.sheet, description, arguments, outputs);
  if (files.drawing) add_template(sheet, *files.drawing, description, arguments, outputs);
  outputs.add(arguments.output(), std::move(result));
  outputs.commit();
  return missing;
}

/// One of several words. @throws UsageError
std::string choice(const Arguments& arguments, const std::string& option, const std::vector<std::string>& legal,
                   const std::string& otherwise) {
  const std::string word = arguments.text(option).value_or(otherwise);
  if (std::find(legal.begin(), legal.end(), word) != legal.end()) return word;
  std::string list;
  for (const std::string& l : legal) list += " " + l;
  throw UsageError(fmt::format("{} \"{}\"; legal:{}", option, word, list));
}

double tap_step(const Arguments& arguments, double otherwise) {
  const double step = arguments.quantity("--tap-step", Unit::one).value_or(otherwise);
  if (step != 1.0 && step != 0.5 && step != 0.25) {
    throw ParseError({"--tap-step", 0, 1},
                     fmt::format("\"{}\": out of range; legal: 1, 0.5 or 0.25", *arguments.text("--tap-step")));
  }
  return step;
}

double most_turns(const Arguments& arguments) {
  const double most = arguments.positive("--most-turns", Unit::one, 150.0);
  if (most < 1.0 || most > 400.0) {
    throw ParseError({"--most-turns", 0, 1},
                     fmt::format("\"{}\": out of range; legal: 1 to 400", *arguments.text("--most-turns")));
  }
  return most;
}

/// @throws DomainError  no number of turns has the inductance
coil::TurnsFound solve_for(const Description& description, const Arguments& arguments, double inductance_h,
                           double frequency_hz, const coil::RingOptions& rings) {
  const double most = most_turns(arguments), step = tap_step(arguments, 0.25);
  Progress progress(description, arguments);
  const coil::TurnsFound found = coil::find_turns(read_winding(arguments, 1.0), inductance_h, frequency_hz, step, most,
                                                  rings, [&](const std::string& line) { progress.step(line); });
  if (found.status == coil::TurnsStatus::too_many) {
    throw DomainError(fmt::format(
        "{} needs more than {:g} turns here; legal: a lower inductance, a wider coil, or a higher --most-turns",
        print_quantity(inductance_h, Unit::henry), most));
  }
  if (found.status == coil::TurnsStatus::below_one_turn) {
    throw DomainError(fmt::format("{} is less than one turn has ({}); legal: more, or a narrower coil",
                                  print_quantity(inductance_h, Unit::henry),
                                  print_quantity(found.inductance_h, Unit::henry)));
  }
  return found;
}

std::string join_failures(const std::vector<coil::CoilRatings>& ratings) {
  std::string text;
  for (const coil::CoilRatings& r : ratings) {
    for (const std::string& warning : r.warnings) {
      if (text.find(warning) == std::string::npos) text += (text.empty() ? "" : "; ") + warning;
    }
  }
  return text;
}

std::string analyse_coil(const Description& description, const Arguments& arguments) {
  const Format format = arguments.format();
  const Files files = read_files(arguments);
  const std::string show = choice(arguments, "--show", {"frequency", "voltage"}, "frequency");
  const std::vector<double> frequencies = given_frequencies(arguments);
  if (!files.charts.empty() && show == "frequency" && frequencies.size() < 2) {
    throw UsageError("--chart of L and Q needs --sweep; legal: --sweep FROM:TO:POINTS, or --show voltage");
  }
  CoilCase c;
  coil::RingOptions rings;
  if (arguments.has("--even-current")) rings.currents = coil::CurrentModel::even;
  double turns = 0.0;
  if (const auto wanted = arguments.positive("--inductance", Unit::henry)) {
    const coil::TurnsFound solved = solve_for(description, arguments, *wanted, frequencies.front(), rings);
    c.wanted_h = wanted;
    c.continuous_turns = solved.continuous;
    turns = solved.nearest;
  } else {
    const auto given = arguments.positive("--turns", Unit::one);
    if (!given)
      throw UsageError("no turns are given; legal: --turns 40, --inductance 20uH, or --station FILE for a design");
    turns = *given;
  }
  c.winding = read_winding(arguments, turns);
  c.tap_turns = arguments.positive("--tap", Unit::one, turns);
  c.unused =
      choice(arguments, "--unused", {"open", "shorted"}, "open") == "open" ? coil::Unused::open : coil::Unused::shorted;
  const std::string grounded = choice(arguments, "--grounded", {"start", "end", "neither"}, "start");
  c.grounded = grounded == "start" ? coil::Grounded::from
               : grounded == "end" ? coil::Grounded::to
                                   : coil::Grounded::neither;
  c.service = read_service(arguments);
  c.service.current_a_rms = arguments.positive("--current", Unit::ampere).value_or(0.0);

  if (const int most = coil::most_surface_turns(c.winding);
      turns > most && rings.currents == coil::CurrentModel::surface) {
    throw UsageError(
        fmt::format("{:g} turns are too many for the eddy currents of each; legal: up to {} with wire of {:.3g} of "
                    "the pitch, or with --even-current, which leaves the proximity effect out",
                    turns, most, c.winding.wire.diameter_m / c.winding.sections.front().pitch_m));
  }
  const coil::CoilModel model = coil::coil_model(c.winding, rings);
  const coil::Connection connection = coil::tapped(c.winding, c.tap_turns, c.unused, c.grounded,
                                                   arguments.not_negative("--switch-resistance", Unit::ohm, 0.0));
  safety::CautionCase facts;
  facts.frequency_hz = frequencies.front();
  for (const double f : frequencies) {
    c.points.push_back(coil::analyse(model, coil::solve_turns(model, f), connection));
    if (c.service.current_a_rms > 0.0) c.ratings.push_back(coil::rate(model, c.points.back(), c.service));
    if (c.points.size() == frequencies.size()) break;
    // What stands along the wire is shown for the last frequency alone.
    c.points.back().nodes = {};
    c.points.back().turn_current_a = {};
    c.points.back().turn_loss_w = {};
  }
  c.cautions = safety::cautions(facts);
  const std::vector<std::string> warnings = coil_warnings(c);
  for (const std::string& warning : warnings) warn(description, arguments, warning);

  plots::CoilSheet sheet{fmt::format("coil of {:g} turns", turns),
                         c.winding,
                         {},
                         files.lead_m,
                         {},
                         {},
                         warnings,
                         c.cautions,
                         version_text("stile-coil")};
  if (c.tap_turns < turns) sheet.taps.push_back({"tap", {0, c.tap_turns}});
  write_all(
      description, arguments, files,
      [&] { return show == "voltage" ? coil_voltage_chart(c) : coil_frequency_chart(c); }, sheet,
      format == Format::json  ? coil_json(c)
      : format == Format::csv ? whole_text(coil_csv(c))
                              : whole_text(coil_text(c)));
  return join_failures(c.ratings);
}

/// The station's coil that is meant; nothing when there is none and none is named.
const station::SwitchedCoil* station_coil(const Arguments& arguments, const station::Station& station) {
  const auto name = arguments.text("--coil");
  std::string names;
  for (const station::SwitchedCoil& coil : station.coils) {
    if (name ? coil.name == *name : station.coils.size() == 1) return &coil;
    names += " " + coil.name;
  }
  if (name)
    throw UsageError(fmt::format("--coil \"{}\": the station has no such coil; legal:{}", *name,
                                 names.empty() ? " none is in the file" : names));
  if (station.coils.size() > 1 && !arguments.has("--wire"))
    throw UsageError("the station has several coils; legal: --coil with one of" + names);
  return nullptr;
}

std::vector<const station::Condition*> chosen_conditions(const Arguments& arguments, const station::Station& station) {
  std::vector<const station::Condition*> chosen;
  const std::vector<std::string> names = arguments.texts("--condition");
  std::string legal;
  for (const station::Condition& condition : station.conditions) {
    legal += " \"" + condition.name + "\"";
    if (names.empty() || std::find(names.begin(), names.end(), condition.name) != names.end())
      chosen.push_back(&condition);
  }
  for (const std::string& name : names) {
    const bool known = std::any_of(station.conditions.begin(), station.conditions.end(),
                                   [&](const station::Condition& c) { return c.name == name; });
    if (!known)
      throw UsageError(fmt::format("--condition \"{}\": the station has none of that name; legal:{}", name, legal));
  }
  return chosen;
}

/// The first that uses the coil, the first of all when none does.
const station::Arrangement& user_of(const station::Station& station, const station::SwitchedCoil* coil) {
  const auto uses = std::find_if(station.arrangements.begin(), station.arrangements.end(),
                                 [&](const auto& a) { return coil != nullptr && station::winds_coil(a, coil->name); });
  return uses != station.arrangements.end() ? *uses : station.arrangements.front();
}

/// True when an arrangement of the station uses the coil.
bool is_used(const station::Station& station, const station::SwitchedCoil& coil) {
  return std::any_of(station.arrangements.begin(), station.arrangements.end(),
                     [&](const station::Arrangement& a) { return station::winds_coil(a, coil.name); });
}

/// True when an option makes another coil, or another use of it, than the station's plan does.
bool changes_coil(const Arguments& arguments) {
  std::vector<std::string> names{"--spacing",    "--longest",           "--heaviest",           "--tap-step",
                                 "--most-turns", "--switch-resistance", "--contact-resistance", "--lead-inductance",
                                 "--step",       "--whip-length"};
  for (const Option& option : winding_options()) names.push_back(option.name);
  return std::any_of(names.begin(), names.end(), [&](const std::string& name) { return arguments.has(name); });
}

std::vector<std::string> names_of(const std::vector<const station::Condition*>& conditions) {
  std::vector<std::string> names;
  names.reserve(conditions.size());
  for (const station::Condition* condition : conditions) names.push_back(condition->name);
  return names;
}

/// One target for each band and condition, with the loads of an arrangement's antenna.
std::vector<coil::BandTarget> targets(const station::Station& station, const station::Arrangement& arrangement,
                                      const std::vector<const station::Condition*>& conditions,
                                      const std::optional<double>& whip_m) {
  std::vector<coil::BandTarget> list;
  for (const station::Band& band : station.bands) {
    for (const station::Condition* condition : conditions) {
      const auto index = static_cast<std::size_t>(condition - station.conditions.data());
      const load::Load& load = station::load_of(station, arrangement, index);
      const cdouble z = load::load_impedance(load, band.design_hz);
      list.push_back({target_name({band.name, condition->name, {}}), band.design_hz, z,
                      load::load_reactance_slope_ohm_per_hz(load, band.design_hz),
                      whip_m && z.imag() < 0.0 ? -z.imag() / *whip_m : 0.0});
    }
  }
  return list;
}

/// What can be bought or wound: the plan's own limits, of the first arrangement that takes parts.
void limit_parts(const station::Station& station, coil::DesignRequest& request) {
  const auto takes = std::find_if(station.arrangements.begin(), station.arrangements.end(),
                                  [](const auto& a) { return station::describe_kind(a.kind).takes_parts; });
  const match::PartStock stock = takes != station.arrangements.end() ? takes->parts.stock : match::PartStock{};
  request.capacitance_f = {stock.least_capacitance_f, stock.most_capacitance_f};
  request.inductance_h = {stock.least_inductance_h, stock.most_inductance_h};
}

safety::CautionCase caution_case(const station::Station& station) {
  safety::CautionCase facts;
  facts.power_w = station.transmitter.source.power_w;
  facts.whip_on_body = station.whip_on_body;
  facts.frequency_hz = network::infinite;
  for (const station::Band& band : station.bands) facts.frequency_hz = std::min(facts.frequency_hz, band.use_low_hz);
  return facts;
}

wire::SolveOptions solving(const Arguments& arguments) {
  wire::SolveOptions options;
  options.every_point = arguments.has("--every-point");
  return options;
}

/// Two reasons in one line; either may be empty.
std::string joined(const std::string& one, const std::string& other) {
  return one + (one.empty() || other.empty() ? "" : "; ") + other;
}

/// Cautions, charts, sheets and the result. @return  what does not hold
std::string write_prescription(const Description& description, const Arguments& arguments, const Files& files,
                               const std::string& show, Format format, const station::Station& station,
                               PrescriptionCase& c) {
  safety::CautionCase facts = caution_case(station);
  for (const plan::CoilSetting& s : c.prescribed.settings) {
    if (s.load_voltage_v_peak <= facts.load_voltage_v_peak) continue;
    facts.load_voltage_v_peak = s.load_voltage_v_peak;
    facts.load_voltage_where = fmt::format("{}, {}, {}", s.band, s.condition, s.arrangement);
  }
  c.cautions = safety::cautions(facts);
  const std::string missing = write_all(
      description, arguments, files,
      [&] { return show == "voltage" ? prescription_voltage_chart(c) : prescription_taps_chart(c); },
      prescription_sheet(c, files.lead_m),
      whole_text(format == Format::json  ? prescription_json(c)
                 : format == Format::csv ? prescription_csv(c)
                                         : prescription_text(c)));
  return joined(missing, prescription_failure(c));
}

/// A coil of the station as its plan sets it.
std::string prescribe(const Description& description, const Arguments& arguments, const station::Station& stated,
                      const station::SwitchedCoil& coil) {
  const Format format = arguments.format();
  const Files files = read_files(arguments);
  const std::string show = choice(arguments, "--show", {"taps", "voltage"}, "taps");
  chosen_conditions(arguments, stated);  // a wrong one is told before the work
  const auto only = arguments.text("--arrangement");
  if (only) {
    std::string legal;
    bool known = false;
    for (const station::Arrangement& a : stated.arrangements) {
      if (!station::winds_coil(a, coil.name)) continue;
      known |= a.name == *only;
      legal += fmt::format(" \"{}\"", a.name);
    }
    if (!known)
      throw UsageError(fmt::format("--arrangement \"{}\": none of that name uses the coil; legal:{}", *only, legal));
  }
  PrescriptionCase c;
  c.service = read_service(arguments);
  Progress progress(description, arguments);
  const auto report = [&](const std::string& line) { progress.step(line); };
  const station::Station station = station::solve_loads(stated, {}, report, 0, solving(arguments));
  const std::vector<const station::Condition*> conditions = chosen_conditions(arguments, station);
  c.station = station.name;
  c.power_w = station.transmitter.source.power_w;
  c.conditions = names_of(conditions);
  c.prescribed = plan::coil_prescription(station, plan::make_plan(station, report, 0, false), coil.name,
                                         only.value_or(""), c.conditions, c.service);
  coil::DesignRequest& r = c.request;
  r.winding = c.prescribed.winding;
  r.turns_stated = true;
  r.tap_step_turns = coil.tap_step_turns;
  r.switch_ohm = coil.switch_ohm;
  r.contact_ohm = coil.contact_ohm;
  r.lead_inductance_h = coil.lead_inductance_h;
  r.transmitter_ohm = station.transmitter.source.z_ohm.real();
  limit_parts(station, r);
  r.bands = targets(station, user_of(station, &coil), conditions, {});
  const std::vector<plan::CoilSetting>& settings = c.prescribed.settings;
  const bool part_way = std::any_of(settings.begin(), settings.end(), [](const auto& s) { return s.part_way; });
  if (format == Format::json && !part_way) c.alternatives = coil::design_coil(r);

  return write_prescription(description, arguments, files, show, format, station, c);
}

/// Everything of a request but its winding and bands, as options or the file's coil give it.
void read_request(const Arguments& arguments, const station::Station& station, const station::SwitchedCoil* coil,
                  double usual_tap_step, coil::DesignRequest& r) {
  r.tap_step_turns = tap_step(arguments, coil != nullptr ? coil->tap_step_turns : usual_tap_step);
  r.most_turns = most_turns(arguments);
  r.switch_ohm = arguments.not_negative("--switch-resistance", Unit::ohm, coil != nullptr ? coil->switch_ohm : 0.0);
  r.contact_ohm = arguments.not_negative("--contact-resistance", Unit::ohm, coil != nullptr ? coil->contact_ohm : 0.05);
  r.lead_inductance_h =
      arguments.not_negative("--lead-inductance", Unit::henry, coil != nullptr ? coil->lead_inductance_h : 0.0);
  r.transmitter_ohm = station.transmitter.source.z_ohm.real();
  limit_parts(station, r);
}

constexpr double longest_m = 0.15, heaviest_kg = 0.15;  // of a search, where no option says otherwise

/// Designs the coil that options or the file's coil give, or the best of a search; of that also what was tried. False:
/// no coil of the search serves.
bool find_winding(const Arguments& arguments, const station::SwitchedCoil* coil, DesignCase& c) {
  coil::DesignRequest& r = c.request;
  // A list, or nothing stated, is a search; one former, one wire and a pitch are a design on them.
  const bool lists = arguments.has("--spacing") ||
                     arguments.text("--former").value_or("").find(',') != std::string::npos ||
                     arguments.text("--wire").value_or("").find(',') != std::string::npos;
  const bool given = coil != nullptr || ((arguments.has("--former") || arguments.has("--diameter")) &&
                                         arguments.has("--wire") && arguments.has("--pitch"));
  if (lists || !given) {
    for (const char* option : {"--pitch", "--diameter", "--last-pitch", "--wall", "--material", "--field-share",
                               "--former-wall", "--plane", "--soil", "--beside", "--can", "--near-metal", "--coil"}) {
      if (arguments.has(option)) {
        throw UsageError(fmt::format("{}: a search varies former, wire and spacing; legal: --former LIST --wire LIST "
                                     "--spacing LIST, --metal, --temperature",
                                     option));
      }
    }
    coil::DesignSpace space;
    space.former_diameter_m = read_list(arguments, "--former", Unit::metre, {25e-3, 32e-3, 40e-3, 50e-3});
    space.wire_diameter_m = read_list(arguments, "--wire", Unit::metre, {0.8e-3, 1e-3, 1.5e-3});
    space.wire_over_pitch = read_list(arguments, "--spacing", Unit::one, {0.4, 0.5, 0.6});
    space.longest_m = arguments.positive("--longest", Unit::metre, longest_m);
    space.heaviest_kg = read_mass(arguments, "--heaviest", heaviest_kg);
    coil::Winding start = coil != nullptr ? coil->winding : coil::plain_winding(1.0, 40e-3, 2e-3, 1e-3);
    if (const auto name = arguments.text("--metal")) start.wire.metal = conductor::metal_by_name(*name);
    start.wire.temperature_c = read_temperature(arguments, "--temperature", start.wire.temperature_c);
    r.winding = start;
    coil::DesignSearch search = coil::search_design(r, space);
    c.tried = search.tried;
    c.refused = search.refused;
    if (search.status != coil::DesignStatus::found) return false;
    c.design = std::move(search.best);
    r.winding = c.design.winding;
  } else {
    for (const char* option : {"--longest", "--heaviest"}) {
      if (arguments.has(option)) {
        throw UsageError(
            fmt::format("{} limits a search, and one coil is given; legal: without it, or with --spacing or lists "
                        "of --former and --wire",
                        option));
      }
    }
    r.winding = read_winding(arguments, 1.0,
                             coil != nullptr ? std::optional(station::wound(*coil, coil->turns)) : std::nullopt);
    c.design = coil::design_coil(r);
  }
  return true;
}

/// Writes what was tried. @return  what does not hold
std::string tell_failed_search(const Arguments& arguments, const DesignCase& c) {
  const Format format = arguments.format();
  Outputs outputs;
  outputs.add(arguments.output(), format == Format::json  ? failed_search_json(c)
                                  : format == Format::csv ? failed_search_csv(c)
                                                          : failed_search_text(c));
  outputs.commit();
  return fmt::format("none of {} coils is within {} and {:.4g} g and reaches every band", c.tried,
                     print_quantity(arguments.positive("--longest", Unit::metre, longest_m), Unit::metre),
                     1e3 * read_mass(arguments, "--heaviest", heaviest_kg));
}

std::string design(const Description& description, const Arguments& arguments, const station::Station& stated,
                   const station::SwitchedCoil* coil) {
  const Format format = arguments.format();
  const Files files = read_files(arguments);
  const std::string show = choice(arguments, "--show", {"taps", "voltage"}, "taps");
  if (arguments.has("--arrangement")) {
    throw UsageError(
        "--arrangement says nothing here: no arrangement uses the coil, or options change it; legal: a coil "
        "that an arrangement uses, without options of the winding");
  }
  station::LoadNeeds needs;
  needs.conditions = names_of(chosen_conditions(arguments, stated));
  const station::Station station = station::solve_loads(stated, needs, {}, 0, solving(arguments));
  DesignCase c;
  c.station = station.name;
  c.power_w = station.transmitter.source.power_w;
  c.swr_limit = station.transmitter.swr_limit;
  c.service = read_service(arguments);
  coil::DesignRequest& r = c.request;
  read_request(arguments, station, coil, 1.0, r);
  const std::string step =
      choice(arguments, "--step", {"any", "none", "shunt coil", "shunt capacitor", "autotransformer"}, "any");
  for (const coil::StepKind kind : {coil::StepKind::none, coil::StepKind::shunt_coil, coil::StepKind::shunt_capacitor,
                                    coil::StepKind::autotransformer}) {
    if (step == coil::step_name(kind)) c.only_step = kind;
  }
  const auto whip_m = arguments.positive("--whip-length", Unit::metre);
  const std::vector<const station::Condition*> conditions = chosen_conditions(arguments, station);
  r.bands = targets(station, user_of(station, coil), conditions, whip_m);
  for (const station::Band& band : station.bands) {
    for (const station::Condition* condition : conditions) c.served.push_back({band.name, condition->name, {}});
  }
  c.planned = coil != nullptr && is_used(station, *coil);
  safety::CautionCase facts = caution_case(station);

  if (!find_winding(arguments, coil, c)) return tell_failed_search(arguments, c);

  const std::vector<coil::BandRatings> rated = coil::rate_design(c.design, c.power_w, c.service);
  for (std::size_t n = 0; n < c.served.size(); ++n) c.served[n].rated = rated[n];
  const std::size_t highest = coil::highest_load_voltage(rated);
  facts.load_voltage_v_peak = rated[highest].load_voltage_v_peak;
  facts.load_voltage_where = target_name(c.served[highest]);
  c.cautions = safety::cautions(facts);
  const std::string missing = write_all(
      description, arguments, files, [&] { return show == "voltage" ? design_voltage_chart(c) : design_taps_chart(c); },
      design_sheet(c, files.lead_m),
      whole_text(format == Format::json  ? design_json(c)
                 : format == Format::csv ? design_csv(c)
                                         : design_text(c)));
  return joined(missing, design_failure(c));
}

/// True when the file's coils serve no arrangement, one states its coils by inductance, and no option asks for a design
/// on the antenna itself.
bool winds_parts(const Arguments& arguments, const station::Station& station) {
  return !plan::arrangements_of_parts(station).empty() && !arguments.has("--step") && !arguments.has("--whip-length") &&
         std::none_of(station.coils.begin(), station.coils.end(),
                      [&](const station::SwitchedCoil& coil) { return is_used(station, coil); });
}

/// The arrangement that --arrangement names, nothing without it. @throws UsageError
std::optional<std::size_t> named_arrangement(const Arguments& arguments, const station::Station& station) {
  const auto name = arguments.text("--arrangement");
  if (!name) return std::nullopt;
  std::string legal;
  for (const std::size_t n : plan::arrangements_of_parts(station)) {
    if (station.arrangements[n].name == *name) return n;
    legal += fmt::format(" \"{}\"", station.arrangements[n].name);
  }
  throw UsageError(fmt::format("--arrangement \"{}\": none of that name has a coil to wind; legal:{}", *name, legal));
}

/// The coils of an arrangement that the plan states by inductance, on the winding that options or a search give.
std::string prescribe_parts(const Description& description, const Arguments& arguments, const station::Station& stated,
                            const station::SwitchedCoil* coil) {
  const Format format = arguments.format();
  const Files files = read_files(arguments);
  const std::string show = choice(arguments, "--show", {"taps", "voltage"}, "taps");
  chosen_conditions(arguments, stated);  // a wrong one is told before the work
  const std::optional<std::size_t> named = named_arrangement(arguments, stated);
  DesignCase found;
  read_request(arguments, stated, coil, 0.25, found.request);
  PrescriptionCase c;
  c.service = read_service(arguments);
  Progress progress(description, arguments);
  const auto report = [&](const std::string& line) { progress.step(line); };
  const station::Station station = station::solve_loads(stated, {}, report, 0, solving(arguments));
  const std::vector<const station::Condition*> conditions = chosen_conditions(arguments, station);
  c.conditions = names_of(conditions);
  const plan::Plan plan = plan::make_plan(station, report, 0, false);
  const std::size_t arrangement = named.value_or(plan::arrangement_to_wind(station, plan).value_or(0));
  c.station = found.station = station.name;
  c.power_w = station.transmitter.source.power_w;
  for (const plan::BandResult& band : plan.bands) {
    if (band.choice != plan::Choice::none && band.taken == arrangement) c.taken_on.push_back(band.band.name);
  }
  for (const std::size_t n : plan::arrangements_of_parts(station)) {
    if (n != arrangement) c.others.push_back(station.arrangements[n].name);
  }
  const std::vector<plan::PartToWind> parts = plan::parts_to_wind(station, plan, arrangement, c.conditions);
  if (parts.empty())
    throw UsageError(fmt::format("\"{}\" has no coil on any band; legal: --step any for a design of its own",
                                 station.arrangements[arrangement].name));
  const double step_turns = found.request.tap_step_turns;
  for (const plan::PartToWind& part : parts) found.request.bands.push_back(part.target);
  found.request.tap_step_turns = 1.0;  // enough to choose former, wire and turns
  if (!find_winding(arguments, coil, found)) return tell_failed_search(arguments, found);
  found.request.winding = found.design.winding;
  found.request.turns_stated = true;
  found.request.tap_step_turns = step_turns;
  c.tried = found.tried;
  c.refused = found.refused;
  progress.step("taps");
  c.prescribed = plan::prescription_of_parts(station, plan, arrangement, parts, coil::design_coil(found.request),
                                             most_turns(arguments), c.conditions, c.service);
  if (format == Format::json) {
    found.request.bands = targets(station, station.arrangements[arrangement], conditions, {});
    c.alternatives = coil::design_coil(found.request);
  }
  return write_prescription(description, arguments, files, show, format, station, c);
}

std::string run(const Description& description, const Arguments& arguments) {
  const auto file = arguments.text("--station");
  if (!file) return analyse_coil(description, arguments);
  const station::Station stated = station::load_station(*file);
  const station::SwitchedCoil* coil = station_coil(arguments, stated);
  if (coil != nullptr && is_used(stated, *coil) && !changes_coil(arguments))
    return prescribe(description, arguments, stated, *coil);
  return winds_parts(arguments, stated) ? prescribe_parts(description, arguments, stated, coil)
                                        : design(description, arguments, stated, coil);
}

}  // namespace

int main(int argc, char** argv) {
  const Description description = describe_tool();
  return run_tool(description, argc, argv, [&](const Arguments& arguments) { return run(description, arguments); });
}

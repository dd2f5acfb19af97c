#include "range/case.hpp"

#include <algorithm>
#include <filesystem>

#include <fmt/core.h>

#include <stile/base/table.hpp>
#include <stile/load/load_file.hpp>
#include <stile/station/any_tuner.hpp>
#include <stile/station/solve_loads.hpp>
#include <stile/station/station.hpp>

#include "cli/circuit.hpp"
#include "cli/part.hpp"
#include "cli/table.hpp"

namespace stile::tools {
namespace {

constexpr std::size_t most_points = 1000;

std::string names_of(const std::vector<std::string>& names) {
  std::string list;
  for (const std::string& name : names) list += (list.empty() ? "\"" : ", \"") + name + "\"";
  return list;
}

/// The tuners of a station's arrangements, each name once.
std::vector<tuner::Tuner> tuners_of(const station::Station& station) {
  std::vector<tuner::Tuner> tuners;
  for (const station::Arrangement& a : station.arrangements) {
    const auto same = [&](const tuner::Tuner& t) { return t.name == a.tuner.name; };
    if (station::describe_kind(a.kind).takes_tuner && std::none_of(tuners.begin(), tuners.end(), same))
      tuners.push_back(a.tuner);
  }
  return tuners;
}

UsageError no_such_tuner(const Arguments& arguments, const std::string& file, const std::vector<std::string>& names) {
  return UsageError(
      fmt::format("--name \"{}\": no such tuner in {}; legal: {}", *arguments.text("--name"), file, names_of(names)));
}

tuner::Tuner pick_tuner(const std::vector<tuner::Tuner>& tuners, const Arguments& arguments, const std::string& file) {
  std::vector<std::string> names;
  for (const tuner::Tuner& t : tuners) names.push_back(t.name);
  if (tuners.empty())
    throw UsageError(file +
                     " has no tuner; legal: a station file with an arrangement of kind \"tuner\", or a tuner file");
  const auto name = arguments.text("--name");
  if (!name) return tuners.front();
  const auto found = std::find(names.begin(), names.end(), *name);
  if (found == names.end()) throw no_such_tuner(arguments, file, names);
  return tuners[static_cast<std::size_t>(found - names.begin())];
}

tuner::BandPoints points_of(const station::Band& band, std::size_t points) {
  tuner::BandPoints all = tuner::band_points(band.name, band.low_hz, band.high_hz, points);
  all.middle_hz = band.design_hz;
  return all;
}

/// --bands: names of the station's bands and ranges FROM:TO, separated by commas.
std::vector<tuner::BandPoints> read_bands(const std::string& text, const std::vector<station::Band>& known,
                                          std::size_t points) {
  std::vector<tuner::BandPoints> bands;
  for (const std::string& item : split(text, ',')) {
    const auto named = std::find_if(known.begin(), known.end(), [&](const station::Band& b) { return b.name == item; });
    if (named != known.end()) {
      bands.push_back(points_of(*named, points));
      continue;
    }
    if (item.find(':') == std::string::npos) {
      std::vector<std::string> names;
      for (const station::Band& band : known) names.push_back(band.name);
      throw UsageError(
          fmt::format("--bands \"{}\": no such band; legal: {}{}ranges as 7MHz:7.2MHz, separated by commas", item,
                      names_of(names), names.empty() ? "" : ", or "));
    }
    const Range limits = read_limits(item, Unit::hertz, "--bands");
    bands.push_back(tuner::band_points("", limits.low, limits.high, points));
  }
  return bands;
}

/// The loads that options give; none: the station's are meant.
void read_loads(const Arguments& arguments, RangeCase& c) {
  const std::vector<std::string> texts = arguments.texts("--load"), files = arguments.texts("--load-file");
  for (const std::string& text : texts) {
    const cdouble z = read_sized_impedance(text, {"--load", 0, 1});
    if (z.real() < 0.0) throw ParseError({"--load", 0, 1}, fmt::format("\"{}\": its real part must be >= 0", text));
    c.loads.push_back({impedance_text(z), {"", "--load", load::ConstantLoad{z}, {}}});
  }
  for (const std::string& file : files)
    c.loads.push_back({std::filesystem::path(file).stem().string(), load::load_from_file(file)});
}

/// The station's loads, solved at the frequencies that are asked for and nowhere else.
void add_station_loads(const station::Station& station, bool every_point, RangeCase& c) {
  station::LoadNeeds needs;
  for (const tuner::BandPoints& band : c.bands)
    needs.ranges_hz.push_back({band.frequency_hz.front(), band.frequency_hz.back()});
  wire::SolveOptions solving;
  solving.every_point = every_point;
  for (const station::Antenna& antenna : station::solve_loads(station, needs, {}, 0, solving).antennas) {
    for (const station::AntennaLoad& l : antenna.loads)
      c.loads.push_back({(antenna.name.empty() ? "" : antenna.name + ", ") + l.load.name, l.load});
  }
}

void check_loads(const RangeCase& c) {
  for (const tuner::BandPoints& band : c.bands) {
    for (const tuner::NamedLoad& named : c.loads) {
      const auto outside = [&](double f) { return !load::load_covers(named.load, f); };
      if (outside(band.middle_hz) || std::any_of(band.frequency_hz.begin(), band.frequency_hz.end(), outside)) {
        std::string legal;
        for (const Range& r : load::load_ranges(named.load))
          legal += (legal.empty() ? "" : ", ") + tuner::frequency_name(r.low) + " to " + tuner::frequency_name(r.high);
        throw UsageError(fmt::format("the load \"{}\" does not cover {}; legal: {}", named.name, band.name, legal));
      }
    }
  }
}

}  // namespace

std::vector<Option> range_case_options() {
  return {
      reading({"--tuner", "FILE",
               "tuner file, or a station file: its tuner, bands, loads, power and SWR limit; - is standard input"}),
      {"--name", "NAME", "which tuner of a station file; default: the first of its arrangements"},
      {"--frequency", "F", "one frequency, Hz, > 0"},
      {"--bands", "LIST",
       "bands instead: names of the station file, or ranges 7MHz:7.2MHz, separated by commas; default: all bands "
       "of the "
       "station file, or the data of --load-file"},
      {"--points", "N", "frequencies in each band, 2..1000; default 21, or of --load-file its own"},
      {"--load", "Z",
       "impedance at the tuner's output, ohm, real part >= 0: 12-230j; may be repeated; default: the station's "
       "conditions",
       true},
      reading(
          {"--load-file", "FILE",
           "load from a one-port Touchstone file (.s1p) or a table (.csv: frequency_hz,r_ohm,x_ohm); may be repeated",
           true}),
      {"--every-point", "", "solve a station's antennas of wires at each frequency, as in stile-plan"},
      {"--source", "Z", "impedance of the transmitter, ohm, real part > 0; default 50, or the station's"},
      {"--power", "P", "power of the transmitter for the stresses, W, > 0; default 5W, or the station's"},
      {"--swr", "S", "SWR limit, > 1; default 2, or the station's"}};
}

void need_switched(const RangeCase& c, const std::string& job) {
  if (c.turned) throw UsageError(job + ": the parts of " + c.turned->name + " turn; legal: a tuner of switched parts");
}

RangeCase read_range_case(const Arguments& arguments, bool with_loads, const std::vector<tuner::BandPoints>& fallback) {
  const auto file = arguments.text("--tuner");
  if (!file) throw UsageError("no tuner is given; legal: --tuner FILE.toml");
  const int points = arguments.count("--points", 2, static_cast<int>(most_points)).value_or(21);

  RangeCase c;
  c.origin = *file == "-" ? "standard input" : *file;
  std::vector<station::Band> known;
  const std::string text = read_text_file(*file);
  station::Station station;
  if (station::is_station(text, *file)) {
    station =
        station::read_station(text, *file, *file == "-" ? "." : std::filesystem::path(*file).parent_path().string());
    c.tuner = pick_tuner(tuners_of(station), arguments, *file);
    c.source = station.transmitter.source;
    c.swr_limit = station.transmitter.swr_limit;
    c.whip_on_body = station.whip_on_body;
    known = station.bands;
  } else {
    auto tuner = station::read_any_tuner(text, *file);
    if (auto* turned = std::get_if<tuner::ContinuousTuner>(&tuner)) {
      if (arguments.text("--name").value_or(turned->name) != turned->name)
        throw no_such_tuner(arguments, *file, {turned->name});
      c.turned = std::move(*turned);
    } else {
      c.tuner = pick_tuner({std::get<tuner::Tuner>(tuner)}, arguments, *file);
    }
    c.source.power_w = 5.0;
  }
  const network::Source given = read_source(arguments);
  if (arguments.has("--source")) c.source.z_ohm = given.z_ohm;
  if (arguments.has("--power")) c.source.power_w = given.power_w;
  if (arguments.has("--swr")) c.swr_limit = read_swr_limit(arguments);
  c.reference_stated = arguments.has("--reference");
  read_loads(arguments, c);

  const auto count = static_cast<std::size_t>(points);
  if (const auto frequency = arguments.positive("--frequency", Unit::hertz)) {
    c.bands = {tuner::one_frequency(*frequency)};
  } else if (const auto list = arguments.text("--bands")) {
    c.bands = read_bands(*list, known, count);
  } else if (!fallback.empty()) {
    c.bands = fallback;
  } else if (!known.empty()) {
    for (const station::Band& band : known) c.bands.push_back(points_of(band, count));
  } else {
    for (const tuner::NamedLoad& named : c.loads) {
      if (c.bands.empty())
        c.bands = tuner::sampled_bands(named.load, arguments.has("--points") ? 0 : most_points, count);
    }
  }
  if (c.bands.empty())
    throw UsageError("no frequency is given; legal: --frequency 7.1MHz, --bands 7MHz:7.2MHz, a station file with bands "
                     "or --load-file");
  const auto alone = [](const tuner::BandPoints& band) { return band.frequency_hz.size() == 1; };
  if (arguments.has("--points") && std::all_of(c.bands.begin(), c.bands.end(), alone))
    throw UsageError("--points is for bands, and the data have one frequency alone; legal: --bands 7MHz:7.2MHz");
  if (with_loads && c.loads.empty()) add_station_loads(station, arguments.has("--every-point"), c);
  check_loads(c);
  return c;
}

}  // namespace stile::tools

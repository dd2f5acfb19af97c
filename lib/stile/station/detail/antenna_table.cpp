#include <stile/station/detail/antenna_table.hpp>

#include <algorithm>
#include <cmath>
#include <filesystem>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include <stile/base/errors.hpp>
#include <stile/base/table.hpp>
#include <stile/load/antenna_load.hpp>
#include <stile/load/load_file.hpp>
#include <stile/station/detail/plausible.hpp>
#include <stile/station/detail/wire_table.hpp>
#include <stile/station/wires_file.hpp>

namespace stile::station::detail {
namespace {

load::WhipModel whip_from(const TomlTable& table) {
  table.only({"radiation", "radiation_at", "capacitance", "inductance", "ground", "metal", "metal_at"});
  load::WhipModel whip;
  whip.radiation_ohm = plausible_value(table, "radiation", plausible::radiation_resistance);
  whip.radiation_at_hz = plausible_value(table, "radiation_at", plausible::reference_frequency);
  whip.capacitance_f = plausible_value(table, "capacitance", plausible::antenna_capacitance);
  whip.inductance_h = find_plausible(table, "inductance", plausible::antenna_inductance).value_or(0.0);
  whip.ground_ohm = find_plausible(table, "ground", plausible::antenna_resistance).value_or(0.0);
  whip.metal_ohm = find_plausible(table, "metal", plausible::antenna_resistance).value_or(0.0);
  if (whip.metal_ohm > 0.0) whip.metal_at_hz = plausible_value(table, "metal_at", plausible::reference_frequency);
  return whip;
}

/// A file that the station names: its own errors keep their place, a missing one is reported where it is named.
template <class Read>
auto read_named(const TomlTable& table, std::string_view key, const std::string& path, const Read& read) {
  std::error_code ignored;
  if (!std::filesystem::is_regular_file(path, ignored)) {
    table.fail(key, fmt::format("cannot read \"{}\" (files are looked for beside the station file)", path));
  }
  return read(path);
}

/// What "wires" names or holds, in all its conditions.
std::vector<wire::WireCase> cases_of(const TomlTable& table, const Beside& beside) {
  if (!table.is_text("wires")) return wires_from(table.table("wires"));
  return read_named(table, "wires", beside.path(table.text("wires")), [&](const std::string& path) {
    const auto replaced = beside.replaced.find(path);
    return replaced == beside.replaced.end() ? load_wires(path) : read_wires(replaced->second, path);
  });
}

StatedWires stated_wires(const TomlTable& table, wire::WireCase c) {
  return {std::move(c.antenna),
          c.ground,
          fmt::format("computed from wires{}, condition \"{}\"",
                      table.is_text("wires") ? " of " + table.text("wires") : "", c.name),
          table.where("wires"),
          c.carried,
          c.hand};
}

/// A case of the wires as a load, with the ends of its contact where that is a range.
AntennaLoad load_of_case(const TomlTable& table, const std::string& name, const std::vector<wire::WireCase>& cases,
                         const wire::WireCase& one) {
  AntennaLoad antenna;
  antenna.wires = stated_wires(table, one);
  antenna.load = {name, antenna.wires->origin, load::SampledLoad{}, {}};
  if (!one.contact_ohm || !one.corner_of.empty()) return antenna;
  for (const wire::WireCase& end : cases) {
    if (end.corner_of == one.name && end.contact_ohm) antenna.ends.push_back(load_of_case(table, name, cases, end));
  }
  const auto ohm = [&](std::size_t end) {
    const auto at_end = [&](const wire::WireCase& c) { return c.corner_of == one.name && c.contact_ohm; };
    auto found = std::find_if(cases.begin(), cases.end(), at_end);
    for (; end > 0; --end) found = std::find_if(found + 1, cases.end(), at_end);
    return *found->contact_ohm;
  };
  antenna.contact_ohm = Range{ohm(0), ohm(1)};
  return antenna;
}

/// The antenna that a load gives as wires, in the condition and over the ground that it chooses.
AntennaLoad wires_of(const TomlTable& table, const std::string& name_of_load, const Beside& beside) {
  std::vector<wire::WireCase> cases = cases_of(table, beside);
  std::vector<std::string> names;
  names.reserve(cases.size());
  for (const wire::WireCase& c : cases) {
    if (c.corner_of.empty()) names.push_back(c.name);
  }
  std::size_t chosen = 0;
  if (const auto name = table.find_text("wires_condition")) {
    const auto known = std::find(names.begin(), names.end(), *name);
    chosen = static_cast<std::size_t>(
        std::find_if(cases.begin(), cases.end(), [&](const wire::WireCase& c) { return c.name == *name; }) -
        cases.begin());
    if (known == names.end()) {
      table.fault("wires_condition",
                  fmt::format("the wires have no condition \"{}\"; there are: {}", *name, fmt::join(names, ", ")));
      chosen = 0;
    }
  } else if (names.size() > 1) {
    table.fault("wires",
                fmt::format("the wires have several conditions; {} needs the key \"wires_condition\", one of: {}",
                            table.name(), fmt::join(names, ", ")));
  }
  if (table.has("ground")) {
    const wire::Ground ground = ground_from(table, "ground");
    for (wire::WireCase& c : cases) at(table, "ground", [&] { wire::put_on_ground(c, ground); });
  }
  return load_of_case(table, name_of_load, cases, cases[chosen]);
}

/// What "file" and "shares" name.
load::Load load_of_file(const TomlTable& table, bool bridge_gaps, const Beside& beside) {
  load::LoadFileOptions options;
  if (bridge_gaps) options.widest_gap_ratio = network::infinite;
  const load::Load load = read_named(table, "file", beside.path(table.text("file")),
                                     [&](const std::string& path) { return load::load_from_file(path, options); });
  const auto shares = table.find_text("shares");
  if (!shares) return load;
  return read_named(table, "shares", beside.path(*shares), [&](const std::string& path) {
    return at(table, "shares", [&] { return load::attach_shares(load, read_table(read_text_file(path), path)); });
  });
}

/// A [[load]], called by its condition.
AntennaLoad load_from(const TomlTable& table, const std::string& name, const Beside& beside) {
  table.only({"condition", "file", "shares", "impedance", "whip", "wires", "wires_condition", "ground", "bridge_gaps",
              "lying_wire", "note"});
  const std::size_t before = table.faults();
  AntennaLoad antenna;
  const int kinds = table.has("file") + table.has("impedance") + table.has("whip") + table.has("wires");
  if (kinds != 1)
    table.fault(
        "condition",
        fmt::format("{} needs exactly one of the keys \"file\", \"impedance\", \"whip\", \"wires\"", table.name()));
  for (const char* key : {"wires_condition", "ground"}) {
    if (table.has(key) && !table.has("wires")) table.fault(key, fmt::format("\"{}\" belongs to \"wires\"", key));
  }
  const bool bridge = table.flag("bridge_gaps", false);
  if (table.has("file"))
    table.item([&] { antenna.load = load_of_file(table, bridge, beside); });
  else if (kinds != 0 && (bridge || table.has("shares")))
    table.fault(bridge ? "bridge_gaps" : "shares", "\"shares\" and \"bridge_gaps\" belong to a \"file\"");
  if (table.has("impedance")) {
    cdouble z = table.impedance("impedance");
    if (z.real() < 0.0) table.fault("impedance", "a load's resistance must be >= 0");
    check_plausible(table, "impedance", std::abs(z), plausible::load_impedance);
    if (table.faulted("impedance")) z = 50.0;
    antenna.load = {name, "stated", load::ConstantLoad{z}, {}};
  }
  if (table.has("wires")) table.item([&] { antenna = wires_of(table, name, beside); });
  if (const auto whip = table.find_table("whip")) antenna.load = {name, "lumped model", whip_from(*whip), {}};
  if (table.has("lying_wire")) {
    const bool sound = table.faults() == before;  // what follows would be the consequence of a fault
    const auto* const samples = std::get_if<load::SampledLoad>(&antenna.load.model);
    const bool known = table.has("whip") || (samples != nullptr && !samples->shares.empty());
    if (table.has("wires"))
      table.fault("lying_wire", "\"wires\" say themselves which of them lie; \"lying_wire\" is for other loads");
    else if (!known && sound)
      table.fault(
          "lying_wire",
          "\"lying_wire\" is for a load whose loss in the ground is known; legal: beside \"whip\", or a \"file\" "
          "with shares");
    antenna.lying_wire_m = plausible_value(table, "lying_wire", plausible::wire_length);
  }
  antenna.load.name = name;
  return antenna;
}

/// The loads of an [[antenna]], or of the file where the antenna has no table, called by their conditions.
std::vector<AntennaLoad> loads_from(const TomlTable& table, const Beside& beside) {
  std::vector<AntennaLoad> loads;
  if (table.has("wires")) {
    table.item([&] {
      const std::vector<wire::WireCase> cases = cases_of(table, beside);
      for (const wire::WireCase& c : cases) {
        if (c.corner_of.empty()) loads.push_back(load_of_case(table, c.name, cases, c));
      }
    });
  }
  for (const TomlTable& one : table.tables("load")) {
    AntennaLoad antenna;
    one.item([&] {
      const std::string name = one.text("condition");
      antenna.load.name = one.faulted("condition") ? "" : name;  // known even where the rest has a fault
      antenna = load_from(one, name, beside);
    });
    const auto same = [&](const AntennaLoad& other) { return other.load.name == antenna.load.name; };
    if (!antenna.load.name.empty() && std::any_of(loads.begin(), loads.end(), same))
      one.fault("condition", fmt::format("the name \"{}\" is taken", antenna.load.name));
    loads.push_back(std::move(antenna));
  }
  return loads;
}

std::vector<std::string> names_of(const std::vector<AntennaLoad>& loads) {
  std::vector<std::string> names;
  names.reserve(loads.size());
  for (const AntennaLoad& l : loads) names.push_back(l.load.name);
  return names;
}

}  // namespace

Condition condition_from(const TomlTable& table, const std::string& name) {
  const std::string word = table.find_text("role").value_or("normal");
  if (word != "normal" && word != "accident") table.fault("role", "\"role\" must be \"normal\" or \"accident\"");
  return {name, word == "accident" ? Role::accident : Role::normal,
          find_plausible(table, "share", plausible::share_of_time), find_plausible(table, "lasts", plausible::stay)};
}

void check_conditions(const TomlTable& document, const std::vector<Condition>& conditions) {
  const std::vector<TomlTable> tables = document.tables("condition");
  if (document.faults() != 0 || conditions.empty() || tables.empty()) return;
  const auto normal = [](const Condition& c) { return c.role == Role::normal; };
  if (std::none_of(conditions.begin(), conditions.end(), normal))
    tables.front().fault("role", "every condition is an accident; legal: at least one of role \"normal\"");
  const auto shared = [](const Condition& c) { return c.share.has_value(); };
  if (std::none_of(conditions.begin(), conditions.end(), shared)) return;
  for (const Condition& c : conditions) {
    if (normal(c) && !shared(c))
      tables.front().fault("share", fmt::format("the condition \"{}\" needs its \"share\" of the time, as others have "
                                                "theirs; legal: a share for every normal condition, or for none",
                                                c.name));
  }
}

namespace {

/// Roles, shares and stays of the conditions that the loads have.
/// @param loads_known  false: some load has a fault, and a condition that is missing may be that load's
void describe_conditions(const TomlTable& document, std::vector<Condition>& conditions, bool loads_known) {
  std::vector<std::string> names, described;
  for (const Condition& c : conditions) names.push_back(c.name);
  const std::vector<TomlTable> tables = document.tables("condition");
  for (const TomlTable& table : tables) {
    table.item([&] {
      table.only({"name", "role", "share", "lasts"});
      const std::string name = table.text("name");
      const auto found =
          std::find_if(conditions.begin(), conditions.end(), [&](const Condition& c) { return c.name == name; });
      Condition stated = condition_from(table, name);
      if (found == conditions.end() && loads_known)
        table.fault("name",
                    fmt::format("no load is in a condition \"{}\"; there are: {}", name, fmt::join(names, ", ")));
      if (std::find(described.begin(), described.end(), name) != described.end())
        table.fault("name", fmt::format("the name \"{}\" is taken", name));
      described.push_back(name);
      if (found != conditions.end()) *found = std::move(stated);
    });
  }
  check_conditions(document, conditions);
}

Range elevation_of_hop(const TomlTable& table, double distance_m, const Range& height_m) {
  const Range elevation_deg{hop_elevation_deg(distance_m, height_m.low), hop_elevation_deg(distance_m, height_m.high)};
  if (elevation_deg.low < 0.0)
    table.fail("distance",
               fmt::format("one hop over {} does not reach {}: the layer at {} is under the horizon halfway; "
                           "legal: a shorter distance, a higher \"layer_height\", or \"elevation\"",
                           print_quantity(distance_m, Unit::metre), print_quantity(distance_m, Unit::metre),
                           print_quantity(height_m.low, Unit::metre)));
  return elevation_deg;
}

/// A range, or one value as a range of no width.
Range range_from(const TomlTable& table, std::string_view key, const Plausible& range) {
  if (!table.is_array(key)) {
    const double value = plausible_value(table, key, range);
    return {value, value};
  }
  const std::vector<double> values = plausible_values(table, key, range);
  if (values.size() != 2 || values[0] > values[1])
    table.fault(key, fmt::format("\"{}\" must be one value or two in order, such as [low, high]", key));
  return {values.front(), values.back()};
}

constexpr double narrowest_deg = 2.0;         // a path is never known better
constexpr Range usual_layer_m{250e3, 350e3};  // F2 layer by day and by night; from memory

Path path_from(const TomlTable& table) {
  table.only({"band", "distance", "layer_height", "elevation"});
  const std::size_t before = table.faults();
  if (table.has("distance") == table.has("elevation"))
    table.fault("distance", fmt::format("{} has either a \"distance\" or an \"elevation\"", table.name()));
  Path path;
  if (table.has("elevation")) {
    if (table.has("layer_height") && !table.has("distance"))
      table.fault("layer_height", "\"layer_height\" belongs to \"distance\"");
    path.elevation_deg = range_from(table, "elevation", plausible::elevation);
    find_plausible(table, "distance", plausible::path_distance);
  } else {
    path.distance_m = find_plausible(table, "distance", plausible::path_distance);
    path.layer_height_m =
        table.has("layer_height") ? range_from(table, "layer_height", plausible::layer_height) : usual_layer_m;
    if (table.faults() != before) return path;  // what follows would be their consequence
    path.elevation_deg = elevation_of_hop(table, *path.distance_m, path.layer_height_m);
  }
  if (const double missing = narrowest_deg - (path.elevation_deg.high - path.elevation_deg.low); missing > 0.0) {
    const double low = path.elevation_deg.low - 0.5 * missing;
    path.elevation_deg.low = std::clamp(low, 0.0, 90.0 - narrowest_deg);
    path.elevation_deg.high = std::max(path.elevation_deg.high, path.elevation_deg.low + narrowest_deg);
  }
  return path;
}

}  // namespace

std::string Beside::path(const std::string& file) const {
  const std::filesystem::path path(file);
  return path.is_absolute() ? file : (std::filesystem::path(folder) / path).lexically_normal().string();
}

AntennaTables antennas_from(const TomlTable& document, const Beside& beside) {
  AntennaTables all;
  const std::size_t faults_before = document.faults();
  const std::vector<TomlTable> tables = document.tables("antenna");
  if (tables.empty()) {
    if (!document.has("load"))
      document.fault("load", "the file needs at least one [[load]], the antenna in one condition");
    all.antennas.push_back({"", std::nullopt, loads_from(document, beside)});
  } else if (document.has("load")) {
    document.fault("load", "[[load]] is the file's one antenna; with [[antenna]] they are [[antenna.load]]");
  }
  for (const TomlTable& table : tables) {
    Antenna antenna;
    table.item([&] {
      table.only({"name", "wires", "load", "mass", "size", "note"});
      antenna.name = table.text("name");
      if (std::any_of(all.antennas.begin(), all.antennas.end(),
                      [&](const Antenna& a) { return a.name == antenna.name; }))
        table.fault("name", fmt::format("the name \"{}\" is taken", antenna.name));
      antenna.mass_kg = find_plausible(table, "mass", plausible::mass);
      antenna.volume_m3 = find_box_m3(table, "size");
      if (antenna.volume_m3 && !antenna.mass_kg)
        table.fault("size", "\"size\" is that of what has the \"mass\"; legal: beside \"mass\"");
      if (table.has("wires") == table.has("load"))
        table.fault("name", fmt::format("{} has either \"wires\", with all their conditions, or [[antenna.load]]",
                                        table.name()));
      antenna.loads = loads_from(table, beside);
    });
    all.antennas.push_back(std::move(antenna));
  }
  if (all.antennas.empty() || document.faults() != 0) {  // names for what follows, as far as they were read
    for (const Antenna& a : all.antennas) {
      for (const AntennaLoad& l : a.loads) all.conditions.push_back({l.load.name});
    }
  } else {
    const std::vector<std::string> names = names_of(all.antennas.front().loads);
    for (const std::string& name : names) all.conditions.push_back({name});
    for (std::size_t n = 1; n < all.antennas.size(); ++n) {  // in the order of the first
      std::vector<AntennaLoad>& loads = all.antennas[n].loads;
      const std::vector<std::string> has = names_of(loads);
      if (!std::is_permutation(names.begin(), names.end(), has.begin(), has.end()))
        tables[n].fault("name", fmt::format("the antenna \"{}\" has the conditions {}; legal: those of the first, {}",
                                            all.antennas[n].name, fmt::join(has, ", "), fmt::join(names, ", ")));
      const auto place = [&](const AntennaLoad& l) { return std::find(names.begin(), names.end(), l.load.name); };
      std::stable_sort(loads.begin(), loads.end(),
                       [&](const AntennaLoad& a, const AntennaLoad& b) { return place(a) < place(b); });
    }
  }
  describe_conditions(document, all.conditions, document.faults() == faults_before);
  return all;
}

void read_paths(const TomlTable& document, std::vector<Band>& bands) {
  std::optional<Path> rest;
  for (const TomlTable& table : document.tables("path")) {
    table.item([&] {
      const Path path = path_from(table);
      const auto name = table.find_text("band");
      const auto band =
          std::find_if(bands.begin(), bands.end(), [&](const Band& b) { return name && b.name == *name; });
      if (name && band == bands.end()) {
        table.fault("band", fmt::format("no [[band]] is called \"{}\"", *name));
        return;
      }
      std::optional<Path>& into = name ? band->path : rest;
      if (into)
        table.fault("band", name ? fmt::format("the band \"{}\" has its path already", *name)
                                 : "only one [[path]] can be that of all other bands");
      into = path;
    });
  }
  for (Band& band : bands) {
    if (!band.path) band.path = rest;
  }
}

void check_cover(const TomlTable& document, const std::vector<Band>& bands, const AntennaTables& all) {
  const std::vector<TomlTable> tables = document.tables("band");
  std::vector<Range> ranges_hz;
  bool of_wires = false, too_many = false;
  for (std::size_t n = 0; n < bands.size(); ++n) {
    const Band& band = bands[n];
    if (band.high_hz == 0.0) continue;
    for (const Antenna& antenna : all.antennas) {
      for (const AntennaLoad& l : antenna.loads) {
        of_wires = of_wires || l.wires;
        if (l.wires) continue;  // solved where it is needed
        const auto check = [&](const char* key, double frequency_hz) {
          try {
            load::load_impedance(l.load, frequency_hz);
          } catch (const DomainError& error) {
            tables[n].fault(key,
                            fmt::format("the load \"{}\" does not cover this band: {}", l.load.name, error.what()));
          }
        };
        check("low", band.low_hz);
        check("high", band.high_hz);
        const std::vector<Range> covered_hz = load::load_ranges(l.load);
        for (std::size_t k = 0; k + 1 < covered_hz.size(); ++k) {  // gaps in the data
          const double middle_hz = 0.5 * (covered_hz[k].high + covered_hz[k + 1].low);
          if (band.low_hz < middle_hz && middle_hz < band.high_hz) check("low", middle_hz);
        }
      }
    }
    ranges_hz.push_back({band.low_hz, band.high_hz});
    if (of_wires && !too_many)
      too_many = !tables[n].item([&] { at(tables[n], "high", [&] { return load::antenna_frequencies(ranges_hz); }); });
  }
}

}  // namespace stile::station::detail

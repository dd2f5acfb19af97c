#include <stile/station/station.hpp>

#include <algorithm>
#include <cmath>
#include <filesystem>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/base/table.hpp>
#include <stile/station/detail/antenna_table.hpp>
#include <stile/station/detail/arrangement_table.hpp>
#include <stile/station/detail/coil_table.hpp>
#include <stile/station/detail/common_tables.hpp>
#include <stile/station/detail/energy_table.hpp>
#include <stile/station/detail/plausible.hpp>
#include <stile/station/detail/toml_table.hpp>
#include <stile/station/detail/tuner_table.hpp>
#include <stile/station/detail/whip_change.hpp>
#include <stile/wire/lying_ground.hpp>

namespace stile::station {
namespace {

using detail::at;
using detail::find_plausible;
using detail::plausible_value;
using detail::TomlTable;

constexpr double earth_radius_m = 6371e3;

/// @param band    gets what can be read, its name first
/// @param weight  of a brief: what "weight" says of the band; nothing: the key is unknown
void read_band(const TomlTable& table, Band& band, double* weight) {
  if (weight != nullptr) {
    table.only({"name", "low", "high", "use", "design", "weight"});
    *weight = table.find_positive("weight", Unit::one).value_or(1.0);
  } else {
    table.only({"name", "low", "high", "use", "design"});
  }
  band.name = table.text("name");
  band.low_hz = band.use_low_hz = plausible_value(table, "low", plausible::band_frequency);
  band.high_hz = band.use_high_hz = plausible_value(table, "high", plausible::band_frequency);
  const auto known = [&] { return !table.faulted("low") && !table.faulted("high"); };
  if (known() && band.low_hz >= band.high_hz) table.fault("high", "\"high\" must be above \"low\"");
  if (table.has("use")) {
    const std::vector<double> use = table.positives("use", Unit::hertz);
    band.use_low_hz = use.front();
    band.use_high_hz = use.back();
    if (use.size() != 2 || use[0] > use[1] || (known() && !(band.low_hz <= use[0] && use[1] <= band.high_hz)))
      table.fault("use", "\"use\" must be two frequencies in order, between \"low\" and \"high\"");
  }
  band.design_hz = table.find_positive("design", Unit::hertz).value_or(0.5 * (band.use_low_hz + band.use_high_hz));
  if (known() && !table.faulted("use") && (band.design_hz < band.use_low_hz || band.design_hz > band.use_high_hz)) {
    table.fault("design", "\"design\" must lie within \"use\" (or within \"low\" and \"high\")");
  }
}

/// @param named  gets what can be read, its name first
void read_cable(const std::string& name, const TomlTable& table, NamedCable& named) {
  table.only({"type", "length", "impedance", "velocity_factor", "attenuation"});
  const std::size_t before = table.faults();
  named.name = name;
  named.line.length_m = plausible_value(table, "length", plausible::cable_length);
  if (table.has("type")) {
    if (table.has("impedance") || table.has("velocity_factor") || table.has("attenuation")) {
      table.fault("type",
                  "a cable has either a \"type\" or \"impedance\", \"velocity_factor\" and \"attenuation\" of its own");
    }
    table.item([&] { named.line.per_metre = at(table, "type", [&] { return network::cable(table.text("type")); }); });
    return;
  }
  std::vector<network::AttenuationPoint> points;
  for (const TomlTable& point : table.tables("attenuation")) {
    point.only({"at", "loss", "length"});
    points.push_back({plausible_value(point, "at", plausible::reference_frequency),
                      plausible_value(point, "loss", plausible::attenuation),
                      plausible_value(point, "length", plausible::attenuation_length)});
  }
  if (points.empty()) {
    table.fault(
        "type",
        fmt::format(
            "{} needs a \"type\", or \"impedance\", \"velocity_factor\" and \"attenuation\" = [{{ at, loss, length }}]",
            table.name()));
    find_plausible(table, "impedance", plausible::cable_impedance);
    find_plausible(table, "velocity_factor", plausible::velocity_factor);
    return;
  }
  const double ohm = plausible_value(table, "impedance", plausible::cable_impedance),
               velocity_factor = plausible_value(table, "velocity_factor", plausible::velocity_factor);
  if (table.faults() != before) return;  // what follows would be their consequence
  named.line.per_metre =
      at(table, "attenuation", [&] { return network::cable_from_attenuation(name, ohm, velocity_factor, points); });
}

/// The model of a cable ends at low frequencies and at losses beyond all use.
void check_serves(const TomlTable& table, const NamedCable& cable, const std::vector<Band>& bands) {
  for (const Band& band : bands) {
    if (band.high_hz == 0.0) continue;  // it has a fault of its own
    for (const double frequency_hz : {band.low_hz, band.high_hz}) {
      at(table, "length",
         [&] { return network::line_chain(network::line_constants(cable.line, frequency_hz), cable.line.length_m); });
    }
  }
}

template <class Items, class Name>
void check_unique(const std::vector<TomlTable>& tables, std::string_view key, const Items& items, const Name& name_of) {
  for (std::size_t n = 0; n < items.size(); ++n) {
    for (std::size_t m = 0; m < n; ++m) {
      if (name_of(items[n]) == name_of(items[m]) && !tables[m].faulted(key))
        tables[n].fault(key, fmt::format("the name \"{}\" is taken", name_of(items[n])));
    }
  }
}

Range range_from(const TomlTable& table, std::string_view key, const Plausible& each) {
  const std::vector<double> ends = detail::plausible_values(table, key, each);
  if (ends.size() != 2 || ends[0] > ends[1])
    table.fault(key, fmt::format("\"{}\" must be two values in order, [low, high]", key));
  return {ends.front(), ends.back()};
}

Uncertainty uncertainty_from(const TomlTable& table) {
  table.only({"q", "ground", "contact", "temperature", "lengths"});
  Uncertainty u;
  const auto relative = [&](std::string_view key, double& into) {
    if (!table.has(key)) return;
    into = *table.find_not_negative(key, Unit::one);
    if (into >= 1.0) table.fault(key, fmt::format("\"{}\" is relative and must be under 1", key));
  };
  relative("q", u.q);
  if (table.is_array("ground")) {
    const Range factor = range_from(table, "ground", plausible::ground_factor);
    if (!(factor.low <= 1.0 && factor.high >= 1.0))
      table.fault("ground", "\"ground\" as two factors on the stated ground's loss must have 1 between them, as in "
                            "[0.6, 2.5]");
    u.ground_factor = factor;
  } else {
    relative("ground", u.ground);
  }
  u.lengths = find_plausible(table, "lengths", plausible::relative_length).value_or(u.lengths);
  if (table.has("contact")) u.contact_ohm = range_from(table, "contact", plausible::added_contact);
  if (table.has("temperature")) u.temperature_c = range_from(table, "temperature", plausible::temperature_c);
  return u;
}

ContactMargin contacts_from(const TomlTable& table) {
  table.only({"margin", "sigma"});
  ContactMargin contacts;
  contacts.margin_db = plausible_value(table, "margin", plausible::contact_margin);
  contacts.sigma_db = find_plausible(table, "sigma", plausible::contact_spread).value_or(contacts.sigma_db);
  return contacts;
}

HandTimes hands_from(const TomlTable& table) {
  table.only({"tap", "trimmer", "part"});
  return {find_plausible(table, "tap", plausible::hand_time), find_plausible(table, "trimmer", plausible::hand_time),
          find_plausible(table, "part", plausible::hand_time)};
}

/// Levels of a local code are added to the published ones before the standards that count are chosen.
Exposure exposure_from(const TomlTable& table, const std::string& folder) {
  table.only({"standards", "levels"});
  Exposure e;
  if (const auto file = table.find_text("levels")) {
    const std::string path = (std::filesystem::path(folder) / *file).string();
    for (safety::Level& l : safety::read_levels(read_text_file(path), path)) e.levels.push_back(std::move(l));
  }
  if (table.has("standards")) {
    try {
      e.levels = safety::levels_of(e.levels, table.texts("standards"));
    } catch (const DomainError& error) {
      table.fault("standards", error.what());
    }
  }
  return e;
}

/// The body itself, its stature and what it conducts, stands in the wires' [person].
safety::BodyFacts body_from(const TomlTable& table) {
  table.only({"mass", "hand", "altitude"});
  safety::BodyFacts body;
  body.mass_kg = find_plausible(table, "mass", plausible::person_mass).value_or(body.mass_kg);
  body.hand_ohm = find_plausible(table, "hand", plausible::hand_contact).value_or(body.hand_ohm);
  body.altitude_m = find_plausible(table, "altitude", plausible::altitude).value_or(body.altitude_m);
  return body;
}

/// How he who carries it stands in the wind, and the poles, each of the antenna that it names or of all.
safety::Stand wind_from(const TomlTable& table, std::vector<Antenna>& antennas) {
  table.only({"pack", "half_width", "gust", "pole"});
  safety::Stand stand;
  stand.pack_kg = find_plausible(table, "pack", plausible::mass).value_or(stand.pack_kg);
  stand.half_width_m = find_plausible(table, "half_width", plausible::half_width).value_or(stand.half_width_m);
  stand.gust = find_plausible(table, "gust", plausible::gust).value_or(stand.gust);
  for (const TomlTable& of : table.tables("pole")) {
    of.only({"antenna", "length", "base", "tip"});
    const safety::Pole pole{plausible_value(of, "length", plausible::pole_length),
                            plausible_value(of, "base", plausible::pole_diameter),
                            plausible_value(of, "tip", plausible::pole_diameter)};
    const auto name = of.find_text("antenna");
    std::vector<std::string> names;
    bool found = false;
    for (Antenna& antenna : antennas) {
      if (!antenna.name.empty()) names.push_back(antenna.name);
      if (name && antenna.name != *name) continue;
      found = true;
      if (antenna.pole)
        of.fault(name ? "antenna" : "length",
                 fmt::format("the antenna \"{}\" has a pole already; legal: one an antenna", antenna.name));
      antenna.pole = pole;
    }
    if (name && !found)
      of.fault("antenna",
               fmt::format("no antenna is called \"{}\"; there {}", *name,
                           names.empty() ? "is none with a name" : fmt::format("are: {}", fmt::join(names, ", "))));
  }
  return stand;
}

/// A tap's feed says something only to an autotransformer.
void check_feeds(const std::vector<TomlTable>& tables, const std::vector<Arrangement>& arrangements) {
  const auto is_fed = [](const StatedTap& tap) { return tap.feed_turns.has_value(); };
  for (std::size_t n = 0; n < arrangements.size(); ++n) {
    const SwitchedCoil& coil = arrangements[n].coil;
    const auto feeds_it = [&](const Arrangement& a) {
      return describe_kind(a.kind).fed_at_tap && a.coil.name == coil.name;
    };
    const KindDescription& kind = describe_kind(arrangements[n].kind);
    if (!kind.takes_coil || kind.fed_at_tap || std::none_of(coil.taps.begin(), coil.taps.end(), is_fed) ||
        std::any_of(arrangements.begin(), arrangements.end(), feeds_it))
      continue;
    tables[n].fault("coil",
                    fmt::format("the coil \"{}\" has a \"feed\" in its taps, which a switched coil does not have; "
                                "legal: without it, or in an arrangement of kind \"autotransformer\"",
                                coil.name));
  }
}

}  // namespace

namespace detail {

Transmitter transmitter_from(const TomlTable& table) {
  table.only({"power", "impedance", "swr_limit", "foldback", "receive_current", "transmit_current"});
  Transmitter t;
  t.source.power_w = plausible_value(table, "power", plausible::transmitter_power);
  if (table.has("impedance")) t.source.z_ohm = table.impedance("impedance");
  if (!(t.source.z_ohm.real() > 0.0)) table.fault("impedance", "the transmitter's impedance must have a real part > 0");
  detail::check_plausible(table, "impedance", std::abs(t.source.z_ohm), plausible::transmitter_impedance);
  t.swr_limit = find_plausible(table, "swr_limit", plausible::swr).value_or(2.0);
  if (!(t.swr_limit > 1.0)) table.fault("swr_limit", "\"swr_limit\" must be > 1");
  bool told = false;  // what comes behind a fault cannot be compared with it
  for (const TomlTable& point : table.tables("foldback")) {
    const std::size_t faults = point.faults();
    point.only({"swr", "power"});
    const FoldbackPoint next{plausible_value(point, "swr", plausible::swr),
                             plausible_value(point, "power", plausible::transmitter_power)};
    if (next.power_w > t.source.power_w && !table.faulted("power"))
      point.fault("power", "a held-back power must not exceed the transmitter's power");
    if (!t.foldback.empty() && !told && point.faults() == faults) {
      if (next.swr <= t.foldback.back().swr) point.fault("swr", "\"foldback\" must go up in SWR");
      if (next.power_w > t.foldback.back().power_w) point.fault("power", "\"foldback\" must not go up in power");
    }
    told = told || point.faults() != faults;
    t.foldback.push_back(next);
  }
  return t;
}

void read_bands(const TomlTable& document, std::vector<Band>& into, std::vector<double>* weights) {
  const std::vector<TomlTable> bands = document.tables("band");
  if (bands.empty()) document.fault("band", "the file needs at least one [[band]]");
  for (const TomlTable& table : bands) {
    Band& band = into.emplace_back();
    double* const weight = weights != nullptr ? &weights->emplace_back(1.0) : nullptr;
    if (!table.item([&] { read_band(table, band, weight); })) band.high_hz = 0.0;  // not to be asked for anything else
  }
  check_unique(bands, "name", into, [](const Band& b) { return b.name; });
}

void read_shelf(const TomlTable& document, const std::vector<Band>& bands, Shelf& shelf) {
  shelf.cables_known = document.item([&] {
    for (const auto& [name, table] : document.named_tables("cable")) {
      const std::string& cable_name = name;
      const TomlTable& cable = table;
      if (cable.item([&] { read_cable(cable_name, cable, shelf.cables.emplace_back()); }))
        cable.item([&] { check_serves(cable, shelf.cables.back(), bands); });
    }
  });
  shelf.tuners_known = document.item([&] {
    const std::vector<TomlTable> tuners = document.tables("tuner");
    for (const TomlTable& table : tuners) {
      tuner::Tuner& tuner = shelf.tuners.emplace_back();
      table.item([&] {
        tuner.name = table.find_text("name").value_or("tuner");
        tuner = detail::tuner_from(table);
      });
    }
    check_unique(tuners, "name", shelf.tuners, [](const tuner::Tuner& t) { return t.name; });
  });
  document.item([&] {
    if (const auto parts = document.find_table("parts"))
      parts->item([&] { shelf.parts = detail::parts_from(shelf.parts, *parts); });
  });
}

void read_coils(const TomlTable& document, const std::vector<Band>& bands, Shelf& shelf) {
  shelf.coils_known = document.item([&] {
    for (const auto& [name, table] : document.named_tables("coil")) {
      const std::string& coil_name = name;
      const TomlTable& coil = table;
      coil.item([&] {
        shelf.coils.emplace_back().name = coil_name;
        shelf.coils.back() = detail::coil_from(coil_name, coil, bands, shelf.bands_known);
      });
    }
  });
}

void read_circumstances(const TomlTable& document, Station& station) {
  document.item([&] {
    if (const auto table = document.find_table("uncertainty"))
      table->item([&] { station.uncertainty = uncertainty_from(*table); });
    if (const auto table = document.find_table("decision")) {
      table->item([&] {
        table->only({"audible"});
        station.decision.audible_db = find_plausible(*table, "audible", plausible::audible).value_or(1.0);
      });
    }
  });
  document.item([&] {
    if (const auto table = document.find_table("mode")) station.mode = detail::mode_from(*table);
  });
  document.item([&] {
    const auto battery = document.find_table("battery");
    const auto transmitter = document.find_table("transmitter");
    if (battery && !document.has("mode"))
      document.fault("battery", "an operating time needs a [mode] with a \"name\" and a \"talk\" share of the time");
    if (battery && transmitter)
      station.supply = detail::supply_from(*battery, *transmitter, station.mode.value_or(safety::Duty{}));
  });
}

}  // namespace detail

double power_at_swr(const Transmitter& transmitter, double swr) {
  return network::power_at_swr(transmitter.source.power_w, transmitter.foldback, swr);
}

std::string_view trim_name(Trim trim) {
  switch (trim) {
  case Trim::once:
    return "once";
  case Trim::tap:
    return "tap";
  case Trim::trimmer:
    return "trimmer";
  case Trim::tap_and_trimmer:
    break;
  }
  return "tap and trimmer";
}

bool winds_part_way(const Arrangement& arrangement, const std::string& coil) {
  return arrangement.whip && arrangement.whip->coil && arrangement.whip->coil->name == coil;
}

bool winds_coil(const Arrangement& arrangement, const std::string& coil) {
  return (describe_kind(arrangement.kind).takes_coil && arrangement.coil.name == coil) ||
         winds_part_way(arrangement, coil);
}

bool short_wire_lies(const AntennaLoad& load, double frequency_hz) {
  return load.solved_from ? wire::has_lying_corner(load.solved_from->antenna, load.solved_from->ground, frequency_hz)
                          : wire::has_lying_corner(load.lying_wire_m, frequency_hz);
}

Range ground_factors(const Uncertainty& uncertainty, bool short_wire_lies) {
  if (uncertainty.ground_factor) return *uncertainty.ground_factor;
  const double off = uncertainty.ground;
  return {1.0 - off, short_wire_lies && off > 0.0 ? wire::lying_ground_factor.high : 1.0 + off};
}

const load::Load& load_of(const Station& station, const Arrangement& arrangement, std::size_t condition) {
  return station.antennas.at(arrangement.antenna).loads.at(condition).load;
}

double hop_elevation_deg(double distance_m, double height_m) {
  require(distance_m > 0.0 && distance_m < pi * earth_radius_m, "a distance must be > 0 and under half the earth");
  require(height_m > 0.0 && std::isfinite(height_m), "the height of a layer must be > 0");
  const double half_angle = distance_m / (2.0 * earth_radius_m);
  return std::atan2(std::cos(half_angle) - earth_radius_m / (earth_radius_m + height_m), std::sin(half_angle)) * 180.0 /
         pi;
}

Station read_station(std::string_view text, const std::string& file, const std::string& folder,
                     const TextFiles& replaced) {
  const TomlTable document = TomlTable::parse_all(text, file);
  document.only({"station", "transmitter", "band",     "load",     "antenna",     "condition",   "path",
                 "cable",   "coil",        "parts",    "tuner",    "arrangement", "uncertainty", "decision",
                 "mode",    "battery",     "exposure", "contacts", "hands",       "body",        "wind"});
  Station station;
  document.item([&] {
    const TomlTable head = document.table("station");
    head.only({"name", "note", "whip_on_body"});
    station.name = head.text("name");
    station.note = head.find_text("note").value_or("");
    station.whip_on_body = head.flag("whip_on_body", true);
  });
  document.item([&] { station.transmitter = detail::transmitter_from(document.table("transmitter")); });

  detail::AntennaTables antennas;
  detail::Shelf shelf;
  shelf.bands_known = document.item([&] { detail::read_bands(document, station.bands, nullptr); });
  shelf.antennas_known = document.item([&] { antennas = detail::antennas_from(document, {folder, replaced}); });
  safety::Stand stand;
  document.item([&] {
    if (const auto table = document.find_table("wind")) stand = wind_from(*table, antennas.antennas);
  });
  document.item([&] { detail::read_paths(document, station.bands); });
  document.item([&] { detail::check_cover(document, station.bands, antennas); });

  detail::read_shelf(document, station.bands, shelf);
  detail::read_coils(document, station.bands, shelf);
  document.item([&] {
    const std::vector<TomlTable> arrangements = document.tables("arrangement");
    if (arrangements.empty()) document.fault("arrangement", "the file needs at least one [[arrangement]]");
    for (const TomlTable& table : arrangements) {
      Arrangement& arrangement = station.arrangements.emplace_back();
      table.item([&] {
        arrangement.name = table.text("name");  // known even where the rest has a fault
        arrangement = detail::arrangement_from(table, shelf, antennas, station.bands);
      });
    }
    check_unique(arrangements, "name", station.arrangements, [](const Arrangement& a) { return a.name; });
    check_feeds(arrangements, station.arrangements);
    if (shelf.antennas_known) detail::change_whips(arrangements, station.arrangements, antennas.antennas);
  });
  detail::read_circumstances(document, station);
  document.item([&] {
    if (const auto table = document.find_table("exposure"))
      table->item([&] { station.exposure = exposure_from(*table, folder); });
    if (const auto table = document.find_table("body")) table->item([&] { station.exposure.body = body_from(*table); });
  });
  document.item([&] {
    if (const auto table = document.find_table("contacts"))
      table->item([&] { station.contacts = contacts_from(*table); });
    if (const auto table = document.find_table("hands")) table->item([&] { station.hands = hands_from(*table); });
  });
  if (station.mode) station.exposure.duty = *station.mode;
  stand.person_kg = station.exposure.body.mass_kg;
  station.exposure.stand = stand;
  document.finish();
  station.coils = std::move(shelf.coils);
  station.antennas = std::move(antennas.antennas);
  station.conditions = std::move(antennas.conditions);
  return station;
}

Station load_station(const std::string& path) { return read_station(load_station_text(path)); }

StationText load_station_text(const std::string& path) {
  return {read_text_file(path), path, path == "-" ? "." : std::filesystem::path(path).parent_path().string()};
}

Station read_station(const StationText& stated) {
  return read_station(stated.text, stated.file, stated.folder, stated.replaced);
}

bool is_station(std::string_view text, const std::string& file) {
  return TomlTable::parse(text, file).has("transmitter");
}

}  // namespace stile::station

#include <stile/station/station.hpp>

#include <algorithm>
#include <cmath>
#include <filesystem>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include <stile/base/errors.hpp>
#include <stile/base/table.hpp>
#include <stile/load/antenna_load.hpp>
#include <stile/load/load_file.hpp>
#include <stile/station/detail/coil_table.hpp>
#include <stile/station/detail/plausible.hpp>
#include <stile/station/detail/toml_table.hpp>
#include <stile/station/detail/tuner_table.hpp>
#include <stile/station/detail/wire_table.hpp>
#include <stile/station/wires_file.hpp>

namespace stile::station {
namespace {

using detail::find_plausible;
using detail::plausible_value;
using detail::TomlTable;
namespace plausible = detail::plausible;

/// Runs `make`; what it finds wrong is reported at the key's place.
template <class Make>
auto at(const TomlTable& table, std::string_view key, const Make& make) {
  try {
    return make();
  } catch (const DomainError& error) {
    table.fail(key, error.what());
  }
}

Transmitter transmitter_from(const TomlTable& table) {
  table.only({"power", "impedance", "swr_limit", "foldback"});
  Transmitter t;
  t.source.power_w = plausible_value(table, "power", plausible::transmitter_power);
  if (table.has("impedance")) t.source.z_ohm = table.impedance("impedance");
  if (!(t.source.z_ohm.real() > 0.0)) table.fail("impedance", "the transmitter's impedance must have a real part > 0");
  detail::check_plausible(table, "impedance", std::abs(t.source.z_ohm), plausible::transmitter_impedance);
  t.swr_limit = find_plausible(table, "swr_limit", plausible::swr).value_or(2.0);
  if (!(t.swr_limit > 1.0)) table.fail("swr_limit", "\"swr_limit\" must be > 1");
  for (const TomlTable& point : table.tables("foldback")) {
    point.only({"swr", "power"});
    const FoldbackPoint next{plausible_value(point, "swr", plausible::swr), point.positive("power", Unit::watt)};
    if (next.power_w > t.source.power_w)
      point.fail("power", "a held-back power must not exceed the transmitter's power");
    if (!t.foldback.empty()) {
      if (next.swr <= t.foldback.back().swr) point.fail("swr", "\"foldback\" must go up in SWR");
      if (next.power_w > t.foldback.back().power_w) point.fail("power", "\"foldback\" must not go up in power");
    }
    t.foldback.push_back(next);
  }
  return t;
}

Band band_from(const TomlTable& table) {
  table.only({"name", "low", "high", "use", "design"});
  Band band;
  band.name = table.text("name");
  band.low_hz = band.use_low_hz = plausible_value(table, "low", plausible::band_frequency);
  band.high_hz = band.use_high_hz = plausible_value(table, "high", plausible::band_frequency);
  if (band.low_hz >= band.high_hz) table.fail("high", "\"high\" must be above \"low\"");
  if (table.has("use")) {
    const std::vector<double> use = table.positives("use", Unit::hertz);
    if (use.size() != 2 || !(band.low_hz <= use[0] && use[0] <= use[1] && use[1] <= band.high_hz)) {
      table.fail("use", "\"use\" must be two frequencies in order, between \"low\" and \"high\"");
    }
    band.use_low_hz = use[0];
    band.use_high_hz = use[1];
  }
  band.design_hz = table.find_positive("design", Unit::hertz).value_or(0.5 * (band.use_low_hz + band.use_high_hz));
  if (band.design_hz < band.use_low_hz || band.design_hz > band.use_high_hz) {
    table.fail("design", "\"design\" must lie within \"use\" (or within \"low\" and \"high\")");
  }
  return band;
}

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

std::string beside(const std::string& folder, const std::string& file) {
  const std::filesystem::path path(file);
  return path.is_absolute() ? file : (std::filesystem::path(folder) / path).lexically_normal().string();
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

/// The antenna that a load gives as wires, in the condition and over the ground that it chooses.
StatedWires wires_of(const TomlTable& table, const std::string& folder) {
  std::vector<wire::WireCase> cases;
  if (table.is_text("wires")) {
    cases = read_named(table, "wires", beside(folder, table.text("wires")), load_wires);
  } else {
    cases = detail::wires_from(table.table("wires"));
  }
  std::vector<std::string> names;
  for (const wire::WireCase& c : cases) names.push_back(c.name);
  std::size_t chosen = 0;
  if (const auto name = table.find_text("wires_condition")) {
    chosen = static_cast<std::size_t>(std::find(names.begin(), names.end(), *name) - names.begin());
    if (chosen == names.size())
      table.fail("wires_condition",
                 fmt::format("the wires have no condition \"{}\"; there are: {}", *name, fmt::join(names, ", ")));
  } else if (cases.size() > 1) {
    table.fail("wires",
               fmt::format("the wires have several conditions; {} needs the key \"wires_condition\", one of: {}",
                           table.name(), fmt::join(names, ", ")));
  }
  wire::WireCase& c = cases[chosen];
  if (table.has("ground")) {
    c.ground = detail::ground_from(table, "ground");
    at(table, "ground", [&] { wire::check_antenna(c.antenna, c.ground); });
  }
  return {std::move(c.antenna), std::move(c.ground),
          fmt::format("computed from wires{}, condition \"{}\"",
                      table.is_text("wires") ? " of " + table.text("wires") : "", c.name),
          table.where("wires"), c.carried};
}

Condition condition_from(const TomlTable& table, const std::string& folder) {
  table.only({"condition", "file", "shares", "impedance", "whip", "wires", "wires_condition", "ground", "bridge_gaps",
              "note"});
  Condition condition{table.text("condition"), {}};
  const int kinds = table.has("file") + table.has("impedance") + table.has("whip") + table.has("wires");
  if (kinds != 1)
    table.fail("condition", fmt::format("{} needs exactly one of the keys \"file\", \"impedance\", \"whip\", \"wires\"",
                                        table.name()));
  for (const char* key : {"wires_condition", "ground"}) {
    if (table.has(key) && !table.has("wires")) table.fail(key, fmt::format("\"{}\" belongs to \"wires\"", key));
  }
  const bool bridge = table.flag("bridge_gaps", false);
  if (table.has("file")) {
    const std::string path = beside(folder, table.text("file"));
    const load::LoadFileOptions options{bridge ? network::infinite : load::default_gap_ratio};
    condition.load =
        read_named(table, "file", path, [&](const std::string& p) { return load::load_from_file(p, options); });
    if (const auto shares = table.find_text("shares")) {
      const std::string shares_path = beside(folder, *shares);
      condition.load = read_named(table, "shares", shares_path, [&](const std::string& p) {
        return at(table, "shares",
                  [&] { return load::attach_shares(condition.load, read_table(read_text_file(p), p)); });
      });
    }
  } else {
    if (bridge || table.has("shares"))
      table.fail(bridge ? "bridge_gaps" : "shares", "\"shares\" and \"bridge_gaps\" belong to a \"file\"");
    if (table.has("impedance")) {
      const cdouble z = table.impedance("impedance");
      if (z.real() < 0.0) table.fail("impedance", "a load's resistance must be >= 0");
      detail::check_plausible(table, "impedance", std::abs(z), plausible::load_impedance);
      condition.load = {condition.name, "stated", load::ConstantLoad{z}, {}};
    } else if (table.has("wires")) {
      condition.wires = wires_of(table, folder);
      condition.load = {condition.name, condition.wires->origin, load::SampledLoad{}, {}};
    } else {
      condition.load = {condition.name, "lumped model", whip_from(table.table("whip")), {}};
    }
  }
  condition.load.name = condition.name;
  return condition;
}

NamedCable cable_from(const std::string& name, const TomlTable& table) {
  table.only({"type", "length", "impedance", "velocity_factor", "attenuation"});
  NamedCable named{name, {}};
  named.line.length_m = plausible_value(table, "length", plausible::cable_length);
  if (table.has("type")) {
    if (table.has("impedance") || table.has("velocity_factor") || table.has("attenuation")) {
      table.fail("type",
                 "a cable has either a \"type\" or \"impedance\", \"velocity_factor\" and \"attenuation\" of its own");
    }
    named.line.per_metre = at(table, "type", [&] { return network::cable(table.text("type")); });
    return named;
  }
  std::vector<network::AttenuationPoint> points;
  for (const TomlTable& point : table.tables("attenuation")) {
    point.only({"at", "loss", "length"});
    points.push_back({plausible_value(point, "at", plausible::reference_frequency),
                      plausible_value(point, "loss", plausible::attenuation),
                      plausible_value(point, "length", plausible::attenuation_length)});
  }
  if (points.empty())
    table.fail(
        "type",
        fmt::format(
            "{} needs a \"type\", or \"impedance\", \"velocity_factor\" and \"attenuation\" = [{{ at, loss, length }}]",
            table.name()));
  const double velocity_factor = plausible_value(table, "velocity_factor", plausible::velocity_factor);
  named.line.per_metre = at(table, "attenuation", [&] {
    return network::cable_from_attenuation(name, plausible_value(table, "impedance", plausible::cable_impedance),
                                           velocity_factor, points);
  });
  return named;
}

/// `parts` with what the table states in their place.
Parts parts_from(Parts parts, const TomlTable& table) {
  table.only({"inductor_q", "inductor_q_at", "inductor_resistance", "inductor_self_capacitance", "inductor_rating",
              "inductor_series", "capacitor_q", "capacitor_resistance", "capacitor_loss_tangent", "capacitor_rating",
              "capacitor_series"});
  network::Loss& coil = parts.stock.inductor_loss;
  network::Loss& capacitor = parts.stock.capacitor_loss;
  coil.q = find_plausible(table, "inductor_q", plausible::part_q).value_or(coil.q);
  coil.q_at_hz = find_plausible(table, "inductor_q_at", plausible::reference_frequency).value_or(coil.q_at_hz);
  coil.series_ohm = find_plausible(table, "inductor_resistance", plausible::loss_resistance).value_or(coil.series_ohm);
  parts.stock.inductor_self_capacitance_f =
      find_plausible(table, "inductor_self_capacitance", plausible::stray_capacitance)
          .value_or(parts.stock.inductor_self_capacitance_f);
  capacitor.q = find_plausible(table, "capacitor_q", plausible::part_q).value_or(capacitor.q);
  capacitor.series_ohm =
      find_plausible(table, "capacitor_resistance", plausible::loss_resistance).value_or(capacitor.series_ohm);
  capacitor.loss_tangent =
      find_plausible(table, "capacitor_loss_tangent", plausible::loss_tangent).value_or(capacitor.loss_tangent);
  if (table.has("inductor_rating")) parts.inductor_rating = detail::rating_from(table, "inductor_rating");
  if (table.has("capacitor_rating")) parts.capacitor_rating = detail::rating_from(table, "capacitor_rating");
  const auto series = [&](std::string_view key, std::optional<match::ESeries>& into) {
    if (table.has(key)) into = at(table, key, [&] { return match::e_series_from_name(table.text(key)); });
  };
  series("inductor_series", parts.inductor_series);
  series("capacitor_series", parts.capacitor_series);
  return parts;
}

/// Finds `name` among things that have one, or says which there are.
template <class Items, class Name>
const auto& named(const TomlTable& table, std::string_view key, const std::string& name, const Items& items,
                  const Name& name_of) {
  std::vector<std::string> names;
  for (const auto& item : items) {
    if (name_of(item) == name) return item;
    names.push_back(name_of(item));
  }
  table.fail(key, fmt::format("nothing is called \"{}\"; there {}", name,
                              names.empty() ? "is none" : fmt::format("are: {}", fmt::join(names, ", "))));
}

struct Shelf {
  std::vector<NamedCable> cables;
  std::vector<tuner::Tuner> tuners;
  std::vector<SwitchedCoil> coils;
  Parts parts;
};

/// "\"L network\", \"base coil\" or \"switched coil\"": the kinds that `which` takes.
template <class Which>
std::string names_of_kinds(const Which& which) {
  std::vector<std::string> names;
  for (const KindDescription& kind : arrangement_kinds()) {
    if (which(kind)) names.push_back(fmt::format("\"{}\"", kind.name));
  }
  if (names.size() == 1) return names.front();
  const std::string last = names.back();
  names.pop_back();
  return fmt::format("{} or {}", fmt::join(names, ", "), last);
}

Arrangement arrangement_from(const TomlTable& table, const Shelf& shelf, const std::vector<Condition>& conditions) {
  table.only({"name", "kind", "cable_before", "cable_after", "tuner", "coil", "parts", "design_condition", "trim"});
  Arrangement a;
  a.name = table.text("name");
  const std::string kind = table.text("kind");
  const auto kinds = arrangement_kinds();
  const auto known = std::find_if(kinds.begin(), kinds.end(), [&](const KindDescription& k) { return k.name == kind; });
  if (known == kinds.end())
    table.fail("kind", fmt::format("\"kind\" must be {}", names_of_kinds([](const KindDescription&) { return true; })));
  a.kind = known->kind;
  const auto only_of = [&](std::string_view key, bool KindDescription::*takes, std::string_view verb) {
    if (!table.has(key) || (*known).*takes) return;
    table.fail(key, fmt::format("\"{}\" {} to arrangements of kind {}", key, verb,
                                names_of_kinds([&](const KindDescription& k) { return k.*takes; })));
  };
  const auto cable = [&](std::string_view key, std::optional<NamedCable>& into) {
    if (const auto name = table.find_text(key)) {
      into = named(table, key, *name, shelf.cables, [](const NamedCable& c) { return c.name; });
    }
  };
  cable("cable_before", a.cable_before);
  cable("cable_after", a.cable_after);
  only_of("tuner", &KindDescription::takes_tuner, "belongs");
  only_of("coil", &KindDescription::takes_coil, "belongs");
  only_of("parts", &KindDescription::takes_parts, "belong");
  only_of("design_condition", &KindDescription::takes_parts, "belongs");
  only_of("trim", &KindDescription::takes_parts, "belongs");
  if (known->takes_tuner) {
    if (shelf.tuners.empty()) table.fail("kind", "an arrangement with a tuner needs a [tuner] table in the file");
    const auto name = table.find_text("tuner");
    a.tuner = name ? named(table, "tuner", *name, shelf.tuners, [](const tuner::Tuner& t) { return t.name; })
                   : shelf.tuners.front();
  }
  if (known->takes_coil) {
    if (shelf.coils.empty())
      table.fail("kind", "an arrangement with a switched coil needs a [coil.NAME] table in the file");
    const auto name = table.find_text("coil");
    if (!name && shelf.coils.size() > 1) table.fail("coil", "the file has several coils: \"coil\" must name one");
    a.coil = name ? named(table, "coil", *name, shelf.coils, [](const SwitchedCoil& c) { return c.name; })
                  : shelf.coils.front();
  }
  a.parts = shelf.parts;
  if (const auto parts = table.find_table("parts")) a.parts = parts_from(shelf.parts, *parts);
  if (const auto name = table.find_text("design_condition")) {
    a.design_condition =
        named(table, "design_condition", *name, conditions, [](const Condition& c) { return c.name; }).name;
  }
  if (const auto trim = table.find_text("trim")) {
    if (*trim != "once" && *trim != "each condition")
      table.fail("trim", "\"trim\" must be \"once\" or \"each condition\"");
    a.trimmed = *trim == "each condition";
    if (a.trimmed && !a.design_condition.empty())
      table.fail("trim", "\"design_condition\" has no meaning when each condition is trimmed");
  }
  return a;
}

void check_cover(const TomlTable& band_table, const Band& band, const std::vector<Condition>& conditions) {
  for (const Condition& condition : conditions) {
    if (condition.wires) continue;  // solved where it is needed
    const auto check = [&](const char* key, double frequency_hz) {
      try {
        load::load_impedance(condition.load, frequency_hz);
      } catch (const DomainError& error) {
        band_table.fail(key, fmt::format("the load \"{}\" does not cover this band: {}", condition.name, error.what()));
      }
    };
    check("low", band.low_hz);
    check("high", band.high_hz);
    const std::vector<Range> ranges_hz = load::load_ranges(condition.load);
    for (std::size_t n = 0; n + 1 < ranges_hz.size(); ++n) {  // gaps in the data
      const double middle_hz = 0.5 * (ranges_hz[n].high + ranges_hz[n + 1].low);
      if (band.low_hz < middle_hz && middle_hz < band.high_hz) check("low", middle_hz);
    }
  }
}

/// Loads given as wires are solved along every band: so many frequencies must be worth it.
void check_samples(const std::vector<TomlTable>& tables, const std::vector<Band>& bands) {
  std::vector<Range> ranges_hz;
  for (std::size_t n = 0; n < bands.size(); ++n) {
    ranges_hz.push_back({bands[n].low_hz, bands[n].high_hz});
    at(tables[n], "high", [&] { return load::antenna_frequencies(ranges_hz); });
  }
}

/// The model of a cable ends at low frequencies and at losses beyond all use.
void check_serves(const TomlTable& table, const NamedCable& cable, const std::vector<Band>& bands) {
  for (const Band& band : bands) {
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
      if (name_of(items[n]) == name_of(items[m]))
        tables[n].fail(key, fmt::format("the name \"{}\" is taken", name_of(items[n])));
    }
  }
}

}  // namespace

double power_at_swr(const Transmitter& transmitter, double swr) {
  return network::power_at_swr(transmitter.source.power_w, transmitter.foldback, swr);
}

Station read_station(std::string_view text, const std::string& file, const std::string& folder) {
  const TomlTable document = TomlTable::parse(text, file);
  document.only(
      {"station", "transmitter", "band", "load", "cable", "coil", "parts", "tuner", "arrangement", "uncertainty"});
  Station station;
  const TomlTable head = document.table("station");
  head.only({"name", "note", "whip_on_body"});
  station.name = head.text("name");
  station.note = head.find_text("note").value_or("");
  station.whip_on_body = head.flag("whip_on_body", true);
  station.transmitter = transmitter_from(document.table("transmitter"));

  const std::vector<TomlTable> loads = document.tables("load");
  if (loads.empty()) document.fail("load", "the file needs at least one [[load]], the antenna in one condition");
  const std::vector<TomlTable> bands = document.tables("band");
  if (bands.empty()) document.fail("band", "the file needs at least one [[band]]");
  for (const TomlTable& table : bands) station.bands.push_back(band_from(table));
  check_unique(bands, "name", station.bands, [](const Band& b) { return b.name; });

  for (const TomlTable& table : loads) station.conditions.push_back(condition_from(table, folder));
  check_unique(loads, "condition", station.conditions, [](const Condition& c) { return c.name; });
  for (std::size_t n = 0; n < bands.size(); ++n) check_cover(bands[n], station.bands[n], station.conditions);
  const auto of_wires = [](const Condition& c) { return c.wires.has_value(); };
  if (std::any_of(station.conditions.begin(), station.conditions.end(), of_wires)) check_samples(bands, station.bands);

  Shelf shelf;
  for (const auto& [name, table] : document.named_tables("cable")) {
    shelf.cables.push_back(cable_from(name, table));
    check_serves(table, shelf.cables.back(), station.bands);
  }
  const std::vector<TomlTable> tuners = document.tables("tuner");
  for (const TomlTable& table : tuners) shelf.tuners.push_back(detail::tuner_from(table));
  check_unique(tuners, "name", shelf.tuners, [](const tuner::Tuner& t) { return t.name; });
  for (const auto& [name, table] : document.named_tables("coil"))
    shelf.coils.push_back(detail::coil_from(name, table, station.bands));
  station.coils = shelf.coils;
  if (const auto parts = document.find_table("parts")) shelf.parts = parts_from({}, *parts);

  const std::vector<TomlTable> arrangements = document.tables("arrangement");
  if (arrangements.empty()) document.fail("arrangement", "the file needs at least one [[arrangement]]");
  for (const TomlTable& table : arrangements)
    station.arrangements.push_back(arrangement_from(table, shelf, station.conditions));
  check_unique(arrangements, "name", station.arrangements, [](const Arrangement& a) { return a.name; });

  if (const auto table = document.find_table("uncertainty")) {
    table->only({"q", "ground"});
    const auto relative = [&](std::string_view key, double fallback) {
      const double value = table->find_not_negative(key, Unit::one).value_or(fallback);
      if (value >= 1.0) table->fail(key, fmt::format("\"{}\" is relative and must be under 1", key));
      return value;
    };
    station.uncertainty = {relative("q", station.uncertainty.q), relative("ground", station.uncertainty.ground)};
  }
  return station;
}

Station load_station(const std::string& path) {
  const std::string folder = path == "-" ? "." : std::filesystem::path(path).parent_path().string();
  return read_station(read_text_file(path), path, folder);
}

bool is_station(std::string_view text, const std::string& file) {
  return TomlTable::parse(text, file).has("transmitter");
}

}  // namespace stile::station

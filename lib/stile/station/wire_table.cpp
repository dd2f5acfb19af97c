#include <stile/station/wire_table.hpp>

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/base/table.hpp>
#include <stile/conductor/metal.hpp>
#include <stile/wire/conditions.hpp>

namespace stile {
namespace {

using WhipState = decltype(ConditionCase::condition);

struct Kind {
  std::string_view name;
  WhipState state;
};
constexpr std::string_view as_drawn = "as drawn";
constexpr std::array<Kind, 9> kinds{{{"lifted", WhipState::lifted},
                                     {"trailing dry", WhipState::trailing_dry},
                                     {"trailing", WhipState::trailing_usual},
                                     {"lying wet", WhipState::lying_wet},
                                     {"on water", WhipState::on_water},
                                     {"leaning", WhipState::leaning},
                                     {"torn off", WhipState::torn_off},
                                     {"operator near", WhipState::operator_near},
                                     {"with set", WhipState::with_set}}};

/// Runs `make`; what it finds wrong is reported at the key's place.
template <class Make>
auto at(const TomlTable& table, std::string_view key, const Make& make) {
  try {
    return make();
  } catch (const DomainError& error) {
    table.fail(key, error.what());
  }
}

Ground ground_table(const TomlTable& table) {
  table.only({"kind", "relative_permittivity", "conductivity"});
  const bool numbers = table.has("relative_permittivity") || table.has("conductivity");
  if (table.has("kind") == numbers) {
    table.fail("kind", fmt::format("{} needs either a \"kind\" or both \"relative_permittivity\" and \"conductivity\"",
                                   table.name()));
  }
  if (!numbers) return at(table, "kind", [&] { return ground_by_name(table.text("kind")); });
  const double permittivity = table.positive("relative_permittivity", Unit::one);
  if (permittivity < 1.0 || permittivity > 1000.0)
    table.fail("relative_permittivity", "\"relative_permittivity\" must be 1..1000 (water has 80)");
  table.quantity("conductivity", Unit::siemens_per_metre);  // a missing one is told as such
  const double conductivity_s_m = *table.find_not_negative("conductivity", Unit::siemens_per_metre);
  return at(table, "conductivity", [&] { return lossy_ground(permittivity, conductivity_s_m); });
}

/// Conductivity that "metal" or "conductivity" states; none is a perfect conductor.
std::optional<double> conductor_from(const TomlTable& table) {
  if (table.has("metal") == table.has("conductivity")) {
    table.fail("metal", fmt::format("{} needs either a \"metal\" by name or a \"conductivity\"", table.name()));
  }
  if (table.has("conductivity")) return table.positive("conductivity", Unit::siemens_per_metre);
  const std::string name = table.text("metal");
  if (name == "perfect") return std::nullopt;
  try {
    return 1.0 / metal_by_name(name).resistivity_20c_ohm_m;
  } catch (const DomainError& error) {
    table.fail("metal", std::string(error.what()) + ", \"perfect\"");
  }
}

Wire wire_from(const TomlTable& table) {
  table.only({"name", "points", "radius", "metal", "conductivity", "permeability", "insulation"});
  Wire wire;
  wire.name = table.text("name");
  for (const std::vector<double>& p : table.rows("points", Unit::metre, 3)) wire.points.push_back({p[0], p[1], p[2]});
  wire.radius_m = table.positive("radius", Unit::metre);
  wire.conductivity_s_m = conductor_from(table);
  wire.relative_permeability = table.find_positive("permeability", Unit::one).value_or(1.0);
  if (wire.relative_permeability < 1.0)
    table.fail("permeability", "\"permeability\" is relative and must be at least 1");
  if (const auto coat = table.find_table("insulation")) {
    coat->only({"thickness", "relative_permittivity"});
    wire.insulation =
        Insulation{coat->positive("thickness", Unit::metre), coat->positive("relative_permittivity", Unit::one)};
    if (wire.insulation->relative_permittivity < 1.0)
      coat->fail("relative_permittivity", "\"relative_permittivity\" must be at least 1");
  }
  return wire;
}

/// Index of the wire that a key names.
std::size_t wire_named(const TomlTable& table, std::string_view key, const std::vector<Wire>& wires) {
  const std::string name = table.text(key);
  const auto found = std::find_if(wires.begin(), wires.end(), [&](const Wire& w) { return w.name == name; });
  if (found != wires.end()) return static_cast<std::size_t>(found - wires.begin());
  std::vector<std::string> names;
  for (const Wire& w : wires) names.push_back(w.name);
  table.fail(key, fmt::format("no wire is called \"{}\"; there are: {}", name, fmt::join(names, ", ")));
}

WireCoil coil_from(const TomlTable& table, const std::vector<Wire>& wires) {
  table.only({"on", "distance", "length", "inductance", "q", "self_capacitance"});
  WireCoil coil;
  coil.wire = wire_named(table, "on", wires);
  coil.distance_m = table.positive("distance", Unit::metre);
  coil.length_m = table.find_not_negative("length", Unit::metre).value_or(0.0);
  coil.inductance_h = table.positive("inductance", Unit::henry);
  coil.q = table.positive("q", Unit::one);
  coil.self_capacitance_f = table.find_not_negative("self_capacitance", Unit::farad).value_or(0.0);
  return coil;
}

WireLump lump_from(const TomlTable& table, const std::vector<Wire>& wires) {
  table.only({"on", "distance", "resistance", "inductance", "capacitance", "q"});
  WireLump lump;
  lump.wire = wire_named(table, "on", wires);
  table.quantity("distance", Unit::metre);  // a missing one is told as such
  lump.distance_m = *table.find_not_negative("distance", Unit::metre);
  lump.resistance_ohm = table.find_not_negative("resistance", Unit::ohm).value_or(0.0);
  lump.inductance_h = table.find_not_negative("inductance", Unit::henry).value_or(0.0);
  lump.capacitance_f = table.find_positive("capacitance", Unit::farad).value_or(lump.capacitance_f);
  lump.q = table.find_positive("q", Unit::one).value_or(lump.q);
  if (!table.has("resistance") && !table.has("inductance") && !table.has("capacitance"))
    table.fail("resistance",
               fmt::format("{} needs at least one of \"resistance\", \"inductance\" (with \"q\") and \"capacitance\"",
                           table.name()));
  if (table.has("q") && !table.has("inductance")) table.fail("q", "\"q\" is that of an \"inductance\"");
  return lump;
}

/// Checks an antenna; what is wrong is told at the wire, coil, lump or feed that the message starts with.
void check_at_place(const Antenna& antenna, const Ground& ground, const TomlTable& document,
                    const std::vector<TomlTable>& wires) {
  try {
    check_antenna(antenna, ground);
  } catch (const DomainError& error) {
    const std::string message = error.what();
    for (std::size_t w = 0; w < wires.size(); ++w) {
      if (message.rfind(fmt::format("wire \"{}\"", antenna.wires[w].name), 0) != 0) continue;
      wires[w].fail(message.find("radius") == std::string::npos ? "points" : "radius", message);
    }
    const std::vector<TomlTable> coils = document.tables("coil");
    for (std::size_t c = 0; c < coils.size(); ++c) {
      if (message.rfind(fmt::format("coil {}", c + 1), 0) == 0) coils[c].fail("distance", message);
    }
    const std::vector<TomlTable> lumps = document.tables("lump");
    for (std::size_t n = 0; n < lumps.size(); ++n) {
      if (message.rfind(fmt::format("lump {}", n + 1), 0) == 0) lumps[n].fail("distance", message);
    }
    if (const auto feed = document.find_table("feed")) feed->fail("gap", message);
    document.fail("wire", message);
  }
}

/// The drawing as the one whip with one wire that conditions are made of.
WhipSet whip_set_from(const TomlTable& table, const Antenna& drawn, const Ground& ground) {
  const auto refuse = [&](const std::string& why) {
    table.fail("kind", "this \"kind\" needs two wires that start at the feed: a straight upright whip, which comes "
                       "first, and a trailing wire; " +
                           why);
  };
  if (drawn.wires.size() != 2) refuse(fmt::format("there are {}", drawn.wires.size()));
  const Wire &whip = drawn.wires[0], &trailing = drawn.wires[1];
  const Vec3 base = whip.points.front(), top = whip.points.back();
  if (whip.points.size() != 2 || std::hypot(top.x_m - base.x_m, top.y_m - base.y_m) > 1e-6 || !(top.z_m > base.z_m)) {
    refuse(fmt::format("\"{}\" is not straight and upright", whip.name));
  }
  if (drawn.feed.wire != 0) refuse("the feed is not on the first");
  if (ground.kind != GroundKind::lossy) table.fail("kind", "this \"kind\" needs a lossy ground");
  if (std::any_of(drawn.coils.begin(), drawn.coils.end(), [](const WireCoil& c) { return c.wire != 0; }))
    refuse("coils must be on the whip");
  if (whip.insulation || whip.relative_permeability != 1.0 || trailing.relative_permeability != 1.0) {
    refuse("the whip is bare, and neither is magnetic");
  }

  WhipSet set;
  set.whip_length_m = wire_length_m(whip);
  set.whip_radius_m = whip.radius_m;
  set.whip_conductivity_s_m = whip.conductivity_s_m;
  set.base_height_m = base.z_m;
  set.wire_length_m = wire_length_m(trailing);
  set.wire_radius_m = trailing.radius_m;
  set.wire_conductivity_s_m = trailing.conductivity_s_m;
  set.wire_insulation = trailing.insulation;
  const auto lowest =
      std::min_element(trailing.points.begin(), trailing.points.end(), [](Vec3 a, Vec3 b) { return a.z_m < b.z_m; });
  if (lowest->z_m < base.z_m - 1e-6) {  // otherwise it is drawn level, and the library's own values stand
    set.lying_height_m = lowest->z_m;
    set.drop_distance_m = std::hypot(lowest->x_m - base.x_m, lowest->y_m - base.y_m);
  }
  set.coils = drawn.coils;
  set.gap_m = drawn.feed.gap_m;
  set.base_capacitance_f = drawn.feed.base_capacitance_f;
  set.ground = ground;
  return set;
}

/// What the tables [set] and [person] state, in place of the library's own values.
void read_bodies(const TomlTable& document, WhipSet& whip) {
  const auto positive = [](const TomlTable& table, std::string_view key, Unit unit, double& value) {
    value = table.find_positive(key, unit).value_or(value);
  };
  if (const auto set = document.find_table("set")) {
    positive(*set, "frame_length", Unit::metre, whip.set.frame_length_m);
    positive(*set, "frame_radius", Unit::metre, whip.set.frame_radius_m);
    whip.set.lead_length_m = set->find_not_negative("lead_length", Unit::metre).value_or(whip.set.lead_length_m);
    positive(*set, "lead_radius", Unit::metre, whip.set.lead_radius_m);
  }
  if (const auto person = document.find_table("person")) {
    positive(*person, "distance", Unit::metre, whip.person.distance_m);
    positive(*person, "radius", Unit::metre, whip.person.radius_m);
    positive(*person, "height", Unit::metre, whip.person.top_m);
    positive(*person, "conductivity", Unit::siemens_per_metre, whip.person.conductivity_s_m);
  }
}

struct Drawing {
  Antenna antenna;
  Ground ground;
};

WireCase condition_from(const TomlTable& document, const TomlTable& table, const Drawing& drawn) {
  table.only({"name", "kind", "ground", "lying_height", "drop_distance", "lean_degrees", "without"});
  const std::string kind = table.find_text("kind").value_or(std::string(as_drawn));
  WireCase c{table.text("name"), drawn.antenna,
             table.has("ground") ? detail::ground_from(table, "ground") : drawn.ground};
  if (kind == as_drawn) {
    for (const std::string_view key : {"lying_height", "drop_distance", "lean_degrees"}) {
      if (table.has(key)) table.fail(key, fmt::format("\"{}\" needs another \"kind\" than \"{}\"", key, as_drawn));
    }
    if (table.has("without")) {
      for (const std::string& name : table.texts("without")) {
        std::vector<Wire>& wires = c.antenna.wires;
        const auto gone = std::find_if(wires.begin(), wires.end(), [&](const Wire& w) { return w.name == name; });
        if (gone == wires.end()) table.fail("without", fmt::format("no wire is called \"{}\"", name));
        const auto index = static_cast<std::size_t>(gone - wires.begin());
        if (index == c.antenna.feed.wire)
          table.fail("without", fmt::format("\"{}\" has the feed on it and cannot be left out", name));
        std::erase_if(c.antenna.coils, [&](const WireCoil& coil) { return coil.wire == index; });
        for (WireCoil& coil : c.antenna.coils) coil.wire -= coil.wire > index;
        std::erase_if(c.antenna.lumps, [&](const WireLump& lump) { return lump.wire == index; });
        for (WireLump& lump : c.antenna.lumps) lump.wire -= lump.wire > index;
        c.antenna.feed.wire -= c.antenna.feed.wire > index;
        wires.erase(gone);
      }
    }
    at(table, "name", [&] { check_antenna(c.antenna, c.ground); });
    return c;
  }
  if (table.has("without")) table.fail("without", fmt::format("\"without\" belongs to the \"kind\" \"{}\"", as_drawn));
  const auto* const known = std::find_if(kinds.begin(), kinds.end(), [&](const Kind& k) { return k.name == kind; });
  if (known == kinds.end())
    table.fail("kind", fmt::format("no condition is of the kind \"{}\"; legal: {}", kind,
                                   fmt::join(wire_condition_kinds(), ", ")));
  WhipSet whip = whip_set_from(table, drawn.antenna, c.ground);
  read_bodies(document, whip);
  whip.lying_height_m = table.find_positive("lying_height", Unit::metre).value_or(whip.lying_height_m);
  whip.drop_distance_m = table.find_positive("drop_distance", Unit::metre).value_or(whip.drop_distance_m);
  if (const auto lean = table.find_not_negative("lean_degrees", Unit::one)) whip.lean_rad = *lean * pi / 180.0;
  const ConditionCase made = at(table, "kind", [&] { return whip_condition(whip, known->state); });
  c.antenna = made.antenna;
  if (!table.has("ground")) c.ground = made.ground;
  at(table, "ground", [&] { check_antenna(c.antenna, c.ground); });
  return c;
}

}  // namespace

namespace detail {

Ground ground_from(const TomlTable& parent, std::string_view key) {
  if (parent.is_text(key)) return at(parent, key, [&] { return ground_by_name(parent.text(key)); });
  return ground_table(parent.table(key));
}

std::vector<WireCase> wires_from(const TomlTable& document) {
  document.only({"ground", "wire", "feed", "coil", "lump", "condition", "set", "person"});
  Drawing drawn;
  drawn.ground = ground_from(document, "ground");
  const std::vector<TomlTable> wires = document.tables("wire");
  if (wires.empty()) document.fail("wire", fmt::format("{} needs at least one [[wire]]", document.name()));
  for (const TomlTable& table : wires) {
    Wire wire = wire_from(table);
    for (const Wire& other : drawn.antenna.wires) {
      if (other.name == wire.name) table.fail("name", fmt::format("the name \"{}\" is taken", wire.name));
    }
    drawn.antenna.wires.push_back(std::move(wire));
  }
  if (const auto feed = document.find_table("feed")) {
    feed->only({"on", "gap", "base_capacitance", "base_leakage"});
    if (feed->has("on")) drawn.antenna.feed.wire = wire_named(*feed, "on", drawn.antenna.wires);
    drawn.antenna.feed.gap_m = feed->positive("gap", Unit::metre);
    drawn.antenna.feed.base_capacitance_f = feed->find_not_negative("base_capacitance", Unit::farad).value_or(0.0);
    drawn.antenna.feed.base_leakage_ohm =
        feed->find_positive("base_leakage", Unit::ohm).value_or(drawn.antenna.feed.base_leakage_ohm);
  } else {
    document.fail("feed", fmt::format("{} needs the table [feed] with \"gap\"", document.name()));
  }
  for (const TomlTable& table : document.tables("coil"))
    drawn.antenna.coils.push_back(coil_from(table, drawn.antenna.wires));
  for (const TomlTable& table : document.tables("lump"))
    drawn.antenna.lumps.push_back(lump_from(table, drawn.antenna.wires));
  if (const auto set = document.find_table("set"))
    set->only({"frame_length", "frame_radius", "lead_length", "lead_radius"});
  if (const auto person = document.find_table("person")) person->only({"distance", "radius", "height", "conductivity"});
  check_at_place(drawn.antenna, drawn.ground, document, wires);

  std::vector<WireCase> cases;
  for (const TomlTable& table : document.tables("condition")) {
    cases.push_back(condition_from(document, table, drawn));
    for (std::size_t n = 0; n + 1 < cases.size(); ++n) {
      if (cases[n].name == cases.back().name)
        table.fail("name", fmt::format("the name \"{}\" is taken", cases[n].name));
    }
  }
  if (cases.empty()) cases.push_back({std::string(as_drawn), drawn.antenna, drawn.ground});
  return cases;
}

}  // namespace detail

std::vector<std::string> wire_condition_kinds() {
  std::vector<std::string> names{std::string(as_drawn)};
  for (const Kind& kind : kinds) names.emplace_back(kind.name);
  return names;
}

std::vector<WireCase> read_wires(std::string_view text, const std::string& file) {
  return detail::wires_from(TomlTable::parse(text, file));
}

std::vector<WireCase> load_wires(const std::string& path) { return read_wires(read_text_file(path), path); }

}  // namespace stile

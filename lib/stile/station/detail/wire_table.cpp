#include <stile/station/detail/wire_table.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/conductor/metal.hpp>
#include <stile/station/detail/coil_table.hpp>
#include <stile/station/detail/plausible.hpp>
#include <stile/station/whip_coil.hpp>
#include <stile/wire/conditions.hpp>
#include <stile/wire/vec3.hpp>

namespace stile::station::detail {
namespace {

using detail::find_plausible;
using detail::plausible_value;

struct Kind {
  std::string_view name;
  wire::WhipCondition state;
};
constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr std::string_view as_drawn = "as drawn";
constexpr std::array<Kind, 10> kinds{{{"lifted", wire::WhipCondition::lifted},
                                      {"trailing dry", wire::WhipCondition::trailing_dry},
                                      {"trailing", wire::WhipCondition::trailing_usual},
                                      {"lying wet", wire::WhipCondition::lying_wet},
                                      {"on water", wire::WhipCondition::on_water},
                                      {"leaning", wire::WhipCondition::leaning},
                                      {"torn off", wire::WhipCondition::torn_off},
                                      {"operator near", wire::WhipCondition::operator_near},
                                      {"with set", wire::WhipCondition::with_set},
                                      {"hand on set", wire::WhipCondition::hand_on_set}}};

/// Runs `make`; what it finds wrong is reported at the key's place.
template <class Make>
auto at(const TomlTable& table, std::string_view key, const Make& make) {
  try {
    return make();
  } catch (const DomainError& error) {
    table.fail(key, error.what());
  }
}

wire::Ground ground_table(const TomlTable& table) {
  table.only({"kind", "relative_permittivity", "conductivity"});
  const bool numbers = table.has("relative_permittivity") || table.has("conductivity");
  if (table.has("kind") == numbers) {
    table.fault("kind", fmt::format("{} needs either a \"kind\" or both \"relative_permittivity\" and \"conductivity\"",
                                    table.name()));
    find_plausible(table, "relative_permittivity", plausible::ground_permittivity);
    find_plausible(table, "conductivity", plausible::ground_conductivity);
    return {};
  }
  if (!numbers) return at(table, "kind", [&] { return wire::ground_by_name(table.text("kind")); });
  const double permittivity = plausible_value(table, "relative_permittivity", plausible::ground_permittivity),
               conductivity_s_m = plausible_value(table, "conductivity", plausible::ground_conductivity);
  return at(table, "conductivity", [&] { return wire::lossy_ground(permittivity, conductivity_s_m); });
}

bool is_of(const std::string& name, const std::vector<std::string>& names) {
  return std::find(names.begin(), names.end(), name) != names.end();
}

void no_wire(const TomlTable& table, std::string_view key, const std::string& name,
             const std::vector<std::string>& there) {
  table.fault(key, fmt::format("no wire is called \"{}\"; there are: {}", name, fmt::join(there, ", ")));
}

/// What a table states in place of the library's own value.
void read_in_place(const TomlTable& table, std::string_view key, const Plausible& range, double& value) {
  value = find_plausible(table, key, range).value_or(value);
}

}  // namespace

std::optional<double> conductor_from(const TomlTable& table) {
  if (table.has("metal") == table.has("conductivity"))
    table.fault("metal", fmt::format("{} needs either a \"metal\" by name or a \"conductivity\"", table.name()));
  const auto stated = find_plausible(table, "conductivity", plausible::wire_conductivity);
  const std::string name = table.find_text("metal").value_or("perfect");
  if (stated || name == "perfect") return stated;
  try {
    return 1.0 / conductor::metal_by_name(name).resistivity_20c_ohm_m;
  } catch (const DomainError& error) {
    table.fault("metal", std::string(error.what()) + ", \"perfect\"");
    return std::nullopt;
  }
}

std::optional<wire::Insulation> insulation_from(const TomlTable& table) {
  const auto coat = table.find_table("insulation");
  if (!coat) return {};
  coat->only({"thickness", "relative_permittivity"});
  return wire::Insulation{plausible_value(*coat, "thickness", plausible::insulation_thickness),
                          plausible_value(*coat, "relative_permittivity", plausible::insulation_permittivity)};
}

wire::SetBody set_from(const TomlTable& table) {
  table.only({"frame_length", "frame_radius", "lead_length", "lead_radius", "worn"});
  wire::SetBody set;
  read_in_place(table, "frame_length", plausible::body_length, set.frame_length_m);
  read_in_place(table, "frame_radius", plausible::body_radius, set.frame_radius_m);
  read_in_place(table, "lead_length", plausible::lead_length, set.lead_length_m);
  read_in_place(table, "lead_radius", plausible::body_radius, set.lead_radius_m);
  const std::string worn = table.find_text("worn").value_or("in front");
  if (worn != "in front" && worn != "on the frame")
    table.fault("worn", "\"worn\" must be \"in front\" or \"on the frame\"");
  set.worn_in_front = worn == "in front";
  return set;
}

wire::PersonBody person_from(const TomlTable& table) {
  table.only({"distance", "radius", "height", "conductivity", "foot_capacitance"});
  wire::PersonBody person;
  read_in_place(table, "distance", plausible::body_length, person.distance_m);
  read_in_place(table, "radius", plausible::body_radius, person.radius_m);
  read_in_place(table, "height", plausible::stature, person.stature_m);
  read_in_place(table, "conductivity", plausible::body_conductivity, person.conductivity_s_m);
  read_in_place(table, "foot_capacitance", plausible::body_capacitance, person.foot_capacitance_f);
  return person;
}

std::vector<wire::HandContact> contact_from(const TomlTable& table) {
  if (table.is_text("contact")) {
    if (table.text("contact") != "open")
      table.fault("contact", "\"contact\" must be \"open\" or { resistance, capacitance }");
    return {{infinity, infinity}};
  }
  const auto found = table.find_table("contact");
  if (!found) return {{infinity, infinity}};
  const TomlTable& stated = *found;
  stated.only({"resistance", "capacitance"});
  if (!stated.has("resistance") && !stated.has("capacitance"))
    table.fault("contact", "\"contact\" needs a \"resistance\", a \"capacitance\" or both");
  wire::HandContact contact;
  contact.capacitance_f = find_plausible(stated, "capacitance", plausible::body_capacitance).value_or(infinity);
  if (!stated.is_array("resistance")) {
    contact.resistance_ohm =
        find_plausible(stated, "resistance", plausible::contact_resistance).value_or(contact.resistance_ohm);
    return {contact};
  }
  const std::vector<double> ends = plausible_values(stated, "resistance", plausible::contact_resistance);
  if (ends.size() != 2 || !(ends[0] < ends[1]))
    stated.fault("resistance", "\"resistance\" must be one value, or the least and the most in order");
  std::vector<wire::HandContact> all(3, contact);
  all[0].resistance_ohm = 0.5 * (ends.front() + ends.back());
  all[1].resistance_ohm = ends.front(), all[2].resistance_ohm = ends.back();
  return all;
}

wire::NamedLump lump_from(const TomlTable& table, const std::vector<std::string>& wires) {
  table.only({"on", "distance", "resistance", "inductance", "capacitance", "q"});
  const std::string on = table.text("on");
  if (!is_of(on, wires)) no_wire(table, "on", on, wires);
  wire::WireLump lump;
  lump.distance_m = plausible_value(table, "distance", plausible::distance_on_wire);
  lump.resistance_ohm = find_plausible(table, "resistance", plausible::lump_resistance).value_or(0.0);
  lump.inductance_h = find_plausible(table, "inductance", plausible::antenna_inductance).value_or(0.0);
  lump.capacitance_f = find_plausible(table, "capacitance", plausible::capacitance).value_or(lump.capacitance_f);
  lump.q = find_plausible(table, "q", plausible::part_q).value_or(lump.q);
  if (!table.has("resistance") && !table.has("inductance") && !table.has("capacitance"))
    table.fault("resistance",
                fmt::format("{} needs at least one of \"resistance\", \"inductance\" (with \"q\") and \"capacitance\"",
                            table.name()));
  if (table.has("q") && !table.has("inductance")) table.fault("q", "\"q\" is that of an \"inductance\"");
  return {on, lump};
}

namespace {

/// A wire as it is stated: by its points, or by its lengths, which make it a trailing wire without points yet.
struct StatedWire {
  wire::Wire wire;
  std::optional<wire::TrailingWire> trailing;
};

constexpr std::array<std::string_view, 6> lengths{"length",       "drop",   "lying_height",
                                                  "doubled_back", "coiled", "direction_degrees"};

StatedWire wire_from(const TomlTable& table) {
  table.only({"name", "points", "length", "drop", "lying_height", "doubled_back", "coiled", "direction_degrees",
              "radius", "metal", "conductivity", "permeability", "insulation"});
  StatedWire stated;
  wire::Wire& wire = stated.wire;
  wire.name = table.text("name");
  if (table.has("points") == table.has("length"))
    table.fault("points", fmt::format("{} needs either \"points\" or a \"length\"", table.name()));
  if (table.has("points")) {
    for (const std::string_view key : lengths) {
      if (table.has(key)) table.fault(key, fmt::format("\"{}\" stands in place of \"points\", not beside them", key));
    }
    for (const std::vector<double>& p : table.rows("points", Unit::metre, 3)) {
      for (const double value : p) detail::check_plausible(table, "points", std::abs(value), plausible::coordinate);
      wire.points.push_back({p[0], p[1], p[2]});
    }
  }
  wire.radius_m = plausible_value(table, "radius", plausible::wire_radius);
  wire.conductivity_s_m = conductor_from(table);
  wire.relative_permeability = find_plausible(table, "permeability", plausible::permeability).value_or(1.0);
  wire.insulation = insulation_from(table);
  if (!table.has("length")) return stated;
  wire::TrailingWire t;
  t.name = wire.name;
  t.length_m = plausible_value(table, "length", plausible::wire_length);
  t.radius_m = wire.radius_m;
  t.conductivity_s_m = wire.conductivity_s_m;
  t.insulation = wire.insulation;
  t.drop_distance_m = find_plausible(table, "drop", plausible::drop_distance).value_or(t.drop_distance_m);
  t.lying_height_m = find_plausible(table, "lying_height", plausible::lying_height).value_or(t.lying_height_m);
  t.doubled_back_m = find_plausible(table, "doubled_back", plausible::spare_length).value_or(0.0);
  t.coiled_m = find_plausible(table, "coiled", plausible::spare_length).value_or(0.0);
  if (const auto degrees = find_plausible(table, "direction_degrees", plausible::direction_degrees))
    t.direction_rad = *degrees * pi / 180.0;
  stated.trailing = t;
  return stated;
}

std::vector<std::string> names_of(const std::vector<wire::Wire>& wires) {
  std::vector<std::string> names;
  names.reserve(wires.size());
  for (const wire::Wire& w : wires) names.push_back(w.name);
  return names;
}

/// Index of the wire that a key names.
std::size_t wire_named(const TomlTable& table, std::string_view key, const std::vector<wire::Wire>& wires) {
  const std::string name = table.text(key);
  const std::vector<std::string> names = names_of(wires);
  const auto found = std::find(names.begin(), names.end(), name);
  if (found == names.end()) {
    no_wire(table, key, name, names);
    return 0;
  }
  return static_cast<std::size_t>(found - names.begin());
}

wire::WireCoil coil_from(const TomlTable& table, const std::vector<wire::Wire>& wires) {
  table.only({"on", "distance", "length", "inductance", "q", "self_capacitance", "turns", "former", "diameter", "wire",
              "wall", "pitch", "metal", "temperature", "material", "former_wall", "field_share"});
  const std::size_t before = table.faults();
  wire::WireCoil coil;
  coil.wire = wire_named(table, "on", wires);
  if (table.has("turns")) {
    for (const char* key : {"length", "inductance", "q", "self_capacitance"}) {
      if (table.has(key))
        table.fault(key, fmt::format("\"{}\" follows from the winding; legal: without it beside \"turns\"", key));
    }
    const double distance_m = plausible_value(table, "distance", plausible::coil_distance);
    const SwitchedCoil wound = wound_from(table);
    if (table.faults() != before) return coil;  // what follows would be their consequence
    return at(table, "turns", [&] { return whip_coil(wound, coil.wire, distance_m); });
  }
  for (const char* key : {"former", "diameter", "wire", "wall", "pitch", "metal", "temperature", "material",
                          "former_wall", "field_share"}) {
    if (table.has(key)) table.fault(key, fmt::format("\"{}\" is of a winding; legal: beside its \"turns\"", key));
  }
  coil.distance_m = plausible_value(table, "distance", plausible::coil_distance);
  coil.length_m = find_plausible(table, "length", plausible::loading_coil_length).value_or(0.0);
  coil.inductance_h = plausible_value(table, "inductance", plausible::inductance);
  coil.q = plausible_value(table, "q", plausible::part_q);
  coil.self_capacitance_f = find_plausible(table, "self_capacitance", plausible::stray_capacitance).value_or(0.0);
  return coil;
}

/// What the file states: the wires as drawn, without set and person.
struct Drawing {
  wire::Antenna antenna;
  wire::Ground ground;
  std::vector<wire::NamedLump> lumps;                       ///< not in the antenna yet, because a body may have them
  std::vector<std::optional<wire::TrailingWire>> trailing;  ///< of each [[wire]]: stated by its lengths
  std::optional<wire::SetBody> set;
  std::optional<wire::PersonBody> person;
};

/// Tells what is wrong with an antenna at the wire, coil, lump, body or feed that the message starts with.
[[noreturn]] void fail_at_place(const TomlTable& document, const std::string& message) {
  const auto starts = [&](const std::string& with) { return message.rfind(with, 0) == 0; };
  const auto says = [&](const char* part) { return message.find(part) != std::string::npos; };
  const auto numbered = [&](const char* key) {
    const std::vector<TomlTable> tables = document.tables(key);
    for (std::size_t n = 0; n < tables.size(); ++n) {
      if (starts(fmt::format("{} {}", key, n + 1))) tables[n].fail("distance", message);
    }
  };
  numbered("coil");
  numbered("lump");
  // A body's wire may stand second: what crosses it was there first, and was right without the body.
  if (const auto person = document.find_table("person")) {
    if (says("stature")) person->fail("height", message);
    if (says("wire \"person's") || says("a person")) person->fail("distance", message);
  }
  if (const auto set = document.find_table("set")) {
    if (says("wire \"frame\"") || says("the frame's"))
      set->fail(says("radius") ? "frame_radius" : "frame_length", message);
    if (says("wire \"lead\"") || says("wire \"set\"") || says("the lead's"))
      set->fail(set->has("lead_length") && !says("radius ") ? "lead_length" : "lead_radius", message);
  }
  for (const TomlTable& wire : document.tables("wire")) {
    if (!starts(fmt::format("wire \"{}\"", wire.text("name")))) continue;
    wire.fail(says("radius") ? "radius" : wire.has("points") ? "points" : "length", message);
  }
  if (const auto feed = document.find_table("feed")) feed->fail("gap", message);
  document.fail("wire", message);
}

/// The wires besides the feed's that start at the feed.
std::vector<std::size_t> trailing_of(const wire::Antenna& antenna) {
  const wire::Vec3 base = antenna.wires[antenna.feed.wire].points.front();
  std::vector<std::size_t> found;
  for (std::size_t w = 0; w < antenna.wires.size(); ++w) {
    if (w != antenna.feed.wire && wire::detail::same_place(antenna.wires[w].points.front(), base)) found.push_back(w);
  }
  return found;
}

double lowest_m(const wire::Wire& wire) {
  double z = infinity;
  for (const wire::Vec3& p : wire.points) z = std::min(z, p.z_m);
  return z;
}

/// A wire hangs when it comes down to half the base's height; above it is raised.
bool hangs(const wire::Wire& wire, double base_m) { return lowest_m(wire) <= 0.5 * base_m; }

/// Where a wire goes from its first point: towards the point of it that is farthest out.
double direction_rad(const wire::Wire& wire) {
  const wire::Vec3 base = wire.points.front();
  const auto out = [&](wire::Vec3 p) { return std::hypot(p.x_m - base.x_m, p.y_m - base.y_m); };
  const wire::Vec3 far = *std::max_element(wire.points.begin(), wire.points.end(),
                                           [&](wire::Vec3 a, wire::Vec3 b) { return out(a) < out(b); });
  return std::atan2(far.y_m - base.y_m, far.x_m - base.x_m);
}

/// A drawn wire as one that trails.
wire::TrailingWire trailing_from(const wire::Wire& wire) {
  const wire::Vec3 base = wire.points.front();
  wire::TrailingWire t;
  t.name = wire.name;
  t.length_m = wire::wire_length_m(wire);
  t.radius_m = wire.radius_m;
  t.conductivity_s_m = wire.conductivity_s_m;
  t.insulation = wire.insulation;
  t.direction_rad = direction_rad(wire);
  t.raised = !hangs(wire, base.z_m);
  for (const wire::Vec3& p : wire.points) t.drawn.push_back({p.x_m - base.x_m, p.y_m - base.y_m, p.z_m});
  if (t.raised) return t;  // when it is laid, the library's own values stand
  const auto lowest =
      std::min_element(t.drawn.begin(), t.drawn.end(), [](wire::Vec3 a, wire::Vec3 b) { return a.z_m < b.z_m; });
  t.lying_height_m = lowest->z_m;
  t.drop_distance_m = std::hypot(lowest->x_m, lowest->y_m);
  return t;
}

/// The drawing as the one whip with trailing wires that conditions are made of.
wire::WhipSet whip_set_from(const TomlTable& table, const Drawing& drawing) {
  const wire::Antenna& drawn = drawing.antenna;
  const auto refuse = [&](const std::string& why) {
    table.fail("kind",
               "this \"kind\" needs a straight upright whip, which comes first, up to five trailing wires that start "
               "at the feed, and nothing else but a hat of wires that start at the whip's top; " +
                   why);
  };
  const wire::Wire& whip = drawn.wires[0];
  const wire::Vec3 base = whip.points.front(), top = whip.points.back();
  if (whip.points.size() != 2 || std::hypot(top.x_m - base.x_m, top.y_m - base.y_m) > 1e-6 || !(top.z_m > base.z_m)) {
    refuse(fmt::format("\"{}\" is not straight and upright", whip.name));
  }
  if (drawn.feed.wire != 0) refuse("the feed is not on the first");
  if (drawing.ground.kind != wire::GroundKind::lossy) table.fail("kind", "this \"kind\" needs a lossy ground");
  if (std::any_of(drawn.coils.begin(), drawn.coils.end(), [](const wire::WireCoil& c) { return c.wire != 0; }))
    refuse("coils must be on the whip");
  const std::size_t count = drawing.trailing.size();  // the ends that are coiled stand behind
  wire::WhipSet set;
  set.wires.clear();
  for (std::size_t w = 0; w < count; ++w) {
    const wire::Wire& wire = drawn.wires[w];
    if (wire.relative_permeability != 1.0) refuse(fmt::format("\"{}\" is magnetic", wire.name));
    if (w == 0 && wire.insulation) refuse(fmt::format("\"{}\" is insulated, and the whip must be bare", wire.name));
    if (w == 0) continue;
    if (wire::detail::same_place(wire.points.front(), top)) {
      set.hat.push_back(wire);
      for (wire::Vec3& p : set.hat.back().points) p = wire::detail::operator-(p, top);
      continue;
    }
    if (!wire::detail::same_place(wire.points.front(), base))
      refuse(fmt::format("\"{}\" starts at neither", wire.name));
    wire::TrailingWire t = trailing_from(wire);
    if (drawing.trailing[w]) {
      const bool raised = t.raised;
      const std::vector<wire::Vec3> points = t.drawn;
      t = *drawing.trailing[w];
      t.raised = raised;
      t.drawn = points;
      if (raised) t.lying_height_m = wire::TrailingWire{}.lying_height_m;
    }
    set.wires.push_back(std::move(t));
  }
  if (set.wires.size() > 5) refuse(fmt::format("there are {} that trail", set.wires.size()));
  set.whip_name = whip.name;
  set.whip_length_m = wire::wire_length_m(whip);
  set.whip_radius_m = whip.radius_m;
  set.whip_conductivity_s_m = whip.conductivity_s_m;
  set.base_height_m = base.z_m;
  set.coils = drawn.coils;
  set.lumps = drawing.lumps;
  set.gap_m = drawn.feed.gap_m;
  set.base_capacitance_f = drawn.feed.base_capacitance_f;
  set.base_leakage_ohm = drawn.feed.base_leakage_ohm;
  set.ground = drawing.ground;
  set.set = drawing.set;
  set.person = drawing.person;
  return set;
}

/// Leaves a wire of a drawing out, with what is on it.
void leave_out(const TomlTable& table, const std::string& name, Drawing& drawing) {
  wire::Antenna& antenna = drawing.antenna;
  std::vector<wire::Wire>& wires = antenna.wires;
  const auto gone = std::find_if(wires.begin(), wires.end(), [&](const wire::Wire& w) { return w.name == name; });
  if (gone == wires.end()) table.fail("without", fmt::format("no wire is called \"{}\"", name));
  const auto index = static_cast<std::size_t>(gone - wires.begin());
  if (index == antenna.feed.wire)
    table.fail("without", fmt::format("\"{}\" has the feed on it and cannot be left out", name));
  std::erase_if(antenna.coils, [&](const wire::WireCoil& coil) { return coil.wire == index; });
  for (wire::WireCoil& coil : antenna.coils) coil.wire -= coil.wire > index;
  std::erase_if(drawing.lumps, [&](const wire::NamedLump& lump) { return lump.on == name; });
  antenna.feed.wire -= antenna.feed.wire > index;
  wires.erase(gone);
  std::erase_if(wires,
                [&](const wire::Wire& w) { return w.name == wire::coiled_end(name); });  // it stands behind all others
}

/// The drawing itself, with set and person where the file has them.
wire::WireCase as_it_is(const std::string& name, Drawing drawing, const wire::Ground& ground) {
  wire::WireCase c{name, std::move(drawing.antenna), ground};
  const std::vector<std::size_t> trailing = trailing_of(c.antenna);
  const double heading = trailing.empty() ? 0.0 : direction_rad(c.antenna.wires[trailing.front()]);
  wire::add_bodies(c.antenna, ground, {drawing.set, drawing.person, {}}, drawing.lumps, heading);
  c.carried = drawing.set && drawing.person;
  wire::check_antenna(c.antenna, ground);
  return c;
}

/// What is wrong with a condition is told at the key that made it so.
wire::WireCase made_condition(const TomlTable& table, const wire::WhipSet& whip, wire::WhipCondition state) {
  try {
    return wire::whip_condition(whip, state);
  } catch (const DomainError& error) {
    const std::string message = error.what();
    const auto blames = [&](const char* part, const char* key) {
      if (table.has(key) && message.find(part) != std::string::npos) table.fail(key, message);
    };
    blames("no trailing wire is called", "without");
    blames("above lossy ground", "lying_height");
    blames("drop_distance", "drop_distance");
    table.fail("kind", message);
  }
}

/// What a [[condition]] says, whatever the wires are.
struct StatedCondition {
  std::string name;
  std::optional<wire::WhipCondition> state;  ///< none: as drawn
  std::optional<wire::Ground> ground;
  std::vector<std::string> without;
  std::optional<double> lying_height_m, drop_distance_m, lean_rad;
  std::vector<wire::HandContact> contact;  ///< empty: not stated
};

StatedCondition stated_condition(const TomlTable& table) {
  table.only({"name", "kind", "ground", "lying_height", "drop_distance", "lean_degrees", "without", "contact"});
  StatedCondition c;
  c.name = table.text("name");
  const std::string kind = table.find_text("kind").value_or(std::string(as_drawn));
  const auto* const known = std::find_if(kinds.begin(), kinds.end(), [&](const Kind& k) { return k.name == kind; });
  if (known != kinds.end())
    c.state = known->state;
  else if (kind != as_drawn)
    table.fault("kind", fmt::format("no condition is of the kind \"{}\"; legal: {}", kind,
                                    fmt::join(wire_condition_kinds(), ", ")));
  if (table.has("ground")) c.ground = ground_from(table, "ground");
  if (c.state && c.ground && c.ground->kind != wire::GroundKind::lossy && !table.faulted("ground"))
    table.fault("kind", "this \"kind\" needs a lossy ground");
  if (table.has("without")) c.without = table.texts("without");
  c.lying_height_m = find_plausible(table, "lying_height", plausible::lying_height);
  c.drop_distance_m = find_plausible(table, "drop_distance", plausible::drop_distance);
  if (const auto lean = find_plausible(table, "lean_degrees", plausible::lean_degrees)) c.lean_rad = *lean * pi / 180.0;
  if (table.has("contact")) c.contact = contact_from(table);
  if (!c.state && !table.faulted("kind")) {
    for (const std::string_view key : {"lying_height", "drop_distance", "lean_degrees", "contact"}) {
      if (table.has(key)) table.fault(key, fmt::format("\"{}\" needs another \"kind\" than \"{}\"", key, as_drawn));
    }
  } else if (c.state && table.has("contact") && *c.state != wire::WhipCondition::hand_on_set) {
    table.fault("contact", "\"contact\" belongs to the \"kind\" \"hand on set\"");
  }
  return c;
}

/// Whether a wire turns back towards where it came from: by more than 120 degrees, over the ground.
bool folded_back(const wire::Wire& wire) {
  const std::vector<wire::Vec3>& p = wire.points;
  for (std::size_t n = 1; n < p.size(); ++n) {
    const wire::Vec3 piece = wire::detail::operator-(p[n], p[n - 1]);
    for (std::size_t m = 1; m < n; ++m) {
      const wire::Vec3 before = wire::detail::operator-(p[m], p[m - 1]);
      if (piece.x_m * before.x_m + piece.y_m * before.y_m <
          -0.5 * wire::detail::norm(piece) * wire::detail::norm(before))
        return true;
    }
  }
  return false;
}

/// A condition that draws a wire anew draws it straight out, which one that is folded back in its points is not.
void check_folded(const TomlTable& table, const Drawing& drawn, const wire::Antenna& made) {
  const wire::Vec3 base = drawn.antenna.wires[drawn.antenna.feed.wire].points.front();
  for (std::size_t w = 1; w < drawn.trailing.size(); ++w) {
    const wire::Wire& as_drawn_wire = drawn.antenna.wires[w];
    if (drawn.trailing[w] || !folded_back(as_drawn_wire)) continue;
    const auto now = std::find_if(made.wires.begin(), made.wires.end(),
                                  [&](const wire::Wire& wire) { return wire.name == as_drawn_wire.name; });
    const auto stays = [&](wire::Vec3 before, wire::Vec3 after) {
      return wire::detail::same_place({before.x_m - base.x_m, before.y_m - base.y_m, before.z_m}, after);
    };
    if (now == made.wires.end() || std::equal(as_drawn_wire.points.begin(), as_drawn_wire.points.end(),
                                              now->points.begin(), now->points.end(), stays))
      continue;
    table.fail("kind",
               fmt::format("the wire \"{}\" is folded back in its \"points\", and this \"kind\" would draw it straight "
                           "out; legal: in place of the points its \"length\" with \"doubled_back\", which stays so",
                           as_drawn_wire.name));
  }
}

std::vector<wire::WireCase> condition_from(const TomlTable& table, const StatedCondition& stated,
                                           const Drawing& drawn) {
  const std::string& name = stated.name;
  const wire::Ground ground = stated.ground.value_or(drawn.ground);
  if (!stated.state) {
    Drawing left = drawn;
    for (const std::string& gone : stated.without) leave_out(table, gone, left);
    wire::WireCase c = at(table, "name", [&] { return as_it_is(name, std::move(left), drawn.ground); });
    at(table, "ground", [&] { wire::put_on_ground(c, ground); });
    for (const std::string& gone : stated.without) c.changes.push_back(fmt::format("wire \"{}\" is left out", gone));
    return {std::move(c)};
  }
  wire::WhipSet whip = whip_set_from(table, drawn);
  std::vector<std::string> changes;
  if (*stated.state == wire::WhipCondition::torn_off) {
    whip.torn = stated.without;
  } else {
    for (const std::string& gone : stated.without) {
      at(table, "without", [&] { wire::leave_out(whip, gone); });
      changes.push_back(fmt::format("wire \"{}\" is left out", gone));
    }
  }
  const auto height_m = stated.lying_height_m, distance_m = stated.drop_distance_m;
  for (wire::TrailingWire& t : whip.wires) {
    if (!height_m && !distance_m) break;
    t.drawn.clear();
    t.lying_height_m = height_m.value_or(t.lying_height_m);
    t.drop_distance_m = distance_m.value_or(t.drop_distance_m);
    if (height_m) t.raised = false;
    changes.push_back(
        fmt::format("wire \"{}\" lies at {:.4g} m from {:.4g} m on", t.name, t.lying_height_m, t.drop_distance_m));
  }
  whip.lean_rad = stated.lean_rad.value_or(whip.lean_rad);

  struct Named {
    std::string name;
    wire::HandContact contact;
    bool of_range = false, end = false;
  };
  std::vector<Named> contacts;
  if (*stated.state != wire::WhipCondition::hand_on_set) {
    contacts = {{name, {}}};
  } else if (stated.contact.empty()) {
    for (const wire::NamedContact& usual : wire::hand_contacts())
      contacts.push_back({fmt::format("{}: {}", name, usual.name), usual.contact});
  } else {
    contacts = {{name, stated.contact.front(), stated.contact.size() > 1}};
    for (std::size_t n = 1; n < stated.contact.size(); ++n) {
      const wire::HandContact& end = stated.contact[n];
      contacts.push_back(
          {fmt::format("{}, contact {}", name, print_quantity(end.resistance_ohm, Unit::ohm)), end, true, true});
    }
  }
  std::vector<wire::WireCase> cases;
  for (const Named& n : contacts) {
    whip.contact = n.contact;
    wire::WireCase c = made_condition(table, whip, *stated.state);
    check_folded(table, drawn, c.antenna);
    c.name = n.name;
    if (n.of_range) c.contact_ohm = n.contact.resistance_ohm;
    if (n.end) c.corner_of = name;
    c.changes.insert(c.changes.begin(), changes.begin(), changes.end());
    if (stated.ground) at(table, "ground", [&] { wire::put_on_ground(c, ground); });
    cases.push_back(std::move(c));
  }
  return cases;
}

/// Puts the wires that are stated by their lengths where they hang from the feed.
void hang_wires(const std::vector<TomlTable>& tables, Drawing& drawn) {
  std::vector<wire::TrailingWire> stated;
  for (const auto& t : drawn.trailing) {
    if (t) stated.push_back(*t);
  }
  if (stated.empty()) return;
  const std::size_t feed = drawn.antenna.feed.wire;
  if (drawn.trailing[feed])
    tables[feed].fail("length",
                      "the feed stands on this wire, which needs \"points\"; a wire of \"length\" hangs from it");
  const wire::Vec3 base = drawn.antenna.wires[feed].points.front();
  std::vector<wire::Wire> wires;
  try {
    wires = wire::trailing_wires(stated, base, wire::WhipSet{}.spacing_m);
  } catch (const DomainError& error) {
    for (const TomlTable& table : tables) {
      if (std::string(error.what()).rfind(fmt::format("wire \"{}\"", table.text("name")), 0) == 0)
        table.fail("length", error.what());
    }
    throw;
  }
  std::size_t next = 0;
  for (std::size_t w = 0; w < drawn.trailing.size(); ++w) {
    if (drawn.trailing[w]) drawn.antenna.wires[w].points = std::move(wires[next++].points);
  }
  for (; next < wires.size(); ++next) drawn.antenna.wires.push_back(std::move(wires[next]));  // coiled ends
}

}  // namespace

wire::Ground ground_from(const TomlTable& parent, std::string_view key) {
  wire::Ground ground;
  parent.item([&] {
    ground = parent.is_text(key) ? at(parent, key, [&] { return wire::ground_by_name(parent.text(key)); })
                                 : ground_table(parent.table(key));
  });
  return ground;
}

std::vector<wire::WireCase> wires_from(const TomlTable& document, const WiresOptions& options) {
  const std::size_t others = document.faults();  // of the file that the wires stand in
  document.only({"ground", "wire", "feed", "coil", "lump", "condition", "set", "person"});
  Drawing drawn;
  document.item([&] { drawn.ground = ground_from(document, "ground"); });
  document.item([&] {
    if (const auto table = document.find_table("set")) drawn.set = set_from(*table);
  });
  document.item([&] {
    if (const auto table = document.find_table("person")) drawn.person = person_from(*table);
  });
  const std::vector<TomlTable> wires = document.tables("wire");
  if (wires.empty()) document.fault("wire", fmt::format("{} needs at least one [[wire]]", document.name()));
  bool wires_known = !wires.empty();
  for (const TomlTable& table : wires) {
    wires_known &= table.item([&] {
      StatedWire stated = wire_from(table);
      const std::string& name = stated.wire.name;
      for (const wire::Wire& other : drawn.antenna.wires) {
        if (other.name == name) table.fault("name", fmt::format("the name \"{}\" is taken", name));
      }
      if (drawn.set && is_of(name, wire::set_wires(*drawn.set)))
        table.fault("name", fmt::format("the name \"{}\" is taken by [set]", name));
      drawn.antenna.wires.push_back(std::move(stated.wire));
      drawn.trailing.push_back(std::move(stated.trailing));
    });
  }
  document.item([&] {
    const auto feed = document.find_table("feed");
    if (!feed) document.fail("feed", fmt::format("{} needs the table [feed] with \"gap\"", document.name()));
    feed->only({"on", "gap", "base_capacitance", "base_leakage"});
    drawn.antenna.feed.gap_m = plausible_value(*feed, "gap", plausible::feed_gap);
    const auto of_base = [&](std::string_view key, const Plausible& range, double none, double usual) {
      if (feed->is_text(key) && feed->text(key) == "none") return none;
      return find_plausible(*feed, key, range).value_or(drawn.set ? usual : none);
    };
    drawn.antenna.feed.base_capacitance_f =
        of_base("base_capacitance", plausible::base_capacitance, 0.0, wire::usual_base_capacitance_f);
    drawn.antenna.feed.base_leakage_ohm =
        of_base("base_leakage", plausible::base_leakage, infinity, wire::usual_base_leakage_ohm);
    if (wires_known && feed->has("on")) drawn.antenna.feed.wire = wire_named(*feed, "on", drawn.antenna.wires);
  });
  if (wires_known) {  // what names a wire
    for (const TomlTable& table : document.tables("coil"))
      table.item([&] { drawn.antenna.coils.push_back(coil_from(table, drawn.antenna.wires)); });
    std::vector<std::string> with_parts = names_of(drawn.antenna.wires);
    if (drawn.set) {
      for (const std::string& name : wire::set_wires(*drawn.set)) with_parts.push_back(name);
    }
    for (const TomlTable& table : document.tables("lump"))
      table.item([&] { drawn.lumps.push_back(lump_from(table, with_parts)); });
  }
  const std::vector<TomlTable> conditions = document.tables("condition");
  std::vector<StatedCondition> stated;
  for (const TomlTable& table : conditions) {
    stated.push_back(stated_condition(table));
    const auto same = [&](const StatedCondition& c) { return c.name == stated.back().name; };
    if (std::any_of(stated.begin(), stated.end() - 1, same))
      table.fault("name", fmt::format("the name \"{}\" is taken", stated.back().name));
  }
  document.finish(others);  // conditions are made from the drawing
  hang_wires(wires, drawn);
  try {
    as_it_is(std::string(as_drawn), drawn, drawn.ground);
  } catch (const DomainError& error) {
    fail_at_place(document, error.what());
  }

  if (options.person_spread && !drawn.person)
    document.fail("person", "the spread of a person needs the table [person]");
  const std::vector<wire::NamedPerson> corners =
      options.person_spread ? wire::person_corners(*drawn.person) : std::vector<wire::NamedPerson>{};
  std::vector<wire::WireCase> cases;
  const auto add = [&](wire::WireCase c, const TomlTable& table) {
    for (const wire::WireCase& before : cases) {
      if (before.name == c.name) table.fail("name", fmt::format("the name \"{}\" is taken", c.name));
    }
    cases.push_back(std::move(c));
  };
  // A condition, and behind it itself in each corner of the person.
  const auto add_all = [&](const TomlTable& table, const auto& made) {
    std::vector<wire::WireCase> as_stated = made(drawn);
    std::vector<std::vector<wire::WireCase>> off;
    for (const wire::NamedPerson& corner : corners) {
      Drawing other = drawn;
      other.person = corner.person;
      off.push_back(made(other));
    }
    for (std::size_t n = 0; n < as_stated.size(); ++n) {
      const std::string name = as_stated[n].name;
      add(std::move(as_stated[n]), table);
      for (std::size_t k = 0; k < corners.size(); ++k) {
        wire::WireCase c = std::move(off[k][n]);
        c.name = fmt::format("{}, {}", name, corners[k].name);
        c.corner_of = name;
        c.changes.push_back(corners[k].name);
        add(std::move(c), table);
      }
    }
  };
  for (std::size_t n = 0; n < conditions.size(); ++n) {
    const TomlTable& table = conditions[n];
    table.item(
        [&] { add_all(table, [&](const Drawing& drawing) { return condition_from(table, stated[n], drawing); }); });
  }
  if (conditions.empty()) {
    add_all(document, [](const Drawing& drawing) {
      return std::vector{as_it_is(std::string(as_drawn), drawing, drawing.ground)};
    });
  }
  document.finish(others);
  return cases;
}

std::vector<std::string> wire_condition_kinds() {
  std::vector<std::string> names{std::string(as_drawn)};
  for (const Kind& kind : kinds) names.emplace_back(kind.name);
  return names;
}

}  // namespace stile::station::detail

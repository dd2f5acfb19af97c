#include <algorithm>
#include <cmath>
#include <sstream>

#include <toml++/toml.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/station/brief.hpp>

namespace stile::station {
namespace {

/// The tables of a text that was read without fault.
toml::table tables_of(const Brief& brief) {
  try {
    return toml::parse(brief.text, brief.file);
  } catch (const toml::parse_error& error) {
    throw ParseError({brief.file, error.source().begin.line, error.source().begin.column}, error.description());
  }
}

/// The tables with these keys alone, each behind an empty line, in this order.
std::string printed(const toml::table& root, std::initializer_list<std::string_view> keys) {
  std::ostringstream out;
  for (const std::string_view key : keys) {
    const toml::node* node = root.get(key);
    if (node == nullptr) continue;
    toml::table one;
    one.insert(key, *node);
    out << "\n" << one << "\n";
  }
  return out.str();
}

/// What `from` says under these keys.
toml::table only(const toml::table& from, std::initializer_list<std::string_view> keys) {
  toml::table some;
  for (const std::string_view key : keys) {
    if (const toml::node* node = from.get(key)) some.insert(key, *node);
  }
  return some;
}

/// Every table of an array of tables, or the one that stands in its place.
template <class Use>
void each_table(const toml::node* node, const Use& use) {
  if (node == nullptr) return;
  if (const toml::table* one = node->as_table()) use(*one);
  if (const toml::array* all = node->as_array()) {
    for (const toml::node& item : *all) {
      if (const toml::table* table = item.as_table()) use(*table);
    }
  }
}

/// Number n of an array of tables, or the one that stands in its place.
const toml::table& nth_table(const toml::node* node, std::size_t n) {
  if (const toml::array* all = node->as_array()) return *all->get(n)->as_table();
  return *node->as_table();
}

toml::table wire_table(const toml::table& counterpoise, const toml::table& antenna, const std::string& name,
                       double length_m) {
  toml::table wire = only(counterpoise, {"radius", "metal", "conductivity", "insulation", "lying_height"});
  wire.insert("name", name);
  wire.insert("length", length_m);
  if (const toml::node* drop = antenna.get("drop_distance")) wire.insert("drop", *drop);
  return wire;
}

constexpr double usual_spread_degrees = 90.0;

toml::table wires_document(const Brief& brief, const AntennaChoice& choice) {
  const toml::table root = tables_of(brief);
  const toml::table& antenna = *root["antenna"].as_table();
  toml::table document;
  if (const toml::node* ground = root.get("ground")) {
    document.insert("ground", *ground);
  } else {
    each_table(root.get("condition"), [&](const toml::table& c) {
      if (const toml::node* own = c.get("ground")) document.insert("ground", *own);  // the first stays
    });
  }
  const double top_m = brief.base_height_m + choice.whip_m;
  toml::array wires;
  toml::table whip = only(*antenna["whip"].as_table(), {"radius", "metal", "conductivity"});
  whip.insert("name", "whip");
  whip.insert("points", toml::array{toml::array{0.0, 0.0, brief.base_height_m}, toml::array{0.0, 0.0, top_m}});
  wires.push_back(std::move(whip));
  const toml::table* counterpoise = antenna["counterpoise"].as_table();
  const std::size_t count = choice.wires_m.size();
  for (std::size_t n = 0; n < count; ++n) {
    toml::table wire =
        wire_table(*counterpoise, antenna, count == 1 ? "wire" : "wire " + std::to_string(n + 1), choice.wires_m[n]);
    if (count > 1 && brief.layouts.at(choice.layout) == "spread") {
      double spread = usual_spread_degrees;
      if (const auto stated = (*counterpoise)["spread_degrees"].value<double>()) spread = *stated;
      wire.insert("direction_degrees", spread * (static_cast<double>(n) / static_cast<double>(count - 1) - 0.5));
    }
    wires.push_back(std::move(wire));
  }
  if (choice.hat > 0) {
    const HatOption& hat = brief.hats.at(choice.hat);
    const toml::table& stated = nth_table(root.get("hat"), choice.hat - 1);
    for (int n = 0; n < hat.spokes; ++n) {
      const double direction = two_pi * n / hat.spokes;
      toml::table spoke = only(stated, {"radius", "metal", "conductivity"});
      spoke.insert("name", "hat " + std::to_string(n + 1));
      spoke.insert("points",
                   toml::array{toml::array{0.0, 0.0, top_m}, toml::array{hat.length_m * std::cos(direction),
                                                                         hat.length_m * std::sin(direction), top_m}});
      wires.push_back(std::move(spoke));
    }
  }
  document.insert("wire", std::move(wires));
  if (choice.loading > 0) {
    const LoadingOption& loading = brief.loading.at(choice.loading);
    const toml::table& stated = nth_table(root.get("loading_coil"), loading.table);
    toml::table coil = only(stated, {"length", "q", "self_capacitance", "former", "diameter", "wire", "wall", "pitch",
                                     "metal", "temperature", "material", "former_wall", "field_share"});
    for (const char* key : {"turns", "inductance"}) {
      const toml::node* node = stated.get(key);
      if (node == nullptr) continue;
      if (const toml::array* list = node->as_array()) node = list->get(loading.size);
      coil.insert(key, *node);
    }
    coil.insert("on", "whip");
    coil.insert("distance", loading.place * choice.whip_m);
    document.insert("coil", toml::array{std::move(coil)});
  }
  document.insert("feed", only(antenna, {"gap", "base_capacitance", "base_leakage"}));
  if (choice.choke > 0) {
    const toml::table& choke = nth_table(root.get("choke"), choice.choke - 1);
    document.insert("lump",
                    toml::array{only(choke, {"on", "distance", "resistance", "inductance", "capacitance", "q"})});
  }
  for (const char* key : {"set", "person"}) {
    if (const toml::node* body = root.get(key)) document.insert(key, *body);
  }
  toml::array conditions;
  each_table(root.get("condition"), [&](const toml::table& c) {
    conditions.push_back(
        only(c, {"name", "kind", "ground", "lying_height", "drop_distance", "lean_degrees", "without", "contact"}));
  });
  document.insert("condition", std::move(conditions));
  return document;
}

toml::table element_table(const network::Element& element) {
  toml::table table;
  table.insert("place", network::place_name(element.place));
  table.insert("kind", network::kind_name(element.part));
  table.insert("value", network::value_si(element.part));
  return table;
}

/// A coil of the brief as a station states it: of each list the one taken.
toml::table coil_table(const toml::table& root, const CoilOption& coil, double turns,
                       const std::vector<StatedTap>& taps) {
  const toml::table& stated = *root["coil"].as_table();
  toml::table table =
      only(stated, {"wall", "metal", "temperature", "former_wall", "field_share", "tap_step", "unused",
                    "contact_resistance", "switch_resistance", "lead_inductance", "trimmer", "step", "rating"});
  const auto one = [&](const char* key, std::size_t n) {
    const toml::node* node = stated.get(key);
    if (node == nullptr) return;
    if (const toml::array* list = node->as_array()) node = list->get(n);
    table.insert(key, *node);
  };
  one("former", coil.former);
  one("diameter", coil.former);
  one("wire", coil.wire);
  one("pitch", coil.pitch);
  one("material", coil.material);
  if (turns > 0.0) table.insert("turns", turns);
  if (taps.empty()) return table;
  toml::array rows;
  for (const StatedTap& tap : taps) {
    toml::table row{{"band", tap.band}, {"turns", tap.turns}};
    if (tap.unused) row.insert("unused", *tap.unused == coil::Unused::open ? "open" : "shorted");
    if (tap.feed_turns) row.insert("feed", *tap.feed_turns);
    rows.push_back(std::move(row));
  }
  table.insert("taps", std::move(rows));
  return table;
}

toml::table arrangement_table(const Brief& brief, const StationChoice::Network& network, const toml::table& root) {
  const NetworkOption& option = brief.networks.at(network.option);
  const KindDescription& kind = describe_kind(option.kind);
  toml::table a{{"name", option.name}, {"kind", std::string(kind.name)}};
  if (option.mass_kg && *option.mass_kg > 0.0) a.insert("mass", *option.mass_kg);
  if (const toml::table* stated = root["network"].as_table()) {
    for (const char* key : {"cable_before", "cable_after"}) {
      if (const toml::node* cable = stated->get(key)) a.insert(key, *cable);
    }
    if (kind.takes_transformer) {
      toml::table transformer = only(*stated, {"leakage", "magnetising", "q"});
      transformer.insert("turns_ratio", option.turns_ratio);
      a.insert("transformer", std::move(transformer));
    }
  }
  if (!option.tuner.empty()) a.insert("tuner", option.tuner);
  if (!option.coil.empty()) a.insert("coil", option.coil);
  if (network.settings.empty()) {
    if (option.touch == Touch::condition) a.insert("trim", std::string(trim_name(Trim::tap_and_trimmer)));
    return a;
  }
  toml::array settings;
  for (const StatedSetting& s : network.settings) {
    toml::table one{{"band", s.band}};
    if (!s.condition.empty()) one.insert("condition", s.condition);
    toml::array elements;
    for (const network::Element& element : s.elements) elements.push_back(element_table(element));
    one.insert("elements", std::move(elements));
    settings.push_back(std::move(one));
  }
  a.insert("settings", std::move(settings));
  return a;
}

}  // namespace

std::string wires_text(const Brief& brief, const AntennaChoice& antenna) {
  return "# An antenna of the brief \"" + brief.name + "\"; lengths in metres.\n" +
         printed(wires_document(brief, antenna),
                 {"ground", "wire", "coil", "feed", "lump", "set", "person", "condition"});
}

std::string with_condition(const Brief& brief, const std::string& name, const std::string& kind,
                           const std::optional<double>& share) {
  toml::table root = tables_of(brief);
  toml::array conditions;
  each_table(root.get("condition"), [&](const toml::table& c) { conditions.push_back(c); });
  toml::table added{{"name", name}, {"kind", kind}};
  if (share) added.insert("share", *share);
  conditions.push_back(std::move(added));
  root.insert_or_assign("condition", std::move(conditions));
  std::ostringstream out;
  out << root << "\n";
  return out.str();
}

std::string coil_text(const Brief& brief, const CoilOption& coil, double turns, const std::vector<StatedTap>& taps) {
  std::ostringstream out;
  out << toml::table{{"coil", toml::table{{coil.name, coil_table(tables_of(brief), coil, turns, taps)}}}} << "\n";
  return out.str();
}

std::string station_text(const Brief& brief, const StationChoice& choice, const std::string& wires_file,
                         const std::vector<std::string>& remarks) {
  toml::table root = tables_of(brief);
  if (toml::array* bands = root["band"].as_array()) {
    for (toml::node& band : *bands) band.as_table()->erase("weight");
  } else if (toml::table* band = root["band"].as_table()) {
    band->erase("weight");
  }
  toml::table station{{"name", choice.name}};
  if (!brief.note.empty()) station.insert("note", brief.note);
  root.insert_or_assign("station", std::move(station));
  toml::table antenna{{"name", "designed"}};
  if (wires_file.empty())
    antenna.insert("wires", wires_document(brief, choice.antenna));
  else
    antenna.insert("wires", wires_file);
  if (const double mass_kg = antenna_mass_kg(brief, choice.antenna); mass_kg > 0.0) antenna.insert("mass", mass_kg);
  root.insert_or_assign("antenna", toml::array{std::move(antenna)});
  toml::array conditions;
  for (const Condition& c : brief.conditions) {
    toml::table one{{"name", c.name}, {"role", c.role == Role::accident ? "accident" : "normal"}};
    if (c.share) one.insert("share", *c.share);
    if (c.lasts_s) one.insert("lasts", *c.lasts_s);
    conditions.push_back(std::move(one));
  }
  root.insert_or_assign("condition", std::move(conditions));
  toml::array arrangements;
  toml::table coils;
  for (const StationChoice::Network& network : choice.networks) {
    arrangements.push_back(arrangement_table(brief, network, root));
    const std::string& name = brief.networks.at(network.option).coil;
    if (name.empty() || coils.contains(name)) continue;
    const auto coil =
        std::find_if(brief.coils.begin(), brief.coils.end(), [&](const CoilOption& c) { return c.name == name; });
    coils.insert(name, coil_table(root, *coil, network.turns > 0.0 ? network.turns : coil->turns, network.taps));
  }
  root.erase("coil");
  if (!coils.empty()) root.insert("coil", std::move(coils));
  root.insert_or_assign("arrangement", std::move(arrangements));
  std::string text;
  for (const std::string& remark : remarks) text += "# " + remark + "\n";
  return text + printed(root, {"station", "transmitter", "band", "path", "mode", "battery", "uncertainty", "decision",
                               "cable", "parts", "tuner", "coil", "antenna", "condition", "arrangement"});
}

}  // namespace stile::station

#include <stile/station/brief.hpp>

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/base/table.hpp>
#include <stile/conductor/metal.hpp>
#include <stile/station/detail/antenna_table.hpp>
#include <stile/station/detail/arrangement_table.hpp>
#include <stile/station/detail/coil_table.hpp>
#include <stile/station/detail/common_tables.hpp>
#include <stile/station/detail/plausible.hpp>
#include <stile/station/detail/toml_table.hpp>
#include <stile/station/detail/wire_table.hpp>
#include <stile/station/solve_loads.hpp>
#include <stile/station/wires_file.hpp>
#include <stile/wire/conditions.hpp>

namespace stile::station {
namespace {

using detail::find_plausible;
using detail::plausible_value;
using detail::TomlTable;

constexpr std::size_t most_steps = 2000;

/// One value, or [from, to].
LengthChoice lengths_from(const TomlTable& table) {
  LengthChoice choice;
  if (table.is_array("length")) {
    const std::vector<double> ends = detail::plausible_values(table, "length", plausible::wire_length);
    if (ends.size() != 2 || ends[0] > ends[1])
      table.fault("length", "\"length\" must be one value, or two in order, [from, to]");
    choice.range_m = {ends.front(), ends.back()};
  } else {
    const double length_m = plausible_value(table, "length", plausible::wire_length);
    choice.range_m = {length_m, length_m};
  }
  choice.step_m = find_plausible(table, "step", plausible::wire_length);
  if (choice.step_m && (choice.range_m.high - choice.range_m.low) / *choice.step_m > static_cast<double>(most_steps))
    table.fault("step", fmt::format("\"step\" makes more than {} lengths", most_steps));
  return choice;
}

/// Mass of a metre of solid metal.
double solid_kg_per_m(const TomlTable& conductor, double radius_m, const std::string& legal) {
  const auto metal = conductor.find_text("metal");
  if (!metal || *metal == "perfect")
    conductor.fault("metal", fmt::format("without a metal by name the mass is not known; legal: {}", legal));
  if (!metal || conductor.faulted("metal")) return 0.0;
  return conductor::metal_by_name(*metal).density_kg_m3 * pi * radius_m * radius_m;
}

/// Mass of a metre: as stated, or of solid metal.
double mass_per_metre(const TomlTable& conductor, const std::optional<TomlTable>& masses, std::string_view key,
                      double radius_m) {
  if (masses && masses->has(key)) return plausible_value(*masses, key, plausible::mass);
  return solid_kg_per_m(conductor, radius_m, fmt::format("\"{}\" in [mass]", key));
}

int whole(const TomlTable& table, double value) {
  if (value >= 0.0 && value <= 5.0 && value == std::floor(value)) return static_cast<int>(value);
  table.fault("wires", "\"wires\" must be a whole number, 0 to 5, or two in order, [from, to]");
  return 1;
}

void read_counterpoise(const TomlTable& table, const std::optional<TomlTable>& masses, Brief& brief) {
  table.only({"wires", "length", "step", "radius", "metal", "conductivity", "insulation", "lying_height", "layout",
              "spread_degrees"});
  if (table.is_array("wires")) {
    const std::vector<double> ends = table.quantities("wires", Unit::one);
    if (ends.size() != 2 || ends[0] > ends[1])
      table.fault("wires", "\"wires\" must be a whole number, 0 to 5, or two in order, [from, to]");
    brief.least_wires = whole(table, ends.front()), brief.most_wires = whole(table, ends.back());
  } else {
    brief.least_wires = brief.most_wires = table.has("wires") ? whole(table, table.quantity("wires", Unit::one)) : 1;
  }
  if (brief.most_wires == 0) return;
  brief.wire = lengths_from(table);
  const double radius_m = plausible_value(table, "radius", plausible::wire_radius);
  detail::conductor_from(table);
  detail::insulation_from(table);
  find_plausible(table, "lying_height", plausible::lying_height);
  if (table.is_array("layout"))
    brief.layouts = table.texts("layout");
  else if (table.has("layout"))
    brief.layouts = {table.text("layout")};
  const auto spread = std::count(brief.layouts.begin(), brief.layouts.end(), "spread"),
             bundle = std::count(brief.layouts.begin(), brief.layouts.end(), "bundle");
  if (brief.layouts.empty() || spread > 1 || bundle > 1 ||
      static_cast<std::size_t>(spread + bundle) != brief.layouts.size())
    table.fault("layout", "\"layout\" must be \"bundle\", side by side, or \"spread\", or both as a list");
  if (table.has("spread_degrees") && spread == 0)
    table.fault("spread_degrees", "\"spread_degrees\" belongs to \"layout\" = \"spread\"");
  find_plausible(table, "spread_degrees", plausible::direction_degrees);
  brief.wire_kg_per_m = mass_per_metre(table, masses, "wire_per_metre", radius_m);
  if (table.has("insulation") && !(masses && masses->has("wire_per_metre")))
    brief.assumed.emplace_back(
        "Not counted: the mass of the insulation; wires weigh what their metal does ([mass] takes "
        "\"wire_per_metre\").");
}

void read_antenna(const TomlTable& table, const std::optional<TomlTable>& masses, Brief& brief) {
  table.only({"whip", "counterpoise", "base_height", "gap", "drop_distance", "base_capacitance", "base_leakage"});
  table.item([&] {
    const TomlTable whip = table.table("whip");
    whip.only({"length", "step", "radius", "metal", "conductivity"});
    brief.whip = lengths_from(whip);
    const double radius_m = plausible_value(whip, "radius", plausible::wire_radius);
    detail::conductor_from(whip);
    brief.whip_kg_per_m = mass_per_metre(whip, masses, "whip_per_metre", radius_m);
  });
  table.item([&] { read_counterpoise(table.table("counterpoise"), masses, brief); });
  brief.base_height_m = plausible_value(table, "base_height", plausible::body_length);
  plausible_value(table, "gap", plausible::feed_gap);
  find_plausible(table, "drop_distance", plausible::drop_distance);
  find_plausible(table, "base_capacitance", plausible::base_capacitance);
  find_plausible(table, "base_leakage", plausible::base_leakage);
}

/// [[condition]]: the keys of a wires file and those of a station.
void read_conditions(const TomlTable& document, Brief& brief) {
  const std::vector<TomlTable> tables = document.tables("condition");
  if (tables.empty())
    document.fault("condition", "the brief needs at least one [[condition]]: exactly these are searched");
  bool ground = document.has("ground");
  if (ground) document.item([&] { detail::ground_from(document, "ground"); });
  for (const TomlTable& table : tables) ground = ground || table.has("ground");
  const std::vector<std::string> kinds = detail::wire_condition_kinds();
  for (const TomlTable& table : tables) {
    table.item([&] {
      table.only({"name", "kind", "ground", "lying_height", "drop_distance", "lean_degrees", "without", "contact",
                  "role", "share", "lasts"});
      const std::string name = table.text("name");
      const std::string kind = table.find_text("kind").value_or("as drawn");
      if (std::find(kinds.begin(), kinds.end(), kind) == kinds.end())
        table.fault("kind", fmt::format("no condition is of the kind \"{}\"; legal: {}", kind, fmt::join(kinds, ", ")));
      if (table.has("ground"))
        detail::ground_from(table, "ground");
      else if (!ground)
        table.fault("ground", fmt::format("{} needs its \"ground\", or the brief one for all", table.name()));
      find_plausible(table, "lying_height", plausible::lying_height);
      find_plausible(table, "drop_distance", plausible::drop_distance);
      find_plausible(table, "lean_degrees", plausible::lean_degrees);
      const Condition stated = detail::condition_from(table, name);
      const bool hand = kind == "hand on set";
      if (table.has("contact") && !hand)
        table.fault("contact", "\"contact\" belongs to the \"kind\" \"hand on set\"");
      else if (table.has("contact"))
        detail::contact_from(table);
      brief.hand = brief.hand || hand;
      std::vector<Condition> own{stated};
      if (hand && !table.has("contact")) {
        own.clear();
        for (const wire::NamedContact& c : wire::hand_contacts()) {
          own.push_back(stated);
          own.back().name = fmt::format("{}: {}", name, c.name);
          if (stated.share) own.back().share = *stated.share / static_cast<double>(wire::hand_contacts().size());
        }
      }
      for (Condition& c : own) {
        if (std::any_of(brief.conditions.begin(), brief.conditions.end(),
                        [&](const Condition& o) { return o.name == c.name; }))
          table.fault("name", fmt::format("the name \"{}\" is taken", c.name));
        brief.conditions.push_back(std::move(c));
      }
    });
  }
  detail::check_conditions(document, brief.conditions);
}

void read_chokes(const TomlTable& document, Brief& brief) {
  brief.chokes.push_back({"", 0.0});
  for (const TomlTable& table : document.tables("choke")) {
    table.item([&] {
      table.only({"name", "on", "distance", "resistance", "inductance", "capacitance", "q", "mass"});
      const ChokeOption choke{table.text("name"), find_plausible(table, "mass", plausible::mass)};
      table.text("on");
      plausible_value(table, "distance", plausible::distance_on_wire);
      find_plausible(table, "resistance", plausible::lump_resistance);
      find_plausible(table, "inductance", plausible::antenna_inductance);
      find_plausible(table, "capacitance", plausible::capacitance);
      find_plausible(table, "q", plausible::part_q);
      if (!table.has("resistance") && !table.has("inductance") && !table.has("capacitance"))
        table.fault("resistance",
                    fmt::format("{} needs at least one of \"resistance\", \"inductance\" (with \"q\") and "
                                "\"capacitance\"",
                                table.name()));
      if (std::any_of(brief.chokes.begin(), brief.chokes.end(),
                      [&](const ChokeOption& c) { return c.name == choke.name; }))
        table.fault("name", fmt::format("the name \"{}\" is taken", choke.name));
      if (brief.most_mass_kg && !choke.mass_kg)
        table.fault("name", fmt::format("[limits] has a \"mass\": the choke \"{}\" needs its own", choke.name));
      brief.chokes.push_back(choke);
    });
  }
}

/// [[hat]]: spokes at the whip's top.
void read_hats(const TomlTable& document, Brief& brief) {
  brief.hats.push_back({});
  for (const TomlTable& table : document.tables("hat")) {
    table.item([&] {
      table.only({"name", "spokes", "length", "radius", "metal", "conductivity", "mass"});
      HatOption hat;
      hat.name = table.text("name");
      const double spokes = table.quantity("spokes", Unit::one);
      if (!(spokes >= 2.0 && spokes <= 8.0 && spokes == std::floor(spokes)))
        table.fault("spokes", "\"spokes\" must be a whole number, 2 to 8");
      hat.spokes = table.faulted("spokes") ? 2 : static_cast<int>(spokes);
      hat.length_m = plausible_value(table, "length", plausible::wire_length);
      const double radius_m = plausible_value(table, "radius", plausible::wire_radius);
      detail::conductor_from(table);
      hat.mass_kg = table.has("mass") ? plausible_value(table, "mass", plausible::mass)
                                      : solid_kg_per_m(table, radius_m, "a \"mass\"") * spokes * hat.length_m;
      if (std::any_of(brief.hats.begin(), brief.hats.end(), [&](const HatOption& h) { return h.name == hat.name; }))
        table.fault("name", fmt::format("the name \"{}\" is taken", hat.name));
      brief.hats.push_back(std::move(hat));
    });
  }
}

constexpr std::size_t most_coils = 24;

/// [[loading_coil]]: a coil on the whip, as a wires file has it, with lists of places, and of turns or inductances.
void read_loading(const TomlTable& document, Brief& brief) {
  brief.loading.emplace_back();
  brief.loading.front().mass_kg = 0.0;
  std::vector<std::string> names;
  const std::vector<TomlTable> tables = document.tables("loading_coil");
  for (std::size_t t = 0; t < tables.size(); ++t) {
    const TomlTable& table = tables[t];
    table.item([&] {
      table.only({"name", "place", "length", "inductance", "q", "self_capacitance", "turns", "former", "diameter",
                  "wire", "wall", "pitch", "metal", "temperature", "material", "former_wall", "field_share", "mass"});
      const std::string name = table.text("name");
      if (std::find(names.begin(), names.end(), name) != names.end())
        table.fault("name", fmt::format("the name \"{}\" is taken", name));
      names.push_back(name);
      const auto values = [&](std::string_view key, const Plausible& each) {
        if (table.is_array(key)) return detail::plausible_values(table, key, each);
        return std::vector<double>{plausible_value(table, key, each)};
      };
      if (table.has("turns") == table.has("inductance"))
        table.fault("turns", "a coil on the whip needs either \"turns\" with its winding or an \"inductance\" with its "
                             "\"q\"; each may be a list");
      LoadingOption option;
      option.table = t;
      option.wound = table.has("turns");
      std::vector<double> sizes;
      if (table.has("inductance")) sizes = values("inductance", plausible::inductance);
      if (table.is_array("turns"))
        sizes = table.positives("turns", Unit::one);
      else if (option.wound)
        sizes = {table.positive("turns", Unit::one)};
      const std::vector<double> places = values("place", plausible::share_of_whip);
      option.mass_kg = find_plausible(table, "mass", plausible::mass);
      if (brief.most_mass_kg && !option.mass_kg)
        table.fault("name", fmt::format("[limits] has a \"mass\": the coil \"{}\" on the whip needs its own", name));
      if (brief.loading.size() - 1 + sizes.size() * places.size() > most_coils)
        table.fault("place",
                    fmt::format("the lists make more than {} coils on the whip; legal: shorter lists", most_coils));
      for (option.size = 0; option.size < sizes.size(); ++option.size) {
        for (const double place : places) {
          option.place = place;
          option.name = fmt::format("{}, {} at {:.4g} of the whip", name,
                                    option.wound ? fmt::format("{:.4g} turns", sizes[option.size])
                                                 : print_quantity(sizes[option.size], Unit::henry),
                                    place);
          brief.loading.push_back(option);
        }
      }
    });
  }
}
constexpr double most_coil_turns = 150.0;

/// [coil]: what a station says of one, with lists for some of it.
void read_coils(const TomlTable& document, Brief& brief) {
  const auto table = document.find_table("coil");
  if (!table) return;
  const std::size_t before = document.faults();
  table->item([&] {
    table->only({"former",
                 "diameter",
                 "wire",
                 "wall",
                 "pitch",
                 "metal",
                 "temperature",
                 "material",
                 "former_wall",
                 "field_share",
                 "turns",
                 "most_turns",
                 "tap_step",
                 "unused",
                 "contact_resistance",
                 "switch_resistance",
                 "lead_inductance",
                 "trimmer",
                 "step",
                 "rating"});
    if (table->has("former") == table->has("diameter"))
      table->fault("former", "a coil has either a \"former\" (its outside) or a \"diameter\" (between wire centres)");
    const auto lengths = [&](const char* key, const Plausible& each) {
      if (table->is_array(key)) return detail::plausible_values(*table, key, each);
      return std::vector<double>{plausible_value(*table, key, each)};
    };
    std::vector<double> formers;
    for (const char* key : {"diameter", "former"}) {
      if (table->has(key)) formers = lengths(key, plausible::coil_diameter);
    }
    const std::vector<double> wires = lengths("wire", plausible::coil_wire);
    const std::vector<double> pitches = lengths("pitch", plausible::coil_pitch);
    std::vector<std::string> materials{""};
    if (table->is_array("material"))
      materials = table->texts("material");
    else if (table->has("material"))
      materials = {table->text("material")};
    std::vector<double> turns{0.0};
    if (table->is_array("turns"))
      turns = table->positives("turns", Unit::one);
    else if (table->has("turns"))
      turns = {table->positive("turns", Unit::one)};
    if (materials.empty()) table->fault("material", "\"material\" is empty; legal: one value or a list");
    brief.most_turns = table->find_positive("most_turns", Unit::one);
    if (brief.most_turns.value_or(1.0) < 1.0 || brief.most_turns.value_or(1.0) > most_coil_turns)
      table->fault("most_turns", fmt::format("\"most_turns\" must be 1 to {:g}", most_coil_turns));
    if (brief.most_turns && table->has("turns"))
      table->fault("most_turns", "\"most_turns\" has no meaning beside stated \"turns\"; legal: one of the two");
    if (formers.size() * wires.size() * pitches.size() * materials.size() * turns.size() > most_coils)
      table->fault(table->has("former") ? "former" : "diameter",
                   fmt::format("the lists make more than {} coils; legal: shorter lists", most_coils));
    if (document.faults() != before) return;  // what follows would be their consequence
    for (std::size_t f = 0; f < formers.size(); ++f) {
      for (std::size_t w = 0; w < wires.size(); ++w) {
        for (std::size_t p = 0; p < pitches.size(); ++p) {
          for (std::size_t m = 0; m < materials.size(); ++m) {
            for (const double n : turns) {
              const std::size_t number = brief.coils.size() + 1;
              CoilOption coil{number == 1 ? "coil" : fmt::format("coil {}", number), "", n, f, w, p, m};
              coil.said = fmt::format("{} {}, wire {}, pitch {}", table->has("former") ? "former" : "diameter",
                                      print_quantity(formers[f], Unit::metre), print_quantity(wires[w], Unit::metre),
                                      print_quantity(pitches[p], Unit::metre));
              if (materials.size() > 1) coil.said += ", " + materials[m];
              if (n != 0.0) coil.said += fmt::format(", {:g} turns", n);
              try {  // as a station would read it
                const TomlTable own = TomlTable::parse(coil_text(brief, coil, n, {}), "coil");
                detail::coil_from(coil.name, own.named_tables("coil").front().second, {}, true);
              } catch (const ParseError& error) {
                const std::string what = error.what();
                const std::size_t message = what.find(": ");
                table->fail("pitch", fmt::format("{}: {}", coil.said,
                                                 what.substr(message == std::string::npos ? 0 : message + 2)));
              }
              brief.coils.push_back(std::move(coil));
            }
          }
        }
      }
    }
  });
}

constexpr std::array<double, 8> usual_ratios{0.25, 1.0 / 3.0, 0.5, 2.0 / 3.0, 1.5, 2.0, 3.0, 4.0};

void read_networks(const TomlTable& document, const std::optional<TomlTable>& masses, const detail::Shelf& shelf,
                   Brief& brief) {
  const TomlTable table = document.table("network");
  table.only({"kinds", "turns_ratios", "leakage", "magnetising", "q", "cable_before", "cable_after"});
  for (const char* key : {"cable_before", "cable_after"}) {
    const auto name = table.find_text(key);
    if (name && shelf.cables_known &&
        std::none_of(shelf.cables.begin(), shelf.cables.end(), [&](const NamedCable& c) { return c.name == *name; }))
      table.fault(key, fmt::format("no [cable.NAME] is called \"{}\"", *name));
  }
  find_plausible(table, "leakage", plausible::stray_inductance);
  find_plausible(table, "magnetising", plausible::inductance);
  find_plausible(table, "q", plausible::part_q);
  std::vector<double> ratios(usual_ratios.begin(), usual_ratios.end());
  if (table.has("turns_ratios")) ratios = detail::plausible_values(table, "turns_ratios", plausible::turns_ratio);
  if (!table.has("kinds"))
    table.fail("kinds", "[network] needs \"kinds\" = [...], the kinds of match that may be used");
  const std::vector<std::string> words = table.texts("kinds");
  std::vector<std::string> wrong;  // each of them, since they have one place
  if (words.empty()) wrong.emplace_back("\"kinds\" is empty; legal: at least one kind of match");
  if (!table.has("turns_ratios") && std::find(words.begin(), words.end(), "transformer") != words.end())
    brief.assumed.push_back(fmt::format("Assumed: transformers have turns ratios of {:.3g}, as none are stated "
                                        "(\"turns_ratios\").",
                                        fmt::join(ratios, ", ")));
  brief.computed_coils = true;
  for (const std::string& word : words) {
    const auto kinds = arrangement_kinds();
    const auto known =
        std::find_if(kinds.begin(), kinds.end(), [&](const KindDescription& k) { return k.name == word; });
    if (known == kinds.end()) {
      std::vector<std::string_view> names;
      for (const KindDescription& k : kinds) names.push_back(k.name);
      wrong.push_back(fmt::format("no match is of the kind \"{}\"; legal: {}", word, fmt::join(names, ", ")));
      continue;
    }
    NetworkOption option;
    option.kind = known->kind;
    option.name = word;
    if (masses) option.mass_kg = find_plausible(*masses, word, plausible::mass);
    if (option.kind == ArrangementKind::straight) option.mass_kg = 0.0;
    if (brief.most_mass_kg && !option.mass_kg)
      wrong.push_back(
          fmt::format("[limits] has a \"mass\": [mass] must say what a match of the kind \"{}\" weighs", word));
    if (known->takes_coil) {
      if (!document.has("coil"))
        wrong.push_back(fmt::format("a \"{}\" needs a [coil] table: former, wire and pitch, each one or a list", word));
      const auto coil = document.find_table("coil");
      const std::string step = coil ? coil->find_text("step").value_or("any") : "none";
      if (!known->fed_at_tap && (step == "any" || step == "shunt coil"))
        brief.computed_coils = false;  // the part across is bought
      for (const CoilOption& c : brief.coils) {
        option.coil = c.name;
        option.touch = Touch::band;
        option.name = fmt::format("{} ({}), one setting a band", word, c.said);
        brief.networks.push_back(option);
        option.touch = Touch::condition;
        option.name = fmt::format("{} ({}), trimmed by hand", word, c.said);
        brief.networks.push_back(option);
      }
    } else if (known->automatic) {
      option.touch = Touch::automatic;
      if (shelf.tuners.empty() && shelf.tuners_known)
        wrong.emplace_back("a \"tuner\" needs a [tuner] table in the brief");
      for (const tuner::Tuner& t : shelf.tuners) {
        option.tuner = t.name;
        option.name = shelf.tuners.size() > 1 ? fmt::format("tuner: {}", t.name) : "tuner";
        brief.networks.push_back(option);
      }
    } else if (known->takes_transformer) {
      for (const double ratio : ratios) {
        option.turns_ratio = ratio;
        option.name = fmt::format("transformer, turns 1 to {:.4g}", 1.0 / ratio);
        brief.networks.push_back(option);
      }
    } else if (known->takes_parts) {
      brief.computed_coils = false;
      option.touch = Touch::band;
      option.name = word + ", one setting a band";
      brief.networks.push_back(option);
      option.touch = Touch::condition;
      option.name = word + ", trimmed by hand";
      brief.networks.push_back(option);
    } else {
      brief.networks.push_back(option);
    }
  }
  if (!wrong.empty()) table.fault("kinds", fmt::format("{}", fmt::join(wrong, "; ")));
}

void read_limits(const TomlTable& document, Brief& brief) {
  const auto table = document.find_table("limits");
  if (!table) return;
  table->item([&] {
    table->only({"mass", "top_height"});
    brief.most_mass_kg = find_plausible(*table, "mass", plausible::mass);
    brief.most_height_m = find_plausible(*table, "top_height", plausible::coordinate);
  });
}

/// What leaves nothing to choose.
void check_limits(const TomlTable& document, const Brief& brief) {
  const auto table = document.find_table("limits");
  if (!table || document.faults() != 0) return;
  const double top_m = brief.base_height_m + brief.whip.range_m.low;
  if (brief.most_height_m && top_m > *brief.most_height_m)
    table->fault("top_height",
                 fmt::format("the shortest whip, {:.4g} m on a base at {:.4g} m, reaches {:.4g} m; legal: a "
                             "\"top_height\" of at least that, a shorter whip or a lower base",
                             brief.whip.range_m.low, brief.base_height_m, top_m));
}

}  // namespace

std::string_view touch_name(Touch touch) {
  switch (touch) {
  case Touch::nothing:
    return "nothing";
  case Touch::band:
    return "band";
  case Touch::condition:
    return "condition";
  case Touch::automatic:
    break;
  }
  return "automatic";
}

Brief read_brief(std::string_view text, const std::string& file) {
  const TomlTable document = TomlTable::parse_all(text, file);
  document.only({"brief",   "transmitter",  "band", "path",        "cable",    "parts",  "tuner",   "choke",
                 "hat",     "loading_coil", "coil", "set",         "person",   "ground", "antenna", "condition",
                 "network", "limits",       "mass", "uncertainty", "decision", "mode",   "battery"});
  Brief brief;
  brief.text = std::string(text);
  brief.file = file;
  document.item([&] {
    const TomlTable head = document.table("brief");
    head.only({"name", "note"});
    brief.name = head.text("name");
    brief.note = head.find_text("note").value_or("");
  });
  document.item([&] { brief.given.transmitter = detail::transmitter_from(document.table("transmitter")); });
  detail::Shelf shelf;
  shelf.bands_known = document.item([&] { detail::read_bands(document, brief.given.bands, &brief.weights); });
  document.item([&] { detail::read_paths(document, brief.given.bands); });
  detail::read_shelf(document, brief.given.bands, shelf);
  detail::read_circumstances(document, brief.given);
  std::optional<TomlTable> masses;
  document.item([&] {
    masses = document.find_table("mass");
    if (!masses) return;
    masses->only({"whip_per_metre", "wire_per_metre", "tuner", "L network", "base coil", "switched coil",
                  "autotransformer", "series capacitor", "transformer"});
  });
  document.item([&] { read_limits(document, brief); });
  document.item([&] {
    const TomlTable antenna = document.table("antenna");
    antenna.item([&] { read_antenna(antenna, masses, brief); });
  });
  document.item([&] { read_conditions(document, brief); });
  document.item([&] { read_chokes(document, brief); });
  document.item([&] { read_hats(document, brief); });
  document.item([&] { read_loading(document, brief); });
  brief.carried = document.has("set") && document.has("person");
  if (!brief.carried) brief.assumed.emplace_back(drawn_alone_warning);
  for (const char* key : {"set", "person"}) {
    document.item([&] {
      if (const auto table = document.find_table(key)) {
        if (std::string_view(key) == "set")
          detail::set_from(*table);
        else
          detail::person_from(*table);
      }
    });
  }
  document.item([&] { read_coils(document, brief); });
  document.item([&] { read_networks(document, masses, shelf, brief); });
  document.item([&] { check_limits(document, brief); });
  if (document.faults() == 0) {
    // What only whip and wires together show: told of the longest of all, with every choke, hat, coil and layout.
    document.item([&] {
      const auto wires = static_cast<std::size_t>(brief.most_wires);
      const AntennaChoice longest{longest_whip_m(brief), std::vector(wires, brief.wire.range_m.high)};
      const AntennaChoice shortest{brief.whip.range_m.low, longest.wires_m};  // on which a coil may have no place
      std::vector<std::pair<AntennaChoice, const char*>> all{{longest, "antenna"}};
      const auto each = [&](std::size_t count, std::size_t AntennaChoice::*option, const char* key,
                            const AntennaChoice& antenna) {
        for (std::size_t n = 1; n < count; ++n) {
          all.emplace_back(antenna, key);
          all.back().first.*option = n;
        }
      };
      each(brief.chokes.size(), &AntennaChoice::choke, "choke", longest);
      each(brief.hats.size(), &AntennaChoice::hat, "hat", longest);
      each(brief.loading.size(), &AntennaChoice::loading, "loading_coil", longest);
      each(brief.loading.size(), &AntennaChoice::loading, "loading_coil", shortest);
      each(wires > 1 ? brief.layouts.size() : 0, &AntennaChoice::layout, "antenna", longest);
      for (const auto& [antenna, key] : all) {
        std::vector<wire::WireCase> cases;
        try {
          cases = wire_cases(brief, antenna);
        } catch (const ParseError& error) {
          const std::string what = error.what();
          const std::size_t message = what.find(": ");
          document.fail(key, what.substr(message == std::string::npos ? 0 : message + 2));
        }
        for (const wire::WireCase& end : cases) {
          if (end.corner_of.empty()) continue;
          for (const TomlTable& table : document.tables("condition")) {
            if (table.find_text("name") == end.corner_of)
              table.fail("contact",
                         "a search has no ranges of a contact; legal: each end as a condition of its own, or no "
                         "\"contact\", which is five conditions");
          }
        }
      }
    });
  }
  document.finish();
  return brief;
}

Brief load_brief(const std::string& path) { return read_brief(read_text_file(path), path); }

double longest_whip_m(const Brief& brief) {
  if (!brief.most_height_m) return brief.whip.range_m.high;
  return std::min(brief.whip.range_m.high, *brief.most_height_m - brief.base_height_m);
}

double antenna_mass_kg(const Brief& brief, const AntennaChoice& antenna) {
  double mass_kg = brief.whip_kg_per_m * antenna.whip_m + brief.chokes.at(antenna.choke).mass_kg.value_or(0.0) +
                   brief.hats.at(antenna.hat).mass_kg + brief.loading.at(antenna.loading).mass_kg.value_or(0.0);
  for (const double length_m : antenna.wires_m) mass_kg += brief.wire_kg_per_m * length_m;
  return mass_kg;
}

bool antenna_mass_known(const Brief& brief, const AntennaChoice& antenna) {
  return brief.chokes.at(antenna.choke).mass_kg.has_value() && brief.loading.at(antenna.loading).mass_kg.has_value();
}

std::vector<wire::WireCase> wire_cases(const Brief& brief, const AntennaChoice& antenna) {
  return read_wires(wires_text(brief, antenna), "the antenna that is tried");
}

}  // namespace stile::station

#include <stile/station/detail/coil_table.hpp>

#include <algorithm>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/station/detail/plausible.hpp>
#include <stile/station/detail/tuner_table.hpp>

namespace stile::station::detail {
namespace {

constexpr double most_turns = 400.0;

coil::Unused unused_from(const TomlTable& table, const std::string& word, const char* legal) {
  if (word == "open") return coil::Unused::open;
  if (word == "shorted") return coil::Unused::shorted;
  table.fault("unused", fmt::format("\"unused\" must be {}", legal));
  return coil::Unused::open;
}

coil::Winding winding_from(const TomlTable& table) {
  const std::size_t before = table.faults();
  if (table.has("former") == table.has("diameter")) {
    table.fault("former", "a coil has either a \"former\" (its outside) or a \"diameter\" (between wire centres)");
  }
  const double wire_m = plausible_value(table, "wire", plausible::coil_wire);
  const auto stated_m = find_plausible(table, "diameter", plausible::coil_diameter),
             former_m = find_plausible(table, "former", plausible::coil_diameter);
  const double diameter_m = stated_m.value_or(former_m.value_or(0.0) + wire_m);
  coil::Winding w =
      coil::plain_winding(1.0, diameter_m, plausible_value(table, "pitch", plausible::coil_pitch), wire_m);
  w.wire.wall_m = find_plausible(table, "wall", plausible::tube_wall).value_or(0.0);
  const auto library = [&](const char* key, auto& into, const auto& make) {
    if (!table.has(key)) return;
    try {
      into = make(table.text(key));
    } catch (const DomainError& error) {
      table.fault(key, error.what());
    }
  };
  const auto metal = [](const std::string& name) { return conductor::metal_by_name(name); };
  library("metal", w.wire.metal, metal);
  library("material", w.former, [](const std::string& name) { return coil::former(name); });
  for (const char* key : {"field_share", "former_wall"}) {
    if (table.has(key) && w.former.name == "air" && !table.faulted("material"))
      table.fault(key, fmt::format("\"{}\" says nothing in air; legal: beside a \"material\" other than air", key));
  }
  w.former.field_share = table.find_not_negative("field_share", Unit::one).value_or(0.0);
  w.wire.temperature_c = find_plausible(table, "temperature", plausible::temperature_c).value_or(w.wire.temperature_c);
  if (const auto z = find_plausible(table, "plane", plausible::near_coil)) w.plane = coil::Plane{-*z};
  if (const auto d = find_plausible(table, "beside", plausible::near_coil)) w.beside = coil::PlaneBeside{*d};
  if (const auto d = find_plausible(table, "can", plausible::near_coil)) {
    w.can = coil::Can{*d, find_plausible(table, "can_length", plausible::near_coil).value_or(0.0)};
  } else if (table.has("can_length")) {
    table.fault("can_length", "\"can_length\" says nothing alone; legal: beside \"can\"");
  }
  library("near_metal", w.near_metal, metal);
  if (table.faults() != before) return w;  // what follows would be their consequence
  try {
    check(w);
  } catch (const DomainError& error) {
    table.fault("pitch", error.what());
  }
  return w;
}

}  // namespace

SwitchedCoil wound_from(const TomlTable& table) {
  SwitchedCoil coil;
  coil.winding = winding_from(table);
  if (coil.winding.former.name != "air" && !table.has("field_share")) {
    const double outside_m = coil.winding.diameter_m - coil.winding.wire.diameter_m;
    coil.former_wall_m = find_plausible(table, "former_wall", plausible::former_wall).value_or(0.0);
    const bool known = !table.faulted("former") && !table.faulted("diameter") && !table.faulted("wire");
    if (known && *coil.former_wall_m >= 0.5 * outside_m) {
      table.fault("former_wall",
                  fmt::format("a \"former_wall\" must be below half of the former's outside of {}; legal: less, or "
                              "without it for a rod",
                              print_quantity(outside_m, Unit::metre)));
    }
  } else if (table.has("former_wall") && table.has("field_share")) {
    table.fault("former_wall", "\"former_wall\" gives the \"field_share\"; legal: one of the two");
  }
  coil.turns = table.find_positive("turns", Unit::one).value_or(0.0);
  if (coil.turns > most_turns) table.fault("turns", fmt::format("\"turns\" must be at most {:g}", most_turns));
  return coil;
}

SwitchedCoil coil_from(const std::string& name, const TomlTable& table, const std::vector<Band>& bands,
                       bool bands_known) {
  table.only({"former",
              "diameter",
              "wire",
              "wall",
              "pitch",
              "metal",
              "temperature",
              "material",
              "former_wall",
              "field_share",
              "plane",
              "beside",
              "can",
              "can_length",
              "near_metal",
              "turns",
              "tap_step",
              "unused",
              "taps",
              "contact_resistance",
              "switch_resistance",
              "lead_inductance",
              "trimmer",
              "step",
              "rating"});
  SwitchedCoil coil = wound_from(table);
  coil.name = name;
  coil.tap_step_turns = table.find_positive("tap_step", Unit::one).value_or(1.0);
  if (coil.tap_step_turns != 1.0 && coil.tap_step_turns != 0.5 && coil.tap_step_turns != 0.25)
    table.fault("tap_step", "\"tap_step\" must be 1, 0.5 or 0.25");
  if (const auto word = table.find_text("unused"); word && *word != "better")
    coil.unused = unused_from(table, *word, "\"open\", \"shorted\" or \"better\"");
  coil.contact_ohm = find_plausible(table, "contact_resistance", plausible::loss_resistance).value_or(0.0);
  coil.switch_ohm = find_plausible(table, "switch_resistance", plausible::loss_resistance).value_or(0.0);
  coil.lead_inductance_h = find_plausible(table, "lead_inductance", plausible::stray_inductance).value_or(0.0);
  coil.trimmer_f = find_plausible(table, "trimmer", plausible::stray_capacitance).value_or(0.0);
  if (const auto step = table.find_text("step")) {
    if (*step != "any" && *step != "none" && *step != "shunt coil" && *step != "shunt capacitor") {
      table.fault("step", "\"step\" must be \"any\", \"none\", \"shunt coil\" or \"shunt capacitor\"");
    }
    coil.shunt_coil = *step == "any" || *step == "shunt coil";
    coil.shunt_capacitor = *step == "any" || *step == "shunt capacitor";
  }
  coil.rating = rating_from(table, "rating");
  const double most = coil.turns > 0.0 && !table.faulted("turns") ? coil.turns : most_turns;
  for (const TomlTable& row : table.tables("taps")) {
    row.only({"band", "turns", "feed", "unused"});
    StatedTap tap{row.text("band"), row.find_not_negative("turns", Unit::one).value_or(0.0), coil.unused,
                  row.find_positive("feed", Unit::one)};
    if (!row.has("turns")) row.fault("turns", "a tap needs its \"turns\", >= 0 (0: the coil is bypassed)");
    if (row.faulted("turns")) tap.turns = 1.0;  // not bypassed
    if (const auto word = row.find_text("unused")) tap.unused = unused_from(row, *word, "\"open\" or \"shorted\"");
    if (bands_known && std::none_of(bands.begin(), bands.end(), [&](const Band& b) { return b.name == tap.band; }))
      row.fault("band", fmt::format("no [[band]] is called \"{}\"", tap.band));
    if (std::any_of(coil.taps.begin(), coil.taps.end(), [&](const StatedTap& t) { return t.band == tap.band; }))
      row.fault("band", fmt::format("the band \"{}\" has its tap already", tap.band));
    if (tap.turns > most) row.fault("turns", "a tap must lie within the coil's \"turns\"");
    if (tap.feed_turns.value_or(0.0) > most) row.fault("feed", "a tap must lie within the coil's \"turns\"");
    coil.taps.push_back(std::move(tap));
  }
  return coil;
}

}  // namespace stile::station::detail

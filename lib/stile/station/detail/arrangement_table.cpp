#include <stile/station/detail/arrangement_table.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/core.h>
#include <fmt/ranges.h>

#include <stile/base/errors.hpp>
#include <stile/station/detail/energy_table.hpp>
#include <stile/station/detail/plausible.hpp>
#include <stile/station/detail/tuner_table.hpp>
#include <stile/station/detail/whip_change.hpp>

namespace stile::station::detail {
namespace {

/// Finds `name` among things that have one, or says which there are. Where these are not all known it is let pass.
template <class Item, class Name>
const Item& named(const TomlTable& table, std::string_view key, const std::string& name, const std::vector<Item>& items,
                  bool known, const Name& name_of) {
  static const Item unknown{};
  std::vector<std::string> names;
  for (const Item& item : items) {
    if (name_of(item) == name) return item;
    names.push_back(name_of(item));
  }
  if (known)
    table.fault(key, fmt::format("nothing is called \"{}\"; there {}", name,
                                 names.empty() ? "is none" : fmt::format("are: {}", fmt::join(names, ", "))));
  return unknown;
}

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

Trim trim_from(const TomlTable& table) {
  const auto word = table.find_text("trim");
  if (!word) return Trim::once;
  if (*word == "each condition") return Trim::tap_and_trimmer;
  for (const Trim trim : {Trim::once, Trim::tap, Trim::trimmer, Trim::tap_and_trimmer}) {
    if (trim_name(trim) == *word) return trim;
  }
  table.fault("trim",
              "\"trim\" must be \"once\", \"tap\", \"trimmer\", \"tap and trimmer\" or \"each condition\", which is "
              "the same");
  return Trim::once;
}

/// An element that a setting states; what it does not say about losses is that of the parts.
network::Element element_from(const TomlTable& table, const Parts& parts, std::size_t number) {
  table.only({"place", "kind", "value", "q", "rating"});
  network::Element element;
  const std::string place = table.text("place"), kind = table.text("kind");
  if (place != "series" && place != "shunt") table.fault("place", "\"place\" must be \"series\" or \"shunt\"");
  element.place = place == "shunt" ? network::Place::shunt : network::Place::series;
  const auto q = find_plausible(table, "q", plausible::part_q);
  if (kind == "inductor") {
    element.label = fmt::format("L{}", number);
    network::Inductor coil{plausible_value(table, "value", plausible::inductance), parts.stock.inductor_loss,
                           parts.stock.inductor_self_capacitance_f};
    if (q) coil.loss.q = *q;
    element.part = coil;
    element.rating = parts.inductor_rating;
  } else if (kind == "capacitor") {
    element.label = fmt::format("C{}", number);
    network::Capacitor capacitor{plausible_value(table, "value", plausible::capacitance), parts.stock.capacitor_loss};
    if (q) capacitor.loss.q = *q;
    element.part = capacitor;
    element.rating = parts.capacitor_rating;
  } else {
    table.fault("kind", "\"kind\" must be \"inductor\" or \"capacitor\"");
  }
  if (table.has("rating")) element.rating = rating_from(table, "rating");
  return element;
}

std::vector<StatedSetting> settings_from(const TomlTable& table, const Arrangement& a, const Shelf& shelf,
                                         const std::vector<Condition>& conditions, const std::vector<Band>& bands) {
  std::vector<StatedSetting> settings;
  for (const TomlTable& row : table.tables("settings")) {
    row.item([&] {
      row.only({"band", "condition", "elements"});
      StatedSetting setting;
      setting.band =
          named(row, "band", row.text("band"), bands, shelf.bands_known, [](const Band& b) { return b.name; }).name;
      if (const auto name = row.find_text("condition"))
        setting.condition = named(row, "condition", *name, conditions, shelf.antennas_known, [](const Condition& c) {
                              return c.name;
                            }).name;
      if (!row.has("elements"))
        row.fault("elements", fmt::format("{} needs the key \"elements\", [] where nothing stands", row.name()));
      for (const TomlTable& one : row.tables("elements")) {
        one.item([&] { setting.elements.push_back(element_from(one, a.parts, setting.elements.size() + 1)); });
      }
      const auto same = [&](const StatedSetting& s) {
        return s.band == setting.band && s.condition == setting.condition;
      };
      if (std::any_of(settings.begin(), settings.end(), same))
        row.fault("band", fmt::format("the band \"{}\" has this setting already", setting.band));
      settings.push_back(std::move(setting));
    });
  }
  for (const Band& band : bands) {  // every band and condition must be served
    for (const Condition& condition : conditions) {
      const auto serves = [&](const StatedSetting& s) {
        return s.band == band.name && (s.condition.empty() || s.condition == condition.name);
      };
      if (shelf.bands_known && shelf.antennas_known && !settings.empty() &&
          std::none_of(settings.begin(), settings.end(), serves))
        table.fault("settings",
                    fmt::format("\"settings\" says nothing about \"{}\" in \"{}\"; legal: a setting for every "
                                "band, for each condition or for all of them",
                                band.name, condition.name));
    }
  }
  return settings;
}

}  // namespace

/// `parts` with what the table states in their place.
Parts parts_from(Parts parts, const TomlTable& table) {
  table.only({"inductor_q", "inductor_q_at", "inductor_resistance", "inductor_self_capacitance", "inductor_rating",
              "inductor_series", "capacitor_q", "capacitor_resistance", "capacitor_loss_tangent", "capacitor_rating",
              "capacitor_series", "inductor_step", "capacitor_step", "inductor_range", "capacitor_range"});
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
  if (table.has("inductor_rating")) parts.inductor_rating = rating_from(table, "inductor_rating");
  if (table.has("capacitor_rating")) parts.capacitor_rating = rating_from(table, "capacitor_rating");
  const auto series = [&](std::string_view key, std::optional<match::ESeries>& into) {
    if (table.has(key))
      table.item([&] { into = at(table, key, [&] { return match::e_series_from_name(table.text(key)); }); });
  };
  series("inductor_series", parts.inductor_series);
  series("capacitor_series", parts.capacitor_series);
  const auto step = [&](std::string_view key, std::string_view other, const Plausible& each,
                        std::optional<double>& into, std::optional<match::ESeries>& series_beside) {
    if (!table.has(key)) {
      if (table.has(other)) into.reset();
      return;
    }
    if (table.has(other)) table.fault(key, fmt::format("parts come in a \"{}\" or by a \"{}\", not both", other, key));
    into = plausible_value(table, key, each);
    series_beside.reset();
  };
  step("inductor_step", "inductor_series", plausible::inductance, parts.inductor_step_h, parts.inductor_series);
  step("capacitor_step", "capacitor_series", plausible::capacitance, parts.capacitor_step_f, parts.capacitor_series);
  const auto limits = [&](std::string_view key, const Plausible& each, double& least, double& most) {
    if (!table.has(key)) return;
    const std::vector<double> ends = plausible_values(table, key, each);
    if (ends.size() != 2 || ends[0] > ends[1])
      table.fault(key, fmt::format("\"{}\" must be two values, the least and the most", key));
    least = ends.front(), most = ends.back();
  };
  limits("inductor_range", plausible::inductance, parts.stock.least_inductance_h, parts.stock.most_inductance_h);
  limits("capacitor_range", plausible::capacitance, parts.stock.least_capacitance_f, parts.stock.most_capacitance_f);
  return parts;
}

namespace {

StatedPart carried_from(const TomlTable& table) {
  table.only({"name", "count", "mass", "size"});
  StatedPart part;
  part.name = table.text("name");
  const double count = find_plausible(table, "count", plausible::part_count).value_or(1.0);
  if (count != std::floor(count)) table.fault("count", "\"count\" must be a whole number");
  part.count = static_cast<int>(count);
  part.mass_kg = plausible_value(table, "mass", plausible::mass);
  part.volume_m3 = find_box_m3(table, "size");
  return part;
}

StatedTransformer transformer_from(const TomlTable& table) {
  table.only({"turns_ratio", "leakage", "magnetising", "q"});
  StatedTransformer t;
  t.turns_ratio = plausible_value(table, "turns_ratio", plausible::turns_ratio);
  t.leakage_h = find_plausible(table, "leakage", plausible::stray_inductance).value_or(t.leakage_h);
  t.magnetising_h = find_plausible(table, "magnetising", plausible::inductance).value_or(t.magnetising_h);
  t.q = find_plausible(table, "q", plausible::part_q).value_or(t.q);
  if (table.has("q") && !table.has("magnetising"))
    table.fault("q", "\"q\" is that of the magnetising inductance; legal: beside \"magnetising\"");
  return t;
}

/// What an autotransformer cannot do with a coil.
void check_fed(const TomlTable& table, const SwitchedCoil& coil) {
  const auto bypassed = [](const StatedTap& tap) { return tap.turns == 0.0; };
  if (std::any_of(coil.taps.begin(), coil.taps.end(), bypassed))
    table.fault("coil",
                fmt::format("the coil \"{}\" is bypassed on a band (a tap at 0 turns), which an autotransformer "
                            "cannot be; legal: taps above 0",
                            coil.name));
  const network::Rating& r = coil.rating;
  if (std::isfinite(r.voltage_v_peak) || std::isfinite(r.current_a_rms) || std::isfinite(r.dissipation_w))
    table.fault("coil", fmt::format("the coil \"{}\" has a \"rating\", and the turns of an autotransformer carry "
                                    "different currents, so that it cannot be judged; legal: a coil without \"rating\"",
                                    coil.name));
}

}  // namespace

Arrangement arrangement_from(const TomlTable& table, const Shelf& shelf, const AntennaTables& antennas,
                             const std::vector<Band>& bands) {
  table.only({"name", "kind", "antenna", "cable_before", "cable_after", "tuner", "coil", "transformer", "parts",
              "design_condition", "trim", "settings", "mass", "size", "supply", "carried", "whip"});
  Arrangement a;
  a.name = table.text("name");
  const std::string kind = table.text("kind");
  const auto kinds = arrangement_kinds();
  const auto known = std::find_if(kinds.begin(), kinds.end(), [&](const KindDescription& k) { return k.name == kind; });
  if (known == kinds.end())
    table.fault("kind",
                fmt::format("\"kind\" must be {}", names_of_kinds([](const KindDescription&) { return true; })));
  const auto only_of = [&](std::string_view key, bool KindDescription::*takes, std::string_view verb) {
    if (!table.has(key) || (*known).*takes) return;
    table.fault(key, fmt::format("\"{}\" {} to arrangements of kind {}", key, verb,
                                 names_of_kinds([&](const KindDescription& k) { return k.*takes; })));
  };
  if (const auto name = table.find_text("antenna")) {
    const auto found = std::find_if(antennas.antennas.begin(), antennas.antennas.end(),
                                    [&](const Antenna& one) { return one.name == *name; });
    if (found != antennas.antennas.end())
      a.antenna = static_cast<std::size_t>(found - antennas.antennas.begin());
    else
      named(table, "antenna", *name, antennas.antennas, shelf.antennas_known,
            [](const Antenna& one) { return one.name; });
  } else if (antennas.antennas.size() > 1) {
    table.fault("antenna", "the file has several antennas: \"antenna\" must name one");
  }
  a.mass_kg = find_plausible(table, "mass", plausible::mass);
  a.volume_m3 = find_box_m3(table, "size");
  if (a.volume_m3 && !a.mass_kg)
    table.fault("size", "\"size\" is that of what has the \"mass\"; legal: beside \"mass\"");
  for (const TomlTable& part : table.tables("carried")) part.item([&] { a.carried.push_back(carried_from(part)); });
  if (a.mass_kg && !a.carried.empty())
    table.fault("carried", "\"carried\" is what the \"mass\" is made of; legal: either of them");
  for (const StatedPart& part : a.carried) a.mass_kg = a.mass_kg.value_or(0.0) + part.count * part.mass_kg;
  a.whip = whip_change_from(table, shelf.coils, shelf.coils_known);
  const auto cable = [&](std::string_view key, std::optional<NamedCable>& into) {
    if (const auto name = table.find_text(key)) {
      into = named(table, key, *name, shelf.cables, shelf.cables_known, [](const NamedCable& c) { return c.name; });
    }
  };
  cable("cable_before", a.cable_before);
  cable("cable_after", a.cable_after);
  a.parts = shelf.parts;
  if (const auto parts = table.find_table("parts")) a.parts = parts_from(shelf.parts, *parts);
  if (const auto name = table.find_text("design_condition")) {
    a.design_condition =
        named(table, "design_condition", *name, antennas.conditions, shelf.antennas_known, [](const Condition& c) {
          return c.name;
        }).name;
  }
  a.trim = trim_from(table);
  if (a.trim != Trim::once && !a.design_condition.empty())
    table.fault("trim", "\"design_condition\" has no meaning when each condition is trimmed");
  if (known == kinds.end()) return a;
  a.kind = known->kind;
  only_of("tuner", &KindDescription::takes_tuner, "belongs");
  only_of("coil", &KindDescription::takes_coil, "belongs");
  only_of("transformer", &KindDescription::takes_transformer, "belongs");
  for (const char* key : {"parts", "design_condition", "trim", "settings"})
    only_of(key, &KindDescription::takes_parts,
            key == std::string_view("parts") || key == std::string_view("settings") ? "belong" : "belongs");
  if (known->takes_tuner) {
    if (shelf.tuners.empty() && shelf.tuners_known)
      table.fault("kind", "an arrangement with a tuner needs a [tuner] table in the file");
    const auto name = table.find_text("tuner");
    a.tuner = name                   ? named(table, "tuner", *name, shelf.tuners, shelf.tuners_known,
                                             [](const tuner::Tuner& t) { return t.name; })
              : shelf.tuners.empty() ? tuner::Tuner{}
                                     : shelf.tuners.front();
  }
  if (known->takes_coil) {
    if (shelf.coils.empty() && shelf.coils_known)
      table.fault("kind", "this kind of arrangement needs a [coil.NAME] table in the file");
    const auto name = table.find_text("coil");
    if (!name && shelf.coils.size() > 1) table.fault("coil", "the file has several coils: \"coil\" must name one");
    a.coil =
        name ? named(table, "coil", *name, shelf.coils, shelf.coils_known, [](const SwitchedCoil& c) { return c.name; })
        : shelf.coils.empty() ? SwitchedCoil{}
                              : shelf.coils.front();
    if (known->fed_at_tap) check_fed(table, a.coil);
  }
  only_of("supply", &KindDescription::takes_tuner, "belongs");
  if (const auto draw = table.find_table("supply"); draw && known->takes_tuner) {
    a.draw = tuner_draw_from(*draw);
    a.tune_power_w = find_plausible(*draw, "power", plausible::tune_power);
    a.least_tune_power_w = find_plausible(*draw, "least_power", plausible::tune_power);
    if (draw->has("latching")) a.latching = draw->flag("latching", false);
    if (a.latching == false && !(a.draw.hold_a > 0.0))
      draw->fault("latching", "relays that do not latch are held by a current; legal: beside a \"hold\" above 0");
  }
  if (known->takes_transformer) {
    if (const auto stated = table.find_table("transformer"))
      a.transformer = transformer_from(*stated);
    else if (!table.has("transformer"))
      table.fault("kind", "a transformer needs \"transformer\" = { turns_ratio = 3 }");
  }
  if (known->takes_parts && table.has("settings")) {
    if (known->takes_coil) table.fault("settings", "a coil states its \"taps\" in its own table, not \"settings\"");
    a.settings = settings_from(table, a, shelf, antennas.conditions, bands);
    for (const char* key : {"design_condition", "trim"}) {
      if (table.has(key)) table.fault(key, fmt::format("\"{}\" has no meaning beside stated \"settings\"", key));
    }
  }
  return a;
}

}  // namespace stile::station::detail

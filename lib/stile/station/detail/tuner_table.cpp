#include <stile/station/detail/tuner_table.hpp>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/station/detail/plausible.hpp>
#include <stile/station/station.hpp>

namespace stile::station {
namespace detail {

network::Loss loss_from(const TomlTable& table) {
  network::Loss loss;
  loss.q = find_plausible(table, "q", plausible::part_q).value_or(network::infinite);
  loss.q_at_hz = find_plausible(table, "q_at", plausible::reference_frequency).value_or(0.0);
  return loss;
}

namespace {

/// Fills what an arm has for each part: an array is as long as `values` or absent.
template <class Arm>
void parts_from(const TomlTable& table, std::size_t parts, Arm& arm) {
  const auto each = [&](const char* key, const Plausible& range) {
    std::vector<double> numbers;
    if (!table.has(key)) return numbers;
    numbers = plausible_values(table, key, range);
    if (numbers.size() == parts) return numbers;
    if (!table.faulted("values"))
      table.fault(key, fmt::format("\"{}\" has {} entries and must have one for each of the {} values", key,
                                   numbers.size(), parts));
    return std::vector<double>{};
  };
  for (const double q : each("part_q", plausible::part_q)) {
    arm.losses.push_back(arm.loss);
    arm.losses.back().q = q;
  }
  const std::vector<double> volts = each("part_voltage", plausible::rated_voltage),
                            amperes = each("part_current", plausible::rated_current),
                            watts = each("part_power", plausible::rated_power);
  if (volts.empty() && amperes.empty() && watts.empty()) return;
  for (std::size_t n = 0; n < parts; ++n) {
    arm.ratings.push_back({volts.empty() ? network::infinite : volts[n],
                           amperes.empty() ? network::infinite : amperes[n],
                           watts.empty() ? network::infinite : watts[n]});
  }
}

tuner::InductorArm inductors_from(const TomlTable& table) {
  tuner::InductorArm arm{plausible_values(table, "values", plausible::inductance),
                         loss_from(table),
                         find_plausible(table, "stray", plausible::stray_inductance).value_or(0.0),
                         find_plausible(table, "open_contact", plausible::stray_capacitance).value_or(0.0),
                         {},
                         {}};
  parts_from(table, arm.values_h.size(), arm);
  return arm;
}

tuner::CapacitorArm capacitors_from(const TomlTable& table) {
  tuner::CapacitorArm arm{plausible_values(table, "values", plausible::capacitance),
                          loss_from(table),
                          find_plausible(table, "stray", plausible::stray_capacitance).value_or(0.0),
                          find_plausible(table, "open_contact", plausible::stray_capacitance).value_or(0.0),
                          {},
                          {}};
  parts_from(table, arm.values_f.size(), arm);
  return arm;
}

/// A first bank has a rating, which holds for the second as well.
void only_arm_keys(const TomlTable& table, bool first) {
  if (first) {
    table.only({"values", "q", "q_at", "stray", "open_contact", "part_q", "part_voltage", "part_current", "part_power",
                "rating"});
  } else {
    table.only(
        {"values", "q", "q_at", "stray", "open_contact", "part_q", "part_voltage", "part_current", "part_power"});
  }
}

}  // namespace

network::Rating rating_from(const TomlTable& parent, std::string_view key) {
  const auto table = parent.find_table(key);
  if (!table) return {};
  table->only({"voltage", "current", "power"});
  return {find_plausible(*table, "voltage", plausible::rated_voltage).value_or(network::infinite),
          find_plausible(*table, "current", plausible::rated_current).value_or(network::infinite),
          find_plausible(*table, "power", plausible::rated_power).value_or(network::infinite)};
}

tuner::TunerForm form_from(const TomlTable& table) {
  const std::string form = table.text("form");
  if (form == "L") return tuner::TunerForm::l;
  if (form == "T") return tuner::TunerForm::t;
  if (form == "pi") return tuner::TunerForm::pi_network;
  if (form == "LCL") return tuner::TunerForm::lcl;
  table.fault("form", "\"form\" must be \"L\", \"T\", \"pi\" or \"LCL\"");
  return tuner::TunerForm::l;
}

CapacitorSides sides_from(const TomlTable& table, tuner::TunerForm form) {
  const auto side = table.find_text("capacitor_side");
  if (!side) return {};
  if (form != tuner::TunerForm::l && !table.faulted("form"))
    table.fault("capacitor_side", "only a tuner of form \"L\" has a \"capacitor_side\"");
  if (*side != "transmitter" && *side != "load" && *side != "either") {
    table.fault("capacitor_side", "\"capacitor_side\" must be \"transmitter\", \"load\" or \"either\"");
  }
  return {*side != "load", *side != "transmitter"};
}

tuner::Tuner tuner_from(const TomlTable& table) {
  table.only({"name", "form", "capacitor_side", "contact_resistance", "inductors", "capacitors", "load_capacitors",
              "load_inductors"});
  const std::size_t before = table.faults();
  tuner::Tuner tuner;
  tuner.name = table.find_text("name").value_or("tuner");
  tuner.form = form_from(table);
  const CapacitorSides sides = sides_from(table, tuner.form);
  tuner.capacitor_at_transmitter = sides.transmitter;
  tuner.capacitor_at_load = sides.load;
  tuner.contact_ohm = find_plausible(table, "contact_resistance", plausible::loss_resistance).value_or(0.0);
  table.item([&] {
    const TomlTable inductors = table.table("inductors");
    only_arm_keys(inductors, true);
    tuner.inductors = inductors_from(inductors);
    tuner.inductor_rating = rating_from(inductors, "rating");
  });
  table.item([&] {
    const TomlTable capacitors = table.table("capacitors");
    only_arm_keys(capacitors, true);
    tuner.capacitors = capacitors_from(capacitors);
    tuner.capacitor_rating = rating_from(capacitors, "rating");
  });
  const auto at_load = table.find_table("load_capacitors"), coils_at_load = table.find_table("load_inductors");
  const bool two_capacitors = tuner.form == tuner::TunerForm::t || tuner.form == tuner::TunerForm::pi_network;
  const bool form_known = !table.faulted("form");
  if (at_load && !two_capacitors && form_known)
    table.fault("load_capacitors", "only forms \"T\" and \"pi\" have a second bank of capacitors");
  if (coils_at_load && tuner.form != tuner::TunerForm::lcl && form_known)
    table.fault("load_inductors", "only form \"LCL\" has a second bank of inductors");
  if (at_load) only_arm_keys(*at_load, false);
  if (coils_at_load) only_arm_keys(*coils_at_load, false);
  if (two_capacitors) tuner.load_capacitors = tuner.capacitors;
  if (at_load) tuner.load_capacitors = capacitors_from(*at_load);
  if (tuner.form == tuner::TunerForm::lcl) tuner.load_inductors = tuner.inductors;
  if (coils_at_load) tuner.load_inductors = inductors_from(*coils_at_load);
  if (table.faults() != before) return tuner;  // what follows would be their consequence
  try {
    tuner::state_count(tuner);
  } catch (const DomainError& error) {
    table.fail("form", error.what());
  }
  return tuner;
}

}  // namespace detail

tuner::Tuner read_tuner(std::string_view text, const std::string& file) {
  const detail::TomlTable document = detail::TomlTable::parse_all(text, file);
  document.only({"tuner"});
  tuner::Tuner tuner;
  document.item([&] { tuner = detail::tuner_from(document.table("tuner")); });
  document.finish();
  return tuner;
}

}  // namespace stile::station

#include <stile/station/any_tuner.hpp>

#include <stile/base/errors.hpp>
#include <stile/base/range.hpp>
#include <stile/station/detail/plausible.hpp>
#include <stile/station/detail/tuner_table.hpp>

namespace stile::station {
namespace detail {
namespace {

network::Loss turning_loss(const TomlTable& table) {
  network::Loss loss = loss_from(table);
  loss.series_ohm = find_plausible(table, "resistance", plausible::loss_resistance).value_or(0.0);
  return loss;
}

Range range_from(const TomlTable& table, const Plausible& each) {
  const std::vector<double> ends = plausible_values(table, "range", each);
  if (ends.size() != 2 || ends[0] > ends[1])
    table.fault("range", "\"range\" must be two values, the least and the most");
  return {ends.front(), ends.back()};
}

tuner::VariableInductor inductor_from(const TomlTable& table) {
  table.only({"range", "taps", "q", "q_at", "resistance", "rating"});
  tuner::VariableInductor part;
  part.loss = turning_loss(table);
  part.rating = rating_from(table, "rating");
  if (table.has("taps")) {
    if (table.has("range")) table.fault("range", "an inductor has \"range\" or \"taps\", not both");
    part.taps_h = plausible_values(table, "taps", plausible::inductance);
  } else {
    part.range_h = range_from(table, plausible::inductance);
  }
  return part;
}

tuner::VariableCapacitor capacitor_from(const TomlTable& table) {
  table.only({"range", "q", "q_at", "resistance", "rating"});
  return {range_from(table, plausible::capacitance), turning_loss(table), rating_from(table, "rating")};
}

}  // namespace

tuner::ContinuousTuner continuous_tuner_from(const TomlTable& table) {
  table.only({"name", "form", "capacitor_side", "differential", "inductors", "capacitors", "load_capacitors",
              "load_inductors"});
  const std::size_t before = table.faults();
  tuner::ContinuousTuner tuner;
  tuner.name = table.find_text("name").value_or("tuner");
  tuner.form = form_from(table);
  const CapacitorSides sides = sides_from(table, tuner.form);
  tuner.capacitor_at_transmitter = sides.transmitter;
  tuner.capacitor_at_load = sides.load;
  tuner.differential = table.flag("differential", false);
  const bool form_known = !table.faulted("form");
  if (tuner.differential && tuner.form != tuner::TunerForm::t && form_known) {
    table.fault("differential", "only a tuner of form \"T\" has a differential capacitor");
  }
  table.item([&] { tuner.inductor = inductor_from(table.table("inductors")); });
  table.item([&] { tuner.capacitor = capacitor_from(table.table("capacitors")); });
  const auto at_load = table.find_table("load_capacitors"), coil_at_load = table.find_table("load_inductors");
  const bool two_capacitors =
      (tuner.form == tuner::TunerForm::t || tuner.form == tuner::TunerForm::pi_network) && !tuner.differential;
  if (at_load && !two_capacitors && form_known && !table.faulted("differential")) {
    table.fault("load_capacitors", "only forms \"T\" and \"pi\" have a second capacitor, and no differential one");
  }
  if (coil_at_load && tuner.form != tuner::TunerForm::lcl && form_known)
    table.fault("load_inductors", "only form \"LCL\" has a second inductor");
  if (two_capacitors) tuner.load_capacitor = tuner.capacitor;
  if (at_load) tuner.load_capacitor = capacitor_from(*at_load);
  if (tuner.form == tuner::TunerForm::lcl) tuner.load_inductor = tuner.inductor;
  if (coil_at_load) tuner.load_inductor = inductor_from(*coil_at_load);
  if (table.faults() != before) return tuner;  // what follows would be their consequence
  try {
    check(tuner);
  } catch (const DomainError& error) {
    table.fail("form", error.what());
  }
  return tuner;
}

}  // namespace detail

std::variant<tuner::Tuner, tuner::ContinuousTuner> read_any_tuner(std::string_view text, const std::string& file) {
  const detail::TomlTable document = detail::TomlTable::parse_all(text, file);
  document.only({"tuner"});
  std::variant<tuner::Tuner, tuner::ContinuousTuner> tuner;
  document.item([&] {
    const detail::TomlTable table = document.table("tuner");
    const auto inductors = table.find_table("inductors");
    if (inductors && (inductors->has("range") || inductors->has("taps")))
      tuner = detail::continuous_tuner_from(table);
    else
      tuner = detail::tuner_from(table);
  });
  document.finish();
  return tuner;
}

}  // namespace stile::station

#include <stile/station/tuner_table.hpp>

#include <stile/base/errors.hpp>
#include <stile/station/station.hpp>

namespace stile {
namespace detail {
namespace {

Loss loss_from(const TomlTable& table) {
  Loss loss;
  loss.q = table.find_positive("q", Unit::one).value_or(infinite);
  loss.q_at_hz = table.find_positive("q_at", Unit::hertz).value_or(0.0);
  return loss;
}

InductorArm inductors_from(const TomlTable& table) {
  table.only({"values", "q", "q_at", "stray", "rating"});
  return {table.positives("values", Unit::henry), loss_from(table), table.find_not_negative("stray", Unit::henry).value_or(0.0)};
}

CapacitorArm capacitors_from(const TomlTable& table) {
  return {table.positives("values", Unit::farad), loss_from(table), table.find_not_negative("stray", Unit::farad).value_or(0.0)};
}

}  // namespace

Rating rating_from(const TomlTable& parent, std::string_view key) {
  const auto table = parent.find_table(key);
  if (!table) return {};
  table->only({"voltage", "current", "power"});
  return {table->find_positive("voltage", Unit::volt).value_or(infinite),
          table->find_positive("current", Unit::ampere).value_or(infinite),
          table->find_positive("power", Unit::watt).value_or(infinite)};
}

Tuner tuner_from(const TomlTable& table) {
  table.only({"name", "form", "capacitor_side", "contact_resistance", "inductors", "capacitors", "load_capacitors"});
  Tuner tuner;
  tuner.name = table.find_text("name").value_or("tuner");
  const std::string form = table.text("form");
  if (form == "L") {
    tuner.form = TunerForm::l;
  } else if (form == "T") {
    tuner.form = TunerForm::t;
  } else if (form == "pi") {
    tuner.form = TunerForm::pi;
  } else {
    table.fail("form", "\"form\" must be \"L\", \"T\" or \"pi\"");
  }
  if (const auto side = table.find_text("capacitor_side")) {
    if (tuner.form != TunerForm::l) table.fail("capacitor_side", "only a tuner of form \"L\" has a \"capacitor_side\"");
    if (*side != "transmitter" && *side != "load" && *side != "either") {
      table.fail("capacitor_side", "\"capacitor_side\" must be \"transmitter\", \"load\" or \"either\"");
    }
    tuner.capacitor_at_transmitter = *side != "load";
    tuner.capacitor_at_load = *side != "transmitter";
  }
  tuner.contact_ohm = table.find_not_negative("contact_resistance", Unit::ohm).value_or(0.0);
  const TomlTable inductors = table.table("inductors"), capacitors = table.table("capacitors");
  tuner.inductors = inductors_from(inductors);
  capacitors.only({"values", "q", "q_at", "stray", "rating"});
  tuner.capacitors = capacitors_from(capacitors);
  tuner.inductor_rating = rating_from(inductors, "rating");
  tuner.capacitor_rating = rating_from(capacitors, "rating");
  const auto at_load = table.find_table("load_capacitors");
  if (tuner.form == TunerForm::l) {
    if (at_load) table.fail("load_capacitors", "only forms \"T\" and \"pi\" have a second bank of capacitors");
  } else {
    if (at_load) at_load->only({"values", "q", "q_at", "stray"});      // the rating of [capacitors] is that of both banks
    tuner.load_capacitors = at_load ? capacitors_from(*at_load) : tuner.capacitors;
  }
  try {
    state_count(tuner);
  } catch (const DomainError& error) {
    table.fail("form", error.what());
  }
  return tuner;
}

}  // namespace detail

Tuner read_tuner(std::string_view text, const std::string& file) {
  const TomlTable document = TomlTable::parse(text, file);
  document.only({"tuner"});
  return detail::tuner_from(document.table("tuner"));
}

}  // namespace stile

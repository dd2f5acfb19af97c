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

/// Losses stated one a part, in place of `q` for all.
std::vector<Loss> losses_from(const TomlTable& table, std::size_t parts) {
  if (!table.has("q_each")) return {};
  if (table.has("q")) table.fail("q_each", "\"q\" and \"q_each\" exclude each other");
  std::vector<Loss> losses;
  for (const double q : table.positives("q_each", Unit::one)) losses.push_back({.q = q, .q_at_hz = table.find_positive("q_at", Unit::hertz).value_or(0.0)});
  if (losses.size() != parts) table.fail("q_each", "\"q_each\" must have one number a part");
  return losses;
}

Rating rating_of(const TomlTable& table) {
  table.only({"voltage", "current", "power"});
  return {table.find_positive("voltage", Unit::volt).value_or(infinite), table.find_positive("current", Unit::ampere).value_or(infinite),
          table.find_positive("power", Unit::watt).value_or(infinite)};
}

std::vector<Rating> ratings_from(const TomlTable& table, std::size_t parts) {
  if (!table.has("ratings")) return {};
  std::vector<Rating> ratings;
  for (const TomlTable& one : table.tables("ratings")) ratings.push_back(rating_of(one));
  if (ratings.size() != parts) table.fail("ratings", "\"ratings\" must have one table a part");
  return ratings;
}

InductorArm inductors_from(const TomlTable& table) {
  InductorArm arm;
  arm.values_h = table.positives("values", Unit::henry);
  arm.loss = loss_from(table);
  arm.stray_h = table.find_not_negative("stray", Unit::henry).value_or(0.0);
  arm.open_contact_f = table.find_not_negative("open_contact", Unit::farad).value_or(0.0);
  arm.losses = losses_from(table, arm.values_h.size());
  arm.ratings = ratings_from(table, arm.values_h.size());
  return arm;
}

CapacitorArm capacitors_from(const TomlTable& table) {
  CapacitorArm arm;
  arm.values_f = table.positives("values", Unit::farad);
  arm.loss = loss_from(table);
  arm.stray_f = table.find_not_negative("stray", Unit::farad).value_or(0.0);
  arm.open_contact_f = table.find_not_negative("open_contact", Unit::farad).value_or(0.0);
  arm.losses = losses_from(table, arm.values_f.size());
  arm.ratings = ratings_from(table, arm.values_f.size());
  return arm;
}

void check_arm(const TomlTable& table) {
  table.only({"values", "q", "q_at", "q_each", "stray", "open_contact", "ratings", "rating"});
}

/// The rating of the first bank's arm is that of both.
void check_second_arm(const TomlTable& table) {
  table.only({"values", "q", "q_at", "q_each", "stray", "open_contact", "ratings"});
}

}  // namespace

Rating rating_from(const TomlTable& parent, std::string_view key) {
  const auto table = parent.find_table(key);
  return table ? rating_of(*table) : Rating{};
}

Tuner tuner_from(const TomlTable& table) {
  table.only({"name", "form", "capacitor_side", "contact_resistance", "inductors", "capacitors", "load_capacitors", "load_inductors"});
  Tuner tuner;
  tuner.name = table.find_text("name").value_or("tuner");
  const std::string form = table.text("form");
  if (form == "L") {
    tuner.form = TunerForm::l;
  } else if (form == "T") {
    tuner.form = TunerForm::t;
  } else if (form == "pi") {
    tuner.form = TunerForm::pi;
  } else if (form == "LCL") {
    tuner.form = TunerForm::lcl;
  } else {
    table.fail("form", "\"form\" must be \"L\", \"T\", \"pi\" or \"LCL\"");
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
  check_arm(inductors);
  tuner.inductors = inductors_from(inductors);
  check_arm(capacitors);
  tuner.capacitors = capacitors_from(capacitors);
  tuner.inductor_rating = rating_from(inductors, "rating");
  tuner.capacitor_rating = rating_from(capacitors, "rating");
  const bool two_capacitors = tuner.form == TunerForm::t || tuner.form == TunerForm::pi, two_inductors = tuner.form == TunerForm::lcl;
  if (const auto second = table.find_table("load_capacitors")) {
    if (!two_capacitors) table.fail("load_capacitors", "only forms \"T\" and \"pi\" have a second bank of capacitors");
    check_second_arm(*second);
    tuner.load_capacitors = capacitors_from(*second);
  } else if (two_capacitors) {
    tuner.load_capacitors = tuner.capacitors;
  }
  if (const auto second = table.find_table("load_inductors")) {
    if (!two_inductors) table.fail("load_inductors", "only form \"LCL\" has a second bank of inductors");
    check_second_arm(*second);
    tuner.load_inductors = inductors_from(*second);
  } else if (two_inductors) {
    tuner.load_inductors = tuner.inductors;
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

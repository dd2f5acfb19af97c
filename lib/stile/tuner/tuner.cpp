#include <stile/tuner/tuner.hpp>

#include <bit>
#include <cmath>
#include <string_view>

#include <fmt/core.h>

#include <stile/base/errors.hpp>

namespace stile {
namespace {

/// `field` names the value as it stands in the struct, unit included.
void check(bool legal, std::string_view field, double value, std::string_view range) {
  if (!legal) throw DomainError(fmt::format("{} is {} and must be {}", field, value, range));
}

void check_positive(const std::vector<double>& values, std::string_view field) {
  for (std::size_t n = 0; n < values.size(); ++n) {
    if (values[n] > 0.0 && std::isfinite(values[n])) continue;
    check(false, fmt::format("{}[{}]", field, n), values[n], "> 0 and finite");
  }
}

void check_not_negative(double value, std::string_view field) {
  check(value >= 0.0 && std::isfinite(value), field, value, ">= 0 and finite");
}

void check(const Loss& loss, const std::string& arm) {
  check(loss.q > 0.0, arm + ".loss.q", loss.q, "> 0");
  check_not_negative(loss.q_at_hz, arm + ".loss.q_at_hz");
  check_not_negative(loss.series_ohm, arm + ".loss.series_ohm");
  check_not_negative(loss.loss_tangent, arm + ".loss.loss_tangent");
}

void check(const CapacitorArm& arm, const std::string& name) {
  check_positive(arm.values_f, name + ".values_f");
  check_not_negative(arm.stray_f, name + ".stray_f");
  check(arm.loss, name);
}

void check(const InductorArm& arm, const std::string& name) {
  check_positive(arm.values_h, name + ".values_h");
  check_not_negative(arm.stray_h, name + ".stray_h");
  check(arm.loss, name);
  check(arm.loss.loss_tangent == 0.0, name + ".loss.loss_tangent", arm.loss.loss_tangent,
        "0: only capacitors have one");
}

void check(const Rating& rating, const std::string& name) {
  check(rating.voltage_v_peak > 0.0, name + ".voltage_v_peak", rating.voltage_v_peak, "> 0");
  check(rating.current_a_rms > 0.0, name + ".current_a_rms", rating.current_a_rms, "> 0");
  check(rating.dissipation_w > 0.0, name + ".dissipation_w", rating.dissipation_w, "> 0");
}

bool nothing(const CapacitorArm& arm) { return arm.values_f.empty() && arm.stray_f == 0.0; }
bool nothing(const InductorArm& arm) { return arm.values_h.empty() && arm.stray_h == 0.0; }

bool two_sided(const Tuner& tuner) {
  return tuner.form == TunerForm::l && tuner.capacitor_at_transmitter && tuner.capacitor_at_load;
}

void check_arms(const Tuner& tuner) {
  switch (tuner.form) {
    case TunerForm::l:
      require(tuner.capacitor_at_transmitter || tuner.capacitor_at_load,
              "capacitor_at_transmitter and capacitor_at_load are both false and an L needs one of them true");
      require(nothing(tuner.load_capacitors), "load_capacitors must have no values and no stray: an L has one bank");
      return;
    case TunerForm::t:
      require(!nothing(tuner.capacitors), "capacitors has no values and no stray and a T needs one of them");
      require(!nothing(tuner.inductors), "inductors has no values and no stray and a T needs one of them");
      require(!nothing(tuner.load_capacitors), "load_capacitors has no values and no stray and a T needs one of them");
      return;
    case TunerForm::pi: return;
  }
  throw DomainError(fmt::format("form is {} and must be l, t or pi", static_cast<int>(tuner.form)));
}

double total(const std::vector<double>& values, std::uint32_t mask, double stray) {
  double sum = stray;
  for (std::size_t n = 0; n < values.size(); ++n) {
    if ((mask >> n & 1U) != 0) sum += values[n];
  }
  return sum;
}

/// What one relay's part shows when it is in.
Capacitor switched(const CapacitorArm& arm, std::size_t part, double contact_ohm) {
  Loss loss = arm.loss;
  loss.series_ohm += contact_ohm;
  return {arm.values_f[part], loss};
}

Inductor switched(const InductorArm& arm, std::size_t part, double contact_ohm) {
  Loss loss = arm.loss;
  loss.series_ohm += contact_ohm;
  return {arm.values_h[part], loss, 0.0};
}

CapacitorBank bank(const CapacitorArm& arm, std::uint32_t mask, double contact_ohm) {
  CapacitorBank bank;
  for (std::size_t n = 0; n < arm.values_f.size(); ++n) {
    if ((mask >> n & 1U) != 0) bank.parts.push_back(switched(arm, n, contact_ohm));
  }
  if (arm.stray_f > 0.0) bank.parts.push_back({arm.stray_f, {}});
  return bank;
}

/// Empty where it would be a plain wire.
InductorBank bank(const InductorArm& arm, std::uint32_t mask, double contact_ohm) {
  InductorBank bank;
  if (mask == 0 && arm.stray_h == 0.0 && contact_ohm == 0.0) return bank;
  for (std::size_t n = 0; n < arm.values_h.size(); ++n) {
    if ((mask >> n & 1U) != 0) {
      bank.parts.push_back(switched(arm, n, contact_ohm));
    } else {
      Inductor bypassed;
      bypassed.loss.series_ohm = contact_ohm;
      bank.parts.push_back(bypassed);
    }
  }
  if (arm.stray_h > 0.0) bank.parts.push_back({arm.stray_h, {}, 0.0});
  return bank;
}

/// Sums over every subset: entry m is `none` plus the parts whose bits are set in m.
std::vector<cdouble> subset_sums(cdouble none, const std::vector<cdouble>& parts) {
  std::vector<cdouble> sums(std::size_t{1} << parts.size(), none);
  for (std::size_t mask = 1; mask < sums.size(); ++mask) {
    sums[mask] = sums[mask & (mask - 1)] + parts[static_cast<std::size_t>(std::countr_zero(mask))];
  }
  return sums;
}

std::vector<cdouble> tabulate(const CapacitorArm& arm, double contact_ohm, double frequency_hz) {
  std::vector<cdouble> parts(arm.values_f.size());
  for (std::size_t n = 0; n < parts.size(); ++n) {
    parts[n] = 1.0 / impedance(switched(arm, n, contact_ohm), frequency_hz);
  }
  return subset_sums(arm.stray_f > 0.0 ? 1.0 / impedance(Capacitor{arm.stray_f, {}}, frequency_hz) : 0.0, parts);
}

std::vector<cdouble> tabulate(const InductorArm& arm, double contact_ohm, double frequency_hz) {
  std::vector<cdouble> parts(arm.values_h.size());
  for (std::size_t n = 0; n < parts.size(); ++n) parts[n] = impedance(switched(arm, n, 0.0), frequency_hz);
  const cdouble stray = impedance(Inductor{arm.stray_h, {}, 0.0}, frequency_hz);
  return subset_sums(stray + contact_ohm * static_cast<double>(parts.size()), parts);   // a contact in either position
}

void check_mask(std::uint32_t mask, std::size_t parts, std::string_view field) {
  if (mask >> parts != 0) {
    throw DomainError(fmt::format("{} is {} and must be 0 to {}: {} parts", field, mask, (1U << parts) - 1U, parts));
  }
}

}  // namespace

std::uint64_t state_count(const Tuner& tuner) {
  check_not_negative(tuner.contact_ohm, "contact_ohm");
  check(tuner.inductors, "inductors");
  check(tuner.capacitors, "capacitors");
  check(tuner.load_capacitors, "load_capacitors");
  check(tuner.inductor_rating, "inductor_rating");
  check(tuner.capacitor_rating, "capacitor_rating");
  check_arms(tuner);
  const std::size_t parts = tuner.inductors.values_h.size() + tuner.capacitors.values_f.size() +
                            tuner.load_capacitors.values_f.size();
  require(parts > 0, "inductors, capacitors and load_capacitors are all empty and a tuner needs at least one part");
  const std::size_t bits = parts + (two_sided(tuner) ? 1 : 0);
  constexpr std::size_t most_bits = std::bit_width(most_tuner_states) - 1;
  if (bits > most_bits) {
    throw DomainError(fmt::format("the number of states is 2^{} ({} parts) and must be at most 2^{}", bits, parts,
                                  most_bits));
  }
  return std::uint64_t{1} << bits;
}

TunerState tuner_state(const Tuner& tuner, std::uint64_t index) {
  const std::uint64_t states = state_count(tuner);
  if (index >= states) throw DomainError(fmt::format("the state index is {} and must be 0 to {}", index, states - 1));
  TunerState state;
  state.index = index;
  const auto take = [&](std::size_t parts) {
    const auto mask = static_cast<std::uint32_t>(index & ((std::uint64_t{1} << parts) - 1));
    index >>= parts;
    return mask;
  };
  state.inductor_mask = take(tuner.inductors.values_h.size());
  state.capacitor_mask = take(tuner.capacitors.values_f.size());
  state.load_capacitor_mask = take(tuner.load_capacitors.values_f.size());
  if (tuner.form == TunerForm::l && (index == 1 || !tuner.capacitor_at_transmitter)) state.side = CapacitorSide::load;
  state.inductance_h = total(tuner.inductors.values_h, state.inductor_mask, tuner.inductors.stray_h);
  state.capacitance_f = total(tuner.capacitors.values_f, state.capacitor_mask, tuner.capacitors.stray_f);
  state.load_capacitance_f =
      total(tuner.load_capacitors.values_f, state.load_capacitor_mask, tuner.load_capacitors.stray_f);
  return state;
}

std::vector<Element> tuner_elements(const Tuner& tuner, const TunerState& state) {
  state_count(tuner);
  check_mask(state.inductor_mask, tuner.inductors.values_h.size(), "inductor_mask");
  check_mask(state.capacitor_mask, tuner.capacitors.values_f.size(), "capacitor_mask");
  check_mask(state.load_capacitor_mask, tuner.load_capacitors.values_f.size(), "load_capacitor_mask");

  const bool t = tuner.form == TunerForm::t;
  std::vector<Element> elements;
  const auto add = [&](const char* label, Place place, const auto& parts, const Rating& rating) {
    if (!parts.parts.empty()) {
      elements.push_back({label, place, parts, rating});
    } else if (t) {
      throw DomainError(fmt::format("{}: nothing is in; in this T nothing could pass {}", label,
                                    place == Place::series ? "the open series arm" : "the short circuit it makes"));
    }
  };
  const auto inductors = [&] {
    add("inductors", t ? Place::shunt : Place::series, bank(tuner.inductors, state.inductor_mask, tuner.contact_ohm),
        tuner.inductor_rating);
  };
  const auto capacitors = [&](const char* label, const CapacitorArm& arm, std::uint32_t mask) {
    add(label, t ? Place::series : Place::shunt, bank(arm, mask, tuner.contact_ohm), tuner.capacitor_rating);
  };
  if (tuner.form == TunerForm::l) {
    const bool at_load = state.side == CapacitorSide::load;
    require(at_load ? tuner.capacitor_at_load : tuner.capacitor_at_transmitter,
            "side is one to which the capacitors of this L cannot be switched");
    if (at_load) inductors();
    capacitors("capacitors", tuner.capacitors, state.capacitor_mask);
    if (!at_load) inductors();
  } else {
    capacitors("capacitors at the transmitter", tuner.capacitors, state.capacitor_mask);
    inductors();
    capacitors("capacitors at the load", tuner.load_capacitors, state.load_capacitor_mask);
  }
  return elements;
}

TunerTable tabulate(const Tuner& tuner, double frequency_hz) {
  state_count(tuner);
  check(frequency_hz > 0.0 && std::isfinite(frequency_hz), "frequency_hz", frequency_hz, "> 0 and finite");
  return {frequency_hz, tabulate(tuner.inductors, tuner.contact_ohm, frequency_hz),
          tabulate(tuner.capacitors, tuner.contact_ohm, frequency_hz),
          tabulate(tuner.load_capacitors, tuner.contact_ohm, frequency_hz)};
}

}  // namespace stile

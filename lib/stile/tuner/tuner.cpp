#include <stile/tuner/tuner.hpp>

#include <bit>
#include <cmath>
#include <string_view>
#include <type_traits>
#include <utility>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/tuner/detail/arms.hpp>

namespace stile::tuner {
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

void check(const network::Rating& rating, const std::string& name) {
  if (rating.voltage_v_peak > 0.0 && rating.current_a_rms > 0.0 && rating.dissipation_w > 0.0) return;
  check(rating.voltage_v_peak > 0.0, name + ".voltage_v_peak", rating.voltage_v_peak, "> 0");
  check(rating.current_a_rms > 0.0, name + ".current_a_rms", rating.current_a_rms, "> 0");
  check(rating.dissipation_w > 0.0, name + ".dissipation_w", rating.dissipation_w, "> 0");
}

/// What both kinds of arm have for each part.
template <class Arm>
void check_parts(const Arm& arm, std::size_t parts, const std::string& name) {
  constexpr bool of_capacitor = std::is_same_v<Arm, CapacitorArm>;
  network::check_loss(arm.loss, of_capacitor, name + ".loss");
  check_not_negative(arm.open_contact_f, name + ".open_contact_f");
  const auto check_length = [&](std::size_t length, const char* field) {
    if (length == 0 || length == parts) return;
    throw DomainError(
        fmt::format("{}.{} has {} entries and must have {}, one a part, or none", name, field, length, parts));
  };
  check_length(arm.losses.size(), "losses");
  check_length(arm.ratings.size(), "ratings");
  for (std::size_t n = 0; n < arm.losses.size(); ++n)
    network::check_loss(arm.losses[n], of_capacitor, fmt::format("{}.losses[{}]", name, n));
  for (std::size_t n = 0; n < arm.ratings.size(); ++n) check(arm.ratings[n], fmt::format("{}.ratings[{}]", name, n));
}

void check(const CapacitorArm& arm, const std::string& name) {
  check_positive(arm.values_f, name + ".values_f");
  check_not_negative(arm.stray_f, name + ".stray_f");
  check_parts(arm, arm.values_f.size(), name);
}

void check(const InductorArm& arm, const std::string& name) {
  check_positive(arm.values_h, name + ".values_h");
  check_not_negative(arm.stray_h, name + ".stray_h");
  check_parts(arm, arm.values_h.size(), name);
}

bool nothing(const CapacitorArm& arm) { return arm.values_f.empty() && arm.stray_f == 0.0; }
bool nothing(const InductorArm& arm) { return arm.values_h.empty() && arm.stray_h == 0.0; }

bool two_sided(const Tuner& tuner) {
  return tuner.form == TunerForm::l && tuner.capacitor_at_transmitter && tuner.capacitor_at_load;
}

void check_arms(const Tuner& tuner) {
  const auto needs = [](bool has_none, const char* arm, const char* form) {
    if (has_none) throw DomainError(fmt::format("{} has no values and no stray and {} needs one of them", arm, form));
  };
  if (tuner.form != TunerForm::lcl) {
    require(nothing(tuner.load_inductors), "load_inductors must have no values and no stray: only an lcl has them");
  }
  switch (tuner.form) {
  case TunerForm::l:
    require(tuner.capacitor_at_transmitter || tuner.capacitor_at_load,
            "capacitor_at_transmitter and capacitor_at_load are both false and an L needs one of them true");
    require(nothing(tuner.load_capacitors), "load_capacitors must have no values and no stray: an L has one bank");
    return;
  case TunerForm::t:
    needs(nothing(tuner.capacitors), "capacitors", "a T");
    needs(nothing(tuner.inductors), "inductors", "a T");
    needs(nothing(tuner.load_capacitors), "load_capacitors", "a T");
    check(tuner.inductors.open_contact_f == 0.0, "inductors.open_contact_f", tuner.inductors.open_contact_f,
          "0 in a T: inductors across the line have no ladder element for it");
    return;
  case TunerForm::pi_network:
    return;
  case TunerForm::lcl:
    require(nothing(tuner.load_capacitors), "load_capacitors must have no values and no stray: an lcl has one bank");
    return;
  }
  throw DomainError(fmt::format("form is {} and must be l, t, pi or lcl", static_cast<int>(tuner.form)));
}

double total(const std::vector<double>& values, std::uint32_t mask, double stray) {
  double sum = stray;
  for (std::size_t n = 0; n < values.size(); ++n) {
    if ((mask >> n & 1U) != 0) sum += values[n];
  }
  return sum;
}

template <class Arm>
network::Loss part_loss(const Arm& arm, std::size_t part, double contact_ohm) {
  network::Loss loss = arm.losses.empty() ? arm.loss : arm.losses[part];
  loss.series_ohm += contact_ohm;
  return loss;
}

/// What one relay's part shows when it is in.
network::Capacitor switched(const CapacitorArm& arm, std::size_t part, double contact_ohm) {
  return {arm.values_f[part], part_loss(arm, part, contact_ohm)};
}

/// And when it is out: the open contact in series with it.
network::Capacitor open(const CapacitorArm& arm, std::size_t part) {
  return {arm.values_f[part] * arm.open_contact_f / (arm.values_f[part] + arm.open_contact_f), {}};
}

network::Inductor switched(const InductorArm& arm, std::size_t part, double contact_ohm) {
  return {arm.values_h[part], part_loss(arm, part, contact_ohm), 0.0};
}

network::Inductor contact(double contact_ohm) {
  network::Inductor wire;
  wire.loss.series_ohm = contact_ohm;
  return wire;
}

network::CapacitorBank bank(const CapacitorArm& arm, std::uint32_t mask, double contact_ohm) {
  network::CapacitorBank bank;
  for (std::size_t n = 0; n < arm.values_f.size(); ++n) {
    if ((mask >> n & 1U) != 0) {
      bank.parts.push_back(switched(arm, n, contact_ohm));
    } else if (arm.open_contact_f > 0.0) {
      bank.parts.push_back(open(arm, n));
    }
  }
  if (arm.stray_f > 0.0) bank.parts.push_back({arm.stray_f, {}});
  return bank;
}

/// Empty where it would be a plain wire.
network::InductorBank bank(const InductorArm& arm, std::uint32_t mask, double contact_ohm) {
  network::InductorBank bank;
  if (mask == 0 && arm.stray_h == 0.0 && contact_ohm == 0.0) return bank;
  for (std::size_t n = 0; n < arm.values_h.size(); ++n) {
    bank.parts.push_back((mask >> n & 1U) != 0 ? switched(arm, n, contact_ohm) : contact(contact_ohm));
  }
  if (arm.stray_h > 0.0) bank.parts.push_back({arm.stray_h, {}, 0.0});
  return bank;
}

/// An arm with open contacts: the parts that are in, each with its contact's capacitance, and the rest as one.
std::vector<network::Element> separate(const InductorArm& arm, std::uint32_t mask, double contact_ohm,
                                       const std::string& label) {
  std::vector<network::Element> elements;
  network::InductorBank rest = bank(arm, 0, contact_ohm);
  if (!rest.parts.empty()) elements.push_back({label, network::Place::series, rest, {}});
  for (std::size_t n = 0; n < arm.values_h.size(); ++n) {
    if ((mask >> n & 1U) == 0) continue;
    network::Inductor part = switched(arm, n, 0.0);
    part.self_capacitance_f = arm.open_contact_f;
    elements.push_back({fmt::format("{} {}", label, n + 1), network::Place::series, part,
                        arm.ratings.empty() ? network::Rating{} : arm.ratings[n]});
  }
  return elements;
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
  cdouble none = arm.stray_f > 0.0 ? 1.0 / network::impedance(network::Capacitor{arm.stray_f, {}}, frequency_hz) : 0.0;
  for (std::size_t n = 0; n < parts.size(); ++n) {
    parts[n] = 1.0 / network::impedance(switched(arm, n, contact_ohm), frequency_hz);
    if (arm.open_contact_f == 0.0) continue;
    const cdouble out = 1.0 / network::impedance(open(arm, n), frequency_hz);
    parts[n] -= out;
    none += out;
  }
  return subset_sums(none, parts);
}

std::vector<cdouble> tabulate(const InductorArm& arm, double contact_ohm, double frequency_hz) {
  std::vector<cdouble> parts(arm.values_h.size());
  for (std::size_t n = 0; n < parts.size(); ++n) {
    network::Inductor part = switched(arm, n, 0.0);
    part.self_capacitance_f = arm.open_contact_f;
    parts[n] = network::impedance(part, frequency_hz);
  }
  const cdouble stray = network::impedance(network::Inductor{arm.stray_h, {}, 0.0}, frequency_hz);
  return subset_sums(stray + contact_ohm * static_cast<double>(parts.size()), parts);  // a contact in either position
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
  check(tuner.load_inductors, "load_inductors");
  check(tuner.inductor_rating, "inductor_rating");
  check(tuner.capacitor_rating, "capacitor_rating");
  check_arms(tuner);
  const std::size_t parts = tuner.inductors.values_h.size() + tuner.capacitors.values_f.size() +
                            tuner.load_capacitors.values_f.size() + tuner.load_inductors.values_h.size();
  require(
      parts > 0,
      "inductors, capacitors, load_capacitors and load_inductors are all empty and a tuner needs at least one part");
  const std::size_t bits = parts + (two_sided(tuner) ? 1 : 0);
  constexpr std::size_t most_bits = std::bit_width(most_tuner_states) - 1;
  if (bits > most_bits) {
    throw DomainError(
        fmt::format("the number of states is 2^{} ({} parts) and must be at most 2^{}", bits, parts, most_bits));
  }
  return std::uint64_t{1} << bits;
}

TunerState tuner_state(const Tuner& tuner, std::uint64_t index) {
  const std::uint64_t states = state_count(tuner);
  if (index >= states) throw DomainError(fmt::format("the state index is {} and must be 0 to {}", index, states - 1));
  return detail::decode_state(tuner, index);
}

TunerState detail::decode_masks(const Tuner& tuner, std::uint64_t index) {
  TunerState state;
  state.index = index;
  const auto take = [&](std::size_t parts) {
    const auto mask = static_cast<std::uint32_t>(index & ((std::uint64_t{1} << parts) - 1));
    index >>= parts;
    return mask;
  };
  if (tuner.form == TunerForm::lcl) {
    state.capacitor_mask = take(tuner.capacitors.values_f.size());
    state.inductor_mask = take(tuner.inductors.values_h.size());
    state.load_inductor_mask = take(tuner.load_inductors.values_h.size());
  } else {
    state.inductor_mask = take(tuner.inductors.values_h.size());
    state.capacitor_mask = take(tuner.capacitors.values_f.size());
  }
  state.load_capacitor_mask = take(tuner.load_capacitors.values_f.size());
  if (tuner.form == TunerForm::l && (index == 1 || !tuner.capacitor_at_transmitter)) state.side = CapacitorSide::load;
  return state;
}

TunerState detail::decode_state(const Tuner& tuner, std::uint64_t index) {
  TunerState state = decode_masks(tuner, index);
  state.inductance_h = total(tuner.inductors.values_h, state.inductor_mask, tuner.inductors.stray_h);
  state.capacitance_f = total(tuner.capacitors.values_f, state.capacitor_mask, tuner.capacitors.stray_f);
  state.load_capacitance_f =
      total(tuner.load_capacitors.values_f, state.load_capacitor_mask, tuner.load_capacitors.stray_f);
  state.load_inductance_h =
      total(tuner.load_inductors.values_h, state.load_inductor_mask, tuner.load_inductors.stray_h);
  return state;
}

std::vector<network::Element> tuner_elements(const Tuner& tuner, const TunerState& state) {
  state_count(tuner);
  check_mask(state.inductor_mask, tuner.inductors.values_h.size(), "inductor_mask");
  check_mask(state.capacitor_mask, tuner.capacitors.values_f.size(), "capacitor_mask");
  check_mask(state.load_capacitor_mask, tuner.load_capacitors.values_f.size(), "load_capacitor_mask");
  check_mask(state.load_inductor_mask, tuner.load_inductors.values_h.size(), "load_inductor_mask");

  const bool t = tuner.form == TunerForm::t;
  std::vector<network::Element> elements;
  const auto add = [&](const char* label, network::Place place, const auto& parts, const network::Rating& rating) {
    if (!parts.parts.empty()) {
      elements.push_back({label, place, parts, rating});
    } else if (t) {
      throw DomainError(
          fmt::format("{}: nothing is in; in this T nothing could pass {}", label,
                      place == network::Place::series ? "the open series arm" : "the short circuit it makes"));
    }
  };
  const auto inductors = [&](const char* label, const InductorArm& arm, std::uint32_t mask) {
    if (arm.open_contact_f > 0.0) {
      for (network::Element& element : separate(arm, mask, tuner.contact_ohm, label))
        elements.push_back(std::move(element));
    } else {
      add(label, t ? network::Place::shunt : network::Place::series, bank(arm, mask, tuner.contact_ohm),
          tuner.inductor_rating);
    }
  };
  const auto capacitors = [&](const char* label, const CapacitorArm& arm, std::uint32_t mask) {
    add(label, t ? network::Place::series : network::Place::shunt, bank(arm, mask, tuner.contact_ohm),
        tuner.capacitor_rating);
  };
  if (tuner.form == TunerForm::l) {
    const bool at_load = state.side == CapacitorSide::load;
    require(at_load ? tuner.capacitor_at_load : tuner.capacitor_at_transmitter,
            "side is one to which the capacitors of this L cannot be switched");
    if (at_load) inductors("inductors", tuner.inductors, state.inductor_mask);
    capacitors("capacitors", tuner.capacitors, state.capacitor_mask);
    if (!at_load) inductors("inductors", tuner.inductors, state.inductor_mask);
  } else if (tuner.form == TunerForm::lcl) {
    inductors("inductors at the transmitter", tuner.inductors, state.inductor_mask);
    capacitors("capacitors", tuner.capacitors, state.capacitor_mask);
    inductors("inductors at the load", tuner.load_inductors, state.load_inductor_mask);
  } else {
    capacitors("capacitors at the transmitter", tuner.capacitors, state.capacitor_mask);
    inductors("inductors", tuner.inductors, state.inductor_mask);
    capacitors("capacitors at the load", tuner.load_capacitors, state.load_capacitor_mask);
  }
  return elements;
}

double transducer_db(double swr, double dissipation_db) {
  check(swr >= 1.0, "swr", swr, ">= 1");
  if (std::isinf(swr)) return network::infinite;
  return dissipation_db + 10.0 * std::log10((swr + 1.0) * (swr + 1.0) / (4.0 * swr));
}

TunerTable tabulate(const Tuner& tuner, double frequency_hz) {
  state_count(tuner);
  check(frequency_hz > 0.0 && std::isfinite(frequency_hz), "frequency_hz", frequency_hz, "> 0 and finite");
  return {frequency_hz, tabulate(tuner.inductors, tuner.contact_ohm, frequency_hz),
          tabulate(tuner.capacitors, tuner.contact_ohm, frequency_hz),
          tabulate(tuner.load_capacitors, tuner.contact_ohm, frequency_hz),
          tabulate(tuner.load_inductors, tuner.contact_ohm, frequency_hz)};
}

}  // namespace stile::tuner

#include <stile/tuner/stress.hpp>

#include <cmath>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/tuner/detail/stress_model.hpp>
#include <stile/tuner/detail/tree_data.hpp>

namespace stile::tuner {
namespace detail {
namespace {

const double root_two = std::sqrt(2.0);

template <class Arm>
network::Loss loss_of(const Arm& arm, std::size_t part) {
  return arm.losses.empty() ? arm.loss : arm.losses[part];
}

/// Peak voltage, current and dissipation in rms over what a rating allows.
StressShares shares_of(double voltage, double current, double dissipation, const network::Rating& rating) {
  return {root_two * voltage / rating.voltage_v_peak, current / rating.current_a_rms,
          dissipation / rating.dissipation_w};
}

/// @param z         of the part and, in parallel with a coil, of its open contact
/// @param winding   current in the part over that through z
/// @param r_ohm     series resistance of the part
/// @param with_contact  z with the contact in series
PartStress part_stress(cdouble z, double winding, double r_ohm, cdouble with_contact, const network::Rating& rating) {
  return {shares_of(std::abs(z), winding, winding * winding * r_ohm, rating), 1.0 / std::abs(with_contact), rating};
}

ArmStress arm_stress(const InductorArm& arm, const network::Rating& rating, double frequency_hz) {
  ArmStress result{true, shares_of(1.0, 1.0, 1.0, rating), rating, {}};
  if (arm.ratings.empty()) return result;
  for (std::size_t n = 0; n < arm.values_h.size(); ++n) {
    network::Inductor coil{arm.values_h[n], loss_of(arm, n), 0.0};
    const cdouble alone = network::impedance(coil, frequency_hz);
    coil.self_capacitance_f = arm.open_contact_f;
    const cdouble z = network::impedance(coil, frequency_hz);
    result.parts.push_back(part_stress(z, std::abs(z) / std::abs(alone), alone.real(), z, arm.ratings[n]));
  }
  return result;
}

ArmStress arm_stress(const CapacitorArm& arm, const network::Rating& rating, double contact_ohm, double frequency_hz) {
  ArmStress result{false, shares_of(1.0, 1.0, 1.0, rating), rating, {}};
  if (arm.ratings.empty()) return result;
  for (std::size_t n = 0; n < arm.values_f.size(); ++n) {
    const cdouble z = network::impedance(network::Capacitor{arm.values_f[n], loss_of(arm, n)}, frequency_hz);
    result.parts.push_back(part_stress(z, 1.0, z.real(), z + contact_ohm, arm.ratings[n]));
  }
  return result;
}

/// Keeps the greatest.
void consider(WorstStress& worst, const StressShares& shares, const network::Rating& rating, TunerArm arm,
              std::optional<std::size_t> part) {
  const auto one = [&](double share, double limit, StressKind kind) {
    if (share > worst.factor) worst = {share, arm, part, kind, share * limit, limit};
  };
  one(shares.voltage, rating.voltage_v_peak, StressKind::voltage);
  one(shares.current, rating.current_a_rms, StressKind::current);
  one(shares.dissipation, rating.dissipation_w, StressKind::dissipation);
}

/// @param voltage, current  rms, of the arm
/// @param power             of the whole arm, W
void consider_arm(WorstStress& worst, const ArmStress& arm, TunerArm which, std::uint32_t mask, double voltage,
                  double current, double power) {
  const auto times = [](const StressShares& s, double v, double i, double w) {
    return StressShares{s.voltage * v, s.current * i, s.dissipation * w};
  };
  consider(worst, times(arm.shares, voltage, current, power), arm.rating, which, std::nullopt);
  for (std::size_t n = 0; n < arm.parts.size(); ++n) {
    if ((mask >> n & 1U) == 0) continue;
    const PartStress& part = arm.parts[n];
    const double through = arm.inductors ? current : voltage * part.admittance_s;
    consider(worst, times(part.shares, through, through, through * through), part.rating, which, n);
  }
}

}  // namespace

StressModel stress_model(const Tuner& tuner, const TunerTable& table, cdouble z_source) {
  StressModel model;
  model.tuner = &tuner;
  model.arms.push_back(arms_of(tuner, table, CapacitorSide::transmitter, z_source));
  if (tuner.form == TunerForm::l) model.arms.push_back(arms_of(tuner, table, CapacitorSide::load, z_source));
  const double f = table.frequency_hz;
  const auto at = [](TunerArm arm) { return static_cast<std::size_t>(arm); };
  model.of[at(TunerArm::inductors)] = arm_stress(tuner.inductors, tuner.inductor_rating, f);
  model.of[at(TunerArm::load_inductors)] = arm_stress(tuner.load_inductors, tuner.inductor_rating, f);
  model.of[at(TunerArm::capacitors)] = arm_stress(tuner.capacitors, tuner.capacitor_rating, tuner.contact_ohm, f);
  model.of[at(TunerArm::load_capacitors)] =
      arm_stress(tuner.load_capacitors, tuner.capacitor_rating, tuner.contact_ohm, f);
  return model;
}

StressedState stress_of(const StressModel& model, const TunerState& state, const network::Source& source,
                        cdouble z_load) {
  const bool at_load = state.side == CapacitorSide::load;
  const Arms& arms = model.arms[at_load ? 1 : 0];
  const ArmIndex at = arm_index(*model.tuner, state);
  const Plain far = plain(arms.far[at.far]), near = plain(arms.near[at.near]),
              middle{arms.middle_re[at.middle], arms.middle_im[at.middle]};
  const Entry in = enter(load_end(z_load, arms.dual), far);
  StressedState result;
  result.ends = leave(in, middle, near, plain(arms.source));
  // In an L and a pi e is V + Zs I; in the others that over Zs.
  const double e = std::sqrt(result.ends.e2) * (arms.dual ? std::abs(source.z_ohm) : 1.0);
  const double scale = std::sqrt(4.0 * source.z_ohm.real() * source.power_w) / e;
  const auto look = [&](TunerArm which, std::uint32_t mask, Plain immittance, double carries, bool end) {
    if (immittance.re == 0.0 && immittance.im == 0.0)
      return;  // a wire in series or nothing across: no element of the ladder
    // An end arm of an L or a pi sees the voltage, its middle the current; in a T and an lcl the other way round.
    const double one = carries * scale, other = std::sqrt(norm(immittance)) * one;
    const bool sees_voltage = end != arms.dual;
    consider_arm(result.worst, model.of[static_cast<std::size_t>(which)], which, mask, sees_voltage ? one : other,
                 sees_voltage ? other : one, immittance.re * one * one);
  };
  const double at_far = std::sqrt(norm(in.at.a)), at_middle = std::sqrt(norm(in.at.b)),
               at_near = std::sqrt(norm(pass_middle(in.at, middle).a));
  switch (model.tuner->form) {
  case TunerForm::l:
    if (at_load)
      look(TunerArm::capacitors, state.capacitor_mask, far, at_far, true);
    else
      look(TunerArm::capacitors, state.capacitor_mask, near, at_near, true);
    look(TunerArm::inductors, state.inductor_mask, middle, at_middle, false);
    break;
  case TunerForm::t:
  case TunerForm::pi_network:
    look(TunerArm::capacitors, state.capacitor_mask, near, at_near, true);
    look(TunerArm::inductors, state.inductor_mask, middle, at_middle, false);
    look(TunerArm::load_capacitors, state.load_capacitor_mask, far, at_far, true);
    break;
  case TunerForm::lcl:
    look(TunerArm::inductors, state.inductor_mask, near, at_near, true);
    look(TunerArm::capacitors, state.capacitor_mask, middle, at_middle, false);
    look(TunerArm::load_inductors, state.load_inductor_mask, far, at_far, true);
    break;
  }
  return result;
}

}  // namespace detail

WorstStress worst_stress(const Tuner& tuner, const TunerTable& table, const TunerState& state,
                         const network::Source& source, cdouble z_load_ohm) {
  detail::check_search(tuner, table, source.z_ohm);
  detail::check_load(z_load_ohm);
  require(source.power_w > 0.0 && std::isfinite(source.power_w), "the source's power must be > 0 and finite");
  tuner_elements(tuner, state);  // refuses a state of another tuner, and one through which nothing passes
  return detail::stress_of(detail::stress_model(tuner, table, source.z_ohm), state, source, z_load_ohm).worst;
}

std::string arm_name(const Tuner& tuner, TunerArm arm) {
  const bool capacitors_twice = tuner.form == TunerForm::t || tuner.form == TunerForm::pi_network;
  switch (arm) {
  case TunerArm::inductors:
    return tuner.form == TunerForm::lcl ? "inductors at the transmitter" : "inductors";
  case TunerArm::capacitors:
    return capacitors_twice ? "capacitors at the transmitter" : "capacitors";
  case TunerArm::load_capacitors:
    return "capacitors at the load";
  case TunerArm::load_inductors:
    break;
  }
  return "inductors at the load";
}

std::string stress_text(const Tuner& tuner, const WorstStress& stress) {
  if (stress.factor == 0.0) return "no rating stated";
  const std::string part = stress.part ? fmt::format(", part {}", *stress.part + 1) : std::string{};
  const Unit unit = stress.kind == StressKind::voltage   ? Unit::volt
                    : stress.kind == StressKind::current ? Unit::ampere
                                                         : Unit::watt;
  const char* kind = stress.kind == StressKind::voltage   ? " peak"
                     : stress.kind == StressKind::current ? " rms"
                                                          : " dissipated";
  return fmt::format("{}{}: {}{}, rated {}", arm_name(tuner, stress.arm), part, print_quantity(stress.value, unit),
                     kind, print_quantity(stress.rating, unit));
}

StressChoice choose_least_stress(const TunerTree& tree, cdouble z_load_ohm, double swr_limit, double power_w) {
  detail::check_load(z_load_ohm);
  detail::check_swr_limit(swr_limit);
  require(power_w > 0.0 && std::isfinite(power_w), "the source's power must be > 0 and finite");
  const detail::TreeData& data = detail::data_of(tree);
  const detail::StressModel model = detail::stress_model(data.tuner, data.table, data.z_source);
  const network::Source source{data.z_source, power_w};
  StressChoice choice;
  choice.setting.status = TunerStatus::out_of_reach;
  double least_power = network::infinite;
  for (const std::uint64_t index : detail::states_within(data, z_load_ohm, swr_limit)) {
    const TunerState state = detail::decode_masks(data.tuner, index);
    const detail::StressedState stressed = detail::stress_of(model, state, source, z_load_ohm);
    if (choice.setting.status == TunerStatus::found) {
      if (stressed.worst.factor > choice.stress.factor) continue;
      if (stressed.worst.factor == choice.stress.factor && !(stressed.ends.power < least_power)) continue;
    }
    least_power = stressed.ends.power;
    choice.stress = stressed.worst;
    choice.setting = {TunerStatus::found, detail::decode_state(data.tuner, index),
                      detail::swr_of(stressed.ends, model.arms[0].source.real()),
                      detail::dissipation_db_of(stressed.ends, z_load_ohm.real())};
  }
  return choice;
}

}  // namespace stile::tuner

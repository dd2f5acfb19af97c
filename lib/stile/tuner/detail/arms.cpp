#include <stile/tuner/detail/arms.hpp>

#include <limits>
#include <utility>

#include <fmt/core.h>

#include <stile/base/errors.hpp>

namespace stile::tuner::detail {
namespace {

constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();

/// Impedances from admittances and the other way round.
std::vector<cdouble> inverted(std::vector<cdouble> values) {
  for (cdouble& value : values) value = value == 0.0 ? cdouble{not_a_number, not_a_number} : 1.0 / value;
  return values;
}

void check_length(const std::vector<cdouble>& table, std::size_t parts, const char* field) {
  if (table.size() == std::size_t{1} << parts) return;
  throw DomainError(fmt::format("table.{} has {} entries and must have {}: it belongs to another tuner", field,
                                table.size(), std::size_t{1} << parts));
}

void check(bool legal, const char* field, cdouble z, const char* range) {
  if (legal) return;
  throw DomainError(
      fmt::format("{} is {}{:+}j and must be finite with real part {}", field, z.real(), z.imag(), range));
}

}  // namespace

Arms arms_of(const Tuner& tuner, const TunerTable& table, CapacitorSide side, cdouble z_source) {
  Arms arms;
  std::vector<cdouble> middle;
  switch (tuner.form) {
  case TunerForm::l:
  case TunerForm::pi_network:
    middle = table.inductor_z_ohm;
    arms.near = table.capacitor_y_siemens;
    arms.far = table.load_capacitor_y_siemens;  // of an L: one, nothing
    if (tuner.form == TunerForm::l && side == CapacitorSide::load) std::swap(arms.near, arms.far);
    break;
  case TunerForm::t:
    middle = inverted(table.inductor_z_ohm);
    arms.near = inverted(table.capacitor_y_siemens);
    arms.far = inverted(table.load_capacitor_y_siemens);
    break;
  case TunerForm::lcl:
    middle = table.capacitor_y_siemens;
    arms.near = table.inductor_z_ohm;
    arms.far = table.load_inductor_z_ohm;
    break;
  }
  arms.dual = tuner.form == TunerForm::t || tuner.form == TunerForm::lcl;
  arms.source = arms.dual ? 1.0 / z_source : z_source;
  for (const cdouble value : middle) {
    arms.middle_re.push_back(value.real());
    arms.middle_im.push_back(value.imag());
  }
  return arms;
}

ArmIndex arm_index(const Tuner& tuner, const TunerState& state) {
  switch (tuner.form) {
  case TunerForm::lcl:
    return {state.capacitor_mask, state.inductor_mask, state.load_inductor_mask};
  case TunerForm::l:
    if (state.side == CapacitorSide::load) return {state.inductor_mask, 0, state.capacitor_mask};
    break;
  case TunerForm::t:
  case TunerForm::pi_network:
    break;
  }
  return {state.inductor_mask, state.capacitor_mask, state.load_capacitor_mask};
}

double reflection2_limit(double swr_limit) {
  if (std::isinf(swr_limit)) return network::infinite;
  const double limit = (swr_limit - 1.0) / (swr_limit + 1.0);
  return limit * limit;
}

void check_search(const Tuner& tuner, const TunerTable& table, cdouble z_source) {
  state_count(tuner);
  check_length(table.inductor_z_ohm, tuner.inductors.values_h.size(), "inductor_z_ohm");
  check_length(table.capacitor_y_siemens, tuner.capacitors.values_f.size(), "capacitor_y_siemens");
  check_length(table.load_capacitor_y_siemens, tuner.load_capacitors.values_f.size(), "load_capacitor_y_siemens");
  check_length(table.load_inductor_z_ohm, tuner.load_inductors.values_h.size(), "load_inductor_z_ohm");
  check(network::finite(z_source) && z_source.real() > 0.0, "z_source_ohm", z_source, "> 0");
}

void check_load(cdouble z_load) {
  check(network::finite(z_load) && z_load.real() >= 0.0, "z_load_ohm", z_load, ">= 0");
}

void check_swr_limit(double swr_limit) {
  if (!(swr_limit >= 1.0)) throw DomainError(fmt::format("swr_limit is {} and must be >= 1", swr_limit));
}

}  // namespace stile::tuner::detail

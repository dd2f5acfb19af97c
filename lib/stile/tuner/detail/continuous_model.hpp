#pragma once
// The condition of match of a continuous tuner, linear in the value of each of its parts. Internal to the room.

#include <array>
#include <string_view>
#include <utility>
#include <vector>

#include <stile/tuner/continuous.hpp>
#include <stile/tuner/detail/arms.hpp>

namespace stile::tuner::detail {

/// An arm's immittance as the walk of arms.hpp takes it: (n0 + n1 t)/(d0 + d1 t) with the part's value t, H or F.
struct Ratio {
  cdouble n0{}, n1{}, d0{1.0}, d1{};
};

/// One arm: its immittance, and the values it can take.
struct FreeArm {
  Ratio ratio;
  double low = 0.0, high = 0.0;
  std::string_view name;  ///< a literal: "inductor", "capacitor at the load" ...; empty: the open end of an L
};

using Values = std::array<double, 3>;  // near (transmitter), middle, far (load)

/// A tuner of one side and one tap of each tapped inductor.
struct ContinuousModel {
  TunerForm form = TunerForm::l;
  CapacitorSide side = CapacitorSide::transmitter;
  bool dual = false;
  cdouble source;  ///< as Arms::source
  std::array<FreeArm, 3> arms;
  bool differential = false;
  double shared_f = 0.0;  ///< differential: near + far
};

std::vector<ContinuousModel> models(const ContinuousTuner& tuner, double frequency_hz, cdouble z_source_ohm);

ContinuousSetting setting_of(const ContinuousModel& model, const Values& values);

/// What is zero at a match, for a load that has voltage and current `load` = (V, I).
cdouble residual(const ContinuousModel& model, const Values& values, const std::pair<cdouble, cdouble>& load);

/// What a load at 1 A makes of the values. nan where an arm is an open circuit in series or a short across.
Ends ends_of(const ContinuousModel& model, const Values& values, cdouble z_load);

/// All values of arms x and y, within their limits, that match the load with the third arm as in `values`.
std::vector<Values> solve_two(const ContinuousModel& model, std::size_t x, std::size_t y, Values values,
                              cdouble z_load);

/// Every match found for a load: of two free parts all, of three those with a part at a limit and those on a grid of
/// the load-side part. Any finite z_load.
std::vector<Values> all_matches(const ContinuousModel& model, cdouble z_load);

/// The least lossy match of all models. @param z_load  real part > 0
ContinuousMatch best_match(const std::vector<ContinuousModel>& models, cdouble z_load);

}  // namespace stile::tuner::detail

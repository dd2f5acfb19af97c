#pragma once
// An antenna of wires made to answer to sweeps: soil under each condition, stray capacitance at the base.

#include <functional>
#include <string>
#include <vector>

#include <stile/base/range.hpp>
#include <stile/sweep/fit.hpp>
#include <stile/sweep/learn.hpp>
#include <stile/wire/solve.hpp>
#include <stile/wire/wire_case.hpp>

namespace stile::sweep {

/// A sweep of one condition, all bands in one.
struct MeasuredCondition {
  std::string condition;  ///< name of the case it was taken in
  OnePort measured;
};

struct CalibrateOptions {
  wire::SolveOptions solve;
  /// Frequencies of a condition at which it is compared, 4..200, evenly chosen among those measured: solved, or where
  /// more than eight lie in one range interpolated between a few that are (solve.every_point: each is solved).
  std::size_t points = 12;
  std::vector<Range> held_back;  ///< Hz; bands left out, and foretold
  bool stray = true;             ///< the base capacitance is sought; otherwise it stays as drawn
  /// Makes the cases with the counterpoise as long as a factor says, 1 as drawn: then the factor is sought as well,
  /// 0.3..3, the same in all conditions (an effective length: ends in the grass, joints, a wire that is not straight).
  /// Empty: not sought.
  std::function<std::vector<wire::WireCase>(double factor)> stretched;
  unsigned threads = 0;  ///< 0: as many as the machine has
};

struct CalibratedCondition {
  std::string condition;
  Uncertain relative_permittivity;  ///< half-width of the 95 % interval
  Uncertain conductivity_s_m;
  double misfit_drawn = 0.0;  ///< rms distance of the reflection, as drawn
  double misfit = 0.0;        ///< the same, calibrated
  double misfit_rms_ohm = 0.0;
  double held_back_drawn = 0.0;  ///< the same of the bands held back; 0 without
  double held_back = 0.0;
};

struct Calibration {
  FitStatus status = FitStatus::not_run;
  std::string why;  ///< when not fitted: which values the data do not tell apart, or leave open
  std::vector<CalibratedCondition> conditions;
  Uncertain base_capacitance_f;  ///< in all conditions
  Uncertain counterpoise_factor{1.0, 0.0};
  std::vector<std::string> names;  ///< of what was sought, in the order of `correlation`
  std::vector<std::vector<double>> correlation;
  std::vector<wire::WireCase> cases;  ///< as given, the measured ones with their soil, all with the stray capacitance
  std::vector<std::string> notes;
};

/// Seeks soil (two numbers a condition) and stray capacitance (one) so that the solved antenna shows the measured
/// reflection: least squares over all conditions and bands at once, each point by its uncertainty - or all alike, if
/// one point's is not known. A stray capacitance that would be below 0 is 0, and the rest is sought again.
///
/// Uncertainties as of fit(): from the scatter, from the errors that all points share, and where the misfit is more
/// than three times the stated uncertainty of the sweeps, or neighbours resemble each other, from leaving out one band
/// of a condition after the other (frequencies more than a tenth apart are two bands; three bands at least). Status
/// does_not_describe: such a misfit leaves more than a tenth of the variance. The search starts from the three best of
/// 16 soils (relative permittivity 4 to 32, 0.5 to 15 mS/m), because there is more than one valley; another that is
/// nearly as deep is named in `notes`. Status not_carried: a half-width exceeds half its value (the stray's: 5 pF), or
/// two are correlated beyond 0.995 and one of them is open by more than a tenth (the stray: 1 pF); `why` names them.
/// The values stand there all the same, as one of those that fit.
/// @param cases     with lossy grounds where they are measured
/// @param measured  each of another case
/// @param progress  called after each set of solutions, with how many solutions were made; may be empty
/// @throws DomainError  a condition that is no case or not over lossy ground, no points outside the held-back bands, as
///                      wire::sweep_antenna
/// Accuracy: of 400 noisy synthetic sweeps 95 +- 3 % hold soil and stray within the uncertainty (test_calibrate.cpp).
/// Model error: everything the model does not have - layers, grass, sag - goes into the values; they are the soil that
/// the model needs, not what a laboratory would measure.
Calibration calibrate(const std::vector<wire::WireCase>& cases, const std::vector<MeasuredCondition>& measured,
                      const CalibrateOptions& options = {}, const std::function<void(std::size_t)>& progress = {});

}  // namespace stile::sweep

#pragma once
// Equivalent circuits fitted to a measured one-port: each parameter with its uncertainty, or a refusal.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <stile/sweep/judge.hpp>

namespace stile::sweep {

/// f0 is `Fit::reference_hz`, the geometric mean of the data's ends.
enum class Model {
  series_rlc,    ///< R + jwL + 1/(jwC): resistance_ohm, inductance_h, capacitance_f
  parallel_rlc,  ///< the same three across each other
  coil,     ///< wL (1/Q + j) across a self-capacitance, Q = q (f/f0)^n: inductance_h, q, self_capacitance_f, q_exponent
  antenna,  ///< radiation (f/f0)^2 + ground + jwL + 1/(jwC): radiation_ohm, ground_ohm, inductance_h, capacitance_f
  quarter_wave,  ///< radiation (f/fr)^2 + ground - j surge cot(pi f/(2 fr)): resonance_hz, surge_ohm, radiation_ohm,
                 ///< ground_ohm
};

/// "series-rlc", "parallel-rlc", "coil", "antenna", "quarter-wave".
std::string_view model_name(Model model);
std::optional<Model> model_of_name(std::string_view name);

enum class FitStatus {
  not_run,
  fitted,
  too_few_points,  ///< fewer values than twice the parameters
  not_converged,
  not_carried,        ///< a parameter is left open by the data; `why` names it
  does_not_describe,  ///< more than a tenth is left over, and not as noise: of the variance, or of R or |Z| in a part
                      ///< of the band
};

struct FitParameter {
  std::string name;          ///< with its unit
  double value = 0.0;        ///< SI
  double uncertainty = 0.0;  ///< half-width of the 95 % interval, >= 0
};

struct Fit {
  Model model{};
  FitStatus status = FitStatus::not_run;
  std::string why;  ///< when not fitted
  std::vector<FitParameter> parameters;
  std::vector<std::vector<double>> correlation;  ///< of the parameters, -1..1
  double reference_hz = 0.0;
  double residual_rms_ohm = 0.0;         ///< rms of |Z_model - Z|
  double residual_rms_reflection = 0.0;  ///< the same of S11, each point by its weight
  double residual_correlation = 0.0;     ///< of neighbouring residuals: near 0 noise, near 1 the model misses something
  double lack_of_fit = 0.0;     ///< where the model is furthest off beyond noise: by this share of R, or of |Z| for X
  double lack_of_fit_hz = 0.0;  ///< there; 0: nowhere
  std::vector<double> frequency_hz;
  std::vector<cdouble> model_ohm;  ///< at the data's frequencies
  std::vector<Finding> caveats;    ///< the sweep's, and the fit's own notes in `notes`
  std::vector<std::string> notes;
};

/// Least squares on the reflection, each point by the uncertainty it has grown to; what |S11| > 1 by noise is used as
/// it is, so give the sweep with AboveOne::keep (cutting one side of the noise would raise R).
///
/// The uncertainties are from the scatter of the residuals, by Student's t. Where neighbouring residuals resemble each
/// other by more than chance gives, they are those of leaving out one eighth of the band after the other
/// (detail::scatter), said in `notes`; what errors that all points share explain of the residuals is no such
/// resemblance. Errors that are the same at all points, OnePort::common_ohm - of the instrument, of an adapter, of an
/// estimated cable - are added in squares.
///
/// Lack of fit: in each eighth of the band (where there are fewer than 32 points, in as many parts as a quarter of
/// them; with fewer than 12 not looked for) the mean of measured less model is compared with the noise of that mean and
/// the systematic error. Where it is more than five of them and more than a tenth of R, or of |Z| for X, the model is
/// refused: does_not_describe. Refused as well where a parameter's half-width exceeds half its value (of radiation and
/// ground resistance: half their sum). A Q law that the data leave open is fixed at q_exponent 0.5 (skin effect) and
/// said in `notes`. Model error: what is laid down - a ground resistance that is the same at all frequencies, one
/// exponent of Q over the whole band - shifts the parameters by up to a tenth of R without being refused.
/// Accuracy: of
/// 400 noisy synthetic sweeps of each model 95 +- 3 % hold the true value; with an instrument's systematic error as
/// well at least 92 % (test_fit.cpp).
Fit fit(const OnePort& sweep, Model model);

/// Impedance of a model. @param parameters  in the order stated at Model (coil: with q_exponent); reference_hz > 0
cdouble model_impedance(Model model, const std::vector<double>& parameters, double reference_hz, double frequency_hz);

/// "R = 12.3 +- 0.4 ohm"-style parts for people: value, uncertainty, unit from the name's ending.
std::string parameter_text(const FitParameter& parameter);

/// The word of a status: "fitted", "not carried by the data" ...
std::string_view fit_status_name(FitStatus status);

}  // namespace stile::sweep

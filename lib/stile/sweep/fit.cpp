#include <stile/sweep/fit.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/sweep/detail/least_squares.hpp>
#include <stile/sweep/detail/points.hpp>

namespace stile::sweep {
namespace {

struct ParameterForm {
  const char* name;
  bool logarithmic;  // > 0: its logarithm is sought
};

std::vector<ParameterForm> forms(Model model) {
  switch (model) {
  case Model::series_rlc:
  case Model::parallel_rlc:
    return {{"resistance_ohm", true}, {"inductance_h", true}, {"capacitance_f", true}};
  case Model::coil:
    return {{"inductance_h", true}, {"q", true}, {"self_capacitance_f", true}, {"q_exponent", false}};
  case Model::antenna:
    return {{"radiation_ohm", false}, {"ground_ohm", false}, {"inductance_h", true}, {"capacitance_f", true}};
  case Model::quarter_wave:
    break;
  }
  return {{"resonance_hz", true}, {"surge_ohm", true}, {"radiation_ohm", false}, {"ground_ohm", false}};
}

double weight_of(const OnePort& s, std::size_t i) {
  const double per_ohm = 2.0 * s.reference_ohm / std::norm(s.z_ohm[i] + s.reference_ohm);
  const double u = s.uncertainty_ohm[i] * per_ohm;
  return u > 0.0 ? 1.0 / u : 0.0;
}

constexpr double refused_share = 0.1;  // of R, or of |Z|

/// Where the model is furthest off beyond noise, part by part; into result.lack_of_fit, and in words.
/// @param residuals   of the reflection, model less measured, weighted; three parts at least, otherwise nothing is
/// looked for
/// @param common      errors of the reflection, one row an error, may be empty
std::string find_lack(const OnePort& s, const std::vector<std::size_t>& part, const std::vector<double>& weight,
                      const std::vector<double>& residuals, const std::vector<std::vector<cdouble>>& common,
                      double noise, Fit& result) {
  const std::size_t n = part.size(), parts = part.back() + 1;
  std::string words;
  if (parts < 3) return words;
  const double r0 = s.reference_ohm;
  for (std::size_t g = 0; g < parts; ++g) {
    double all = 0.0, f = 0.0;
    cdouble off = 0.0, mean = 0.0;
    std::vector<cdouble> shared(common.size());
    for (std::size_t i = 0; i < n; ++i) {
      if (part[i] != g) continue;
      const cdouble z = result.model_ohm[i], per = (z + r0) * (z + r0) / (2.0 * r0);
      const double w = std::norm(weight[i] / per);  // of Z: one over its variance, for noise 1
      all += w;
      f += w * s.frequency_hz[i];
      mean += w * z;
      off -= w * per * cdouble(residuals[2 * i], residuals[2 * i + 1]) / weight[i];
      for (std::size_t error = 0; error < common.size(); ++error) shared[error] += w * per * common[error][i];
    }
    off /= all, mean /= all;
    for (const bool resistance : {true, false}) {
      double variance = noise * noise / all;
      for (const cdouble& error : shared) variance += std::pow((resistance ? error.real() : error.imag()) / all, 2);
      const double limit = 5.0 * std::sqrt(variance) + 1e-9 * std::abs(mean);
      const double by = resistance ? off.real() : off.imag();
      const double share = std::abs(by) / std::max(resistance ? std::abs(mean.real()) : std::abs(mean), 1e-300);
      if (std::abs(by) <= limit || share <= result.lack_of_fit) continue;
      result.lack_of_fit = share;
      result.lack_of_fit_hz = f / all;
      const double says = resistance ? mean.real() : mean.imag();
      words = fmt::format("near {} {} is {:.3g} ohm and the model says {:.3g}, off by {:.2g} % of {}",
                          print_quantity(f / all, Unit::hertz, 3), resistance ? "R" : "X", says + by, says,
                          100.0 * share, resistance ? "the model's" : "|Z|");
    }
  }
  return words;
}

/// X or B as w a - b/w by weighted linear least squares; both kept > 0.
struct Pair {
  double a, b;
};
template <class Value>
Pair reactive_pair(const OnePort& s, const Value& value) {
  double m11 = 0.0, m12 = 0.0, m22 = 0.0, r1 = 0.0, r2 = 0.0;
  const double w0 = two_pi * std::sqrt(s.frequency_hz.front() * s.frequency_hz.back());
  for (std::size_t i = 0; i < s.z_ohm.size(); ++i) {
    const auto [y, weight] = value(s.z_ohm[i]);
    const double x = two_pi * s.frequency_hz[i] / w0, p = x, q = -1.0 / x, w2 = weight * weight;
    m11 += w2 * p * p, m12 += w2 * p * q, m22 += w2 * q * q, r1 += w2 * p * y, r2 += w2 * q * y;
  }
  const double det = m11 * m22 - m12 * m12;
  double a = det > 0.0 ? (r1 * m22 - r2 * m12) / det : 0.0, b = det > 0.0 ? (r2 * m11 - r1 * m12) / det : 0.0;
  const double scale = std::max({std::abs(a), std::abs(b), 1e-12});
  a = std::max(a, 1e-3 * scale);
  b = std::max(b, 1e-3 * scale);
  return {a / w0, b * w0};
}

std::vector<double> start_of(const OnePort& s, Model model) {
  const double r0 = s.reference_ohm;
  const auto median_of = [](std::vector<double> v) {
    std::sort(v.begin(), v.end());
    return v[v.size() / 2];
  };
  std::vector<double> r, g, q;
  for (const cdouble& z : s.z_ohm) {
    r.push_back(z.real());
    g.push_back((1.0 / z).real());
    q.push_back(std::abs(z.imag()) / std::max(std::abs(z.real()), 1e-6 * std::abs(z) + 1e-12));
  }
  const auto series = [&] {
    return reactive_pair(s, [&](cdouble z) { return std::pair(z.imag(), 2.0 * r0 / std::norm(z + r0)); });
  };
  const auto parallel = [&] {
    return reactive_pair(s, [&](cdouble z) {
      const cdouble y = 1.0 / z;
      return std::pair(y.imag(), 2.0 / r0 / std::norm(y + 1.0 / r0));
    });
  };
  const double middle = std::max(1e-6, median_of(r));
  switch (model) {
  case Model::series_rlc: {
    const Pair x = series();
    return {middle, x.a, 1.0 / x.b};
  }
  case Model::parallel_rlc: {
    const Pair b = parallel();
    return {1.0 / std::max(1e-12, median_of(g)), 1.0 / b.b, b.a};
  }
  case Model::coil: {
    const Pair b = parallel();
    return {1.0 / b.b, std::clamp(median_of(q), 1.0, 1e4), b.a, 0.5};
  }
  case Model::antenna: {
    const Pair x = series();
    return {0.5 * middle, 0.5 * middle, x.a, 1.0 / x.b};
  }
  case Model::quarter_wave:
    break;
  }
  const Pair x = series();
  const double resonance = std::sqrt(x.b / x.a) / two_pi;
  return {resonance, 8.0 * resonance * x.a, 0.5 * middle, 0.5 * middle};
}

}  // namespace

std::string_view model_name(Model model) {
  switch (model) {
  case Model::series_rlc:
    return "series-rlc";
  case Model::parallel_rlc:
    return "parallel-rlc";
  case Model::coil:
    return "coil";
  case Model::antenna:
    return "antenna";
  case Model::quarter_wave:
    break;
  }
  return "quarter-wave";
}

std::optional<Model> model_of_name(std::string_view name) {
  for (const Model m : {Model::series_rlc, Model::parallel_rlc, Model::coil, Model::antenna, Model::quarter_wave})
    if (model_name(m) == name) return m;
  return {};
}

std::string_view fit_status_name(FitStatus status) {
  switch (status) {
  case FitStatus::not_run:
    break;
  case FitStatus::fitted:
    return "fitted";
  case FitStatus::too_few_points:
    return "too few points";
  case FitStatus::not_converged:
    return "not converged";
  case FitStatus::not_carried:
    return "not carried by the data";
  case FitStatus::does_not_describe:
    return "does not describe the data";
  }
  return "not run";
}

cdouble model_impedance(Model model, const std::vector<double>& p, double reference_hz, double frequency_hz) {
  require(p.size() == forms(model).size(), "as many parameters as the model has");
  require(frequency_hz > 0.0 && reference_hz > 0.0, "frequencies must be > 0");
  const double w = two_pi * frequency_hz, x = frequency_hz / reference_hz;
  switch (model) {
  case Model::series_rlc:
    return {p[0], w * p[1] - 1.0 / (w * p[2])};
  case Model::parallel_rlc:
    return 1.0 / cdouble(1.0 / p[0], w * p[2] - 1.0 / (w * p[1]));
  case Model::coil: {
    const cdouble z(w * p[0] / (p[1] * std::pow(x, p[3])), w * p[0]);
    return 1.0 / (1.0 / z + cdouble(0.0, w * p[2]));
  }
  case Model::antenna:
    return {p[0] * x * x + p[1], w * p[2] - 1.0 / (w * p[3])};
  case Model::quarter_wave:
    break;
  }
  const double y = frequency_hz / p[0];
  return {p[2] * y * y + p[3], -p[1] / std::tan(0.5 * pi * y)};
}

Fit fit(const OnePort& sweep, Model model) {
  const std::size_t n = sweep.z_ohm.size();
  Fit result;
  result.model = model;
  result.caveats = sweep.caveats;
  result.frequency_hz = sweep.frequency_hz;
  const auto all = forms(model);
  if (n < 5 || 2 * n < 2 * all.size()) {
    result.status = FitStatus::too_few_points;
    result.why = fmt::format("{} points for {} parameters; at least {} are needed", n, all.size(),
                             std::max<std::size_t>(5, all.size()));
    return result;
  }
  result.reference_hz = std::sqrt(sweep.frequency_hz.front() * sweep.frequency_hz.back());
  const double r0 = sweep.reference_ohm;
  std::vector<cdouble> measured(n);
  std::vector<double> weight(n);
  double sum_w2 = 0.0;
  bool weighted = true;
  for (std::size_t i = 0; i < n; ++i) {
    measured[i] = (sweep.z_ohm[i] - r0) / (sweep.z_ohm[i] + r0);
    weight[i] = weight_of(sweep, i);
    weighted = weighted && weight[i] > 0.0;
  }
  if (!weighted) std::fill(weight.begin(), weight.end(), 1.0);
  for (const double w : weight) sum_w2 += w * w / static_cast<double>(n);
  for (double& w : weight) w /= std::sqrt(sum_w2);  // mean square 1: residuals stay reflections

  const std::vector<double> first = start_of(sweep, model);
  std::size_t sought = all.size();
  std::vector<double> value = first;
  const auto values_of = [&](const std::vector<double>& x) {
    std::vector<double> p = first;
    if (model == Model::coil) p[3] = 0.5;
    for (std::size_t k = 0; k < x.size(); ++k)
      p[k] = all[k].logarithmic ? first[k] * std::exp(std::clamp(x[k], -60.0, 60.0))
                                : (model == Model::coil ? x[k] : x[k] * std::max(1e-6, std::abs(first[k])));
    return p;
  };
  const auto residuals = [&](const std::vector<double>& x) {
    const std::vector<double> p = values_of(x);
    std::vector<double> r(2 * n);
    for (std::size_t i = 0; i < n; ++i) {
      const cdouble z = model_impedance(model, p, result.reference_hz, sweep.frequency_hz[i]);
      const cdouble d = (std::isfinite(std::abs(z)) ? (z - r0) / (z + r0) : cdouble(1.0)) - measured[i];
      r[2 * i] = weight[i] * d.real();
      r[2 * i + 1] = weight[i] * d.imag();
    }
    return r;
  };
  const std::vector<std::size_t> part = detail::parts_of(n);
  detail::LeastSquares answer;
  const auto squares_of = [](const detail::LeastSquares& l) {
    return std::inner_product(l.residuals.begin(), l.residuals.end(), l.residuals.begin(), 0.0);
  };
  const auto solve = [&](double exponent) {
    std::vector<double> start(sought, 0.0);
    for (std::size_t k = 0; k < sought; ++k)
      if (!all[k].logarithmic) start[k] = model == Model::coil ? exponent : 1.0;
    return detail::least_squares(residuals, start, 2 * n);
  };
  answer = solve(0.5);
  if (model == Model::coil) {  // Q that falls steeply, as of a core's losses, lies in another valley
    const detail::LeastSquares steep = solve(-2.0);
    if (steep.converged && (!answer.converged || squares_of(steep) < squares_of(answer))) answer = steep;
    const double open = answer.covariance.empty() ? 1e300 : std::sqrt(answer.covariance[3][3]);
    const double freedom = static_cast<double>(2 * n - sought);
    if (open > 0.5 / detail::half_width_95(freedom) / std::sqrt(squares_of(answer) / freedom)) {
      sought = 3;
      answer = solve(0.5);
      result.notes.emplace_back("the data leave the law of Q open: fixed at sqrt(f) (skin effect)");
    }
  }
  const std::vector<std::vector<cdouble>> common = detail::reflection_errors(sweep, r0);
  const std::vector<std::vector<double>> changes = detail::changes_of(common, weight);
  std::vector<detail::LocalChange> local;
  for (LocalError& error : detail::local_reflection_errors(sweep, r0)) {
    for (std::size_t i = 0; i < error.ohm.size(); ++i) error.ohm[i] *= weight[error.first + i];
    local.push_back({error.first, std::move(error.ohm)});
  }
  const detail::Neighbours alike = detail::neighbours(answer, local, part);
  const detail::LeastSquares own =
      detail::less_shared(answer, changes, detail::scatter(answer, part, false, alike.products).noise);
  const detail::Scatter scatter = detail::scatter(own, part, false, alike.products);
  result.residual_correlation = scatter.correlation;
  std::vector<double> half = scatter.half;
  if (!half.empty()) {
    half = detail::with_neighbours(std::move(half), alike);
    const auto shifts = detail::shift_covariance(answer, changes);
    for (std::size_t k = 0; k < half.size(); ++k)
      half[k] = std::hypot(half[k], detail::normal_95 * std::sqrt(shifts[k][k]));
  }
  value = values_of(answer.parameters);
  double squares_ohm = 0.0, mean_square = 0.0, total = 0.0;
  cdouble mean = 0.0;
  for (std::size_t i = 0; i < n; ++i) mean += weight[i] * weight[i] * measured[i] / static_cast<double>(n);
  for (std::size_t i = 0; i < n; ++i) {
    result.model_ohm.push_back(model_impedance(model, value, result.reference_hz, sweep.frequency_hz[i]));
    squares_ohm += std::norm(result.model_ohm[i] - sweep.z_ohm[i]) / static_cast<double>(n);
    mean_square += (answer.residuals[2 * i] * answer.residuals[2 * i] +
                    answer.residuals[2 * i + 1] * answer.residuals[2 * i + 1]) /
                   static_cast<double>(n);
    total += weight[i] * weight[i] * std::norm(measured[i] - mean) / static_cast<double>(n);
  }
  result.residual_rms_ohm = std::sqrt(squares_ohm);
  result.residual_rms_reflection = std::sqrt(mean_square);
  for (std::size_t k = 0; k < all.size(); ++k) {
    double u = 0.0;
    if (k < half.size()) {
      u = half[k] * (all[k].logarithmic ? value[k] : model == Model::coil ? 1.0 : std::max(1e-6, std::abs(first[k])));
    }
    result.parameters.push_back({all[k].name, value[k], u});
  }
  if (!answer.covariance.empty()) {
    for (std::size_t a = 0; a < sought; ++a) {
      result.correlation.emplace_back();
      for (std::size_t b = 0; b < sought; ++b)
        result.correlation.back().push_back(answer.covariance[a][b] /
                                            std::sqrt(answer.covariance[a][a] * answer.covariance[b][b]));
    }
  }
  const std::string lack = find_lack(sweep, part, weight, answer.residuals, common, scatter.noise, result);
  if (scatter.structured)
    result.notes.push_back(fmt::format(
        "neighbouring residuals resemble each other (correlation {:.2g}): the model misses something; the "
        "uncertainties are those of leaving out one part of the band after the other, up to {:.2g} times "
        "those of noise alone{}",
        scatter.correlation, scatter.widened, lack.empty() || result.lack_of_fit > refused_share ? "" : "; " + lack));
  if (!answer.converged) {
    result.status = FitStatus::not_converged;
    result.why = "the search did not settle";
  } else if (result.lack_of_fit > refused_share) {
    result.status = FitStatus::does_not_describe;
    result.why = lack + ", and not by noise";
  } else if (mean_square > 0.1 * total && scatter.structured) {
    result.status = FitStatus::does_not_describe;
    result.why = fmt::format("what the model leaves over is {:.2g} of what the reflection varies at all",
                             std::sqrt(mean_square / std::max(total, 1e-300)));
  } else if (answer.covariance.empty()) {
    result.status = FitStatus::not_carried;
    for (std::size_t k = 0; k < sought && k < answer.sensitivity.size(); ++k)
      if (answer.sensitivity[k] < 1e-6 * *std::max_element(answer.sensitivity.begin(), answer.sensitivity.end()))
        result.why += (result.why.empty() ? "" : ", ") + result.parameters[k].name;
    result.why =
        (result.why.empty() ? "some combination of the parameters" : result.why) + " leaves no trace in the data";
  } else {
    result.status = FitStatus::fitted;
    for (std::size_t k = 0; k < sought; ++k) {
      const FitParameter& p = result.parameters[k];
      const bool resistance = !all[k].logarithmic && model != Model::coil;
      double limit = 0.5 * p.value;
      if (resistance)
        limit = 0.5 * std::abs(value[model == Model::antenna ? 0 : 2] + value[model == Model::antenna ? 1 : 3]);
      if (p.name == "q_exponent" || p.uncertainty <= limit) continue;
      result.status = FitStatus::not_carried;
      result.why +=
          fmt::format("{}{} = {}: wider than half of it", result.why.empty() ? "" : "; ", p.name, parameter_text(p));
    }
  }
  return result;
}

std::string parameter_text(const FitParameter& p) {
  Unit unit = Unit::one;
  for (const auto& [ending, which] : {std::pair{"_ohm", Unit::ohm}, std::pair{"_h", Unit::henry},
                                      std::pair{"_f", Unit::farad}, std::pair{"_hz", Unit::hertz}})
    if (p.name.ends_with(ending)) unit = which;
  return print_quantity(p.value, unit, 6) + " +- " + print_quantity(p.uncertainty, unit, 2);
}

}  // namespace stile::sweep

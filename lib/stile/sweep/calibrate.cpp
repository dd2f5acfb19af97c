#include <stile/sweep/calibrate.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <tuple>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/sweep/detail/least_squares.hpp>
#include <stile/sweep/detail/points.hpp>
#include <stile/sweep/detail/soil_search.hpp>
#include <stile/wire/sweep.hpp>

namespace stile::sweep {
namespace {

constexpr double stray_scale_f = 10e-12;

/// The points of one condition that are solved.
struct Sample {
  std::size_t wire_case = 0;
  std::vector<double> frequency_hz;
  std::vector<cdouble> reflection;
  std::vector<double> weight;                          ///< 1 / standard deviation of the reflection; 0: not known
  std::map<std::string, std::vector<cdouble>> common;  ///< errors of the reflection, by CommonError::of
  std::vector<LocalError> local;                       ///< likewise, of points next to each other
  double reference_ohm = 50.0;
  std::vector<cdouble> z_ohm;
};

Sample sample_of(const MeasuredCondition& m, const CalibrateOptions& options, bool held_back) {
  std::vector<std::size_t> index;
  for (std::size_t i = 0; i < m.measured.frequency_hz.size(); ++i) {
    const double f = m.measured.frequency_hz[i];
    const bool held = std::any_of(options.held_back.begin(), options.held_back.end(),
                                  [&](const Range& r) { return f >= r.low && f <= r.high; });
    if (held == held_back) index.push_back(i);
  }
  Sample s;
  s.reference_ohm = m.measured.reference_ohm;
  const auto errors = detail::reflection_errors(m.measured, s.reference_ohm);
  const std::size_t n = std::min(options.points, index.size());
  std::vector<std::size_t> taken;
  for (std::size_t k = 0; k < n; ++k) taken.push_back(index[n < 2 ? 0 : k * (index.size() - 1) / (n - 1)]);
  for (const LocalError& error : detail::local_reflection_errors(m.measured, s.reference_ohm)) {
    LocalError of_taken;  // those of its points that are taken
    for (std::size_t k = 0; k < n; ++k) {
      if (taken[k] < error.first || taken[k] >= error.first + error.ohm.size()) continue;
      if (of_taken.ohm.empty()) of_taken.first = k;
      of_taken.ohm.push_back(error.ohm[taken[k] - error.first]);
    }
    if (of_taken.ohm.size() > 1) s.local.push_back(std::move(of_taken));
  }
  for (const std::size_t i : taken) {
    const cdouble z = m.measured.z_ohm[i];
    const double u = m.measured.uncertainty_ohm[i] * 2.0 * s.reference_ohm / std::norm(z + s.reference_ohm);
    s.frequency_hz.push_back(m.measured.frequency_hz[i]);
    s.z_ohm.push_back(z);
    s.reflection.push_back((z - s.reference_ohm) / (z + s.reference_ohm));
    s.weight.push_back(u > 0.0 ? 1.0 / u : 0.0);
    for (std::size_t e = 0; e < errors.size(); ++e) s.common[m.measured.common_ohm[e].of].push_back(errors[e][i]);
  }
  return s;
}

/// With capacitance and leakage across the terminals.
cdouble with_base(cdouble z, double capacitance_f, double leakage_ohm, double f) {
  return 1.0 / (1.0 / z + cdouble(1.0 / leakage_ohm, two_pi * f * capacitance_f));
}

struct Misfit {
  double reflection = 0.0, ohm = 0.0;
};

}  // namespace

Calibration calibrate(const std::vector<wire::WireCase>& cases, const std::vector<MeasuredCondition>& measured,
                      const CalibrateOptions& options, const std::function<void(std::size_t)>& progress) {
  const auto solved = [&](const wire::WireCase& c, double permittivity, double conductivity,
                          const std::vector<double>& f) {
    std::vector<cdouble> z;
    if (f.empty()) return z;
    wire::SolveOptions solve = options.solve;
    solve.tables = {};  // a soil is not met again: kept tables would only grow
    for (const wire::AntennaSolution& s :
         wire::sweep_antenna(c.antenna, wire::lossy_ground(permittivity, conductivity), f, solve, options.threads))
      z.push_back(s.antenna_ohm);
    return z;
  };
  return detail::calibrate_with(solved, cases, measured, options, progress);
}

Calibration detail::calibrate_with(const AntennaSolver& solved, const std::vector<wire::WireCase>& cases,
                                   const std::vector<MeasuredCondition>& measured, const CalibrateOptions& options,
                                   const std::function<void(std::size_t)>& progress) {
  require(!measured.empty(), "a calibration needs a measured condition");
  require(options.points >= 4 && options.points <= 200, "4 to 200 points of a condition are solved");
  std::vector<Sample> used, held;
  std::size_t values = 0;
  for (const MeasuredCondition& m : measured) {
    const auto found =
        std::find_if(cases.begin(), cases.end(), [&](const wire::WireCase& c) { return c.name == m.condition; });
    if (found == cases.end()) {
      std::string names;
      for (const wire::WireCase& c : cases) names += (names.empty() ? "" : ", ") + c.name;
      throw DomainError(fmt::format("\"{}\" is not a condition of the wires; there are: {}", m.condition, names));
    }
    if (found->ground.kind != wire::GroundKind::lossy)
      throw DomainError(fmt::format("\"{}\" is not over soil: there is nothing to calibrate", m.condition));
    used.push_back(sample_of(m, options, false));
    held.push_back(sample_of(m, options, true));
    used.back().wire_case = held.back().wire_case = static_cast<std::size_t>(found - cases.begin());
    for (std::size_t k = 0; k + 1 < used.size(); ++k)
      if (used[k].wire_case == used.back().wire_case)
        throw DomainError(fmt::format("\"{}\" is measured twice; give all bands in one sweep", m.condition));
    if (used.back().frequency_hz.empty())
      throw DomainError(fmt::format("\"{}\" has no points outside the bands held back", m.condition));
    values += 2 * used.back().frequency_hz.size();
  }
  const std::size_t n = measured.size(), stretch = 2 * n + (options.stray ? 1 : 0),
                    sought = stretch + (options.stretched ? 1 : 0);
  Calibration result;
  if (values < sought + 2) {
    result.status = FitStatus::too_few_points;
    result.why = fmt::format("{} values for {} unknowns", values, sought);
    return result;
  }
  // As of a fit: one point whose uncertainty is not known makes all weigh alike.
  bool weighted = true;
  std::vector<std::size_t> band;  // of each point, numbered through all conditions
  for (const Sample& s : used)
    for (std::size_t i = 0; i < s.weight.size(); ++i) {
      weighted = weighted && s.weight[i] > 0.0;
      const bool same = i > 0 && s.frequency_hz[i] <= 1.1 * s.frequency_hz[i - 1];
      band.push_back(band.empty() ? 0 : band.back() + (same ? 0 : 1));
    }
  if (!weighted)
    for (Sample& s : used) std::fill(s.weight.begin(), s.weight.end(), 1.0);
  double mean_weight = 0.0;
  for (const Sample& s : used)
    for (const double w : s.weight) mean_weight += 2.0 * w * w / static_cast<double>(values);
  for (Sample& s : used)
    for (double& w : s.weight) w /= std::sqrt(mean_weight);

  // Solutions by condition and soil: the stray capacitance and the other conditions cost nothing.
  std::map<std::tuple<std::size_t, double, double, double>, std::vector<cdouble>> known;
  std::size_t made = 0;
  const auto case_of = [&](std::size_t index, double factor) {
    if (!options.stretched || factor == 1.0) return cases[index];
    const std::vector<wire::WireCase> all = options.stretched(factor);
    require(all.size() == cases.size(), "the stretched cases must be as many as the drawn ones");
    return all[index];
  };
  const auto factor_of = [&](const std::vector<double>& x) {
    return options.stretched ? std::exp(std::clamp(x[stretch], -1.2, 1.1)) : 1.0;
  };
  const auto antenna_of = [&](std::size_t k, double permittivity, double conductivity,
                              double factor) -> const std::vector<cdouble>& {
    const auto key = std::tuple(k, permittivity, conductivity, factor);
    const auto there = known.find(key);
    if (there != known.end()) return there->second;
    made += used[k].frequency_hz.size();
    const auto& z =
        known.emplace(key, solved(case_of(used[k].wire_case, factor), permittivity, conductivity, used[k].frequency_hz))
            .first->second;
    if (progress) progress(made);
    return z;
  };
  const auto permittivity_of = [](double x) { return 1.0 + std::exp(std::clamp(x, -6.0, 6.5)); };
  const auto conductivity_of = [](double x) { return std::exp(std::clamp(x, -16.0, 2.5)); };
  const auto leakage = [&](const Sample& s) { return cases[s.wire_case].antenna.feed.base_leakage_ohm; };
  const auto capacitance_of = [&](const std::vector<double>& x, const Sample& s) {
    return options.stray ? x[2 * n] * stray_scale_f : cases[s.wire_case].antenna.feed.base_capacitance_f;
  };
  const auto residuals = [&](const std::vector<double>& x) {
    std::vector<double> r;
    for (std::size_t k = 0; k < n; ++k) {
      const Sample& s = used[k];
      const auto& antenna = antenna_of(k, permittivity_of(x[2 * k]), conductivity_of(x[2 * k + 1]), factor_of(x));
      for (std::size_t i = 0; i < antenna.size(); ++i) {
        const cdouble z = with_base(antenna[i], capacitance_of(x, s), leakage(s), s.frequency_hz[i]);
        const cdouble d = (z - s.reference_ohm) / (z + s.reference_ohm) - s.reflection[i];
        r.push_back(s.weight[i] * d.real());
        r.push_back(s.weight[i] * d.imag());
      }
    }
    return r;
  };
  // The misfit has more than one valley: a coarse grid of soils first, each with a few capacitances, which cost
  // nothing.
  const auto misfit_of = [&](std::size_t k, double er, double sigma, double capacitance) {
    const Sample& s = used[k];
    const auto& antenna = antenna_of(k, er, sigma, 1.0);
    double sum = 0.0;
    for (std::size_t i = 0; i < antenna.size(); ++i) {
      const cdouble z = with_base(antenna[i], capacitance, leakage(s), s.frequency_hz[i]);
      sum += s.weight[i] * s.weight[i] * std::norm((z - s.reference_ohm) / (z + s.reference_ohm) - s.reflection[i]);
    }
    return sum;
  };
  struct Soil {
    double misfit, er, sigma;
  };
  constexpr std::size_t valleys = 3;
  std::vector<std::vector<Soil>> best_soils;
  double best_capacitance = 0.0, least = 1e300;
  for (const double capacitance : {0.0, 4e-12, 8e-12, 16e-12}) {
    double sum = 0.0;
    std::vector<std::vector<Soil>> soils(n);
    for (std::size_t k = 0; k < n; ++k) {
      const double c = options.stray ? capacitance : cases[used[k].wire_case].antenna.feed.base_capacitance_f;
      for (const double er : {4.0, 8.0, 16.0, 32.0})
        for (const double sigma : {5e-4, 1.5e-3, 5e-3, 1.5e-2})
          soils[k].push_back({misfit_of(k, er, sigma, c), er, sigma});
      std::sort(soils[k].begin(), soils[k].end(), [](const Soil& p, const Soil& q) { return p.misfit < q.misfit; });
      sum += soils[k].front().misfit;
    }
    if (sum < least) least = sum, best_capacitance = capacitance, best_soils = soils;
    if (!options.stray) break;
  }
  detail::LeastSquares best;
  double best_squares = 1e300;
  const auto squares_of = [](const detail::LeastSquares& l) {
    double sum = 0.0;
    for (const double r : l.residuals) sum += r * r;
    return sum;
  };
  std::vector<detail::LeastSquares> tried;
  for (std::size_t v = 0; v < valleys; ++v) {
    std::vector<double> start;
    for (const std::vector<Soil>& soils : best_soils) {
      start.push_back(std::log(soils[v].er - 1.0));
      start.push_back(std::log(soils[v].sigma));
    }
    if (options.stray) start.push_back(best_capacitance / stray_scale_f);
    if (options.stretched) start.push_back(0.0);
    tried.push_back(detail::least_squares(residuals, start, values, 1e-3, 1e-6));
    if (squares_of(tried.back()) < best_squares) best = tried.back(), best_squares = squares_of(best);
  }
  // Another valley nearly as deep: the data do not say which.
  for (const detail::LeastSquares& other : tried) {
    double apart = 0.0;
    for (std::size_t k = 0; k < 2 * n; ++k) apart = std::max(apart, std::abs(other.parameters[k] - best.parameters[k]));
    if (apart < 0.3 || squares_of(other) > 1.5 * best_squares) continue;
    result.notes.push_back(
        fmt::format("another soil fits nearly as well: relative permittivity {:.3g} and {:.3g} S/m under \"{}\"",
                    permittivity_of(other.parameters[0]), conductivity_of(other.parameters[1]), measured[0].condition));
    break;
  }

  double squares = 0.0, total = 0.0;
  for (const double r : best.residuals) squares += r * r;
  const double against_stated =
      std::sqrt(squares / static_cast<double>(values - sought) * mean_weight);  // 1: the sweeps' own scatter
  const bool misfits = weighted && against_stated > 3.0;
  cdouble mean = 0.0;
  for (const Sample& s : used)
    for (std::size_t i = 0; i < s.weight.size(); ++i)
      mean += s.weight[i] * s.weight[i] * s.reflection[i] * 2.0 / static_cast<double>(values);
  std::map<std::string, std::vector<cdouble>> shared;  // the same name is the same error in all conditions
  std::vector<double> weights;
  std::vector<detail::LocalChange> local;
  for (const Sample& s : used) {
    for (const LocalError& error : s.local) {
      local.push_back({weights.size() + error.first, error.ohm});
      for (std::size_t i = 0; i < error.ohm.size(); ++i) local.back().values[i] *= s.weight[error.first + i];
    }
    for (const auto& [of, row] : s.common) {
      shared[of].resize(weights.size());  // 0 in the conditions before that have it not
      shared[of].insert(shared[of].end(), row.begin(), row.end());
    }
    for (std::size_t i = 0; i < s.weight.size(); ++i) {
      total += s.weight[i] * s.weight[i] * std::norm(s.reflection[i] - mean);
      weights.push_back(s.weight[i]);
    }
  }
  std::vector<std::vector<cdouble>> errors;
  for (auto& [of, row] : shared) {
    row.resize(weights.size());
    errors.push_back(row);
  }
  const std::vector<std::vector<double>> changes = detail::changes_of(errors, weights);
  const detail::Neighbours alike = detail::neighbours(best, local, band);
  const detail::LeastSquares own =
      detail::less_shared(best, changes, detail::scatter(best, band, false, alike.products).noise);
  const detail::Scatter scatter = detail::scatter(own, band, misfits, alike.products);
  std::vector<double> halves = scatter.half;
  if (!halves.empty()) {
    halves = detail::with_neighbours(std::move(halves), alike);
    const auto shifts = detail::shift_covariance(best, changes);
    for (std::size_t k = 0; k < sought; ++k)
      halves[k] = std::hypot(halves[k], detail::normal_95 * std::sqrt(shifts[k][k]));
  }
  const auto half = [&](std::size_t k) { return halves.empty() ? 0.0 : halves[k]; };
  const auto misfit = [&](const Sample& s, const std::vector<cdouble>& antenna, double capacitance) {
    Misfit m;
    const auto count = static_cast<double>(std::max<std::size_t>(1, antenna.size()));
    for (std::size_t i = 0; i < antenna.size(); ++i) {
      const cdouble z = with_base(antenna[i], capacitance, leakage(s), s.frequency_hz[i]);
      m.reflection += std::norm((z - s.reference_ohm) / (z + s.reference_ohm) - s.reflection[i]) / count;
      m.ohm += std::norm(z - s.z_ohm[i]) / count;
    }
    return Misfit{std::sqrt(m.reflection), std::sqrt(m.ohm)};
  };
  // Without a capacitance below 0: the soils belong to the one that is written.
  if (options.stray && best.parameters[2 * n] < 0.0) {
    CalibrateOptions fixed = options;
    fixed.stray = false;
    const auto without = [](std::vector<wire::WireCase> all) {
      for (wire::WireCase& c : all) c.antenna.feed.base_capacitance_f = 0.0;
      return all;
    };
    if (options.stretched) fixed.stretched = [&](double factor) { return without(options.stretched(factor)); };
    Calibration again = calibrate_with(solved, without(cases), measured, fixed, progress);
    for (std::size_t k = 0; k < n; ++k) {  // as drawn is with the capacitance drawn
      const wire::WireCase& drawn = cases[used[k].wire_case];
      const double er = drawn.ground.relative_permittivity, sigma = drawn.ground.conductivity_s_m;
      again.conditions[k].misfit_drawn =
          misfit(used[k], antenna_of(k, er, sigma, 1.0), drawn.antenna.feed.base_capacitance_f).reflection;
      if (!held[k].frequency_hz.empty())
        again.conditions[k].held_back_drawn =
            misfit(held[k], solved(drawn, er, sigma, held[k].frequency_hz), drawn.antenna.feed.base_capacitance_f)
                .reflection;
    }
    again.base_capacitance_f.uncertainty = std::max(0.0, (best.parameters[2 * n] + half(2 * n)) * stray_scale_f);
    again.notes.push_back(
        fmt::format("the stray capacitance came out at {} and is taken as 0: the rest was sought again",
                    print_quantity(best.parameters[2 * n] * stray_scale_f, Unit::farad, 3)));
    return again;
  }

  if (misfits || scatter.structured)
    result.notes.push_back(
        fmt::format("the misfit is {}: the drawn antenna lacks something; the uncertainties are those of leaving out "
                    "one band after "
                    "the other, up to {:.2g} times those of noise alone",
                    misfits ? fmt::format("{:.2g} times the stated uncertainty of the sweeps", against_stated)
                            : std::string("no noise, neighbours resemble each other"),
                    scatter.widened));
  const auto& x = best.parameters;
  const double factor = factor_of(x);
  result.cases = options.stretched ? options.stretched(factor) : cases;
  if (options.stretched) result.counterpoise_factor = {factor, half(stretch) * factor};
  const double stray = options.stray ? x[2 * n] * stray_scale_f : 0.0;
  result.base_capacitance_f = {options.stray ? stray : cases[used[0].wire_case].antenna.feed.base_capacitance_f,
                               options.stray ? half(2 * n) * stray_scale_f : 0.0};
  if (options.stray)
    for (wire::WireCase& c : result.cases) c.antenna.feed.base_capacitance_f = stray;
  for (std::size_t k = 0; k < n; ++k) {
    const Sample& s = used[k];
    const wire::WireCase& drawn = cases[s.wire_case];
    const double permittivity = permittivity_of(x[2 * k]), conductivity = conductivity_of(x[2 * k + 1]);
    result.cases[s.wire_case].ground = wire::lossy_ground(permittivity, conductivity);
    CalibratedCondition c;
    c.condition = measured[k].condition;
    c.relative_permittivity = {permittivity, half(2 * k) * (permittivity - 1.0)};
    c.conductivity_s_m = {conductivity, half(2 * k + 1) * conductivity};
    const double before = drawn.antenna.feed.base_capacitance_f, er = drawn.ground.relative_permittivity,
                 sigma = drawn.ground.conductivity_s_m;
    c.misfit_drawn = misfit(s, antenna_of(k, er, sigma, 1.0), before).reflection;
    const double capacitance = capacitance_of(x, s);
    const Misfit after = misfit(s, antenna_of(k, permittivity, conductivity, factor), capacitance);
    c.misfit = after.reflection;
    c.misfit_rms_ohm = after.ohm;
    if (!held[k].frequency_hz.empty()) {
      c.held_back_drawn = misfit(held[k], solved(drawn, er, sigma, held[k].frequency_hz), before).reflection;
      c.held_back =
          misfit(held[k], solved(case_of(s.wire_case, factor), permittivity, conductivity, held[k].frequency_hz),
                 capacitance)
              .reflection;
    }
    result.conditions.push_back(c);
    result.names.push_back(c.condition + ": relative permittivity");
    result.names.push_back(c.condition + ": conductivity");
  }
  if (options.stray) result.names.emplace_back("stray capacitance");
  if (options.stretched) result.names.emplace_back("length of the counterpoise");
  if (best.covariance.empty()) {
    result.status = best.converged ? FitStatus::not_carried : FitStatus::not_converged;
    for (std::size_t k = 0; k < sought && k < best.sensitivity.size(); ++k)
      if (best.sensitivity[k] < 1e-6 * *std::max_element(best.sensitivity.begin(), best.sensitivity.end()))
        result.why += (result.why.empty() ? "" : ", ") + result.names[k];
    result.why = (result.why.empty() ? "some combination of the values" : result.why) + " leaves no trace in the data";
    return result;
  }
  for (std::size_t a = 0; a < sought; ++a) {
    result.correlation.emplace_back();
    for (std::size_t b = 0; b < sought; ++b)
      result.correlation.back().push_back(best.covariance[a][b] /
                                          std::sqrt(best.covariance[a][a] * best.covariance[b][b]));
  }
  if (!best.converged) {
    result.status = FitStatus::not_converged;
    result.why = "the search did not settle";
    return result;
  }
  if (squares > 0.1 * total && (misfits || scatter.structured)) {
    result.status = FitStatus::does_not_describe;
    result.why = fmt::format("what the calibrated antenna leaves over is {:.2g} of what the reflection varies at all",
                             std::sqrt(squares / total));
    return result;
  }
  result.status = FitStatus::fitted;
  const auto refuse = [&](const std::string& why) {
    result.status = FitStatus::not_carried;
    result.why += (result.why.empty() ? "" : "; ") + why;
  };
  for (std::size_t k = 0; k < sought; ++k)
    if (half(k) > 0.5) refuse("the data leave open: " + result.names[k]);
  for (std::size_t a = 0; a < sought; ++a)
    for (std::size_t b = a + 1; b < sought; ++b)
      if (std::abs(result.correlation[a][b]) > 0.995 && std::max(half(a), half(b)) > 0.1)
        refuse(fmt::format("the data cannot tell apart: {} and {}", result.names[a], result.names[b]));
  return result;
}

}  // namespace stile::sweep

#pragma once
// Invented sweeps for the tests: known truth, known noise, a fixed start value.

#include <cmath>
#include <complex>
#include <functional>
#include <random>
#include <string>
#include <vector>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/sweep/judge.hpp>

namespace stile::sweep::test {

inline std::vector<double> steps(double low_hz, double high_hz, std::size_t n) {
  std::vector<double> f;
  for (std::size_t i = 0; i < n; ++i)
    f.push_back(low_hz + (high_hz - low_hz) * static_cast<double>(i) / static_cast<double>(n - 1));
  return f;
}

/// S11 against 50 ohm of an impedance over frequency, with noise of a standard deviation in each part.
inline Sweep measured(const std::vector<double>& f, const std::function<cdouble(double)>& z, double noise = 0.0,
                      unsigned seed = 1) {
  std::mt19937_64 source(seed);
  std::normal_distribution<double> normal(0.0, 1.0);
  Sweep sweep;
  sweep.file = "invented.s1p";
  sweep.format = "Touchstone 1.0";
  sweep.reference_ohm = {50.0};
  sweep.frequency_hz = f;
  for (std::size_t i = 0; i < f.size(); ++i) {
    const cdouble value = z(f[i]);
    const double a = noise * normal(source), b = noise * normal(source);
    sweep.values.push_back((value - 50.0) / (value + 50.0) + cdouble(a, b));
    sweep.line.push_back(i + 2);
  }
  return sweep;
}

inline OnePort port_of(const Sweep& sweep, JudgeOptions options = {}) {
  options.above_one = AboveOne::keep;
  return one_port(sweep, options, judge(sweep, options));
}

inline cdouble series_rlc(double r, double l, double c, double f) {
  return {r, two_pi * f * l - 1.0 / (two_pi * f * c)};
}

inline bool has(const std::vector<Finding>& findings, FindingKind kind) {
  for (const Finding& f : findings)
    if (f.kind == kind) return true;
  return false;
}

inline const Finding& found(const std::vector<Finding>& findings, FindingKind kind) {
  for (const Finding& f : findings)
    if (f.kind == kind) return f;
  throw Error("no such finding: " + std::string(finding_name(kind)));
}

}  // namespace stile::sweep::test

#pragma once
// Weighted nonlinear least squares with the covariance of its answer. Inner part of the fits.

#include <functional>
#include <string>
#include <vector>

namespace stile::sweep::detail {

struct LeastSquares {
  bool converged = false;
  std::vector<double> parameters;
  std::vector<double> residuals;    ///< at the answer
  std::vector<double> sensitivity;  ///< length of each parameter's column of derivatives: 0 leaves no trace
  std::vector<std::vector<double>>
      covariance;  ///< for residuals of variance 1; empty: some combination is not fixed at all
};

/// Least sum of squares from a start. Parameters should be of order 1 (logarithms, or values over their scale).
/// Levenberg-Marquardt of MINPACK as ported in Eigen's unsupported modules (Moré, Garbow, Hillstrom, User Guide for
/// MINPACK-1, 1980), derivatives by central differences.
/// @param step       of the differences, times the parameter or 1: larger for residuals that are themselves approximate
/// @param tolerance  relative, of the parameters, at which the search ends
/// @param residuals  of parameters; as many as `count`, at least as many as parameters; finite
LeastSquares least_squares(const std::function<std::vector<double>(const std::vector<double>&)>& residuals,
                           std::vector<double> start, std::size_t count, double step = 3e-6, double tolerance = 1e-12);

/// Half-width of the 95 % interval in standard deviations: Student's t. @param freedom  >= 1
double half_width_95(double freedom);

}  // namespace stile::sweep::detail

#pragma once
// Weighted nonlinear least squares with the covariance of its answer. Inner part of the fits.

#include <functional>
#include <string>
#include <vector>

#include <stile/base/quantity.hpp>

namespace stile::sweep::detail {

struct LeastSquares {
  bool converged = false;
  std::vector<double> parameters;
  std::vector<double> residuals;    ///< at the answer
  std::vector<double> sensitivity;  ///< length of each parameter's column of derivatives: 0 leaves no trace
  std::vector<std::vector<double>>
      covariance;                   ///< for residuals of variance 1; empty: some combination is not fixed at all
  std::vector<double> derivatives;  ///< of each residual to each parameter at the answer, row by row
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
constexpr double normal_95 = 1.959963984540054;

/// What the residuals of complex points - real and imaginary part in turn - say of the noise and of the parameters.
struct Scatter {
  double freedom = 0.0;
  double sigma = 0.0;        ///< standard deviation of a residual
  double noise = 0.0;        ///< the same from the differences of neighbours: what changes slowly is not in it
  double correlation = 0.0;  ///< of neighbours: near 0 noise, near 1 the model misses something
  bool structured =
      false;  ///< by more than chance: correlation above 3 over the root of the number of neighbours, sigma above 1e-8
  std::vector<double> half;  ///< of each parameter, half-width of the 95 % interval; empty without a covariance
  double widened = 1.0;      ///< the largest ratio of `half` to what sigma alone gives, >= 1
};

/// Half-widths by Student's t from sigma. Where the residuals are structured, or `misfits` says so, they are those of
/// leaving out one group after the other, linearised, if that is more: variance (G-1)/G times the sum of the squared
/// shifts, t with G-1 degrees of freedom. A group without which nothing is determined is not left out; fewer than 3
/// groups: widened not.
/// @param group  of each point, rising from 0; neighbours are compared within a group
/// @param alike  sum over the neighbours of what known errors make their products on the mean: Neighbours::products
/// Source: B. Efron, R. Tibshirani, An Introduction to the Bootstrap, 1993, chapter 11 (the jackknife; here by groups).
Scatter scatter(const LeastSquares& answer, const std::vector<std::size_t>& group, bool misfits = false,
                double alike = 0.0);

/// A complex error of neighbouring points, weighted as the residuals are: in phase, and in quadrature the same times j.
struct LocalChange {
  std::size_t first = 0;  ///< point
  std::vector<cdouble> values;
};

/// What errors that move neighbours alike do, and the sum of their squares at each point by itself does not.
struct Neighbours {
  double products = 0.0;                        ///< mean of the sum of products of neighbouring residuals
  std::vector<std::vector<double>> covariance;  ///< of the parameters, linearised, less that of errors as large that
                                                ///< are independent; empty: as of the answer
};
/// @param group  of each point, as of scatter
Neighbours neighbours(const LeastSquares& answer, const std::vector<LocalChange>& changes,
                      const std::vector<std::size_t>& group);

/// Half-widths with what neighbours that move alike add; never less than `half`.
std::vector<double> with_neighbours(std::vector<double> half, const Neighbours& more);

/// What each change of the data moves the parameters by, linearised.
/// @param changes  each as long as the residuals, weighted as they are; of the data, so that a residual, model less
/// data, falls by it
/// @throws DomainError  the answer has no covariance of its own
std::vector<std::vector<double>> shifts_by(const LeastSquares& answer, const std::vector<std::vector<double>>& changes);

/// Covariance of the parameters by changes of the data, added: one unit error after the other.
/// @param changes  as of shifts_by, of either sign
/// @throws DomainError  as shifts_by
std::vector<std::vector<double>> shift_covariance(const LeastSquares& answer,
                                                  const std::vector<std::vector<double>>& changes);

/// The same with what the shared errors explain of the residuals taken out of them: the least sum of squares of
/// residuals over the noise, changed by parameters and errors, and of the errors in standard deviations. The parameters
/// stay.
/// @param changes  as of shift_covariance, by one standard deviation of each error
/// @param noise    standard deviation of a residual, > 0; otherwise nothing is taken out
LeastSquares less_shared(LeastSquares answer, const std::vector<std::vector<double>>& changes, double noise);

/// Shifts of the parameters, independent of each other and of one standard deviation each, that have this covariance.
/// @param covariance  symmetric, no eigenvalue below 0 but by rounding
std::vector<std::vector<double>> independent_shifts(const std::vector<std::vector<double>>& covariance);

/// The changes of the residuals that errors of the reflection make, row by row.
/// @param errors  one row an error, each as long as `weight`
std::vector<std::vector<double>> changes_of(const std::vector<std::vector<cdouble>>& errors,
                                            const std::vector<double>& weight);

/// Points in eight parts, or fewer where these would have fewer than 4: the number of each point's part.
std::vector<std::size_t> parts_of(std::size_t points);

}  // namespace stile::sweep::detail

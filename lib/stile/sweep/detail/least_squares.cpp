#include <stile/sweep/detail/least_squares.hpp>

#include <algorithm>
#include <cmath>
#include <utility>

#include <Eigen/Core>
#include <Eigen/Eigenvalues>
#include <boost/math/distributions/students_t.hpp>
#include <unsupported/Eigen/NonLinearOptimization>

#include <stile/base/errors.hpp>

namespace stile::sweep::detail {
namespace {

/// Derivatives by central differences, with steps that suit parameters of order 1 and do not vanish at 0.
Eigen::MatrixXd derivatives(const std::function<std::vector<double>(const std::vector<double>&)>& f,
                            std::vector<double> x, std::size_t count, double step) {
  Eigen::MatrixXd j(static_cast<Eigen::Index>(count), static_cast<Eigen::Index>(x.size()));
  for (std::size_t k = 0; k < x.size(); ++k) {
    const double at = x[k], h = step * std::max(1.0, std::abs(at));
    x[k] = at + h;
    const std::vector<double> up = f(x);
    x[k] = at - h;
    const std::vector<double> down = f(x);
    x[k] = at;
    for (std::size_t i = 0; i < count; ++i)
      j(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(k)) = (up[i] - down[i]) / (2.0 * h);
  }
  return j;
}

struct Functor {
  using Scalar = double;
  using InputType = Eigen::VectorXd;
  using ValueType = Eigen::VectorXd;
  using JacobianType = Eigen::MatrixXd;
  enum { InputsAtCompileTime = Eigen::Dynamic, ValuesAtCompileTime = Eigen::Dynamic };

  const std::function<std::vector<double>(const std::vector<double>&)>* f = nullptr;
  int n = 0, m = 0;
  double step = 0.0;

  int inputs() const { return n; }
  int values() const { return m; }
  int operator()(const Eigen::VectorXd& x, Eigen::VectorXd& out) const {
    const std::vector<double> r = (*f)(std::vector<double>(x.data(), x.data() + x.size()));
    out = Eigen::Map<const Eigen::VectorXd>(r.data(), static_cast<Eigen::Index>(r.size()));
    return 0;
  }
  int df(const Eigen::VectorXd& x, Eigen::MatrixXd& j) const {
    j = derivatives(*f, std::vector<double>(x.data(), x.data() + x.size()), static_cast<std::size_t>(m), step);
    return 0;
  }
};

}  // namespace

LeastSquares least_squares(const std::function<std::vector<double>(const std::vector<double>&)>& residuals,
                           std::vector<double> start, std::size_t count, double step, double tolerance) {
  const std::size_t n = start.size();
  require(count >= n && n > 0, "a fit needs at least as many values as parameters");
  Functor functor;
  functor.f = &residuals;
  functor.n = static_cast<int>(n);
  functor.m = static_cast<int>(count);
  functor.step = step;
  Eigen::LevenbergMarquardt<Functor> search(functor);
  search.parameters.maxfev = 4000;
  search.parameters.ftol = std::max(1e-14, 1e-3 * tolerance);
  search.parameters.xtol = tolerance;
  Eigen::VectorXd x = Eigen::Map<const Eigen::VectorXd>(start.data(), static_cast<Eigen::Index>(n));
  const auto status = search.minimize(x);
  using namespace Eigen::LevenbergMarquardtSpace;
  LeastSquares result;
  result.converged = x.allFinite() && (status == RelativeReductionTooSmall || status == RelativeErrorTooSmall ||
                                       status == RelativeErrorAndReductionTooSmall || status == CosinusTooSmall ||
                                       status == FtolTooSmall || status == XtolTooSmall || status == GtolTooSmall);
  result.parameters.assign(x.data(), x.data() + n);
  result.residuals = residuals(result.parameters);
  const Eigen::MatrixXd j = derivatives(residuals, result.parameters, count, step);
  if (!j.allFinite()) {
    result.converged = false;
    return result;
  }
  for (Eigen::Index k = 0; k < j.cols(); ++k) result.sensitivity.push_back(j.col(k).norm());
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> values(j.transpose() * j);
  const auto& spectrum = values.eigenvalues();
  if (spectrum.minCoeff() <= 1e-14 * spectrum.maxCoeff()) return result;
  const Eigen::MatrixXd covariance =
      values.eigenvectors() * spectrum.cwiseInverse().asDiagonal() * values.eigenvectors().transpose();
  result.covariance.assign(n, std::vector<double>(n));
  for (std::size_t a = 0; a < n; ++a)
    for (std::size_t b = 0; b < n; ++b)
      result.covariance[a][b] = covariance(static_cast<Eigen::Index>(a), static_cast<Eigen::Index>(b));
  return result;
}

double half_width_95(double freedom) { return boost::math::quantile(boost::math::students_t(freedom), 0.975); }

}  // namespace stile::sweep::detail

#include <stile/sweep/detail/least_squares.hpp>

#include <algorithm>
#include <cmath>
#include <utility>

#include <Eigen/Cholesky>
#include <Eigen/Core>
#include <Eigen/Eigenvalues>
#include <boost/math/distributions/students_t.hpp>
#include <unsupported/Eigen/NonLinearOptimization>

#include <stile/base/errors.hpp>

namespace stile::sweep::detail {
namespace {

constexpr double least_seen = 1e-8;  // of a reflection; what is left below it is the search's own

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
  result.derivatives.reserve(count * n);
  for (Eigen::Index i = 0; i < j.rows(); ++i)
    for (Eigen::Index k = 0; k < j.cols(); ++k) result.derivatives.push_back(j(i, k));
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

Scatter scatter(const LeastSquares& answer, const std::vector<std::size_t>& group, bool misfits, double alike) {
  const std::vector<double>& r = answer.residuals;
  const std::size_t n = answer.parameters.size();
  require(r.size() == 2 * group.size() && r.size() > n, "two residuals a point, and more than parameters");
  Scatter result;
  result.freedom = static_cast<double>(r.size() - n);
  double squares = 0.0, lag = 0.0, steps = 0.0;
  std::size_t neighbours = 0;
  for (std::size_t i = 0; i < r.size(); ++i) {
    squares += r[i] * r[i];
    if (i < 2 || group[i / 2] != group[i / 2 - 1]) continue;
    ++neighbours;
    lag += r[i] * r[i - 2];
    steps += (r[i] - r[i - 2]) * (r[i] - r[i - 2]);
  }
  const auto pairs = static_cast<double>(neighbours);
  result.sigma = std::sqrt(squares / result.freedom);
  if (neighbours > 0) {
    result.noise = std::sqrt(std::max(0.5 * steps + alike, 0.0) / pairs);
    if (squares > 0.0) result.correlation = (lag - alike) / pairs / (squares / static_cast<double>(r.size()));
    result.structured = result.sigma > least_seen && result.correlation > 3.0 / std::sqrt(pairs);
  }
  if (answer.covariance.empty()) return result;
  const double quantile = half_width_95(result.freedom);
  for (std::size_t k = 0; k < n; ++k)
    result.half.push_back(quantile * result.sigma * std::sqrt(answer.covariance[k][k]));
  const std::size_t groups = group.back() + 1;
  if ((!result.structured && !misfits) || groups < 3) return result;
  using Matrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
  const auto rows = static_cast<Eigen::Index>(r.size()), columns = static_cast<Eigen::Index>(n);
  const Eigen::Map<const Matrix> j(answer.derivatives.data(), rows, columns);
  const Eigen::Map<const Eigen::VectorXd> off(r.data(), rows);
  const Eigen::MatrixXd whole = j.transpose() * j;
  Eigen::VectorXd sum = Eigen::VectorXd::Zero(columns);
  for (std::size_t g = 0; g < groups; ++g) {
    const auto first = std::lower_bound(group.begin(), group.end(), g), last = std::upper_bound(first, group.end(), g);
    const Eigen::Index at = 2 * (first - group.begin()), count = 2 * (last - first);
    const Eigen::MatrixXd part = j.middleRows(at, count);
    const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> left(whole - part.transpose() * part);
    const auto& spectrum = left.eigenvalues();
    if (spectrum.minCoeff() <= 1e-10 * spectrum.maxCoeff()) continue;
    const Eigen::VectorXd shift = left.eigenvectors() * spectrum.cwiseInverse().asDiagonal() *
                                  left.eigenvectors().transpose() * part.transpose() * off.segment(at, count);
    sum += shift.cwiseAbs2();
  }
  const double by_groups = half_width_95(static_cast<double>(groups - 1)) *
                           std::sqrt(static_cast<double>(groups - 1) / static_cast<double>(groups));
  for (std::size_t k = 0; k < n; ++k) {
    const double half = by_groups * std::sqrt(sum(static_cast<Eigen::Index>(k)));
    if (half <= result.half[k]) continue;
    result.widened = std::max(result.widened, half / result.half[k]);
    result.half[k] = half;
  }
  return result;
}

std::vector<std::vector<double>> shifts_by(const LeastSquares& answer,
                                           const std::vector<std::vector<double>>& changes) {
  const std::size_t n = answer.parameters.size();
  require(answer.covariance.size() == n, "the answer is not determined");
  std::vector<std::vector<double>> shifts;
  for (const std::vector<double>& change : changes) {
    require(change.size() == answer.residuals.size(), "a change of each residual");
    std::vector<double> right(n, 0.0), shift(n, 0.0);
    for (std::size_t i = 0; i < change.size(); ++i)
      for (std::size_t k = 0; k < n; ++k) right[k] += answer.derivatives[i * n + k] * change[i];
    for (std::size_t a = 0; a < n; ++a)
      for (std::size_t b = 0; b < n; ++b) shift[a] += answer.covariance[a][b] * right[b];
    shifts.push_back(std::move(shift));
  }
  return shifts;
}

std::vector<std::vector<double>> shift_covariance(const LeastSquares& answer,
                                                  const std::vector<std::vector<double>>& changes) {
  const std::size_t n = answer.parameters.size();
  std::vector<std::vector<double>> sum(n, std::vector<double>(n, 0.0));
  for (const std::vector<double>& shift : shifts_by(answer, changes))
    for (std::size_t a = 0; a < n; ++a)
      for (std::size_t b = 0; b < n; ++b) sum[a][b] += shift[a] * shift[b];
  return sum;
}

Neighbours neighbours(const LeastSquares& answer, const std::vector<LocalChange>& changes,
                      const std::vector<std::size_t>& group) {
  const std::size_t n = answer.parameters.size();
  Neighbours result;
  for (const LocalChange& change : changes)
    for (std::size_t i = 0; i + 1 < change.values.size(); ++i)
      if (group.at(change.first + i) == group.at(change.first + i + 1))
        result.products += 2.0 * (change.values[i] * std::conj(change.values[i + 1])).real();
  if (answer.covariance.empty()) return result;
  const auto size = static_cast<Eigen::Index>(n);
  using Matrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
  const Eigen::Map<const Matrix> j(answer.derivatives.data(), static_cast<Eigen::Index>(answer.residuals.size()), size);
  Eigen::MatrixXd inner = Eigen::MatrixXd::Zero(size, size);  // between J^T and J
  for (const LocalChange& change : changes) {
    for (const cdouble phase : {cdouble(1.0, 0.0), cdouble(0.0, 1.0)}) {
      Eigen::VectorXd whole = Eigen::VectorXd::Zero(size);
      for (std::size_t i = 0; i < change.values.size(); ++i) {
        const cdouble value = phase * change.values[i];
        const auto row = static_cast<Eigen::Index>(2 * (change.first + i));
        const Eigen::VectorXd one = value.real() * j.row(row).transpose() + value.imag() * j.row(row + 1).transpose();
        whole += one;
        inner -= one * one.transpose();
      }
      inner += whole * whole.transpose();
    }
  }
  Eigen::MatrixXd own(size, size);
  for (Eigen::Index a = 0; a < size; ++a)
    for (Eigen::Index b = 0; b < size; ++b)
      own(a, b) = answer.covariance[static_cast<std::size_t>(a)][static_cast<std::size_t>(b)];
  const Eigen::MatrixXd sum = own * inner * own;
  result.covariance.assign(n, std::vector<double>(n));
  for (Eigen::Index a = 0; a < size; ++a)
    for (Eigen::Index b = 0; b < size; ++b)
      result.covariance[static_cast<std::size_t>(a)][static_cast<std::size_t>(b)] = sum(a, b);
  return result;
}

std::vector<double> with_neighbours(std::vector<double> half, const Neighbours& more) {
  for (std::size_t k = 0; k < half.size(); ++k)
    half[k] = std::hypot(half[k], normal_95 * std::sqrt(std::max(0.0, more.covariance[k][k])));
  return half;
}

LeastSquares less_shared(LeastSquares answer, const std::vector<std::vector<double>>& changes, double noise) {
  if (changes.empty() || !(noise > 0.0) || answer.derivatives.empty()) return answer;
  const auto rows = static_cast<Eigen::Index>(answer.residuals.size()),
             sought = static_cast<Eigen::Index>(answer.parameters.size()),
             errors = static_cast<Eigen::Index>(changes.size());
  Eigen::MatrixXd by(rows, sought + errors);  // of residuals over the noise
  for (Eigen::Index i = 0; i < rows; ++i) {
    const auto row = static_cast<std::size_t>(i);
    for (Eigen::Index k = 0; k < sought; ++k)
      by(i, k) = answer.derivatives[row * answer.parameters.size() + static_cast<std::size_t>(k)] / noise;
    for (Eigen::Index k = 0; k < errors; ++k) by(i, sought + k) = changes[static_cast<std::size_t>(k)][row] / noise;
  }
  Eigen::Map<Eigen::VectorXd> residuals(answer.residuals.data(), rows);
  Eigen::MatrixXd normal = by.transpose() * by;
  for (Eigen::Index k = 0; k < errors; ++k) normal(sought + k, sought + k) += 1.0;
  const Eigen::VectorXd found = Eigen::LDLT<Eigen::MatrixXd>(normal).solve(-by.transpose() * residuals / noise);
  if (found.allFinite()) residuals += noise * (by * found);
  return answer;
}

std::vector<std::vector<double>> independent_shifts(const std::vector<std::vector<double>>& covariance) {
  const auto n = static_cast<Eigen::Index>(covariance.size());
  Eigen::MatrixXd matrix(n, n);
  for (Eigen::Index a = 0; a < n; ++a)
    for (Eigen::Index b = 0; b < n; ++b)
      matrix(a, b) = covariance[static_cast<std::size_t>(a)][static_cast<std::size_t>(b)];
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> parts(matrix);
  std::vector<std::vector<double>> shifts;
  for (Eigen::Index k = 0; k < n; ++k) {
    const Eigen::VectorXd shift = std::sqrt(std::max(0.0, parts.eigenvalues()(k))) * parts.eigenvectors().col(k);
    shifts.emplace_back(shift.data(), shift.data() + n);
  }
  return shifts;
}

std::vector<std::vector<double>> changes_of(const std::vector<std::vector<cdouble>>& errors,
                                            const std::vector<double>& weight) {
  std::vector<std::vector<double>> changes;
  for (const std::vector<cdouble>& error : errors) {
    require(error.size() == weight.size(), "an error of each point");
    changes.emplace_back();
    for (std::size_t i = 0; i < error.size(); ++i) {
      changes.back().push_back(weight[i] * error[i].real());
      changes.back().push_back(weight[i] * error[i].imag());
    }
  }
  return changes;
}

std::vector<std::size_t> parts_of(std::size_t points) {
  const std::size_t parts = std::clamp<std::size_t>(points / 4, 1, 8);
  std::vector<std::size_t> part(points);
  for (std::size_t i = 0; i < points; ++i) part[i] = i * parts / points;
  return part;
}

double half_width_95(double freedom) { return boost::math::quantile(boost::math::students_t(freedom), 0.975); }

}  // namespace stile::sweep::detail

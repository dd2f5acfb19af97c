#include <stile/coil/detail/symmetric_inverse.hpp>

#include <cmath>
#include <numeric>

#include <Eigen/Core>
#include <Eigen/LU>

#include <stile/base/detail/symmetric.hpp>

namespace stile::coil::detail {

SquareMatrix<cdouble> inverse_entries(std::span<const cdouble> a, const std::vector<std::size_t>& rows) {
  const auto n = static_cast<std::size_t>(std::lround(std::sqrt(static_cast<double>(a.size()))));
  stile::detail::SymmetricSystem system(n, rows.size());
  for (std::size_t j = 0; j < n; ++j) {
    for (std::size_t i = j; i < n; ++i) system.set(i, j, a[i + j * n]);
  }
  for (std::size_t k = 0; k < rows.size(); ++k) system.set_right(rows[k], k, 1.0);
  SquareMatrix<cdouble> result(rows.size());
  if (system.eliminate()) {
    for (std::size_t i = 0; i < rows.size(); ++i) {
      for (std::size_t j = 0; j <= i; ++j) result(i, j) = result(j, i) = system.condensed(i, j);
    }
    return result;
  }
  const auto size = static_cast<Eigen::Index>(n);
  const Eigen::MatrixXcd inverse = Eigen::Map<const Eigen::MatrixXcd>(a.data(), size, size).partialPivLu().inverse();
  for (std::size_t i = 0; i < rows.size(); ++i) {
    for (std::size_t j = 0; j < rows.size(); ++j)
      result(i, j) = inverse(static_cast<Eigen::Index>(rows[i]), static_cast<Eigen::Index>(rows[j]));
  }
  return result;
}

SquareMatrix<cdouble> symmetric_inverse(std::span<const cdouble> a) {
  std::vector<std::size_t> all(static_cast<std::size_t>(std::lround(std::sqrt(static_cast<double>(a.size())))));
  std::iota(all.begin(), all.end(), std::size_t{0});
  return inverse_entries(a, all);
}

}  // namespace stile::coil::detail

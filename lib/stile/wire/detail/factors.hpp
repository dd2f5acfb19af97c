#pragma once
// Systems of linear equations with complex coefficients. Internal to the room.

#include <cstddef>
#include <vector>

#include <stile/base/quantity.hpp>

namespace stile::wire::detail {

/// Lower and upper factor of a square matrix, rows exchanged so that pivots are the largest of their columns. All
/// instruction sets give the same bits, since nothing is fused (lib/CMakeLists.txt). Eigen's LU takes two to four times
/// as long: its complex products use the narrowest registers in a build that must run on every machine.
/// Accuracy: residual 1e-13 of the size of the matrix times that of the solution (test_factors.cpp).
/// Source: common practice.
class Factors {
public:
  /// @param matrix  n x n, row by row
  Factors(const std::vector<cdouble>& matrix, std::size_t n);
  /// @param right  n numbers
  /// @return  not finite where the matrix is singular
  std::vector<cdouble> solve(const std::vector<double>& right) const;

private:
  std::size_t n_, width_;          // width: of a row, a whole number of eights
  std::vector<double> re_, im_;    // of L below the diagonal and U, row by row
  std::vector<std::size_t> from_;  // which row of the matrix each row was
};

}  // namespace stile::wire::detail

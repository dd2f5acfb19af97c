#pragma once
// Complex symmetric systems by elimination without pivoting, in plain doubles for the vectoriser. Internal to the room.
//
// Eigen has no L D L^T for a complex symmetric (not Hermitian) matrix; its LU costs twice the work, and its complex
// products use the narrowest registers in a build that must run on every machine.

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include <stile/base/quantity.hpp>
#include <stile/coil/square_matrix.hpp>

namespace stile::coil::detail {

/// right^T A^-1 right for a symmetric A and a real right-hand side, both filled in entry by entry (0 at first).
class SymmetricSystem {
public:
  /// @param size     of A
  /// @param columns  of right
  SymmetricSystem(std::size_t size, std::size_t columns);

  /// Entry of A, row >= column.
  void set(std::size_t row, std::size_t column, cdouble value) {
    re_[row + column * height_] = value.real();
    im_[row + column * height_] = value.imag();
  }
  /// Entry of right. Columns that begin with many zeros cost less when they stand last.
  void set_right(std::size_t row, std::size_t column, double value);

  /// Eliminates A from the matrix that right borders: what is left in the corner is the negative of the result. Nothing
  /// where a pivot is below 1e-3 of what it divides, or no number. Where real and imaginary part of A are both definite
  /// no pivoting is needed (Higham, Math. Comp. 67, 1998, 1591, from memory). Consumes the system.
  std::optional<SquareMatrix<cdouble>> condensed() &&;

private:
  std::size_t size_, columns_, height_;
  std::vector<double> re_, im_;      // the bordered matrix's lower triangle, column after column
  std::vector<std::size_t> begins_;  // first row that is not 0 of each column of right
};

/// Entries of a symmetric matrix's inverse in the rows and columns named, whatever its pivots: by SymmetricSystem, else
/// by LU with pivoting.
/// @param a     its entries, row after row or column after column
/// @param rows  rising, each once
SquareMatrix<cdouble> inverse_entries(std::span<const cdouble> a, const std::vector<std::size_t>& rows);

/// The whole inverse, likewise.
SquareMatrix<cdouble> symmetric_inverse(std::span<const cdouble> a);

}  // namespace stile::coil::detail

#pragma once
// Complex symmetric systems by elimination without pivoting, in plain doubles for the vectoriser. Internal.
//
// Eigen has no L D L^T for a complex symmetric (not Hermitian) matrix; its LU costs twice the work, and its complex
// products use the narrowest registers in a build that must run on every machine.

#include <cstddef>
#include <span>
#include <vector>

#include <stile/base/quantity.hpp>

namespace stile::detail {

/// A symmetric A, bordered by the columns of a right-hand side; both are filled in entry by entry (0 at first).
class SymmetricSystem {
public:
  /// @param size     of A
  /// @param columns  of right
  explicit SymmetricSystem(std::size_t size, std::size_t columns = 0);

  /// Entry of A, row >= column.
  void set(std::size_t row, std::size_t column, cdouble value) {
    re_[row + column * height_] = value.real();
    im_[row + column * height_] = value.imag();
  }
  /// Entry of right. Columns that begin with many zeros cost less when they stand last.
  void set_right(std::size_t row, std::size_t column, cdouble value);

  /// Eliminates A, once everything is set. @return  false where a pivot is below 1e-3 of what it divides in A, or no
  /// number: the system is used up and needs pivoting. Where real and imaginary part of A are both definite it does not
  /// (Higham, Math. Comp. 67, 1998, 1591, from memory).
  bool eliminate();

  /// Entry of right^T A^-1 right, of what was eliminated: what is left in the corner, its sign turned.
  cdouble condensed(std::size_t row, std::size_t column) const;

  /// A^-1 right w of what was eliminated. @param w  one for each column of right
  std::vector<cdouble> solve(std::span<const cdouble> w) const;

private:
  std::size_t size_, columns_, height_;
  std::vector<double> re_, im_;      // the bordered matrix's lower triangle, column after column; later L
  std::vector<cdouble> pivot_;       // D, once eliminated
  std::vector<std::size_t> begins_;  // first row that is not 0 of each column of right
};

}  // namespace stile::detail

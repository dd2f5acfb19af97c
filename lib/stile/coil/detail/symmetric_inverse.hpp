#pragma once
// Inverses of complex symmetric matrices. Internal to the room.

#include <cstddef>
#include <span>
#include <vector>

#include <stile/base/quantity.hpp>
#include <stile/coil/square_matrix.hpp>

namespace stile::coil::detail {

/// Entries of a symmetric matrix's inverse in the rows and columns named, whatever its pivots: by elimination, else
/// by LU with pivoting.
/// @param a     its entries, row after row or column after column
/// @param rows  rising, each once
SquareMatrix<cdouble> inverse_entries(std::span<const cdouble> a, const std::vector<std::size_t>& rows);

/// The whole inverse, likewise.
SquareMatrix<cdouble> symmetric_inverse(std::span<const cdouble> a);

}  // namespace stile::coil::detail

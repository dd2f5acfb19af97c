#pragma once
// The one grammar of a decimal number in text. Internal: users read numbers by quantity.hpp, table.hpp and
// touchstone.hpp.

#include <cstddef>
#include <optional>
#include <string_view>

namespace stile::detail {

/// Digits with at most one point, then perhaps e or E with a whole power of ten, perhaps signed; a sign in front where
/// `sign` is set. No nan, inf, hexadecimal or digit groups, and the point in every locale.
/// @return  one past the number that starts at `at`, or `at` when none does; what may follow is the caller's business
std::size_t decimal_end(std::string_view text, std::size_t at, bool sign);

/// Value of a number that decimal_end took whole, times 10^exponent: the power goes into the text's exponent, so that
/// the result is rounded once. Real: double or long double.
/// @return  nothing when it does not fit
template <class Real>
std::optional<Real> decimal_value(std::string_view number, int exponent = 0);

}  // namespace stile::detail

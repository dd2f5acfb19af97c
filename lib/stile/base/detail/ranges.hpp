#pragma once
// Ranges that arguments are checked against; nan is in none of them.

#include <cmath>

namespace stile {

/// Finite and > 0.
inline bool positive(double x) { return std::isfinite(x) && x > 0.0; }
/// Finite and >= 0.
inline bool not_negative(double x) { return std::isfinite(x) && x >= 0.0; }

}  // namespace stile

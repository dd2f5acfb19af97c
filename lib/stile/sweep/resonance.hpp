#pragma once
// Where a sweep is resonant, in series and in parallel.

#include <cstddef>
#include <span>
#include <vector>

#include <stile/base/quantity.hpp>

namespace stile::sweep {

/// A frequency at which the reactance rises through 0, or of a parallel resonance the susceptance (the reactance
/// falls).
struct Resonance {
  double frequency_hz = 0.0;
  double resistance_ohm = 0.0;    ///< of a parallel resonance 1/G
  double slope_ohm_per_hz = 0.0;  ///< dX/df, > 0; of a parallel resonance dX/df as B has it, -dB/df / G^2, < 0
  double q = 0.0;                 ///< f/(2 R) |dX/df|; 0 where R is not > 0
  bool parallel = false;
  std::size_t below = 0;  ///< index of the last point below it
};

/// Series and parallel resonances of a sweep, rising, by straight lines of Z or of Y between neighbours.
/// @param frequency_hz  strictly increasing
/// @param z_ohm         as many; where one is not finite there is no resonance
/// Accuracy: the resonance of a series or parallel circuit to 1e-4 of its width f/Q with twenty points in it
/// (test_compare.cpp).
std::vector<Resonance> resonances(std::span<const double> frequency_hz, std::span<const cdouble> z_ohm);

}  // namespace stile::sweep

#pragma once
// Complete elliptic integrals in the combinations that ring formulas need, without cancellation. Internal to the room.
//
// Boost.Math has K and E themselves; the field of a ring needs (1 - k^2/2) K - E, which loses all digits for far rings,
// and 1 - k^2 as an argument of its own for near ones. The arithmetic-geometric mean gives both as sums of positive
// terms. Source: Abramowitz and Stegun 17.6; DLMF 19.8.

#include <cmath>

#include <stile/base/constants.hpp>

namespace stile::coil::detail {

struct Elliptic {
  double k_first = 0.0;    ///< K(k)
  double sum = 0.0;        ///< sum over n >= 1 of 2^(n-1) c_n^2: E = K (1 - k^2/2 - sum), so (1 - k^2/2) K - E = K sum
  double mean = 0.0;       ///< pi/(2K), the arithmetic-geometric mean of 1 and k'
  double below_one = 0.0;  ///< 1 - mean
};

/// @param k2   k^2, 0 to 1
/// @param kc2  1 - k^2 with its own full digits, > 0
inline Elliptic elliptic(double k2, double kc2) {
  const double kc = std::sqrt(kc2);
  double a = 0.5 * (1.0 + kc), b = std::sqrt(kc), c = 0.5 * k2 / (1.0 + kc), weight = 1.0;
  Elliptic r;
  for (int n = 0; n < 40; ++n) {
    const double term = weight * c * c;
    r.sum += term;
    r.below_one += c;
    if (term <= 1e-17 * r.sum && c <= 1e-17 * r.below_one) break;
    const double next = 0.5 * (a + b);
    c = c * c / (4.0 * next);
    b = std::sqrt(a * b);
    a = next;
    weight *= 2.0;
  }
  r.mean = a;
  r.k_first = 0.5 * pi / a;
  return r;
}

/// Geometry of two coaxial rings.
struct RingPair {
  double k2 = 0.0, kc2 = 0.0, reach = 0.0;  ///< reach^2 = (rho1 + rho2)^2 + dz^2
};

inline RingPair ring_pair(double rho1, double rho2, double dz) {
  const double near2 = (rho1 - rho2) * (rho1 - rho2) + dz * dz;
  const double far2 = (rho1 + rho2) * (rho1 + rho2) + dz * dz;
  return {4.0 * rho1 * rho2 / far2, near2 / far2, std::sqrt(far2)};
}

/// Mutual inductance of two ring filaments, H: mu0 sqrt(r1 r2) (2/k) K sum, written without the division by k.
inline double ring_mutual(double rho1, double rho2, double dz) {
  const RingPair pair = ring_pair(rho1, rho2, dz);
  const Elliptic e = elliptic(pair.k2, pair.kc2);
  return mu0_h_m * pair.reach * e.k_first * e.sum;
}

/// Potential of one ring at another, V per C.
inline double ring_potential(double rho1, double rho2, double dz) {
  const RingPair pair = ring_pair(rho1, rho2, dz);
  return elliptic(pair.k2, pair.kc2).k_first / (2.0 * pi * pi * eps0_f_m * pair.reach);
}

}  // namespace stile::coil::detail

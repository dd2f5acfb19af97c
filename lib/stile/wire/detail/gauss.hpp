#pragma once
// Gauss-Legendre rules. Internal to the room.

#include <vector>

namespace stile::wire::detail {

struct GaussPoint {
  double x;  ///< 0..1
  double weight;
};

/// Rule of n points on 0..1, n = 1..512; exact for polynomials of degree 2n - 1 to 1e-14.
std::vector<GaussPoint> gauss_rule(int n);

/// The same rule after x = t^3 (10 - 15 t + 6 t^2), which draws the points together at both ends.
std::vector<GaussPoint> clustered_rule(int n);

}  // namespace stile::wire::detail

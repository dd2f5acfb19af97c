#pragma once
// Gauss-Legendre rules. Internal to the room.

#include <array>
#include <cstddef>
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

/// A rule over two cells at once: each point of the one with each of the other.
struct PairRule {
  std::size_t points;                                        ///< those that weigh; up to a whole number of fours follow
  std::vector<double> x, y;                                  ///< along either cell, as shares of it
  std::array<std::array<std::vector<double>, 2>, 2> weight;  ///< times N_i(x) N_j(y), N_0 = 1 - x, N_1 = x
};
PairRule pair_rule(const std::vector<GaussPoint>& rule);

}  // namespace stile::wire::detail

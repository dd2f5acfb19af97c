#pragma once
// Integrals of exp(-jkR)/R over pairs of straight cells with linear functions. Internal to the room.

#include <array>
#include <complex>

#include <stile/base/quantity.hpp>
#include <stile/wire/geometry.hpp>

namespace stile::wire::detail {

/// A straight cell as the integrals see it.
struct LineCell {
  Vec3 start;
  Vec3 direction;
  double length_m;
  double radius_m;
};

/// The cell in the mirror z = 0. Its direction is mirrored too, its functions stay with their ends.
LineCell mirrored(const LineCell& cell);

/// block[i][j]: double integral of N_i(s) N_j(s') exp(-j k R)/R, N_0 = 1 - s/L, N_1 = s/L, m; R^2 = |r - r'|^2 + b^2.
/// b = the larger radius for cells on one line, the root mean square of the radii where cells meet at an angle, 0 for
/// others; cells on one line that touch and are shorter than 6 radii get the kernel averaged around the tube instead.
struct PairBlock {
  std::array<std::array<cdouble, 2>, 2> n{};
  cdouble sum() const { return n[0][0] + n[0][1] + n[1][0] + n[1][1]; }  ///< with both functions 1
};

/// What two cells do to each other: vector potential between their linear functions, scalar potential between uniform
/// charges, both without the factors mu0/4pi and 1/(4 pi eps0), m.
struct CellCoupling {
  std::array<std::array<cdouble, 2>, 2> vector{};
  cdouble scalar;
};

/// Accuracy: 1e-5; the imaginary part, which carries the radiation, to 1e-8.
PairBlock pair_block(const LineCell& test, const LineCell& source, double k_rad_m);

struct PointPotential {
  cdouble n0;  ///< integral of N_0 exp(-j k R)/R over the cell
  cdouble n1;
};

/// The same for a point and a cell; b is the cell's radius when the point is within it and 0 otherwise.
PointPotential point_potential(Vec3 point, const LineCell& source, double k_rad_m);

}  // namespace stile::wire::detail

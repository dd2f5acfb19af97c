#pragma once
// Sums over short dipoles of what they send into one direction far away. Internal to the room.

#include <vector>

#include <stile/base/quantity.hpp>
#include <stile/wire/geometry.hpp>

namespace stile::wire::detail {

/// Moments of short dipoles.
struct FarMoments {
  std::vector<double> re_a_m, im_a_m;
};

/// Short dipoles, member by member; up to a whole number of fours by ones without a moment.
struct FarDipoles {
  std::vector<double> x_m, y_m, z_m;
  std::vector<double> along_x, along_y, along_z;  ///< of length 1
  std::vector<FarMoments> moments;                ///< of one antenna, or of several that share the places
};

/// What a dipole sends up at one polar angle, in all directions: factors of its horizontal, its vertical (theta part)
/// and its azimuthal moment.
struct FarRays {
  std::vector<double> re_along, im_along, re_up, im_up, re_across, im_across;
};

/// Cosine and sine of k z of each dipole.
/// Accuracy: 1e-13.
struct HeightPhases {
  std::vector<double> cosine, sine;
};
HeightPhases height_phases(const FarDipoles& dipoles, double k_rad_m);

struct FarSums {
  cdouble theta_a_m, phi_a_m;
};

/// Sums into one azimuth, of all moments. @param k_rad_m  wave number along the ground
/// Accuracy: 1e-13 of the largest moment.
void far_sums(const FarDipoles& dipoles, const FarRays& rays, double k_rad_m, double phi_rad,
              std::vector<FarSums>& sums);

}  // namespace stile::wire::detail

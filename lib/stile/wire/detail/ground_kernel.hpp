#pragma once
// Kernels of the lossy half-space, both source and point in air. Internal to the room.
//
// With Z = z + z', rho the horizontal distance, e the ground's complex permittivity, u0 = sqrt(l^2 - k0^2),
// u1 = sqrt(l^2 - e k0^2), Re u >= 0, D = (u0 + u1)(e u0 + u1), q = 2 (e - 1)/D, all times l exp(-u0 Z) dl:
//   xx = int (u0-u1)/(u0+u1)/u0 J0,  zz = int ((e u0-u1)/(e u0+u1)/u0 + u0 q) J0,
//   phi = int ((u0-u1)/(u0+u1)/u0 - u0 q) J0,  p = -int q l J1.
// xx is added to G_xx and G_yy, zz to G_zz, phi to the scalar kernel; G_zx = cos(a) p, G_xz = -cos(a) p, where a is the
// direction from source to point.

#include <vector>

#include <stile/base/quantity.hpp>
#include <stile/wire/detail/gauss.hpp>

namespace stile::wire::detail {

struct HalfSpace {
  double k0_rad_m;
  cdouble permittivity;  ///< eps_r - j sigma/(w eps0)
  cdouble contrast() const { return (permittivity - 1.0) / (permittivity + 1.0); }
  cdouble k1_rad_m() const { return k0_rad_m * std::sqrt(permittivity); }
};

struct GroundKernel {
  cdouble xx, zz, phi, p;
};

/// A kernel and its slopes over horizontal distance and height sum.
struct KernelSlopes {
  GroundKernel value, by_rho, by_z;
};

/// One node of the quadrature over l, weights inside; what is left when the images 2 c g, -c g (c the contrast, g =
/// exp(-j k0 R)/R) have been taken out of zz and phi, and -c (exp(-j k0 Z) - (Z/R) exp(-j k0 R))/rho out of p.
struct SpectralPoint {
  double l;
  cdouble u0;           ///< real and positive or imaginary and positive
  cdouble xx, zz, phi;  ///< times exp(-u0 Z) J0(l rho)
  cdouble p;            ///< times exp(-u0 Z) J1(l rho)
};

struct KernelRange {
  double rho_low_m, rho_high_m;
  double z_low_m, z_high_m;  ///< either rho_low_m or z_low_m is > 0
};

/// Nodes that serve every place in a range.
/// @param rule  for a panel, in which there is a period of the Bessel function for each six of its points
std::vector<SpectralPoint> spectral_points(const HalfSpace& ground, const KernelRange& range,
                                           const std::vector<GaussPoint>& rule);

/// What the image that the nodes leave out of p has more than the static one, -c rho/(R (R + Z)).
cdouble p_image_change(const HalfSpace& ground, double rho_m, double z_m);

/// The images: 2 c g in zz, -c g in phi and -c rho/(R (R + Z)) in p.
GroundKernel image_kernel(const HalfSpace& ground, double rho_m, double z_m);

/// The whole kernel at one place, slow. @param rho_m >= 0 @param z_m > 0
/// Accuracy: 1e-8 of the largest of its members, against another quadrature in other variables.
GroundKernel half_space_kernel(const HalfSpace& ground, double rho_m, double z_m);

}  // namespace stile::wire::detail

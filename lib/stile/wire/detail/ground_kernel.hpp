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

namespace stile::detail {

struct HalfSpace {
  double k0_rad_m;
  cdouble permittivity;  ///< eps_r - j sigma/(w eps0)
  cdouble contrast() const { return (permittivity - 1.0) / (permittivity + 1.0); }
  cdouble k1_rad_m() const { return k0_rad_m * std::sqrt(permittivity); }
};

struct GroundKernel {
  cdouble xx, zz, phi, p;
};

/// One node of the quadrature over l, weights inside; what is left when the images 2 c g, -c g (c the contrast, g =
/// exp(-j k0 R)/R) and -c rho/(R (R + Z)) have been taken out of zz, phi and p.
struct SpectralPoint {
  double l;
  cdouble u0;
  cdouble xx, zz, phi;  ///< times exp(-u0 Z) J0(l rho)
  cdouble p_air;        ///< times exp(-u0 Z) J1(l rho)
  cdouble p_static;     ///< times exp(-l Z) J1(l rho)
};

/// Nodes that serve every rho in [rho_low_m, rho_high_m] and Z >= z_low_m > 0.
/// @param order  Gauss points in a panel, a panel is at most a period of the Bessel function
std::vector<SpectralPoint> spectral_points(const HalfSpace& ground, double rho_low_m, double rho_high_m, double z_low_m,
                                           int order);

/// The images that were taken out.
GroundKernel image_kernel(const HalfSpace& ground, double rho_m, double z_m);

/// The whole kernel at one place, slow. @param rho_m >= 0 @param z_m > 0
/// Accuracy: 1e-8 of the largest of its members, against another quadrature in other variables.
GroundKernel half_space_kernel(const HalfSpace& ground, double rho_m, double z_m);

}  // namespace stile::detail

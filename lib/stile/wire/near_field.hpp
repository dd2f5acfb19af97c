#pragma once
// Electric and magnetic field near the antenna, from the currents.

#include <span>
#include <vector>

#include <stile/wire/solve.hpp>

namespace stile {

/// Phasors, rms, of the three components.
struct NearField {
  cdouble ex_v_m, ey_v_m, ez_v_m;
  cdouble hx_a_m, hy_a_m, hz_a_m;
  double e_v_m() const;  ///< rms over the period and all components
  double h_a_m() const;
};

/// Fields at points for a given power into the antenna.
///
/// @param points   in air; over ground z >= 0 (lossy: z = 0 is taken just above); a point inside a wire is moved out
///                 to its surface's distance by the thin-wire kernel
/// @param power_w  accepted by the antenna, > 0
/// @throws DomainError  a point below ground or not finite, more than 300 m away from the antenna over lossy ground,
///                      power_w not positive
/// Accuracy: 1e-3 of the strongest component at more than 3 radii and a cell's length from the wire's ends, against a
/// short dipole in closed form and the far field.
std::vector<NearField> near_field(const AntennaSolution& solution, std::span<const Vec3> points, double power_w);

}  // namespace stile

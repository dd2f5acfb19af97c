#pragma once
// Electric and magnetic field near the antenna, from the currents.

#include <span>
#include <vector>

#include <stile/wire/solve.hpp>

namespace stile::wire {

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
/// Accuracy, of the strongest component, a cell's length and more from the ends of wires, against the currents of their
/// surfaces summed: magnetic field 1e-3; electric field 2 % at 3 radii from a wire (worst beside joints of short cells),
/// 0.4 % at 10 radii, 1e-3 from 100 on.
std::vector<NearField> near_field(const AntennaSolution& solution, std::span<const Vec3> points, double power_w);

}  // namespace stile::wire

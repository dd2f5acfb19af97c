#pragma once
// Electric and magnetic field near the antenna, from the currents.

#include <memory>
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

/// Fields at points for a given power into the antenna: those of the currents, without any far-field formula at any
/// distance.
///
/// @param points   in air; over ground z >= 0 (lossy: z = 0 is taken just above); a point inside a wire is moved out
///                 to its surface's distance by the thin-wire kernel
/// @param power_w  accepted by the antenna, > 0
/// @param tables   of lossy grounds, shared by all that is computed in a run; empty: made for the one call
/// @param threads  over which the points are spread, 0: as many as the machine has; the result does not depend on them
/// @throws DomainError  a point below ground or not finite, more than 300 m away from the antenna over lossy ground,
///                      power_w not positive
/// Accuracy, of the strongest component, a cell's length and more from the ends of wires, against the currents of their
/// surfaces summed: magnetic field 1e-3; electric field 2 % at 3 radii from a wire (worst beside joints of short
/// cells), 0.4 % at 10 radii, 1e-3 from 100 on. Of a stated current on a line in free space and over a perfect plane:
/// 1e-6. Maxwell: curl E = -j w mu0 H at 0.1 m and more from conductors and soil to 1e-4 over a perfect plane, 1e-3
/// over soil; the power through a closed box is the power fed in to 1 %.
std::vector<NearField> near_field(const AntennaSolution& solution, std::span<const Vec3> points, double power_w,
                                  std::shared_ptr<GroundTables> tables = {}, unsigned threads = 1);

}  // namespace stile::wire

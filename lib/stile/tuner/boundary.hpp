#pragma once
// The outline of the loads that a continuous tuner matches exactly.

#include <span>
#include <string>
#include <vector>

#include <stile/tuner/continuous.hpp>
#include <stile/tuner/maps.hpp>

namespace stile::tuner {

struct BoundaryPoint {
  ContinuousSetting setting;
  cdouble reflection{};  ///< of the load matched exactly, against the reference
  cdouble z_ohm{};       ///< that load; not finite at reflection 1
  bool outline = false;  ///< the region ends here: loads on one side of the curve are matched by no setting
};

/// One line of settings, mapped.
struct BoundaryCurve {
  std::string label;  ///< "inductor at least, capacitor free" ...
  std::vector<BoundaryPoint> points;
};

/// Edges of the component box (all parts at a limit but one), and for three free parts also the lines on its faces
/// where the map folds: the region's outline is made of these alone.
///
/// Accuracy (asserted): every point is the load that its setting matches exactly, within 1e-9 of reflection. On an edge
/// no chord between neighbouring points leaves its curve by more than `tolerance` of reflection; lines of folds stand
/// at up to 129 values of one part, without that bound. Where matched loads end, a point of the outline is within 0.06
/// of reflection: `outline` looks half a tolerance to each side, and says nothing of slivers narrower than that.
///
/// @param reference_ohm  > 0
/// @param tolerance      > 0
/// @throws DomainError   values outside their range
std::vector<BoundaryCurve> trace_boundary(const ContinuousTuner& tuner, double frequency_hz, cdouble z_source_ohm,
                                          double reference_ohm = 50.0, double tolerance = 1e-3);

/// A piece of a curve in a map's plane.
struct BoundaryStretch {
  std::vector<cdouble> points;  ///< x + j y, at least two
  bool outline = false;
};

/// Stretches that are outline and those that are not, each up to the other's first point. What no passive load is, or
/// is farther out than 20 times the plane's side, is left out.
/// @throws DomainError  as map_range
std::vector<BoundaryStretch> boundary_stretches(std::span<const BoundaryCurve> curves, const MapGrid& grid);

}  // namespace stile::tuner

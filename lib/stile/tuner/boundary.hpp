#pragma once
// The outline of the loads that a continuous tuner matches exactly.

#include <string>
#include <vector>

#include <stile/tuner/continuous.hpp>

namespace stile {

struct BoundaryPoint {
  ContinuousSetting setting;
  cdouble reflection{};  ///< of the load matched exactly, against the reference
  bool outline = false;  ///< the region ends here: loads on one side of the curve are matched by no setting
};

/// One line of settings, mapped.
struct BoundaryCurve {
  std::string label;  ///< "inductor at least, capacitor free" ...
  std::vector<BoundaryPoint> points;
};

/// Edges of the component box (all parts at a limit but one), and for three free parts also the lines on its faces where
/// the map folds: the region's outline is made of these alone. Points lie so close that no chord leaves its curve by
/// more than `tolerance` in the reflection plane.
///
/// @param reference_ohm  > 0
/// @param tolerance      > 0
/// @throws DomainError   values outside their range
std::vector<BoundaryCurve> trace_boundary(const ContinuousTuner& tuner, double frequency_hz, cdouble z_source_ohm,
                                          double reference_ohm = 50.0, double tolerance = 1e-3);

}  // namespace stile

#pragma once
// What moving the coil and changing the whip's length do.

#include <string>
#include <vector>

#include <stile/base/quantity.hpp>
#include <stile/plots/chart.hpp>

namespace stile::plots {

struct WhipStudyPoint {
  double x_m = 0.0;  ///< the coil's distance from the feed, or the whip's length
  cdouble feed_ohm;
  double efficiency = 0.0;        ///< of the antenna
  double tuned_efficiency = 0.0;  ///< with the coil at the feed that takes the reactance away
};

/// A condition; coil may be empty.
struct WhipStudy {
  std::string condition;
  std::vector<WhipStudyPoint> coil, length;  ///< rising x
};

/// Feed reactance and both efficiencies: against the coil's place on the left when there is one, against length.
///
/// @param conditions  1..16; all with or all without a coil
/// @throws DomainError  outside these
Chart whip_study_chart(const std::vector<WhipStudy>& conditions, const ChartText& text);

}  // namespace stile::plots

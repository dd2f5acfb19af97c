#pragma once
// Where the loads of the conditions lie, and how far each may go before what is set no longer holds.

#include <string>
#include <vector>

#include <stile/base/quantity.hpp>
#include <stile/plots/chart.hpp>

namespace stile::plots {

/// A load in one condition.
struct WanderLoad {
  std::string condition;
  cdouble load_ohm{};  ///< finite
};

/// The edge of the loads that an arrangement serves.
struct WanderRegion {
  std::string label;                            ///< the same has the same look in every panel
  std::vector<std::vector<cdouble>> edges_ohm;  ///< pieces, as tuner::trace_reach gives them; finite
};

struct WanderPanel {
  std::string title;              ///< the band
  std::vector<WanderLoad> loads;  ///< not empty
  std::vector<WanderRegion> regions;
  std::vector<cdouble> in_sight_ohm;  ///< further loads that the frame must show; finite
};

/// One panel a band: resistance to the right, reactance upwards, in ohms of equal length, so that a way in the picture
/// is a way in ohms whichever way it goes, and circles stay circles. A reflection plane would press the loads of a
/// whip, a few ohms beside a kilohm, onto its rim. The frame holds all loads; edges go on beyond it.
///
/// @param panels  not empty
/// @throws DomainError  no panel, a panel without a load, a value that is not finite
Chart wander_chart(const std::vector<WanderPanel>& panels, const ChartText& text);

}  // namespace stile::plots

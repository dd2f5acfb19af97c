#pragma once
// How long the battery lasts with each arrangement.

#include <vector>

#include <stile/energy/operating.hpp>
#include <stile/station/station.hpp>

namespace stile::plan {

struct ArrangementTime {
  std::size_t arrangement = 0;  ///< of Station::arrangements
  energy::OperatingTime time;
  energy::BatteryGain gain;  ///< what more battery would buy
};

/// One for each arrangement, in their order; none when the station states no battery.
/// Accuracy: that of energy::operating_time.
std::vector<ArrangementTime> operating_times(const station::Station& station);

}  // namespace stile::plan

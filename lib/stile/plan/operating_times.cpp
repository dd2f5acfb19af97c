#include <stile/plan/operating_times.hpp>

namespace stile::plan {

std::vector<ArrangementTime> operating_times(const station::Station& station) {
  std::vector<ArrangementTime> times;
  if (!station.supply) return times;
  const energy::Battery& battery = station.supply->battery;
  for (std::size_t n = 0; n < station.arrangements.size(); ++n) {
    const energy::OperatingTime time =
        energy::operating_time(battery, station.supply->set, station.arrangements[n].draw);
    times.push_back({n, time, energy::battery_gain(battery, time.time_range_h)});
  }
  return times;
}

}  // namespace stile::plan

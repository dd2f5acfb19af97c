#include <stile/station/solve_loads.hpp>

#include <algorithm>
#include <cmath>
#include <optional>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/load/antenna_load.hpp>

namespace stile::station {
namespace {

/// The bands, each with what uncertain lengths of the antenna reach beyond it, up to half-way to its neighbours.
std::vector<Range> reached(const Station& station) {
  std::vector<Range> all;
  for (const Band& band : station.bands) {
    Range reach{band.low_hz * (1.0 - station.uncertainty.lengths), band.high_hz * (1.0 + station.uncertainty.lengths)};
    for (const Band& other : station.bands) {
      if (other.high_hz < band.low_hz) reach.low = std::max(reach.low, std::sqrt(other.high_hz * band.low_hz));
      if (other.low_hz > band.high_hz) reach.high = std::min(reach.high, std::sqrt(band.high_hz * other.low_hz));
    }
    all.push_back(reach);
  }
  return all;
}

}  // namespace

Station solve_loads(Station station, const LoadNeeds& needs, const StationProgress& progress, unsigned threads,
                    const wire::SolveOptions& stated_options) {
  for (const std::string& name : needs.conditions) {
    if (std::none_of(station.conditions.begin(), station.conditions.end(),
                     [&](const Condition& c) { return c.name == name; }))
      throw DomainError(fmt::format("the station has no condition \"{}\"", name));
  }
  std::vector<Range> ranges_hz = needs.ranges_hz;
  std::vector<std::optional<Range>> elevations_deg;
  if (ranges_hz.empty()) {
    ranges_hz = reached(station);
    for (const Band& band : station.bands)
      elevations_deg.push_back(band.path ? std::optional(band.path->elevation_deg) : std::nullopt);
  }
  const wire::SolveOptions options = wire::with_tables(stated_options);  // conditions over one ground share its kernels
  for (Antenna& antenna : station.antennas) {
    const auto solve = [&](AntennaLoad& load, const std::string& of_contact) {
      const std::string name = load.load.name;
      const bool needed = needs.conditions.empty() ||
                          std::find(needs.conditions.begin(), needs.conditions.end(), name) != needs.conditions.end();
      if (!load.wires || !needed) return;
      wire::SweepProgress lines;
      if (progress) {
        lines = [&](std::size_t done, std::size_t total) {
          progress(fmt::format("antenna {}\"{}\"{}: {} of {} frequencies",
                               antenna.name.empty() ? "" : antenna.name + ", ", name, of_contact, done, total));
        };
      }
      load::antenna_frequencies(ranges_hz);  // what is wrong with the caller's ranges is not the file's fault
      const StatedWires& wires = *load.wires;
      try {
        load.load = load::antenna_load(name, wires.origin, wires.antenna, wires.ground, ranges_hz, options, threads,
                                       lines, elevations_deg);
      } catch (const DomainError& error) {
        throw ParseError(wires.where, error.what());
      }
      if (station.whip_on_body && !wires.carried) load.load.reading_warnings.emplace_back(drawn_alone_warning);
      load.solved_from = std::move(load.wires);
      load.wires.reset();
    };
    for (AntennaLoad& load : antenna.loads) {
      solve(load, "");
      for (AntennaLoad& end : load.ends) solve(end, &end == &load.ends.front() ? ", least contact" : ", most contact");
    }
  }
  return station;
}

}  // namespace stile::station

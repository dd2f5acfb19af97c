#include <stile/station/solve_loads.hpp>

#include <algorithm>
#include <cmath>
#include <optional>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/load/antenna_load.hpp>

namespace stile::station {
namespace {

constexpr double rounding = 1e-9;  // of a frequency; less is no distance

/// What uncertain lengths of an antenna reach beyond the bands, up to half-way to the next band. Where another band
/// goes on beyond an end, that one reaches farther.
std::vector<Range> reached_beyond(const Station& station) {
  const double reach = station.uncertainty.lengths;
  std::vector<Range> beyond;
  const auto add = [&](const Range& range_hz) {
    if (range_hz.low < range_hz.high * (1.0 - rounding)) beyond.push_back(range_hz);
  };
  for (const Band& band : station.bands) {
    Range below{band.low_hz * (1.0 - reach), band.low_hz}, above{band.high_hz, band.high_hz * (1.0 + reach)};
    for (const Band& other : station.bands) {
      if (other.low_hz < band.low_hz)
        below.low = std::max(below.low, std::sqrt(std::min(other.high_hz, band.low_hz) * band.low_hz));
      if (other.high_hz > band.high_hz)
        above.high = std::min(above.high, std::sqrt(band.high_hz * std::max(other.low_hz, band.high_hz)));
    }
    add(below);
    add(above);
  }
  return beyond;
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
    for (const Band& band : station.bands) {
      ranges_hz.push_back({band.low_hz, band.high_hz});
      elevations_deg.push_back(band.path ? std::optional(band.path->elevation_deg) : std::nullopt);
    }
    for (const Range& range_hz : reached_beyond(station)) {
      ranges_hz.push_back(range_hz);
      elevations_deg.emplace_back();  // the gain at other lengths is that of the band's own point (at_lengths)
    }
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

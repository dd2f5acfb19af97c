#pragma once
// Loads that a station states as wires, solved as far as a job needs them.

#include <functional>
#include <string>
#include <vector>

#include <stile/base/range.hpp>
#include <stile/station/station.hpp>
#include <stile/wire/solve.hpp>

namespace stile::station {

/// What a job asks of a station's loads. What it does not ask for is not solved.
struct LoadNeeds {
  std::vector<std::string> conditions{};  ///< by name; empty: every one
  std::vector<Range> ranges_hz{};  ///< low = high is one frequency; empty: the station's bands, with the gain into
                                   ///< their paths
};

/// Of an antenna that is carried and drawn alone; stations and briefs warn alike.
inline constexpr const char* drawn_alone_warning =
    "the whip is carried, but its wires are without [set] and [person]: the wander between conditions is overstated";

/// Called with a line for people while antennas are solved, which takes seconds.
using StationProgress = std::function<void(const std::string& line)>;

/// The station with the loads that are needed solved and sampled at antenna_frequencies; others stay as they are. A
/// load that is not of wires, or solved already, is left alone. Where lengths are uncertain each band is solved as far
/// beyond its ends as they reach, at most half-way to its neighbours; there without the gain into a path.
///
/// @param progress  may be empty
/// @param threads   0: as many as the machine has; the result does not depend on it
/// @param options   of the solver: whoever solves many stations shares the kernels of their grounds (wire::with_tables)
/// @throws DomainError  a condition that the station does not have, frequencies that antenna_frequencies refuses
/// @throws ParseError   what the solver refuses, at the place where the file states the wires
/// Accuracy: that of antenna_load.
Station solve_loads(Station station, const LoadNeeds& needs = {}, const StationProgress& progress = {},
                    unsigned threads = 0, const wire::SolveOptions& options = {});

}  // namespace stile::station

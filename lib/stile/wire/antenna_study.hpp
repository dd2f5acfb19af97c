#pragma once
// What moving the coil along the whip, and changing the whip's length, do.

#include <cstddef>
#include <functional>
#include <vector>

#include <stile/wire/solve.hpp>
#include <stile/wire/wire_case.hpp>

namespace stile::wire {

/// The antenna with the wire that carries the feed 0.5, 0.6 ... 1.5 times as long, eleven; coils on it keep their place
/// in proportion, and what hangs on it above its base moves along.
std::vector<Antenna> lengthened_whips(const Antenna& antenna);

/// The antenna with the first coil of the feed's wire at 5 %, 10 % ... 95 % of that wire's length, where check_antenna
/// lets it stand; empty without such a coil.
std::vector<Antenna> moved_coils(const Antenna& antenna, const Ground& ground);

struct AntennaStudyPoint {
  double x_m = 0.0;  ///< the coil's distance from the feed, or the whip's length
  cdouble feed_ohm;
  double efficiency = 0.0;        ///< of the antenna
  double tuned_efficiency = 0.0;  ///< with the coil at the feed that takes the reactance away
};

/// A condition; coil may be empty.
struct AntennaStudy {
  std::string condition;
  std::vector<AntennaStudyPoint> coil, length;  ///< rising x
};

/// How many antennas study_antenna solves.
std::size_t study_count(const WireCase& wires);

/// Both at one frequency.
/// @param tuning_q  of the coil that tunes the feed, > 0
/// @param progress   called after each solution; may be empty
/// @throws DomainError  as solve_antenna and tuned_efficiency
AntennaStudy study_antenna(const WireCase& wires, double frequency_hz, double tuning_q,
                           const SolveOptions& options = {}, const std::function<void()>& progress = {});

}  // namespace stile::wire

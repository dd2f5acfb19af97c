#pragma once
// Many frequencies, in parallel.

#include <functional>
#include <span>
#include <vector>

#include <stile/wire/solve.hpp>

namespace stile {

/// Called after each frequency with how many are done, from one thread at a time, in no fixed order of frequencies.
using SweepProgress = std::function<void(std::size_t done, std::size_t total)>;

/// solve_antenna at every frequency, spread over threads. The result does not depend on their number.
///
/// @param threads   0: as many as the machine has
/// @param progress  may be empty
/// @return          in the order of frequencies_hz
/// @throws DomainError  as solve_antenna (the first frequency in order that fails); what progress throws passes through
std::vector<AntennaSolution> sweep_antenna(const Antenna& antenna, const Ground& ground,
                                           std::span<const double> frequencies_hz, const SolveOptions& options = {},
                                           unsigned threads = 0, const SweepProgress& progress = {});

}  // namespace stile

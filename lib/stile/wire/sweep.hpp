#pragma once
// Many frequencies, in parallel, few of them solved.

#include <functional>
#include <span>
#include <vector>

#include <stile/wire/solve.hpp>
#include <stile/wire/wire_case.hpp>

namespace stile::wire {

/// Neighbours of a sweep's frequencies that are no farther apart share a mesh.
inline constexpr double stretch_ratio = 1.1;

/// Called after each frequency with how many are done, from one thread at a time, in no fixed order of frequencies.
using SweepProgress = std::function<void(std::size_t done, std::size_t total)>;

/// What solve_antenna says at every frequency, spread over threads. The result does not depend on their number.
///
/// Frequencies whose neighbours are within 10 % form a range. A range has its cells cut for its highest frequency, so
/// that curves do not jump where their number changes; the impedance differs from solve_antenna's as after a change of
/// the cells, see there. Within a range of more than 8 frequencies the currents are interpolated by rational functions
/// between solved ones, which are added until what was foretold of the last three is within 2e-5 of |Z| and the fit
/// with them says the same of all others within 5e-5; the rest follows from the currents.
/// Accuracy: within 1e-4 of |Z|,
/// 1e-3 of R and 1e-4 of a share of solving every point, which options.every_point does. For 61 points over an amateur
/// band it solves at most 12, for 200 points over 3 to 30 MHz at most 50.
///
/// @param threads   0: as many as the machine has
/// @param progress  may be empty
/// @return          in the order of frequencies_hz
/// @throws DomainError  as solve_antenna (the first frequency in order that fails); what progress throws passes through
std::vector<AntennaSolution> sweep_antenna(const Antenna& antenna, const Ground& ground,
                                           std::span<const double> frequencies_hz, const SolveOptions& options = {},
                                           unsigned threads = 0, const SweepProgress& progress = {});

/// The same of several antennas, each over its own ground. Those with the same wires over the same ground that differ
/// in what is in series with them - metals, values of coils and lumps, such as the contacts of a hand - are eliminated
/// together, and all are solved at a frequency that one of them asks for.
/// Accuracy: at every frequency that is solved 1e-9 of |Z| from sweep_antenna; where it interpolates that of
/// sweep_antenna, and what is told of an antenna may differ within that with what stands beside it.
///
/// @param progress  counts each antenna at each frequency
/// @return          of each antenna, in their order
/// @throws DomainError  as sweep_antenna, of the first case that is wrong, before any is solved
std::vector<std::vector<AntennaSolution>> sweep_cases(std::span<const WireCase> cases,
                                                      std::span<const double> frequencies_hz,
                                                      const SolveOptions& options = {}, unsigned threads = 0,
                                                      const SweepProgress& progress = {});

}  // namespace stile::wire

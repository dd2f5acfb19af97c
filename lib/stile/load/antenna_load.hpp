#pragma once
// A load from the wire solver: sampled over the bands that are used, with where the power goes.

#include <optional>
#include <string>
#include <vector>

#include <stile/base/range.hpp>
#include <stile/load/load.hpp>
#include <stile/wire/sweep.hpp>

namespace stile::load {

/// Widest step between samples of a band, relative to its lower end.
inline constexpr double antenna_step = 0.0025;

/// Most samples of one load: many times what all amateur bands below 60 MHz take together.
inline constexpr std::size_t most_antenna_samples = 8000;

/// Frequencies at which antenna_load samples: each range at even steps from end to end, of at most antenna_step of its
/// lower end and at least five points; a range of one frequency (low = high) at that one. In rising order, without
/// repetition where ranges overlap.
/// @throws DomainError  no range, one that is not 0 < low <= high, or more than most_antenna_samples
std::vector<double> antenna_frequencies(const std::vector<Range>& ranges_hz);

/// Feed impedance of an antenna as a sampled load with power shares: what heats a loading coil counts as
/// metal; person and lumps have their own.
///
/// Ranges are not joined where their ends are more than 2 % apart; there the load has no value.
/// @param name, origin  see Load; cautions about thin wires become reading_warnings
/// @param elevations_deg  one a range, or none: what the load's path_gain is averaged over; where ranges meet or
///                        overlap, the first of them that has some
/// @param threads       0: as many as the machine has; the result does not depend on it
/// @throws DomainError  as antenna_frequencies and solve_antenna; an impedance whose real part is negative
/// Accuracy: that of sweep_antenna, which solves at most a dozen samples of a band. Samples and what is interpolated
/// between them are within 1e-4 of |Z| and 1e-4 of a share of solving every frequency of the band, for a whip with a
/// trailing wire on bands of 0.5 to 9 % width, a resonance of the wire near one of them.
Load antenna_load(const std::string& name, const std::string& origin, const wire::Antenna& antenna,
                  const wire::Ground& ground, const std::vector<Range>& ranges_hz,
                  const wire::SolveOptions& options = {}, unsigned threads = 0,
                  const wire::SweepProgress& progress = {},
                  const std::vector<std::optional<Range>>& elevations_deg = {});

}  // namespace stile::load

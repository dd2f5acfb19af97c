#pragma once
// Where the feed reactance is zero: by length, by coil, by frequency. For library users.

#include <cstddef>
#include <functional>

#include <stile/base/roots.hpp>
#include <stile/wire/solve.hpp>

namespace stile::wire {

/// An antenna of which one length is free.
using AntennaOfLength = std::function<Antenna(double length_m)>;

/// The root's x is the unknown in SI, its residual the reactance left, ohm; found when that is below 0.01 ohm.
/// A bracket without a change of sign gives RootStatus::no_bracket; a reactance that jumps through infinity, pole.
/// The bracket is 0 < low < high, and every antenna between must be legal.
/// @throws DomainError  as solve_antenna
Root resonant_length(const AntennaOfLength& antenna, const Ground& ground, double frequency_hz, double low_m,
                     double high_m, const SolveOptions& options = {});

/// Inductance of one of the antenna's coils. @throws DomainError  no such coil
Root resonant_coil(const Antenna& antenna, std::size_t coil, const Ground& ground, double frequency_hz, double low_h,
                   double high_h, const SolveOptions& options = {});

Root resonant_frequency(const Antenna& antenna, const Ground& ground, double low_hz, double high_hz,
                        const SolveOptions& options = {});

}  // namespace stile::wire

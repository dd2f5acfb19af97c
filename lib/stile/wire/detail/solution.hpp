#pragma once
// The two halves of solve_antenna, and what may stand between them. Internal to the room.

#include <vector>

#include <stile/wire/detail/matrix.hpp>
#include <stile/wire/detail/mesh.hpp>
#include <stile/wire/solve.hpp>

namespace stile::wire::detail {

/// @throws DomainError  frequency or options out of range
void check_solve(double frequency_hz, const SolveOptions& options);

/// A checked antenna, cut into cells for `frequency_hz` and the frequencies below.
/// @throws DomainError  as solve_antenna
Mesh checked_mesh(const Antenna& antenna, const Ground& ground, double frequency_hz, const SolveOptions& options);

/// Coefficients of the mesh's functions for 1 V at the feed, A.
std::vector<cdouble> mesh_currents(const Antenna& antenna, const Ground& ground, double frequency_hz,
                                   const SolveOptions& options, const Mesh& mesh);

/// What a vector of weights takes from these coefficients.
cdouble current_of(const std::vector<double>& weights, const std::vector<cdouble>& currents);

/// Capacitance and leakage of the base, across the terminals.
cdouble base_admittance(const Feed& feed, double frequency_hz);

/// At the terminals, base included, of an antenna with these coefficients.
cdouble feed_impedance(const Antenna& antenna, double frequency_hz, const Mesh& mesh,
                       const std::vector<cdouble>& currents);

/// What follows from them.
AntennaSolution solution_of(const Antenna& antenna, const Ground& ground, double frequency_hz,
                            const SolveOptions& options, const Mesh& mesh, const std::vector<cdouble>& currents);

}  // namespace stile::wire::detail

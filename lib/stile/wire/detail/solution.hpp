#pragma once
// The two halves of solve_antenna, and what may stand between them. Internal to the room.

#include <span>
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

/// Coefficients of the mesh's functions for 1 V at the feed, A, of each of several antennas that are alike but for what
/// is in series with their wires and share the mesh.
std::vector<std::vector<cdouble>> mesh_currents(std::span<const Antenna> antennas, const Ground& ground,
                                                double frequency_hz, const SolveOptions& options, const Mesh& mesh);

/// What a vector of weights takes from these coefficients.
cdouble current_of(const std::vector<double>& weights, const std::vector<cdouble>& currents);

/// Capacitance and leakage of the base, across the terminals.
cdouble base_admittance(const Feed& feed, double frequency_hz);

/// At the terminals, base included, of an antenna with these coefficients.
cdouble feed_impedance(const Antenna& antenna, double frequency_hz, const Mesh& mesh,
                       const std::vector<cdouble>& currents);

/// What follows from those of mesh_currents, antenna by antenna.
std::vector<AntennaSolution> solutions_of(std::span<const Antenna> antennas, const Ground& ground, double frequency_hz,
                                          const SolveOptions& options, const Mesh& mesh,
                                          std::span<const std::vector<cdouble>> currents);

/// The same of one.
AntennaSolution solution_of(const Antenna& antenna, const Ground& ground, double frequency_hz,
                            const SolveOptions& options, const Mesh& mesh, const std::vector<cdouble>& currents);

}  // namespace stile::wire::detail

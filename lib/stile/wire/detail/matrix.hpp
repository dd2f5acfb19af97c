#pragma once
// The impedance matrix of a mesh. Internal to the room.

#include <vector>

#include <stile/wire/detail/ground_model.hpp>
#include <stile/wire/detail/kernel.hpp>
#include <stile/wire/detail/mesh.hpp>
#include <stile/wire/known_couplings.hpp>

namespace stile::wire::detail {

CellCoupling couple(const LineCell& test, const LineCell& source, const GroundModel& ground, double k_rad_m);

/// What heats a cell, ohm/m and ohm.
struct CellLoss {
  cdouble metal_ohm_m;
  cdouble coil_ohm;  ///< of this cell's part of a spread coil
};

/// Impedance of a coil with its loss and self-capacitance, ohm.
cdouble coil_impedance(const WireCoil& coil, double frequency_hz);

/// Impedance of a lump, ohm.
cdouble lump_impedance(const WireLump& lump, double frequency_hz);

std::vector<CellLoss> cell_losses(const Antenna& antenna, const Mesh& mesh, double frequency_hz);

LineCell line_cell(const Cell& cell);

/// What the current functions do to each other through air and ground, ohm: the lower triangle, column by column.
/// @param known  couplings of wires are taken from there; null: computed and not kept, with the same bits
std::vector<cdouble> coupling_matrix(const Mesh& mesh, const GroundModel& ground, double frequency_hz,
                                     const KnownCouplings* known = nullptr);

/// An entry of the lower triangle, to be added there.
struct MatrixEntry {
  std::size_t row, column;
  cdouble ohm;
};

/// What stands in series with the wires - metal, coils, lumps - and their coats. Where it stands depends on the mesh
/// alone: antennas that share one have the same rows and columns here, in the same order.
std::vector<MatrixEntry> series_entries(const Antenna& antenna, const Mesh& mesh, const std::vector<CellLoss>& losses,
                                        double frequency_hz);

/// Both together: the symmetric matrix of the current functions, ohm.
std::vector<cdouble> impedance_matrix(const Antenna& antenna, const Mesh& mesh, const std::vector<CellLoss>& losses,
                                      const GroundModel& ground, double frequency_hz);

/// Coefficients of the current functions for 1 V at each of several places, given by their weights, A: for each antenna
/// those of each place. What the antennas have in common is eliminated once.
/// @param couplings  see coupling_matrix
/// @param series     see series_entries; of each antenna
/// @throws DomainError  a system has no finite solution
std::vector<std::vector<std::vector<cdouble>>> solve_currents(const std::vector<std::vector<double>>& places,
                                                              const std::vector<cdouble>& couplings,
                                                              const std::vector<std::vector<MatrixEntry>>& series);

/// The same of one antenna and a feed of 1 V.
/// @param matrix  see impedance_matrix
std::vector<cdouble> solve_currents(const Mesh& mesh, const std::vector<cdouble>& matrix);

}  // namespace stile::wire::detail

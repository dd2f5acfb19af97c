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

/// Symmetric matrix of the current functions, ohm; row by row.
/// @param known  couplings of wires are taken from there; null: computed and not kept, with the same bits
std::vector<cdouble> impedance_matrix(const Antenna& antenna, const Mesh& mesh, const std::vector<CellLoss>& losses,
                                      const GroundModel& ground, double frequency_hz,
                                      const KnownCouplings* known = nullptr);

/// Adds a series impedance at the place of a lump.
void add_lump(std::vector<cdouble>& matrix, const Mesh& mesh, const LumpPlace& place, cdouble series_ohm);

/// Coefficients of the current functions for 1 V at the feed, A; the matrix is used up.
/// @throws DomainError  the system has no finite solution
std::vector<cdouble> solve_currents(const Mesh& mesh, std::vector<cdouble> matrix);

/// The same for 1 V at each of several places, given by their weights.
std::vector<std::vector<cdouble>> solve_currents(const std::vector<std::vector<double>>& places,
                                                 std::vector<cdouble> matrix);

}  // namespace stile::wire::detail

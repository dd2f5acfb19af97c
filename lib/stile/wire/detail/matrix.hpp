#pragma once
// The impedance matrix of a mesh. Internal to the room.

#include <array>
#include <cstddef>
#include <vector>

#include <stile/wire/detail/ground_model.hpp>
#include <stile/wire/detail/kernel.hpp>
#include <stile/wire/detail/mesh.hpp>

namespace stile::wire::detail {

CellCoupling couple(const LineCell& test, const LineCell& source, const GroundModel& ground, double k_rad_m);

/// What the cells of one mesh do to each other, for meshes of the same ground and frequency that share some of its
/// cells.
class KnownCouplings {
public:
  static constexpr std::size_t unknown = static_cast<std::size_t>(-1);
  KnownCouplings(const Mesh& mesh, const GroundModel& ground, double k_rad_m);
  /// Where each cell of a mesh stands here, to the bit; unknown where none is the same.
  std::vector<std::size_t> places(const Mesh& mesh) const;
  /// @param test, source  places here, test <= source
  const CellCoupling& at(std::size_t test, std::size_t source) const {
    return all_[test * cells_.size() - test * (test + 1) / 2 + source];
  }

private:
  std::vector<LineCell> cells_;
  std::vector<CellCoupling> all_;  // of test <= source, row by row
};

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

/// Symmetric matrix of the current functions, ohm; row by row. What is known is not computed again: the bits are the
/// same.
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

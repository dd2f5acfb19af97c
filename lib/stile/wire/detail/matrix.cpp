#include <stile/wire/detail/matrix.hpp>

#include <algorithm>
#include <cmath>
#include <tuple>
#include <utility>

#include <fmt/core.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/conductor/skin.hpp>
#include <stile/wire/detail/coupling_store.hpp>
#include <stile/wire/detail/ground_rest.hpp>
#include <stile/wire/vec3.hpp>

namespace stile::wire::detail {

namespace {

constexpr cdouble j{0.0, 1.0};

}  // namespace

CellCoupling couple(const LineCell& p, const LineCell& q, const GroundModel& ground, double k_rad_m) {
  CellCoupling sum;
  const double horizontal = p.direction.x_m * q.direction.x_m + p.direction.y_m * q.direction.y_m;
  const double vertical = p.direction.z_m * q.direction.z_m;
  const auto add = [&](const PairBlock& block, auto vector, auto scalar) {
    for (std::size_t a = 0; a < 2; ++a) {
      for (std::size_t b = 0; b < 2; ++b) sum.vector[a][b] += vector * block.n[a][b];
    }
    sum.scalar += scalar * block.sum();
  };
  add(pair_block(p, q, k_rad_m), horizontal + vertical, 1.0);
  if (!ground.present) return sum;
  add(pair_block(p, mirrored(q), k_rad_m), ground.image_xx * horizontal + ground.image_zz * vertical, ground.image_phi);
  if (!ground.has_rest()) return sum;
  const CellCoupling rest = rest_coupling(p, q, ground);
  for (std::size_t a = 0; a < 2; ++a) {
    for (std::size_t b = 0; b < 2; ++b) sum.vector[a][b] += rest.vector[a][b];
  }
  sum.scalar += rest.scalar;
  return sum;
}

namespace {

/// A wound coil's values between those that are known: a cubic in log f through the four nearest.
CoilValues values_at(const std::vector<CoilValues>& values, double frequency_hz) {
  if (frequency_hz < values.front().frequency_hz || frequency_hz > values.back().frequency_hz)
    throw DomainError(fmt::format("the loading coil is known from {:.4g} to {:.4g} MHz, short of its self-resonance, "
                                  "and {:.6g} MHz is asked for",
                                  1e-6 * values.front().frequency_hz, 1e-6 * values.back().frequency_hz,
                                  1e-6 * frequency_hz));
  const auto above =
      std::find_if(values.begin(), values.end(), [&](const CoilValues& v) { return v.frequency_hz > frequency_hz; });
  const std::ptrdiff_t last = static_cast<std::ptrdiff_t>(values.size()) - 4;
  const auto first = static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(above - values.begin() - 2, 0, last));
  CoilValues at{frequency_hz, 0.0, 0.0, 0.0};
  for (std::size_t n = first; n < first + 4; ++n) {
    double weight = 1.0;
    for (std::size_t m = first; m < first + 4; ++m) {
      if (m != n)
        weight *=
            std::log(frequency_hz / values[m].frequency_hz) / std::log(values[n].frequency_hz / values[m].frequency_hz);
    }
    at.inductance_h += weight * values[n].inductance_h;
    at.q += weight * values[n].q;
    at.self_capacitance_f += weight * values[n].self_capacitance_f;
  }
  return at;
}

}  // namespace

cdouble coil_impedance(const WireCoil& coil, double frequency_hz) {
  const double w = two_pi * frequency_hz;
  const CoilValues v = coil.values.empty()
                           ? CoilValues{frequency_hz, coil.inductance_h, coil.q, coil.self_capacitance_f}
                           : values_at(coil.values, frequency_hz);
  const cdouble z = w * v.inductance_h * cdouble(1.0 / v.q, 1.0);
  return z / (1.0 + j * (w * v.self_capacitance_f) * z);
}

cdouble lump_impedance(const WireLump& lump, double frequency_hz) {
  const double w = two_pi * frequency_hz;
  return {lump.resistance_ohm + w * lump.inductance_h / lump.q, w * lump.inductance_h - 1.0 / (w * lump.capacitance_f)};
}

std::vector<CellLoss> cell_losses(const Antenna& antenna, const Mesh& mesh, double frequency_hz) {
  std::vector<cdouble> of_wire;
  for (const Wire& w : antenna.wires) {
    const auto alike = std::find_if(antenna.wires.begin(), antenna.wires.end(), [&](const Wire& other) {
      return std::tie(other.radius_m, other.conductivity_s_m, other.relative_permeability) ==
             std::tie(w.radius_m, w.conductivity_s_m, w.relative_permeability);
    });
    const auto before = static_cast<std::size_t>(alike - antenna.wires.begin());
    of_wire.push_back(before < of_wire.size() ? of_wire[before]
                      : w.conductivity_s_m    ? conductor::wire_impedance_ohm_per_m(w.radius_m, *w.conductivity_s_m,
                                                                                    w.relative_permeability, frequency_hz)
                                              : 0.0);
  }
  std::vector<CellLoss> losses;
  for (const Cell& c : mesh.cells) {
    cdouble coil = 0.0;
    if (c.coil >= 0) {
      const WireCoil& whole = antenna.coils[static_cast<std::size_t>(c.coil)];
      coil = coil_impedance(whole, frequency_hz) * (c.length_m / whole.length_m);
    }
    losses.push_back({of_wire[c.wire], coil});
  }
  return losses;
}

LineCell line_cell(const Cell& c) { return {c.start, c.direction, c.length_m, c.radius_m}; }

namespace {

/// What the cells of a mesh do to each other, wire by wire from what is known; nothing known: computed as it is asked
/// for.
class Couplings {
public:
  Couplings(const Mesh& mesh, const GroundModel& ground, double k_rad_m, const KnownCouplings* known)
      : mesh_(mesh), ground_(ground), k_rad_m_(k_rad_m) {
    if (known == nullptr) return;
    std::vector<WireCells> wires;
    for (std::size_t c = 0; c < mesh.cells.size();) {
      const std::size_t wire = mesh.cells[c].wire;
      first_.push_back(c);
      std::vector<LineCell> cells;
      for (; c < mesh.cells.size() && mesh.cells[c].wire == wire; ++c) {
        cells.push_back(line_cell(mesh.cells[c]));
        wire_.push_back(first_.size() - 1);
      }
      wires.push_back(wire_cells(std::move(cells)));
    }
    blocks_.resize(wires.size() * wires.size());
    for (std::size_t p = 0; p < wires.size(); ++p) {
      for (std::size_t q = p; q < wires.size(); ++q)
        blocks_[p * wires.size() + q] = known->store().block(wires[p], wires[q], ground, k_rad_m);
    }
  }

  /// @param test, source  cells, test <= source
  /// @return  good until the next is asked for
  const CellCoupling& at(std::size_t test, std::size_t source) {
    if (blocks_.empty())
      return computed_ = couple(line_cell(mesh_.cells[test]), line_cell(mesh_.cells[source]), ground_, k_rad_m_);
    const std::size_t p = wire_[test], q = wire_[source];
    return blocks_[p * first_.size() + q]->at(test - first_[p], source - first_[q]);
  }

private:
  const Mesh& mesh_;
  const GroundModel& ground_;
  double k_rad_m_;
  std::vector<std::size_t> wire_, first_;  // the wire of each cell, the first cell of each wire
  std::vector<std::shared_ptr<const CouplingBlock>> blocks_;
  CellCoupling computed_;  // where nothing is known
};

struct Use {  // of a cell's end by a function
  std::size_t function;
  std::size_t end;
  double sign;
  double slope_1_m;  // of the function along the cell
};

/// By cell.
std::vector<std::vector<Use>> uses_of(const Mesh& mesh) {
  std::vector<std::vector<Use>> uses(mesh.cells.size());
  for (std::size_t f = 0; f < mesh.functions.size(); ++f) {
    for (const HalfFunction& h : mesh.functions[f].halves)
      uses[h.cell].push_back(
          {f, static_cast<std::size_t>(h.end), h.sign, (h.end == 0 ? -1.0 : 1.0) / mesh.cells[h.cell].length_m});
  }
  return uses;
}

}  // namespace

std::vector<cdouble> coupling_matrix(const Mesh& mesh, const GroundModel& ground, double frequency_hz,
                                     const KnownCouplings* known) {
  const double w = two_pi * frequency_hz;
  const double k = w / speed_of_light_m_s;
  const double of_vector = w * mu0_h_m / (4.0 * pi), of_scalar = -1.0 / (w * eps0_f_m * 4.0 * pi);  // both times j

  const std::size_t n = mesh.functions.size();
  std::vector<cdouble> matrix(n * n);
  const std::vector<std::vector<Use>> uses = uses_of(mesh);
  Couplings couplings(mesh, ground, k, known);
  for (std::size_t p = 0; p < mesh.cells.size(); ++p) {
    for (std::size_t q = p; q < mesh.cells.size(); ++q) {
      const CellCoupling& c = couplings.at(p, q);
      for (const Use& a : uses[p]) {
        for (const Use& b : uses[q]) {
          if (p == q && a.function < b.function) continue;
          // On one cell the two halves of the block are made equal: they differ by the quadrature's error.
          const cdouble vector =
              p == q ? 0.5 * (c.vector[a.end][b.end] + c.vector[b.end][a.end]) : c.vector[a.end][b.end];
          const cdouble sum = of_vector * vector + of_scalar * (a.slope_1_m * b.slope_1_m) * c.scalar;
          const double sign = a.sign * b.sign;
          const cdouble value{-sign * sum.imag(), sign * sum.real()};
          matrix[std::max(a.function, b.function) + n * std::min(a.function, b.function)] += value;
          if (p != q && a.function == b.function) matrix[a.function * (n + 1)] += value;
        }
      }
    }
  }
  return matrix;
}

std::vector<MatrixEntry> series_entries(const Antenna& antenna, const Mesh& mesh, const std::vector<CellLoss>& losses,
                                        double frequency_hz) {
  const double w = two_pi * frequency_hz;
  std::vector<MatrixEntry> entries;
  const std::vector<std::vector<Use>> uses = uses_of(mesh);
  for (std::size_t p = 0; p < mesh.cells.size(); ++p) {
    const double length = mesh.cells[p].length_m;
    const cdouble series = losses[p].metal_ohm_m * length + losses[p].coil_ohm;
    cdouble coat = 0.0;  // the insulation takes the place of air
    if (const std::optional<Insulation>& i = antenna.wires[mesh.cells[p].wire].insulation)
      coat = (1.0 / i->relative_permittivity - 1.0) * std::log1p(i->thickness_m / mesh.cells[p].radius_m) /
             (j * (w * two_pi * eps0_f_m));
    for (const Use& a : uses[p]) {
      for (const Use& b : uses[p]) {
        if (a.function < b.function) continue;
        entries.push_back(
            {a.function, b.function,
             a.sign * b.sign *
                 (series * (a.end == b.end ? 1.0 / 3.0 : 1.0 / 6.0) + coat * a.slope_1_m * b.slope_1_m * length)});
      }
    }
  }
  for (std::size_t f = 0; f < mesh.functions.size(); ++f) {
    if (const int coil = mesh.functions[f].point_coil; coil >= 0)
      entries.push_back({f, f, coil_impedance(antenna.coils[static_cast<std::size_t>(coil)], frequency_hz)});
  }
  for (const LumpPlace& place : mesh.lumps) {
    const cdouble ohm = lump_impedance(antenna.lumps[place.lump], frequency_hz);
    const std::vector<double> weights = lump_weights(mesh, place);
    for (std::size_t a = 0; a < weights.size(); ++a) {
      for (std::size_t b = 0; b <= a && weights[a] != 0.0; ++b) {
        if (weights[b] != 0.0) entries.push_back({a, b, ohm * weights[a] * weights[b]});
      }
    }
  }
  return entries;
}

std::vector<cdouble> impedance_matrix(const Antenna& antenna, const Mesh& mesh, const std::vector<CellLoss>& losses,
                                      const GroundModel& ground, double frequency_hz) {
  std::vector<cdouble> matrix = coupling_matrix(mesh, ground, frequency_hz);
  const std::size_t n = mesh.functions.size();
  for (const MatrixEntry& e : series_entries(antenna, mesh, losses, frequency_hz))
    matrix[e.row + n * e.column] += e.ohm;
  for (std::size_t column = 0; column < n; ++column) {
    for (std::size_t row = 0; row < column; ++row) matrix[row + n * column] = matrix[column + n * row];
  }
  return matrix;
}

}  // namespace stile::wire::detail

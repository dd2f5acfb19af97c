#include <stile/wire/solve.hpp>

#include <algorithm>
#include <cmath>
#include <numeric>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/wire/detail/ground_model.hpp>
#include <stile/wire/detail/matrix.hpp>
#include <stile/wire/detail/solution.hpp>
#include <stile/wire/far_field.hpp>
#include <stile/wire/vec3.hpp>

namespace stile::wire {

using namespace detail;

namespace {

/// Cells shorter than twice their radius, one line a wire: the feed gap, a coil or the fineness asks for more than a
/// thin wire can give.
std::vector<std::string> short_cell_cautions(const Antenna& antenna, const Mesh& mesh) {
  std::vector<double> shortest(antenna.wires.size(), HUGE_VAL);
  for (const Cell& c : mesh.cells) shortest[c.wire] = std::min(shortest[c.wire], c.length_m);
  std::vector<std::string> cautions;
  for (std::size_t w = 0; w < shortest.size(); ++w) {
    const Wire& wire = antenna.wires[w];
    if (!wire.person && shortest[w] < 2.0 * wire.radius_m)
      cautions.push_back(
          fmt::format("wire {} \"{}\": a cell of {:.4g} m (feed gap, coil or fineness) is shorter than two "
                      "radii of {:.4g} m",
                      w + 1, wire.name, shortest[w], wire.radius_m));
  }
  return cautions;
}

}  // namespace

SolveOptions with_tables(SolveOptions options) {
  if (!options.tables) options.tables = std::make_shared<GroundTables>();
  return options;
}

AntennaSolution solve_antenna(const Antenna& antenna, const Ground& ground, double frequency_hz,
                              const SolveOptions& options) {
  const Mesh mesh = checked_mesh(antenna, ground, frequency_hz, options);
  return solution_of(antenna, ground, frequency_hz, options, mesh,
                     mesh_currents({&antenna, 1}, ground, frequency_hz, options, mesh).front());
}

namespace detail {

cdouble current_of(const std::vector<double>& weights, const std::vector<cdouble>& x) {
  return std::inner_product(weights.begin(), weights.end(), x.begin(), cdouble(0.0));
}

cdouble base_admittance(const Feed& feed, double frequency_hz) {
  return {1.0 / feed.base_leakage_ohm, two_pi * frequency_hz * feed.base_capacitance_f};
}

void check_solve(double frequency_hz, const SolveOptions& options) {
  if (!(frequency_hz >= 1e5 && frequency_hz <= 3e8))
    throw DomainError(fmt::format("frequency {:.6g} Hz must be 1e5..3e8", frequency_hz));
  if (!(options.fineness >= 0.25 && options.fineness <= 16.0))
    throw DomainError(fmt::format("fineness {:.4g} must be 0.25..16", options.fineness));
}

Mesh checked_mesh(const Antenna& antenna, const Ground& ground, double frequency_hz, const SolveOptions& options) {
  check_solve(frequency_hz, options);
  check_antenna(antenna, ground);
  return make_mesh(antenna, ground, frequency_hz, options.fineness, options.max_unknowns);
}

std::vector<std::vector<cdouble>> mesh_currents(std::span<const Antenna> antennas, const Ground& ground,
                                                double frequency_hz, const SolveOptions& options, const Mesh& mesh) {
  const GroundModel model = make_ground_model(ground, frequency_hz, options.method, *with_tables(options).tables);
  std::vector<std::vector<MatrixEntry>> series;
  for (const Antenna& antenna : antennas)
    series.push_back(series_entries(antenna, mesh, cell_losses(antenna, mesh, frequency_hz), frequency_hz));
  std::vector<std::vector<cdouble>> currents;
  for (std::vector<std::vector<cdouble>>& of_places :
       solve_currents({feed_weights(mesh)}, coupling_matrix(mesh, model, frequency_hz, options.known.get()), series))
    currents.push_back(std::move(of_places.front()));
  return currents;
}

cdouble feed_impedance(const Antenna& antenna, double frequency_hz, const Mesh& mesh, const std::vector<cdouble>& x) {
  const cdouble antenna_ohm = 1.0 / current_of(feed_weights(mesh), x);
  return antenna_ohm / (1.0 + base_admittance(antenna.feed, frequency_hz) * antenna_ohm);
}

namespace {

/// All but what the far field says.
AntennaSolution currents_and_impedance(const Antenna& antenna, const Ground& ground, double frequency_hz,
                                       const SolveOptions& options, const Mesh& mesh, const std::vector<cdouble>& x) {
  AntennaSolution s;
  s.frequency_hz = frequency_hz;
  s.ground = ground;
  s.method = options.method;
  s.unknowns = x.size();
  s.cautions = thin_wire_cautions(antenna, frequency_hz);
  for (std::string& caution : short_cell_cautions(antenna, mesh)) s.cautions.push_back(std::move(caution));
  for (const Cell& c : mesh.cells)
    s.cells.push_back(
        {c.wire, c.start, c.start + c.length_m * c.direction, c.distance_m, c.length_m, c.radius_m, 0.0, 0.0});
  for (std::size_t f = 0; f < x.size(); ++f) {
    for (const HalfFunction& h : mesh.functions[f].halves)
      (h.end == 0 ? s.cells[h.cell].start_a : s.cells[h.cell].end_a) += h.sign * x[f];
  }
  const cdouble feed_a = current_of(feed_weights(mesh), x);
  for (CellCurrent& c : s.cells) {
    c.start_a /= feed_a;
    c.end_a /= feed_a;
  }
  s.antenna_ohm = 1.0 / feed_a;
  const cdouble base_s = base_admittance(antenna.feed, frequency_hz);
  s.feed_ohm = feed_impedance(antenna, frequency_hz, mesh, x);
  s.leakage_share = base_s.real() / (base_s + 1.0 / s.antenna_ohm).real();

  return s;
}

/// Where the power goes.
void add_shares(AntennaSolution& s, double far_w, const Antenna& antenna, const Mesh& mesh,
                const std::vector<cdouble>& x) {
  const std::vector<CellLoss> losses = cell_losses(antenna, mesh, s.frequency_hz);
  const cdouble feed_a = current_of(feed_weights(mesh), x);
  double metal_w = 0.0, coil_w = 0.0, lump_w = 0.0, person_w = 0.0;  // for 1 A
  s.wire_share.assign(antenna.wires.size(), 0.0);
  for (std::size_t c = 0; c < s.cells.size(); ++c) {
    const cdouble a = s.cells[c].start_a, b = s.cells[c].end_a;
    const double mean_square = (std::norm(a) + std::norm(b) + (a * std::conj(b)).real()) / 3.0;
    const double heat_w = losses[c].metal_ohm_m.real() * s.cells[c].length_m * mean_square;
    s.wire_share[s.cells[c].wire] += heat_w;
    (antenna.wires[s.cells[c].wire].person ? person_w : metal_w) += heat_w;
    coil_w += losses[c].coil_ohm.real() * mean_square;
  }
  for (std::size_t f = 0; f < x.size(); ++f) {
    const int coil = mesh.functions[f].point_coil;
    if (coil >= 0)
      coil_w += coil_impedance(antenna.coils[static_cast<std::size_t>(coil)], s.frequency_hz).real() *
                std::norm(x[f] / feed_a);
  }
  for (const LumpPlace& place : mesh.lumps) {
    s.lump_a.push_back(current_of(lump_weights(mesh, place), x) / feed_a);
    lump_w += lump_impedance(antenna.lumps[place.lump], s.frequency_hz).real() * std::norm(s.lump_a.back());
  }
  const double input_w = s.antenna_ohm.real();
  const bool lossy = s.ground.kind == GroundKind::lossy;
  const double total_w = lossy ? input_w : far_w + metal_w + coil_w + lump_w + person_w;
  s.power_balance = total_w / input_w;
  const double share = (1.0 - s.leakage_share) / total_w;
  for (double& of_wire : s.wire_share) of_wire *= share;
  s.share.radiated = far_w * share;
  s.share.metal = metal_w * share;
  s.share.coil = coil_w * share;
  s.share.lump = lump_w * share + s.leakage_share;
  s.share.person = person_w * share;
  s.share.ground = lossy ? 1.0 - s.share.radiated - s.share.metal - s.share.coil - s.share.lump - s.share.person : 0.0;
}

}  // namespace

std::vector<AntennaSolution> solutions_of(std::span<const Antenna> antennas, const Ground& ground, double frequency_hz,
                                          const SolveOptions& options, const Mesh& mesh,
                                          std::span<const std::vector<cdouble>> currents) {
  std::vector<AntennaSolution> all;
  for (std::size_t a = 0; a < antennas.size(); ++a)
    all.push_back(currents_and_impedance(antennas[a], ground, frequency_hz, options, mesh, currents[a]));
  const std::vector<double> far_w = far_powers_w(all);
  for (std::size_t a = 0; a < antennas.size(); ++a) add_shares(all[a], far_w[a], antennas[a], mesh, currents[a]);
  return all;
}

AntennaSolution solution_of(const Antenna& antenna, const Ground& ground, double frequency_hz,
                            const SolveOptions& options, const Mesh& mesh, const std::vector<cdouble>& x) {
  return std::move(solutions_of({&antenna, 1}, ground, frequency_hz, options, mesh, {&x, 1}).front());
}

}  // namespace detail

double lump_current_a_rms(const AntennaSolution& solution, std::size_t lump, double power_w) {
  require(lump < solution.lump_a.size(), "there is no such lump");
  return std::abs(solution.lump_a[lump]) *
         std::sqrt(power_w * (1.0 - solution.leakage_share) / solution.antenna_ohm.real());
}

}  // namespace stile::wire

#include <stile/wire/solve.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/wire/detail/matrix.hpp>
#include <stile/wire/far_field.hpp>
#include <stile/wire/vec3.hpp>

namespace stile {

using namespace detail;

namespace {

/// Cells shorter than twice their radius, one line a wire: the feed gap, a coil or the fineness asks for more than a thin
/// wire can give.
std::vector<std::string> short_cell_cautions(const Antenna& antenna, const Mesh& mesh) {
  std::vector<double> shortest(antenna.wires.size(), HUGE_VAL);
  for (const Cell& c : mesh.cells) shortest[c.wire] = std::min(shortest[c.wire], c.length_m);
  std::vector<std::string> cautions;
  for (std::size_t w = 0; w < shortest.size(); ++w) {
    const Wire& wire = antenna.wires[w];
    if (shortest[w] < 2.0 * wire.radius_m)
      cautions.push_back(
          fmt::format("wire {} \"{}\": a cell of {:.4g} m (feed gap, coil or fineness) is shorter than two "
                      "radii of {:.4g} m",
                      w + 1, wire.name, shortest[w], wire.radius_m));
  }
  return cautions;
}

}  // namespace

AntennaSolution solve_antenna(const Antenna& antenna, const Ground& ground, double frequency_hz,
                              const SolveOptions& options) {
  if (!(frequency_hz >= 1e5 && frequency_hz <= 3e8))
    throw DomainError(fmt::format("frequency {} Hz must be 1e5..3e8", frequency_hz));
  if (!(options.fineness >= 0.25 && options.fineness <= 16.0))
    throw DomainError(fmt::format("fineness {} must be 0.25..16", options.fineness));
  check_antenna(antenna, ground);

  const Mesh mesh = make_mesh(antenna, ground, frequency_hz, options.fineness, options.max_unknowns);
  const GroundModel model = make_ground_model(ground, frequency_hz, options.method, reach_of(mesh));
  const std::vector<CellLoss> losses = cell_losses(antenna, mesh, frequency_hz);
  const std::vector<cdouble> x = solve_currents(mesh, impedance_matrix(antenna, mesh, losses, model, frequency_hz));

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
  cdouble feed_a = 0.0;
  for (std::size_t f = 0; f < x.size(); ++f) {
    for (const HalfFunction& h : mesh.functions[f].halves) {
      (h.end == 0 ? s.cells[h.cell].start_a : s.cells[h.cell].end_a) += h.sign * x[f];
      feed_a += 0.5 * h.sign * mesh.cells[h.cell].feed_v_m * mesh.cells[h.cell].length_m * x[f];
    }
  }
  for (CellCurrent& c : s.cells) {
    c.start_a /= feed_a;
    c.end_a /= feed_a;
  }
  s.antenna_ohm = 1.0 / feed_a;
  s.feed_ohm =
      s.antenna_ohm / (1.0 + cdouble(0.0, two_pi * frequency_hz * antenna.feed.base_capacitance_f) * s.antenna_ohm);

  double metal_w = 0.0, coil_w = 0.0;  // for 1 A
  for (std::size_t c = 0; c < s.cells.size(); ++c) {
    const cdouble a = s.cells[c].start_a, b = s.cells[c].end_a;
    const double mean_square = (std::norm(a) + std::norm(b) + (a * std::conj(b)).real()) / 3.0;
    metal_w += losses[c].metal_ohm_m.real() * s.cells[c].length_m * mean_square;
    coil_w += losses[c].coil_ohm.real() * mean_square;
  }
  for (std::size_t f = 0; f < x.size(); ++f) {
    const int coil = mesh.functions[f].point_coil;
    if (coil >= 0)
      coil_w +=
          coil_impedance(antenna.coils[static_cast<std::size_t>(coil)], frequency_hz).real() * std::norm(x[f] / feed_a);
  }
  const double input_w = s.antenna_ohm.real(), far_w = far_power_w(s);
  const bool lossy = ground.kind == GroundKind::lossy;
  const double total_w = lossy ? input_w : far_w + metal_w + coil_w;
  s.power_balance = total_w / input_w;
  s.share.radiated = far_w / total_w;
  s.share.metal = metal_w / total_w;
  s.share.coil = coil_w / total_w;
  s.share.ground = lossy ? 1.0 - s.share.radiated - s.share.metal - s.share.coil : 0.0;
  return s;
}

}  // namespace stile

#include <stile/coil/rings.hpp>

#include <cmath>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/coil/detail/elliptic.hpp>
#include <stile/coil/detail/near_metal.hpp>
#include <stile/coil/detail/ring_nodes.hpp>
#include <stile/coil/detail/ring_solve.hpp>
#include <stile/conductor/skin.hpp>

namespace stile::coil {

namespace {

constexpr double near_metal_c = 20.0;  // temperature of plane or can

std::vector<double> ring_positions(const TurnLayout& layout) {
  std::vector<double> z;
  for (const TurnLayout::Turn& turn : layout.turns) z.push_back(turn.z_m);
  return z;
}

template <typename Number, typename Factor>
void add(SquareMatrix<Number>& sum, const SquareMatrix<double>& what, Factor factor) {
  for (std::size_t i = 0; i < sum.values.size(); ++i) sum.values[i] += factor * what.values[i];
}

const double* magnetic_plane(const Winding& winding) {
  return winding.plane && winding.plane->mirrors_magnetic ? &winding.plane->z_m : nullptr;
}

bool near_metal(const Winding& winding) { return detail::beside_or_can(winding) || magnetic_plane(winding) != nullptr; }

detail::RingNodes surface_nodes(const Winding& winding, const std::vector<double>& z, const RingOptions& options) {
  const int asked = options.nodes_per_turn;
  if (asked != 0 && (asked < 4 || asked > 128 || asked % 2 != 0)) {
    throw DomainError(fmt::format("{} nodes a turn: legal is 0 (automatic) or an even number from 4 to 128", asked));
  }
  const int count = asked != 0 ? asked : detail::automatic_nodes(winding.wire.diameter_m / detail::closest_spacing(z));
  const std::size_t unknowns = z.size() * static_cast<std::size_t>(count);
  if (unknowns > most_surface_unknowns) {
    throw DomainError(
        fmt::format("{} turns are too many for the eddy currents of each at this spacing; legal: up to {}, or "
                    "even current in the wire, which leaves the proximity effect out",
                    z.size(), most_surface_unknowns / static_cast<std::size_t>(count)));
  }
  return {0.5 * winding.diameter_m, 0.5 * winding.wire.diameter_m, count, detail::inductance_kernel};
}

/// What the inside of a wire adds to the flux at its surface nodes for the current of each node, H. The field inside a
/// bent wire times the root of the distance from the axis obeys the straight wire's equation to second order in the
/// bend; so the straight wire's circulant stands between two such roots, and the matrix stays symmetric.
std::vector<cdouble> inside_block(const detail::RingNodes& nodes, const conductor::RoundWire& wire, double depth_m) {
  const int n = nodes.count();
  const std::vector<cdouble> ratios = conductor::surface_current_ratios(wire, depth_m, n / 2);
  std::vector<cdouble> circulant;
  for (int d = 0; d < n; ++d) {
    cdouble sum = 1.0 / ratios.front() + std::cos(pi * d) / ratios.back();
    for (int m = 1; m < n / 2; ++m) sum += 2.0 * std::cos(two_pi * m * d / n) / ratios[static_cast<std::size_t>(m)];
    circulant.push_back(sum * mu0_h_m / nodes.wire_radius());
  }
  std::vector<cdouble> block;
  for (int i = 0; i < n; ++i) {
    for (int j = 0; j < n; ++j) {
      // A' = S K and A_outside - psi/(2 pi rho) = A': the inside stands on the other side, with a minus sign.
      block.push_back(-std::sqrt(nodes.rho(i) * nodes.rho(j)) * circulant[static_cast<std::size_t>(std::abs(i - j))]);
    }
  }
  return block;
}

/// Wire length of a turn over its circumference.
double helix_factor(const TurnLayout::Turn& turn, double diameter_m) {
  return std::hypot(1.0, turn.pitch_m / (pi * diameter_m));
}

SquareMatrix<cdouble> even_impedance_ohm(const Winding& winding, double frequency_hz) {
  const double omega = two_pi * frequency_hz, turn_m = pi * winding.diameter_m;
  const SquareMatrix<double> inductance = low_frequency_inductance_h(winding);
  const cdouble inside = conductor::internal_impedance_ohm_per_m(winding.wire, frequency_hz) * turn_m;
  const double inside_low = omega * mu0_h_m / (8.0 * pi) * turn_m;
  SquareMatrix<cdouble> z(inductance.n);
  for (std::size_t i = 0; i < z.n; ++i) {
    for (std::size_t j = 0; j < z.n; ++j) z(i, j) = {0.0, omega * inductance(i, j)};
    z(i, i) += inside - cdouble{0.0, inside_low};
  }
  return z;
}

}  // namespace

double ring_mutual_inductance_h(double radius_a_m, double radius_b_m, double distance_m) {
  require(radius_a_m > 0.0 && std::isfinite(radius_a_m) && radius_b_m > 0.0 && std::isfinite(radius_b_m),
          "the radius of a ring must be > 0 and finite");
  require(std::isfinite(distance_m), "the distance of two rings must be finite");
  require(radius_a_m != radius_b_m || distance_m != 0.0,
          "two ring filaments coincide: their mutual inductance is infinite");
  return detail::ring_mutual(radius_a_m, radius_b_m, distance_m);
}

double ring_self_inductance_h(double radius_m, double wire_radius_m) {
  require(wire_radius_m > 0.0 && wire_radius_m < radius_m && std::isfinite(radius_m),
          "a ring's wire must be thinner than the ring");
  const double x = wire_radius_m / radius_m, log = std::log(8.0 / x);
  return mu0_h_m * radius_m * (log - 1.75 + x * x / 8.0 * (log + 1.0 / 3.0));
}

SquareMatrix<double> low_frequency_inductance_h(const Winding& winding) {
  const std::vector<double> z = ring_positions(turn_layout(winding));
  const double radius = 0.5 * winding.diameter_m;
  SquareMatrix<double> result(z.size());
  for (std::size_t i = 0; i < z.size(); ++i) {
    result(i, i) = ring_self_inductance_h(radius, 0.5 * winding.wire.diameter_m);
    for (std::size_t j = 0; j < i; ++j) result(i, j) = result(j, i) = detail::ring_mutual(radius, radius, z[i] - z[j]);
  }
  if (near_metal(winding)) add(result, detail::metal_inductance_h(winding, z, 0.0), 1.0);
  return result;
}

int most_surface_turns(const Winding& winding) {
  const double closest_m = detail::closest_spacing(ring_positions(turn_layout(winding)));
  return static_cast<int>(most_surface_unknowns) / detail::automatic_nodes(winding.wire.diameter_m / closest_m);
}

SquareMatrix<cdouble> turn_impedance_ohm(const Winding& winding, double frequency_hz, const RingOptions& options) {
  const TurnLayout layout = turn_layout(winding);
  if (!(frequency_hz >= 1e-3 && frequency_hz <= 1e12)) {
    throw DomainError(fmt::format("a coil at {} Hz: legal is 0.001 to 1e12", frequency_hz));
  }
  const double depth = conductor::skin_depth_m(
      conductor::resistivity_ohm_m(winding.wire.metal, winding.wire.temperature_c), frequency_hz);
  SquareMatrix<cdouble> z;
  const std::vector<double> positions = ring_positions(layout);
  if (options.currents == CurrentModel::even) {
    z = even_impedance_ohm(winding, frequency_hz);
  } else {
    detail::RingNodes nodes = surface_nodes(winding, positions, options);
    z = condense(nodes, positions, magnetic_plane(winding), inside_block(nodes, winding.wire, depth));
    for (cdouble& value : z.values) value *= cdouble{0.0, two_pi * frequency_hz};
    if (detail::beside_or_can(winding))
      add(z, detail::metal_inductance_h(winding, positions, 0.0), cdouble{0.0, two_pi * frequency_hz});
  }
  for (std::size_t i = 0; i < z.n; ++i) {
    for (std::size_t j = 0; j < z.n; ++j) {
      const double longer =
          helix_factor(layout.turns[i], winding.diameter_m) * helix_factor(layout.turns[j], winding.diameter_m);
      z(i, j).real(z(i, j).real() * std::sqrt(longer));
    }
  }
  if (winding.near_metal) {
    // Surface impedance (1 + j) Rs, Rs/mu0 = omega depth/2, times what the surfaces' moving back changes.
    const double metal_depth_m =
        conductor::skin_depth_m(conductor::resistivity_ohm_m(*winding.near_metal, near_metal_c), frequency_hz);
    const double rs_over_mu0 = pi * frequency_hz * metal_depth_m;
    add(z, detail::metal_inductance_slope(winding, positions), cdouble{rs_over_mu0, rs_over_mu0});
  }
  return z;
}

SquareMatrix<double> perfect_inductance_h(const Winding& winding, const RingOptions& options) {
  const std::vector<double> positions = ring_positions(turn_layout(winding));
  detail::RingNodes nodes = surface_nodes(winding, positions, options);
  SquareMatrix<double> l = condense(nodes, positions, magnetic_plane(winding));
  if (detail::beside_or_can(winding)) add(l, detail::metal_inductance_h(winding, positions, 0.0), 1.0);
  return l;
}

}  // namespace stile::coil

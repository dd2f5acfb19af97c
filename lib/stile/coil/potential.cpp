#include <stile/coil/potential.hpp>

#include <cmath>

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <fmt/format.h>

#include <stile/base/errors.hpp>
#include <stile/coil/detail/arc.hpp>
#include <stile/coil/detail/elliptic.hpp>
#include <stile/coil/detail/near_metal.hpp>
#include <stile/coil/detail/ring_nodes.hpp>
#include <stile/coil/detail/ring_solve.hpp>

namespace stile::coil {

namespace {

constexpr std::size_t most_round_rings = 200;

SquareMatrix<double> thin_potentials(const std::vector<double>& z, double radius, double wire_radius,
                                     const double* plane) {
  SquareMatrix<double> p(z.size());
  for (std::size_t i = 0; i < z.size(); ++i) {
    for (std::size_t j = 0; j <= i; ++j) {
      double value = i == j ? detail::potential_kernel.own(radius, wire_radius)
                            : detail::ring_potential(radius, radius, z[i] - z[j]);
      if (plane != nullptr) value -= detail::ring_potential(radius, radius, z[i] + z[j] - 2.0 * *plane);
      p(i, j) = p(j, i) = value;
    }
  }
  return p;
}

}  // namespace

SquareMatrix<double> node_capacitance_f(const Winding& winding, ChargeModel model) {
  const TurnLayout layout = turn_layout(winding);
  const double radius = 0.5 * winding.diameter_m, wire_radius = 0.5 * winding.wire.diameter_m;
  const double* plane = winding.plane ? &winding.plane->z_m : nullptr;
  std::vector<double> z;
  for (const TurnLayout::Node& node : layout.nodes) z.push_back(node.ring_z_m);
  const double closeness = winding.wire.diameter_m / detail::closest_spacing(z);
  if (model == ChargeModel::automatic) {
    model = z.size() > most_round_rings ? ChargeModel::thin : ChargeModel::round;
  }
  SquareMatrix<double> p;
  if (model == ChargeModel::thin) {
    p = thin_potentials(z, radius, wire_radius, plane);
  } else {
    if (z.size() > 2 * most_round_rings) {
      throw DomainError(fmt::format("{} nodes: the electrostatics of round conductors takes at most {}", z.size(),
                                    2 * most_round_rings));
    }
    detail::RingNodes nodes(radius, wire_radius, detail::automatic_nodes(closeness), detail::potential_kernel);
    p = condense(nodes, z, plane);
  }
  if (detail::beside_or_can(winding)) {
    const SquareMatrix<double> metal = detail::metal_potential(winding, z);
    for (std::size_t i = 0; i < p.values.size(); ++i) p.values[i] += metal.values[i];
  }
  // An arc holds its charge closer together than a ring does.
  for (std::size_t i = 0; i < p.n; ++i) {
    p(i, i) += detail::arc_potential_v(radius, wire_radius, layout.nodes[i].part) -
               detail::arc_potential_v(radius, wire_radius, 1.0);
  }
  const auto n = static_cast<Eigen::Index>(p.n);
  const Eigen::Map<const Eigen::MatrixXd> potentials(p.values.data(), n, n);
  const Eigen::LLT<Eigen::MatrixXd> factors(potentials);
  if (factors.info() != Eigen::Success) {
    throw DomainError("the turns stand too close for the ring model of charges: wire and pitch differ too little");
  }
  SquareMatrix<double> c(p.n);
  Eigen::Map<Eigen::MatrixXd>(c.values.data(), n, n) = factors.solve(Eigen::MatrixXd::Identity(n, n));
  for (std::size_t i = 0; i < c.n; ++i) {
    for (std::size_t j = 0; j < i; ++j) c(i, j) = c(j, i) = 0.5 * (c(i, j) + c(j, i));
  }
  return c;
}

}  // namespace stile::coil

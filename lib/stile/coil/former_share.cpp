#include <stile/coil/former_share.hpp>

#include <algorithm>
#include <cmath>
#include <vector>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/coil/detail/elliptic.hpp>

namespace stile {

namespace {

struct RingCharge {
  double z_m;
  cdouble charge_c;
};

/// Energy inside a cylinder without charges in it, times two: eps0 times the integral over its surface of potential times
/// outward derivative (Green's first identity). Its ends are so far away that they add nothing.
double inside_energy(const std::vector<RingCharge>& charges, double ring_radius, double radius, double step,
                     double margin) {
  if (radius == 0.0) return 0.0;
  const double h = 1e-4 * radius;
  double sum = 0.0;
  const double start = charges.front().z_m - margin;
  const int steps = static_cast<int>(std::ceil((charges.back().z_m + margin - start) / step));
  for (int i = 0; i < steps; ++i) {
    const double z = start + i * step;
    cdouble potential{}, slope{};
    for (const RingCharge& ring : charges) {
      const double below = detail::ring_potential(radius - h, ring_radius, z - ring.z_m);
      const double above = detail::ring_potential(radius + h, ring_radius, z - ring.z_m);
      potential += ring.charge_c * 0.5 * (below + above);
      slope += ring.charge_c * (above - below) / (2.0 * h);
    }
    sum += (std::conj(potential) * slope).real() * step;
  }
  return eps0_f_m * two_pi * radius * sum;
}

}  // namespace

double former_field_share(const CoilModel& model, const CoilPoint& point, double inner_radius_m,
                          double outer_radius_m) {
  const double a = 0.5 * model.winding.diameter_m, most = a - 0.5 * model.winding.wire.diameter_m;
  if (!(inner_radius_m >= 0.0 && outer_radius_m > inner_radius_m && outer_radius_m <= most * (1.0 + 1e-9))) {
    throw DomainError(fmt::format("a former between radii of {} and {} m: legal is from 0 to {} m, in order",
                                  inner_radius_m, outer_radius_m, most));
  }
  std::vector<cdouble> volts;
  for (const NodeState& node : point.nodes) {
    if (node.wire_m > 0.0) volts.push_back(node.voltage_v);
  }
  require(volts.size() == model.capacitance_f.n, "the analysed point belongs to another winding");
  std::vector<RingCharge> charges;
  double energy = 0.0;
  for (std::size_t i = 0; i < volts.size(); ++i) {
    cdouble charge{};
    for (std::size_t j = 0; j < volts.size(); ++j) charge += model.capacitance_f(i, j) * volts[j];
    charges.push_back({model.layout.nodes[i].ring_z_m, charge});
    energy += (std::conj(volts[i]) * charge).real();
  }
  require(energy > 0.0, "the analysed point has no voltages");
  double closest = model.layout.turns.front().pitch_m;
  for (const TurnLayout::Turn& t : model.layout.turns) closest = std::min(closest, t.pitch_m);
  const auto inside = [&](double radius) { return inside_energy(charges, a, radius, closest / 8.0, 6.0 * a); };
  return (inside(outer_radius_m) - inside(inner_radius_m)) / energy;
}

}  // namespace stile

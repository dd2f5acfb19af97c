#include <stile/coil/former_share.hpp>

#include <algorithm>
#include <cmath>
#include <vector>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/coil/detail/elliptic.hpp>

namespace stile::coil {

namespace {

struct RingCharge {
  double z_m;
  cdouble charge_c;
};

constexpr int steps_a_pitch = 8;

/// Of a ring with 1 C on a cylinder: potential times 4 pi eps0, and its slope outwards.
struct OnCylinder {
  double potential = 0.0, slope = 0.0;
};

/// Energy inside a cylinder without charges in it, times two: eps0 times the integral over its surface of potential
/// times outward derivative (Green's first identity). Its ends are so far away that they add nothing.
double inside_energy(const std::vector<RingCharge>& charges, double ring_radius, double radius, double closest_m,
                     double margin) {
  if (radius == 0.0) return 0.0;
  const double h = 1e-4 * radius, step = closest_m / steps_a_pitch;
  const auto seen = [&](double z) {
    const double below = detail::ring_potential(radius - h, ring_radius, z);
    const double above = detail::ring_potential(radius + h, ring_radius, z);
    return OnCylinder{0.5 * (below + above), (above - below) / (2.0 * h)};
  };
  const double start = charges.front().z_m - margin;
  const int steps = static_cast<int>(std::ceil((charges.back().z_m + margin - start) / step));
  // Evenly spaced rings are seen at the same distances over and over.
  const int rings = static_cast<int>(charges.size()), before = steps_a_pitch * (rings - 1);
  bool even = true;
  for (int j = 0; j < rings; ++j)
    even =
        even && std::abs(charges[static_cast<std::size_t>(j)].z_m - charges.front().z_m - j * closest_m) <= 1e-9 * step;
  std::vector<OnCylinder> at_distance;
  for (int k = 0; even && k < before + steps; ++k) at_distance.push_back(seen((k - before) * step - margin));
  double sum = 0.0;
  for (int i = 0; i < steps; ++i) {
    cdouble potential{}, slope{};
    for (int j = 0; j < rings; ++j) {
      const RingCharge& ring = charges[static_cast<std::size_t>(j)];
      const OnCylinder one = even ? at_distance[static_cast<std::size_t>(i - steps_a_pitch * j + before)]
                                  : seen(start + i * step - ring.z_m);
      potential += ring.charge_c * one.potential;
      slope += ring.charge_c * one.slope;
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
  const auto inside = [&](double radius) { return inside_energy(charges, a, radius, closest, 6.0 * a); };
  return (inside(outer_radius_m) - inside(inner_radius_m)) / energy;
}

double former_share_bound(const Winding& winding, double wall_m) {
  Winding w = winding;
  w.former = former("air");
  w.plane.reset();
  w.beside.reset();
  w.can.reset();
  w.near_metal.reset();
  require(w.sections.size() == 1, "the share of a former is computed for a winding of one section");
  Section& section = w.sections.front();
  if (section.turns < 2.0) section.turns = std::min(150.0, std::ceil(w.diameter_m / section.pitch_m) + 1.0);
  const double outer_m = 0.5 * (w.diameter_m - w.wire.diameter_m);
  if (!(wall_m >= 0.0 && wall_m < outer_m)) {
    throw DomainError(
        fmt::format("a former's wall of {} m: legal is 0 (a rod) to below half of its {} m", wall_m, 2.0 * outer_m));
  }
  RingOptions rings;
  if (section.turns > most_surface_turns(w)) rings.currents = CurrentModel::even;  // voltages hardly notice
  const CoilModel model = coil_model(w, rings);
  constexpr double low_hz = 1e5;  // far below any resonance
  return former_field_share(model, analyse(model, solve_turns(model, low_hz), whole(w, Grounded::from)),
                            wall_m > 0.0 ? outer_m - wall_m : 0.0, outer_m);
}

}  // namespace stile::coil

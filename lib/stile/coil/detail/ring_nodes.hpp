#pragma once
// Surface nodes of equal rings of round wire and the kernel blocks between them. Internal to the room.
//
// Nodes stand at even angles round each wire's cross-section, the first on the outside. The unknown of a node is its
// share of the ring's total (current or charge), so a block is the kernel itself where it is smooth. On a wire's own
// surface the logarithm is split off and integrated with the periodic weights of Martensen and Kress (Kress, Linear
// Integral Equations, 2nd ed. 1999, section 12.3, from memory); near wires are seen through trigonometric interpolation
// on a finer set.

#include <cstddef>
#include <map>
#include <vector>

#include <stile/coil/winding.hpp>

namespace stile::coil::detail {

/// Kernel between rings of radius rho1, rho2 at axial distance dz.
struct RingKernel {
  double (*value)(double rho1, double rho2, double dz);
  double (*log_part)(double rho1, double rho2, double dz);  ///< factor of ln(1 - k^2), smooth
  double (*own)(double rho, double wire_radius);            ///< what is left of the kernel at the point itself
};

extern const RingKernel inductance_kernel;  ///< H
extern const RingKernel potential_kernel;   ///< V/C

/// Nodes that give the stated accuracy for a closest spacing, even.
int automatic_nodes(double wire_over_spacing);

class RingNodes {
public:
  /// @param radius  of the turns, m; wire radius below it; nodes even, >= 4
  RingNodes(double radius, double wire_radius, int nodes, const RingKernel& kernel);

  int count() const { return nodes_; }
  double rho(int node) const { return rho_[static_cast<std::size_t>(node)]; }
  double wire_radius() const { return wire_radius_; }

  /// nodes x nodes values, row after row: on the wire itself (dz = 0) or from a ring dz below. Kept for equal
  /// distances.
  const std::vector<double>& block(double dz);

private:
  std::vector<double> own_block() const;
  std::vector<double> pair_block(double dz) const;

  double radius_, wire_radius_;
  int nodes_;
  RingKernel kernel_;
  std::vector<double> rho_, height_;
  std::map<long long, std::vector<double>> kept_;
};

/// Smallest distance between the rings of one winding, m; infinite for a single one.
double closest_spacing(const std::vector<double>& z);

}  // namespace stile::coil::detail

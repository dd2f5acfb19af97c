#pragma once
// The half-space kernels without their images on a grid of horizontal distance and height sum, for one frequency and
// one soil. Internal to the room.

#include <cstddef>
#include <vector>

#include <stile/wire/detail/ground_kernel.hpp>

namespace stile::detail {

class GroundTable {
public:
  /// @param rho_high_m  largest horizontal distance, >= 0
  /// @param z_low_m, z_high_m  limits of z + z', 0 < z_low_m <= z_high_m
  GroundTable(const HalfSpace& ground, double rho_high_m, double z_low_m, double z_high_m);

  /// Interpolated by polynomials of degree 5 in both directions, arguments moved into the table's range.
  /// Accuracy: 2e-5 of the kernel with its images.
  GroundKernel operator()(double rho_m, double z_m) const;

  std::size_t size() const { return values_.size() / 8; }

private:
  double rho_place(double rho_m) const;
  double z_place(double z_m) const;

  double rho_high_m_, z_low_m_, z_high_m_;
  double k0_rad_m_, k1_rad_m_, decay_per_m_;
  double rho_step_ = 1.0, z_step_ = 1.0, z_first_ = 0.0;
  std::size_t rho_count_ = 0, z_count_ = 0;
  std::vector<double> values_;  // eight for each place: real and imaginary parts; then z, then rho
};

}  // namespace stile::detail

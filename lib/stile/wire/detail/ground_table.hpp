#pragma once
// The half-space kernels without their images, as polynomials on a grid of horizontal distance and height sum, for one
// frequency and one soil. The grid does not depend on any antenna. Internal to the room.
//
// The quarter plane rho >= 0, z > 0 is cut at max(rho, z) = 2^n into square tiles of side 2^n, three an octave, and a
// tile with too many waves in it into four. A tile is filled when it is first asked for, with values that depend on
// nothing but its place.

#include <array>
#include <atomic>
#include <cstddef>
#include <memory>
#include <mutex>
#include <vector>

#include <stile/wire/detail/ground_kernel.hpp>

namespace stile::wire::detail {

/// Real and imaginary parts of xx, zz, phi and p.
using KernelParts = std::array<double, 8>;

class GroundTable {
public:
  explicit GroundTable(const HalfSpace& ground);
  ~GroundTable();
  GroundTable(const GroundTable&) = delete;
  GroundTable& operator=(const GroundTable&) = delete;

  /// Any number of threads may ask at once; the answer does not depend on what was asked before.
  /// @param rho_m  0..1e9
  /// @param z_m    0..1e9; below 1e-9 the value at 1e-9
  /// Accuracy: 5e-6 of the kernel with its images.
  GroundKernel operator()(double rho_m, double z_m) const;
  /// The same at `count` places.
  void values(const double* rho_m, const double* z_m, std::size_t count, KernelParts* out) const;
  /// The same with its slopes, those of the polynomials: within a tile each is exactly the slope of the value.
  /// Accuracy of the slopes: 1e-3 of the kernel with its images, per distance.
  KernelSlopes slopes(double rho_m, double z_m) const;

  /// Places at which the kernels were computed so far.
  std::size_t size() const { return size_; }

private:
  struct Tile;
  using Slot = std::atomic<const Tile*>;
  struct Place {
    double rho_m, z_m, side_m;  // lowest corner
  };
  /// The tile of a place, and where in it: -1..1 in both directions.
  struct Found {
    const Tile* tile;
    double rho, z, side_m;
  };
  Found find(double rho_m, double z_m) const;
  const Tile* filled(Slot& slot, const Place& place) const;
  std::unique_ptr<Tile> fill(const Place& place) const;

  static constexpr int lowest = -30, highest = 30;  // exponents of the sides
  HalfSpace ground_;
  mutable std::array<Slot, 3 * (highest - lowest + 1)> roots_{};
  mutable std::mutex filling_;
  mutable std::vector<std::unique_ptr<Tile>> tiles_;
  mutable std::atomic<std::size_t> size_{0};
};

}  // namespace stile::wire::detail

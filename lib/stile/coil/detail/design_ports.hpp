#pragma once
// A tapped coil as a two-port between transmitter and load, and what is added round it. Internal to the room.

#include <utility>

#include <stile/base/quantity.hpp>
#include <stile/coil/design.hpp>
#include <stile/coil/square_matrix.hpp>

namespace stile::coil::detail {

/// Open-circuit impedances of port 1 (transmitter to ground) and port 2 (load to ground).
struct Ports {
  cdouble z11, z12, z22;
};

/// Impedance at port 1 with a load at port 2.
inline cdouble input(const Ports& p, cdouble load) { return p.z11 - p.z12 * p.z12 / (p.z22 + load); }

/// Current in the load for one ampere into port 1.
inline cdouble load_current(const Ports& p, cdouble load) { return p.z12 / (p.z22 + load); }

/// All tap places of one coil against infinity, ready for straps and ground by updates of rank one.
class TapPorts {
public:
  /// @param z  place_impedance_ohm of the taps in order, the first the transmitter's end, the last the far end
  explicit TapPorts(SquareMatrix<cdouble> z) : z_(std::move(z)) {}
  std::size_t taps() const { return z_.n; }

  /// Transmitter at the first tap, load at `tap`; the rest open, or tied from tap to far end through `switch_ohm`.
  Ports series(std::size_t tap, Unused unused, double switch_ohm) const;
  /// The same with a capacitance's impedance across the coil, from first tap to `tap`.
  Ports series_bridged(std::size_t tap, Unused unused, double switch_ohm, cdouble bridge) const;
  /// First tap grounded, transmitter at `feed`, load at `tap`.
  Ports autotransformer(std::size_t feed, std::size_t tap, Unused unused, double switch_ohm) const;

private:
  SquareMatrix<cdouble> z_;
};

/// |reflection| of an impedance against a real one, and the SWR of it (infinite: 1e9).
double reflection(cdouble z, double reference_ohm);
double swr(double reflection);

}  // namespace stile::coil::detail

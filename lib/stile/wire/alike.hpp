#pragma once
// Antennas that have most of their wires in common, over one ground at one frequency.

#include <stile/wire/solve.hpp>

namespace stile::wire {

/// Keeps what the wires of antennas do to each other, so that one with a wire moved, with a part of another value
/// or a wire of another metal is solved without computing that again (KnownCouplings).
class AlikeAntennas {
public:
  /// @throws DomainError  as solve_antenna
  AlikeAntennas(const Antenna& first, const Ground& ground, double frequency_hz, const SolveOptions& options = {});

  /// Any antenna, with the bits of solve_antenna; whole wires that it has in common with one before cost nothing. Any
  /// number of threads.
  /// @throws DomainError  as solve_antenna
  AntennaSolution solve(const Antenna& antenna) const;

  /// Its impedance at the terminals alone.
  cdouble feed_ohm(const Antenna& antenna) const;

private:
  Ground ground_;
  double frequency_hz_;
  SolveOptions options_;
};

}  // namespace stile::wire

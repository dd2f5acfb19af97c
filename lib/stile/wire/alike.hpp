#pragma once
// Antennas that have most of their cells in common, over one ground at one frequency.

#include <memory>

#include <stile/wire/solve.hpp>

namespace stile::wire {

namespace detail {
class KnownCouplings;
}

/// Keeps what the cells of one antenna do to each other, so that an antenna with a wire moved, with a part of another
/// value or a wire of another metal is solved without computing that again. It takes 80 byte for each pair of cells.
class AlikeAntennas {
public:
  /// @throws DomainError  as solve_antenna
  AlikeAntennas(const Antenna& first, const Ground& ground, double frequency_hz, const SolveOptions& options = {});
  ~AlikeAntennas();
  AlikeAntennas(const AlikeAntennas&) = delete;
  AlikeAntennas& operator=(const AlikeAntennas&) = delete;

  /// Any antenna, with the bits of solve_antenna; what it has in common with the first costs nothing. Any number of
  /// threads.
  /// @throws DomainError  as solve_antenna
  AntennaSolution solve(const Antenna& antenna) const;

  /// Its impedance at the terminals alone.
  cdouble feed_ohm(const Antenna& antenna) const;

private:
  Ground ground_;
  double frequency_hz_;
  SolveOptions options_;
  std::unique_ptr<const detail::KnownCouplings> known_;
};

}  // namespace stile::wire

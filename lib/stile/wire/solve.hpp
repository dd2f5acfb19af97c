#pragma once
// Currents on an antenna over ground at one frequency, and what follows from them.

#include <cstddef>
#include <memory>
#include <string>
#include <vector>

#include <stile/wire/geometry.hpp>
#include <stile/wire/ground_tables.hpp>
#include <stile/wire/known_couplings.hpp>

namespace stile::wire {

struct SolveOptions {
  double fineness = 1.0;  ///< 0.25..16: cells are this many times shorter than by default; the feed gap stays
  GroundMethod method = GroundMethod::rigorous;
  std::size_t max_unknowns = 2000;  ///< a matrix of n unknowns takes 16 n^2 byte
  /// Shared by all that is solved over lossy ground in a run: the result is the same and comes sooner. Empty: made for
  /// the one call.
  std::shared_ptr<GroundTables> tables = {};
  /// Shared by antennas that have wires in common: the result is the same and comes sooner. Empty: nothing is kept.
  std::shared_ptr<KnownCouplings> known = {};
  bool every_point = false;  ///< a sweep solves each frequency instead of interpolating between a few
};

/// The same, with tables for a whole run where there were none.
SolveOptions with_tables(SolveOptions options);

/// A straight cell with linear current, positive from start to end.
struct CellCurrent {
  std::size_t wire = 0;
  Vec3 start;
  Vec3 end;
  double distance_m = 0.0;  ///< of the start from the wire's first point, along the wire
  double length_m = 0.0;
  double radius_m = 0.0;
  cdouble start_a;  ///< for 1 A into the antenna at the feed
  cdouble end_a;
};

/// Where the input power goes; the shares add up to 1.
struct AntennaShares {
  double radiated =
      0.0;  ///< reaches the far field: the whole sphere, over ground the upper half. This is the efficiency.
  double ground = 0.0;  ///< lossy ground only: the rest, ground wave included; over lossless dielectric what goes down
  double metal = 0.0;   ///< of wires that are no part of a person
  double coil = 0.0;
  double lump = 0.0;    ///< in lumps and in the leakage of the base
  double person = 0.0;  ///< in wires that are part of a person
};

struct AntennaSolution {
  double frequency_hz = 0.0;
  Ground ground;
  GroundMethod method = GroundMethod::rigorous;
  cdouble feed_ohm;     ///< at the terminals, base capacitance included
  cdouble antenna_ohm;  ///< without base capacitance and leakage
  AntennaShares share;
  double power_balance = 0.0;  ///< in free space and over perfect ground (radiated + metal + coil + lump +
                               ///< person)/input before the shares are scaled to 1: how far it is from 1 is a measure
                               ///< of error. Over lossy ground 1 by definition of the ground's share.
  double leakage_share = 0.0;  ///< of the input power in the leakage of the base; share.lump has it inside
  std::vector<double>
      wire_share;               ///< of the input power, what heats each wire: they add up to share.metal + share.person
  std::vector<cdouble> lump_a;  ///< current through each lump, along its wire, for 1 A into the antenna
  std::size_t unknowns = 0;
  std::vector<CellCurrent> cells;
  std::vector<std::string> cautions;  ///< see thin_wire_cautions; and cells shorter than two radii
};

/// Solves for the currents.
///
/// @param antenna       see check_antenna
/// @param frequency_hz  1e5..3e8
/// @throws DomainError  from check_antenna; frequency or options out of range; more unknowns than max_unknowns (the
///                      message gives both and the memory)
/// Accuracy: within 1.2 % of |Z| of an independent solver's converged values at the default fineness, 0.6 % at fineness
/// 3; near a half-wave counterpoise's resonance 1.5 % of |Z| in free space and over lossy ground (default against six
/// times finer cells; over perfect ground, where a low wire's resonance is very sharp, 8 %); shares within 1 %. Halving
/// the cells moves |Z| by less than 3 % for any whip and wire of the tests, 1 % for usual ones. Energy is kept to 1e-5
/// without ground loss, to 1e-4 over a lossless dielectric. Model: straight thin wires, flat uniform ground. Measured
/// ground-loss resistance differs from such a model by a factor of 2 and more, and insulation that touches the soil is
/// not in it. Method: Galerkin, linear functions, mixed potentials; Harrington, Field Computation by Moment Methods,
/// 1968; half-space kernels in the form of Michalski and Zheng, IEEE Trans. AP-38(3), 1990 (formulation C; from memory,
/// rederived).
AntennaSolution solve_antenna(const Antenna& antenna, const Ground& ground, double frequency_hz,
                              const SolveOptions& options = {});

/// Current through a lump, A rms, with this power into the terminals; of a hand's contact per watt with 1 W.
/// @throws DomainError  no such lump
double lump_current_a_rms(const AntennaSolution& solution, std::size_t lump, double power_w);

}  // namespace stile::wire

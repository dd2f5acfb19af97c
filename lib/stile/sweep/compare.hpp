#pragma once
// Two sweeps of one thing: what moved - in ohm, in kHz of resonance, in turns of the coil.

#include <optional>
#include <string>
#include <vector>

#include <stile/coil/winding.hpp>
#include <stile/load/load.hpp>
#include <stile/sweep/judge.hpp>
#include <stile/sweep/resonance.hpp>

namespace stile::sweep {

/// A coil in series that may be made to follow: how its inductance goes with turns at its present tap.
struct CoilTap {
  double turns = 0.0;         ///< > 0
  double inductance_h = 0.0;  ///< > 0
  /// dL/dN over L/N: 2 of turns that all couple, 1 of a long coil. One to two are legal; 0: both ends are given as a
  /// range.
  double exponent = 0.0;
};

/// A tap of a wound coil: its inductance, and how that goes with the turns there, from the geometry. The turns beyond
/// the tap are open.
/// @param turns  in use, at least 1 and at least half a turn less than all
/// @throws DomainError  outside these; as coil::analyse
/// Accuracy: turns to add for a step of a tenth of the inductance within 2 % of solving the coil there
/// (test_compare.cpp).
CoilTap tap_of(const coil::Winding& winding, double turns, double frequency_hz);

struct ComparedPoint {
  double frequency_hz = 0.0;
  cdouble first_ohm = 0.0, second_ohm = 0.0;
  cdouble moved_ohm = 0.0;  ///< second - first
  double uncertainty_ohm =
      0.0;  ///< standard deviation of each part, of both sweeps; systematic errors they share cancel. NaN: not known
  double turns_low = 0.0,
         turns_high = 0.0;  ///< to add to a series coil so that X is the first's again; 0 without a coil
};

struct ResonanceShift {
  Resonance first, second;
  double moved_hz = 0.0;  ///< second - first
};

struct Comparison {
  std::string first, second;
  std::vector<ComparedPoint> points;  ///< at the first sweep's frequencies which the second covers
  std::vector<ResonanceShift>
      resonances;  ///< each of the first with the nearest of its kind in the second, when not further than 10 %
  double rms_moved_ohm = 0.0;
  double largest_moved_ohm = 0.0, largest_at_hz = 0.0;
  std::optional<double>
      plane_delay_s;  ///< the second is the first seen through this much more line (one way), and little else
  std::vector<Finding> findings;  ///< FindingKind::plane where plane_delay_s has a value
  std::vector<Finding> caveats;   ///< of the second sweep; the first's stand with it
};

/// Compares where both have data; between the second's samples R and X are interpolated linearly.
///
/// plane_delay_s: where the ratio of the two reflections is a turn by 4 pi f delay alone - rms 2 % of it, |S11| above
/// 0.3 - and more than 3 degrees at the highest frequency.
/// @throws DomainError  no frequency in common; a coil out of range
Comparison compare(const OnePort& first, const OnePort& second, const std::optional<CoilTap>& coil = {});

/// The same with a computed load (a model, a solved antenna) as the second.
Comparison compare(const OnePort& measured, const load::Load& computed, const std::optional<CoilTap>& coil = {});

}  // namespace stile::sweep

#pragma once
// What the flat-soil model leaves out of the ground resistance of a wire that lies: a corner, not a correction.

#include <stile/base/range.hpp>
#include <stile/wire/solve.hpp>
#include <stile/wire/wire_case.hpp>

namespace stile::wire {

/// Measured ground resistance of a single radial over that of the flat-soil model. It holds for what was measured, a wire
/// that lies and is short: see has_lying_corner.
/// Source: web page "Ground resistance measurements", undated: one radial on clay pasture 77 to 80 ohm at 1.9 MHz; the model
/// gives 37, 29, 20 and 14 ohm on soils from medium dry to very good, radial at 2 cm.
inline constexpr Range lying_ground_factor{2.0, 5.0};

/// A wire lies where a level piece of it is no higher than this.
inline constexpr double lying_limit_m = 0.1;

/// Whether the factor belongs to a condition at a frequency: over lossy ground, when a wire reaches its lying height - has a
/// level piece at lying_limit_m or below, so one that ends in the air does not - and every such wire is shorter than a
/// quarter of the wavelength in air. A longer one feeds itself along its length, and nothing measured is known of it.
bool has_lying_corner(const Antenna& antenna, const Ground& ground, double frequency_hz);
bool has_lying_corner(const WireCase& wires, double frequency_hz);
/// The same of what is known to lie over lossy ground. @param longest_m  length of the longest such wire; 0: none
bool has_lying_corner(double longest_m, double frequency_hz);

struct GroundCorner {
  cdouble feed_ohm;
  double radiated = 0.0;  ///< share of the input power, as AntennaShares::radiated
};

/// A solution with its ground resistance (the ground's share of the feed resistance) a stated number of times as large;
/// currents and reactance stay.
/// @param factor  > 0
/// @throws DomainError  outside that
GroundCorner with_ground_factor(const AntennaSolution& solution, double factor);

}  // namespace stile::wire

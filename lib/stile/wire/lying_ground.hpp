#pragma once
// Wires that lie: how much shorter their quarter wave is, which lengths to avoid, and what the flat-soil model leaves
// out of their ground resistance - a corner, not a correction.

#include <string>
#include <vector>

#include <stile/base/range.hpp>
#include <stile/wire/solve.hpp>
#include <stile/wire/wire_case.hpp>

namespace stile::wire {

/// Measured ground resistance of a single radial over that of the flat-soil model. It holds for what was measured, a
/// wire that lies and is short: see has_lying_corner.
/// Source: web page "Ground resistance measurements", undated: one
/// radial on clay pasture 77 to 80 ohm at 1.9 MHz; the model gives 37, 29, 20 and 14 ohm on soils from medium dry to
/// very good, radial at 2 cm.
inline constexpr Range lying_ground_factor{2.0, 5.0};

/// A wire lies where a level piece of it is no higher than this.
inline constexpr double lying_limit_m = 0.1;

/// Whether the factor belongs to a condition at a frequency: over lossy ground, when a wire reaches its lying height -
/// has a level piece at lying_limit_m or below, so one that ends in the air does not - and every such wire is shorter
/// than a quarter of the wavelength in air. A longer one feeds itself along its length, and nothing measured is known
/// of it.
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

/// A wire that lies, as a line along the ground.
struct LyingWire {
  std::string name;
  double length_m = 0.0;        ///< as it is drawn
  double height_m = 0.0;        ///< of its lowest level piece
  double velocity = 0.0;        ///< along it, over that in air: velocity_along_ground
  double quarter_wave_m = 0.0;  ///< of that velocity: where such a wire resonates
  std::vector<Range> avoid_m;   ///< within a tenth of half a wave or of a multiple, up to longest_avoided_m, rising
};

inline constexpr double longest_avoided_m = 20.0;

/// Of every wire with a level piece at lying_limit_m or below, a person's left out; none over another than a lossy
/// ground.
/// @throws DomainError  as trailing_wire_line
/// Accuracy: velocity within 3 % of the solver's for a bare wire (7 MHz, 5 cm). Insulation is not in it: it shortens a
/// wire that lies by up to 12 % more (0.5 mm thick, 5 mm up). Ten printed lengths of dragged wires are within 6 % of
/// the quarter wave of an uninsulated one 2 cm over average soil (test_closed_forms.cpp).
std::vector<LyingWire> lying_wires(const WireCase& wires, double frequency_hz);

}  // namespace stile::wire

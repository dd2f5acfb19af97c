#pragma once
// The antenna as the solver sees it: straight round wires joined at nodes, coils along them, one feed.

#include <cstddef>
#include <limits>
#include <optional>
#include <string>
#include <vector>

#include <stile/base/quantity.hpp>
#include <stile/wire/ground.hpp>

namespace stile::wire {

/// A point or a direction; z points up, the ground's surface is z = 0.
struct Vec3 {
  double x_m = 0.0;
  double y_m = 0.0;
  double z_m = 0.0;
  bool operator==(const Vec3&) const = default;
};

/// A coat of plastic on a wire.
struct Insulation {
  double thickness_m = 0.0;            ///< > 0
  double relative_permittivity = 2.3;  ///< >= 1; polyethylene 2.3, PVC 3 to 4 (common practice)
  bool operator==(const Insulation&) const = default;
};

/// A bent wire. Two wires join where points of theirs coincide within 1e-6 m, and nowhere else.
struct Wire {
  std::string name;
  std::vector<Vec3> points;                ///< at least two, neighbours apart
  double radius_m = 0.001;                 ///< of the metal; > 0
  std::optional<double> conductivity_s_m;  ///< none: perfect conductor
  double relative_permeability = 1.0;      ///< >= 1
  std::optional<Insulation> insulation;
  bool person = false;  ///< part of a person: what heats it is the person's share, and it may be as thick as a fifth of
                        ///< a straight piece. Indicative, so that no caution is told for it
  bool set = false;     ///< part of the carried set: frame, lead, box
};

/// What a coil is at one frequency.
struct CoilValues {
  double frequency_hz = 0.0;        ///< > 0
  double inductance_h = 0.0;        ///< >= 0
  double q = 0.0;                   ///< > 0, finite
  double self_capacitance_f = 0.0;  ///< >= 0
};

/// A loading coil: inductance with series loss and a self-capacitance in parallel, spread evenly over `length_m` of the
/// wire about its centre; length 0 puts it at a point, with the stray capacitance of a gap of about 10 radii.
struct WireCoil {
  std::size_t wire = 0;              ///< index into Antenna::wires
  double distance_m = 0.0;           ///< from the wire's first point, along it, to the coil's centre
  double length_m = 0.02;            ///< >= 0; must lie within one straight piece, outside the feed gap
  double inductance_h = 0.0;         ///< >= 0
  double q = 200.0;                  ///< > 0 at every frequency solved; infinity is lossless
  double self_capacitance_f = 0.0;   ///< >= 0
  std::vector<CoilValues> values{};  ///< of a wound coil, at four or more rising frequencies: between them these count
                                     ///< in place of the three above (cubics in log f), outside there is no solution
  double outside_m = 0.0;            ///< across its outside, for the wind; 0: not known
};

/// A part at a point of a wire, in series with it: a choke in a lead, a contact, an insulator. Its impedance is
/// R + j w L + w L/Q + 1/(j w C): resistance, coil and capacitor one after the other; what is left out is not there.
struct WireLump {
  std::size_t wire = 0;     ///< index into Antenna::wires
  double distance_m = 0.0;  ///< from the wire's first point, along it, 0..its length. Up to the end of the feed gap, on
                            ///< the feed's wire or the only other one there: in series with the terminals. At an end:
                            ///< only where another wire joins
  double resistance_ohm = 0.0;                                     ///< >= 0
  double inductance_h = 0.0;                                       ///< >= 0
  double capacitance_f = std::numeric_limits<double>::infinity();  ///< > 0; infinity: no capacitor
  double q = std::numeric_limits<double>::infinity();  ///< of the inductance, at every frequency solved; > 0
};

/// The feed stands at the first point of one wire: that wire against all others that meet there, or against perfect
/// ground when the point lies on it.
struct Feed {
  std::size_t wire = 0;
  double gap_m = 0.01;  ///< half of it on the wire, half on each of the others; over perfect ground all of it
                        ///< on the wire; what is on a conductor is at least the radius of the thickest
                        ///< there, a person left out. The voltage is spread evenly over it.
  double base_capacitance_f = 0.0;  ///< >= 0; of the base insulator, across the terminals
  double base_leakage_ohm = std::numeric_limits<double>::infinity();  ///< > 0; of a wet base, across the terminals
};

struct Antenna {
  std::vector<Wire> wires;
  std::vector<WireCoil> coils;
  Feed feed;
  std::vector<WireLump> lumps;
};

/// How near a wire's axis may come to lossy ground: 5 radii of the metal, and outside its insulation; a person's may
/// lie on it, because a sole does.
double least_height_m(const Wire& wire);

/// Length along a wire, m.
double wire_length_m(const Wire& wire);

/// Checks what does not depend on frequency.
///
/// @throws DomainError  naming the wire: fewer than two points, two equal neighbours, a value not finite or outside its
///                      range, radius above a tenth of the shortest straight piece, wires that cross or touch without a
///                      common point, a wire below the ground, on it (other than an end on perfect ground) or nearer to
///                      it than least_height_m, a coil off its wire or over a bend or another coil, a point coil where
///                      wires join, a lump off its wire, at a free end, where wires join half-way, in another's feed
///                      gap or on another part, a feed with nothing to feed against, a gap longer than its straight
///                      piece or shorter than Feed says
void check_antenna(const Antenna& antenna, const Ground& ground);

/// What makes the thin-wire model doubtful at a frequency, in words; empty when nothing does: radius above 0.01
/// wavelength, a straight piece shorter than 15 radii, wires closer than 4 radii, a wire longer than 10
/// wavelengths.
std::vector<std::string> thin_wire_cautions(const Antenna& antenna, double frequency_hz);

}  // namespace stile::wire

#pragma once
// Closed forms for coils: checks and first guesses beside the ring model. The search for turns starts from
// rosa_inductance_h; the others are for library users.

#include <stile/coil/winding.hpp>

namespace stile::coil {

/// Nagaoka's coefficient of a current sheet: inductance over that of a piece of an endless sheet.
/// @param diameter_over_length  >= 0
/// Accuracy: 1e-12 relative for 0.01 to 1000, against 18-digit rows; published table (Grover 1946, table 36) within its
/// own last-digit slips of 1.7e-6. Source: Lorenz 1879; Nagaoka 1909; complete elliptic integrals.
double nagaoka_coefficient(double diameter_over_length);

/// Inductance of a cylindrical current sheet of N turns, H. @throws DomainError  an argument not > 0
double current_sheet_inductance_h(double turns, double diameter_m, double length_m);

/// Rosa's correction B for the mutual inductance of round wires instead of a sheet. @param turns  >= 1
/// Accuracy: 1e-12 absolute for whole turns, 1 to 1000. Between whole turns linear in 1/N is not exact: straight line.
/// Source: Rosa, NBS Bulletin 1906/07; here summed from geometric mean distances of strips.
double rosa_b(double turns);

/// Low-frequency inductance of a single-layer coil by Rosa's corrections, H (even current in the wire).
/// @param surface_current  true: current on the surface, no field inside the wire (no proximity effect either)
/// Accuracy: 3e-5 to 1.3e-3 above the sum over rings (test_closed_forms.cpp).
double rosa_inductance_h(double turns, double diameter_m, double pitch_m, double wire_diameter_m, bool surface_current);

/// Low-frequency inductance of a true helix by Neumann's integral, ends open (no leads), H.
/// Accuracy: 2e-9 relative, against 13-digit rows of eight coils (test_closed_forms.cpp). Model: wire replaced by two
/// filaments a geometric mean distance apart.
double helix_inductance_h(double turns, double diameter_m, double pitch_m, double wire_diameter_m);

/// Mutual inductance of two current sheets of the same diameter and pitch on one axis, H.
/// @param gap_turns  between them, in pitches, >= 0
double sheet_mutual_inductance_h(double turns_1, double gap_turns, double turns_2, double diameter_m, double pitch_m);

/// Self-capacitance of a single-layer coil with one end grounded, published table, F.
/// @param length_over_diameter  0.1 to 50
/// @throws DomainError  outside the table
/// Model error: an empirical table, 0.7 to 11.5 % off in resonance on measured coils; its surroundings (floating or
/// grounded) matter more than its digits. Source: Medhurst, Wireless Engineer 24 (1947), as quoted in two postings.
double medhurst_capacitance_f(double diameter_m, double length_over_diameter);

/// u(N) of a flat row of N equal wires with equal currents: mean over the wires of (sum over the others of 1/(i-j))^2.
/// @param wires  >= 1
/// Accuracy: 1e-9. Limit pi^2/3 for many wires. Source: Terman, 1943, table 20 (printed values: to 0.9 %).
double row_loss_factor(int wires);

/// Resistance of a coil over that of the same wire straight, in the weak-coupling form H + u (d/p)^2 G, for a row of N.
/// Model error: right within a few per cent for d/p <= 0.3, 5 to 11 % low at 0.5 (test_rings.cpp).
double butterworth_resistance_ratio(int turns, double wire_over_pitch, double radius_over_depth);

/// Reactance of each of two coils that bring a centre-fed wire (or one coil a whip over its image) to resonance, when
/// they stand part-way out, ohm.
///
/// @param half_length_m    from the feed to the end of the wire, > 0, below a quarter wave
/// @param coil_position_m  from the feed to the coil, 0 to below half_length_m
/// @param diameter_m       of the wire
/// @throws DomainError  outside, or a wire long enough to need no coil (the result would be < 0)
/// Accuracy: the printed example to its five digits. Model error: -3.4 to +2.3 % at the feed, 5.9 to 12.5 % low further
/// out, against a full wire solution of thirteen cases (test_closed_forms.cpp); take that where it matters, with the
/// coil as a lumped load.
/// Source: J. Hall, QST, September 1974, as in the antenna handbook; the quarter wave is its 234
/// ft MHz, which counts the end effect.
double offcentre_loading_reactance_ohm(double frequency_hz, double half_length_m, double coil_position_m,
                                       double diameter_m);

}  // namespace stile::coil

#pragma once
// Magnetic coupling and eddy currents of a winding whose turns are coaxial rings of round wire.

#include <stile/base/quantity.hpp>
#include <stile/coil/square_matrix.hpp>
#include <stile/coil/winding.hpp>

namespace stile::coil {

/// Mutual inductance of two coaxial circular filaments, H.
/// @param radius_a_m, radius_b_m  > 0
/// @param distance_m              along the axis, any sign; the filaments must not coincide
/// @throws DomainError
/// Accuracy: 1e-13 relative, for distances from 1e-6 to 1e4 radii and radii up to 1000 apart (test_rings.cpp, against
/// 40-digit values; no cancellation: the arithmetic-geometric mean gives the difference of the elliptic integrals
/// directly).
/// Source: Maxwell; DLMF 19.34. For users of the library.
double ring_mutual_inductance_h(double radius_a_m, double radius_b_m, double distance_m);

/// Inductance of one ring of round wire with the current spread evenly over its cross-section, H.
/// Source: Rayleigh and Niven, mu0 a (ln(8a/r) - 7/4 + (r^2/8a^2)(ln(8a/r) + 1/3)); neglects higher powers of r/a.
double ring_self_inductance_h(double radius_m, double wire_radius_m);

/// Inductances of all turns at low frequency (current even over the wire), H: self by Rayleigh and Niven, mutual
/// between centre filaments. n = number of turns (a part turn at the end counts as a ring).
SquareMatrix<double> low_frequency_inductance_h(const Winding& winding);

/// How currents within the wire are treated.
enum class CurrentModel {
  surface,  ///< eddy-current boundary integral: skin and proximity effect in every turn, used or not
  even,  ///< even current for L, skin effect of isolated wire for R: no proximity effect, so R is too low. For coils of
         ///< hundreds of thin turns at low frequency
};

struct RingOptions {
  CurrentModel currents = CurrentModel::surface;
  int nodes_per_turn = 0;  ///< on the surface of each turn; even, 4 to 128; 0: by the closest spacing (8 for wire up to
                           ///< 0.71 of the pitch, 12 to 0.81, 16 to 0.86, 20 to 0.91, 32 to 0.95, 48 above)
};

/// Largest number of turns times nodes the boundary integral takes.
inline constexpr std::size_t most_surface_unknowns = 6000;

/// Most turns that CurrentModel::surface takes at the automatic nodes: 750 for wire up to 0.71 of the closest spacing,
/// 500 to 0.81, 375 to 0.86, 300 to 0.91, 187 to 0.95, 125 above.
/// @throws DomainError  as check(winding)
int most_surface_turns(const Winding& winding);

/// Impedance matrix of the turns, ohm: voltage round turn i for a current in turn j, every other turn's net current
/// zero but its eddy currents free. Complex, symmetric, real part positive definite. The resistive part carries the
/// helix factor sqrt(1 + (pitch/(pi D))^2). Capacitance is not in it.
///
/// @param frequency_hz  1e-3 to 1e12
/// @throws DomainError  as check(winding); frequency outside; more unknowns than most_surface_unknowns
/// Accuracy: arithmetic 1e-3 at the automatic nodes, against 48 nodes a turn (test_rings.cpp: 36 rows and convergence);
/// symmetric to 1e-12. Model: rings for a helix, within 0.4 % of L (test_closed_forms.cpp); inside of the wire
/// right to first order in wire over coil radius. Of nineteen small air coils measured at 13 MHz fifteen are within
/// 6.1 %, all within 11.6 %. No measured resistance with complete geometry is known: R stands on exact limits (isolated
/// wire, pair of wires, flat rows). Against a table of smoothed measurements (from memory) 30 turns of wire up to 0.7
/// of the pitch, 0.6 to 10 diameters long, are 3.2 % low in the mean and 13.1 % at most. From 0.8 of the pitch on one
/// per cent of pitch is 2 to 7 % of R, and the table lies up to 1.8 times apart (test_rings.cpp). In practice surface,
/// joints and neighbours add 5 to 15 % to R. Metal near the coil (Winding::plane, beside, can) is mirrored by
/// filaments, a plane across the axis at the wire's surface; its loss is that of a smooth surface far thicker than its
/// skin depth. Arithmetic 2e-3 of what it adds, against a can of closed rings and the field summed over a plane;
/// filaments 3 % of it with the wire's middle two wires away (test_near_metal.cpp).
SquareMatrix<cdouble> turn_impedance_ohm(const Winding& winding, double frequency_hz, const RingOptions& options = {});

/// The same without the metal's inside: perfect conductors, H. Limit of Im(Z)/omega for small skin depth.
/// For users of the library.
SquareMatrix<double> perfect_inductance_h(const Winding& winding, const RingOptions& options = {});

}  // namespace stile::coil

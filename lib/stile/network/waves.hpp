#pragma once
// Waves at a port, and the three definitions in use when the reference impedance is complex. Charts use the reflection;
// the way back to an impedance, and what follows from measured powers, are for library users.
//
// With V and I rms, I into the port, and Z = R + jX the reference impedance of the port (R > 0):
//
//   power       a = (V + Z I) / (2 sqrt R)           b = (V - Z* I) / (2 sqrt R)
//   pseudo      a = sqrt R (V + Z I) / (2 |Z|)       b = sqrt R (V - Z I) / (2 |Z|)
//   travelling  a = (V + Z I) / (2 sqrt Z)           b = (V - Z I) / (2 sqrt Z)      principal root
//
// For real Z all three are the same. For complex Z they are not, and each is right for something else:
//   power       |a|^2 - |b|^2 is the power into the port; zero reflection is a conjugate match. Use it for mismatch
//               loss and tuners.
//   pseudo and travelling   zero reflection is Z itself; |a|^2 - |b|^2 is not the power and |reflection| of a
//               passive load may exceed 1. Use them for lines, de-embedding and cascading.
// Nothing here or elsewhere takes a definition by default.
//
// Sources: K. Kurokawa, Power waves and the scattering matrix, IEEE Trans. MTT-13, 194-202, 1965 (from memory);
// R. B. Marks, D. F. Williams, A general waveguide circuit theory, J. Res. NIST 97(5), 533-562, 1992 (abstract seen;
// the phase factor of the paper's voltage normalisation is 1 here); the travelling waves are the usual textbook
// extension (from memory).

#include <stile/base/quantity.hpp>

namespace stile::network {

/// Which waves reflection coefficients and S parameters mean. No member has the value 0, so that a definition left
/// out of an initialiser is refused instead of read as one of the three.
enum class WaveDefinition { power = 1, pseudo, travelling };

/// Reflection coefficient b/a of a load.
///
/// @param z_ohm      load, ohm; finite, any sign of the real part
/// @param z_ref_ohm  reference, ohm; finite, real part > 0
/// @return           (z - z_ref*)/(z + z_ref) for power waves, (z - z_ref)/(z + z_ref) for the other two
/// @throws DomainError  a value is out of range, or z = -z_ref (no finite reflection)
/// Accuracy: 4 ulp of the larger part, or of 1 where z is close to a match.
cdouble reflection(cdouble z_ohm, cdouble z_ref_ohm, WaveDefinition definition);

/// Load that has a given reflection coefficient: the inverse of reflection().
///
/// @param gamma  finite, not 1 (an open circuit has no impedance)
/// @throws DomainError  a value is out of range, or gamma = 1
cdouble impedance_from_reflection(cdouble gamma, cdouble z_ref_ohm, WaveDefinition definition);

/// Angle of a reflection coefficient, degrees, -180..180; 0 for no reflection.
/// @param gamma  finite
/// @throws DomainError  not finite
double reflection_angle_deg(cdouble gamma);

// The functions below take the magnitude of a reflection coefficient, 0..1. A magnitude above 1 by no more than
// 4 epsilon (9e-16), which rounding makes of total reflection, counts as 1; anything larger, negative or not a number
// throws DomainError.

/// Standing wave ratio (1 + r)/(1 - r); infinite at r = 1.
double swr(double reflection_abs);

/// Magnitude of the reflection coefficient from the SWR: (s - 1)/(s + 1); 1 for an infinite SWR.
/// @throws DomainError  swr_value < 1 or nan
double reflection_abs_from_swr(double swr_value);

/// Magnitude of the reflection coefficient from the two readings of a directional wattmeter: sqrt(reflected/forward).
/// @throws DomainError  forward_w <= 0, reflected_w < 0, reflected_w > forward_w, or not finite
double reflection_abs_from_powers(double forward_w, double reflected_w);

/// Return loss -20 log10 r, dB, >= 0; infinite at r = 0.
double return_loss_db(double reflection_abs);

/// Mismatch loss -10 log10(1 - r^2), dB, >= 0: the share of the available power that is not accepted. Infinite at
/// r = 1. With a complex source impedance r must be of power waves referred to it.
/// Accuracy: 4 ulp for r below 0.9; closer to total reflection as good as 1 - r itself.
double mismatch_loss_db(double reflection_abs);

}  // namespace stile::network

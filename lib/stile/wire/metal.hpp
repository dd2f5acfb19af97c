#pragma once
// Metals and what they do to a current on a round wire.

#include <string_view>

#include <stile/base/quantity.hpp>

namespace stile {

/// Conductivity at 20 C, S/m: "copper", "tinned copper", "aluminium", "brass", "phosphor bronze", "stainless steel",
/// "steel".
/// Source: copper 5.8e7 is the international annealed standard (IEC 60028); stainless steel 1.4e6, the others rounded
/// handbook values (common practice), alloys differ by +-20 %. Steel needs its permeability stated beside.
/// @throws DomainError  another name; the message lists the legal ones
double metal_conductivity_s_m(std::string_view name);

/// Internal impedance of a round wire per metre, skin effect included, ohm/m.
///
/// @param radius_m, conductivity_s_m, frequency_hz  > 0; relative_permeability >= 1
/// @throws DomainError  outside these
/// Accuracy: 1e-12 of the exact Bessel form; round, straight, alone, smooth.
/// Source: z = g/(2 pi a sigma) I0(g a)/I1(g a), g = sqrt(j w mu sigma).
cdouble wire_impedance_ohm_per_m(double radius_m, double conductivity_s_m, double relative_permeability,
                                 double frequency_hz);

}  // namespace stile

#pragma once
// Diameters of bare round wire by gauge number.

#include <string_view>

namespace stile::conductor {

/// Diameter of the bare wire of a gauge, m.
///
/// @param gauge  "AWG 24", "SWG 20"; blanks are optional, large sizes as "AWG 4/0" or "AWG 0000", "0" and "1/0" are
///               the same. AWG 4/0 to 56, SWG 7/0 to 50.
/// @throws DomainError  not a gauge, or outside its range (the message gives the range)
/// Accuracy: AWG by its defining formula to 1e-15; tables print it rounded to 0.1 or 0.01 mil. SWG exact by
/// definition. Bare wire as made varies by about 1 % (common practice); enamel comes on top.
/// Source: AWG d = 0.005 in * 92^((36 - n)/39), n = -3 for 4/0, ASTM B258; SWG: table in steps that are linear between
/// break points (data file of GNU units, checked against that program).
double wire_diameter_m(std::string_view gauge);

}  // namespace stile::conductor

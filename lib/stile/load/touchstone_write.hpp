#pragma once
// Touchstone network files of one port, written so that touchstone.hpp reads them back.

#include <string>
#include <vector>

#include <stile/load/touchstone.hpp>

namespace stile::load {

struct OnePortPoint {
  double frequency_hz = 0.0;
  cdouble z_ohm = 0.0;
};

struct OnePortFormat {
  TouchstoneKind kind = TouchstoneKind::z;  ///< z or s
  double reference_ohm = 50.0;              ///< finite, > 0
};

/// A version 1 file of one port: Hz, real and imaginary part, shortest digits.
///
/// As Z, read_touchstone gives back every impedance to the last bit. As S, it gives back S = (Z - R)/(Z + R) to the
/// last bit, which holds Z only to about |Z|/R or R/|Z| times the resolution of a double.
///
/// @param points    strictly increasing frequency >= 0, finite; at least one
/// @param comments  one line each, without the leading '!'; printable ASCII and tabs
/// @throws DomainError  any of the above is not met, or Z = -R as S, or Z / R leaves the range of a double
std::string write_touchstone_1port(const std::vector<OnePortPoint>& points, const OnePortFormat& format,
                                   const std::vector<std::string>& comments = {});

}  // namespace stile::load

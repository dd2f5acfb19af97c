#pragma once
// Reflection, interpolation and angle of the points of a sweep. Inner part of corrections, fits and comparisons.

#include <cstddef>
#include <utility>
#include <vector>

#include <stile/sweep/judge.hpp>

namespace stile::sweep::detail {

inline cdouble to_reflection(cdouble z, double r0) { return (z - r0) / (z + r0); }

/// dS / dZ of a point.
inline cdouble reflection_per_ohm(cdouble z, double r0) { return 2.0 * r0 / ((z + r0) * (z + r0)); }

/// OnePort::common_ohm as errors of the reflection against r0, in its order.
std::vector<std::vector<cdouble>> reflection_errors(const OnePort& sweep, double r0);

/// OnePort::local_ohm likewise.
std::vector<LocalError> local_reflection_errors(const OnePort& sweep, double r0);

/// Angle of each value, radian, without turns between neighbours: the first in -pi..pi, each further within half a turn
/// of the one before.
std::vector<double> unwrapped_angle(const std::vector<cdouble>& values);

/// Index below f and share of the way to the next sample, 0..1; a billionth of f beyond an end still counts.
/// @throws DomainError  no data there; the message has the name and the range
std::pair<std::size_t, double> place_of(const std::vector<double>& frequency_hz, double f, const std::string& name);

}  // namespace stile::sweep::detail

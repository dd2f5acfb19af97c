#pragma once
// A part of the plane of the reflection coefficient that is magnified. Internal.

#include <optional>
#include <vector>

#include <stile/base/quantity.hpp>

namespace stile::plots::detail {

/// A square part of the plane.
struct SmithWindow {
  cdouble middle;
  double half = 0.0;  ///< of its side, > 0
};

/// Where all points lie close together, as those of short whips do at the rim: the part of the plane around them.
/// @param reflections  finite; not empty
std::optional<SmithWindow> crowded_window(const std::vector<cdouble>& reflections);

}  // namespace stile::plots::detail

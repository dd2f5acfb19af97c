#pragma once
// An antenna as it stands or lies in one condition.

#include <string>

#include <stile/wire/geometry.hpp>
#include <stile/wire/ground.hpp>

namespace stile {

/// The antenna in one condition, with the ground under it: both checked.
struct WireCase {
  std::string name;
  Antenna antenna;
  Ground ground;
};

}  // namespace stile

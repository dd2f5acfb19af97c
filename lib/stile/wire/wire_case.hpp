#pragma once
// An antenna as it stands or lies in one condition.

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include <stile/wire/geometry.hpp>
#include <stile/wire/ground.hpp>

namespace stile::wire {

/// The antenna in one condition, with the ground under it: both checked.
struct WireCase {
  std::string name;
  Antenna antenna;
  Ground ground;
  std::vector<std::string> changes = {};  ///< what differs from the drawing, a sentence each
  std::optional<std::size_t> hand = {};   ///< index of the lump that is a hand's contact
  bool on_ground = false;                 ///< a wire lies on the ground: see lying_ground_factor
  bool carried = false;                   ///< set and person are in it
};

}  // namespace stile::wire

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
  std::vector<std::string> changes = {};  ///< what differs from the drawing, a sentence each, that of the ground first
  std::optional<std::size_t> hand = {};   ///< index of the lump that is a hand's contact
  bool carried = false;                   ///< set and person are in it
  std::string corner_of = {};  ///< name of the condition of which this is one corner: of the person's spread, or one
                               ///< end of a hand's contact
  std::optional<double> contact_ohm = {};  ///< of a hand whose contact is a range: hand and arm, in this case
};

/// Puts another ground under a condition, and what its changes say of the ground with it. The same ground changes
/// nothing.
/// @throws DomainError  as check_antenna; a person on another than a lossy ground
void put_on_ground(WireCase& wires, const Ground& ground);

}  // namespace stile::wire

#pragma once
// Somebody who stands beside an antenna and reaches for it, as wires. Internal to the room.

#include <stile/wire/vec3.hpp>
#include <stile/wire/wire_case.hpp>

namespace stile::safety::detail {

/// The antenna with the person who touches: wires and soles of his own, and the lump of the contact.
struct Toucher {
  wire::WireCase wires;
  std::size_t contact = 0;
};

/// Half a metre beside the place, where it is clearest of everything else; crouched where the place is lower than 0.8
/// m.
/// @param at  a point of a wire
Toucher with_toucher(const wire::WireCase& wires, wire::Vec3 at);

}  // namespace stile::safety::detail

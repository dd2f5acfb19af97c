#include <stile/wire/wire_case.hpp>

#include <algorithm>

#include <stile/base/errors.hpp>

namespace stile::wire {

void put_on_ground(WireCase& wires, const Ground& ground) {
  if (ground == wires.ground) return;
  const bool person =
      std::any_of(wires.antenna.wires.begin(), wires.antenna.wires.end(), [](const Wire& wire) { return wire.person; });
  require(!person || ground.kind == GroundKind::lossy, "a person needs a lossy ground to stand on");
  check_antenna(wires.antenna, ground);
  wires.ground = ground;
  const std::string start = "the ground is ";
  std::erase_if(wires.changes, [&](const std::string& change) { return change.rfind(start, 0) == 0; });
  wires.changes.insert(wires.changes.begin(), start + ground_words(ground));
}

}  // namespace stile::wire

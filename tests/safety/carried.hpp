#pragma once
// A carried whip with set and person in a condition, solved.

#include <stile/safety/exposure.hpp>
#include <stile/wire/conditions.hpp>

namespace stile::safety::test {

inline wire::WireCase carried_case(wire::WhipCondition condition, bool carried = true) {
  wire::WhipSet w;
  w.ground = wire::ground_by_name("medium dry");
  if (carried) {
    w.set = wire::SetBody{};
    w.person = wire::PersonBody{};
  }
  const auto c = wire::whip_condition(w, condition);
  wire::WireCase one;
  one.name = c.name;
  one.antenna = c.antenna;
  one.ground = c.ground;
  one.hand = c.hand;
  one.carried = carried;
  return one;
}

inline ExposureCase solved(const wire::WireCase& wires, double frequency_hz, double power_w,
                           const wire::SolveOptions& options = {}) {
  return {wires, wire::solve_antenna(wires.antenna, wires.ground, frequency_hz, options), power_w};
}

}  // namespace stile::safety::test

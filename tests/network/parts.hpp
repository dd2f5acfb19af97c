#pragma once
// Short names for the elements that the ladder tests are written with.

#include <utility>

#include <stile/network/element.hpp>

namespace stile::network::test {

inline Element series(Component part) { return {"", Place::series, std::move(part), {}}; }
inline Element shunt(Component part) { return {"", Place::shunt, std::move(part), {}}; }
inline Element cascade(Component part) { return {"", Place::cascade, std::move(part), {}}; }
inline FixedImpedance reactance(double x_ohm) { return {{0.0, x_ohm}}; }

}  // namespace stile::network::test

#pragma once
// A transmitter that holds its power back when the SWR rises.

#include <span>

namespace stile::network {

/// Power at an SWR: straight lines between points, the last value beyond.
struct FoldbackPoint {
  double swr = 1.0;
  double power_w = 0.0;
};

/// Power that a transmitter offers at an SWR.
///
/// @param full_power_w  what it offers before the first point
/// @param foldback      rising SWR, falling power; empty: the full power at every SWR
/// @param swr           >= 1 (a rounding below counts as 1); infinite is legal
/// @return              W, <= full_power_w when the first point is
double power_at_swr(double full_power_w, std::span<const FoldbackPoint> foldback, double swr);

}  // namespace stile::network

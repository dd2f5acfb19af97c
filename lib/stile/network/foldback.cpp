#include <stile/network/foldback.hpp>

#include <algorithm>

namespace stile::network {

double power_at_swr(double full_power_w, std::span<const FoldbackPoint> foldback, double swr) {
  double power_w = full_power_w, from_swr = 1.0;
  for (const FoldbackPoint& point : foldback) {
    if (swr <= point.swr) {
      const double share = point.swr > from_swr ? (swr - from_swr) / (point.swr - from_swr) : 1.0;
      return power_w + (point.power_w - power_w) * std::max(0.0, share);
    }
    power_w = point.power_w, from_swr = point.swr;
  }
  return power_w;
}

}  // namespace stile::network

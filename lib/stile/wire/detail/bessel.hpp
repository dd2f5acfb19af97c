#pragma once
// Bessel functions of orders 0 and 1 together, fast. Internal to the room.

#include <array>
#include <cstddef>
#include <vector>

namespace stile::wire::detail {

struct Bessel01 {
  double j0, j1;
};

/// Taylor series about points a sixteenth apart up to 256; Boost's functions beyond.
class BesselSeries {
public:
  BesselSeries();

  /// @param x  >= 0
  /// Accuracy: 1e-9.
  Bessel01 operator()(double x) const {
    if (!(x < last)) return beyond(x);
    const auto i = static_cast<std::size_t>(x * per_unit + 0.5);
    const double d = x - static_cast<double>(i) / per_unit;
    const std::array<double, terms>& c = all_[i];
    double value = c[terms - 1], slope = 0.0;
    for (std::size_t n = terms - 1; n > 0; --n) {
      slope = slope * d + value;
      value = value * d + c[n - 1];
    }
    return {value, -slope};
  }

private:
  static Bessel01 beyond(double x);

  static constexpr double per_unit = 16.0;
  static constexpr double last = 256.0;
  static constexpr std::size_t terms = 6;
  std::vector<std::array<double, terms>> all_;  // of J0 in the distance from the point; J1 is minus its slope
};

/// Made once; nothing in it depends on a caller.
const BesselSeries& bessel_series();

}  // namespace stile::wire::detail

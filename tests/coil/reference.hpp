#pragma once
// Reference rows and helpers of the coil tests.

#include <cmath>
#include <cstdint>
#include <random>
#include <string>

#include <stile/base/constants.hpp>
#include <stile/base/table.hpp>
#include <stile/coil/analysis.hpp>

namespace stile::coil::test {

inline Table coil_reference(const std::string& name) {
  const std::string path = std::string(STILE_TEST_DATA) + "/coil/" + name;
  return read_table(read_text_file(path), path);
}

/// The derived rows were computed with the magnetic constant as it was exact before 2019; multiply our result by this.
inline constexpr double old_mu0 = 4e-7 * pi / mu0_h_m;

inline double off(double value, double expected) { return std::abs(value / expected - 1.0); }

/// Copper for which the wire's radius is so many skin depths at the frequency.
inline Winding with_radius_over_depth(Winding winding, double ratio, double frequency_hz) {
  const double depth = 0.5 * winding.wire.diameter_m / ratio;
  winding.wire.metal.resistivity_20c_ohm_m = depth * depth * pi * frequency_hz * mu0_h_m;
  return winding;
}

template <typename Number>
Number sum_of(const SquareMatrix<Number>& m) {
  Number sum{};
  for (const Number& x : m.values) sum += x;
  return sum;
}

class Random {
public:
  explicit Random(std::uint64_t start) : engine_(start) {}
  double uniform(double low, double high) {
    return low + (high - low) * (static_cast<double>(engine_() >> 11) * 0x1p-53);
  }
  int whole(int low, int high) {
    return low + static_cast<int>(engine_() % static_cast<std::uint64_t>(high - low + 1));
  }

private:
  std::mt19937_64 engine_;
};

}  // namespace stile::coil::test

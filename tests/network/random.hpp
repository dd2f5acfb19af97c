#pragma once
// Random values with a fixed start, the same with every standard library.

#include <cmath>
#include <cstdint>
#include <random>

#include <stile/base/quantity.hpp>

namespace stile::network::test {

class Random {
public:
  explicit Random(std::uint64_t start) : engine_(start) {}
  double uniform(double low, double high) {  // std::uniform_real_distribution differs between libraries
    return low + (high - low) * (static_cast<double>(engine_() >> 11) * 0x1p-53);
  }
  double log_uniform(double low, double high) { return std::exp(uniform(std::log(low), std::log(high))); }
  int below(int n) { return static_cast<int>(engine_() % static_cast<std::uint64_t>(n)); }
  bool chance(double share) { return uniform(0.0, 1.0) < share; }
  double sign() { return below(2) == 0 ? -1.0 : 1.0; }
  cdouble in_square(double size) { return {uniform(-size, size), uniform(-size, size)}; }

private:
  std::mt19937_64 engine_;
};

}  // namespace stile::network::test

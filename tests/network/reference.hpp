#pragma once
// What the tests of this room share: reference tables and random values with a fixed start.

#include <cmath>
#include <complex>
#include <cstdint>
#include <limits>
#include <random>
#include <string>
#include <vector>

#include <stile/base/constants.hpp>
#include <stile/base/table.hpp>
#include <stile/network/chain.hpp>
#include <stile/network/line.hpp>

namespace stile::test {

inline constexpr double infinite = std::numeric_limits<double>::infinity();
inline constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();

inline Table reference(const std::string& name) {
  const std::string path = std::string(STILE_TEST_DATA) + "/network/" + name;
  return read_table(read_text_file(path), path);
}

/// Distance over the size of the reference; 0 when both are 0.
inline double relative(cdouble value, cdouble expected) {
  return value == expected ? 0.0 : std::abs(value - expected) / std::abs(expected);
}

class Random {
 public:
  explicit Random(std::uint64_t start) : engine_(start) {}
  double uniform(double low, double high) {      // std::uniform_real_distribution differs between libraries
    return low + (high - low) * (static_cast<double>(engine_() >> 11) * 0x1p-53);
  }
  double log_uniform(double low, double high) { return std::exp(uniform(std::log(low), std::log(high))); }
  int below(int n) { return static_cast<int>(engine_() % static_cast<std::uint64_t>(n)); }
  double sign() { return below(2) == 0 ? -1.0 : 1.0; }
  cdouble in_square(double size) { return {uniform(-size, size), uniform(-size, size)}; }
  /// Reference impedance with a phase up to 45 degrees.
  cdouble reference_impedance() {
    const double r = log_uniform(10.0, 200.0);
    return {r, r * uniform(-1.0, 1.0)};
  }

 private:
  std::mt19937_64 engine_;
};

/// A two-port of the kinds HF networks are made of. q <= 0: no loss.
inline Chain random_part(Random& random, double q) {
  const double x = random.sign() * random.log_uniform(5.0, 500.0);
  const double r = q > 0.0 ? std::abs(x) / q : 0.0;
  switch (random.below(4)) {
    case 0: return series_chain({r, x});
    case 1: return shunt_chain(1.0 / cdouble{r, x});
    case 2: return ideal_transformer_chain(random.sign() * random.log_uniform(0.3, 3.0));
    default: {
      LineConstants line = lossless_line(random.log_uniform(25.0, 300.0), random.uniform(0.6, 1.0), 7.1e6);
      if (q > 0.0) line.gamma_per_m += line.gamma_per_m.imag() / (2.0 * q);
      return line_chain(line, random.log_uniform(0.01, 30.0));
    }
  }
}

inline std::vector<Chain> random_row(Random& random, double q) {
  std::vector<Chain> parts(static_cast<std::size_t>(1 + random.below(5)));
  for (Chain& part : parts) part = random_part(random, q);
  return parts;
}

}  // namespace stile::test

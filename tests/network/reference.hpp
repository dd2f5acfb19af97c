#pragma once
// What the tests of two-ports and lines share: reference tables and random rows of two-ports.

#include <complex>
#include <limits>
#include <string>
#include <vector>

#include <stile/base/constants.hpp>
#include <stile/base/table.hpp>
#include <stile/network/chain.hpp>
#include <stile/network/line.hpp>

#include "network/random.hpp"

namespace stile::network::test {

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

/// Reference impedance with a phase up to 45 degrees.
inline cdouble reference_impedance(Random& random) {
  const double r = random.log_uniform(10.0, 200.0);
  return {r, r * random.uniform(-1.0, 1.0)};
}

/// A two-port of the kinds HF networks are made of. q <= 0: no loss.
inline Chain random_part(Random& random, double q) {
  const double x = random.sign() * random.log_uniform(5.0, 500.0);
  const double r = q > 0.0 ? std::abs(x) / q : 0.0;
  switch (random.below(4)) {
  case 0:
    return series_chain({r, x});
  case 1:
    return shunt_chain(1.0 / cdouble{r, x});
  case 2:
    return ideal_transformer_chain(random.sign() * random.log_uniform(0.3, 3.0));
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

}  // namespace stile::network::test

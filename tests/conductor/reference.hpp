#pragma once
// Reference rows and helpers of the conductor tests.

#include <cmath>
#include <string>

#include <stile/base/constants.hpp>
#include <stile/base/quantity.hpp>
#include <stile/base/table.hpp>

namespace stile::conductor::test {

inline Table conductor_reference(const std::string& name) {
  const std::string path = std::string(STILE_TEST_DATA) + "/conductor/" + name;
  return read_table(read_text_file(path), path);
}

inline double off(double value, double expected) { return std::abs(value / expected - 1.0); }
inline double off(cdouble value, cdouble expected) { return std::abs(value / expected - 1.0); }

}  // namespace stile::conductor::test

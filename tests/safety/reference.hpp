#pragma once
// What the tests of this room share: reference tables.

#include <cmath>
#include <string>

#include <stile/base/table.hpp>

namespace stile::safety::test {

inline Table reference(const std::string& name) {
  const std::string path = std::string(STILE_TEST_DATA) + "/safety/" + name;
  return read_table(read_text_file(path), path);
}

inline double relative(double value, double expected) { return std::abs(value - expected) / std::abs(expected); }

}  // namespace stile::safety::test

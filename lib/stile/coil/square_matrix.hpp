#pragma once
// A dense square matrix as it stands in results; the solving is done inside the room with Eigen.

#include <cstddef>
#include <vector>

namespace stile::coil {

/// n by n numbers, row after row.
template <typename Number>
struct SquareMatrix {
  std::size_t n = 0;
  std::vector<Number> values;

  SquareMatrix() = default;
  explicit SquareMatrix(std::size_t size) : n(size), values(size * size) {}
  Number& operator()(std::size_t row, std::size_t column) { return values[row * n + column]; }
  const Number& operator()(std::size_t row, std::size_t column) const { return values[row * n + column]; }
};

}  // namespace stile::coil

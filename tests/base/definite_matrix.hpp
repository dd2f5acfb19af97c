#pragma once
// Symmetric matrices that need no pivoting.

#include <cstddef>
#include <random>
#include <vector>

#include <stile/base/quantity.hpp>

namespace stile {

/// B + jC with both parts symmetric and positive definite, column after column.
inline std::vector<cdouble> definite_matrix(std::size_t n, std::mt19937& engine) {
  std::uniform_real_distribution<double> number(-1.0, 1.0);
  std::vector<cdouble> half(n * n), full(n * n);
  for (cdouble& h : half) h = {number(engine), number(engine)};
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) {
      double re = i == j ? 0.5 : 0.0, im = re;
      for (std::size_t k = 0; k < n; ++k) {
        re += half[i + k * n].real() * half[j + k * n].real();
        im += half[i + k * n].imag() * half[j + k * n].imag();
      }
      full[i + j * n] = {re, im};
    }
  }
  return full;
}

}  // namespace stile

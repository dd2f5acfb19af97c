#pragma once
// Four numbers at once, and cosine and sine of them. Internal to the room: for loops written for the vectoriser, in
// files compiled as lib/CMakeLists.txt says.

#include <cmath>
#include <cstring>

#include <stile/base/constants.hpp>

namespace stile::wire::detail {

// gcc and clang; passed by reference, since by value the way depends on the instruction set.
using Four = double __attribute__((vector_size(32)));

inline void load(const double* from, Four& four) { std::memcpy(&four, from, sizeof four); }
inline void store(const Four& four, double* to) { std::memcpy(to, &four, sizeof four); }

inline void take_root(Four& four) {
  double lane[4];
  store(four, lane);
  for (double& one : lane) one = std::sqrt(one);
  load(lane, four);
}

constexpr double inverse_factorial(int n) { return n < 2 ? 1.0 : inverse_factorial(n - 1) / n; }

/// sum of (-y)^m/(n + 2 m)! up to `last`.
template <int n, int last>
inline void alternating_series(const Four& y, Four& sum) {
  if constexpr (n >= last) {
    sum = Four{} + inverse_factorial(n);
  } else {
    alternating_series<n + 2, last>(y, sum);
    sum = inverse_factorial(n) - y * sum;
  }
}

/// Accuracy: 1e-13 for a phase up to 180 (test_far_sums.cpp).
inline void cosine_sine(const Four& phase, Four& cosine, Four& sine) {
  // 2 pi in two parts, the first with few enough digits that its multiples are exact.
  constexpr double rounder = 0x1.8p52, high = 0x1.921fb544p2, low = two_pi - high, lowest = 2.4492935982947064e-16;
  // Of a quarter of what is within a turn, doubled twice.
  const Four turns = (phase * (1.0 / two_pi) + rounder) - rounder;
  const Four quarter = 0.25 * (((phase - turns * high) - turns * low) - turns * lowest), y = quarter * quarter;
  alternating_series<0, 18>(y, cosine);
  alternating_series<1, 19>(y, sine);
  sine *= quarter;
  for (int twice = 0; twice < 2; ++twice) {
    const Four doubled = 2.0 * sine * cosine;
    cosine = 1.0 - 2.0 * sine * sine;
    sine = doubled;
  }
}

}  // namespace stile::wire::detail

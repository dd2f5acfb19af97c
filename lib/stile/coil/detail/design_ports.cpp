#include <stile/coil/detail/design_ports.hpp>

#include <array>
#include <cmath>

namespace stile::coil::detail {

namespace {

/// The few places one arrangement touches, after straps.
template <std::size_t N>
struct Small {
  std::array<std::array<cdouble, N>, N> z;

  /// Ties places a and b through an impedance.
  void strap(std::size_t a, std::size_t b, cdouble through) {
    std::array<cdouble, N> difference;
    for (std::size_t i = 0; i < N; ++i) difference[i] = z[i][a] - z[i][b];
    const cdouble loop = difference[a] - difference[b] + through;
    for (std::size_t i = 0; i < N; ++i) {
      for (std::size_t j = 0; j < N; ++j) z[i][j] -= difference[i] * difference[j] / loop;
    }
  }
  void ground(std::size_t a) {
    std::array<cdouble, N> column;
    for (std::size_t i = 0; i < N; ++i) column[i] = z[i][a];
    const cdouble own = z[a][a];
    for (std::size_t i = 0; i < N; ++i) {
      for (std::size_t j = 0; j < N; ++j) z[i][j] -= column[i] * column[j] / own;
    }
  }
};

template <std::size_t N>
Small<N> picked(const SquareMatrix<cdouble>& z, const std::array<std::size_t, N>& places) {
  Small<N> s;
  for (std::size_t i = 0; i < N; ++i) {
    for (std::size_t j = 0; j < N; ++j) s.z[i][j] = z(places[i], places[j]);
  }
  return s;
}

}  // namespace

Ports TapPorts::series(std::size_t tap, Unused unused, double switch_ohm) const {
  Small<3> s = picked<3>(z_, {0, tap, z_.n - 1});
  if (unused == Unused::shorted && tap + 1 != z_.n) s.strap(1, 2, switch_ohm);
  return {s.z[0][0], s.z[0][1], s.z[1][1]};
}

Ports TapPorts::series_bridged(std::size_t tap, Unused unused, double switch_ohm, cdouble bridge) const {
  Small<3> s = picked<3>(z_, {0, tap, z_.n - 1});
  if (unused == Unused::shorted && tap + 1 != z_.n) s.strap(1, 2, switch_ohm);
  s.strap(0, 1, bridge);
  return {s.z[0][0], s.z[0][1], s.z[1][1]};
}

Ports TapPorts::autotransformer(std::size_t feed, std::size_t tap, Unused unused, double switch_ohm) const {
  Small<4> s = picked<4>(z_, {0, feed, tap, z_.n - 1});
  if (unused == Unused::shorted && tap + 1 != z_.n) s.strap(2, 3, switch_ohm);
  s.ground(0);
  return {s.z[1][1], s.z[1][2], s.z[2][2]};
}

double reflection(cdouble z, double reference_ohm) { return std::abs((z - reference_ohm) / (z + reference_ohm)); }

double swr(double rho) { return rho < 1.0 - 1e-9 ? (1.0 + rho) / (1.0 - rho) : 1e9; }

}  // namespace stile::coil::detail

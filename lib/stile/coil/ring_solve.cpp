#include <stile/coil/ring_solve.hpp>

#include <cmath>

#include <Eigen/Cholesky>
#include <Eigen/LU>

namespace stile::detail {

namespace {

template <typename Scalar>
using Dense = Eigen::Matrix<Scalar, Eigen::Dynamic, Eigen::Dynamic>;

// Real systems are positive definite; complex ones are symmetric.
Dense<double> solved(const Dense<double>& matrix, const Dense<double>& right) {
  const Eigen::LLT<Dense<double>> factors(matrix);
  if (factors.info() == Eigen::Success) return factors.solve(right);
  return matrix.partialPivLu().solve(right);      // wires so close that rounding takes the definiteness
}
Dense<cdouble> solved(const Dense<cdouble>& matrix, const Dense<cdouble>& right) {
  return matrix.partialPivLu().solve(right);
}

/// Unknowns of a winding, numbered ring by ring, and the part of them that is even (+1) or odd (-1) under the mirror
/// image about the winding's middle. A winding without that symmetry has one class in which every unknown is its own.
struct Orbit {
  int first, second;        ///< equal for an unknown on the mirror plane
};

bool mirrored(const std::vector<double>& z) {
  const double sum = z.front() + z.back(), tolerance = 1e-11 * std::abs(z.back() - z.front());
  for (std::size_t i = 0; i < z.size(); ++i) {
    if (std::abs(z[i] + z[z.size() - 1 - i] - sum) > tolerance) return false;
  }
  return z.size() > 1;
}

std::vector<Orbit> orbits(int rings, int nodes, bool mirror) {
  std::vector<Orbit> list;
  for (int u = 0; u < rings * nodes; ++u) {
    const int ring = u / nodes, node = u % nodes;
    const int image = mirror ? (rings - 1 - ring) * nodes + (nodes - node) % nodes : u;
    if (u <= image) list.push_back({u, image});
  }
  return list;
}

/// Orbits that have an odd part or, for parity +1, all.
std::vector<Orbit> of_parity(std::vector<Orbit> list, int parity) {
  if (parity < 0) std::erase_if(list, [](const Orbit& o) { return o.first == o.second; });
  return list;
}

/// Entry between normalised sums (parity +1) or differences (-1) of two orbits.
template <typename Scalar, typename Entry>
Scalar folded(const Entry& entry, const Orbit& a, const Orbit& b, int parity) {
  const Scalar direct = entry(a.first, b.first);
  const bool a_single = a.first == a.second, b_single = b.first == b.second;
  if (a_single && b_single) return direct;
  if (a_single || b_single) return std::sqrt(2.0) * direct;
  return direct + static_cast<double>(parity) * entry(a.first, b.second);
}

template <typename Scalar, typename Entry>
SquareMatrix<Scalar> condensed(int rings, int nodes, bool mirror, const Entry& entry) {
  SquareMatrix<Scalar> result(static_cast<std::size_t>(rings));
  for (const int parity : {1, -1}) {
    if (parity < 0 && !mirror) break;
    const std::vector<Orbit> unknowns = of_parity(orbits(rings, nodes, mirror), parity);
    const std::vector<Orbit> sums = of_parity(orbits(rings, 1, mirror), parity);
    const auto n = static_cast<Eigen::Index>(unknowns.size()), r = static_cast<Eigen::Index>(sums.size());
    if (r == 0) continue;
    Dense<Scalar> matrix(n, n), ones = Dense<Scalar>::Zero(n, r);
    for (Eigen::Index b = 0; b < n; ++b) {
      for (Eigen::Index a = b; a < n; ++a) {
        const Scalar value = folded<Scalar>(entry, unknowns[static_cast<std::size_t>(a)], unknowns[static_cast<std::size_t>(b)], parity);
        matrix(a, b) = value;
        matrix(b, a) = value;
      }
    }
    // How much of each unknown a ring's sum holds, both normalised.
    for (Eigen::Index k = 0; k < r; ++k) {
      const Orbit& ring = sums[static_cast<std::size_t>(k)];
      for (Eigen::Index a = 0; a < n; ++a) {
        const Orbit& u = unknowns[static_cast<std::size_t>(a)];
        const int own = u.first / nodes;
        if (own != ring.first && own != ring.second) continue;
        ones(a, k) = (u.first != u.second && ring.first == ring.second) ? std::sqrt(2.0) : 1.0;
      }
    }
    const Dense<Scalar> inverse = ones.transpose() * solved(matrix, ones);
    const Dense<Scalar> coefficients = solved(inverse, Dense<Scalar>::Identity(r, r));
    for (Eigen::Index i = 0; i < r; ++i) {
      for (Eigen::Index j = 0; j < r; ++j) {
        const Orbit &a = sums[static_cast<std::size_t>(i)], &b = sums[static_cast<std::size_t>(j)];
        const bool a_single = a.first == a.second, b_single = b.first == b.second;
        const Scalar value = 0.5 * (coefficients(i, j) + coefficients(j, i)) * (a_single ? 1.0 : std::sqrt(0.5)) *
                             (b_single ? 1.0 : std::sqrt(0.5));
        const auto at = [&](int row, int column) -> Scalar& {
          return result(static_cast<std::size_t>(row), static_cast<std::size_t>(column));
        };
        at(a.first, b.first) += value;
        if (!b_single) at(a.first, b.second) += static_cast<double>(parity) * value;
        if (!a_single) at(a.second, b.first) += static_cast<double>(parity) * value;
        if (!a_single && !b_single) at(a.second, b.second) += value;
      }
    }
  }
  return result;
}

/// Blocks between all pairs of rings by their distance, looked up once.
std::vector<const std::vector<double>*> all_blocks(RingNodes& nodes, const std::vector<double>& z) {
  std::vector<const std::vector<double>*> blocks;
  for (const double target : z) {
    for (const double source : z) blocks.push_back(&nodes.block(target - source));
  }
  return blocks;
}

}  // namespace

SquareMatrix<double> condense(RingNodes& nodes, const std::vector<double>& z, const double* plane_z) {
  const int rings = static_cast<int>(z.size()), n = nodes.count();
  const auto blocks = all_blocks(nodes, z);
  std::vector<const std::vector<double>*> images;
  if (plane_z != nullptr) {
    for (const double target : z) {
      for (const double source : z) images.push_back(&nodes.block(target + source - 2.0 * *plane_z));
    }
  }
  const auto entry = [&](int u, int w) {
    const auto pair = static_cast<std::size_t>(u / n * rings + w / n);
    const int i = u % n, j = w % n;
    const double direct = (*blocks[pair])[static_cast<std::size_t>(i * n + j)];
    return images.empty() ? direct : direct - (*images[pair])[static_cast<std::size_t>(i * n + (n - j) % n)];
  };
  return condensed<double>(rings, n, plane_z == nullptr && mirrored(z), entry);
}

SquareMatrix<cdouble> condense(RingNodes& nodes, const std::vector<double>& z, const std::vector<cdouble>& inside) {
  const int rings = static_cast<int>(z.size()), n = nodes.count();
  const auto blocks = all_blocks(nodes, z);
  const auto entry = [&](int u, int w) -> cdouble {
    const auto at = static_cast<std::size_t>(u % n * n + w % n);
    const double outside = (*blocks[static_cast<std::size_t>(u / n * rings + w / n)])[at];
    return u / n == w / n ? outside + inside[at] : outside;
  };
  return condensed<cdouble>(rings, n, mirrored(z), entry);
}

}  // namespace stile::detail

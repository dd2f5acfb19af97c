#include <stile/coil/detail/ring_solve.hpp>

#include <algorithm>
#include <cmath>
#include <vector>

#include <Eigen/Cholesky>
#include <Eigen/LU>

#include <stile/base/detail/symmetric.hpp>
#include <stile/base/errors.hpp>
#include <stile/coil/detail/symmetric_inverse.hpp>

namespace stile::coil::detail {

namespace {

constexpr const char* too_close = "the turns stand too close for the ring model: wire and pitch differ too little";

using Eigen::MatrixXcd;
using Eigen::MatrixXd;

/// right^T matrix^-1 right of the symmetric matrix of `entry`, with `one` the entries of right, inverted.
template <typename Entry, typename One>
MatrixXd coefficients(Eigen::Index size, Eigen::Index sums, const Entry& entry, const One& one, double /*scalar*/) {
  MatrixXd matrix(size, size), right(size, sums);
  for (Eigen::Index b = 0; b < size; ++b) {
    for (Eigen::Index a = b; a < size; ++a) matrix(a, b) = entry(a, b);  // the lower triangle is enough
  }
  for (Eigen::Index k = 0; k < sums; ++k) {
    for (Eigen::Index a = 0; a < size; ++a) right(a, k) = one(a, k);
  }
  const Eigen::LLT<MatrixXd> factors(matrix);
  if (factors.info() != Eigen::Success) throw DomainError(too_close);
  factors.matrixL().solveInPlace(right);
  return (right.transpose() * right).inverse();
}

template <typename Entry, typename One>
MatrixXcd coefficients(Eigen::Index size, Eigen::Index sums, const Entry& entry, const One& one, cdouble /*scalar*/) {
  const auto columns = static_cast<std::size_t>(sums);
  stile::detail::SymmetricSystem system(static_cast<std::size_t>(size), columns);
  for (Eigen::Index b = 0; b < size; ++b) {
    for (Eigen::Index a = b; a < size; ++a)
      system.set(static_cast<std::size_t>(a), static_cast<std::size_t>(b), entry(a, b));
  }
  for (Eigen::Index k = 0; k < sums; ++k) {
    for (Eigen::Index a = 0; a < size; ++a) {
      if (const double value = one(a, k); value != 0.0)
        system.set_right(static_cast<std::size_t>(a), static_cast<std::size_t>(k), value);
    }
  }
  if (!system.eliminate()) throw DomainError(too_close);
  std::vector<cdouble> inverse;
  for (std::size_t k = 0; k < columns; ++k) {
    for (std::size_t m = 0; m < columns; ++m) inverse.push_back(system.condensed(k, m));
  }
  return Eigen::Map<const MatrixXcd>(symmetric_inverse(inverse).values.data(), sums, sums);
}

/// Unknowns of a winding, numbered ring by ring, and the part of them that is even (+1) or odd (-1) under the mirror
/// image about the winding's middle. A winding without that symmetry has one class in which every unknown is its own.
struct Orbit {
  int first, second;  ///< equal for an unknown on the mirror plane
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
    const auto between = [&](Eigen::Index a, Eigen::Index b) {
      return folded<Scalar>(entry, unknowns[static_cast<std::size_t>(a)], unknowns[static_cast<std::size_t>(b)],
                            parity);
    };
    // How much of each unknown a ring's sum holds, both normalised.
    const auto held = [&](Eigen::Index a, Eigen::Index k) {
      const Orbit &ring = sums[static_cast<std::size_t>(k)], &u = unknowns[static_cast<std::size_t>(a)];
      const int own = u.first / nodes;
      if (own != ring.first && own != ring.second) return 0.0;
      return u.first != u.second && ring.first == ring.second ? std::sqrt(2.0) : 1.0;
    };
    const auto of_sums = coefficients(n, r, between, held, Scalar{});
    for (Eigen::Index i = 0; i < r; ++i) {
      for (Eigen::Index j = 0; j < r; ++j) {
        const Orbit &a = sums[static_cast<std::size_t>(i)], &b = sums[static_cast<std::size_t>(j)];
        const bool a_single = a.first == a.second, b_single = b.first == b.second;
        const Scalar value = 0.5 * (of_sums(i, j) + of_sums(j, i)) * (a_single ? 1.0 : std::sqrt(0.5)) *
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

/// Kernel between any two nodes of a winding, images included; blocks are looked up once.
class NodePairs {
public:
  NodePairs(RingNodes& nodes, const std::vector<double>& z, const double* plane_z)
      : rings_(z.size()), nodes_(nodes.count()) {
    for (const double target : z) {
      for (const double source : z) {
        direct_.push_back(&nodes.block(target - source));
        if (plane_z != nullptr) images_.push_back(&nodes.block(target + source - 2.0 * *plane_z));
      }
    }
  }
  double operator()(int u, int w) const {
    const auto n = static_cast<std::size_t>(nodes_);
    const std::size_t target = static_cast<std::size_t>(u) / n, source = static_cast<std::size_t>(w) / n,
                      i = static_cast<std::size_t>(u) % n, j = static_cast<std::size_t>(w) % n,
                      pair = target * rings_ + source;
    const double direct = (*direct_[pair])[i * n + j];
    return images_.empty() ? direct : direct - (*images_[pair])[i * n + (n - j) % n];
  }

private:
  std::size_t rings_;
  int nodes_;
  std::vector<const std::vector<double>*> direct_, images_;
};

}  // namespace

SquareMatrix<double> condense(RingNodes& nodes, const std::vector<double>& z, const double* plane_z) {
  return condensed<double>(static_cast<int>(z.size()), nodes.count(), plane_z == nullptr && mirrored(z),
                           NodePairs(nodes, z, plane_z));
}

SquareMatrix<cdouble> condense(RingNodes& nodes, const std::vector<double>& z, const double* plane_z,
                               const std::vector<cdouble>& inside) {
  const NodePairs outside(nodes, z, plane_z);
  const auto n = static_cast<std::size_t>(nodes.count());
  const auto entry = [&](int u, int w) -> cdouble {
    const auto a = static_cast<std::size_t>(u), b = static_cast<std::size_t>(w);
    return a / n == b / n ? outside(u, w) + inside[a % n * n + b % n] : outside(u, w);
  };
  return condensed<cdouble>(static_cast<int>(z.size()), nodes.count(), plane_z == nullptr && mirrored(z), entry);
}

}  // namespace stile::coil::detail

#include <stile/coil/detail/ring_solve.hpp>

#include <algorithm>
#include <cmath>
#include <utility>

#include <Eigen/LU>

namespace stile::coil::detail {

namespace {

template <typename Scalar>
using Dense = Eigen::Matrix<Scalar, Eigen::Dynamic, Eigen::Dynamic>;

/// right^T matrix^-1 right for a symmetric matrix (not Hermitian) by L D L^T without pivoting, half the work of LU. That is
/// stable here: the real part of the matrix is positive definite and the imaginary part of one sign (Higham, Math. Comp.
/// 67, 1998, 1591, from memory).
template <typename Scalar>
Dense<Scalar> sandwiched(Dense<Scalar> a, Dense<Scalar> right) {
  const Eigen::Index n = a.rows(), width = 32;
  for (Eigen::Index k = 0; k < n; k += width) {
    const Eigen::Index w = std::min(width, n - k), below = n - k - w;
    for (Eigen::Index j = k; j < k + w; ++j) {  // the diagonal block
      const Eigen::Index rest = k + w - j - 1;
      const Dense<Scalar> column = a.block(j + 1, j, rest, 1);
      a.block(j + 1, j, rest, 1) = column / a(j, j);
      a.block(j + 1, j + 1, rest, rest).noalias() -= column * a.block(j + 1, j, rest, 1).transpose();
    }
    if (below == 0) break;
    const auto block = a.block(k, k, w, w);
    Dense<Scalar> scaled = a.block(k + w, k, below, w);  // L21 D
    block.template triangularView<Eigen::UnitLower>().transpose().template solveInPlace<Eigen::OnTheRight>(scaled);
    for (Eigen::Index j = 0; j < w; ++j) a.block(k + w, k + j, below, 1) = scaled.col(j) / a(k + j, k + j);
    const Eigen::Index strip = 64;
    for (Eigen::Index j = 0; j < below; j += strip) {  // the lower triangle alone
      const Eigen::Index s = std::min(strip, below - j);
      a.block(k + w + j, k + w + j, below - j, s).noalias() -=
          scaled.bottomRows(below - j) * a.block(k + w + j, k, s, w).transpose();
    }
  }
  a.template triangularView<Eigen::UnitLower>().solveInPlace(right);
  Dense<Scalar> divided = right;
  for (Eigen::Index i = 0; i < n; ++i) divided.row(i) /= a(i, i);
  return right.transpose() * divided;
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
    Dense<Scalar> matrix(n, n), ones = Dense<Scalar>::Zero(n, r);
    for (Eigen::Index b = 0; b < n; ++b) {
      for (Eigen::Index a = b; a < n; ++a) {  // the lower triangle is enough
        matrix(a, b) =
            folded<Scalar>(entry, unknowns[static_cast<std::size_t>(a)], unknowns[static_cast<std::size_t>(b)], parity);
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
    const Dense<Scalar> coefficients = sandwiched<Scalar>(std::move(matrix), std::move(ones)).partialPivLu().inverse();
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
    const std::size_t pair = static_cast<std::size_t>(u / nodes_) * rings_ + static_cast<std::size_t>(w / nodes_);
    const int i = u % nodes_, j = w % nodes_;
    const double direct = (*direct_[pair])[static_cast<std::size_t>(i * nodes_ + j)];
    return images_.empty() ? direct
                           : direct - (*images_[pair])[static_cast<std::size_t>(i * nodes_ + (nodes_ - j) % nodes_)];
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
  const int n = nodes.count();
  const NodePairs outside(nodes, z, plane_z);
  const auto entry = [&](int u, int w) -> cdouble {
    return u / n == w / n ? outside(u, w) + inside[static_cast<std::size_t>(u % n * n + w % n)] : outside(u, w);
  };
  return condensed<cdouble>(static_cast<int>(z.size()), n, plane_z == nullptr && mirrored(z), entry);
}

}  // namespace stile::coil::detail

#include <stile/coil/detail/ring_nodes.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

#include <stile/base/constants.hpp>
#include <stile/coil/detail/elliptic.hpp>

namespace stile::coil::detail {

namespace {

/// Complementary integrals K' and E', from k^2 and 1 - k^2 with their roles exchanged.
struct Complement {
  double k_first, k_second;
};

Complement complement(const RingPair& pair) {
  const Elliptic e = elliptic(pair.kc2, pair.k2);
  return {e.k_first, e.k_first * (1.0 - 0.5 * pair.kc2 - e.sum)};
}

// K(k) = -K'/pi ln(1 - k^2) + smooth, E(k) = -(K' - E')/pi ln(1 - k^2) + smooth (A & S 17.3).
double inductance_log(double rho1, double rho2, double dz) {
  const RingPair pair = ring_pair(rho1, rho2, dz);
  const Complement c = complement(pair);
  return -mu0_h_m * pair.reach / pi * (c.k_second - 0.5 * pair.k2 * c.k_first);
}

double potential_log(double rho1, double rho2, double dz) {
  const RingPair pair = ring_pair(rho1, rho2, dz);
  return -complement(pair).k_first / (2.0 * pi * pi * pi * eps0_f_m * pair.reach);
}

double inductance_own(double rho, double wire_radius) {
  return mu0_h_m * rho * (std::log(8.0 * rho / wire_radius) - 2.0);
}

double potential_own(double rho, double wire_radius) {
  return std::log(8.0 * rho / wire_radius) / (4.0 * pi * pi * eps0_f_m * rho);
}

/// Weights of the periodic logarithm: integral of ln(4 sin^2(t/2)) f(t) by `nodes` values of f.
std::vector<double> log_weights(int nodes) {
  const int half = nodes / 2;
  std::vector<double> weights;
  for (int j = 0; j < nodes; ++j) {
    const double t = two_pi * j / nodes;
    double sum = std::cos(half * t) / (2.0 * half);
    for (int m = 1; m < half; ++m) sum += std::cos(m * t) / m;
    weights.push_back(-two_pi / half * sum);
  }
  return weights;
}

/// Value at angle t of the trigonometric polynomial that is 1 at angle 0 and 0 at the other nodes.
double cardinal(double t, int nodes) {
  const double s = std::sin(0.5 * t);
  if (std::abs(s) < 1e-14) return 1.0;
  return std::sin(0.5 * nodes * t) * std::cos(0.5 * t) / (nodes * s);
}

}  // namespace

const RingKernel inductance_kernel{ring_mutual, inductance_log, inductance_own};
const RingKernel potential_kernel{ring_potential, potential_log, potential_own};

int automatic_nodes(double wire_over_spacing) {
  if (wire_over_spacing <= 0.71) return 8;
  if (wire_over_spacing <= 0.81) return 12;
  if (wire_over_spacing <= 0.86) return 16;
  if (wire_over_spacing <= 0.91) return 20;
  return wire_over_spacing <= 0.95 ? 32 : 48;
}

RingNodes::RingNodes(double radius, double wire_radius, int nodes, const RingKernel& kernel)
    : radius_(radius), wire_radius_(wire_radius), nodes_(nodes), kernel_(kernel) {
  for (int j = 0; j < nodes; ++j) {
    rho_.push_back(radius + wire_radius * std::cos(two_pi * j / nodes));
    height_.push_back(wire_radius * std::sin(two_pi * j / nodes));
  }
}

const std::vector<double>& RingNodes::block(double dz) {
  const long long key = std::llround(dz / radius_ * 1e12);
  const auto found = kept_.find(key);
  if (found != kept_.end()) return found->second;
  return kept_.emplace(key, key == 0 ? own_block() : pair_block(dz)).first->second;
}

std::vector<double> RingNodes::own_block() const {
  const std::size_t n = rho_.size();
  const std::vector<double> weights = log_weights(nodes_);
  std::vector<double> block(n * n);
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) {
      const std::size_t apart = i > j ? i - j : j - i;
      const double dz = height_[i] - height_[j], log_part = kernel_.log_part(rho_[i], rho_[j], dz);
      double smooth = kernel_.own(rho_[i], wire_radius_);
      if (apart != 0) {
        const double s = 2.0 * std::sin(pi * static_cast<double>(apart) / nodes_);
        smooth = kernel_.value(rho_[i], rho_[j], dz) - log_part * std::log(s * s);
      }
      block[i * n + j] = nodes_ / two_pi * weights[apart] * log_part + smooth;
    }
  }
  return block;
}

std::vector<double> RingNodes::pair_block(double dz) const {
  const std::size_t n = rho_.size();
  // Seen from the nearest point of the other wire the error of the trapezoid falls as (distance/radius)^-nodes.
  const double nearest = (std::abs(dz) - wire_radius_) / wire_radius_;
  const int wanted = static_cast<int>(std::min(4096.0, std::ceil(13.8 / std::log(nearest))));  // 1e-6
  const int fine = nodes_ * std::max(1, (wanted + nodes_ - 1) / nodes_);
  std::vector<double> block(n * n);
  if (fine == nodes_) {
    for (std::size_t i = 0; i < n; ++i) {
      for (std::size_t j = 0; j < n; ++j)
        block[i * n + j] = kernel_.value(rho_[i], rho_[j], dz + height_[i] - height_[j]);
    }
    return block;
  }
  std::vector<double> cardinals;
  for (int f = -fine; f < fine; ++f) cardinals.push_back(cardinal(two_pi * f / fine, nodes_));
  const int finer = fine / nodes_;
  for (std::size_t i = 0; i < n; ++i) {
    for (int f = 0; f < fine; ++f) {
      const double t = two_pi * f / fine;
      const double value =
          kernel_.value(rho_[i], radius_ + wire_radius_ * std::cos(t), dz + height_[i] - wire_radius_ * std::sin(t)) /
          finer;
      for (int j = 0; j < nodes_; ++j) {
        block[i * n + static_cast<std::size_t>(j)] += value * cardinals[static_cast<std::size_t>(fine + f - j * finer)];
      }
    }
  }
  // Reciprocity: seen from the other ring the block is its transpose, and also its mirror image.
  std::vector<double> fair(n * n);
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) {
      fair[i * n + j] = 0.5 * (block[i * n + j] + block[((n - j) % n) * n + (n - i) % n]);
    }
  }
  return fair;
}

double closest_spacing(const std::vector<double>& z) {
  std::vector<double> sorted = z;
  std::sort(sorted.begin(), sorted.end());
  double least = std::numeric_limits<double>::infinity();
  for (std::size_t i = 1; i < sorted.size(); ++i) least = std::min(least, sorted[i] - sorted[i - 1]);
  return least;
}

}  // namespace stile::coil::detail

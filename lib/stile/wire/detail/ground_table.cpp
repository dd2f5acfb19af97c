#include <stile/wire/detail/ground_table.hpp>

#include <algorithm>
#include <array>
#include <cmath>

#include <Eigen/Core>
#include <boost/math/special_functions/bessel.hpp>

namespace stile::detail {

namespace {

constexpr double log_step = 0.23;    // of asinh(rho/z_low) and ln(Z)
constexpr double phase_step = 0.28;  // of k rho and k Z
constexpr std::size_t stencil = 6;

double bessel(int order, double x) {
  using namespace boost::math::policies;
  return boost::math::cyl_bessel_j(order, x, policy<promote_double<false>>{});
}

struct Weights {
  std::size_t first;
  std::array<double, stencil> w;
};

/// Lagrange weights at `place` on a grid 0, 1, 2, ...
Weights lagrange(double place, std::size_t count) {
  const double low = std::clamp(std::floor(place) - 2.0, 0.0, static_cast<double>(count - stencil));
  Weights r{static_cast<std::size_t>(low), {}};
  constexpr std::array<double, stencil> divisor{-120.0, 24.0, -12.0, 12.0, -24.0, 120.0};
  const double x = place - low;
  std::array<double, stencil> below, above;
  below[0] = above[stencil - 1] = 1.0;
  for (std::size_t i = 1; i < stencil; ++i) {
    below[i] = below[i - 1] * (x - static_cast<double>(i - 1));
    above[stencil - 1 - i] = above[stencil - i] * (x - static_cast<double>(stencil - i));
  }
  for (std::size_t i = 0; i < stencil; ++i) r.w[i] = below[i] * above[i] / divisor[i];
  return r;
}

}  // namespace

double GroundTable::rho_place(double rho_m) const {
  const double wave = k1_rad_m_ * (decay_per_m_ > 0.0 ? -std::expm1(-decay_per_m_ * rho_m) / decay_per_m_ : rho_m);
  return std::asinh(rho_m / z_low_m_) / log_step + (wave + k0_rad_m_ * rho_m) / phase_step;
}

double GroundTable::z_place(double z_m) const { return std::log(z_m) / log_step + k0_rad_m_ * z_m / phase_step; }

GroundTable::GroundTable(const HalfSpace& ground, double rho_high_m, double z_low_m, double z_high_m)
    : rho_high_m_(std::max(rho_high_m, 0.5 * z_low_m)), z_low_m_(z_low_m), z_high_m_(std::max(z_high_m, 1.3 * z_low_m)),
      k0_rad_m_(ground.k0_rad_m), k1_rad_m_(std::abs(ground.k1_rad_m())),
      decay_per_m_(-0.5 * ground.k1_rad_m().imag()) {
  const double rho_span = rho_place(rho_high_m_), z_span = z_place(z_high_m_) - z_place(z_low_m_);
  z_first_ = z_place(z_low_m_);
  rho_count_ = std::max(stencil, static_cast<std::size_t>(std::ceil(rho_span)) + 1);
  z_count_ = std::max(stencil, static_cast<std::size_t>(std::ceil(z_span)) + 1);
  rho_step_ = rho_span / static_cast<double>(rho_count_ - 1);
  z_step_ = z_span / static_cast<double>(z_count_ - 1);

  const auto inverse = [](const auto& place, double wanted, double low, double high) {
    for (int i = 0; i < 60; ++i) {
      const double middle = 0.5 * (low + high);
      (place(middle) < wanted ? low : high) = middle;
    }
    return 0.5 * (low + high);
  };
  std::vector<double> rho(rho_count_), z(z_count_);
  for (std::size_t i = 1; i < rho_count_; ++i)
    rho[i] = inverse([&](double x) { return rho_place(x); }, rho_step_ * static_cast<double>(i), 0.0, rho_high_m_);
  for (std::size_t i = 0; i < z_count_; ++i)
    z[i] =
        inverse([&](double x) { return z_place(x); }, z_first_ + z_step_ * static_cast<double>(i), z_low_m_, z_high_m_);

  values_.resize(8 * rho_count_ * z_count_);
  for (std::size_t from = 0; from < rho_count_;) {
    const double limit = std::max(3.0 * z_low_m_, 1.5 * rho[from]);
    std::size_t to = from + 1;
    while (to < rho_count_ && rho[to] <= limit) ++to;
    const double nearest = rho[from] < 3.0 * z_low_m_ ? 0.0 : rho[from];
    const std::vector<SpectralPoint> nodes = spectral_points(ground, nearest, rho[to - 1], z_low_m_, 10);

    // Rows: heights times (real, imaginary) of each kernel; columns: nodes. Then one product with the Bessel functions.
    const auto n = static_cast<Eigen::Index>(nodes.size()), nz = static_cast<Eigen::Index>(z_count_);
    const auto nr = static_cast<Eigen::Index>(to - from);
    Eigen::MatrixXd even(6 * nz, n), odd(2 * nz, n), b0(n, nr), b1(n, nr);
    for (Eigen::Index i = 0; i < n; ++i) {
      const SpectralPoint& s = nodes[static_cast<std::size_t>(i)];
      for (Eigen::Index h = 0; h < nz; ++h) {
        const double height = z[static_cast<std::size_t>(h)];
        const cdouble air = s.u0.imag() == 0.0 ? std::exp(-s.u0.real() * height) : std::exp(-s.u0 * height);
        const cdouble xx = s.xx * air, zz = s.zz * air, phi = s.phi * air;
        const cdouble p = s.p_air * air + s.p_static * std::exp(-s.l * height);
        double* e = &even(6 * h, i);
        e[0] = xx.real(), e[1] = xx.imag(), e[2] = zz.real(), e[3] = zz.imag(), e[4] = phi.real(), e[5] = phi.imag();
        odd(2 * h, i) = p.real();
        odd(2 * h + 1, i) = p.imag();
      }
      for (Eigen::Index r = 0; r < nr; ++r) {
        const double x = s.l * rho[from + static_cast<std::size_t>(r)];
        b0(i, r) = bessel(0, x);
        b1(i, r) = bessel(1, x);
      }
    }
    const Eigen::MatrixXd with_b0 = even * b0, with_b1 = odd * b1;
    for (Eigen::Index r = 0; r < nr; ++r) {
      for (Eigen::Index h = 0; h < nz; ++h) {
        double* v = &values_[8 * ((from + static_cast<std::size_t>(r)) * z_count_ + static_cast<std::size_t>(h))];
        for (Eigen::Index c = 0; c < 6; ++c) v[c] = with_b0(6 * h + c, r);
        v[6] = with_b1(2 * h, r);
        v[7] = with_b1(2 * h + 1, r);
      }
    }
    from = to;
  }
}

GroundKernel GroundTable::operator()(double rho_m, double z_m) const {
  const Weights a = lagrange(rho_place(std::clamp(rho_m, 0.0, rho_high_m_)) / rho_step_, rho_count_);
  const Weights b = lagrange((z_place(std::clamp(z_m, z_low_m_, z_high_m_)) - z_first_) / z_step_, z_count_);
  std::array<double, 8> sum{};
  for (std::size_t i = 0; i < stencil; ++i) {
    const double* row = &values_[8 * ((a.first + i) * z_count_ + b.first)];
    std::array<double, 8> part{};
    for (std::size_t h = 0; h < stencil; ++h) {
      for (std::size_t c = 0; c < 8; ++c) part[c] += b.w[h] * row[8 * h + c];
    }
    for (std::size_t c = 0; c < 8; ++c) sum[c] += a.w[i] * part[c];
  }
  return {{sum[0], sum[1]}, {sum[2], sum[3]}, {sum[4], sum[5]}, {sum[6], sum[7]}};
}

}  // namespace stile::detail

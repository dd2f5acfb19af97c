#include <stile/wire/detail/ground_kernel.hpp>

#include <algorithm>
#include <cmath>

#include <boost/math/special_functions/bessel.hpp>

#include <stile/base/constants.hpp>
#include <stile/wire/detail/gauss.hpp>

namespace stile::wire::detail {

namespace {

constexpr cdouble j{0.0, 1.0};
constexpr double taper_reach = 4.0;

// Written out: the library's complex division and root look after overflow, which cannot come here, at ten times the
// cost.
cdouble reciprocal(cdouble z) { return std::conj(z) / (z.real() * z.real() + z.imag() * z.imag()); }

/// Root with real part >= 0; of a negative number j times positive.
cdouble root(cdouble square) {
  const double size = std::sqrt(square.real() * square.real() + square.imag() * square.imag());
  if (square.real() > 0.0) {
    const double real = std::sqrt(0.5 * (size + square.real()));
    return {real, 0.5 * square.imag() / real};
  }
  const double imaginary = std::sqrt(0.5 * (size - square.real()));
  if (imaginary == 0.0) return 0.0;
  return square.imag() < 0.0 ? cdouble{-0.5 * square.imag() / imaginary, -imaginary}
                             : cdouble{0.5 * square.imag() / imaginary, imaginary};
}

class SpectralPoints {
public:
  explicit SpectralPoints(const HalfSpace& g)
      : e_(g.permittivity), less_(e_ - 1.0), by_more_(reciprocal(e_ + 1.0)), contrast_(g.contrast()),
        k0_squared_(g.k0_rad_m * g.k0_rad_m), k1_squared_(e_ * k0_squared_) {}

  /// The node at l; `measure` is the weight of l dl/u0. A lossless dielectric is the limit of small loss.
  void add(double l, cdouble u0, cdouble measure) {
    const cdouble u1 = root(l * l - k1_squared_);
    const cdouble by_sum = reciprocal(u0 + u1), by_mixed = reciprocal(e_ * u0 + u1);
    const cdouble difference = less_ * k0_squared_ * by_sum;  // u0 - u1
    const cdouble xx = difference * by_sum;
    const cdouble scaled = by_more_ * difference * by_mixed;
    const cdouble tm = 2.0 * e_ * scaled;                                   // (e u0 - u1)/(e u0 + u1) - contrast
    const cdouble rest = less_ * scaled * ((e_ + 2.0) * u0 + u1) * by_sum;  // u0^2 q - contrast
    const cdouble q = 2.0 * less_ * by_sum * by_mixed;
    points.push_back(
        {l, u0, measure * xx, measure * (tm + rest), measure * (xx - rest), -measure * u0 * (q * l - contrast_ / l)});
  }

  std::vector<SpectralPoint> points;

private:
  cdouble e_, less_, by_more_, contrast_;
  double k0_squared_;
  cdouble k1_squared_;
};

/// 1 far below `centre`, 0 far above; a cut that short leaves no trace in the Bessel transform.
double taper(double l, double centre, double width) {
  const double x = (l - centre) / width;
  return x < -taper_reach ? 1.0 : 0.5 * std::erfc(x);
}

}  // namespace

std::vector<SpectralPoint> spectral_points(const HalfSpace& g, const KernelRange& range,
                                           const std::vector<GaussPoint>& rule) {
  SpectralPoints nodes(g);
  const double k0 = g.k0_rad_m;
  // Of u0/k0 near l = k0: the pole of a good conductor, and the total reflection at grazing angles of a poor contrast.
  const double pole_scale = std::max(
      0.3 * std::min({1.0, 1.0 / std::sqrt(std::abs(g.permittivity)), std::sqrt(std::abs(g.permittivity - 1.0))}),
      1e-6);
  const double periods = static_cast<double>(rule.size()) / 6.5;  // in a panel: what the rule takes to 1e-7
  const double widest = periods * two_pi / std::max(range.rho_high_m, 1e-12);

  // l = k0 sin t below k0, where u0 = j k0 cos t.
  const double step_t = std::min(0.7, periods * two_pi / (k0 * std::max(range.rho_high_m, range.z_high_m)));
  std::vector<double> breaks{0.5 * pi};
  for (double c = pole_scale; c < 0.7 * step_t; c *= 3.0) breaks.push_back(0.5 * pi - c);
  const int steps = static_cast<int>(std::ceil((0.5 * pi - step_t) / step_t));
  for (int i = steps; i >= 0; --i) breaks.push_back((0.5 * pi - step_t) * i / steps);
  for (std::size_t b = 1; b < breaks.size(); ++b) {
    const double from = breaks[b], width = breaks[b - 1] - from;
    for (const GaussPoint& x : rule) {
      const double t = from + width * x.x;
      const double l = k0 * std::sin(t);
      nodes.add(l, j * (k0 * std::cos(t)), -j * (l * width * x.weight));
    }
  }

  // l = k0 cosh s above, where u0 = k0 sinh s. Panels are drawn together at k0 and at the branch point of u1.
  const cdouble k1 = g.k1_rad_m();
  const double taper_width = 8.0 / std::max(range.rho_low_m, 1e-12);
  const double taper_centre = 2.0 * std::abs(k1) + taper_reach * taper_width;
  const double by_taper = taper_centre + taper_reach * taper_width, by_height = 24.0 / range.z_low_m;
  const bool tapered = by_taper < by_height;
  const double last = std::acosh(std::max(tapered ? by_taper : by_height, 1.5 * k0) / k0);
  const cdouble branch = std::acosh(k1 / k0);
  std::vector<double> marks{last};
  const auto mark = [&](double s) {
    if (s < last) marks.push_back(s);
  };
  for (double s = pole_scale; s < 1.0; s *= 3.0) mark(s);
  if (branch.real() > 0.0) mark(branch.real());
  for (double d = 0.3 * std::min(branch.real(), 1.0); d > 1e-7 * branch.real() && d > 0.4 * std::abs(branch.imag());
       d *= 0.25) {
    mark(branch.real() - d);
    mark(branch.real() + d);
  }
  std::sort(marks.begin(), marks.end());
  std::vector<double> s_breaks{0.0};
  for (const double to : marks) {
    const double l_to = std::cosh(to);  // in units of k0
    for (double l = std::cosh(s_breaks.back()); l < l_to;) {
      const double step = std::min(1.2 * l, widest / k0);
      l = l_to - l < 1.3 * step ? l_to : l + step;
      s_breaks.push_back(l == l_to ? to : std::acosh(l));
    }
  }
  for (std::size_t b = 1; b < s_breaks.size(); ++b) {
    const double from = s_breaks[b - 1], width = s_breaks[b] - from;
    for (const GaussPoint& x : rule) {
      const double s = from + width * x.x;
      const double up = std::exp(s), down = 1.0 / up;
      const double l = 0.5 * k0 * (up + down);
      const double u0 = s < 0.1 ? k0 * std::sinh(s) : 0.5 * k0 * (up - down);
      nodes.add(l, u0, width * x.weight * l * (tapered ? taper(l, taper_centre, taper_width) : 1.0));
    }
  }
  return std::move(nodes.points);
}

cdouble p_image_change(const HalfSpace& g, double rho_m, double z_m) {
  if (rho_m == 0.0) return 0.0;
  // exp(-jkZ) - 1 and exp(-jkR) - exp(-jkZ) without cancellation; R - Z = rho^2/(R + Z).
  const double k = g.k0_rad_m, r = std::hypot(rho_m, z_m), sum = r + z_m;
  const double half = 0.5 * k * z_m, half_change = 0.5 * k * rho_m * rho_m / sum;
  const cdouble from_static = -2.0 * j * std::sin(half) * std::polar(1.0, -half);
  const cdouble from_z = -2.0 * j * std::sin(half_change) * std::polar(1.0, -half_change - k * z_m);
  return -g.contrast() * (rho_m / (r * sum) * from_static - z_m / (r * rho_m) * from_z);
}

GroundKernel image_kernel(const HalfSpace& g, double rho_m, double z_m) {
  const double r = std::hypot(rho_m, z_m);
  const cdouble image = g.contrast() * std::exp(-j * (g.k0_rad_m * r)) / r;
  return {0.0, 2.0 * image, -image, -g.contrast() * rho_m / (r * (r + z_m))};
}

GroundKernel half_space_kernel(const HalfSpace& g, double rho_m, double z_m) {
  using namespace boost::math::policies;
  using Fast = policy<promote_double<false>>;
  GroundKernel sum = image_kernel(g, rho_m, z_m);
  sum.p += p_image_change(g, rho_m, z_m);
  for (const SpectralPoint& s : spectral_points(g, {rho_m, rho_m, z_m, z_m}, gauss_rule(16))) {
    const double b0 = boost::math::cyl_bessel_j(0, s.l * rho_m, Fast{});
    const double b1 = boost::math::cyl_bessel_j(1, s.l * rho_m, Fast{});
    const cdouble air = std::exp(-s.u0 * z_m);
    sum.xx += s.xx * air * b0;
    sum.zz += s.zz * air * b0;
    sum.phi += s.phi * air * b0;
    sum.p += s.p * air * b1;
  }
  return sum;
}

}  // namespace stile::wire::detail

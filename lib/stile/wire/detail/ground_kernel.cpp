#include <stile/wire/detail/ground_kernel.hpp>

#include <algorithm>
#include <cmath>

#include <boost/math/special_functions/bessel.hpp>

#include <stile/base/constants.hpp>
#include <stile/wire/detail/gauss.hpp>

namespace stile::detail {

namespace {

constexpr cdouble j{0.0, 1.0};

/// sqrt(l^2 - e k0^2) with Re >= 0; a lossless dielectric is the limit of small loss, so j times positive below k1.
cdouble vertical_wavenumber(double l, cdouble k_squared) {
  const cdouble square = l * l - k_squared;
  if (square.imag() == 0.0 && square.real() < 0.0) return {0.0, std::sqrt(-square.real())};
  return std::sqrt(square);
}

/// The node at l; `measure` is the weight of l dl/u0.
SpectralPoint spectral_point(const HalfSpace& g, double l, cdouble u0, cdouble measure) {
  const cdouble e = g.permittivity;
  const cdouble u1 = vertical_wavenumber(l, e * g.k0_rad_m * g.k0_rad_m);
  const cdouble sum = u0 + u1, mixed = e * u0 + u1;
  const cdouble difference = (e - 1.0) * g.k0_rad_m * g.k0_rad_m / sum;  // u0 - u1
  const cdouble xx = difference / sum;
  const cdouble tm = 2.0 * e * difference / ((e + 1.0) * mixed);  // (e u0 - u1)/(e u0 + u1) - contrast
  const cdouble rest = (e - 1.0) * difference * ((e + 2.0) * u0 + u1) / ((e + 1.0) * sum * mixed);  // u0^2 q - contrast
  const cdouble q = 2.0 * (e - 1.0) / (sum * mixed);
  SpectralPoint s;
  s.l = l;
  s.u0 = u0;
  s.xx = measure * xx;
  s.zz = measure * (tm + rest);
  s.phi = measure * (xx - rest);
  s.p_air = -measure * u0 * q * l;
  s.p_static = measure * g.contrast() * u0 / l;
  return s;
}

/// 1 far below `centre`, 0 far above; a cut that short leaves no trace in the Bessel transform.
double taper(double l, double centre, double width) { return 0.5 * std::erfc((l - centre) / width); }

}  // namespace

std::vector<SpectralPoint> spectral_points(const HalfSpace& g, double rho_low_m, double rho_high_m, double z_low_m,
                                           int order) {
  const std::vector<GaussPoint> rule = gauss_rule(order);
  std::vector<SpectralPoint> points;
  const double k0 = g.k0_rad_m;
  // Of u0/k0 near l = k0: the pole of a good conductor, and the total reflection at grazing angles of a poor contrast.
  const double pole_scale = std::max(
      0.3 * std::min({1.0, 1.0 / std::sqrt(std::abs(g.permittivity)), std::sqrt(std::abs(g.permittivity - 1.0))}),
      1e-6);
  const double widest = two_pi / std::max(rho_high_m, 1e-12);

  // l = k0 sin t below k0, where u0 = j k0 cos t.
  std::vector<double> breaks;
  const double step_t = std::min(0.4, widest / k0);
  for (double c = pole_scale; c < step_t; c *= 2.0) breaks.push_back(0.5 * pi - c);
  breaks.push_back(0.5 * pi);
  double first = 0.5 * pi - step_t;
  for (double t = first; t > 0.0; t -= step_t) breaks.push_back(t);
  breaks.push_back(0.0);
  std::sort(breaks.begin(), breaks.end());
  for (std::size_t b = 1; b < breaks.size(); ++b) {
    const double from = breaks[b - 1], width = breaks[b] - from;
    for (const GaussPoint& x : rule) {
      const double t = from + width * x.x;
      const double l = k0 * std::sin(t);
      points.push_back(spectral_point(g, l, j * (k0 * std::cos(t)), -j * (l * width * x.weight)));
    }
  }

  // l = k0 cosh s above, where u0 = k0 sinh s.
  const cdouble k1 = g.k1_rad_m();
  const double taper_width = 9.0 / std::max(rho_low_m, 1e-12);
  const double taper_centre = 2.0 * std::abs(k1) + 5.0 * taper_width;
  const double by_taper = taper_centre + 5.0 * taper_width, by_height = 42.0 / z_low_m;
  const bool tapered = by_taper < by_height;
  const double last = std::max(tapered ? by_taper : by_height, 1.5 * k0);
  std::vector<double> s_breaks{0.0};
  const auto s_of = [&](double l) { return std::acosh(l / k0); };
  for (double s = pole_scale; s < 0.8 && k0 * std::cosh(s) < last; s *= 2.0) s_breaks.push_back(s);
  for (double l = k0; l < last;) {
    l = std::min(l + std::min(0.35 * l, widest), last);
    s_breaks.push_back(s_of(l));
  }
  const double branch = k1.real();
  for (double d = 0.25 * branch; d > 1e-7 * branch && d > 0.2 * -k1.imag(); d *= 0.25) {
    for (const double l : {branch - d, branch + d}) {
      if (l > k0 && l < last) s_breaks.push_back(s_of(l));
    }
  }
  if (branch > k0 && branch < last) s_breaks.push_back(s_of(branch));
  std::sort(s_breaks.begin(), s_breaks.end());
  for (std::size_t b = 1; b < s_breaks.size(); ++b) {
    const double from = s_breaks[b - 1], width = s_breaks[b] - from;
    if (width < 1e-13) continue;
    for (const GaussPoint& x : rule) {
      const double s = from + width * x.x;
      const double l = k0 * std::cosh(s);
      const double weight = width * x.weight * l * (tapered ? taper(l, taper_centre, taper_width) : 1.0);
      points.push_back(spectral_point(g, l, k0 * std::sinh(s), weight));
    }
  }
  return points;
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
  for (const SpectralPoint& s : spectral_points(g, rho_m, rho_m, z_m, 16)) {
    const double b0 = boost::math::cyl_bessel_j(0, s.l * rho_m, Fast{});
    const double b1 = boost::math::cyl_bessel_j(1, s.l * rho_m, Fast{});
    const cdouble air = std::exp(-s.u0 * z_m);
    sum.xx += s.xx * air * b0;
    sum.zz += s.zz * air * b0;
    sum.phi += s.phi * air * b0;
    sum.p += (s.p_air * air + s.p_static * std::exp(-s.l * z_m)) * b1;
  }
  return sum;
}

}  // namespace stile::detail

#include <stile/wire/closed_forms.hpp>

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

#include <boost/math/quadrature/gauss_kronrod.hpp>
#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>

namespace stile::wire {

namespace {

constexpr cdouble j{0.0, 1.0};
constexpr double euler = std::numbers::egamma;

bool positive(double x) { return std::isfinite(x) && x > 0.0; }

double wavenumber(double frequency_hz) {
  require(positive(frequency_hz), "frequency_hz must be > 0");
  return two_pi * frequency_hz / speed_of_light_m_s;
}

/// E1(jx) = -Ci(x) + j (Si(x) - pi/2): continued fraction for x > 3, modified Lentz.
cdouble exponential_integral(double x) {
  const cdouble z = j * x;
  cdouble b = z + 1.0, c = 1e300, d = 1.0 / b, h = d;
  for (int i = 1; i < 400; ++i) {
    const double a = -static_cast<double>(i) * i;
    b += 2.0;
    d = 1.0 / (a * d + b);
    c = b + a / c;
    const cdouble step = c * d;
    h *= step;
    if (std::abs(step - 1.0) < 1e-16) break;
  }
  return h * std::exp(-z);
}

constexpr double series_limit = 4.0;

}  // namespace

double sine_integral(double x) {
  require(std::isfinite(x) && x >= 0.0, "x must be >= 0");
  if (x > series_limit) return exponential_integral(x).imag() + 0.5 * pi;
  double sum = 0.0, term = x;
  for (int n = 1; n < 60; n += 2) {
    sum += term / n;
    term *= -x * x / ((n + 1.0) * (n + 2.0));
  }
  return sum;
}

double cosine_integral(double x) {
  require(positive(x), "x must be > 0");
  if (x > series_limit) return -exponential_integral(x).real();
  double sum = 0.0, term = 1.0;
  for (int n = 2; n < 60; n += 2) {
    term *= -x * x / ((n - 1.0) * n);
    sum += term / n;
  }
  return euler + std::log(x) + sum;
}

cdouble dipole_loop_impedance_ohm(double half_length_m, double radius_m, double frequency_hz) {
  require(positive(half_length_m) && positive(radius_m), "lengths must be > 0");
  const double k = wavenumber(frequency_hz), length = 2.0 * half_length_m, x = k * length;
  const double s1 = sine_integral(x), s2 = sine_integral(2.0 * x), c1 = cosine_integral(x),
               c2 = cosine_integral(2.0 * x);
  const double r = eta0_ohm / two_pi *
                   (euler + std::log(x) - c1 + 0.5 * std::sin(x) * (s2 - 2.0 * s1) +
                    0.5 * std::cos(x) * (euler + std::log(0.5 * x) + c2 - 2.0 * c1));
  const double reactance = eta0_ohm / (4.0 * pi) *
                           (2.0 * s1 + std::cos(x) * (2.0 * s1 - s2) -
                            std::sin(x) * (2.0 * c1 - c2 - cosine_integral(2.0 * k * radius_m * radius_m / length)));
  return {r, reactance};
}

cdouble dipole_impedance_ohm(double half_length_m, double radius_m, double frequency_hz) {
  const double s = std::sin(wavenumber(frequency_hz) * half_length_m);
  require(std::abs(s) > 1e-3, "half_length_m is a multiple of half a wave: no sinusoidal current at the feed");
  return dipole_loop_impedance_ohm(half_length_m, radius_m, frequency_hz) / (s * s);
}

cdouble half_wave_mutual_ohm(double distance_m, double frequency_hz) {
  require(positive(distance_m), "distance_m must be > 0");
  const double k = wavenumber(frequency_hz), length = pi / k;
  const double root = std::hypot(distance_m, length);
  const double u0 = k * distance_m, u1 = k * (root + length), u2 = u0 * u0 / u1;
  return eta0_ohm / (4.0 * pi) *
         cdouble(2.0 * cosine_integral(u0) - cosine_integral(u1) - cosine_integral(u2),
                 -(2.0 * sine_integral(u0) - sine_integral(u1) - sine_integral(u2)));
}

cdouble short_monopole_ohm(double height_m, double radius_m, double frequency_hz) {
  const double kh = wavenumber(frequency_hz) * height_m;
  require(kh > 0.0 && kh < pi, "height_m must be above 0 and below half a wave");
  require(positive(radius_m) && height_m >= 10.0 * radius_m, "height_m must be at least 10 radii");
  return {10.0 * kh * kh, -60.0 * (std::log(height_m / radius_m) - 1.0) / std::tan(kh)};
}

double quarter_wave_rule_m(double frequency_hz) { return 0.95 * 0.25 * two_pi / wavenumber(frequency_hz); }

double off_centre_coil_ohm(double height_m, double radius_m, double coil_height_m, double frequency_hz) {
  const double k = wavenumber(frequency_hz);
  require(positive(radius_m) && positive(height_m) && k * height_m < 0.5 * pi, "height_m must be below a quarter wave");
  require(coil_height_m >= 0.0 && coil_height_m <= 0.95 * height_m, "coil_height_m must be 0..0.95 of height_m");
  const double top_m = height_m - coil_height_m;
  require(top_m >= 10.0 * radius_m, "the part above the coil must be at least 10 radii");
  const auto line_ohm = [&](double length) { return 60.0 * (std::log(2.0 * length / radius_m) - 1.0); };
  const double below = coil_height_m > 10.0 * radius_m ? line_ohm(coil_height_m) * std::tan(k * coil_height_m) : 0.0;
  return line_ohm(top_m) / std::tan(k * top_m) - below;
}

WireLine trailing_wire_line(const Ground& ground, double height_m, double radius_m, double frequency_hz) {
  const double k0 = wavenumber(frequency_hz), w = k0 * speed_of_light_m_s;
  const cdouble permittivity = complex_permittivity(ground, frequency_hz);
  require(positive(radius_m) && height_m >= 2.0 * radius_m && std::isfinite(height_m),
          "height_m must be at least 2 radii");
  cdouble g = k0 * std::sqrt(1.0 - permittivity);
  if (g.real() < 0.0) g = -g;
  require(std::abs(g) > 0.0, "the ground must differ from air");
  // l = t/(2 h): the exponential ends the integral at t = 40; the square root sets a second scale, so panels grow.
  const auto integrand = [&](double l) {
    return 2.0 * std::exp(-2.0 * height_m * l) / (permittivity * l + std::sqrt(l * l + g * g));
  };
  using Rule = boost::math::quadrature::gauss<double, 15>;
  cdouble m = 0.0;
  double from = 0.0, to = 1e-3 * std::min(std::abs(g / permittivity), 0.5 / height_m);
  while (from < 20.0 / height_m) {
    m += Rule::integrate(integrand, from, to);
    from = to;
    to *= 2.0;
  }
  const double log_2h_a = std::log(2.0 * height_m / radius_m);
  const cdouble series = j * (w * mu0_h_m / two_pi) * (log_2h_a + std::log((1.0 + g * height_m) / (g * height_m)));
  const cdouble shunt = j * (w * two_pi * eps0_f_m) / (log_2h_a + m);
  cdouble propagation = std::sqrt(series * shunt);
  if (propagation.real() < 0.0) propagation = -propagation;
  return {propagation, series / propagation};
}

double velocity_along_ground(const Ground& ground, double height_m, double radius_m, double frequency_hz) {
  const WireLine line = trailing_wire_line(ground, height_m, radius_m, frequency_hz);
  return std::clamp(wavenumber(frequency_hz) / line.propagation_per_m.imag(), 0.3, 1.0);
}

cdouble trailing_wire_ohm(const WireLine& line, double length_m) {
  require(positive(length_m), "length_m must be > 0");
  return line.characteristic_ohm / std::tanh(line.propagation_per_m * length_m);
}

std::vector<Range> lengths_to_avoid(double low_hz, double high_hz, double velocity_factor, double longest_m,
                                    double margin) {
  if (!(low_hz >= 1e5 && high_hz >= low_hz && high_hz <= 3e8))
    throw DomainError(fmt::format("a band of {} Hz to {} Hz must be 1e5 <= low_hz <= high_hz <= 3e8", low_hz, high_hz));
  require(velocity_factor >= 0.3 && velocity_factor <= 1.0, "velocity_factor must be 0.3..1");
  require(margin >= 0.0 && margin <= 0.4, "margin must be 0..0.4");
  require(positive(longest_m) && longest_m <= 1e4, "longest_m must be above 0 and at most 10 km");
  std::vector<Range> ranges_m;
  const double short_half_m = 0.5 * velocity_factor * speed_of_light_m_s / high_hz;
  const double long_half_m = 0.5 * velocity_factor * speed_of_light_m_s / low_hz;
  for (int n = 1; (n - margin) * short_half_m < longest_m; ++n)
    ranges_m.push_back({(n - margin) * short_half_m, std::min((n + margin) * long_half_m, longest_m)});
  return ranges_m;
}

}  // namespace stile::wire

#include <stile/network/line.hpp>

#include <cmath>

#include <stile/base/constants.hpp>
#include <stile/base/detail/ranges.hpp>
#include <stile/base/errors.hpp>

namespace stile::network {

namespace {

double angular_frequency(double frequency_hz) {
  require(positive(frequency_hz), "a frequency must be finite and above 0");
  return two_pi * frequency_hz;
}

void require_line(const LineConstants& line) {
  require(finite(line.z0_ohm) && line.z0_ohm.real() > 0.0, "z0 must be finite with real part > 0");
  require(finite(line.gamma_per_m), "gamma must be finite");
}

}  // namespace

LineConstants line_from_rlgc(const Rlgc& per_metre, double frequency_hz) {
  const double w = angular_frequency(frequency_hz);
  require(not_negative(per_metre.r_ohm_m) && not_negative(per_metre.l_h_m) && not_negative(per_metre.g_s_m) &&
              not_negative(per_metre.c_f_m),
          "R, L, G and C per metre must be finite and >= 0");
  const cdouble z{per_metre.r_ohm_m, w * per_metre.l_h_m}, y{per_metre.g_s_m, w * per_metre.c_f_m};
  require(z != 0.0, "R and L per metre must not both be 0");
  require(y != 0.0, "G and C per metre must not both be 0");
  return {std::sqrt(z / y), std::sqrt(z * y)};
}

Rlgc rlgc_from_line(const LineConstants& line, double frequency_hz) {
  const double w = angular_frequency(frequency_hz);
  require_line(line);
  const cdouble z = line.gamma_per_m * line.z0_ohm, y = line.gamma_per_m / line.z0_ohm;
  return {z.real(), z.imag() / w, y.real(), y.imag() / w};
}

LineConstants lossless_line(double z0_ohm, double velocity_factor, double frequency_hz) {
  const double w = angular_frequency(frequency_hz);
  require(positive(z0_ohm), "z0 must be finite and above 0");
  require(positive(velocity_factor) && velocity_factor <= 1.0, "a velocity factor must be above 0 and at most 1");
  return {z0_ohm, {0.0, w / (velocity_factor * speed_of_light_m_s)}};
}

Rlgc coaxial_line(double inner_diameter_m, double outer_diameter_m, double relative_permittivity) {
  require(positive(inner_diameter_m) && positive(outer_diameter_m) && inner_diameter_m < outer_diameter_m,
          "the inner diameter must be above 0 and below the outer one");
  require(std::isfinite(relative_permittivity) && relative_permittivity >= 1.0,
          "a relative permittivity must be finite and at least 1");
  const double log_ratio = std::log(outer_diameter_m / inner_diameter_m);
  return {0.0, mu0_h_m / two_pi * log_ratio, 0.0, two_pi * eps0_f_m * relative_permittivity / log_ratio};
}

Chain line_chain(const LineConstants& line, double length_m) {
  require_line(line);
  require(line.gamma_per_m.real() >= 0.0, "alpha must be >= 0");
  require(not_negative(length_m), "a length must be finite and >= 0");
  const cdouble gl = line.gamma_per_m * length_m;
  const cdouble ch = std::cosh(gl), sh = std::sinh(gl);
  const Chain chain{ch, line.z0_ohm * sh, sh / line.z0_ohm, ch};
  require(finite(chain.a) && finite(chain.b) && finite(chain.c), "the line's loss is beyond the range of numbers");
  return chain;
}

LineConstants line_from_open_short(cdouble z_short_ohm, cdouble z_open_ohm, double length_m) {
  require(finite(z_short_ohm) && z_short_ohm != 0.0 && finite(z_open_ohm) && z_open_ohm != 0.0,
          "the impedances with the far end shorted and open must be finite and not 0");
  require(positive(length_m), "a length must be finite and above 0");
  // The sign of tanh is the one that leaves z0 with a positive real part.
  cdouble t = std::sqrt(z_short_ohm / z_open_ohm);
  if ((z_short_ohm / t).real() < 0.0) t = -t;
  const cdouble z0 = z_short_ohm / t;
  require(finite(z0) && z0.real() > 0.0, "no line gives these two impedances: Re(z0) is not above 0");
  cdouble gl = std::atanh(t);
  require(finite(gl), "no line gives these two impedances: the loss is not finite");
  require(gl.real() >= -1e-12 * std::abs(gl), "no line gives these two impedances: the loss is below 0");
  gl = {std::fmax(gl.real(), 0.0), gl.imag() < 0.0 ? gl.imag() + pi : gl.imag()};
  return {z0, gl / length_m};
}

double attenuation_db_per_m(const LineConstants& line) { return db_per_neper * line.gamma_per_m.real(); }

double wavelength_m(const LineConstants& line) {
  require(positive(line.gamma_per_m.imag()), "beta must be finite and above 0");
  return two_pi / line.gamma_per_m.imag();
}

double phase_velocity_m_s(const LineConstants& line, double frequency_hz) {
  const double w = angular_frequency(frequency_hz);
  require(positive(line.gamma_per_m.imag()), "beta must be finite and above 0");
  return w / line.gamma_per_m.imag();
}

}  // namespace stile::network

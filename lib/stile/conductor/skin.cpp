#include <stile/conductor/skin.hpp>

#include <algorithm>
#include <cmath>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>

namespace stile::conductor {

namespace {

constexpr double far_depths = 12.0;  // exp(-24): what lies deeper is not felt at the surface
constexpr double steps_per_depth = 40.0;

/// Logarithmic derivative of sqrt(rho) A carried from radius `from` to `to` through slabs whose coefficients are those
/// of their middle: each slab exact, the whole of second order and stable for any step.
cdouble carried(cdouble h, double from, double to, cdouble k2, int order, int slabs) {
  const double step = (to - from) / slabs;
  for (int i = 0; i < slabs; ++i) {
    const double rho = from + (i + 0.5) * step;
    const cdouble beta = std::sqrt((order * order - 0.25) / (rho * rho) - k2);
    const cdouble t = std::tanh(beta * step);
    h = beta * (h + beta * t) / (beta + h * t);
  }
  return h;
}

/// Metal from radius `bore` to 1, the bore filled with a harmonic field; lengths in outer radii.
std::vector<cdouble> tube_ratios(double bore, double radius_over_depth, int highest) {
  const cdouble k2{0.0, -2.0 * radius_over_depth * radius_over_depth};
  const double start = std::max(bore, 1.0 - far_depths / radius_over_depth);
  std::vector<cdouble> ratios;
  for (int m = 0; m <= highest; ++m) {
    cdouble coarse = (m + 0.5) / start, fine = coarse;
    for (double from = start; from < 1.0;) {
      const double to = std::min(2.0 * from, 1.0);  // near a thin bore the coefficients change with the radius
      const int slabs = std::max(192, static_cast<int>(std::ceil(steps_per_depth * (to - from) * radius_over_depth)));
      coarse = carried(coarse, from, to, k2, m, slabs);
      fine = carried(fine, from, to, k2, m, 2 * slabs);
      from = to;
    }
    ratios.push_back(m + 0.5 - (4.0 * fine - coarse) / 3.0);  // Richardson
  }
  return ratios;
}

/// Radius many thousands of depths: a plane with its first curvature terms.
std::vector<cdouble> plane_ratios(double radius_over_depth, int highest) {
  std::vector<cdouble> ratios;
  for (int m = 0; m <= highest; ++m) {
    const double curve = m * m - 0.25;
    const cdouble beta = std::sqrt(curve - cdouble{0.0, -2.0 * radius_over_depth * radius_over_depth});
    ratios.push_back(m + 0.5 - (beta + curve / (2.0 * beta * beta)));
  }
  return ratios;
}

/// Solid wire of radius 1, depth given in radii.
std::vector<cdouble> solid_ratios(double radius_over_depth, int highest) {
  if (radius_over_depth > 2000.0) return plane_ratios(radius_over_depth, highest);
  const cdouble z = radius_over_depth * cdouble{1.0, -1.0};
  // J_n/J_(n-1) downwards from an order where it no longer matters what stands there.
  const int start = highest + 60 + static_cast<int>(2.0 * std::abs(z));
  std::vector<cdouble> ratios(static_cast<std::size_t>(highest) + 1);
  cdouble ratio = 0.0;
  for (int n = start; n >= 1; --n) {
    const cdouble below = 2.0 * n - z * ratio;
    ratio = z * std::conj(below) / std::norm(below);
    if (n <= highest + 1) ratios[static_cast<std::size_t>(n) - 1] = z * ratio;
  }
  return ratios;
}

}  // namespace

double skin_depth_m(double rho, double frequency_hz, double relative_permeability) {
  require(rho > 0.0 && std::isfinite(rho), "a resistivity must be > 0 and finite");
  require(frequency_hz > 0.0 && std::isfinite(frequency_hz), "a frequency must be > 0 and finite");
  require(relative_permeability >= 1.0 && std::isfinite(relative_permeability),
          "a relative permeability must be >= 1 and finite");
  return std::sqrt(rho / (pi * frequency_hz * mu0_h_m * relative_permeability));
}

cdouble skin_impedance_ratio(double radius_over_depth) {
  require(radius_over_depth >= 0.0 && std::isfinite(radius_over_depth),
          "radius over skin depth must be >= 0 and finite");
  if (radius_over_depth < 1e-6) return 1.0;
  const cdouble z2{0.0, -2.0 * radius_over_depth * radius_over_depth};
  return 0.5 * z2 / solid_ratios(radius_over_depth, 0).front();
}

double cross_field_loss_factor(double radius_over_depth) {
  require(radius_over_depth >= 0.0 && std::isfinite(radius_over_depth),
          "radius over skin depth must be >= 0 and finite");
  return -0.25 * solid_ratios(radius_over_depth, 0).front().real();
}

double dc_resistance_ohm_per_m(const RoundWire& wire) {
  require(wire.diameter_m > 0.0 && std::isfinite(wire.diameter_m), "a wire's diameter must be > 0");
  require(wire.wall_m >= 0.0 && wire.wall_m < 0.5 * wire.diameter_m, "a tube's wall must be below half its diameter");
  const double bore = wire.wall_m > 0.0 ? wire.diameter_m - 2.0 * wire.wall_m : 0.0;
  return resistivity_ohm_m(wire.metal, wire.temperature_c) /
         (0.25 * pi * (wire.diameter_m * wire.diameter_m - bore * bore));
}

cdouble internal_impedance_ohm_per_m(const RoundWire& wire, double frequency_hz) {
  const double dc = dc_resistance_ohm_per_m(wire);
  const double depth = skin_depth_m(resistivity_ohm_m(wire.metal, wire.temperature_c), frequency_hz);
  if (wire.wall_m == 0.0) return dc * skin_impedance_ratio(0.5 * wire.diameter_m / depth);
  // E/I with E = -j omega A, I = 2 pi r K, K = ratio A/mu0.
  const cdouble ratio = surface_current_ratios(wire, depth, 0).front();
  return cdouble{0.0, -two_pi * frequency_hz * mu0_h_m} / (pi * wire.diameter_m * ratio);
}

cdouble wire_impedance_ohm_per_m(double radius_m, double conductivity_s_m, double relative_permeability,
                                 double frequency_hz) {
  require(std::isfinite(radius_m) && radius_m > 0.0, "radius_m must be > 0");
  require(std::isfinite(conductivity_s_m) && conductivity_s_m > 0.0, "conductivity_s_m must be > 0");
  const double depth = skin_depth_m(1.0 / conductivity_s_m, frequency_hz, relative_permeability);
  return skin_impedance_ratio(radius_m / depth) / (pi * radius_m * radius_m * conductivity_s_m);
}

cdouble strip_impedance_ohm_per_m(double width_m, double thickness_m, const Metal& metal, double temperature_c,
                                  double frequency_hz) {
  require(std::isfinite(width_m) && thickness_m > 0.0 && width_m >= 5.0 * thickness_m,
          "a strip's thickness must be > 0 and its width at least five times that");
  const double rho = resistivity_ohm_m(metal, temperature_c);
  const cdouble k = cdouble{1.0, 1.0} / skin_depth_m(rho, frequency_hz);
  return k * rho / (2.0 * width_m * std::tanh(0.5 * k * thickness_m));
}

std::vector<cdouble> surface_current_ratios(const RoundWire& wire, double depth_m, int highest) {
  const double radius = 0.5 * wire.diameter_m;
  std::vector<cdouble> ratios = wire.wall_m > 0.0 ? tube_ratios(1.0 - wire.wall_m / radius, radius / depth_m, highest)
                                                  : solid_ratios(radius / depth_m, highest);
  for (cdouble& r : ratios) r /= radius;
  return ratios;
}

}  // namespace stile::conductor

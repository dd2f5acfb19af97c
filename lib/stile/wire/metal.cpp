#include <stile/wire/metal.hpp>

#include <array>
#include <cmath>
#include <string>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>

namespace stile {

namespace {

struct NamedMetal {
  std::string_view name;
  double conductivity_s_m;
};
constexpr std::array<NamedMetal, 7> metals{{{"copper", 5.8e7},
                                            {"tinned copper", 5.6e7},
                                            {"aluminium", 3.5e7},
                                            {"brass", 1.5e7},
                                            {"phosphor bronze", 8.7e6},
                                            {"stainless steel", 1.4e6},
                                            {"steel", 6.0e6}}};

/// I0(z)/I1(z), Re z > 0: the ratio's continued fraction from below; far out its expansion in 1/z.
cdouble bessel_i0_over_i1(cdouble z) {
  const double size = std::abs(z);
  if (size > 100.0) {
    const cdouble y = 1.0 / z;
    return 1.0 + y * (0.5 + y * (0.375 + y * (0.375 + y * (63.0 / 128.0 + y * (27.0 / 32.0)))));
  }
  const int terms = 30 + static_cast<int>(2.0 * size);
  cdouble ratio = 2.0 * terms / z;  // I_(n-1)/I_n = 2n/z + 1/(I_n/I_(n+1))
  for (int n = terms - 1; n >= 1; --n) ratio = 2.0 * n / z + 1.0 / ratio;
  return ratio;
}

}  // namespace

double metal_conductivity_s_m(std::string_view name) {
  std::string legal;
  for (const NamedMetal& m : metals) {
    if (m.name == name) return m.conductivity_s_m;
    legal += (legal.empty() ? "\"" : ", \"") + std::string(m.name) + "\"";
  }
  throw DomainError("no metal \"" + std::string(name) + "\"; known are " + legal);
}

cdouble wire_impedance_ohm_per_m(double radius_m, double conductivity_s_m, double relative_permeability,
                                 double frequency_hz) {
  require(std::isfinite(radius_m) && radius_m > 0.0, "radius_m must be > 0");
  require(std::isfinite(conductivity_s_m) && conductivity_s_m > 0.0, "conductivity_s_m must be > 0");
  require(std::isfinite(relative_permeability) && relative_permeability >= 1.0, "relative_permeability must be >= 1");
  require(std::isfinite(frequency_hz) && frequency_hz > 0.0, "frequency_hz must be > 0");
  const cdouble g = std::sqrt(cdouble(0.0, two_pi * frequency_hz * mu0_h_m * relative_permeability * conductivity_s_m));
  return g / (two_pi * radius_m * conductivity_s_m) * bessel_i0_over_i1(g * radius_m);
}

}  // namespace stile

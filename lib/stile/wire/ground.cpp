#include <stile/wire/ground.hpp>

#include <cmath>
#include <limits>

#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>

namespace stile::wire {

namespace {

void check_soil(double relative_permittivity, double conductivity_s_m) {
  const auto [least, most] = ground_permittivity_range;
  if (!(relative_permittivity >= least && relative_permittivity <= most))
    throw DomainError(fmt::format("relative permittivity {} of the ground: legal is {:g} to {:g} (water has 80)",
                                  relative_permittivity, least, most));
  if (!(conductivity_s_m >= 0.0 && conductivity_s_m <= 1e8))
    throw DomainError(fmt::format("conductivity {} S/m of the ground: legal is 0 to 1e8", conductivity_s_m));
}

}  // namespace

Ground free_space() { return {GroundKind::free_space, 1.0, 0.0}; }
Ground perfect_ground() { return {GroundKind::perfect, 1.0, 0.0}; }

Ground lossy_ground(double relative_permittivity, double conductivity_s_m) {
  check_soil(relative_permittivity, conductivity_s_m);
  return {GroundKind::lossy, relative_permittivity, conductivity_s_m};
}

const std::vector<NamedGround>& ground_classes() {
  static const std::vector<NamedGround> classes{
      {"sea", lossy_ground(70.0, 5.0)},      {"wet", lossy_ground(30.0, 1e-2)},
      {"average", lossy_ground(13.0, 5e-3)}, {"medium dry", lossy_ground(15.0, 1e-3)},
      {"very dry", lossy_ground(3.0, 1e-4)}, {"fresh water", lossy_ground(80.0, 3e-3)},
  };
  return classes;
}

Ground ground_by_name(std::string_view name) {
  if (name == "free space") return free_space();
  if (name == "perfect") return perfect_ground();
  std::string legal = "\"free space\", \"perfect\"";
  for (const NamedGround& g : ground_classes()) {
    if (g.name == name) return g.ground;
    legal += ", \"" + std::string(g.name) + "\"";
  }
  throw DomainError("no ground \"" + std::string(name) + "\"; known are " + legal);
}

std::string ground_words(const Ground& ground) {
  if (ground.kind == GroundKind::free_space) return "free space";
  if (ground.kind == GroundKind::perfect) return "perfect";
  for (const NamedGround& g : ground_classes()) {
    if (g.ground == ground) return std::string(g.name);
  }
  return fmt::format("relative permittivity {:.4g}, {}", ground.relative_permittivity,
                     print_quantity(ground.conductivity_s_m, Unit::siemens_per_metre, 4));
}

cdouble complex_permittivity(const Ground& ground, double frequency_hz) {
  require(ground.kind == GroundKind::lossy, "only a lossy ground has a permittivity");
  check_soil(ground.relative_permittivity, ground.conductivity_s_m);
  require(std::isfinite(frequency_hz) && frequency_hz > 0.0, "frequency_hz must be > 0");
  return {ground.relative_permittivity, -ground.conductivity_s_m / (two_pi * frequency_hz * eps0_f_m)};
}

double ground_depth_m(const Ground& ground, double frequency_hz) {
  const cdouble index = std::sqrt(complex_permittivity(ground, frequency_hz));
  const double k0 = two_pi * frequency_hz / speed_of_light_m_s;
  return index.imag() == 0.0 ? std::numeric_limits<double>::infinity() : 1.0 / (k0 * -index.imag());
}

}  // namespace stile::wire
